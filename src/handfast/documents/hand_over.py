"""The hand-over record: what was fitted and shown, cautions one by one, the weight behind, signatures."""

from __future__ import annotations

from collections.abc import Iterator

from handfast.advice.result import Advice, OutfitAdvice
from handfast.documents.install_sheet import behind_words
from handfast.documents.points import points
from handfast.documents.work_paper import (
    Options,
    Row,
    Section,
    WorkPaper,
    blanks,
    head_of,
    note,
    press_paper,
    table,
    text,
    ticks,
)
from handfast.outfits.fitting import Fitting
from handfast.outfits.install import steps_of
from handfast.outfits.powering import HYDRAULIC

NAME = "Hand-over record"
BLANK = "____"
MANUALS = "The operator's manuals of tractor, loader and attachment come before this record, wherever they differ."
DECLINED = (
    "Declined. With less than {share} on the rear axle this is parts only: not fitted by us, a second person signs."
)


def hand_over(advice: Advice, outfit_id: str, fitting: Fitting, options: Options | None = None) -> bytes:
    """The hand-over record of an outfit; it bears no prices.

    Args:
        advice: the answer.
        outfit_id: which of its outfits.
        fitting: the same outfit with its lines.
        options: paper, units, date, number; what was answered about the weight behind.

    Returns:
        A tagged PDF; equal arguments give equal bytes.

    Raises:
        KeyError: no such outfit.
        ValueError: no such paper or system.
        PaperError: the press failed.

    Source: cautions.csv, install_steps.csv, paper_points.csv.

    >>> from handfast.advice.example import piped_answer
    >>> from handfast.outfits.example_piped import PIPED, piped
    >>> hand_over(piped_answer(), PIPED, piped())[:5]
    b'%PDF-'
    """
    options = options or Options()
    one = advice.outfit(outfit_id)
    paper = WorkPaper(NAME, head_of(advice, fitting, options), _sections(one, fitting, options))
    return press_paper(paper, advice, one, options)


def _sections(one: OutfitAdvice, fitting: Fitting, options: Options) -> list[Section]:
    shown = [s.words for s in steps_of(fitting, behind_words(one, options.system)) if s.phase == "hand"]
    shown = [words for words in shown if not words.startswith("This sheet")]  # handed over has a section of its own
    shown += [words for words, _ in points("handover", "shown")]
    given = ticks(points("handover", "given"), numbered=False, abreast=2)
    return [
        Section("Fitted", [text(MANUALS, strong=True), *_fitted(one, fitting)], whole=True),
        Section("Weight behind", _behind(one, options), whole=True),
        Section("Shown, and done by the operator", [_each(shown)]),
        Section("Cautions, gone through one by one", [_each(one.cautions)]),
        Section("Handed over, and signed", [given, *_signed(options)], whole=True),
    ]


def _fitted(one: OutfitAdvice, fitting: Fitting) -> list[Row]:
    rows = [["[]", what, words, BLANK] for what, words in _pieces(one, fitting)]
    measured = ["Hours on the meter", "Next look-over at"]
    if fitting.outfit.power.route in HYDRAULIC:
        measured += ["Relief measured", "Lid closes, opens in"]
    return [
        table(("", "part", "what", "serial"), (0, 0, 3, 1.4), rows, "llll", 0.92, 0.6),
        blanks(measured, (1,) * len(measured)),
    ]


def _pieces(one: OutfitAdvice, fitting: Fitting) -> Iterator[tuple[str, str]]:
    """What hangs, on what, moved by what, through which hoses."""
    yield "attachment", fitting.outfit.name
    yield "hangs on", one.mount.title
    yield "moved by", one.power.title
    tags = ", ".join(h.tag for h in fitting.numbers)
    if tags:
        yield "hoses", tags
    yield "tractor", fitting.inquiry.machine.name or fitting.inquiry.machine.model or "tractor"


def _behind(one: OutfitAdvice, options: Options) -> list[Row]:
    """The weight that goes on, or the answer that was given: who and when."""
    words = behind_words(one, options.system) or "as the offer says"
    rule = f"{100 * options.least_share:.3g} %"
    by, on = options.ballast_by or BLANK, options.ballast_on or BLANK
    said = table(("answered on the offer", "answered by", "date"), (1, 2, 1), [[f"*{options.ballast}", by, on]])
    return [
        text(f"The offer asks for: {words}.", strong=True),
        *([said] if options.ballast else []),
        ticks([("Fitted, weighed or counted, and stays on whenever the attachment is on.", "")], numbered=False),
        blanks(("What hangs there, weight", "Looked at by", "Date"), (1.6, 1.2, 0.8)),
        ticks([(DECLINED.format(share=rule), "")], numbered=False),
        blanks(("Declined by, name and signature", "Second person, name and signature", "Date"), (1.4, 1.4, 0.8)),
    ]


def _each(items: list[str] | tuple[str, ...]) -> Row:
    """One line for each sentence: a box to tick, the words, initials."""
    rows = [["[]", words, BLANK] for words in items]
    return table(("", "what", "initials"), (0, 6, 0.7), rows, "lll", 1.0, 0.6)


def _signed(options: Options) -> list[Row]:
    return [
        note("Signed for what is ticked above, not for what is not."),
        blanks(("Operator, name and signature", "Second operator, name and signature", "Date"), (1.4, 1.4, 0.8)),
        blanks(("Buyer, name and signature", "Dealer, name and signature", "Place"), (1.4, 1.4, 0.8)),
        *([note(f"To ring: {options.dealer}, {options.reached}")] if options.reached else []),
    ]
