"""What knowing a fact is worth, against closed forms.

Two acts with a loss difference that is linear in normal inputs: the unit normal loss, m the mean and s the standard
deviation of the conditional mean, s φ(m/s) − |m| Φ(−|m|/s) (Raiffa and Schlaifer, Applied Statistical Decision Theory,
1961, chapter 5A). Discrete inputs: every combination enumerated with its probability.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pytest
from scipy.stats import norm

from handfast.advice.advise import choice_of
from handfast.advice.knowing import POINTS, knowing, points_for
from handfast.advice.worth import Column, perfect, worths
from handfast.machines.reading import demo_inquiries, demo_shelf
from handfast.outfits.lay import lay
from handfast.quantities import sobol

SPARE = 8
LARGE, OF_FORM, OF_PERFECT = 0.10, 0.02, 0.005


@dataclass(frozen=True)
class Case:
    columns: list[Column]
    acts: np.ndarray
    spare: list[Column]
    exact: list[float]  # of each input; the last one enters nothing
    perfect: float

    def errors(self) -> list[float]:
        """Error of each value over what is allowed."""
        found = worths(self.acts, self.columns, self.spare)
        assert all(0.0 <= value <= perfect(self.acts) for value in found)
        return [
            abs(value - form) / (OF_FORM * form if form >= LARGE * self.perfect else OF_PERFECT * self.perfect)
            for value, form in zip(found, self.exact, strict=True)
        ]


def unit_normal_loss(m: float, s: float) -> float:
    return float(s * norm.pdf(m / s) - abs(m) * norm.cdf(-abs(m) / s))


def points(inputs: int, seed: int, count: int) -> tuple[np.ndarray, list[Column]]:
    u = sobol.points(inputs + 1 + SPARE, seed, 1, count)
    return u, [Column(column) for column in u[:, inputs + 1 :].T]


def linear_gaussian(seed: int, count: int | None = None) -> Case:
    rng = np.random.default_rng(seed)
    inputs = int(rng.integers(1, 13))
    slopes = rng.normal(size=inputs) * rng.choice([0.2, 1.0, 3.0], size=inputs)
    spread = float(np.sqrt((slopes**2).sum()))
    mean = float(rng.uniform(-1.2, 1.2)) * spread
    u, spare = points(inputs, seed, count or points_for(inputs))
    acts = np.stack([np.zeros(len(u)), mean + norm.ppf(u[:, :inputs]) @ slopes])
    exact = [unit_normal_loss(mean, abs(one)) for one in slopes]
    return Case([Column(c) for c in u[:, : inputs + 1].T], acts, spare, [*exact, 0.0], unit_normal_loss(mean, spread))


def discrete(seed: int) -> Case:
    """Two to five acts, one to five inputs of two to four values, losses with main effects and every interaction."""
    rng = np.random.default_rng(seed)
    inputs, acts = int(rng.integers(1, 6)), int(rng.integers(2, 6))
    sizes = tuple(int(n) for n in rng.integers(2, 5, size=inputs))
    shares = [rng.dirichlet(np.full(n, 2.0)) for n in sizes]
    losses = 300.0 * rng.normal(size=(acts, *sizes))
    chance = np.ones(sizes)
    for j, size in enumerate(sizes):
        along = [1] * inputs
        along[j] = size
        losses = losses + float(rng.choice([100.0, 500.0])) * rng.normal(size=(acts, *along))
        chance = chance * shares[j].reshape(along)
    weighed = losses * chance
    now = weighed.reshape(acts, -1).sum(axis=1).min()
    others = [tuple(k + 1 for k in range(inputs) if k != j) for j in range(inputs)]
    exact = [float(now - weighed.sum(axis=axes).min(axis=0).sum()) for axes in others]
    u, spare = points(inputs, seed, points_for(inputs))
    values = [np.searchsorted(np.cumsum(shares[j])[:-1], u[:, j], side="right") for j in range(inputs)]
    columns = [Column(one.astype(np.float64), category=True) for one in values]
    idle = Column(u[:, inputs])
    whole = float(now - (losses.min(axis=0) * chance).sum())
    return Case([*columns, idle], losses[(slice(None), *values)], spare, [*exact, 0.0], whole)


@pytest.mark.parametrize("seed", range(60))
def test_two_acts_linear_in_normal_inputs(seed: int) -> None:
    assert max(linear_gaussian(seed).errors()) <= 1.0


@pytest.mark.parametrize("seed", range(12))
def test_fewer_points_serve_when_everything_is_smooth(seed: int) -> None:
    assert max(linear_gaussian(seed, POINTS).errors()) <= 1.0


@pytest.mark.parametrize("seed", range(60))
def test_discrete_inputs_enumerated(seed: int) -> None:
    case = discrete(seed)
    if case.perfect > 1e-9:
        assert max(case.errors()) <= 1.0


def test_perfect_information_is_the_closed_form() -> None:
    case = linear_gaussian(7)
    assert perfect(case.acts) == pytest.approx(case.perfect, rel=0.005)


def test_a_fact_that_decides_by_itself_is_worth_everything() -> None:
    u = sobol.points(2 + SPARE, 1, 1, 1024)
    acts = np.stack([np.where(u[:, 0] < 0.25, 0.0, 400.0), np.full(len(u), 100.0)])
    spare = [Column(c) for c in u[:, 2:].T]
    assert worths(acts, [Column(u[:, 0]), Column(u[:, 1])], spare) == pytest.approx([25.0, 0.0], rel=1e-9)


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_a_fact_that_enters_no_check_is_worth_exactly_nothing(seed: int) -> None:
    """The caller with a class and a power: what the battery holds or where the alternator ends moves no check."""
    shelf = demo_shelf()
    inquiry = demo_inquiries()["7-dads-tractor"].resolve(shelf)
    choice, _ = choice_of(lay(inquiry, shelf, seed), inquiry, shelf)
    values = knowing(choice, seed)
    idle = ("battery_reserve", "alternator", "steering_flow", "loader.raise_time", "overall_width", "front_track")
    assert {values[path] for path in idle} == {0.0}
    assert values["quick_attach"] > 0.0
    assert all(0.0 <= value <= 1.02 * perfect(choice.loss.of(choice.rows).acts) for value in values.values())
