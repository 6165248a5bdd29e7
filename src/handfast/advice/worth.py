"""What knowing one fact is worth for the choice: expected value of partial perfect information.

A loss is what an act costs where everything holds, and more where some limit is overstepped. What it would be on
average if one fact were known to be so and so is reckoned from every sample: the fact is moved there, everything else
is left as it was drawn, and each margin moves by its slope. So a few samples tell as much as very many would by
sorting them into bins, and a fact that moves no margin is worth exactly nothing.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from handfast.advice.weighing import Unknown, inverse, means, products, weights_of
from handfast.quantities.arrays import Array
from handfast.quantities.normal import normal_quantile, normal_share

Flags = NDArray[np.bool_]
ANSWERS = 256  # different answers that are thought of, of a figure that is not told quite so
TAIL = 16  # samples over which the slope towards the end of a distribution is taken
NOTHING = 1e-9  # of what knowing everything is worth: what rounding may leave
SURE = 4.5  # standard errors: a slope that is less sure is no slope


Felt = tuple[Unknown, Array]  # a fact, and how margins go with it: (columns, limits)


@dataclass(frozen=True)
class Acts:
    """The acts in the samples; the margins of all their limits, each once."""

    good: Array  # (acts, 1 or samples): loss where every limit is kept
    misfit: Array  # (acts,): more where one is not
    unsafe: Array  # (acts,): more still where it is one that people depend on
    margins: Array  # (limits, samples): not negative where kept
    yes_no: Flags  # (limits,): margins that know only two values
    needs: Flags  # (acts, limits)
    guards: Flags  # (acts, limits): of these, what people depend on

    @cached_property
    def kept(self) -> Flags:
        """Which limit is kept in which sample."""
        return np.asarray(self.margins >= 0.0)

    @cached_property
    def losses(self) -> Array:
        """Loss of every act in every sample."""
        broken = ~self.kept
        fails, unsafe = (np.stack([broken[one].any(axis=0) for one in which]) for which in (self.needs, self.guards))
        return np.asarray(self.good + self.misfit[:, None] * fails + self.unsafe[:, None] * unsafe)

    def average(self, weights: Array) -> Averages:
        """Mean loss of every act, and what it comes to at least wherever a figure stands."""
        least = self.good.min(axis=1)
        for which, more in ((self.needs, self.misfit), (self.guards, self.unsafe)):
            for row in np.flatnonzero((which & self.yes_no).any(axis=1)):
                least[row] += more[row] * (1.0 - float(self.kept[which[row] & self.yes_no].all(axis=0) @ weights))
        return Averages(weights, means(self.losses, weights), least)


@dataclass(frozen=True)
class Averages:
    """Over all samples."""

    weights: Array
    loss: Array  # (acts,)
    least: Array  # (acts,): with only those limits counted that no figure moves


def perfect(losses: Array, weights: Array | None = None) -> float:
    """Value of knowing everything before choosing an act.

    Args:
        losses: (acts, samples).
        weights: of the samples, summing to one; equal where None.

    Returns:
        Money, at least 0.

    Source: least mean loss, less the mean of the least loss.

    Example:
        >>> perfect(np.array([[0.0, 10.0], [5.0, 5.0]]))
        2.5
    """
    w = np.full(losses.shape[1], 1.0 / losses.shape[1]) if weights is None else weights
    return max(0.0, float(means(losses, w).min() - losses.min(axis=0) @ w))


def worths(acts: Acts, unknowns: Sequence[Unknown], accuracies: Sequence[float] = ()) -> list[float]:
    """Value of knowing each fact, by itself, before choosing an act.

    Args:
        acts: two or more.
        unknowns: every open fact that the samples were drawn from, independent of one another.
        accuracies: of the answers, one a fact, 0 to 1; all 1 where left out. For a category the share of answers that
            are not just a guess by how often each is met; for a figure the correlation of answer and truth.

    Returns:
        Money, one a fact: never negative, never more than knowing everything, exactly 0 where no limit moves.

    Source: E[max over acts of E[−loss | x]] − max over acts of E[−loss]; samples weighted to the shares of their
    categories (post-stratification), conditional means by moving the fact in every sample (pick and freeze). An answer
    that is not quite so leaves a spread around what is said: a category a mixture with all of them, a figure a normal
    one in its deviate (Raiffa and Schlaifer, preposterior analysis).

    Example:
        >>> u = (np.arange(1024) + 0.5) / 1024
        >>> at = Acts(np.array([[0.0], [100.0]]), np.array([400.0, 0.0]), np.zeros(2), (u - 0.25)[None],
        ...           np.array([False]), np.array([[True], [False]]), np.array([[False], [False]]))
        >>> [round(value, 1) for value in worths(at, [Unknown(u)])]
        [75.0]
    """
    if not unknowns:
        return []
    weights = weights_of(unknowns)
    most = perfect(acts.losses, weights)
    if most <= 0.0:
        return [0.0] * len(unknowns)
    slopes = _slopes(acts, unknowns)
    felt = [(one, rows) for one, (rows, _) in zip(unknowns, slopes, strict=True)]
    average, found = acts.average(weights), []
    for one, (rows, base), tells in zip(unknowns, slopes, accuracies or [1.0] * len(unknowns), strict=True):
        if tells <= 0.0:
            given = None
        elif one.shares:
            given = _by_category(acts, one, rows, base, weights, felt)
        else:
            given = _by_figure(acts, one, rows, base, average)
        value = 0.0 if given is None else min(perfect(*_told(one, *given, tells)), most)
        found.append(value if value > NOTHING * most else 0.0)
    return found


def _told(one: Unknown, given: Array, weights: Array, tells: float) -> tuple[Array, Array]:
    """Mean losses given an answer, from those given the truth, and the weights of the answers."""
    parts = weights / weights.sum()
    if tells >= 1.0:
        return given, parts
    if tells <= 0.0 or one.shares:
        middle = means(given, parts)[:, None]
        return middle + tells * (given - middle), parts
    place = normal_quantile(np.clip(np.cumsum(parts) - parts / 2.0, 1e-9, 1.0 - 1e-9))
    said = normal_quantile((np.arange(ANSWERS) + 0.5) / ANSWERS)
    off = (said - tells * place[:, None]) ** 2 / (2.0 * (1.0 - tells**2))
    likely = parts[:, None] * np.exp(off.min(axis=0) - off)
    return products(given.T, likely / likely.sum(axis=0)), np.full(ANSWERS, 1.0 / ANSWERS)


def undominated(losses: Array) -> list[int]:
    """Acts that no other act equals or beats in every sample; of equal acts the first.

    Args:
        losses: (acts, samples).

    Returns:
        Row numbers.

    Example:
        >>> undominated(np.array([[1.0, 2.0], [2.0, 2.0], [0.0, 9.0], [1.0, 2.0]]))
        [0, 2]
    """
    most = losses.max(axis=1)
    hopeless = losses.min(axis=1) > most.min()
    kept: list[int] = []
    for row in np.argsort(losses.mean(axis=1), kind="stable"):
        if not hopeless[row] and not (losses[kept] <= losses[row]).all(axis=1).any():
            kept.append(int(row))
    return sorted(kept)


def _slopes(acts: Acts, unknowns: Sequence[Unknown]) -> list[tuple[Array, Array]]:
    """How margins, and losses where all holds, go with a fact's columns: (columns, limits) and (columns, acts) each."""
    size = acts.margins.shape[1]
    design = np.hstack([np.ones((size, 1)), *(one.columns for one in unknowns)])
    wanted = np.hstack([acts.margins.T, np.broadcast_to(acts.good, (len(acts.good), size)).T])
    turned = inverse(products(design, design))
    slope = products(turned, products(design, wanted))
    left = ((wanted - products(design.T, slope)) ** 2).sum(axis=0) / max(size - design.shape[1], 1)
    doubt = np.sqrt(np.maximum(np.diag(turned), 0.0)[:, None] * left)
    scale = np.abs(wanted).max(axis=0)
    slope = np.where(np.abs(slope) > SURE * doubt + 1e-9 * scale, slope, 0.0)
    edges = np.cumsum([1, *(one.columns.shape[1] for one in unknowns)])
    limits = len(acts.margins)
    return [(slope[a:b, :limits], slope[a:b, limits:]) for a, b in pairwise(edges)]


def _by_figure(acts: Acts, one: Unknown, rows: Array, base: Array, average: Averages) -> tuple[Array, Array] | None:
    """Mean loss of each act at each sample of a figure, and the weights of those samples."""
    slope = np.where(acts.yes_no, 0.0, rows[0])
    if not slope.any() and not base.any():
        return None
    weights = average.weights
    places, spread = _spread(one, np.argsort(one.score, kind="stable"), weights)
    moves = Moves(acts, one.score, places, slope, weights)
    found = average.loss[:, None] + base[0][:, None] * (places - one.score @ weights)
    moved = np.flatnonzero((acts.needs | acts.guards) @ (slope != 0.0))
    least = np.full(len(found), -np.inf) if base.any() else average.least
    most = np.inf if base.any() else float(np.delete(average.loss, moved).min(initial=np.inf))
    for row in moved[np.argsort(average.loss[moved], kind="stable")]:
        if least[row] >= most:
            continue  # nowhere the best: it need not be reckoned
        for which, more in ((acts.needs, acts.misfit), (acts.guards, acts.unsafe)):
            limits = np.flatnonzero(which[row])
            if slope[limits].any():
                found[row] -= more[row] * moves.gained(limits)
        most = min(most, float(found[row].max()))
    return found, spread


def _spread(one: Unknown, order: NDArray[np.intp], weights: Array) -> tuple[Array, Array]:
    """A figure's samples in order and their weights: what part of the uniform each stands for, tails included."""
    places = one.score[order]
    if one.deviate is None or (np.diff(one.deviate[order]) <= 0.0).any():
        return places, weights[order]
    z = one.deviate[order]
    u = normal_share(z)
    parts = np.diff(np.convolve(u, (0.5, 0.5), "valid"), prepend=0.0, append=1.0)
    for end, inner, sign in ((0, TAIL, -1.0), (-1, -1 - TAIL, 1.0)):
        edge = float(normal_quantile(parts[end]))
        mean = sign * np.exp(-0.5 * edge * edge) / (np.sqrt(2.0 * np.pi) * parts[end])
        places[end] += (places[end] - places[inner]) / (z[end] - z[inner]) * (mean - z[end])
    return places, parts


@dataclass(frozen=True)
class Moves:
    """One figure moved to each of its samples, everything else as it was drawn."""

    acts: Acts
    score: Array
    places: Array  # the scores in order
    slope: Array  # (limits,)
    weights: Array

    def gained(self, limits: NDArray[np.intp]) -> Array:
        """How much more often all of some limits are kept at each place than as they were drawn."""
        key = limits.tobytes()
        if key not in self._gains:
            kept = self.acts.kept[limits].all(axis=0)
            self._gains[key] = self._share(limits) - float(kept @ self.weights)
        return self._gains[key]

    def _share(self, limits: NDArray[np.intp]) -> Array:
        going = self.slope[limits] != 0.0
        still = self.acts.kept[limits[~going]].all(axis=0)
        low, high = np.full(len(still), -np.inf), np.full(len(still), np.inf)
        for row in limits[going]:
            turn = self._turn(int(row))
            low, high = (np.maximum(low, turn), high) if self.slope[row] > 0.0 else (low, np.minimum(high, turn))
        ever = still & (low <= high)
        size, weights = len(self.places) + 1, self.weights[ever]
        starts = np.searchsorted(self.places, low[ever], side="left")
        ends = np.searchsorted(self.places, high[ever], side="right")
        change = np.bincount(starts, weights, size) - np.bincount(ends, weights, size)
        return np.asarray(np.cumsum(change)[:-1])

    def _turn(self, row: int) -> Array:
        """Where the figure would have to stand for the margin to be nothing."""
        if row not in self._turns:
            self._turns[row] = self.score - self.acts.margins[row] / self.slope[row]
        return self._turns[row]

    @cached_property
    def _turns(self) -> dict[int, Array]:
        return {}

    @cached_property
    def _gains(self) -> dict[bytes, Array]:
        return {}


def _by_category(
    acts: Acts, one: Unknown, rows: Array, base: Array, weights: Array, others: Sequence[Felt]
) -> tuple[Array, Array] | None:
    """Mean loss of each act given each category, and the shares of the categories."""
    if not rows.any() and not base.any():
        return None
    found, shares = [], []
    for value in range(len(one.shares)):
        part = weights * (one.codes == value)
        if part.sum() > 0.0:
            found.append(_in_category(acts, _moved(acts, one, rows, others, value), part / part.sum(), weights))
            shares.append(part.sum())
    return np.stack(found, axis=1), np.array(shares)


def _in_category(acts: Acts, kept: Flags, part: Array, weights: Array) -> Array:
    """Mean loss of each act in one category; acts that need the same limits share what they come to."""
    found = acts.good[:, 0].copy() if acts.good.shape[1] == 1 else means(acts.good, part)
    known: dict[bytes, float] = {}
    for which, more in ((acts.needs, acts.misfit), (acts.guards, acts.unsafe)):
        for row in np.flatnonzero(which.any(axis=1)):
            key = which[row].tobytes()
            if key not in known:
                known[key] = 1.0 - float(kept[which[row]].all(axis=0) @ weights)
            found[row] += more[row] * known[key]
    return found


def _moved(acts: Acts, one: Unknown, rows: Array, others: Sequence[Felt], value: int) -> Flags:
    """Which limit is kept in which sample if a category were always the same, everything else as it was drawn."""
    shift, moves = np.vstack([np.zeros(rows.shape[1]), rows]), rows.any(axis=0)
    kept, some = acts.kept.copy(), moves & ~acts.yes_no
    kept[some] = acts.margins[some] + (shift[value] - shift[one.codes]).T[some] >= 0.0
    for row in np.flatnonzero(acts.yes_no & moves):
        now, then = np.zeros(len(one.codes), dtype=np.intp), np.zeros(len(one.codes), dtype=np.intp)
        for other, slope in others:
            if other.shares and slope[:, row].any():
                now, then = now * len(other.shares) + other.codes, then * len(other.shares)
                then += value if other is one else other.codes
        size = 1 + int(max(now.max(), then.max()))
        count, yes = np.bincount(now, minlength=size), np.bincount(now, acts.kept[row], size)
        kept[row] = np.where(count[then] > 0, yes[then] * 2.0 > count[then], acts.kept[row])
    return np.asarray(kept)
