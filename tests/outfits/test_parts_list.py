"""Parts lists: nothing an installer would have to run out for.

What must be on each list is common practice, no source: a third function takes valve, bracket, power-beyond sleeve,
supply hoses, hoses or hard lines along the arms, bulkhead plate, coupler pairs and caps, adapters, handle, harness,
fuse, terminals and ties, clamps, sleeve, oil, sealant and labels; the other routes what of that they use, and their
own. Amounts are added up by hand.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from math import isnan, pi

import pytest

from handfast.costing.price_lines import price_lines
from handfast.machines.attachment import Attachment, Electrics
from handfast.machines.inquiry import Inquiry
from handfast.machines.part import Part
from handfast.machines.reading import demo_inquiries, demo_shelf
from handfast.machines.shelf import Shelf
from handfast.machines.tractor import Machine
from handfast.outfits.lay import lay
from handfast.outfits.line_runs import line_runs
from handfast.outfits.mounting import MountRoute
from handfast.outfits.outfit import Outfit
from handfast.outfits.part_counts import cable_for, counted, current_of, fuse_for
from handfast.outfits.parts_list import PartLine, parts_list
from handfast.outfits.powering import HYDRAULIC, PowerRoute, route_table

DIRECT = MountRoute("direct", "universal_plate", "universal_plate")
LINES = {"hose", "coupler", "adapter"}
EVERY_OIL = {"sleeve", "dust_caps", "oil", "sealant", "labels", *LINES}
ALONG = {"bulkhead", "clamps"}
SWITCHED = {"handle", "harness", "fuse", "wiring"}
IN_ROW = {"valve", "bracket", "power_beyond_sleeve", "supply_hose"}
PACK = {"kit", "pump", "tank", "valve", "relief_valve", "bracket"}
MUST: dict[str, set[str]] = {
    "front_outlets": EVERY_OIL,
    "third_function": EVERY_OIL | ALONG | SWITCHED | IN_ROW | {"kit", "adapters"},
    "third_function_sensing": (EVERY_OIL | ALONG | SWITCHED | IN_ROW | {"kit", "adapters", "sense_line"})
    - {"power_beyond_sleeve"},
    "diverter": EVERY_OIL | ALONG | SWITCHED | {"kit", "valve", "bracket", "adapters", "curl_hose"},
    "rear_remote_forward": EVERY_OIL | ALONG | {"kit"},
    "rear_remote_added": EVERY_OIL | ALONG | IN_ROW | {"kit", "adapters", "lever"},
    "mid_outlet": EVERY_OIL | ALONG | {"kit"},
    "separate_pump": EVERY_OIL
    | ALONG
    | {"kit", "pump", "tank", "valve", "relief_valve", "bracket", "lever", "pump_hose"},
    "electric": {"kit", "relay", "handle", "plug", "cable", "fuse", "clamps", "sleeve", "wiring", "grease", "labels"},
    "curl": {"kit", "links", "pins", "grease"},
    "manual": {"kit", "chain"},
    "none": set(),
}


@cache
def shelf() -> Shelf:
    return demo_shelf()


@cache
def lists() -> tuple[tuple[Inquiry, Outfit, tuple[PartLine, ...]], ...]:
    return tuple(_lists())


def _lists() -> Iterator[tuple[Inquiry, Outfit, tuple[PartLine, ...]]]:
    """Every different route of every caller: of each attachment one way of hanging."""
    for inquiry in demo_inquiries().values():
        resolved = inquiry.resolve(shelf())
        seen = set()
        for outfit in lay(resolved, shelf(), 1).candidates.outfits:
            key = outfit.attachment.id, outfit.power.route
            if key not in seen:
                seen.add(key)
                yield resolved, outfit, parts_list(outfit, resolved, shelf())


def kind_of(outfit: Outfit) -> str:
    kit = outfit.power.kit
    if kit is not None and "sense_port" in kit.needs:
        return "third_function_sensing"
    added = outfit.power.route == "rear_remote_forward" and kit is not None and "power_beyond" in kit.needs
    return "rear_remote_added" if added else outfit.power.route


def test_every_list_of_the_eight_callers_is_complete() -> None:
    """Where a thread is not known its hoses wait, and say so; nothing else is missing."""
    counts = dict.fromkeys(MUST, 0)
    for _, outfit, lines in lists():
        kind = kind_of(outfit)
        items = {line.item for line in lines}
        waits = {line.item for line in lines if line.waits_for}
        assert waits <= {"hoses"}, (outfit.id, waits)
        assert items >= MUST[kind] - (LINES if waits else set()), (outfit.id, MUST[kind] - items)
        counts[kind] += 1
    apart = ("third_function_sensing", "mid_outlet", "separate_pump")  # tested below
    assert all(counts[kind] for kind in MUST if kind not in apart), counts


@pytest.mark.parametrize(
    ("machine", "route", "kind"),
    [
        ("hurdle-98", "third_function", "third_function_sensing"),
        ("", "mid_outlet", "mid_outlet"),
        ("thimble-24", "separate_pump", "separate_pump"),
    ],
)
def test_lists_of_the_routes_that_no_caller_has(machine: str, route: str, kind: str) -> None:
    tractors = [m for m in shelf().machines.values() if m.id == machine or (not machine and m.mid_outlets)]
    assert tractors
    for tractor in tractors:
        tool = shelf().attachments["thicketjaw-48"]
        table = route_table(tractor, tool, shelf().parts.values())
        power = next(c.power for c in table if c.route == route and c.power is not None)
        lines = parts_list(Outfit(tool, DIRECT, power), Inquiry(machine=tractor), shelf())
        assert {line.item for line in lines} >= MUST[kind]
        assert all(line.safe_to_order for line in lines)


def test_one_tag_names_one_thing() -> None:
    for _, outfit, lines in lists():
        tags = [line.tag for line in lines if line.tag]
        assert len(tags) == len(set(tags)), outfit.id
        assert all(line.tag for line in lines if line.item in ("hose", "coupler"))
        assert all(line.from_port and line.to_port for line in lines if line.item in LINES)


def test_tags_of_the_list_are_those_of_the_lines() -> None:
    seen = 0
    for inquiry, outfit, lines in lists():
        runs = line_runs(outfit, inquiry, shelf())
        tags = {piece.tag for run in runs for piece in run.pieces if piece.tag}
        assert tags == {line.tag for line in lines if line.item in ("hose", "coupler")}
        seen += bool(runs)
    assert seen > 50


def test_what_is_brought_costs_nothing_and_what_is_bought_is_priced() -> None:
    for _, outfit, lines in lists():
        for line in lines:
            if line.brought_by:
                assert line.price.value == 0.0, (outfit.id, line)
            elif not line.waits_for:
                assert line.price.value > 0.0, (outfit.id, line)


def test_hoses_and_fittings_come_to_the_price_of_the_join() -> None:
    """The list and the bill read the same chains."""
    seen = 0
    for inquiry in demo_inquiries().values():
        resolved = inquiry.resolve(shelf())
        bench = lay(resolved, shelf(), 1).benches[0]
        for outfit, join in list(zip(bench.outfits, bench.joins, strict=True))[:40]:
            if join is None or not join.complete:
                continue
            lines = parts_list(outfit, resolved, shelf())
            assert sum(line.price.value for line in lines if line.item in LINES) == pytest.approx(join.price)
            seen += 1
    assert seen > 50


def test_an_empty_shelf_leaves_a_list_that_says_what_is_missing() -> None:
    kit = Part(id="k", kind="valve_kit", power_route="diverter", needs=["switched_12v"], price="1")
    outfit = Outfit(Attachment(kind="root_grapple", lids=1), DIRECT, PowerRoute("diverter", (kit,)))
    lines = parts_list(outfit, Inquiry(), Shelf())
    missing = {line.item for line in lines if line.waits_for}
    assert missing >= {"valve", "bracket", "curl_hose", "handle", "harness", "fuse", "clamps", "oil", "hoses"}
    assert [line.item for line in lines if line.safe_to_order] == ["kit"]


def test_clamps_sleeves_and_oil_by_hand() -> None:
    """Rear remote: two lines of 4.6 m, 9.2 m: 15.3 clamps, two sets of ten. Oil: hoses and cylinder, half again."""
    inquiry, outfit = next(
        (i, o) for i, o, _ in lists() if o.power.route == "rear_remote_forward" and i.machine.ports.rear
    )
    runs = line_runs(outfit, inquiry, shelf())
    still = [piece.needed for run in runs for piece in run.hoses if piece.at == "tractor"]
    assert still == pytest.approx([4.6, 4.6])
    assert counted("clamps", outfit) == 2
    assert counted("sleeve", outfit) == 1
    oil = outfit.attachment.hydraulics
    assert oil is not None
    hoses = pi / 4 * 0.0127**2 * 2 * (4.6 + 1.5)
    cylinders = (oil.cylinders or 1) * pi / 4 * oil.bore.value**2 * oil.stroke.value
    gallons = 1.5 * (hoses + cylinders) / 3.785411784e-3
    assert counted("oil", outfit) == 1 + int(gallons)
    with pytest.raises(ValueError, match="pounds"):
        counted("pounds", outfit)


def test_what_is_counted_before_hoses_are_chosen_is_enough_for_those_that_are() -> None:
    """Clamps for what lies still, a sleeve round the pair that moves, oil for what the hoses hold (hand formulas)."""
    seen = 0
    for inquiry, outfit, _ in lists():
        runs = line_runs(outfit, inquiry, shelf())
        if not runs:
            continue
        still = sum(piece.needed for run in runs for piece in run.hoses if piece.at == "tractor")
        assert 10 * counted("clamps", outfit) * 0.6 >= still - 1e-9 or not still
        moving = [piece.needed for run in runs for piece in run.hoses if piece.at == "tool"]
        assert max(moving) <= 3.05 * counted("sleeve", outfit)
        held = sum(pi / 4 * 0.0127**2 * (p.needed if isnan(p.length) else p.length) for r in runs for p in r.hoses)
        assert held <= counted("oil", outfit) * 3.785411784e-3
        seen += 1
    assert seen > 50


def test_the_list_and_the_bill_come_to_the_same() -> None:
    """Kit, small parts, oil, wires, hoses: what the list asks money for is what the caller is quoted."""
    seen = 0
    for inquiry in demo_inquiries().values():
        resolved = inquiry.resolve(shelf())
        bench = lay(resolved, shelf(), 1).benches[0]
        for outfit, join in list(zip(bench.outfits, bench.joins, strict=True))[:40]:
            if join is not None and not join.complete:
                continue
            lines = price_lines(outfit, None, join, resolved, shelf())
            quoted = sum(line.price.likely for line in lines if line.group in ("power", "parts", "join"))
            listed = [line.price.likely for line in parts_list(outfit, resolved, shelf()) if not line.price.is_unknown]
            assert quoted == pytest.approx(sum(listed)), outfit.id
            seen += 1
    assert seen > 100


def electric(current: str) -> Outfit:
    tool = Attachment(kind="root_grapple", lids=1, actuation="electric", electrics=Electrics(current=current))
    return Outfit(tool, DIRECT, PowerRoute("electric"))


def wires(length: str = "16 ft") -> Shelf:
    gauges = ("12", "8", "6")
    cables = {g: Part(id=g, kind="cable", gauge=g, length=length, price="1", stock=1) for g in gauges}
    fuses = {f"{a}": Part(id=f"{a}", kind="fuse", current=f"{a} A", price="1", stock=1) for a in (20, 30, 60)}
    return Shelf(parts={**cables, **fuses})


def test_fuse_and_cable_bear_the_current() -> None:
    """20 A need a fuse of 25 A, so 30 A; gauge 12 bears 25 A for good and would outlive no fuse of 30, gauge 8 does."""
    fuse, cable = fuse_for(electric("20 A"), wires()), cable_for(electric("20 A"), wires())
    assert fuse is not None
    assert cable is not None
    assert (fuse.id, cable.id) == ("30", "8")
    assert current_of(electric("20 A")) == 20.0
    assert fuse_for(electric("60 A"), wires()) is None
    assert cable_for(electric("20 A"), wires(length="10 ft")) is None


def test_a_long_cable_is_as_thick_as_its_loss_asks() -> None:
    """40 A over 24 ft there and back: gauge 8 has 2.06 mΩ/m, 40 × 14.63 × 0.00206 = 1.21 V, over the 1.2 V allowed."""
    cable = cable_for(electric("40 A"), wires(length="24 ft"))
    assert cable is not None
    assert cable.id == "6"


def test_lists_in_two_parts() -> None:
    """What is safe to order now and what waits: the caller's listing from elsewhere names no ports."""
    inquiry, outfit, lines = next(row for row in lists() if row[1].seen_elsewhere and row[1].power.route == "diverter")
    assert outfit.attachment.hydraulics is None
    waiting = [line for line in lines if not line.safe_to_order]
    assert [line.item for line in waiting] == ["hoses"]
    assert "thread" in waiting[0].waits_for
    assert len(lines) > 10
    assert inquiry.seen_elsewhere


def test_routes_with_oil_are_the_ones_with_oil_on_the_list() -> None:
    for _, outfit, lines in lists():
        assert any(line.item == "oil" for line in lines) == (outfit.power.route in HYDRAULIC)


def test_the_machine_without_a_name_still_has_its_list() -> None:
    power = PowerRoute("third_function", (shelf().parts["third-function-open"],))
    lines = parts_list(Outfit(shelf().attachments["thicketjaw-42"], DIRECT, power), Inquiry(machine=Machine()), shelf())
    assert {line.item for line in lines} >= IN_ROW | SWITCHED | ALONG
