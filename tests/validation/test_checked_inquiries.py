"""The six checked inquiries end to end: text in, advice out, every figure of the expected files to a millionth.

Source of every expected figure: tests/validation/checked/README.md, an independent reckoning by moments and virtual
work (two methods that agree to 1e-9) of invented inquiries whose facts are all known. Nothing is sold in these tests:
the shelf is empty, so the caller's own attachment goes straight on.
"""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np
import pytest

from handfast.advice.advise import advise
from handfast.advice.result import CheckResult, OutfitAdvice
from handfast.machines.reading import read_inquiry
from handfast.machines.shelf import Shelf
from handfast.outfits.assess import assess
from handfast.outfits.bench import EMPTY, FURTHEST, TRAVEL, TRAVEL_HEIGHT, Bench
from handfast.outfits.check_shape import lowest_when_dumped
from handfast.outfits.checks import CHECKS
from handfast.outfits.lay import lay
from handfast.outfits.masses import combined
from handfast.physics.balance import counterweight
from handfast.physics.slope import body_without_axle, first_roll

CHECKED = Path(__file__).parent / "checked"
QUESTIONS = ("q01", "q04", "q07", "q10", "q18", "q19")
CLOSE = 1e-6
BROADSIDE = np.pi / 2

# The file says too little for these; with a function at the valve named in it we still say that there is a supply and
# that no circuit rule is broken, which the independent reckoning does not try to.
DECIDED_BY_US = {"power.supply", "power.rules", "balance.slope_hold"}


class Case(NamedTuple):
    """One inquiry, what came out, and what should."""

    bench: Bench
    outfit: OutfitAdvice
    expected: dict[str, Any]


@cache
def case(name: str) -> Case:
    inquiry = read_inquiry((CHECKED / f"{name}.toml").read_text(), f"{name}.toml")
    bench = lay(inquiry.resolve(Shelf()), Shelf(), 1).benches[0]
    advice = advise(inquiry, Shelf())
    assert len(bench.outfits) == len(advice.outfits) == 1
    return Case(bench, advice.outfits[0], json.loads((CHECKED / f"{name}.expected.json").read_text()))


def one(values: Any) -> float:
    """A figure that no sample may change."""
    flat = np.ravel(values)
    assert np.ptp(flat) <= 1e-12 * np.abs(flat).max()
    return float(flat[0])


def the(outfit: OutfitAdvice, check_id: str) -> CheckResult:
    return next(check for check in outfit.checks if check.id == check_id)


def broadside(bench: Bench, height: Any) -> float:
    whole = combined(bench.items(TRAVEL, height=height))
    d, span = bench.draws, bench.frame.wheelbase
    body = body_without_axle(whole.mass, whole.x, whole.z, d["front_axle_assembly_mass"], span, d["front_tyre.radius"])
    return one(first_roll(BROADSIDE, body, span, d["rear_track"], d["front_pivot_height"], whole).least)


def weight_behind(bench: Bench, rear_share: float) -> float:
    """The manuals' formula on the axle loads with the empty attachment, where a piece on the links hangs."""
    items = bench.items(FURTHEST, loaded=False)
    span = bench.frame.wheelbase
    mass, moment = sum(i.mass for i in items), sum(i.mass * i.x for i in items)
    front = moment / span
    ahead = bench.frame.pin_x(bench.frame.pivot.z) + bench.piece.x - span
    behind = bench.frame.hitch_x
    return one(counterweight(front, mass - front, bench.piece.mass, ahead, behind, span, rear_share))


def figures(bench: Bench, outfit: OutfitAdvice) -> dict[str, float]:
    """Every figure of the expected files that is not a check's."""
    low, high = np.array([TRAVEL_HEIGHT]), bench.frame.height_max
    payload = outfit.payload.full_height
    assert payload is not None and payload.p10 == payload.p90
    assert outfit.load is not None
    found = {
        "lambda": one(bench.frame.slope),
        "pivot.x": one(bench.frame.pivot.x),
        "pivot.z": one(bench.frame.pivot.z),
        "pin_height.down": one(bench.frame.pivot.height_down),
        "payload.full_height": payload.p50,
        "load_mass": outfit.load,
        "log_mass": one(bench.load.mass),
        "dump.lowest_point": float(np.ravel(lowest_when_dumped(bench))[0]),
        "counterweight.20": weight_behind(bench, 0.20),
        "counterweight.25": weight_behind(bench, 0.25),
        "tip.low_loaded": broadside(bench, low),
        "tip.low_loaded.worst_heading": one(bench.first_roll(low)),
        "tip.full_height_loaded": broadside(bench, high),
        "tip.full_height_loaded.worst_heading": one(bench.first_roll(high)),
    }
    poses = ((FURTHEST, 1.0, ""), (EMPTY, 1.0, ""), (TRAVEL, 1.0, ".bump_1.0"), (TRAVEL, 1.5, ".bump_1.5"))
    for pose, bump, word in poses:
        front, rear = bench.axles(pose, bump)
        found |= {f"axles.{pose}{word}.front": one(front), f"axles.{pose}{word}.rear": one(rear)}
    return found


EVERY = [
    (name, figure)
    for name in QUESTIONS
    for figure in json.loads((CHECKED / f"{name}.expected.json").read_text())["figures"]
]


def test_nothing_is_left_out() -> None:
    """As many figures as the six files hold."""
    assert len(EVERY) == 383


@pytest.mark.parametrize(("name", "figure"), [pair for pair in EVERY if not pair[1].startswith("check.")])
def test_figure(name: str, figure: str) -> None:
    bench, outfit, expected = case(name)
    assert figures(bench, outfit)[figure] == pytest.approx(expected["figures"][figure]["value"], rel=CLOSE, abs=1e-9)


@pytest.mark.parametrize(("name", "figure"), [pair for pair in EVERY if pair[1].startswith("check.")])
def test_check_figure(name: str, figure: str) -> None:
    """Demand, capacity and margin as the advice hands them out; null where the check is not asked."""
    _, outfit, expected = case(name)
    check_id, part = figure.removeprefix("check.").rsplit(".", 1)
    check, wanted = the(outfit, check_id), expected["figures"][figure]
    band = getattr(check, part)
    if wanted["value"] is None:
        assert check.held is None
        assert band is None
        return
    assert check.unit in (wanted["unit"], "share" if wanted["unit"] == "1" else wanted["unit"])
    assert band.p10 == band.p50 == band.p90
    assert band.p50 == pytest.approx(wanted["value"], rel=CLOSE, abs=1e-9)


@pytest.mark.parametrize("name", QUESTIONS)
def test_verdict(name: str) -> None:
    """The word, what governs, what fails, and which hard checks the file decides."""
    _, outfit, expected = case(name)
    verdict = expected["verdict"]
    hard = [check for check in outfit.checks if check.hard]
    failing = [check.id for check in hard if check.held is not None and check.held < 0.9]
    assert outfit.verdict == verdict["word"]
    assert outfit.governs == verdict["governs"]
    assert failing == verdict["failing"]
    assert outfit.held == 1.0
    assert outfit.error == 0.0


@pytest.mark.parametrize("name", QUESTIONS)
def test_scope(name: str) -> None:
    """Every check in scope is decided, holds, and nothing beyond the scope is but what is said above."""
    _, outfit, expected = case(name)
    verdict = expected["verdict"]
    kinds = {check.id: check.kind for check in outfit.checks}
    decided = {check.id for check in outfit.checks if "H" in kinds[check.id] and check.held is not None}
    scope, open_ones = set(verdict["scope"]), set(verdict["not_decidable_from_file"])
    assert scope <= decided
    assert decided - scope <= DECIDED_BY_US
    assert (open_ones & decided) <= DECIDED_BY_US
    assert all(the(outfit, check_id).held == 1.0 for check_id in decided)
    assert "mount.clearance" in open_ones - decided


@pytest.mark.parametrize("name", QUESTIONS)
def test_balance_needs_nothing_added(name: str) -> None:
    """Where the formula asks for no counterweight, none is asked for and none is put on."""
    _, outfit, expected = case(name)
    assert expected["figures"]["counterweight.25"]["value"] == 0.0
    assert outfit.ballast.needed == 0.0
    assert outfit.ballast.chosen == ()


@pytest.mark.parametrize("name", QUESTIONS)
def test_advice_and_bench_say_the_same(name: str) -> None:
    """The checks of the advice are the checks of the bench: no second way to a figure.

    Hoses and the budget come in only after the bench, with a shelf and prices.
    """
    bench, outfit, _ = case(name)
    done = assess(bench, CHECKS)
    for finding in done.findings:
        shown = the(outfit, finding.check.id)
        if finding.check.id.startswith(("join.", "cost.")):
            continue
        assert shown.held == finding.held(0)
        if shown.margin is not None:
            assert shown.margin.p50 == pytest.approx(float(np.median(finding.row("margin", 0))), rel=1e-12, abs=1e-12)
