"""An inquiry's measurements taken one after the other: what each tells, what it contradicts, what it settled."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import Any

import numpy as np

from handfast.machines.inquiry import Inquiry
from handfast.machines.measurement import BOUNDS, Measurement, Way
from handfast.outfits.draws import Draws, Plan, draw, follow
from handfast.outfits.frame import frame_of
from handfast.outfits.read_off import LEAST, ON_SCALE, Machine, beside, chance, drawn_as, rise
from handfast.outfits.redraw import Likelihood, Told, log_normal, redraw
from handfast.quantities.arrays import Array, quantiles
from handfast.quantities.estimate import HALF_WIDTH_SDS, Estimate
from handfast.quantities.posterior import Reading, surprise

SURPRISE = 0.002  # a reading that is rarer than this under what was known is a contradiction
FEWEST = 64.0  # samples that count, below which nothing is claimed
ROOM = 6.0  # standard deviations within which a quantity lies of which only a reading is known
BANDS = (0.1, 0.5, 0.9)
MOVED = 0.1  # of its band before, that a quantity's band must move or shrink by to be settled at all

USED, NEEDLESS, CONFLICT, TOO_SHARP, UNTOLD = "used", "needless", "conflict", "too sharp", "tells nothing"


@dataclass(frozen=True)
class Shift:
    """One figure before a measurement and after it: one in ten below, the middle, one in ten above [SI]."""

    name: str
    before: tuple[float, ...]
    after: tuple[float, ...]

    @property
    def moved(self) -> bool:
        """Whether it is told better, or otherwise, than before."""
        (low, mid, high), (least, middle, most) = self.before, self.after
        if not np.isfinite(mid) or high == low:
            return bool(np.isfinite(middle)) and (not np.isfinite(mid) or middle != mid)
        return max(abs((high - low) - (most - least)), abs(middle - mid)) > MOVED * (high - low)


@dataclass(frozen=True)
class Taken:
    """One measurement, and what became of it."""

    measurement: Measurement
    state: str
    shifts: tuple[Shift, ...] = ()
    expected: tuple[float, ...] = ()  # what would have been read: one in a hundred below, one in a hundred above
    effective: float = 0.0  # samples that count, where samples were weighed

    @property
    def settles(self) -> bool:
        """Whether it settled anything."""
        return self.state == USED and any(one.moved for one in self.shifts)


@dataclass(frozen=True)
class Measured:
    """Samples after every measurement that was taken in, and what became of each."""

    draws: Draws
    inquiry: Inquiry
    taken: tuple[Taken, ...]


def measure(plan: Plan, seed: int, share: float | None, inquiry: Inquiry, seen: Sequence[Taken]) -> Measured:
    """Take in the measurements of figures one after the other.

    Args:
        plan: what is wanted; a quantity of which nothing was known is added to it.
        seed: of the samples.
        share: place of the machine's power in its class, None when not known.
        inquiry: resolved inquiry with its measurements.
        seen: what became of those that are taken in already, in the order of the inquiry.

    Returns:
        `Measured`.

    Source: each is held against what was known after the one before it (prior predictive check, Box 1980); one that
    contradicts is set aside and told.

    Example:
        >>> from handfast.outfits.example import inquiry
        >>> measure(Plan(), 1, None, inquiry(), ()).taken
        ()
    """
    done = {id(one.measurement): one for one in seen}
    draws, told = draw(plan, seed, share), Told({})
    for one in inquiry.measurement:
        if id(one) in done:
            continue
        before = Machine(inquiry, frame_of(inquiry, draws))
        if _unheard_of(one, before):
            _add(plan, one, before)
            draws = redraw(plan, seed, share, inquiry, told).draws if told.says else draw(plan, seed, share)
        now = Machine(inquiry, frame_of(inquiry, draws))
        done[id(one)], told, draws = _take(one, plan, (seed, share), now, before, told)
    taken = tuple(done[id(one)] for one in inquiry.measurement)
    return Measured(draws, _with_figures(inquiry, draws, told), taken)


def _take(
    one: Measurement, plan: Plan, drawn_by: tuple[int, float | None], now: Machine, before: Machine, told: Told
) -> tuple[Taken, Told, Draws]:
    """What becomes of one measurement, what is told with it, and the samples after it."""
    says = tells(one, plan, now)
    expected, odd = _expected(one, now)
    draws = now.frame.draws
    if says is None:
        return Taken(one, UNTOLD), told, draws
    if odd:
        return Taken(one, CONFLICT, expected=expected), told, draws
    more = _both(told, says)
    found = redraw(plan, *drawn_by, now.inquiry, more) if draws.size > 1 else None
    if found is not None and found.effective < FEWEST:
        return Taken(one, TOO_SHARP, expected=expected, effective=found.effective), told, draws
    after = now if found is None else Machine(now.inquiry, frame_of(now.inquiry, found.draws))
    shifts = tuple(_shift(name, before, after) for name in one.way.bears)
    state = USED if any(shift.moved for shift in shifts) else NEEDLESS
    effective = float(draws.size) if found is None else found.effective
    return Taken(one, state, shifts, expected, effective), more, after.frame.draws


def _shift(name: str, before: Machine, after: Machine) -> Shift:
    return Shift(name, quantiles(before.figure(name), BANDS), quantiles(after.figure(name), BANDS))


def _both(told: Told, more: Told) -> Told:
    readings = dict(told.readings)
    for path, some in more.readings.items():
        readings[path] = (*readings.get(path, ()), *some)
    return Told(readings, (*told.likely, *more.likely))


def predicted(one: Measurement, machine: Machine) -> Array:
    """What a reading would be without error [SI].

    Args:
        one: a measurement of a figure.
        machine: samples.

    Returns:
        Shape (1 or samples,); NaN where too little is known.

    Example:
        >>> from handfast.outfits.example import bench, inquiry
        >>> weighed = Measurement(what="whole_on_scale", value="1000 kg", on="operator")
        >>> bool(predicted(weighed, Machine(inquiry(), bench().frame))[0] > 0.0)
        True
    """
    name = one.way.bears[0] if one.what in ON_SCALE else one.way.path
    return np.asarray(machine.figure(name) + beside(one, machine))


def tells(one: Measurement, plan: Plan, machine: Machine) -> Told | None:
    """What a measurement says of the samples.

    Args:
        one: the measurement.
        plan: what is wanted.
        machine: samples before it.

    Returns:
        `Told`, or None where too little is known to say anything.

    Example:
        >>> from handfast.outfits.example import bench, inquiry
        >>> hung = Measurement(what="known_mass_lifted", value="200 kg", ahead="0 m")
        >>> len(tells(hung, Plan(), Machine(inquiry(), bench().frame)).likely)
        1
    """
    way = one.way
    if way.kind in BOUNDS:
        weigh: Likelihood = partial(_chance_log, one)
        return Told({}, (weigh,)) if bool(np.isfinite(weigh(machine)).all()) else None
    readings, likely = _direct(one, plan, machine), []
    if not readings and bool(np.isfinite(predicted(one, machine)).all()):
        likely.append(partial(_reading_log, one))
    if one.what == "raise_timed" and bool(np.isfinite(rise(machine)[0]).all()):
        likely.append(partial(_rise_log, one))
    return Told(readings, tuple(likely)) if readings or likely else None


def _direct(one: Measurement, plan: Plan, machine: Machine) -> dict[str, tuple[Reading, ...]]:
    """The reading as one of a quantity that is drawn, if what it holds beside it is the same in every sample."""
    path = drawn_as(one.way.path)
    more = beside(one, machine)
    if path not in plan.wants or plan.wants[path].is_known or float(np.ptp(more)) > 1e-9:
        return {}
    return {path: ((one.value.value - float(more.flat[0]), one.sd),)}


def _chance_log(one: Measurement, machine: Machine) -> Array:
    return np.log(np.maximum(chance(one, machine), LEAST))


def _reading_log(one: Measurement, machine: Machine) -> Array:
    return log_normal(predicted(one, machine), one.value.value, one.sd)


def _rise_log(one: Measurement, machine: Machine) -> Array:
    time, error = rise(machine)
    return log_normal(np.log(time), float(np.log(one.value.value)), float(np.hypot(error, one.sd / one.value.value)))


def _expected(one: Measurement, machine: Machine) -> tuple[tuple[float, ...], bool]:
    """Between what a reading was to be expected, and whether this one contradicts that."""
    if one.way.kind in BOUNDS:
        return (), bool(np.mean(chance(one, machine)) < SURPRISE)
    each = [(predicted(one, machine), one.value.value, one.sd)]
    if one.what == "raise_timed":
        time, error = rise(machine)
        each.append((time, one.value.value, float(np.hypot(error * one.value.value, one.sd))))
    each = [part for part in each if bool(np.isfinite(part[0]).all())]
    odd = [part for part in each if surprise(*part) < SURPRISE]
    if not each:
        return (), False
    values, _, sd = (odd or each)[0]
    low, high = quantiles(values, (0.01, 0.99))
    return (low - 2.0 * sd, high + 2.0 * sd), bool(odd)


def _unheard_of(one: Measurement, machine: Machine) -> bool:
    """Whether nothing at all is known of the quantity that is read."""
    path = drawn_as(one.way.path)
    return bool(path) and one.way.kind == "reading" and not np.isfinite(machine.figure(one.way.path)).all()


def _add(plan: Plan, one: Measurement, machine: Machine) -> None:
    """Let the quantity lie anywhere near its reading: then the reading alone tells of it."""
    more = beside(one, machine)
    if float(np.ptp(more)) > 1e-9 or not np.isfinite(more).all():
        return
    middle = one.value.value - float(more.flat[0])
    low = max(middle - ROOM * one.sd, 0.0)
    if middle > 0.0 or one.way.reads == "slope":
        plan.want(drawn_as(one.way.path), Estimate.between(low, middle + ROOM * one.sd, origin="measured"))
        plan.late.append(drawn_as(one.way.path))


def _with_figures(inquiry: Inquiry, draws: Draws, told: Told) -> Inquiry:
    """The inquiry with each quantity that was read itself, as it is known now."""
    found: dict[str, Any] = {}
    for path in told.readings:
        low, middle, high = quantiles(draws[path], (0.025, 0.5, 0.975))
        found[path] = Estimate.about(middle, max((high - low) / 2.0, 1e-12), origin="measured")
    return with_facts(inquiry, found)


def with_facts(inquiry: Inquiry, facts: Mapping[str, Any]) -> Inquiry:
    """An inquiry with facts at their paths, as the samples name these.

    Args:
        inquiry: resolved inquiry.
        facts: values by path; one of which the records have no entry is left out.

    Returns:
        A copy.

    Example:
        >>> with_facts(Inquiry(), {"site.gate": Estimate.known(2.0)}).site.gate.value
        2.0
    """
    for path, value in facts.items():
        head, _, rest = path.partition(".")
        if head == "work0" and inquiry.work:
            first = inquiry.work[0].model_copy(update={rest: value})
            inquiry = inquiry.model_copy(update={"work": (first, *inquiry.work[1:])})
        elif head in ("site", "behind"):
            inquiry = _put(inquiry, path, value)
        elif head != "work0":
            inquiry = _put(inquiry, f"machine.{path}", value)
    return inquiry


def _put(record: Any, path: str, value: Any) -> Any:
    head, _, rest = path.partition(".")
    if head not in type(record).model_fields:
        return record
    inner = _put(getattr(record, head), rest, value) if rest else value
    return record.model_copy(update={head: inner})


def known_of(inquiry: Inquiry, way: Way) -> Any:
    """What an inquiry says of the quantity that a way of measuring reads.

    Args:
        inquiry: resolved inquiry.
        way: the way.

    Returns:
        The record's entry, None where it has none.

    Example:
        >>> from handfast.machines.measurement import ways
        >>> known_of(Inquiry(), ways()["gate_by_tape"]).is_unknown
        True
    """
    path = way.path
    if path.startswith("work."):
        return follow(inquiry.work[0], path.removeprefix("work.")) if inquiry.work else None
    return follow(inquiry, path) if path.startswith(("site.", "behind.")) else follow(inquiry.machine, path)


def stands_instead(one: Measurement) -> Estimate:
    """A reading as a fact of its own.

    Args:
        one: a measurement of one quantity.

    Returns:
        The reading, give or take its error, origin measured.

    Example:
        >>> stands_instead(Measurement(what="gate_by_tape", value="2 m", instead=True)).origin
        'measured'
    """
    return replace(Estimate.about(one.value.value, HALF_WIDTH_SDS * one.sd, origin="measured"), text="")
