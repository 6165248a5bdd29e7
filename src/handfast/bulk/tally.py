"""Many checks as one answer: whether all that is hard holds, and which check is nearest its limit."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from handfast.outfits.assess import holding
from handfast.outfits.bench import Bench
from handfast.outfits.checks import CHECKS, Check
from handfast.quantities.arrays import Array

Flags = NDArray[np.bool_]
Codes = NDArray[np.int16]
NONE = -1
QUIET = ("join.hose_reach",)  # hoses are bought just long enough


@dataclass(frozen=True)
class Answer:
    """Over pairs: whether every hard check holds, capacity over demand of the one that governs, and which one."""

    holds: Flags
    ratio: Array
    governs: Codes

    def at(self, *places: Any) -> Answer:
        """Of some places."""
        return Answer(self.holds[places], self.ratio[places], self.governs[places])


@dataclass
class Tally:
    """Checks taken one by one; what is alike for all rows or all columns stays narrow until the end."""

    hard: frozenset[str]
    parts: dict[tuple[int, ...], Answer] = field(default_factory=dict)

    def take(self, check: Check, demand: Array, capacity: Array, asks: bool = True) -> None:
        """Count one check."""
        if check.id not in self.hard:
            return
        demand, capacity = np.atleast_2d(demand), np.atleast_2d(capacity)
        known = np.isfinite(capacity)
        if not known.any() or np.isnan(demand).all():
            return
        loud = asks and check.unit != "1" and check.id not in QUIET
        if known.all() and loud and float(demand.min()) > 0.0:  # nothing is open and all are asked
            self._join(holding(demand, capacity), capacity / demand, check)
            return
        decided = known & ~np.isnan(demand)
        ok = holding(demand, capacity) | ~decided
        heard = decided & (demand > 0.0) if loud else decided & ~ok
        ratio = np.where(heard, capacity / demand, np.inf)
        self._join(ok, np.where(ok, ratio, np.minimum(ratio, BELOW)), check)

    def _join(self, ok: Flags, ratio: Array, check: Check) -> None:
        more = Answer(ok, ratio, np.broadcast_to(np.int16(PLACE[check.id]), ratio.shape))
        known = self.parts.get(ratio.shape)
        self.parts[ratio.shape] = more if known is None else worse(known, more)

    def answer(self, shape: tuple[int, int]) -> Answer:
        """All of them together, in the shape asked for."""
        found = Answer(np.ones((1, 1), dtype=bool), np.full((1, 1), np.inf), np.full((1, 1), NONE, dtype=np.int16))
        for part in sorted(self.parts.values(), key=lambda one: one.holds.size):
            found = worse(found, part)
        holds, ratio = np.broadcast_to(found.holds, shape), np.broadcast_to(found.ratio, shape)
        return Answer(holds, ratio, np.broadcast_to(found.governs, shape))


PLACE = {check.id: k for k, check in enumerate(CHECKS)}
BELOW = float(np.nextafter(1.0, 0.0))  # a check that fails comes before one that holds


def worse(a: Answer, b: Answer) -> Answer:
    """Both, and of each pair the one nearer its limit.

    Args:
        a: the first, which wins where both are as near.
        b: the second.

    Returns:
        `Answer` of the common shape.

    Example:
        >>> one = Answer(np.array([True]), np.array([2.0]), np.array([1], dtype=np.int16))
        >>> two = Answer(np.array([False]), np.array([0.5]), np.array([2], dtype=np.int16))
        >>> worse(one, two).governs.tolist()
        [2]
    """
    nearer = b.ratio < a.ratio
    ratio = np.minimum(a.ratio, b.ratio)
    return Answer(a.holds & b.holds, ratio, np.where(nearer, b.governs, a.governs))


def answer_of(bench: Bench, checks: Iterable[Check], hard: frozenset[str]) -> Answer:
    """Every check of some over a bench, one row an outfit, one column a machine.

    Args:
        bench: outfits on machines side by side.
        checks: which.
        hard: ids of those that count.

    Returns:
        `Answer`.

    Source: as `handfast.outfits.assess`, each machine by itself.

    Example:
        >>> from handfast.outfits.example import bench
        >>> bool(answer_of(bench(), CHECKS, frozenset(("mount.width", "lift.curl"))).holds.all())
        True
    """
    tally = Tally(hard)
    with np.errstate(invalid="ignore", divide="ignore", over="ignore"):
        for check in checks:
            if check.id in hard:
                asks = check.id != "lift.full_height" or not bool(np.isnan(bench.load.mass).all())
                tally.take(check, *check.pair(bench), asks=asks)
    return tally.answer(bench.shape)
