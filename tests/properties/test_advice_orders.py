"""What must not change, or changes one way only: heavier tools, more budget, blanked facts, what nothing beats."""

from __future__ import annotations

import json
import re
from typing import Any

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from handfast.advice.advise import advise
from handfast.advice.as_json import to_json
from handfast.advice.odds import FITS, NOT, judge
from handfast.machines.inquiry import Inquiry, Wishes
from handfast.machines.reading import demo_inquiries, demo_shelf
from handfast.machines.tractor import Machine
from handfast.machines.work import Work
from handfast.outfits.lay import lay
from handfast.quantities.estimate import Estimate

SHELF = demo_shelf()
MACHINES = st.sampled_from(sorted(SHELF.machines))
TOOLS = st.sampled_from(
    ("thicketjaw-42", "thicketjaw-60", "billetjaw-48", "stookwright-forks-42", "cairnpicker-rock-48")
)
known = Estimate.known

# Facts for which something typical of the class stands in when nobody has said them.
STAND_IN = (
    "loader.lift_at_pin",
    "loader.lift_at_500",
    "loader.arms_mass",
    "loader.pin_height_max",
    "loader.plane_ahead",
    "mass",
    "front_axle_mass",
    "rear_axle_mass",
    "wheelbase",
    "cg_height",
    "rear_track",
    "pump_flow",
    "relief_pressure",
)


def asked(machine: Machine, tool: str, load: float | None) -> Inquiry:
    work = Work(kind="free") if load is None else Work(kind="free", mass=known(load))
    return Inquiry(machine=machine, attachment=(SHELF.attachments[tool],), work=(work,))


def left(inquiry: Inquiry) -> dict[str, np.ndarray]:
    """Payload at full height in every sample, by outfit."""
    benches = lay(inquiry, SHELF, 1).benches
    if not benches:
        return {}
    values = np.atleast_2d(benches[0].payload_at(benches[0].frame.height_max))
    return {o.id: values[row if len(values) > 1 else 0] for row, o in enumerate(benches[0].outfits)}


@settings(derandomize=True, deadline=None, max_examples=30)
@given(MACHINES, TOOLS, st.floats(0.1, 300.0))
def test_a_heavier_attachment_never_lifts_more(name: str, tool: str, more: float) -> None:
    light = asked(SHELF.machines[name], tool, None)
    record = light.attachment[0]
    heavy = light.model_copy(
        update={"attachment": (record.model_copy(update={"mass": known(record.mass.value + more)}),)}
    )
    before, after = left(light), left(heavy)
    assert before.keys() == after.keys()
    for outfit, values in before.items():
        assert np.all(after[outfit] <= values + 1e-9)
        assert np.all(values - after[outfit] <= 3 * more)


def without_budget(inquiry: Inquiry, budget: float) -> dict[str, Any]:
    advice = to_json(advise(inquiry.model_copy(update={"wishes": Wishes(own_work=True, budget=known(budget))}), SHELF))
    advice.pop("facts")
    advice["say_now"] = re.sub(r" (It may come to|That is) more than the \$[\d,]+ there is\.", "", advice["say_now"])
    for outfit in advice["outfits"]:
        outfit["checks"] = [check for check in outfit["checks"] if check["id"] != "cost.budget"]
    return advice


@settings(derandomize=True, deadline=None, max_examples=4)
@given(st.sampled_from(("2-hammer-means-pins", "6-sideways-on-the-bank")), st.floats(500, 4000), st.floats(1, 5000))
def test_more_budget_changes_nothing_but_its_own_check(name: str, budget: float, more: float) -> None:
    """Money that is there makes nothing lift, fit or rank otherwise."""
    inquiry = demo_inquiries()[name]
    assert json.dumps(without_budget(inquiry, budget)) == json.dumps(without_budget(inquiry, budget + more))


def blanked(machine: Machine, path: str) -> Machine:
    head, _, rest = path.partition(".")
    part: Any = getattr(machine, head)
    if rest:
        empty: Any = type(part).model_fields[rest].default
        return machine.model_copy(update={head: part.model_copy(update={rest: empty})})
    return machine.model_copy(update={head: type(machine).model_fields[head].default})


@settings(derandomize=True, deadline=None, max_examples=20)
@given(MACHINES, TOOLS, st.sets(st.sampled_from(STAND_IN), min_size=1, max_size=6), st.floats(1.1, 2.0))
def test_not_knowing_never_makes_fit_what_is_known_not_to(name: str, tool: str, gone: set[str], times: float) -> None:
    """Too heavy a load with every fact known: with facts gone it may be open or conditional, never plainly fit."""
    machine = SHELF.machines[name]
    payloads = left(asked(machine, tool, None))
    if not payloads:
        return
    load = times * max(float(values.max()) for values in payloads.values()) + 10.0
    known_words = words(asked(machine, tool, max(load, 10.0)))
    assert FITS not in known_words.values()
    for path in gone:
        machine = blanked(machine, path)
    guessed = words(asked(machine, tool, max(load, 10.0)))
    assert all(guessed[one] != FITS for one, word in known_words.items() if word == NOT and one in guessed)


def words(inquiry: Inquiry) -> dict[str, str]:
    judged = judge(lay(inquiry, SHELF, 1), SHELF)
    return {outfit.id: judged.verdict(row) for row, outfit in enumerate(judged.bench.outfits)}


@settings(derandomize=True, deadline=None, max_examples=20)
@given(MACHINES, TOOLS, st.floats(20.0, 1500.0), st.floats(1.0, 1.5))
def test_a_heavier_load_is_never_held_more_often(name: str, tool: str, load: float, times: float) -> None:
    """Lift, curl and the attachment's rating: margins fall as the load grows."""
    one, other = (asked(SHELF.machines[name], tool, mass) for mass in (load, load * times))
    laid = [lay(inquiry, SHELF, 1) for inquiry in (one, other)]
    if not laid[0].benches:
        return
    light, heavy = (judge(each, SHELF).bare for each in laid)
    for check_id in ("lift.full_height", "lift.curl", "lift.attachment_rating", "balance.rear_share_loaded"):
        before, after = light.of(check_id), heavy.of(check_id)
        for row in range(len(laid[0].benches[0].outfits)):
            if before.decided[row]:
                assert np.all(after.row("margin", row) <= before.row("margin", row) + 1e-9)


def test_what_is_marked_as_unbeaten_is_beaten_by_nobody_shown() -> None:
    """On total, payload, hours and convenience among tools of one kind."""
    advice = advise(demo_inquiries()["5-brush-pile"], SHELF)
    assert any(outfit.pareto for outfit in advice.outfits)
    for one in advice.outfits:
        beaten = [
            other.id
            for other in advice.outfits
            if other.kind == one.kind
            and _points(other) != _points(one)
            and all(a <= b for a, b in zip(_points(other), _points(one), strict=True))
        ]
        assert not (one.pareto and beaten), (one.id, beaten)


def _points(outfit: Any) -> tuple[float, ...]:
    payload = outfit.payload.full_height.p50
    return (outfit.cost.p50, -payload, outfit.job.hours or 0.0, -float(outfit.power.convenience))
