"""What measurements settled, in words and figures, and which ones are worth sending a caller for."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from handfast.advice.ask import MONEY_A_STEP
from handfast.advice.context import band
from handfast.advice.odds import Judged, judge
from handfast.advice.result import Band, Measured, Question
from handfast.advice.result_measured import Margin, Moved, Reading
from handfast.machines.inquiry import Inquiry
from handfast.machines.measurement import BOUNDS, Measurement, Way, ways
from handfast.machines.shelf import Shelf
from handfast.outfits.assess import Assessment, Finding, vacuous
from handfast.outfits.checks import Check
from handfast.outfits.lay import Laid, lay
from handfast.outfits.measured import CONFLICT, MOVED, NEEDLESS, TOO_SHARP, UNTOLD, USED, Shift, Taken
from handfast.outfits.seen import value_read
from handfast.quantities.showing import show

TITLES = {
    "mass": ("Mass, ready to work", "mass"),
    "front_axle_mass": ("On the front axle", "mass"),
    "rear_axle_mass": ("On the rear axle", "mass"),
    "behind.mass": ("Hanging behind", "mass"),
    "wheelbase": ("Wheelbase", "length"),
    "front_track": ("Front track", "length"),
    "rear_track": ("Rear track", "length"),
    "overall_width": ("Width over all", "length"),
    "loader.pin_height_down": ("Pins above ground, arms down", "length"),
    "loader.pin_height_max": ("Pins above ground, arms up", "length"),
    "rear_tyre.radius": ("Rear axle above ground", "length"),
    "front_tyre.radius": ("Front axle above ground", "length"),
    "hitch_behind_axle": ("Lower link ends behind the axle", "length"),
    "site.slope": ("Slope", "slope"),
    "site.gate": ("Gate", "length"),
    "site.lift_to": ("Height to lift to", "length"),
    "work.diameter": ("Thickness of a piece", "length"),
    "work.length": ("Length of a piece", "length"),
    "cg_height": ("Height of the centre of gravity", "length"),
    "relief_pressure": ("Relief pressure", "pressure"),
    "flow": ("Flow at the valve, rated speed", "flow"),
    "loader.raise_time": ("Time to raise the arms", "time"),
    "loader.lift_at_pin": ("Lift at the pins, full height", "mass"),
    "loader.lift_at_500": ("Lift 500 mm ahead, full height", "mass"),
    "rear_remotes": ("Rear couplers as counted", "share"),
    "front_functions": ("Front couplers as counted", "share"),
    "power_beyond": ("Power beyond as counted", "share"),
    "quick_attach": ("Bucket hangs as seen", "share"),
}
AGAIN = "Measure once more. If it reads the same, "
STAND = (
    "let the reading stand in place of what was known, or put right the class, the record, or what stood there with it."
)
MEND = "change the fact, or take the reading out."


@dataclass(frozen=True)
class Offer:
    """A measurement that a caller may be sent for, with the question that it answers."""

    way: Way
    question: Question


def offers(questions: Sequence[Question], done: Sequence[Measurement] = ()) -> tuple[Offer, ...]:
    """What a caller could measure in place of an answer, where it is worth it.

    Args:
        questions: of `Advice.ask_next`.
        done: measurements that there are already.

    Returns:
        Offers, in the order of the questions; never a measurement that belongs in the workshop.

    Example:
        >>> one = Question("mass", "", (), 300.0, 12.0, "", "")
        >>> [each.way.id for each in offers([one])], offers([replace(one, worth=3.0)])
        (['whole_on_scale'], ())
    """
    there = {one.what for one in done}
    found = []
    for question in questions:
        for way in ways().values():
            pays = question.worth > MONEY_A_STEP * way.burden or question.worth == 0.0
            if way.for_caller and way.fact == question.fact and pays and way.id not in there:
                found.append(Offer(way, question))
    return tuple(found)


def settled(laid: Laid, judged: Judged, top: int, given: Inquiry, shelf: Shelf, seed: int, system: str) -> Measured:
    """What the measurements of an inquiry settled, the margin of its leading outfit included.

    Args:
        laid: the inquiry laid out with its measurements.
        judged: its outfits.
        top: row of the leading outfit.
        given: the inquiry as it was before anything was measured.
        shelf: what can be sold.
        seed: of the samples.
        system: units of the sentences.

    Returns:
        `Measured`.

    Example:
        >>> from handfast.advice.odds import judge
        >>> from handfast.outfits.example import inquiry, laid
        >>> settled(laid(), judge(laid(), Shelf()), 0, inquiry(), Shelf(), 1, "us").readings
        ()
    """
    return Measured(readings(laid, system), _margin(judged, top, given, shelf, seed))


def _margin(judged: Judged, top: int, given: Inquiry, shelf: Shelf, seed: int) -> Margin | None:
    """The margin of what governs the leading outfit, with nothing measured and with everything."""
    outfit = judged.bench.outfits[top]
    plain = lay(given.model_copy(update={"measurement": ()}), shelf, seed)
    rows = [k for k, one in enumerate(plain.candidates.outfits) if one.id == outfit.id]
    if not rows or not plain.benches:
        return None
    alone = replace(plain, benches=tuple(bench.some(rows[:1]) for bench in plain.benches))
    before = judge(alone, shelf)
    each = [_compared(before.final(0).of(one.check.id), one, top) for one in _counted(judged.final(top), top)]
    told = min(each, key=lambda one: one[0], default=None)
    if told is None:
        return None
    _, check, earlier, later = told
    return Margin(outfit.id, check.id, check.title, check.unit, earlier, later, before.held(0), judged.held(top))


def _counted(final: Assessment, row: int) -> list[Finding]:
    """The hard checks of an outfit that can be told; those that only say yes or no are left out."""
    return [
        one
        for one in final.findings
        if (one.check.hard or one.check.id in final.also_hard)
        and one.check.unit != "1"
        and one.held(row) is not None
        and not vacuous(one.check, final.bench, row)
    ]


def _compared(was: Finding, now: Finding, row: int) -> tuple[tuple[float, bool, float], Check, Band | None, Band]:
    """How a check comes before others: held least, then safety that moved, then moved most; its margin both times."""
    after = band(now.spare(row))
    before = band(was.spare(0)) if was.decided[0] else None
    held = [share for share in (was.held(0), now.held(row)) if share is not None]
    if before is None:
        return (min(held), not now.check.safety, -1e9), now.check, before, after
    was_wide, wide = before.p90 - before.p10, after.p90 - after.p10
    scale = max(was_wide, wide, 0.01 * abs(before.p50), 1e-300)
    moved = (abs(after.p50 - before.p50) + abs(wide - was_wide)) / scale
    return (min(held), not (now.check.safety and moved > MOVED), -moved), now.check, before, after


def readings(laid: Laid, system: str) -> tuple[Reading, ...]:
    """What became of each measurement.

    Args:
        laid: the inquiry laid out with its measurements.
        system: units of the sentences.

    Returns:
        One a measurement, in the order of the inquiry.

    Example:
        >>> from handfast.outfits.example import laid
        >>> readings(laid(), "us")
        ()
    """
    return tuple(_reading(one, system) for one in laid.taken)


def _reading(taken: Taken, system: str) -> Reading:
    one, way = taken.measurement, taken.measurement.way
    said, way_out = _said(taken, system)
    moved = tuple(_moved(shift) for shift in taken.shifts)
    effective = taken.effective if taken.effective > 0.0 else None
    read = read_as(one, system)
    return Reading(
        one.what,
        way.title,
        way.who,
        read,
        one.by,
        one.when,
        taken.state,
        taken.settles,
        said,
        way_out,
        moved,
        effective,
    )


def read_as(one: Measurement, system: str) -> str:
    """A reading as it is shown: as it was written, else in the units of the page.

    Args:
        one: the measurement.
        system: units.

    Returns:
        Words.

    Example:
        >>> read_as(Measurement(what="relief_by_gauge", value="2400 psi"), "us")
        '2400 psi'
    """
    if one.way.reads == "seen":
        return one.seen.replace("_", " ")
    return one.value.text or show(one.value.value, one.way.reads, system)


def _moved(shift: Shift) -> Moved:
    title, dimension = TITLES[shift.name]
    before = None if shift.before[1] != shift.before[1] else Band(*shift.before)
    return Moved(shift.name, title, dimension, before, Band(*shift.after), shift.moved)


def _said(taken: Taken, system: str) -> tuple[str, str]:
    """What became of a measurement, and the way out of a contradiction."""
    one, state = taken.measurement, taken.state
    if state == CONFLICT:
        return _contradicts(taken, system)
    if state == TOO_SHARP:
        said = f"Sharper than the samples can follow: only {taken.effective:.0f} of them would count. It is set aside."
        return said, "Read the quantity itself, or state its error as wide as it is."
    if state == UNTOLD:
        return "Too little else is known to make anything of it yet.", "Say the class and power, or the record, first."
    if state == NEEDLESS:
        return "It agrees with what was known, and settles nothing.", ""
    if one.way.kind == "category":
        share = round(100 * taken.shifts[0].after[1])
        return f"Settled: {share} in 100 sure, {round(100 * taken.shifts[0].before[1])} in 100 before.", ""
    parts = [_told(shift, system) for shift in taken.shifts if shift.moved]
    assert state == USED
    return f"Settled: {'; '.join(parts)}.", ""


def _told(shift: Shift, system: str) -> str:
    title, dimension = TITLES[shift.name]
    if shift.before[1] != shift.before[1]:
        return f"{title} {_span(shift.after, dimension, system)}, not known before"
    return f"{title} {_span(shift.after, dimension, system)}, before it {_span(shift.before, dimension, system)}"


def _span(three: tuple[float, ...], dimension: str, system: str) -> str:
    low, high = show(three[0], dimension, system), show(three[2], dimension, system)
    return low if low == high else f"{low} to {high}"


def _contradicts(taken: Taken, system: str) -> tuple[str, str]:
    one, way = taken.measurement, taken.measurement.way
    if way.kind == "category":
        return f"It says {value_read(one)}, the facts say otherwise: one of the two is wrong. It is set aside.", (
            "Look once more, then " + MEND
        )
    if way.kind in BOUNDS:
        verb = "lifted" if way.kind == "lifted" else "refused"
        said = f"What is known of the loader does not let {read_as(one, system)} be {verb} there. It is set aside."
        return said, AGAIN + "put right the loader's ratings, the class, or what hung there with it."
    low, high = (show(value, way.reads, system) for value in taken.expected)
    said = f"It reads {read_as(one, system)}; {low} to {high} was to be expected. It is set aside: nothing rests on it."
    return said, AGAIN + (STAND if way.path else MEND)
