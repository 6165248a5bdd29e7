"""From a resolved inquiry and a shelf to the bench: plan, draw, combine, lay side by side."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from handfast.machines.inquiry import Inquiry
from handfast.machines.shelf import Shelf
from handfast.machines.work import Work
from handfast.outfits.bench import Bench
from handfast.outfits.combine import Candidates, Left, candidates
from handfast.outfits.draws import Draws, Plan, draw, size_share
from handfast.outfits.facts import machine_class, plan_machine, plan_site
from handfast.outfits.frame import frame_of
from handfast.outfits.joining import joins
from handfast.outfits.loads import plan_work, work_load
from handfast.outfits.tools import Same, floor_points, plan_tools, tool_columns

NO_WORK = Work(kind="free")


@dataclass(frozen=True)
class Laid:
    """The benches of an inquiry, one for each line of work, over the same outfits and samples."""

    benches: tuple[Bench, ...]
    candidates: Candidates
    draws: Draws


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
    plan = Plan()
    plan_machine(plan, inquiry.machine)
    plan_site(plan, inquiry)
    works = inquiry.work or (NO_WORK,)
    for k, work in enumerate(works):
        plan_work(plan, work, f"work{k}.")
    possible = [name for name, _ in plan.shares.get("quick_attach", ())]
    found = candidates(inquiry, shelf, possible)
    attachments = tuple(dict.fromkeys(Same(o.attachment) for o in found.outfits))
    plan_tools(plan, [one.record for one in attachments])
    share = size_share(machine_class(inquiry.machine), inquiry.machine.engine_power.value)
    draws = draw(plan, seed, share)
    if not found.outfits:
        return Laid((), found, draws)
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
    return _liftable(Laid(benches, found, draws), inquiry)


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
    )


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
