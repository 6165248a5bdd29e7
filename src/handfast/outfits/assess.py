"""All checks over all outfits and samples: what holds, how often, what stops it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from handfast.outfits.bench import Bench
from handfast.outfits.checks import CHECKS, Check
from handfast.quantities.arrays import Array, row_of, row_quantiles

Flags = NDArray[np.bool_]
TOLERANCE = 1e-9  # of the capacity: what rounding may take


@dataclass(frozen=True)
class Finding:
    """One check over all outfits: demand and capacity, whether it holds, whether it is decidable."""

    check: Check
    demand: Array
    capacity: Array
    holds: Flags
    decided: Flags  # per outfit
    rows: NDArray[np.intp]  # row of the arrays that an outfit reads

    def held(self, row: int) -> float | None:
        """Share of samples in which the outfit holds it; None where not decidable."""
        return float(self.shares[self.place(row)]) if self.decided[row] else None

    @cached_property
    def shares(self) -> Array:
        """Share of samples in which each row of the arrays holds."""
        return np.asarray(self.holds.mean(axis=1))

    @cached_property
    def ratios(self) -> Array:
        """Capacity over demand of each row, medians."""
        demand, capacity = (row_quantiles(one, (0.5,))[0] for one in (self.demand, self.capacity))
        with np.errstate(divide="ignore", invalid="ignore"):
            return np.where(demand > 0, capacity / demand, np.inf)

    def place(self, row: int) -> int:
        """Row of the arrays that an outfit reads."""
        return int(self.rows[row]) if len(self.holds) > 1 else 0

    def row(self, name: str, outfit: int) -> Array:
        """One outfit's row of demand, capacity, margin or holds."""
        values: Array = getattr(self, name)
        one: Array = values[self.rows[outfit]] if len(values) > 1 else values[0]
        return one

    @cached_property
    def margin(self) -> Array:
        """Capacity less demand."""
        return self.capacity - self.demand

    def spare(self, outfit: int) -> Array:
        """One outfit's margin: capacity less demand."""
        return self.row("capacity", outfit) - self.row("demand", outfit)

    def varies(self, outfit: int) -> bool:
        """Whether an outfit's demand or capacity differs from sample to sample."""
        if not self.decided[outfit]:
            return False
        return any(one.min() < one.max() for one in (self.row("demand", outfit), self.row("capacity", outfit)))

    def ratio(self, row: int) -> float:
        """Capacity over demand, medians: the smaller, the nearer the limit; inf where nothing is asked."""
        return float(self.ratios[int(self.rows[row]) if len(self.ratios) > 1 else 0])


@dataclass(frozen=True)
class Assessment:
    """Every finding, and what they come to together."""

    bench: Bench
    findings: tuple[Finding, ...]
    together: Flags  # (outfits, samples): all decidable hard checks hold
    safe: Flags  # (outfits, samples): all decidable safety checks hold
    also_hard: tuple[str, ...] = ()

    def with_findings(self, findings: Sequence[Finding], also_hard: Sequence[str]) -> Assessment:
        """The same outfits with other findings."""
        return _together(self.bench, tuple(findings), also_hard)

    def weight_fails(self, row: int) -> bool:
        """Whether a hard check of balance or slope is held too seldom."""
        return any(f.check.id.startswith(("balance.", "slope.")) for f in self.failing(row))

    def of(self, check_id: str) -> Finding:
        """The finding of one check."""
        return next(one for one in self.findings if one.check.id == check_id)

    def held(self, row: int) -> float:
        """Share of samples in which every decidable hard check of an outfit holds."""
        return float(np.mean(self.together[row]))

    def governs(self, row: int) -> Finding | None:
        """The hard check with the least share held, then nearest its limit; yes/no ones only when they fail."""
        ranked = []
        for finding in self.findings:
            share = finding.held(row)
            counts = finding.check.hard or finding.check.id in self.also_hard
            quiet = (
                finding.check.unit == "1" or finding.check.id == "join.hose_reach"
            )  # hoses are bought just long enough
            if share == 1.0 and (quiet or vacuous(finding.check, self.bench, row)):
                continue
            if not counts or share is None:
                continue
            ranked.append((share, finding))
        least = min((share for share, _ in ranked), default=0.0)
        nearest = [finding for share, finding in ranked if share == least]
        return min(nearest, key=lambda one: one.ratio(row), default=None)

    def safety_floor(self, row: int) -> float:
        """Least share held of any single safety check of an outfit; 1 where none is decidable."""
        shares = [f.held(row) for f in self.findings if f.check.safety and f.check.hard]
        return min((s for s in shares if s is not None), default=1.0)

    def failing(self, row: int, share: float = 0.9) -> list[Finding]:
        """The decidable hard checks held less often than a share."""
        pairs = [(f, f.held(row)) for f in self.findings if f.check.hard or f.check.id in self.also_hard]
        return [f for f, held in pairs if held is not None and held < share]


def vacuous(check: Check, bench: Bench, row: int) -> bool:
    """Whether a lift check asks of an outfit just what is left, as nobody has said what a piece weighs.

    Args:
        check: the check.
        bench: the outfits.
        row: which outfit.

    Returns:
        True or false.

    Example:
        >>> from handfast.outfits.checks import check
        >>> from handfast.outfits.example import bench
        >>> vacuous(check("lift.full_height"), bench(), 0)
        False
    """
    return check.id == "lift.full_height" and bool(np.isnan(row_of(bench.load.mass, row)[0]))


def assess(bench: Bench, checks: Sequence[Check] = CHECKS, also_hard: Sequence[str] = ()) -> Assessment:
    """Every check over every outfit and sample.

    Args:
        bench: outfits and samples.
        checks: which checks; all by default.
        also_hard: ids of advisory checks that count as hard here.

    Returns:
        `Assessment`.

    Source: a check holds when margin ≥ −1e-9 × |capacity|.

    Example:
        >>> from handfast.outfits.example import bench
        >>> round(float(assess(bench()).of("lift.full_height").margin[0, 0]), 3)
        250.198
    """
    return _together(bench, tuple(finding_of(check, bench) for check in checks), also_hard)


def _together(bench: Bench, findings: tuple[Finding, ...], also_hard: Sequence[str]) -> Assessment:
    counted = [one for one in findings if one.check.hard or one.check.id in also_hard]
    careful = [one.check.safety or one.check.id in also_hard for one in counted]
    safe = _all_hold(bench, [one for one, care in zip(counted, careful, strict=True) if care])
    rest = _all_hold(bench, [one for one, care in zip(counted, careful, strict=True) if not care])
    return Assessment(bench, findings, safe & rest, safe, tuple(also_hard))


def _all_hold(bench: Bench, findings: Sequence[Finding]) -> Flags:
    """Where every decidable finding holds, (outfits, samples): once for each way of hanging, then spread."""
    once = len(bench.hung_once.outfits)
    hung, each = np.ones((once, bench.draws.size), dtype=bool), np.ones(bench.shape, dtype=bool)
    for finding in findings:
        holds = finding.holds | ~_decided(finding)[:, None]
        if len(holds) == once:
            hung &= holds
        else:
            each &= holds
    return np.asarray(hung[bench.hanging] & each if once < len(each) else hung & each)


def _decided(finding: Finding) -> Flags:
    """Whether each row of the arrays is decidable."""
    if len(finding.holds) == 1:
        return finding.decided[:1]
    flags = np.zeros(len(finding.holds), dtype=bool)
    flags[finding.rows] = finding.decided
    return flags


def merge(
    done: Sequence[Assessment], serves: Sequence[Sequence[bool]], also_hard: Sequence[str], spoken: Bench | None = None
) -> Assessment:
    """Several lines of work as one: for each outfit and check the line that asks most of it.

    Args:
        done: one assessment a line of work, same outfits and checks.
        serves: whether an outfit is a tool for that line; a line it does not serve asks nothing of it.
        also_hard: as in `assess`.
        spoken: the bench that the outfits are spoken of by; the first where not given.

    Returns:
        `Assessment` on that bench.

    Example:
        >>> from handfast.outfits.example import bench, found
        >>> merge([found(), found()], [[True], [True]], ()).held(0)
        1.0
    """
    benches = [one.bench for one in done]
    findings = tuple(_worst([one.findings[k] for one in done], serves, benches) for k in range(len(done[0].findings)))
    return _together(done[0].bench if spoken is None else spoken, findings, also_hard)


def _worst(findings: Sequence[Finding], serves: Sequence[Sequence[bool]], benches: Sequence[Bench]) -> Finding:
    rows = findings[0].rows
    speaks = np.unique(rows, return_index=True)[1]  # an outfit for each row of the arrays
    asked = [np.asarray(one, dtype=bool)[speaks] for one in serves]
    each = zip(findings, asked, benches, strict=True)
    pick = np.argmin(np.array([_hardness(f, s, speaks) + _says_nothing(f, b, speaks) for f, s, b in each]), axis=0)
    wide = max(max(f.demand.shape[1], f.capacity.shape[1]) for f in findings)
    demand, capacity, holds = (
        _each_from([getattr(f, name) for f in findings], pick, wide) for name in ("demand", "capacity", "holds")
    )
    decided = _each_from([f.decided[speaks, None] for f in findings], pick, 1)[:, 0].astype(bool)
    return Finding(findings[0].check, demand, capacity, holds.astype(bool), decided[rows], rows)


def _each_from(values: Sequence[NDArray[Any]], pick: NDArray[np.intp], wide: int) -> NDArray[Any]:
    """Each row from the array that `pick` names."""
    shape = (len(pick), wide)
    if (pick == pick[0]).all():
        return np.broadcast_to(values[pick[0]], shape)
    made = np.array(np.broadcast_to(values[0], shape))
    for k in range(1, len(values)):
        made[pick == k] = np.broadcast_to(values[k], shape)[pick == k]
    return made


def _hardness(finding: Finding, serves: Flags, speaks: NDArray[np.intp]) -> Array:
    """How near each row is to failing, small is near; a line of work that a tool does not serve asks nothing."""
    rows = finding.rows[speaks] if len(finding.holds) > 1 else np.zeros(len(speaks), dtype=np.intp)
    ratio = np.broadcast_to(finding.ratios, (len(finding.holds),))[rows]
    near = np.where(ratio >= 0, 1.0 - 1.0 / (1.0 + np.maximum(ratio, 0.0)), 0.0)
    near = np.where(np.isnan(ratio), 1.0, near)
    return np.where(serves & finding.decided[speaks], finding.shares[rows] + 1e-6 * near, np.inf)


def _says_nothing(finding: Finding, bench: Bench, speaks: NDArray[np.intp]) -> Array:
    """1 where a line of work asks no mass, so that a line that does ask comes before it."""
    return np.array([float(vacuous(finding.check, bench, int(row))) for row in speaks])


def finding_of(check: Check, bench: Bench) -> Finding:
    """One check over every outfit and sample.

    Args:
        check: which.
        bench: outfits and samples.

    Returns:
        `Finding`.

    Source: a check holds when margin ≥ −1e-9 × |capacity|.

    Example:
        >>> from handfast.outfits.checks import check
        >>> from handfast.outfits.example import bench
        >>> finding_of(check("lift.full_height"), bench()).decided.tolist()
        [True]
    """
    rows = np.arange(len(bench.outfits)) if check.by_power else bench.hanging
    with np.errstate(invalid="ignore", divide="ignore"):
        demand, capacity = (np.atleast_2d(a) for a in check.pair(bench if check.by_power else bench.hung_once))
        holds = holding(demand, capacity)
        decided: Flags = np.asarray(np.isfinite(capacity.sum(axis=1)) & ~np.isnan(demand.max(axis=1)))
    each = decided[rows] if len(decided) > 1 else np.broadcast_to(decided, (len(bench.outfits),))
    return Finding(check, demand, capacity, holds, each, rows)


def holding(demand: Array, capacity: Array) -> Flags:
    """Where a check holds: demand within capacity, rounding allowed for; what is infinite holds nothing.

    Args:
        demand: what is asked, any shape.
        capacity: what there is, broadcastable.

    Returns:
        Flags of the common shape; False where either is not known.

    Source: a check holds when margin ≥ −1e-9 × |capacity|.

    Example:
        >>> holding(np.array([1.0, 2.0, np.inf]), np.array([1.0, 1.0, np.inf])).tolist()
        [True, False, False]
    """
    limit = capacity + TOLERANCE * np.abs(capacity)
    holds = demand <= limit
    if np.isinf(limit).any():
        holds &= ~np.isinf(demand)
    return np.asarray(holds)
