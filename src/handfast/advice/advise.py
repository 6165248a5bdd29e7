"""The one front door: an inquiry and a shelf in, advice out. Pure: same inquiry, shelf and seed, same advice."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from handfast.advice import say
from handfast.advice.ask import accuracy_of, ask_next, enough
from handfast.advice.best_of import named
from handfast.advice.change import all_changes
from handfast.advice.charts import linkage_notes
from handfast.advice.context import Context
from handfast.advice.knowing import worth_of_answers
from handfast.advice.measured import readings, settled
from handfast.advice.odds import NOT, THRESHOLDS, Judged, judge
from handfast.advice.present import outfit_advice
from handfast.advice.rank import Losses, Priced, losses, pareto, ranking, shares_of
from handfast.advice.result import Advice, Fact, Measured, OutfitAdvice, Rejected
from handfast.advice.stated import facts_of, open_facts
from handfast.advice.wording import reason
from handfast.advice.work_done import WorkDone, work_done
from handfast.costing.total import Bills
from handfast.machines.inquiry import Inquiry
from handfast.machines.shelf import Shelf
from handfast.outfits.class_notes import machine_notes
from handfast.outfits.combine import suits
from handfast.outfits.lay import Laid, lay, serves
from handfast.outfits.learnt import relief_note
from handfast.outfits.mounting import words
from handfast.quantities.arrays import middle, row_of

SHOWN = 10  # outfits worked out in full
CHANGED = 2  # outfits that do not fit and are asked what single change would do, beside those seen elsewhere
ROUTES_A_TOOL, ROUTES_A_MOUNT = 4, 2  # ways of hanging and moving one attachment that are shown


def advise(inquiry: Inquiry, shelf: Shelf, seed: int = 1, system: str = "us") -> Advice:
    """Ranked, priced outfits with reasons for one inquiry.

    Args:
        inquiry: what the caller said.
        shelf: what the dealer sells.
        seed: of the samples.
        system: units of the sentences, "us" or "metric"; figures are SI.

    Returns:
        `Advice`.

    Raises:
        handfast.machines.faults.Faults: the inquiry names a record that the shelf does not have.

    Source: docs/house.md; the chapters' own sources stand at each check.

    Example:
        >>> advise(Inquiry(title="nothing said"), Shelf()).outfits
        ()
    """
    given = inquiry.resolve(shelf)
    laid = lay(given, shelf, seed)
    whole = laid.inquiry
    if not laid.benches:
        return _nothing(whole, laid, seed, system)
    judged = judge(laid, shelf)
    done = work_done(judged, whole)
    priced = _priced(judged, whole, shelf, done)
    loss = losses(judged, priced, whole, shelf)
    order = _shown(judged, ranking(judged, loss))
    outfits = _worked_out(Context(judged, whole, shelf, system, order), priced, done)
    taught = relief_note(given, shelf, system)
    said = say.say_now(outfits, whole, system, _ways(judged, priced, order[0]))
    found = _advice(whole, laid, judged, loss, order, outfits, seed, system, taught, said)
    return replace(found, measured=settled(laid, judged, order[0], given, shelf, seed, system)) if laid.taken else found


def _ways(judged: Judged, priced: Sequence[Priced], top: int) -> say.Ways | None:
    """What the first attachment comes to, by whatever it may turn out to hang on and be moved by.

    The greatest is the dearest mount's own cheapest way that waits for no outlet: however the facts fall, that is open.
    """
    rows = judged.bench.outfits
    same = [k for k, one in enumerate(rows) if one.attachment.id == rows[top].attachment.id]
    holding = [k for k in same if judged.verdict(k).startswith("fits")]
    if len(holding) < 2:
        return None
    sure: dict[str, float] = {}
    for k in holding:
        if rows[k].power.presumes is None:
            mount = rows[k].mount.interface
            sure[mount] = min(sure.get(mount, math.inf), priced[k].total.ceiling)
    least = min(priced[k].total.quantile(0.1) for k in holding)
    mounts = tuple(dict.fromkeys(words(rows[k].mount.interface) for k in holding))
    return say.Ways(least, max([*sure.values(), priced[top].total.ceiling]), mounts)


def _priced(judged: Judged, inquiry: Inquiry, shelf: Shelf, done: Sequence[WorkDone]) -> list[Priced]:
    bills, joins = Bills(inquiry, shelf), judged.bench.joins
    found = []
    for row, outfit in enumerate(judged.bench.outfits):
        bill = bills.of(outfit, judged.sets[row], joins[row] if joins else None)
        convenience, job = outfit.power.words.convenience, done[row]
        found.append(Priced(bill, bills.freight(outfit.attachment), job.hours, convenience, job.loads))
    return found


def _shown(judged: Judged, order: Sequence[int]) -> list[int]:
    """The outfits worked out in full: the best few of each attachment, and all that was seen elsewhere."""
    taken: Counter[tuple[str, ...]] = Counter()
    kept: list[int] = []
    for row in order:
        outfit = judged.bench.outfits[row]
        tool = (outfit.attachment.id,)
        mount = (*tool, outfit.mount.interface, outfit.mount.id)
        room = len(kept) < SHOWN and taken[tool] < ROUTES_A_TOOL and taken[mount] < ROUTES_A_MOUNT
        if room or (outfit.seen_elsewhere and not taken[tool]):
            kept.append(row)
            taken.update((tool, mount))
    return kept + _for_every_line(judged, order, kept)


def _for_every_line(judged: Judged, order: Sequence[int], kept: Sequence[int]) -> list[int]:
    """The best outfit for each line of work that none of those kept serves."""
    rows = judged.bench.outfits
    more: list[int] = []
    for work in judged.bench.inquiry.work[1:]:
        if not any(serves(work, rows[k]) for k in (*kept, *more)):
            more += [k for k in order if serves(work, rows[k])][:1]
    return more


def _worked_out(context: Context, priced: Sequence[Priced], done: Sequence[WorkDone]) -> list[OutfitAdvice]:
    order = context.order
    rated = [middle(row_of(context.shown.tools["rated_load"], k)) for k in range(len(order))]
    raised = [float(context.chart[1, -1, hung]) for hung in context.shown.hanging]
    lifts = [float(np.fmin(lift, most)) for lift, most in zip(raised, rated, strict=True)]
    bills = [priced[row].total.quantile(0.5) for row in order]
    hours = [done[row].hours for row in order]
    ease = [float(priced[row].convenience) for row in order]
    flags = pareto(bills, lifts, hours, ease, [_suits(context, row) for row in order])
    made = [outfit_advice(context, k, priced[row], done[row], flags[k]) for k, row in enumerate(order)]
    return named(made, bills, ease)


def _suits(context: Context, row: int) -> float:
    """How well an outfit answers the lines of work."""
    kind, lines = str(context.judged.bench.outfits[row].attachment.kind), shares_of(context.inquiry.work)
    return sum(share * suits(work, kind) for share, work in lines) if lines else 1.0


def _advice(
    inquiry: Inquiry,
    laid: Laid,
    judged: Judged,
    loss: Losses,
    order: Sequence[int],
    outfits: Sequence[OutfitAdvice],
    seed: int,
    system: str,
    learnt: Sequence[str] = (),
    said: str = "",
) -> Advice:
    top = order[0]
    final = judged.final(top)
    values = worth_of_answers(judged, loss, accuracy_of)
    waiting = open_facts(judged, top, inquiry)
    questions = ask_next(values, waiting, final, top)
    return Advice(
        title=inquiry.title,
        machine=inquiry.machine.name or inquiry.machine.model or inquiry.machine.id,
        currency=inquiry.currency,
        outfits=tuple(outfits),
        ask_next=questions,
        one_change=all_changes(laid, judged, _to_change(judged, order), system),
        rejected=_rejected(laid, judged, order, system),
        say_now=said,
        do_not_promise=say.do_not_promise(outfits[0], waiting, inquiry),
        open_facts=tuple(say.FACT_TITLES.get(path, path) for path in waiting),
        cautions=outfits[0].cautions,
        facts=facts_of(inquiry, laid.draws, system),
        notes=(*linkage_notes(judged.bench.some(order[:1]), system), *learnt, *machine_notes(inquiry.machine, system)),
        seed=seed,
        samples=laid.draws.size,
        thresholds=dict(THRESHOLDS),
        enough=enough(values, questions),
    )


def _to_change(judged: Judged, order: Sequence[int]) -> list[int]:
    """Which of the outfits that do not fit are asked what would do: those seen elsewhere, and the best few."""
    failing = [row for row in order if judged.verdict(row) == NOT]
    seen = [row for row in failing if judged.bench.outfits[row].seen_elsewhere]
    return seen + [row for row in failing if row not in seen][:CHANGED]


def _rejected(laid: Laid, judged: Judged, order: Sequence[int], system: str) -> tuple[Rejected, ...]:
    """What does not come into question, and what comes after what is shown."""
    found: dict[tuple[str, str], Rejected] = {}
    for left in laid.candidates.left:
        name = left.attachment.name or left.attachment.id
        why = left.why if left.route is None else f"{left.route.replace('_', ' ')}: {left.why}"
        found[(left.attachment.id, why)] = Rejected(left.attachment.id, name, why)
    shown = {judged.bench.outfits[row].attachment.id for row in order}
    for row, outfit in enumerate(judged.bench.outfits):
        if outfit.attachment.id not in shown and (outfit.attachment.id, "after") not in found:
            why = _after(judged, row, system)
            found[(outfit.attachment.id, "after")] = Rejected(outfit.attachment.id, outfit.name, why, outfit.id)
    return tuple(found.values())


def _after(judged: Judged, row: int, system: str) -> str:
    """Why an outfit is not among those shown."""
    if judged.verdict(row).startswith("fits"):
        return "holds too, and comes after those shown"
    return reason(judged, row, (), system)


def _nothing(inquiry: Inquiry, laid: Laid, seed: int, system: str) -> Advice:
    """No outfit comes into question: say why, and what to ask."""
    left = tuple(
        Rejected(one.attachment.id, one.attachment.name or one.attachment.id, one.why) for one in laid.candidates.left
    )
    known = laid.draws.known("loader.pin_height_max")
    waiting = () if known else ("machine",)
    text = (
        "Nothing on the shelf can be hung on it or moved by it." if known else "Name a tractor, or a class and a power."
    )
    facts: tuple[Fact, ...] = facts_of(inquiry, laid.draws, system)
    return Advice(
        title=inquiry.title,
        machine=inquiry.machine.name or inquiry.machine.id,
        currency=inquiry.currency,
        outfits=(),
        ask_next=ask_next({}, waiting, None, 0),
        one_change=(),
        rejected=left,
        say_now=text,
        do_not_promise=(),
        open_facts=waiting,
        cautions=(),
        facts=facts,
        notes=(),
        seed=seed,
        samples=laid.draws.size,
        thresholds=dict(THRESHOLDS),
        measured=Measured(readings(laid, system), None) if laid.taken else None,
    )
