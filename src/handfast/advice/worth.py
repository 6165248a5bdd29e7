"""What knowing one fact is worth for the choice: expected value of partial perfect information."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from handfast.quantities.arrays import Array
from handfast.quantities.normal import normal_quantile

BINS = 16
SURE = 2.0  # standard deviations of what unused dimensions show: less counts as nothing


@dataclass(frozen=True)
class Column:
    """The samples of one input: evenly spread over (0, 1), or the numbers of a few categories."""

    values: Array
    category: bool = False

    @cached_property
    def order(self) -> NDArray[np.intp]:
        """Samples from the least to the greatest."""
        return np.argsort(self.values, kind="stable")

    @cached_property
    def deviate(self) -> Array:
        """The samples in that order, as deviates of a normal distribution."""
        return normal_quantile(self.values[self.order])

    @cached_property
    def counts(self) -> NDArray[np.intp]:
        """How many samples each category has."""
        return np.bincount(self.values.astype(np.intp))

    @property
    def freedom(self) -> int:
        """How many figures its effect is made of: the more, the more noise it takes for an effect."""
        return len(self.counts) - 1 if self.category else 2 * BINS

    def effect(self, losses: Array) -> Array:
        """Mean of each row given this input, in every sample.

        Categories by their means; else a straight line over the normal deviate and, for the rest, one over the input
        in each of equal bins.
        """
        if self.category:
            return self._by_category(losses)
        rows = losses[:, self.order]
        z = self.deviate
        line = np.outer(rows @ z / (z @ z), z)
        found = np.empty_like(rows)
        found[:, self.order] = line + _in_bins(rows - line)
        return found

    def _by_category(self, losses: Array) -> Array:
        at = self.values.astype(np.intp)
        sums = np.stack([np.bincount(at, weights=row) for row in losses])
        return np.asarray((sums / np.maximum(self.counts, 1))[:, at])


def _in_bins(rows: Array) -> Array:
    """A straight line in each of equal bins along sorted samples."""
    bins = rows.reshape(len(rows), BINS, -1)
    place = np.arange(bins.shape[2]) - (bins.shape[2] - 1) / 2.0
    slope = bins @ place / max(float(place @ place), 1.0)
    return np.asarray((bins.mean(axis=2)[..., None] + slope[..., None] * place).reshape(rows.shape))


def partial(acts: Array, columns: Sequence[Column]) -> list[float]:
    """Value of knowing each of several independent inputs before choosing an act.

    Args:
        acts: loss (acts, samples); samples a multiple of 16.
        columns: the inputs.

    Returns:
        Money, one an input, at least 0 and at most the value of knowing everything.

    Source: E[max over acts of E[−loss | x]] − max over acts of E[−loss]; the conditional means are the main effects of
    an additive fit (backfitting), so that what other inputs do is not taken for noise.

    Example:
        >>> u = (np.arange(64) + 0.5) / 64
        >>> [round(v, 6) for v in partial(np.array([np.where(u < 0.5, 0.0, 10.0), np.full(64, 5.0)]), [Column(u)])]
        [2.5]
    """
    less = _against_the_best(acts)
    if not len(less):
        return [0.0] * len(columns)
    mean = less.mean(axis=1, keepdims=True)
    rest, effects = less - mean, []
    for column in columns:
        effects.append(_centred(column.effect(rest)))
        rest = rest - effects[-1]
    found = []
    for column, first in zip(columns, effects, strict=True):
        if _gain(mean + first) <= 0.0:
            found.append(0.0)
            continue
        effect = _centred(column.effect(rest + first))
        rest = rest + first - effect
        found.append(min(_gain(mean + effect), perfect(acts)))
    return found


def perfect(acts: Array) -> float:
    """Value of knowing everything before choosing an act.

    Args:
        acts: loss (acts, samples).

    Returns:
        Money, at least 0.

    Source: max over acts of E[−loss] less E[max over acts of −loss], sign turned.

    Example:
        >>> perfect(np.array([[0.0, 10.0], [5.0, 5.0]]))
        2.5
    """
    return max(0.0, float(acts.mean(axis=1).min() - acts.min(axis=0).mean()))


def worths(acts: Array, columns: Sequence[Column], spare: Sequence[Column]) -> list[float]:
    """As `partial`, freed of what inputs without any effect would show.

    Args:
        acts: loss (acts, samples).
        columns: the inputs.
        spare: inputs that nothing uses.

    Returns:
        Money, one an input; 0 where it is no more than the unused inputs show.

    Source: unused dimensions give the bias, in proportion to the figures that an effect is made of; what is within two
    of their standard deviations is 0.

    Example:
        >>> from handfast.quantities.sobol import points
        >>> u, *spare = points(9, 1, 1, 1024).T
        >>> acts = np.array([np.where(u < 0.25, 0.0, 400.0), np.full(1024, 100.0)])
        >>> [round(value, 6) for value in worths(acts, [Column(u)], [Column(one) for one in spare])]
        [25.0]
    """
    values = partial(acts, [*columns, *spare])
    noise = np.array(values[len(columns) :] or [0.0])
    bias, spread = float(noise.mean()), float(noise.std(ddof=1)) if len(noise) > 1 else 0.0
    share = [one.freedom / (2 * BINS) for one in columns]
    freed = [value - bias * part for value, part in zip(values[: len(columns)], share, strict=True)]
    return [0.0 if value <= SURE * spread * part else value for value, part in zip(freed, share, strict=True)]


def _against_the_best(acts: Array) -> Array:
    """Loss of every act less that of the act chosen now, without acts that another one beats in every sample."""
    kept = undominated(acts)
    best = acts[kept[int(np.argmin(acts[kept].mean(axis=1)))]]
    return np.array([acts[row] - best for row in kept if acts[row] is not best and not np.array_equal(acts[row], best)])


def undominated(acts: Array) -> list[int]:
    """Acts that no other act beats in every sample.

    Args:
        acts: loss (acts, samples).

    Returns:
        Row numbers; of equal acts the first.

    Example:
        >>> undominated(np.array([[1.0, 2.0], [2.0, 2.0], [0.0, 9.0], [1.0, 2.0]]))
        [0, 2]
    """
    kept: list[int] = []
    for row in sorted(range(len(acts)), key=lambda one: (float(acts[one].mean()), one)):
        if not any(np.all(acts[other] <= acts[row]) for other in kept):
            kept.append(row)
    return sorted(kept)


def _centred(effect: Array) -> Array:
    return np.asarray(effect - effect.mean(axis=1, keepdims=True))


def _gain(given: Array) -> float:
    """What choosing by the conditional means saves against the act chosen now."""
    return float(-np.minimum(given.min(axis=0), 0.0).mean())
