"""The circuit rules against what goes wrong in workshops (common practice, no source): each failure has its rule."""

from __future__ import annotations

from dataclasses import replace
from math import isnan

import pytest

from handfast.connections.rules import WHEN, CircuitFacts, RuleFinding, check_circuit, circuit_rules

SEVEN_LINES = CircuitFacts(
    "third_function", centre="open", kit_centre=("open",), needs=frozenset(("power_beyond", "switched_12v")),
    lines_at_valve=7, power_beyond=True, relief=170e5, tank_port=210e5, flow=4e-4, kit_flow=7.6e-4,
    steering_first=True, regenerative=False, lid_held=True, blocked=300e5,
)  # fmt: skip
"""A sound third function: open centre on both sides, power beyond, an outlet that stands relief."""

REMOTE = CircuitFacts("rear_remote_forward", centre="open", needs=frozenset(("rear_remote",)), steering_first=True)


def ids(facts: CircuitFacts, severity: str = "", stage: str = "") -> set[str]:
    return {
        one.rule.id
        for one in check_circuit(facts)
        if severity in ("", one.rule.severity) and stage in ("", one.rule.stage)
    }


def the(facts: CircuitFacts, rule: str) -> RuleFinding:
    return next(one for one in check_circuit(facts) if one.rule.id == rule)


def test_a_sound_third_function_breaks_nothing() -> None:
    assert ids(SEVEN_LINES, "breaks") == set()
    assert ids(SEVEN_LINES, stage="choice") == set()


BROKEN = {
    "open valve on a closed circuit": ({"centre": "closed"}, "centre_open_on_closed"),
    "open valve on load sensing": ({"centre": "load_sensing"}, "centre_open_on_closed"),
    "closed valve on an open circuit": ({"kit_centre": ("closed", "load_sensing")}, "centre_closed_on_open"),
    "no power beyond": ({"power_beyond": False}, "power_beyond_missing"),
    "six lines": ({"power_beyond": None, "lines_at_valve": 6}, "power_beyond_lines"),
    "outlet weaker than relief": ({"tank_port": 100e5}, "tank_port"),
}


@pytest.mark.parametrize("name", BROKEN)
def test_what_breaks(name: str) -> None:
    change, rule = BROKEN[name]
    assert ids(replace(SEVEN_LINES, **change), "breaks") == {rule}  # type: ignore[arg-type]


def test_a_diverter_needs_a_curl_circuit_without_regeneration() -> None:
    """Regeneration joins both sides while dumping: a diverter then leaves one lid line dead."""
    curl = CircuitFacts("diverter", centre="open", steering_first=True)
    assert ids(replace(curl, regenerative=True), "breaks") == {"regenerative"}
    assert "regenerative_unknown" in ids(curl, "mind", "fitting")
    assert not {"regenerative", "regenerative_unknown"} & ids(replace(curl, regenerative=False))
    assert ids(replace(SEVEN_LINES, regenerative=True), "breaks") == set()


def test_a_detent_is_to_be_minded_and_breaks_nothing() -> None:
    for detent in (True, None):
        assert ids(replace(REMOTE, detent=detent), "breaks") == set()
        assert ids(replace(REMOTE, detent=detent), "mind", "choice") == {"detent"}
    assert ids(replace(REMOTE, detent=False), stage="choice") == set()
    assert "button_held" in ids(SEVEN_LINES, "mind", "use")


def test_tanks_that_stand_relief_are_left_alone_and_unknown_ones_are_asked_about() -> None:
    assert "tank_port" not in ids(replace(SEVEN_LINES, tank_port=170e5))
    assert "tank_port_unknown" in ids(replace(SEVEN_LINES, tank_port=float("nan")), "mind", "fitting")
    assert not {"tank_port", "tank_port_unknown"} & ids(replace(REMOTE, tank_port=1e5, relief=200e5))


FAILURES = {
    "lines swapped at the loader valve": (SEVEN_LINES, "lines_swapped", "fitting"),
    "fed from the tank port": (SEVEN_LINES, "power_beyond_sleeve", "fitting"),
    "power beyond left without its next valve": (SEVEN_LINES, "series_order", "fitting"),
    "no relief on the added pump's branch": (CircuitFacts("separate_pump"), "branch_relief", "fitting"),
    "lever held in at the end": (REMOTE, "detent", "choice"),
    "button held at the end": (SEVEN_LINES, "button_held", "use"),
    "hitch stands still meanwhile": (SEVEN_LINES, "hitch_starved", "use"),
    "steering slow": (replace(SEVEN_LINES, steering_first=None), "steering_shared", "use"),
    "coupler not home": (SEVEN_LINES, "coupler_not_home", "use"),
    "trapped pressure": (SEVEN_LINES, "trapped_pressure", "use"),
    "flush faces under pressure": (SEVEN_LINES, "flush_face", "use"),
    "small couplers": (replace(SEVEN_LINES, coupler_bore=0.008, line_bore=0.0127), "small_couplers", "fitting"),
    "lid drifts": (replace(SEVEN_LINES, lid_held=False), "lid_drifts", "use"),
    "wrong button on a diverter": (CircuitFacts("diverter"), "diverter_holds", "use"),
    "no sense line": (
        replace(SEVEN_LINES, centre="load_sensing", kit_centre=("load_sensing",), needs=frozenset(("sense_port",))),
        "sense_line",
        "fitting",
    ),
    "too much flow for the kit": (replace(SEVEN_LINES, flow=8e-4), "flow_above_kit", "fitting"),
}


@pytest.mark.parametrize("name", FAILURES)
def test_every_failure_of_the_workshop_is_named_with_what_to_do(name: str) -> None:
    facts, rule, stage = FAILURES[name]
    found = the(facts, rule)
    assert (found.rule.severity, found.rule.stage) == ("mind", stage)
    assert found.rule.remedy
    assert "{" not in found.in_full()


def test_where_a_failure_cannot_happen_nothing_is_said() -> None:
    own = CircuitFacts("separate_pump", brings=frozenset(("relief_valve",)), steering_first=None)
    assert not {"branch_relief", "steering_shared", "hitch_starved", "series_order"} & ids(own)
    assert "small_couplers" not in ids(replace(SEVEN_LINES, coupler_bore=0.011, line_bore=0.0127))
    assert "lid_drifts" not in ids(SEVEN_LINES)
    assert "flow_above_kit" not in ids(SEVEN_LINES)
    assert "power_beyond_doubt" in ids(replace(SEVEN_LINES, lines_at_valve=6), "mind", "choice")


def test_figures_stand_in_the_sentence_in_both_systems() -> None:
    """100 bar are 1,450 psi, 170 bar 2,466 psi."""
    low = the(replace(SEVEN_LINES, tank_port=100e5), "tank_port")
    assert "1,450 psi" in low.sentence("us")
    assert "2,466 psi" in low.sentence("us")
    assert "100 bar" in low.sentence("metric")
    assert "6 lines" in the(replace(SEVEN_LINES, power_beyond=None, lines_at_valve=6), "power_beyond_lines").in_full()


def test_what_breaks_comes_first_and_every_rule_can_speak() -> None:
    worst = replace(SEVEN_LINES, tank_port=1e5, power_beyond=False)
    order = [one.rule.severity for one in check_circuit(worst)]
    assert order == sorted(order)
    assert set(WHEN) == set(circuit_rules())
    tried = [SEVEN_LINES, REMOTE, worst, *(f for f, _, _ in FAILURES.values())]
    tried += [replace(SEVEN_LINES, **c) for c, _ in BROKEN.values()]  # type: ignore[arg-type]
    tried += [
        replace(SEVEN_LINES, tank_port=float("nan"), lines_at_valve=6),
        replace(SEVEN_LINES, blocked=float("nan")),
    ]
    tried += [CircuitFacts("diverter"), CircuitFacts("diverter", regenerative=True)]
    assert set().union(*(ids(f) for f in tried)) == set(circuit_rules())
    assert isnan(CircuitFacts("none").relief)
