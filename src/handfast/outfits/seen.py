"""Measurements that become facts before anything is drawn: counted, seen, or read to stand in place of a fact."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from handfast.machines.inquiry import Inquiry
from handfast.machines.measurement import Measurement
from handfast.machines.merging import merged_machine
from handfast.machines.tractor import LINES_BEYOND, Machine
from handfast.outfits.draws import Plan, class_shares, draw, size_share
from handfast.outfits.facts import machine_class, plan_machine, plan_site
from handfast.outfits.frame import frame_of
from handfast.outfits.measured import (
    BANDS,
    CONFLICT,
    NEEDLESS,
    USED,
    Shift,
    Taken,
    known_of,
    stands_instead,
    with_facts,
)
from handfast.outfits.read_off import Machine as Samples
from handfast.outfits.read_off import beside, drawn_as
from handfast.quantities.arrays import quantiles
from handfast.quantities.estimate import HALF_WIDTH_SDS, Estimate

SURE = 0.95  # share of one value of a category from which it is taken as the fact (practice, editable)
AXLES = ("mass", "front_axle_mass", "rear_axle_mass")

Shares = tuple[tuple[str, float], ...]


@dataclass(frozen=True)
class Seen:
    """An inquiry with what was seen as facts, categories that are not settled yet, and what became of each reading."""

    inquiry: Inquiry
    shares: Mapping[str, Shares] = field(default_factory=dict)
    taken: tuple[Taken, ...] = ()


def see(inquiry: Inquiry, seed: int) -> Seen:
    """Take in what was counted, seen, or measured to stand in place of what was known.

    Args:
        inquiry: resolved inquiry.
        seed: of the samples.

    Returns:
        `Seen`.

    Source: shares of a category after a reading, by Bayes: its share before times how often it is read so.

    Example:
        >>> counted = Measurement(what="rear_couplers_counted", value=1)
        >>> found = see(Inquiry(machine=Machine(class_="compact_small"), measurement=(counted,)), 1)
        >>> found.inquiry.machine.rear_remotes, found.taken[0].state
        (1, 'used')
    """
    found = Seen(inquiry)
    for one in inquiry.measurement:
        if one.way.kind == "category":
            found = _counted(found, one)
        elif one.instead:
            found = _instead(found, one, seed)
    return found


def _counted(seen: Seen, one: Measurement) -> Seen:
    path, read = one.way.path, value_read(one)
    before = _known_shares(seen, path)
    if len(before) == 1:
        state = NEEDLESS if before[0][0] == read else CONFLICT
        return Seen(seen.inquiry, seen.shares, (*seen.taken, Taken(one, state)))
    after = updated(before, read, one.way.error_share)
    shift = Shift(path, (dict(before).get(read, 0.0),) * 3, (dict(after).get(read, 0.0),) * 3)
    taken = (*seen.taken, Taken(one, USED if shift.moved else NEEDLESS, (shift,)))
    if dict(after).get(read, 0.0) < SURE:
        return Seen(seen.inquiry, {**seen.shares, path: after}, taken)
    return Seen(with_facts(seen.inquiry, {path: _entry(path, read)}), seen.shares, taken)


def _known_shares(seen: Seen, path: str) -> Shares:
    """What is known of a category: the fact, else what was seen, else what is usual in the class."""
    machine = seen.inquiry.machine
    stated = getattr(machine, path)
    if path == "power_beyond" and stated is None and machine.lines_at_valve is not None:
        stated = machine.lines_at_valve >= LINES_BEYOND
    if stated is not None:
        return ((_word(stated), 1.0),)
    return seen.shares.get(path) or class_shares(machine_class(machine), path)


def updated(before: Shares, read: str, wrong: float) -> Shares:
    """Shares of a category's values after one was read.

    Args:
        before: pairs of value and share; none where nothing is known.
        read: the value that was read.
        wrong: share of readings that are wrong, each other value as likely.

    Returns:
        Pairs, shares summing to one.

    Source: Bayes.

    Example:
        >>> updated((("0", 0.5), ("1", 0.5)), "1", 0.1)
        (('0', 0.1), ('1', 0.9))
    """
    names = [name for name, _ in before]
    if read not in names:
        before = (*before, (read, wrong if before else 1.0))
    other = wrong / max(len(before) - 1, 1)
    weighed = [(name, share * (1.0 - wrong if name == read else other)) for name, share in before]
    whole = sum(share for _, share in weighed)
    return tuple((name, share / whole) for name, share in weighed)


def value_read(one: Measurement) -> str:
    """The value of a category that was read, as the class tables name it.

    Args:
        one: a measurement of a category.

    Returns:
        Value.

    Example:
        >>> value_read(Measurement(what="valve_lines_counted", value=7))
        'yes'
    """
    if one.way.reads == "seen":
        return one.seen.strip().replace(" ", "_")
    count = round(one.value.value)
    return _word(count >= LINES_BEYOND) if one.way.path == "power_beyond" else str(count)


def _word(stated: object) -> str:
    return {True: "yes", False: "no"}[stated] if isinstance(stated, bool) else str(stated)


def _entry(path: str, read: str) -> object:
    if path == "power_beyond":
        return read == "yes"
    return read if path == "quick_attach" else int(read)


def _instead(seen: Seen, one: Measurement, seed: int) -> Seen:
    """The reading as a fact, less what stood on the scale beside the ready tractor."""
    inquiry, path = seen.inquiry, one.way.path
    before = _samples(inquiry, seed)
    off = beside(one, before)
    if not np.isfinite(off).all():
        off = np.zeros(1)
    half = float(np.hypot(HALF_WIDTH_SDS * one.sd, 2.0 * off.std()))
    fact = Estimate.about(stands_instead(one).value - float(off.mean()), half, origin="measured")
    facts: dict[str, Any] = {drawn_as(path): fact}
    if path in AXLES:
        inquiry = inquiry.model_copy(
            update={"machine": merged_machine(inquiry.machine, Machine(**{path: fact.plain()}))}
        )
    else:
        inquiry = with_facts(inquiry, facts)
    after = _samples(inquiry, seed)
    bands = [tuple(quantiles(each.figure(path), BANDS)) for each in (before, after)]
    known = known_of(seen.inquiry, one.way)
    shift = Shift(path, *bands)
    state = USED if shift.moved or known is None else NEEDLESS
    return Seen(inquiry, seen.shares, (*seen.taken, Taken(one, state, (shift,), effective=0.0)))


def _samples(inquiry: Inquiry, seed: int) -> Samples:
    plan = Plan()
    plan_machine(plan, inquiry.machine)
    plan_site(plan, inquiry)
    share = size_share(machine_class(inquiry.machine), inquiry.machine.engine_power.value)
    return Samples(inquiry, frame_of(inquiry, draw(plan, seed, share)))
