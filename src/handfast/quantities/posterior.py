"""What is known of a quantity after it was measured, and how samples are picked by their weights."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from handfast.quantities.arrays import Array, ArrayLike
from handfast.quantities.estimate import Estimate
from handfast.quantities.normal import normal_quantile, normal_share

POINTS = 4001  # of the grid on which a distribution after a reading is summed up
FAR = 8.0  # standard deviations over which the distribution before is looked at
NOTHING = 40.0  # log of what is so unlikely that it is left out
EDGE = 1e-9  # share that no quantity is drawn beyond, as everywhere

Reading = tuple[float, float]  # what was read, its standard deviation


@dataclass(frozen=True)
class Posterior:
    """A quantity as it was known before, and what was read of it, each reading with its own error.

    The quantity is drawn by a normal deviate, of which `mean` and `spread` are known beforehand: 0 and 1 where nothing
    else tells of it.
    """

    prior: Estimate
    readings: tuple[Reading, ...]
    mean: float = 0.0
    spread: float = 1.0

    def deviates(self, u: ArrayLike) -> Array:
        """Normal deviates at the shares `u` of the distribution after the readings."""
        grid, share = self._grid
        return np.asarray(np.interp(np.asarray(u, dtype=np.float64), share, grid))

    def draw(self, u: ArrayLike) -> Array:
        """Values at the shares `u` of the distribution after the readings."""
        return self.prior.draw(shares_at(self.deviates(u)))

    @cached_property
    def _grid(self) -> tuple[Array, Array]:
        wide = self.mean + self.spread * np.linspace(-FAR, FAR, POINTS)
        for _ in range(3):  # look closer where it is likely at all
            near = np.flatnonzero(self._log(wide) > self._log(wide).max() - NOTHING)
            ends = wide[max(near[0] - 1, 0)], wide[min(near[-1] + 1, POINTS - 1)]
            wide = np.linspace(*ends, POINTS)
        height = np.exp(self._log(wide) - self._log(wide).max())
        share = np.concatenate([[0.0], np.cumsum(height[1:] + height[:-1])])
        return wide, share / share[-1]

    def _log(self, z: Array) -> Array:
        found = -0.5 * ((z - self.mean) / self.spread) ** 2
        values = self.prior.draw(shares_at(z))
        for read, sd in self.readings:
            found = found - 0.5 * ((values - read) / sd) ** 2
        return np.asarray(found)


def shares_at(z: ArrayLike) -> Array:
    """Share of the standard normal below deviates, kept off the very ends.

    Args:
        z: normal deviates [1], any shape.

    Returns:
        shares [1], shape of `z`.

    >>> float(shares_at(0.0)), float(shares_at(40.0)) < 1.0
    (0.5, True)
    """
    return np.clip(normal_share(z), EDGE, 1.0 - EDGE)


def factor_given(deviates: Sequence[Array], weight: float, mean: float, spread: float) -> tuple[Array, float]:
    """Mean and spread of a shared normal factor, given deviates that follow it.

    Args:
        deviates: each weight · factor + √(1 − weight²) · own, normal deviates [1].
        weight: how much the factor counts [1].
        mean: of the factor before [1].
        spread: standard deviation of the factor before [1].

    Returns:
        mean [1] and standard deviation [1] of the factor after.

    Source: normal prior with normal readings of it (conjugate): precisions add up.

    >>> factor_given([np.array([1.6])], 0.8, 0.0, 1.0)
    (array([1.28]), 0.6)
    """
    own = 1.0 - weight**2
    precision = 1.0 / spread**2 + len(deviates) * weight**2 / own
    pulled = mean / spread**2 + weight * np.sum(np.broadcast_arrays(*deviates), axis=0) / own
    return np.asarray((pulled / precision).round(12)), float(np.round(precision**-0.5, 12))


def joint_log(deviates: Sequence[Array], weight: float, mean: float, spread: float) -> Array:
    """Log of how much likelier deviates of one factor are together than each by itself.

    Args:
        deviates: as in `factor_given` [1].
        weight: how much the factor counts [1].
        mean: of the factor [1].
        spread: standard deviation of the factor [1].

    Returns:
        log of the ratio of densities [1], up to a constant; 0 for one deviate.

    Source: density of the equicorrelated normal distribution (the inverse by Sherman and Morrison).

    >>> float(joint_log([np.array([0.3])], 0.8, 0.0, 1.0)[0])
    0.0
    """
    off = np.array(np.broadcast_arrays(*deviates)) - weight * mean
    shared, own = (weight * spread) ** 2, 1.0 - weight**2
    alone = (off**2).sum(axis=0) / (shared + own)
    together = ((off**2).sum(axis=0) - shared * off.sum(axis=0) ** 2 / (own + len(off) * shared)) / own
    return np.asarray(0.5 * (alone - together).round(12) + 0.0)


def weights_from(logs: ArrayLike) -> Array:
    """Weights that sum to one, from logs of likelihoods.

    Args:
        logs: log of likelihood [1], shape (samples,).

    Returns:
        weights [1]; equal where all logs are minus infinity.

    >>> weights_from([0.0, 0.0]).tolist()
    [0.5, 0.5]
    """
    given = np.asarray(logs, dtype=np.float64)
    top = given.max()
    if not np.isfinite(top):
        return np.full(given.shape, 1.0 / given.size)
    found = np.exp(given - top)
    return np.asarray(found / found.sum())


def effective_size(weights: ArrayLike) -> float:
    """How many equally weighted samples tell as much.

    Args:
        weights: of the samples, summing to one.

    Returns:
        1 to the number of samples.

    Source: one over the sum of squares (Kish 1965).

    >>> effective_size([0.5, 0.5, 0.0])
    2.0
    """
    given = np.asarray(weights, dtype=np.float64)
    return float(1.0 / (given**2).sum())


def systematic(weights: ArrayLike, count: int, start: float = 0.5) -> NDArray[np.intp]:
    """Places of equally weighted samples that stand for weighted ones, in the order in which these stand.

    Args:
        weights: of the samples, summing to one.
        count: how many are wanted.
        start: where in its step the first is taken [1], 0 to 1.

    Returns:
        places, rising; each sample at least ⌊count · weight⌋ times and at most once more.

    Source: systematic resampling (Carpenter, Clifford and Fearnhead 1999).

    >>> systematic([0.25, 0.5, 0.25], 4).tolist()
    [0, 1, 1, 2]
    """
    edges = np.cumsum(np.asarray(weights, dtype=np.float64))
    at = (np.arange(count) + start) / count * edges[-1]
    return np.asarray(np.minimum(np.searchsorted(edges, at, side="left"), len(edges) - 1), dtype=np.intp)


def deviates_by_rank(values: ArrayLike) -> Array:
    """Shares by rank: evenly spread whatever was picked, in the order of the values.

    Args:
        values: shape (samples,).

    Returns:
        shares [1] strictly between 0 and 1; equal values in the order in which they stand.

    >>> deviates_by_rank([3.0, 1.0]).tolist()
    [0.75, 0.25]
    """
    given = np.asarray(values, dtype=np.float64)
    ranks = np.empty(given.size)
    ranks[np.argsort(given, kind="stable")] = np.arange(given.size)
    return (ranks + 0.5) / given.size


def surprise(predicted: ArrayLike, read: float, sd: float) -> float:
    """Share of readings that would be at least as far out on their side, twice.

    Args:
        predicted: what would be read without error, shape (samples,) [SI].
        read: what was read [SI].
        sd: standard deviation of the reading [SI].

    Returns:
        0 for the impossible, 1 for the middle [1].

    Source: tail of the prior predictive distribution (Box 1980).

    >>> surprise(np.array([10.0]), 10.0, 1.0)
    1.0
    """
    below = float(np.mean(normal_share((read - np.asarray(predicted, dtype=np.float64)) / sd)))
    return 2.0 * min(below, 1.0 - below)


def quantile_deviate(u: ArrayLike) -> Array:
    """Normal deviates at shares, kept off the very ends.

    Args:
        u: shares [1].

    Returns:
        normal deviates [1].

    >>> float(quantile_deviate(0.5))
    0.0
    """
    return normal_quantile(np.clip(np.asarray(u, dtype=np.float64), EDGE, 1.0 - EDGE))
