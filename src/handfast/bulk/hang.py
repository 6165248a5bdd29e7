"""Attachments as rows, each with its mounts, ready to be hung on machines that are alike."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from handfast.bulk.catalogue import Catalogue
from handfast.bulk.kin import quick_attach_of
from handfast.bulk.side_by_side import some
from handfast.bulk.tally import Answer, answer_of, worse
from handfast.machines.inquiry import Inquiry
from handfast.outfits.added import Added
from handfast.outfits.ballast import HITCH_HEIGHT
from handfast.outfits.bench import Bench
from handfast.outfits.check_balance import CAUTION, STOP
from handfast.outfits.checks import CHECKS
from handfast.outfits.draws import Draws
from handfast.outfits.facts import machine_class
from handfast.outfits.frame import frame_of
from handfast.outfits.loads import WorkLoad, work_load
from handfast.outfits.outfit import Outfit
from handfast.outfits.powering import PowerRoute
from handfast.outfits.tools import floor_points
from handfast.physics.balance import counterweight, share
from handfast.quantities.arrays import Array

Places = NDArray[np.intp]
STILL = PowerRoute("none")
HUNG = tuple(check for check in CHECKS if not check.by_power and check.id != "cost.budget")
BY_WEIGHT = tuple(check for check in HUNG if check.id.startswith(("balance.", "slope.")))
REST = tuple(check for check in HUNG if check not in BY_WEIGHT)
NOTHING = WorkLoad(*(np.full((1, 1), np.nan) for _ in range(4)))


@dataclass(frozen=True)
class Hung:
    """Pairs of a block: rows are mounts of attachments, columns machines."""

    bare: Answer
    weighted: Answer | None  # with the counterweight; None where no pair asks for one
    counterweight: Array  # [kg] at the hitch, 0 where none is needed
    payload: Array  # [kg] at full height


@dataclass(frozen=True)
class Rows:
    """What hangs on one kin of machines: a row for each mount of each attachment, first mounts first."""

    bench: Bench
    tools: Places  # which attachment each row is
    first: int  # so many rows are first mounts, each of another attachment

    @cached_property
    def places(self) -> Places:
        """Of each row the row of its attachment's first mount."""
        place = {int(tool): k for k, tool in enumerate(self.tools[: self.first])}
        return np.array([place[int(tool)] for tool in self.tools], dtype=np.intp)

    @cached_property
    def further(self) -> tuple[Places, ...]:
        """Rows of second mounts, of third ones, and so on: in each no attachment stands twice."""
        ranks: dict[int, list[int]] = {}
        seen: Counter[int] = Counter()
        for row in range(self.first, len(self.tools)):
            tool = int(self.tools[row])
            ranks.setdefault(seen[tool], []).append(row)
            seen[tool] += 1
        return tuple(np.array(rows, dtype=np.intp) for rows in ranks.values())

    def on(self, draws: Draws, start: int, stop: int) -> Bench:
        """The bench with some of the machines."""
        block = some(draws, start, stop)
        return self.bench.on(block, frame_of(self.bench.inquiry, block))

    @cached_property
    def levels(self) -> tuple[tuple[Places, Bench], ...]:
        """Rows whose mounts hold the plane as high, each with its bench: heights are then one row for all."""
        high, at = np.unique(self.bench.ways.vertical[:, 0], return_inverse=True)
        if len(high) == 1:
            return ((np.arange(len(self.tools)), self.bench),)
        places = [np.nonzero(at.ravel() == k)[0] for k in range(len(high))]
        return tuple((rows, self.bench.some(rows)) for rows in places)

    def hung(self, draws: Draws, start: int, stop: int, hard: frozenset[str]) -> Hung:
        """All rows on some of the machines."""
        block = some(draws, start, stop)
        frame = frame_of(self.bench.inquiry, block)
        each = [(rows, hang(bench.on(block, frame), hard)) for rows, bench in self.levels]
        return each[0][1] if len(each) == 1 else _put_together(each, (len(self.tools), stop - start))


def rows_of(inquiry: Inquiry, draws: Draws, catalogue: Catalogue) -> Rows | None:
    """Every attachment that hangs on a kin of machines.

    Args:
        inquiry: with one line of work and a machine of the kin.
        draws: figures of the kin.
        catalogue: the attachments and the kits.

    Returns:
        `Rows`; None where nothing hangs.

    Example:
        >>> from handfast.bulk.example import kin
        >>> len(kin().tools)
        1
    """
    mounts = catalogue.mounts(quick_attach_of(inquiry.machine), machine_class(inquiry.machine))
    pairs = [(k, one) for k, found in enumerate(mounts) for one in found[:1]]
    first = len(pairs)
    pairs += [(k, one) for k, found in enumerate(mounts) for one in found[1:]]
    if not pairs:
        return None
    rows = np.array([k for k, _ in pairs], dtype=np.intp)
    outfits = [Outfit(catalogue.attachments[k], mount, STILL) for k, mount in pairs]
    columns = {path: column[rows] for path, column in catalogue.tools.items()}
    floors = [floor_points(one.attachment) for one in outfits]
    load = work_load(inquiry.work[0], "work0.", draws, columns, floors) if inquiry.work else NOTHING
    return Rows(Bench(inquiry, draws, frame_of(inquiry, draws), outfits, columns, load), rows, first)


def hang(bench: Bench, hard: frozenset[str], with_weight: bool = True) -> Hung:
    """Every check that does not depend on power, bare and with the counterweight that the rules ask.

    Args:
        bench: rows on machines side by side.
        hard: ids of checks that count.
        with_weight: whether to look at a counterweight at all.

    Returns:
        `Hung`.

    Source: rules of 25 % and 20 % on the rear axle, as in `handfast.outfits.ballast`.

    Example:
        >>> from handfast.bulk.example import kin
        >>> hang(kin().bench, frozenset(("lift.curl",))).bare.holds.shape
        (1, 1)
    """
    rest, weighed = answer_of(bench, REST, hard), answer_of(bench, BY_WEIGHT, hard)
    with np.errstate(invalid="ignore", divide="ignore"):
        payload = np.broadcast_to(bench.payload_at(bench.frame.height_max), bench.shape)
    bare = worse(rest, weighed)
    none = np.zeros((1, 1))
    if not with_weight:
        return Hung(bare, None, none, payload)
    mass = needed(bench, weighed, rest)
    if not (mass > 0.0).any():
        return Hung(bare, None, none, payload)
    heavier = _with(bench, mass)
    return Hung(bare, worse(rest, answer_of(heavier, BY_WEIGHT, hard)), mass, payload)


def _put_together(each: Sequence[tuple[Places, Hung]], shape: tuple[int, int]) -> Hung:
    """Rows of several benches in their own order."""
    weighted = any(one.weighted is not None for _, one in each)
    bare, heavy = _empty(shape), _empty(shape)
    weight, payload = np.zeros(shape), np.zeros(shape)
    for rows, one in each:
        for into, found in ((bare, one.bare), (heavy, one.weighted or one.bare)):
            into.holds[rows], into.ratio[rows], into.governs[rows] = found.holds, found.ratio, found.governs
        weight[rows], payload[rows] = one.counterweight, one.payload
    return Hung(bare, heavy if weighted else None, weight, payload)


def _empty(shape: tuple[int, int]) -> Answer:
    return Answer(np.zeros(shape, dtype=bool), np.zeros(shape), np.zeros(shape, dtype=np.int16))


def needed(bench: Bench, weighed: Answer, rest: Answer) -> Array:
    """Counterweight at the hitch that the stricter rule asks of each pair [kg]; the stop rule where it is too much.

    Args:
        bench: rows on machines side by side, nothing added.
        weighed: answer of the checks of balance and slope.
        rest: answer of all others; a pair that fails these needs no ballast.

    Returns:
        Shape of the bench; 0 where the stricter rule holds and no check of weight fails.

    Source: `handfast.physics.balance.counterweight`, formula printed in loader manuals after EN 12525+A2.

    Example:
        >>> from handfast.bulk.example import kin
        >>> from handfast.bulk.tally import answer_of
        >>> one = kin().bench
        >>> needed(one, answer_of(one, BY_WEIGHT, frozenset()), answer_of(one, REST, frozenset())).tolist()
        [[0.0]]
    """
    front, rear = bench.axles("loaded_furthest")
    wheelbase, far = bench.frame.wheelbase, bench.frame.hitch_x
    with np.errstate(invalid="ignore", divide="ignore"):
        strict = counterweight(front, rear, 0.0, 0.0, far, wheelbase, CAUTION)
        stop = counterweight(front, rear, 0.0, 0.0, far, wheelbase, STOP)
        most = bench.draws["hitch_lift_610"]
        asks = rest.holds & ((share(rear, front + rear) < CAUTION) | ~weighed.holds)
        mass = np.where(strict > most, stop, strict)
    return np.where(asks & np.isfinite(mass), mass, 0.0)


def _with(bench: Bench, mass: Array) -> Bench:
    """The same with a counterweight on the lower links."""
    far = np.broadcast_to(bench.frame.hitch_x, mass.shape)
    return bench.weighed_with((Added(mass, -far, np.full((1, 1), HITCH_HEIGHT), mass, far, np.arange(len(mass))),))
