"""How each kind of lid is moved on machines that are plumbed alike: the best route, looked up once for all of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from handfast.bulk.side_by_side import figures_of, stacked
from handfast.bulk.tally import NONE, Answer, answer_of
from handfast.machines.attachment import Attachment
from handfast.machines.inquiry import Inquiry
from handfast.machines.shelf import Shelf
from handfast.outfits.bench import Bench
from handfast.outfits.checks import CHECKS
from handfast.outfits.facts import machine_class
from handfast.outfits.frame import frame_of
from handfast.outfits.join import Join
from handfast.outfits.joining import joins
from handfast.outfits.loads import WorkLoad
from handfast.outfits.mounting import MountRoute
from handfast.outfits.outfit import Outfit
from handfast.outfits.powering import PowerRoute, lid_key, power_routes
from handfast.outfits.tools import tool_columns

BY_POWER = tuple(check for check in CHECKS if check.by_power)


@dataclass(frozen=True)
class Moved:
    """For each kind of lid on one kin of machines: whether the best route holds, what governs it, which it is."""

    answer: Answer  # shape (kinds,)
    routes: NDArray[np.intp]  # place in `outfits`, NONE where nothing moves it
    outfits: tuple[Outfit, ...]
    joins: Sequence[Join | None]


def moved(inquiry: Inquiry, lids: Sequence[Attachment], shelf: Shelf) -> Moved:
    """The best way to move each kind of lid on one machine.

    Args:
        inquiry: with the machine and the work.
        lids: one attachment of each kind.
        shelf: kits, hoses and fittings.

    Returns:
        `Moved`; of the routes that hold the one whose parts cost least, else the one nearest to holding.

    Source: routes of `handfast.outfits.powering`, checks of power and joining as in `handfast.outfits.assess`.

    Example:
        >>> moved(Inquiry(), (Attachment(actuation="none"),), Shelf()).answer.holds.tolist()
        [True]
    """
    parts, kinds = shelf.parts_of("valve_kit"), [work.kind for work in inquiry.work if work.kind] or ["free"]
    group, straight = machine_class(inquiry.machine), MountRoute("direct", "", "")
    known: dict[tuple[object, ...], tuple[PowerRoute, ...]] = {}
    for one in lids:
        if lid_key(one) not in known:
            known[lid_key(one)] = power_routes(inquiry.machine, one, parts, group, kinds)[0]
    ways = [known[lid_key(one)] for one in lids]
    outfits = tuple(Outfit(one, straight, way) for one, some in zip(lids, ways, strict=True) for way in some)
    if not outfits:
        shape = len(lids)
        nothing = Answer(np.zeros(shape, bool), np.zeros(shape), np.full(shape, NONE, dtype=np.int16))
        return Moved(nothing, np.full(shape, NONE, dtype=np.intp), (), ())
    joined = joins(outfits, inquiry, shelf)
    bench = _bench(inquiry, outfits, lids, [len(some) for some in ways], joined)
    found = answer_of(bench, BY_POWER, frozenset(check.id for check in BY_POWER if check.hard))
    return _best(found, [len(some) for some in ways], outfits, joined)


def _bench(
    inquiry: Inquiry,
    outfits: Sequence[Outfit],
    lids: Sequence[Attachment],
    counts: Sequence[int],
    joined: Sequence[Join | None],
) -> Bench:
    draws = stacked([figures_of(inquiry.machine)], ({}, {}))
    rows = np.repeat(np.arange(len(lids)), counts)
    tools = {path: column[rows] for path, column in tool_columns(lids, draws).items()}
    nothing = WorkLoad(*(np.full((1, 1), np.nan) for _ in range(4)))
    return Bench(inquiry, draws, frame_of(inquiry, draws), outfits, tools, nothing, joins=joined)


def _best(found: Answer, counts: Sequence[int], outfits: tuple[Outfit, ...], joined: Sequence[Join | None]) -> Moved:
    holds, ratio, governs = (one[:, 0] for one in (found.holds, found.ratio, found.governs))
    picked, start = [], 0
    for count in counts:
        rows = range(start, start + count)
        start += count
        picked.append(
            min(rows, key=lambda k: _rank(bool(holds[k]), float(ratio[k]), outfits[k], joined[k]), default=NONE)
        )
    routes = np.array(picked, dtype=np.intp)
    none = routes == NONE
    answer = Answer(holds[routes] & ~none, np.where(none, 0.0, ratio[routes]), np.where(none, NONE, governs[routes]))
    return Moved(answer, routes, outfits, joined)


def _rank(holds: bool, ratio: float, outfit: Outfit, join: Join | None) -> tuple[bool, float, float]:
    """Ones that hold first, by what their parts cost; then the nearest."""
    priced = sum(part.price.value for part in outfit.power.parts if not part.price.is_unknown)
    return not holds, (priced + (join.price if join is not None else 0.0)) if holds else -ratio, -ratio
