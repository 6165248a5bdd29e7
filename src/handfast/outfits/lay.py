"""From a resolved inquiry and a shelf to the bench: plan, draw, combine, lay side by side."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from handfast.machines.inquiry import Inquiry
from handfast.machines.shelf import Shelf
from handfast.machines.work import Work
from handfast.outfits.bench import NO_WORK, Bench
from handfast.outfits.combine import Candidates, Left, answers, candidates
from handfast.outfits.draws import Draws, Plan, draw, size_share
from handfast.outfits.facts import machine_class, plan_machine, plan_site
from handfast.outfits.frame import frame_of
from handfast.outfits.joining import joins
from handfast.outfits.loads import WorkLoad, plan_work, work_load
from handfast.outfits.measured import Measured, Taken, measure
from handfast.outfits.outfit import Outfit
from handfast.outfits.seen import Seen, see
from handfast.outfits.tools import Same, floor_points, plan_tools, tool_columns
from handfast.quantities.arrays import Array, row_quantiles


@dataclass(frozen=True)
class Laid:
    """The benches of an inquiry, one for each line of work, over the same outfits and samples."""

    benches: tuple[Bench, ...]
    candidates: Candidates
    draws: Draws
    inquiry: Inquiry
    taken: tuple[Taken, ...] = ()

    @cached_property
    def spoken(self) -> Bench:
        """The bench that is spoken of: each outfit with the heaviest piece among the lines of work that it serves."""
        return self.benches[0] if len(self.benches) == 1 else _spoken(self.benches, self.inquiry)


def lay(inquiry: Inquiry, shelf: Shelf, seed: int) -> Laid:
    """Everything that is to be checked, as arrays.

    Args:
        inquiry: resolved inquiry.
        shelf: what can be sold.
        seed: of the samples.

    Returns:
        `Laid`; no benches where no outfit comes into question.

    Example:
        >>> from handfast.outfits.example import inquiry
        >>> [one.attachment.kind for one in lay(inquiry().resolve(Shelf()), Shelf(), 1).candidates.outfits]
        ['brush_grapple']
    """
    seen = see(inquiry, seed) if inquiry.measurement else Seen(inquiry)
    inquiry = seen.inquiry
    plan, works = _planned(seen), inquiry.work or (NO_WORK,)
    possible = [name for name, _ in plan.shares.get("quick_attach", ())]
    found = candidates(inquiry, shelf, possible)
    attachments = tuple(dict.fromkeys(Same(o.attachment) for o in found.outfits))
    plan_tools(plan, [one.record for one in attachments])
    share = size_share(machine_class(inquiry.machine), inquiry.machine.engine_power.value)
    known = Measured(draw(plan, seed, share), inquiry, seen.taken)
    if len(inquiry.measurement) > len(seen.taken):
        known = measure(plan, seed, share, inquiry, seen.taken)
    draws, inquiry = known.draws, known.inquiry
    if not found.outfits:
        return Laid((), found, draws, inquiry, known.taken)
    columns = tool_columns([one.record for one in attachments], draws)
    place = {one: k for k, one in enumerate(attachments)}
    rows = np.array([place[Same(o.attachment)] for o in found.outfits])
    tools = {path: column[rows] for path, column in columns.items()}
    frame = frame_of(inquiry, draws)
    drawn = [floor_points(one.record) for one in attachments]
    floors = [drawn[k] for k in rows]
    joined = joins(found.outfits, inquiry, shelf)
    benches = tuple(
        Bench(
            replace_work(inquiry, work),
            draws,
            frame,
            found.outfits,
            tools,
            work_load(work, f"work{k}.", draws, tools, floors),
            joins=joined,
        )
        for k, work in enumerate(works)
    )
    return _liftable(Laid(benches, found, draws, inquiry, known.taken), inquiry)


def _planned(seen: Seen) -> Plan:
    """What is to be drawn of machine, site and work."""
    plan, inquiry = Plan(), seen.inquiry
    plan_machine(plan, inquiry.machine)
    plan_site(plan, inquiry)
    for path, shares in seen.shares.items():
        plan.choose(path, shares, "measured")
    for k, work in enumerate(inquiry.work or (NO_WORK,)):
        plan_work(plan, work, f"work{k}.")
    return plan


def as_measured(inquiry: Inquiry, seed: int = 1) -> Inquiry:
    """The inquiry with what was measured in its records, for papers and drawings that read these.

    Args:
        inquiry: resolved inquiry.
        seed: of the samples.

    Returns:
        The same inquiry where nothing was measured.

    Example:
        >>> from handfast.machines.measurement import Measurement
        >>> gate = Measurement(what="gate_by_tape", value="2 m")
        >>> round(as_measured(Inquiry(measurement=(gate,))).site.gate.value, 3)
        2.0
    """
    if not inquiry.measurement:
        return inquiry
    seen = see(inquiry, seed)
    machine = seen.inquiry.machine
    share = size_share(machine_class(machine), machine.engine_power.value)
    return measure(_planned(seen), seed, share, seen.inquiry, seen.taken).inquiry


def _liftable(laid: Laid, inquiry: Inquiry) -> Laid:
    """Without what the loader cannot even raise empty, in any sample; what was asked for by name stays."""
    first = laid.benches[0]
    if inquiry.attachment:
        return laid
    left = np.atleast_2d(first.hung_once.payload_at(first.frame.height_max))
    lifts = ~(left.max(axis=1) <= 0.0)
    rows = first.hanging if len(lifts) > 1 else np.zeros(len(first.outfits), dtype=np.intp)
    keep = [k for k, one in enumerate(first.outfits) if lifts[rows[k]] or one.seen_elsewhere]
    if len(keep) == len(first.outfits) or not keep:
        return laid
    kept = tuple(first.outfits[k] for k in keep)
    heavy = {
        id(one.attachment): one.attachment
        for one in first.outfits
        if not any(one.attachment is o.attachment for o in kept)
    }
    why = "it alone is more than the loader raises to full height"
    gone = tuple(Left(one, why) for one in heavy.values())
    return Laid(
        tuple(bench.some(keep) for bench in laid.benches),
        Candidates(kept, (*laid.candidates.left, *gone)),
        laid.draws,
        inquiry,
        laid.taken,
    )


def serves(work: Work, outfit: Outfit) -> bool:
    """Whether an outfit is a tool for a line of work at all.

    Args:
        work: the line.
        outfit: the outfit.

    Returns:
        True or false.

    Source: work_answers.csv (common practice, no source).

    Example:
        >>> from handfast.outfits.example import bench
        >>> serves(Work(kind="pallets"), bench().outfits[0])
        False
    """
    return answers(str(work.kind), str(outfit.attachment.kind)) > 0.0


def _spoken(benches: Sequence[Bench], inquiry: Inquiry) -> Bench:
    first = benches[0]
    middles = [row_quantiles(np.atleast_2d(one.load.mass), (0.5,))[0] for one in benches]
    weighs = [np.broadcast_to(one, (len(first.outfits),)) for one in middles]
    lines = tuple(_line(inquiry.work, outfit, [one[k] for one in weighs]) for k, outfit in enumerate(first.outfits))
    loads = [(one.load.mass, one.load.x, one.load.z, one.load.diameter) for one in benches]
    picked = [_of_lines([one[side] for one in loads], lines) for side in range(4)]
    return replace(first, inquiry=inquiry, load=WorkLoad(*picked), lines=lines)


def _line(works: Sequence[Work], outfit: Outfit, weighs: Sequence[float]) -> int:
    """The line of work that an outfit is spoken of by: the heaviest that it serves, else the first that it serves."""
    served = [k for k, work in enumerate(works) if serves(work, outfit)] or [0]
    return max(served, key=lambda k: (weighs[k] if np.isfinite(weighs[k]) else 0.0, -k))


def _of_lines(values: Sequence[Array], lines: Sequence[int]) -> Array:
    """Each outfit's row from the line that it is spoken of by."""
    wide = max(one.shape[-1] for one in values)
    rows = [values[line][k if len(values[line]) > 1 else 0] for k, line in enumerate(lines)]
    return np.stack([np.broadcast_to(row, (wide,)) for row in rows])


def replace_work(inquiry: Inquiry, work: Work) -> Inquiry:
    """The inquiry with one line of work only.

    Args:
        inquiry: the inquiry.
        work: the line.

    Returns:
        A copy.

    Example:
        >>> replace_work(Inquiry(), NO_WORK).work[0].kind
        'free'
    """
    return inquiry.model_copy(update={"work": (work,)})
