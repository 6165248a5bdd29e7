"""The delivery and receiving checklist: off the truck, looked at before anybody signs, what is short."""

from __future__ import annotations

from collections.abc import Sequence
from math import isfinite

from handfast.advice.order import order_for
from handfast.advice.result import Advice
from handfast.costing.freight import packed_mass
from handfast.documents.points import points
from handfast.documents.purchase_order import PACKED, packed_words
from handfast.documents.work_paper import (
    Options,
    Row,
    Section,
    WorkPaper,
    blanks,
    head_of,
    note,
    press_paper,
    stops,
    table,
    text,
    ticks,
)
from handfast.machines.attachment import Attachment
from handfast.outfits.fitting import Fitting
from handfast.outfits.ordering import OrderLine, quantity_words
from handfast.quantities.showing import show

NAME = "Receiving checklist"
BLANK = "____"
LIFT = 23.0  # kg; the load constant of the NIOSH lifting equation
LARGE = ("valve_kit", "quick_attach_kit", "adapter_plate", "ballast", "guard")
MEANS = {"lift_gate": "lift gate", "forks": "forks", "dock": "dock", "by_hand": "by hand"}


def receiving(advice: Advice, outfit_id: str, fitting: Fitting, options: Options | None = None) -> bytes:
    """The delivery and receiving checklist of an outfit; it bears no prices.

    Args:
        advice: the answer.
        outfit_id: which of its outfits.
        fitting: the same outfit with its parts.
        options: paper, units, date, number.

    Returns:
        A tagged PDF; equal arguments give equal bytes.

    Raises:
        KeyError: no such outfit.
        ValueError: no such paper or system.
        PaperError: the press failed.

    Source: paper_points.csv; freight class by freight_class.csv.

    >>> from handfast.advice.example import piped_answer
    >>> from handfast.outfits.example_piped import PIPED, piped
    >>> receiving(piped_answer(), PIPED, piped())[:5]
    b'%PDF-'
    """
    options = options or Options()
    one = advice.outfit(outfit_id)
    lines = [line for line in order_for(one, fitting).lines if line.group in ("shelf", "send", "find")]
    paper = WorkPaper(NAME, head_of(advice, fitting, options), _sections(lines, fitting, options.system))
    return press_paper(paper, advice, one, options)


def _sections(lines: Sequence[OrderLine], fitting: Fitting, system: str) -> list[Section]:
    caller, tool = fitting.inquiry.caller, fitting.outfit.attachment
    return [
        Section("The heavy piece", _crate(tool, fitting, system), whole=True),
        Section("Settled before it is sent", _settled(caller.unloading, tool, system), whole=True),
        Section("Unloading", [stops(words for words, _ in points("receive", "unload"))], whole=True),
        Section("Before the driver's paper is signed", [ticks(points("receive", "sign"))], whole=True),
        Section("Photographs", [ticks(points("receive", "photo"), numbered=False)], whole=True),
        Section("Counted", _counted(lines, system), whole=True),
        Section("What was wrong, in the words of the driver's paper", _wrong(), whole=True),
        Section("After the truck has gone", [ticks(points("receive", "after"), numbered=False)], whole=True),
        Section("Received", _received(), whole=True),
    ]


def _crate(tool: Attachment, fitting: Fitting, system: str) -> list[Row]:
    """Weight, size and class of the crate, and what the caller's own loader is rated to lift."""
    name = fitting.outfit.name
    rows = [[name, *packed_words(tool, system)]]
    found: list[Row] = [table(PACKED, (2, 1, 1.8, 1.4), rows, "llll")]
    rated = fitting.inquiry.machine.loader.lift_at_500
    if not rated.is_unknown:
        lifts = show(rated.value, "mass", system)
        ahead = show(0.5, "length", system)
        found.append(
            note(
                f"The tractor's own loader is rated for {lifts} to full height, {ahead} ahead of its pins. "
                "Forks and crate together stay below that, and weight hangs behind."
            )
        )
    return found


def _settled(unloading: str | None, tool: Attachment, system: str) -> list[Row]:
    mass, lift = packed_mass(tool), show(LIFT, "mass", system)
    rows = [(words.format(lift=lift), small) for words, small in points("receive", "ask", unloading)]
    said = f"Said on the call: unloaded by {MEANS[unloading]}." if unloading == "forks" else ""
    if unloading in ("lift_gate", "dock"):
        said = (
            f"Said on the call: there is a {MEANS[unloading]}."
            if unloading == "dock"
            else "Said on the call: by lift gate."
        )
    if unloading == "by_hand" and isfinite(mass):
        said = f"Said on the call: by hand. The crate weighs {show(mass, 'mass', system)}."
    return [
        text(said or "How it comes off the truck was not said: ask, and tick one.", strong=True),
        table(
            ("how it comes off", "", "booked with", "booked for"),
            (1.4, 0, 1.6, 1),
            [[words, "[]", BLANK, BLANK] for words in MEANS.values() if words != "by hand"],
        ),
        ticks(rows, numbered=False),
    ]


def _counted(lines: Sequence[OrderLine], system: str) -> list[Row]:
    """Each large piece by itself, hoses and fittings by their number in all."""
    large = [one for one in lines if _is_large(one)]
    rows = [[quantity_words(o.line, system), *_piece(o, system), BLANK, BLANK, BLANK] for o in large]
    small = sum(one.line.quantity for one in lines if one not in large and one.line.unit == "piece")
    if small:
        rows.append([str(small), "hoses, couplers, fittings: count by the pick list", "", BLANK, BLANK, BLANK])
    return [table(("qty", "what", "weight", "came", "short", "damaged"), (0, 4, 0.9, 0.6, 0.6, 0.9), rows, "rlrlll")]


def _is_large(one: OrderLine) -> bool:
    """Whether it is a piece by itself on the truck."""
    return isinstance(one.part, Attachment) or one.line.item == "ballast" or getattr(one.part, "kind", "") in LARGE


def _piece(one: OrderLine, system: str) -> tuple[str, str]:
    """Its name and what it weighs, an attachment as it is packed."""
    if isinstance(one.part, Attachment):
        return one.line.what, packed_words(one.part, system)[0]
    mass = None if one.part is None else one.part.mass
    known = mass is not None and not mass.is_unknown
    return one.line.what, show(mass.value * one.line.quantity, "mass", system) if mass is not None and known else BLANK


def _wrong() -> list[Row]:
    return [table(("piece", "what is wrong", "photo no."), (1.2, 3, 0.6), [[BLANK, BLANK, BLANK]] * 8)]


def _received() -> list[Row]:
    return [
        blanks(("Carrier", "Carrier's number", "Driver"), (1, 1, 1)),
        blanks(("Date, hour", "Received by, name and signature", "Told to the seller on"), (0.8, 1.6, 1)),
    ]
