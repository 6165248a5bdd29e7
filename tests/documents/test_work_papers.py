"""The papers of the workshop read back with poppler: hose order, parts order, circuit, install sheet, tags.

What must stand on each is trade practice (no source): every hose of the plan by its one number, the order in two parts
with the question that frees the second, stop points before anything else, no torque without its source.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cache
from typing import Any

import pytest

from handfast.advice.advise import advise
from handfast.advice.result import Advice
from handfast.documents.kinds import KINDS
from handfast.documents.papers import PAPERS, paper_of
from handfast.documents.work_paper import Options, length
from handfast.machines.inquiry import Inquiry
from handfast.machines.part import Part
from handfast.machines.reading import demo_inquiries, demo_shelf, read_inquiry
from handfast.machines.shelf import Shelf
from handfast.outfits.fitting import Fitting, fitting_of
from handfast.outfits.hose_order import hose_order_of
from handfast.outfits.install import joint_kinds
from handfast.outfits.mounting import MountRoute
from handfast.outfits.ordering import order_of
from handfast.outfits.outfit import Outfit
from handfast.outfits.powering import PowerRoute
from handfast.outfits.route_facts import circuit_facts

WORK = ["parts-order", "hose-order", "circuit-sheet", "install-sheet", "hose-tags"]
WITH_EVERY_HOSE = [kind for kind in WORK if kind != "parts-order"]
CASES = {
    "third_function": ("3-nothing-spare-little-money", "thicketjaw-42n", "third_function"),
    "diverter": ("1-heavy-grapple-on-line", "billetjaw-32", "diverter"),
    "added remote": ("1-heavy-grapple-on-line", "billetjaw-32", "rear_remote_forward"),
    "rear remote": ("4-long-wet-logs", "billetjaw-40", "rear_remote_forward"),
    "front outlets": ("7-dads-tractor", "thicketjaw-48", "front_outlets"),
    "electric": ("3-nothing-spare-little-money", "thicketjaw-42e", "electric"),
    "curl": ("1-heavy-grapple-on-line", "billetjaw-32c", "curl"),
    "seen elsewhere": ("1-heavy-grapple-on-line", "seen-1", "diverter"),
    "mid outlet": ("", "billetjaw-40", "mid_outlet"),
}
OLD = '[machine]\nrecord = "staddle-61"\n[[attachment]]\nrecord = "billetjaw-40"\n[[work]]\nkind = "logs"\n'


@cache
def shelf() -> Shelf:
    return demo_shelf()


@cache
def answered(name: str) -> tuple[Inquiry, Advice]:
    given = demo_inquiries()[name] if name else read_inquiry(OLD)
    return given, advise(given, shelf())


@cache
def case(name: str) -> tuple[Advice, Inquiry, Fitting]:
    file, tool, route = CASES[name]
    given, advice = answered(file)
    known = [one.id for one in advice.outfits if one.id.startswith(f"{tool}~") and one.id.endswith(f"~{route}")]
    assert known, [one.id for one in advice.outfits]
    return advice, given, fitting_of(known[0], given, shelf())


@cache
def paper(name: str, kind: str, size: str = "us-letter", system: str = "us") -> bytes:
    advice, given, fitting = case(name)
    options = Options(size, system, "2026-03-04", "0417")
    return paper_of(kind, advice, fitting.outfit.id, given, shelf(), options)


def test_every_kind_has_its_maker() -> None:
    assert list(KINDS) == list(PAPERS)


def every() -> Iterator[tuple[str, str]]:
    for name in CASES:
        for kind in WORK:
            yield name, kind


@pytest.mark.parametrize(("name", "kind"), list(every()))
def test_tagged_titled_and_in_a_language(words: Any, name: str, kind: str) -> None:
    pdf = paper(name, kind)
    told = words(pdf, "pdfinfo")
    assert re.search(r"^Tagged: +yes$", told, re.M)
    assert re.search(rf"^Title: +{KINDS[kind]} 0417: ", told, re.M)
    assert re.search(r"^Page size: +612 x 792 pts", told, re.M)
    assert re.search(rb"/Lang\s*\(en-US\)", pdf)
    tree = words(pdf, "pdfinfo", "-struct")
    assert len(re.findall(r"^\s*H1\b", tree, re.M)) == 1
    if kind != "hose-tags":
        assert re.search(r"^\s*H2\b", tree, re.M)
    if kind in ("parts-order",):
        assert re.search(r"^\s*TH\b", tree, re.M)


def pumped(kit: str) -> Fitting:
    """A pump of its own on the main tractor, which nobody would sell while its own oil does."""
    inquiry = demo_inquiries()["1-heavy-grapple-on-line"].resolve(shelf())
    tool = shelf().attachments["billetjaw-32"]
    parts = (shelf().parts[kit],)
    facts = circuit_facts("separate_pump", inquiry.machine, tool, parts[0])
    power = PowerRoute("separate_pump", parts, None, facts)
    return Fitting(Outfit(tool, MountRoute("direct", "pinned", "pinned"), power), inquiry, shelf())


@pytest.mark.parametrize("kit", ["pump-pto", "pump-12v"])
@pytest.mark.parametrize("kind", WITH_EVERY_HOSE)
def test_a_pump_of_its_own_is_numbered_alike(flat: Any, kit: str, kind: str) -> None:
    advice = case("diverter")[0]
    fitting = pumped(kit)
    tags = {one.tag for one in fitting.numbers}
    assert ({"S1", "P1", "T1"} <= tags) == (kit == "pump-pto")
    text = flat(PAPERS[kind](advice, advice.outfits[0].id, fitting, Options(number="7")))
    assert set(re.findall(r"(?<![\w-])(?:A|B|C|P|N|T|S|X)\d(?![\w/])", text)) == tags


@pytest.mark.parametrize("kind", WORK)
def test_the_other_paper_and_units_and_equal_bytes(words: Any, flat: Any, kind: str) -> None:
    pdf = paper("rear remote", kind, "a4", "metric")
    assert re.search(r"595\.2\d+ x 841\.8\d+ pts", words(pdf, "pdfinfo"))
    assert not re.search(r"\d (in|psi|gpm|ft)\b", re.sub(r"\d+/\d+ in|\d+ ft|\d+ in\b(?= log)", "", flat(pdf)))
    advice, given, fitting = case("rear remote")
    options = Options("a4", "metric", "2026-03-04", "0417")
    assert paper_of(kind, advice, fitting.outfit.id, given, shelf(), options) == pdf


@pytest.mark.parametrize("name", CASES)
def test_one_number_names_one_hose_on_every_paper(flat: Any, name: str) -> None:
    """Drawing, order, tags and install sheet carry the very same numbers: those that `hose_numbers` gives."""
    fitting = case(name)[2]
    tags = [one.tag for one in fitting.numbers]
    assert len(tags) == len(set(tags))
    pattern = re.compile(r"(?<![\w-])(?:A|B|C|P|N|T|S|X)\d(?![\w/])")
    for kind in WITH_EVERY_HOSE:
        if kind == "circuit-sheet" and fitting.circuit is None:
            continue
        found = set(pattern.findall(flat(paper(name, kind))))
        if not fitting.runs:
            found -= {"A1", "B1"}  # the ports where lines that are not chosen yet will begin
        assert found == set(tags), kind
    listed = {line.tag for line in fitting.parts if line.tag}
    assert set(tags) <= listed
    assert set(pattern.findall(flat(paper(name, "parts-order")))) == set(tags)


@pytest.mark.parametrize("name", CASES)
def test_each_hose_has_one_row_on_the_order_and_one_label(words: Any, flat: Any, name: str) -> None:
    hoses = hose_order_of(case(name)[2])
    order = words(paper(name, "hose-order"), "pdftotext", "-layout")
    labels = words(paper(name, "hose-tags"), "pdftotext", "-layout")
    for one in hoses:
        assert len(re.findall(rf"^ *{one.tag} ", order, re.M)) == 1
        assert len(re.findall(rf"(?<!\w){one.tag}(?!\w)", labels)) >= 2, "one half for each end"
    pages = int(re.search(r"^Pages: +(\d+)$", words(paper(name, "hose-tags"), "pdfinfo"), re.M).group(1))  # type: ignore[union-attr]
    assert pages == max(1, -(-len(hoses) // 4))


@pytest.mark.parametrize("name", CASES)
def test_lengths_ordered_are_those_of_the_plan(flat: Any, name: str) -> None:
    fitting = case(name)[2]
    text = flat(paper(name, "hose-order"))
    for one in hose_order_of(fitting):
        if one.number.piece is None or one.number.brought_by:
            continue
        plan = fitting.hoses.tagged(one.tag)
        assert one.overall == plan.ordered
        assert one.overall >= plan.needed - 1e-9
        assert length(one.overall, "us") in text
        assert length(one.overall, "us") in flat(paper(name, "hose-tags"))
        assert length(one.overall, "us") in flat(paper(name, "install-sheet"))


def test_a_made_up_hose_is_rated_by_its_weakest_part(flat: Any) -> None:
    """Hose 330 bar, ends 250 bar: 250 bar; cut = overall less two ends of 50 mm (by hand)."""
    advice, given, _ = case("rear remote")
    parts = {k: p for k, p in shelf().parts.items() if p.kind != "hose" or p.hose_size or p.length.value < 1.5}
    ends = {k: p.model_copy(update={"pressure_max": WEAK}) for k, p in parts.items() if p.kind == "hose_end"}
    only = shelf().model_copy(update={"parts": {**parts, **ends}})
    fitting = fitting_of(case("rear remote")[2].outfit.id, given, only)
    made = [one for one in hose_order_of(fitting) if not one.number.brought_by]
    assert made
    for one in made:
        assert one.rating == pytest.approx(250e5)
        assert "rimp end" in one.weakest
        assert one.cut == pytest.approx(one.overall - 0.1)
    text = flat(paper_of("hose-order", advice, fitting.outfit.id, given, only, Options(system="metric")))
    assert "250 bar" in text
    assert f"cut {1000 * made[0].cut:,.0f} mm" in text


WEAK = Part(kind="hose_end", pressure_max="250 bar").pressure_max


@pytest.mark.parametrize("name", CASES)
def test_the_order_has_every_line_in_one_of_two_parts(flat: Any, name: str) -> None:
    fitting = case(name)[2]
    order = order_of(fitting)
    waiting = [one for _, lines in order.waiting for one in lines]
    assert len(order.now) + len(waiting) == len(order.lines)
    assert all(asked.question and asked.how for asked, _ in order.waiting)
    text = flat(paper(name, "parts-order"))
    for asked, _ in order.waiting:
        assert asked.question in text
    for one in order.lines:
        assert one.line.what.split(",")[0] in text, one.line


def test_what_waits_for_what() -> None:
    """Hoses along the arms wait for a string; a kit waits for power beyond; ports not named hold both lines."""
    asked = {name: {a.key for a, _ in order_of(case(name)[2]).waiting} for name in CASES}
    assert asked["diverter"] == {"arm_string"}
    assert asked["rear remote"] == {"arm_string"}
    assert asked["electric"] == set()
    assert asked["curl"] == set()
    assert asked["third_function"] == set()
    assert asked["seen elsewhere"] == {"ports_tool"}
    assert asked["front outlets"] >= {"quick_attach"}


def test_a_measured_length_frees_its_hoses() -> None:
    """As built wins over what was reckoned: nothing waits for the string any more."""
    _, given, fitting = case("diverter")
    measured = {one.tag: 1.5 for one in fitting.numbers if one.piece is not None and not one.brought_by}
    freed = fitting_of(fitting.outfit.id, given, shelf(), as_built=measured)
    assert measured
    assert not order_of(freed).waiting


@pytest.mark.parametrize("name", CASES)
def test_stop_points_come_first_and_ring_the_counter(flat: Any, name: str) -> None:
    text = flat(paper(name, "install-sheet"))
    first, stop, care, steps = (text.index(w) for w in ("Stop points", "ring the counter", "At every step", "Steps"))
    assert first < stop < care < steps
    for words in ("engine off, key out", "Loader on the ground", "Nobody under raised arms", "Date", "initials"):
        assert words in text
    oil = case(name)[2].outfit.power.route not in ("electric", "curl")
    assert ("goes through skin" in text) == oil
    assert ("prod a coupler" in text) == oil


@pytest.mark.parametrize("name", CASES)
def test_no_torque_without_a_source(flat: Any, name: str) -> None:
    """No record on the shelf states a torque, so the sheet states none."""
    fitting = case(name)[2]
    text = flat(paper(name, "install-sheet"))
    assert "lbf·ft" not in text
    if fitting.runs:
        assert text.count("by the maker's sheet: ___") == len(joint_kinds(fitting))


def test_a_torque_of_a_part_stands_with_its_source(flat: Any) -> None:
    advice, given, fitting = case("rear remote")
    tight = Part(kind="adapter", torque="60 N·m").torque
    parts = {k: p.model_copy(update={"torque": tight}) if p.kind == "adapter" else p for k, p in shelf().parts.items()}
    more = shelf().model_copy(update={"parts": parts})
    text = flat(paper_of("install-sheet", advice, fitting.outfit.id, given, more, Options(system="metric")))
    assert "60 N·m, by the part's record" in text


@pytest.mark.parametrize("name", ["third_function", "diverter", "rear remote", "mid outlet"])
def test_circuit_sheet_names_flows_pressures_and_ports(flat: Any, name: str) -> None:
    fitting = case(name)[2]
    assert fitting.circuit is not None
    text = flat(paper(name, "circuit-sheet"))
    for words in ("flow out", "flow back", "at the pump", "seen from", "lid cylinder", "A shut rod port would see"):
        assert words in text
    assert text.count("closes") >= 4


def test_ports_are_seen_from_somewhere_and_every_hose_ends_on_one() -> None:
    from handfast.outfits.port_map import port_map

    for name in CASES:
        fitting = case(name)[2]
        rows = port_map(fitting)
        assert all(row.seen_from for row in rows)
        numbers = {n for row in rows for n in row.number.split(", ")}
        if fitting.runs:
            ends = {run.hoses[0].tag for run in fitting.runs} | {run.hoses[-1].tag for run in fitting.runs}
            supply = {one.tag for one in fitting.numbers if one.at == "supply"}
            assert numbers >= ends | supply, name


def test_oil_is_counted_in_the_papers_units(flat: Any) -> None:
    """A US gallon is 3.785 L, exactly 231 cubic inches."""
    assert "1 gal" in flat(paper("rear remote", "parts-order"))
    assert "3.8 L" in flat(paper("rear remote", "parts-order", "a4", "metric"))
    assert "the parts order has 3.8 L" in flat(paper("rear remote", "install-sheet", "a4", "metric"))


@pytest.mark.parametrize("name", CASES)
def test_the_way_it_hangs_has_its_own_steps(flat: Any, name: str) -> None:
    mount = case(name)[2].outfit.mount.route
    text = flat(paper(name, "install-sheet"))
    assert ("Fit the ears" in text) == (mount == "ears")
    assert ("Fit the quick attach on the four pins" in text) == (mount == "conversion")
    assert ("Drive the pins out" in text) == (mount in ("ears", "conversion"))
    assert text.index("Put the weight behind on") < text.index("Tests")


def test_an_electric_lid_has_its_wiring_on_the_circuit_sheet(flat: Any) -> None:
    text = flat(paper("electric", "circuit-sheet"))
    for words in ("Wiring", "W1: cable", "F1: 30 A", "Cable loses", "At the motor", "plug at the end of the arms"):
        assert words in text
