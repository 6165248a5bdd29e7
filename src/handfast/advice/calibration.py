"""Of what was called nine in ten, how much held: claimed shares against what happened."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from handfast.quantities.arrays import Array, ArrayLike

EDGES = (0.0, 0.2, 0.4, 0.6, 0.8, 0.9, 0.95, 1.0)  # of what was claimed
Z_90 = 1.6448536269514722  # standard normal, 90 % two-sided (standard table)
ENOUGH = 8  # offers in a bin from which a bend is spoken of


@dataclass(frozen=True)
class Bin:
    """Offers whose claim was about the same."""

    claimed: float  # mean of what was claimed
    held: float  # share that held
    low: float  # nine in ten: the true share lies between
    high: float
    count: int

    @property
    def bends(self) -> bool:
        """Whether what was claimed lies outside what happened."""
        return self.count >= ENOUGH and not self.low <= self.claimed <= self.high


@dataclass(frozen=True)
class Calibration:
    """How claims and what happened go together."""

    bins: tuple[Bin, ...]
    count: int
    score: float  # Brier: mean square of claim less what happened; NaN without offers
    off: float  # mean distance between claim and share held, by offers

    @property
    def bent(self) -> bool:
        """Whether some bin bends."""
        return any(one.bends for one in self.bins)


def wilson(held: ArrayLike, count: ArrayLike, z: float = Z_90) -> tuple[Array, Array]:
    """Between what limits the true share lies.

    Args:
        held: how many held.
        count: of how many.
        z: standard normal of the confidence wanted.

    Returns:
        (low, high) shares.

    Source: E. B. Wilson's score interval (1927).

    Example:
        >>> [round(float(one), 3) for one in wilson(8, 10, 1.96)]
        [0.49, 0.943]
    """
    n, k = np.asarray(count, dtype=np.float64), np.asarray(held, dtype=np.float64)
    share = k / n
    middle = (share + z * z / (2.0 * n)) / (1.0 + z * z / n)
    half = z / (1.0 + z * z / n) * np.sqrt(share * (1.0 - share) / n + z * z / (4.0 * n * n))
    return np.maximum(middle - half, 0.0), np.minimum(middle + half, 1.0)


def calibration(claimed: ArrayLike, held: ArrayLike, edges: Sequence[float] = EDGES) -> Calibration:
    """Claims sorted into bins, and the share that held in each.

    Args:
        claimed: share that was claimed, one an offer.
        held: 1 where it held, 0 where it did not, one an offer.
        edges: of the bins, rising from 0 to 1.

    Returns:
        `Calibration`; bins without offers are left out.

    Source: reliability diagram (Murphy 1973); Brier score.

    Example:
        >>> calibration([0.9] * 10, [1.0] * 9 + [0.0]).bins[0].held
        0.9
    """
    claims, came = (np.asarray(one, dtype=np.float64).ravel() for one in (claimed, held))
    if not claims.size:
        return Calibration((), 0, np.nan, np.nan)
    place = np.clip(np.searchsorted(np.asarray(edges), claims, side="right") - 1, 0, len(edges) - 2)
    bins = []
    for k in range(len(edges) - 1):
        here = place == k
        if here.any():
            count, good = int(here.sum()), float(came[here].sum())
            low, high = (float(one) for one in wilson(good, count))
            bins.append(Bin(float(claims[here].mean()), good / count, low, high, count))
    off = sum(one.count * abs(one.claimed - one.held) for one in bins) / claims.size
    return Calibration(tuple(bins), int(claims.size), float(np.mean((claims - came) ** 2)), float(off))
