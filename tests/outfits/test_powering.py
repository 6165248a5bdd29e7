"""Power routes: each of the table is offered or out with its reason, for every attachment and machine on the shelf.

Which route suits which tractor is common practice, no source: each expectation is stated beside its case.
"""

from __future__ import annotations

from functools import cache
from typing import Any

import pytest

from handfast.machines.attachment import Attachment
from handfast.machines.part import Part
from handfast.machines.reading import demo_inquiries, demo_shelf
from handfast.machines.shelf import Shelf
from handfast.machines.tractor import Machine
from handfast.outfits.facts import machine_class
from handfast.outfits.lay import lay
from handfast.outfits.powering import HYDRAULIC, ROUTES, RouteChoice, power_routes, route_table

GRAPPLE = Attachment(kind="root_grapple", lids=1, actuation="hydraulic")


@cache
def shelf() -> Shelf:
    return demo_shelf()


def kits(*more: Part) -> tuple[Part, ...]:
    return (*shelf().parts.values(), *more)


def tractor(**says: Any) -> Machine:
    usual = {"class": "compact_small", "centre": "open", "power_beyond": True, "lines_at_valve": 7}
    return Machine(**{**usual, "rear_remotes": 0, "front_functions": 0, "mid_outlets": 0, **says})


def table(machine: Machine, attachment: Attachment = GRAPPLE) -> dict[str, RouteChoice]:
    return {c.route: c for c in route_table(machine, attachment, kits(), machine_class(machine))}


def offered(machine: Machine, attachment: Attachment = GRAPPLE) -> set[str]:
    return {name for name, choice in table(machine, attachment).items() if choice.offered}


def test_every_route_is_offered_or_out_with_its_reason_everywhere() -> None:
    for machine in shelf().machines.values():
        for attachment in shelf().attachments.values():
            choices = route_table(machine, attachment, kits(), machine_class(machine))
            assert tuple(c.route for c in choices) == ROUTES
            assert all(c.offered or len(c.why) > 10 for c in choices)
            assert any(c.offered for c in choices), (machine.id, attachment.id)


def test_what_a_plain_tractor_is_offered() -> None:
    """Nothing spare, seven lines: a valve in the row, the curl lines, a further remote, a pump of its own."""
    assert offered(tractor()) == {"third_function", "diverter", "rear_remote_forward", "separate_pump"}
    assert table(tractor())["rear_remote_forward"].power.kit.id == "remote-add"  # type: ignore[union-attr]


def test_without_power_beyond_no_valve_goes_in_the_row() -> None:
    without = tractor(power_beyond=False, lines_at_valve=6)
    assert offered(without) == {"diverter", "separate_pump"}
    assert "power beyond" in table(without)["third_function"].why
    assert table(without)["rear_remote_forward"].why == "no rear remote to spare"


def test_six_lines_break_a_rule_and_seven_do_not() -> None:
    six = table(tractor(power_beyond=None, lines_at_valve=6))["third_function"].power
    assert six is not None
    assert [rule for rule in six.broken_rules if rule.startswith("6 lines")]
    assert "pump tee" in six.broken_rules[0]
    seven = table(tractor(power_beyond=None, lines_at_valve=7))["third_function"].power
    assert seven is not None
    assert seven.broken_rules == ()
    assert seven.presumes is None


def test_a_detent_is_a_condition_and_no_breach() -> None:
    for detent, said in ((True, 1), (None, 1), (False, 0)):
        power = table(tractor(rear_remotes=1, remote_detent=detent))["rear_remote_forward"].power
        assert power is not None
        assert power.kit is not None
        assert power.kit.id == "remote-forward"
        assert (power.broken_rules, len(power.care)) == ((), said)


def test_what_nobody_has_said_is_presumed() -> None:
    open_ = Machine(**{"class": "compact_small"})
    assert table(open_)["third_function"].power.presumes == "power_beyond"  # type: ignore[union-attr]
    assert table(open_)["rear_remote_forward"].power.presumes == "rear_remotes"  # type: ignore[union-attr]
    assert table(open_)["front_outlets"].power.presumes == "front_functions"  # type: ignore[union-attr]
    assert table(tractor(front_functions=1))["front_outlets"].power.presumes is None  # type: ignore[union-attr]


def test_load_sensing_takes_the_closed_valve_and_its_sense_line() -> None:
    power = table(tractor(centre="load_sensing"))["third_function"].power
    assert power is not None
    assert power.kit is not None
    assert power.kit.id == "third-function-sensing"
    assert any(one.rule.id == "sense_line" for one in power.findings)
    assert "open" not in table(tractor(centre="load_sensing", mid_outlets=1))["mid_outlet"].why
    assert "load-sensing" in table(tractor(centre="load_sensing", mid_outlets=1))["mid_outlet"].why


def test_regeneration_rules_the_diverter_out_and_nothing_else() -> None:
    assert offered(tractor()) - offered(tractor(dump_regenerative=True)) == {"diverter"}
    assert "regenerative" in table(tractor(dump_regenerative=True))["diverter"].why


def test_the_kit_is_large_enough_for_the_flow() -> None:
    """14 gpm at working speed ask for the 16 gpm kit; 8 gpm take the first on the shelf."""
    large = tractor(**{"class": "utility", "implement_flow": "14 gpm"})
    small = tractor(**{"class": "utility", "implement_flow": "8 gpm"})
    picked = [table(one)["third_function"].power.kit.id for one in (large, small)]  # type: ignore[union-attr]
    assert picked == ["third-function-open-large", "third-function-open"]


def test_a_kit_made_for_other_machines_or_too_weak_at_its_outlet_is_not_taken() -> None:
    says: dict[str, Any] = {
        "kind": "valve_kit", "power_route": "third_function", "centre": ["open"], "needs": ["power_beyond"],
        "price": "1", "stock": 5, "flow_rated": "20 gpm",
    }  # fmt: skip
    mine = tractor(relief_pressure="170 bar", id="mine")
    weak = Part(id="weak", tank_port_rating="50 bar", **says)
    other = Part(id="other", tank_port_rating="250 bar", serves=["yours"], **says)
    found = power_routes(mine, GRAPPLE, (weak, other))[0]
    assert [(one.kit.id, len(one.broken_rules)) for one in found if one.kit is not None] == [("weak", 1)]
    good = Part(id="good", tank_port_rating="250 bar", **{**says, "price": "900", "stock": 0})
    found = power_routes(mine, GRAPPLE, (weak, other, good))[0]
    assert [(one.kit.id, one.broken_rules) for one in found if one.kit is not None] == [("good", ())]
    assert "other" in [
        one.kit.id for one in power_routes(mine.model_copy(update={"id": "yours"}), GRAPPLE, (other,))[0] if one.kit
    ]


@pytest.mark.parametrize(
    ("actuation", "kind", "routes"),
    [
        ("electric", "root_grapple", {"electric"}),
        ("curl", "log_grapple", {"curl"}),
        ("none", "bucket", {"none"}),
        ("none", "pallet_forks", {"none", "manual"}),
    ],
)
def test_the_lids_own_kind_decides_the_rest(actuation: str, kind: str, routes: set[str]) -> None:
    tool = Attachment(kind=kind, actuation=actuation, lids=0 if actuation == "none" else 1)
    assert offered(tractor(), tool) == routes
    assert all(table(tractor(), tool)[name].about_lid for name in HYDRAULIC)


def test_a_clamp_by_hand_only_where_there_is_one_and_the_work_is_single_pieces() -> None:
    forks = Attachment(kind="pallet_forks", actuation="none", lids=0)
    by_hand = [one.route for one in power_routes(tractor(), forks, kits(), None, ("logs",))[0]]
    assert by_hand == ["manual", "none"]
    assert [one.route for one in power_routes(tractor(), forks, kits(), None, ("logs", "pallets"))[0]] == ["none"]
    assert [one.route for one in power_routes(tractor(), forks, (), None, ("logs",))[0]] == ["none"]


def test_no_outfit_of_the_eight_callers_breaks_a_rule() -> None:
    """Their tractors have power beyond, open centres and sound curl circuits: nothing is against a rule."""
    seen = 0
    for inquiry in demo_inquiries().values():
        laid = lay(inquiry.resolve(shelf()), shelf(), 1)
        for outfit in laid.candidates.outfits:
            assert outfit.power.broken_rules == (), outfit.id
            seen += 1
    assert seen > 300
