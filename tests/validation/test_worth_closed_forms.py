"""What knowing a fact is worth, against closed forms.

Two acts with a loss difference that is linear in normal inputs: the unit normal loss, m the mean and s the standard
deviation of the conditional mean, s φ(m/s) − |m| Φ(−|m|/s) (Raiffa and Schlaifer, Applied Statistical Decision Theory,
1961, chapter 5A). Acts that cost more where a margin, linear in normal inputs, is negative: the mean loss given one
input is a normal share, and the rest one integral over that input. Discrete inputs: every combination enumerated with
its probability, on random losses and on a caller of the demonstration of whose tractor only the categories are open.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product

import numpy as np
import pytest
from scipy.stats import norm

import handfast.outfits.lay as laying
from handfast.advice.advise import _priced
from handfast.advice.knowing import knowing
from handfast.advice.odds import Judged, judge
from handfast.advice.rank import Losses, losses
from handfast.advice.weighing import Unknown
from handfast.advice.work_done import work_done
from handfast.advice.worth import Acts, perfect, worths
from handfast.machines.reading import demo_inquiries, demo_shelf
from handfast.outfits.draws import Draws, Plan, draw
from handfast.quantities import sobol
from handfast.quantities.estimate import Estimate

LARGE, OF_FORM, OF_PERFECT = 0.10, 0.02, 0.005
OWN, FINE = 128, 512  # points in each of the eight shifts: as every inquiry is drawn, and four times as many


@dataclass(frozen=True)
class Case:
    acts: Acts
    unknowns: list[Unknown]  # the last one enters nothing
    exact: list[float]
    perfect: float

    def errors(self) -> list[float]:
        """Error of each value over what is allowed."""
        found = worths(self.acts, self.unknowns)
        assert all(0.0 <= value <= 1.05 * self.perfect for value in found)
        assert found[-1] == 0.0
        return [
            abs(value - form) / (OF_FORM * form if form >= LARGE * self.perfect else OF_PERFECT * self.perfect)
            for value, form in zip(found, self.exact, strict=False)
        ]


def unit_normal_loss(m: float, s: float) -> float:
    return float(s * norm.pdf(m / s) - abs(m) * norm.cdf(-abs(m) / s))


def normals(count: int, seed: int, per_shift: int) -> np.ndarray:
    return np.asarray(norm.ppf(sobol.points(count + 2, seed, 8, per_shift)[:, 1:]))


def plain(losses: np.ndarray) -> Acts:
    """Acts whose losses are given, without any limit."""
    none, no = np.zeros(len(losses)), np.zeros((len(losses), 0), dtype=bool)
    return Acts(losses, none, none, np.zeros((0, losses.shape[1])), np.zeros(0, dtype=bool), no, no)


def linear_gaussian(seed: int, per_shift: int) -> Case:
    rng = np.random.default_rng(seed)
    inputs = int(rng.integers(1, 13))
    slopes = rng.normal(size=inputs) * rng.choice([0.2, 1.0, 3.0], size=inputs)
    spread = float(np.sqrt((slopes**2).sum()))
    mean = float(rng.uniform(-1.2, 1.2)) * spread
    z = normals(inputs, seed, per_shift)
    acts = plain(np.stack([np.zeros(len(z)), mean + z[:, :inputs] @ slopes]))
    exact = [unit_normal_loss(mean, abs(one)) for one in slopes]
    return Case(acts, [Unknown(c, c) for c in z.T], exact, unit_normal_loss(mean, spread))


def discrete(seed: int, per_shift: int) -> Case:
    """Two to five acts, as many combinations as the categories of a machine have together, every interaction."""
    rng = np.random.default_rng(seed)
    sizes: tuple[int, ...] = (9,) * 9
    while np.prod(sizes) > 108:
        sizes = tuple(int(n) for n in rng.integers(2, 5, size=rng.integers(1, 6)))
    acts, inputs = int(rng.integers(2, 6)), len(sizes)
    shares = [0.05 + (1.0 - 0.05 * n) * rng.dirichlet(np.full(n, 2.0)) for n in sizes]
    found = 300.0 * rng.normal(size=(acts, *sizes))
    chance = np.ones(sizes)
    for j, size in enumerate(sizes):
        along = [1] * inputs
        along[j] = size
        found = found + float(rng.choice([100.0, 500.0])) * rng.normal(size=(acts, *along))
        chance = chance * shares[j].reshape(along)
    weighed = found * chance
    now = weighed.reshape(acts, -1).sum(axis=1).min()
    others = [tuple(k + 1 for k in range(inputs) if k != j) for j in range(inputs)]
    exact = [float(now - weighed.sum(axis=axes).min(axis=0).sum()) for axes in others]
    u = sobol.points(inputs + 2, seed, 8, per_shift)[:, 1:]
    values = [np.searchsorted(np.cumsum(shares[j])[:-1], u[:, j], side="right") for j in range(inputs)]
    unknowns = [Unknown(v.astype(np.float64), shares=tuple(p)) for v, p in zip(values, shares, strict=True)]
    idle = norm.ppf(u[:, inputs])
    whole = float(now - (found.min(axis=0) * chance).sum())
    return Case(plain(found[(slice(None), *values)]), [*unknowns, Unknown(idle, idle)], exact, whole)


def steps(seed: int, per_shift: int) -> Case:
    """One act that fails where a linear margin is negative, against no sale."""
    rng = np.random.default_rng(seed)
    inputs = int(rng.integers(2, 9))
    slopes = rng.normal(size=inputs) * rng.choice([0.3, 1.0, 3.0], size=inputs)
    slopes /= np.linalg.norm(slopes)
    good, none, chance = rng.uniform(1000.0, 3000.0), 4000.0, rng.uniform(0.6, 0.95)
    more = (none - good) * rng.uniform(0.7, 1.4) / (1.0 - chance)
    z = normals(inputs, seed, per_shift)
    spare = norm.ppf(chance) + z[:, :inputs] @ slopes
    need, guard = np.array([[True], [False]]), np.zeros((2, 1), dtype=bool)
    margins, yes_no = spare[None], np.zeros(1, dtype=bool)
    acts = Acts(np.array([[good], [none]]), np.array([more, 0.0]), np.zeros(2), margins, yes_no, need, guard)
    now = min(good + more * (1.0 - chance), none)

    x = (np.arange(200_000) + 0.5) / 200_000  # midpoints in probability
    x = norm.ppf(x)

    def given(slope: float) -> float:
        held = norm.cdf((norm.ppf(chance) + slope * x) / np.sqrt(1.0 - slope**2))
        return float(now - np.minimum(good + more * (1.0 - held), none).mean())

    whole = now - (chance * good + (1.0 - chance) * min(none, good + more))
    return Case(acts, [Unknown(c, c) for c in z.T], [given(one) for one in slopes], whole)


@pytest.mark.parametrize("family", [linear_gaussian, discrete])
def test_every_value_is_within_the_bound(family: object) -> None:
    cases = [family(seed, FINE) for seed in range(60)]  # type: ignore[operator]
    assert max(error for case in cases if case.perfect > 1e-9 for error in case.errors()) <= 1.0


@pytest.mark.parametrize(("family", "share", "most"), [(linear_gaussian, 1.0, 1.0), (discrete, 0.99, 4.0)])
def test_it_is_with_the_samples_of_an_inquiry(family: object, share: float, most: float) -> None:
    """Every linear case; of the discrete ones all but those with a combination so rare that no sample has it."""
    errors = own_errors(family)
    assert np.mean(errors <= 1.0) >= share
    assert errors.max() <= most


def test_most_values_of_limits_are_with_the_samples_of_an_inquiry() -> None:
    """A limit that is overstepped or not is counted sample by sample."""
    errors = own_errors(steps)
    assert np.mean(errors <= 1.0) >= 0.75
    assert np.quantile(errors, 0.99) <= 8.0


def own_errors(family: object) -> np.ndarray:
    cases = [family(seed, OWN) for seed in range(60)]  # type: ignore[operator]
    return np.array([error for case in cases if case.perfect > 1e-9 for error in case.errors()])


def test_worth_is_reckoned_from_every_sample_of_an_inquiry() -> None:
    judged, _ = chosen(1, lambda plan: None)
    assert judged.bench.draws.size == 8 * OWN


def test_an_act_that_is_nowhere_the_best_changes_nothing() -> None:
    """Acts are passed over by a bound; with acts added that cost more even where they hold, the values are the same."""
    for seed in range(20):
        case = steps(seed, OWN)
        acts = case.acts
        dearer = Acts(
            np.vstack([acts.good, acts.good[1:] + np.array([[1.0], [500.0]])]),
            np.append(acts.misfit, [300.0, 900.0]),
            np.append(acts.unsafe, [100.0, 0.0]),
            acts.margins,
            acts.yes_no,
            np.vstack([acts.needs, [[True], [True]]]),
            np.vstack([acts.guards, [[True], [False]]]),
        )
        assert worths(dearer, case.unknowns) == pytest.approx(worths(acts, case.unknowns), rel=1e-9, abs=1e-9)


@pytest.mark.parametrize("tells", [0.0, 0.6, 0.95])
def test_an_answer_that_is_not_quite_so(tells: float) -> None:
    """Normal figure: the spread of what is then expected is less by the correlation of answer and truth."""
    for seed in range(30):
        rng = np.random.default_rng(seed)
        slope, mean = rng.uniform(0.5, 2.0, size=2), rng.uniform(-1.0, 1.0)
        z = normals(2, seed, FINE)
        acts = plain(np.stack([np.zeros(len(z)), mean + z[:, :2] @ slope]))
        found = worths(acts, [Unknown(c, c) for c in z.T], [tells, 1.0, 1.0])
        form = unit_normal_loss(mean, tells * slope[0]) if tells > 0.0 else 0.0
        assert found[0] == pytest.approx(form, rel=OF_FORM, abs=OF_PERFECT * unit_normal_loss(mean, np.hypot(*slope)))


def test_an_answer_that_is_sometimes_a_guess() -> None:
    """Two machines, three to one, each with a tool that fits it alone; four answers in five are not a guess."""
    right = np.repeat([0.0, 1.0], [768, 256])
    acts = plain(np.stack([100.0 * right, 100.0 * (1.0 - right)]))
    chance = {
        (truth, said): p * (0.8 * (truth == said) + 0.2 * q)
        for truth, p in ((0, 0.75), (1, 0.25))
        for said, q in ((0, 0.75), (1, 0.25))
    }
    told = sum(100.0 * min(chance[1, said], chance[0, said]) for said in (0, 1))
    found = worths(acts, [Unknown(right, shares=(0.75, 0.25))], [0.8])
    assert found == pytest.approx([25.0 - told])


def test_perfect_information_is_the_closed_form() -> None:
    case = linear_gaussian(7, FINE)
    assert perfect(case.acts.losses) == pytest.approx(case.perfect, rel=0.005)


# -------------------- a caller of the demonstration


def chosen(seed: int, settle: object, points: object = None) -> tuple[Judged, Losses]:
    """The acts of the caller who knows a class and a power, with some facts settled."""
    shelf = demo_shelf()
    inquiry = demo_inquiries()["7-dads-tractor"].resolve(shelf)

    def settled(plan: Plan, seed: int, share: float | None = None) -> Draws:
        settle(plan)  # type: ignore[operator]
        with pytest.MonkeyPatch.context() as patch:
            if points is not None:
                patch.setattr(sobol, "points", lambda dimensions, seed: points(dimensions, plan))  # type: ignore[operator]
            return draw(plan, seed, share)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(laying, "draw", settled)
        laid = laying.lay(inquiry, shelf, seed)
    judged = judge(laid, shelf)
    return judged, losses(judged, _priced(judged, inquiry, shelf, work_done(judged, inquiry)), inquiry, shelf)


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_open_categories_of_a_machine_enumerated(seed: int) -> None:
    """Sizes known, categories open: every combination of quick attach, outlets, remotes, centre and valve."""
    lifts = 0.9 + 0.1 * seed

    def settle(plan: Plan) -> None:
        for path, one in plan.wants.items():
            plan.wants[path] = Estimate.known(one.value * (lifts if path == "loader.lift_at_pin" else 1.0), one.origin)

    def every(dimensions: int, plan: Plan) -> np.ndarray:
        grid = np.array(list(product(*(np.cumsum(p) - p / 2.0 for p in shares_of(plan)))))
        return np.hstack(
            [np.full((len(grid), 1), 0.5), grid, np.full((len(grid), dimensions - 1 - grid.shape[1]), 0.5)]
        )

    def shares_of(plan: Plan) -> list[np.ndarray]:
        return [np.array([share for _, share in one]) for one in plan.shares.values() if len(one) > 1]

    judged, loss = chosen(seed, settle)
    found = knowing(judged, loss)
    listed, every_loss = chosen(seed, settle, every)
    draws = listed.bench.draws
    paths = [one.path for one in draws.inputs if one.path in draws.choices]
    weight = np.prod([np.array(draws.shares[p])[draws[p].astype(int)] for p in paths], axis=0)
    assert weight.sum() == pytest.approx(1.0)
    now = (every_loss.acts * weight).sum(axis=1).min()
    whole = float(now - (every_loss.acts.min(axis=0) * weight).sum())
    assert whole > 100.0
    for path in paths:
        parts = [
            (every_loss.acts * weight * (draws[path] == k)).sum(axis=1).min() for k in range(len(draws.shares[path]))
        ]
        form = now - sum(parts)
        allowed = OF_FORM * form if form >= LARGE * whole else OF_PERFECT * whole
        assert abs(found[path] - form) <= allowed, (path, found[path], form, whole)


@pytest.mark.parametrize("seed", [1, 2, 3, 4])
def test_a_fact_that_enters_no_check_is_worth_exactly_nothing(seed: int) -> None:
    """What the battery holds, or how quickly the arms rise, moves no hard check of any outfit."""
    judged, loss = chosen(seed, lambda plan: None)
    values = knowing(judged, loss)
    idle = (
        *("battery_reserve", "alternator", "steering_flow", "loader.raise_time", "overall_width", "front_track"),
        *("pump_flow", "bare_mass", "loader.mass", "front_axle_swing", "rated_speed", "working_speed"),
    )
    assert {values[path] for path in idle if path in values} == {0.0}
    assert values["quick_attach"] > 0.0
    assert all(0.0 <= value <= 1.02 * perfect(loss.acts) for value in values.values())


def test_worth_does_not_hang_on_which_other_outfits_are_looked_at() -> None:
    """An outfit that another one beats in every sample adds nothing to the choice, and takes nothing."""
    judged, loss = chosen(1, lambda plan: None)
    beaten = Losses(
        np.vstack([loss.acts[:-1], loss.acts[:1] + 50.0, loss.acts[-1:]]),
        (*loss.good, loss.good[0] + 50.0),
        (*loss.misfit, loss.misfit[0]),
        (*loss.unsafe, loss.unsafe[0]),
    )
    assert knowing(judged, beaten) == knowing(judged, loss)
