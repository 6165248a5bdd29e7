"""All checks over all outfits and samples: what holds, how often, what stops it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from handfast.outfits.bench import Bench
from handfast.outfits.checks import CHECKS, Check
from handfast.quantities.arrays import Array

Flags = NDArray[np.bool_]
TOLERANCE = 1e-9  # of the capacity: what rounding may take
SHIFTS = 8
T_90 = 1.895  # Student's t, 7 degrees of freedom, 90 % two-sided (standard table)


@dataclass(frozen=True)
class Finding:
    """One check over all outfits: demand and capacity, whether it holds, whether it is decidable."""

    check: Check
    demand: Array
    capacity: Array
    holds: Flags
    decided: Flags  # per outfit

    @property
    def margin(self) -> Array:
        """Capacity less demand."""
        return self.capacity - self.demand

    def held(self, row: int) -> float | None:
        """Share of samples in which the outfit holds it; None where not decidable."""
        if not self.decided[row]:
            return None
        return float(np.mean(self.holds[min(row, len(self.holds) - 1)]))

    def ratio(self, row: int) -> float:
        """Capacity over demand, medians: the smaller, the nearer the limit; inf where nothing is asked."""
        demand, capacity = float(np.median(_row(self.demand, row))), float(np.median(_row(self.capacity, row)))
        return capacity / demand if demand > 0 else np.inf


@dataclass(frozen=True)
class Assessment:
    """Every finding, and what they come to together."""

    bench: Bench
    findings: tuple[Finding, ...]
    together: Flags  # (outfits, samples): all decidable hard checks hold
    safe: Flags  # (outfits, samples): all decidable safety checks hold

    def of(self, check_id: str) -> Finding:
        """The finding of one check."""
        return next(one for one in self.findings if one.check.id == check_id)

    def held(self, row: int) -> float:
        """Share of samples in which every decidable hard check of an outfit holds."""
        return float(np.mean(self.together[row]))

    def error(self, row: int) -> float:
        """Half-width of the share's error bar from the eight shifts; 0 when nothing is uncertain."""
        samples = self.together[row]
        if len(samples) == 1:
            return 0.0
        means = samples.reshape(SHIFTS, -1).mean(axis=1)
        return float(T_90 * means.std(ddof=1) / np.sqrt(SHIFTS))

    def governs(self, row: int) -> Finding | None:
        """The hard check with the least share held, then nearest its limit; yes/no ones only when they fail."""
        ranked = []
        for finding in self.findings:
            share = finding.held(row)
            if not finding.check.hard or share is None or (finding.check.unit == "1" and share == 1.0):
                continue
            ranked.append((share, finding.ratio(row), finding))
        return min(ranked, key=lambda one: (one[0], one[1]))[2] if ranked else None

    def safety_floor(self, row: int) -> float:
        """Least share held of any single safety check of an outfit; 1 where none is decidable."""
        shares = [f.held(row) for f in self.findings if f.check.safety and f.check.hard]
        return min((s for s in shares if s is not None), default=1.0)

    def failing(self, row: int, share: float = 0.9) -> list[Finding]:
        """The decidable hard checks held less often than a share."""
        pairs = [(f, f.held(row)) for f in self.findings if f.check.hard]
        return [f for f, held in pairs if held is not None and held < share]


def assess(bench: Bench, checks: Sequence[Check] = CHECKS) -> Assessment:
    """Every check over every outfit and sample.

    Args:
        bench: outfits and samples.
        checks: which checks; all by default.

    Returns:
        `Assessment`.

    Source: a check holds when margin ≥ −1e-9 × |capacity|.

    Example:
        >>> assess.__name__
        'assess'
    """
    findings = tuple(_finding(check, bench) for check in checks)
    outfits, samples = bench.shape
    together = np.ones((outfits, samples), dtype=bool)
    safe = np.ones((outfits, samples), dtype=bool)
    for finding in findings:
        if not finding.check.hard:
            continue
        counted = finding.holds | ~finding.decided[:, None]
        together &= counted
        if finding.check.safety:
            safe &= counted
    return Assessment(bench, findings, together, safe)


def _finding(check: Check, bench: Bench) -> Finding:
    rows = len(bench.outfits)
    with np.errstate(invalid="ignore", divide="ignore"):
        demand, capacity = (np.atleast_2d(a) for a in check.pair(bench))
        margin = capacity - demand
        holds = margin >= -TOLERANCE * np.abs(capacity)
    holds = np.where(np.isinf(demand), False, holds)
    decided = np.isfinite(capacity).all(axis=1) & ~np.isnan(demand).any(axis=1)
    return Finding(check, demand, capacity, holds, np.broadcast_to(decided, (rows,)))


def _row(values: Array, row: int) -> Array:
    return values[row] if len(values) > 1 else values[0]
