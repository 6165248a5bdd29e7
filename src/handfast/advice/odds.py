"""From checks to a verdict: what holds now, what holds under conditions, and with what certainty."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import compress

import numpy as np
from numpy.typing import NDArray

from handfast.advice.error_bar import share_error
from handfast.advice.shares import Premises, Shares, premises, shares
from handfast.machines.shelf import Shelf
from handfast.outfits.assess import Assessment, Finding, assess, merge
from handfast.outfits.ballast import BallastSet, Chosen, added_of, ballast_sets, choose
from handfast.outfits.bench import Bench
from handfast.outfits.checks import CHECKS, Check
from handfast.outfits.facts import machine_class
from handfast.outfits.lay import Laid, serves
from handfast.outfits.mounting import fits_class

Flags = NDArray[np.bool_]
FITS, IF, NOT, OPEN = "fits", "fits with conditions", "does not fit", "not enough known"
HELD, SAFE, HOPELESS = 0.90, 0.97, 0.10
THRESHOLDS = {"held": HELD, "each_safety_check": SAFE, "does_not_fit": HOPELESS}
BY_WEIGHT = tuple(check for check in CHECKS if check.id.startswith(("balance.", "slope.")))
UNREAD = 0.3  # of the machine's mass: ballast offered while the hitch's rating has not been read (practice)
LOWER = 1.5  # m: the height at which the second pair of ratings is published
RATED = ("lift.full_height", "lift.needed_height", "balance.rear_share_loaded", "slope.side")


@dataclass(frozen=True)
class Judged:
    """Every outfit as found: bare, with ballast, and lifted less high."""

    bench: Bench  # each outfit with the line of work that it is spoken of by
    bare: Assessment
    weighted: Assessment
    lower: Assessment | None
    chosen: tuple[Chosen, ...]
    sets: tuple[BallastSet | None, ...]

    @cached_property
    def needs_ballast(self) -> tuple[bool, ...]:
        """Whether an outfit fails or falls short of the stricter rule with nothing added."""
        return tuple(one is not None and one.mass > 0 for one in self.sets)

    @cached_property
    def premises(self) -> Premises:
        """What outfits presume."""
        return premises(self.bench, self.bare.of("power.supply"))

    def presumes(self, row: int) -> bool:
        """Whether an outfit rests on a fact nobody has said."""
        return not bool(self.premises.given(row).all())

    def best(self, row: int) -> Assessment:
        """The findings that the advice speaks of: with ballast where it is added."""
        return self.weighted if self.needs_ballast[row] else self.bare

    @cached_property
    def _heavier(self) -> Shares:
        """As the advice speaks of each outfit, full height included."""
        bare = shares(self.bare, self.premises)
        if self.weighted is self.bare:
            return bare
        with_it, needs = shares(self.weighted, self.premises), np.array(self.needs_ballast)
        return Shares(*(np.where(needs, a, b) for a, b in zip(with_it.pair, bare.pair, strict=True)))

    @cached_property
    def _below(self) -> Flags:
        """Whether each outfit only holds when it is not lifted to full height."""
        if self.lower is None:
            return np.zeros(len(self.bench.outfits), dtype=bool)
        return np.asarray((self._heavier.together < HELD) & (self._lower.together >= HELD))

    @cached_property
    def _lower(self) -> Shares:
        return self._heavier if self.lower is None else shares(self.lower, self.premises)

    @cached_property
    def _final(self) -> Shares:
        pairs = zip(self._lower.pair, self._heavier.pair, strict=True)
        return Shares(*(np.where(self._below, low, high) for low, high in pairs))

    def held(self, row: int) -> float:
        """Share held under the conditions named."""
        return float(self._final.together[row])

    def error(self, row: int) -> float:
        """Half-width of the error bar of `held`, over the samples presumed; 0 where no check of its own varies."""
        given, final = self.premises.given(row), self.final(row)
        if not any(one.varies(row) for one in final.findings if one.check.hard or one.check.id in final.also_hard):
            return 0.0
        return share_error(np.broadcast_to(final.together[row], given.shape), given)

    def safe(self, row: int) -> float:
        """Least share of a safety check under the conditions named."""
        return float(self._final.floor[row])

    def sound(self, row: int) -> bool:
        """Whether it holds with nothing added and nothing presumed."""
        return bool(self._sound[row])

    @cached_property
    def _sound(self) -> Flags:
        whole = shares(self.bare, self.premises, np.zeros(len(self.bench.outfits), dtype=np.intp))
        return np.asarray((whole.together >= HELD) & (whole.floor >= SAFE))

    def final(self, row: int) -> Assessment:
        """The findings under every condition named for the outfit."""
        best = self.best(row)
        if self.lower is not None and self.stays_below(row):
            return self.lower
        return best

    def stays_below(self, row: int) -> bool:
        """Whether an outfit only holds when it is not lifted to full height."""
        return bool(self._below[row])

    def verdict(self, row: int) -> str:
        """One of the four words."""
        return self._verdicts[row]

    @cached_property
    def _verdicts(self) -> tuple[str, ...]:
        return tuple(self._verdict(row) for row in range(len(self.bench.outfits)))

    def _verdict(self, row: int) -> str:
        if self.held(row) < HELD or self.safe(row) < SAFE:
            return NOT if self.held(row) <= HOPELESS else OPEN
        clean = self.sound(row) and not self.presumes(row) and not self.by_class(row)
        return FITS if clean else IF

    def by_class(self, row: int) -> tuple[str, ...]:
        """Safety checks whose capacity rests on nothing but what is typical of the class."""
        final, origin = self.final(row), self.bench.draws.origin
        names = []
        for check_id in RATED:
            finding = final.of(check_id)
            if finding.decided[row] and any(origin(path) == "typical" for path in finding.check.rests_on[:4]):
                names.append(check_id)
        return tuple(names)


def judge(laid: Laid, shelf: Shelf) -> Judged:
    """Check every outfit bare, choose its ballast, and check it again with it.

    Args:
        laid: benches, one a line of work.
        shelf: with the ballast that is sold.

    Returns:
        `Judged`.

    Source: thresholds 0.90 together and 0.97 for each safety check.

    Example:
        >>> from handfast.outfits.example import laid
        >>> judge(laid(), Shelf()).verdict(0)
        'fits'
    """
    first, spoken = laid.benches[0], laid.spoken
    known = (first.links,) if first.links is not None else ()
    hard = full_height_counts(first)
    bare = _over_works(laid.benches, CHECKS, hard, spoken)
    chosen = _chosen(laid.benches, shelf)
    sets = tuple(_wanted(one, bare, row) for row, one in enumerate(chosen))
    added = added_of(sets, first)
    heavier = [replace(bench, added=added, linked=known if bench is first else bench.linked) for bench in laid.benches]
    loaded = heavier[0] if spoken is first else replace(spoken, added=added)
    weighted = _with(bare, _over_works(heavier, BY_WEIGHT, hard, loaded), hard) if added else bare
    lower = _lowered(spoken, weighted) if hard else None
    return Judged(loaded if added else spoken, bare, weighted, lower, chosen, sets)


def full_height_counts(bench: Bench) -> tuple[str, ...]:
    """Ids of advisory checks that count as hard: full height, where no height was asked for.

    Args:
        bench: the outfits.

    Returns:
        Ids.

    Example:
        >>> from handfast.outfits.example import bench
        >>> full_height_counts(bench())
        ('lift.full_height',)
    """
    return () if bench.draws.known("site.lift_to") else ("lift.full_height",)


def _chosen(benches: Sequence[Bench], shelf: Shelf) -> tuple[Chosen, ...]:
    """The heaviest need over the lines of work that it serves, one set an outfit."""
    group = machine_class(benches[0].inquiry.machine)
    parts = [part for part in shelf.parts.values() if fits_class(part, group)]
    full = benches[0].inquiry.machine.tyre_fill is not None
    sets = ballast_sets(parts, _offered(benches[0]), full)
    each = [choose(bench, sets) for bench in benches]
    if len(each) == 1:
        return tuple(each[0])
    asked = zip(zip(*each, strict=True), zip(*_served(benches), strict=True), strict=True)
    return tuple(
        max(compress(some, served if any(served) else [True] * len(some)), key=lambda one: one.needed)
        for some, served in asked
    )


def _offered(bench: Bench) -> float:
    """Heaviest counterweight on offer: the hitch's rating, or a share of the machine while that has not been read."""
    rating = float(np.min(bench.draws["hitch_lift_610"]))
    return rating if np.isfinite(rating) else UNREAD * float(np.min(bench.frame.mass))


def _wanted(chosen: Chosen, bare: Assessment, row: int) -> BallastSet | None:
    """Nothing is added where the stricter rule holds already."""
    caution = bare.of("balance.rear_share_caution").held(row)
    if caution is not None and caution >= HELD and not bare.weight_fails(row):
        return None
    return chosen.ballast


def _over_works(benches: Sequence[Bench], checks: Sequence[Check], hard: Sequence[str], spoken: Bench) -> Assessment:
    done = [assess(bench, checks, hard) for bench in benches]
    return merge(done, _served(benches), hard, spoken) if len(done) > 1 else done[0]


def _served(benches: Sequence[Bench]) -> list[list[bool]]:
    """For each line of work whether each outfit is a tool for it."""
    return [[serves(bench.inquiry.work[0], outfit) for outfit in bench.outfits] for bench in benches]


def _with(bare: Assessment, again: Assessment, hard: Sequence[str]) -> Assessment:
    fresh = {one.check.id: one for one in again.findings}
    return bare.with_findings([fresh.get(one.check.id, one) for one in bare.findings], hard)


def _lowered(bench: Bench, weighted: Assessment) -> Assessment | None:
    """The same with the lift reckoned at the lower published height, where there is one."""
    if not bench.draws.known("loader.lift_at_pin_1500"):
        return None
    demand, capacity = (np.atleast_2d(a) for a in bench.hung_once.demand_at(np.array([LOWER])))
    old = weighted.of("lift.full_height")
    new = Finding(old.check, demand, capacity, capacity >= demand, old.decided, bench.hanging)
    findings = [new if one is old else one for one in weighted.findings]
    return weighted.with_findings(findings, ("lift.full_height",))
