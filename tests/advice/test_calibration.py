"""Claims against what happened: by plain loops, by Wilson's printed figure, and fed by a simulated year.

The year's truth is drawn from samples of another seed, so from the distributions that the claims are made of; then
from heavier wood than the callers say, which the claims know nothing of. The outside formulas are the Brier score's
three parts (Murphy 1973), Wilson's interval (printed example: 8 of 10 is 0.490 to 0.943), and the chi-square of Hosmer
and Lemeshow with scipy's distribution.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from itertools import pairwise

import numpy as np
import pytest
from scipy.stats import chi2

from handfast.advice.calibration import EDGES, Calibration, calibration, wilson
from handfast.advice.odds import Judged, full_height_counts, judge
from handfast.machines.inquiry import Inquiry
from handfast.machines.reading import demo_shelf, read_inquiry
from handfast.outfits.assess import Assessment, assess
from handfast.outfits.ballast import added_of
from handfast.outfits.lay import lay
from handfast.quantities.estimate import Estimate

SALES = 400
CLASSES = ("subcompact", "compact_small", "compact_large")
CALLS = """
title = "a call"
[machine]
class = "{0}"
quick_attach = "universal_plate"
front_functions = 1
[[work]]
kind = "logs"
species = "Red oak"
diameter = "{1} in"
length = "{2} ft"
[site]
slope = "{3} %"
"""


@cache
def callers() -> tuple[Inquiry, ...]:
    random = np.random.default_rng(3)
    sizes = {"subcompact": (8, 14), "compact_small": (10, 17), "compact_large": (13, 22)}
    made = []
    for group in CLASSES:
        for _ in range(4):
            thick = round(float(random.uniform(*sizes[group])), 1)
            words = (group, thick, int(random.integers(6, 10)), int(random.integers(4, 14)))
            made.append(read_inquiry(CALLS.format(*words), "inquiry"))
    return tuple(made)


def _answered(inquiry: Inquiry, seed: int) -> Judged:
    return judge(lay(inquiry.resolve(demo_shelf()), demo_shelf(), seed), demo_shelf())


def _heavier(inquiry: Inquiry) -> Inquiry:
    """Wood a sixth heavier than the tables say."""
    work = inquiry.work[0].model_copy(update={"density": Estimate.triangular(1050, 1150, 1250)})
    return inquiry.model_copy(update={"work": (work,)})


def _came(inquiry: Inquiry, said: Judged, seed: int) -> tuple[dict[str, int], Assessment]:
    """Every outfit with the ballast that was offered, in samples of another seed."""
    bench = lay(inquiry.resolve(demo_shelf()), demo_shelf(), seed).benches[0]
    offered = {one.id: said.sets[k] for k, one in enumerate(said.bench.outfits)}
    sets = [offered.get(one.id) for one in bench.outfits]
    found = assess(replace(bench, added=added_of(sets, bench)), also_hard=full_height_counts(bench))
    return {one.id: k for k, one in enumerate(bench.outfits)}, found


@cache
def year(true: bool) -> tuple[np.ndarray, np.ndarray]:
    """Claims of seed 1, and what happened in one sample of another seed with the ballast that was offered."""
    random = np.random.default_rng(11)
    claimed, held = [], []
    for number, inquiry in enumerate(callers()):
        said = _answered(inquiry, 1)
        place, came = _came(inquiry if true else _heavier(inquiry), said, 100 + number)
        rows = [
            k
            for k, one in enumerate(said.bench.outfits)
            if one.id in place and not said.presumes(k) and not said.stays_below(k) and 0.02 < said.held(k) < 1.0
        ]
        for row in random.choice(rows, SALES // len(callers())) if rows else ():
            samples = came.together[place[said.bench.outfits[row].id]]
            claimed.append(said.held(int(row)))
            held.append(float(random.choice(samples)))
    return np.array(claimed), np.array(held)


def lack_of_fit(found: Calibration) -> float:
    """Chance of so much bend or more where claims are true: Hosmer and Lemeshow, scipy's chi-square."""
    wide = [one for one in found.bins if 0.0 < one.claimed < 1.0]
    parts = [one.count * (one.held - one.claimed) ** 2 / max(one.claimed * (1.0 - one.claimed), 1e-3) for one in wide]
    return float(chi2.sf(sum(parts), len(parts)))


def test_a_true_model_lies_on_the_diagonal() -> None:
    found = calibration(*year(True))
    assert found.count >= 200
    assert len(found.bins) >= 5
    wide = [one for one in found.bins if one.count >= 8]
    assert sum(one.low <= one.claimed <= one.high for one in wide) >= len(wide) - 1
    assert lack_of_fit(found) > 0.01
    assert found.off < 0.08


def test_a_model_that_is_not_true_bends_to_the_kind_side() -> None:
    true, bent = calibration(*year(True)), calibration(*year(False))
    assert bent.bent
    assert lack_of_fit(bent) < 1e-6
    assert bent.off > 2 * true.off
    assert all(one.held < one.claimed for one in bent.bins if one.bends)


def test_bins_by_plain_loops() -> None:
    claimed, held = year(True)
    found = calibration(claimed, held)
    for one, (low, high) in zip(
        found.bins,
        [pair for pair in pairwise(EDGES) if any(_in(c, pair) for c in claimed)],
        strict=True,
    ):
        inside = [(c, h) for c, h in zip(claimed, held, strict=True) if _in(c, (low, high))]
        assert one.count == len(inside)
        assert one.claimed == pytest.approx(sum(c for c, _ in inside) / len(inside))
        assert one.held == pytest.approx(sum(h for _, h in inside) / len(inside))


def _in(claim: float, pair: tuple[float, float]) -> bool:
    return pair[0] <= claim < pair[1] or (claim == 1.0 and pair[1] == 1.0)


def test_the_score_is_its_three_parts() -> None:
    """Murphy 1973: reliability less resolution plus uncertainty, exact where the claims of a bin are equal."""
    random = np.random.default_rng(5)
    claimed = random.choice([0.1, 0.3, 0.5, 0.92, 0.97], 500)
    held = (random.random(500) < claimed**1.3).astype(float)
    found = calibration(claimed, held)
    rate = held.mean()
    reliability = sum(b.count * (b.claimed - b.held) ** 2 for b in found.bins) / 500
    resolution = sum(b.count * (b.held - rate) ** 2 for b in found.bins) / 500
    assert found.score == pytest.approx(reliability - resolution + rate * (1 - rate), abs=1e-12)


def test_wilson_as_printed() -> None:
    low, high = wilson(8, 10, 1.96)
    assert float(low) == pytest.approx(0.490, abs=5e-4)
    assert float(high) == pytest.approx(0.943, abs=5e-4)
    assert float(wilson(0, 10)[0]) == 0.0 and float(wilson(10, 10)[1]) == pytest.approx(1.0)


def test_the_limits_hold_the_true_share_nine_times_in_ten() -> None:
    random = np.random.default_rng(8)
    hits = []
    for share in (0.3, 0.6, 0.9):
        held = random.binomial(60, share, 2000)
        low, high = wilson(held, 60)
        hits.append(np.mean((low <= share) & (share <= high)))
    assert all(0.86 <= hit <= 0.94 for hit in hits), hits


def test_nothing_heard_of_is_nothing_claimed() -> None:
    assert calibration([], []).count == 0
    assert not calibration([], []).bent
