"""The quotation: what is offered and what not, machine facts and their source, price, fit statement, acceptance."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from handfast.advice.result import Advice, OutfitAdvice
from handfast.advice.say import STEPS
from handfast.documents.offer import offer_values, stated
from handfast.documents.offer_terms import Terms as Terms
from handfast.documents.offer_terms import parts_only as parts_only
from handfast.documents.press import press, sheet_of
from handfast.documents.words import DEALER, Stamp, marks, picture, title_block
from handfast.drawings.charts_from_advice import load_chart_of
from handfast.drawings.from_advice import can_draw, scale_of, side_view_of
from handfast.drawings.letters import plain
from handfast.drawings.load_chart import chart_words
from handfast.drawings.marks_small import tick_box
from handfast.drawings.sheet_a import sheet_a
from handfast.drawings.side_marks import side_words

WIDTH = 870.0  # px of the drawing: 174 mm
HOW = {"paper": "signature on paper", "reply": "reply in writing", "link": "private link", "spoken": "word of mouth"}


def quotation(
    advice: Advice,
    outfit_id: str,
    *,
    number: str,
    issue: str = "1",
    made: str = "",
    valid_until: str = "",
    terms: Terms | None = None,
    paper: str = "us-letter",
    system: str = "us",
    dealer: str = DEALER,
    by: str = "",
    demo: bool = True,
) -> bytes:
    """An offer of one outfit, on one or two pages; or of the several ways that the terms name.

    Weight behind that is declined where the rear axle would carry less than the terms ask turns the offer into one of
    parts only: no fitting, no fit statement, and a second named person.

    Args:
        advice: the answer; its sentences are in the units that `advise` was asked for.
        outfit_id: which of its outfits, where the terms name no ways.
        number: the quotation's number.
        issue: which version of it.
        made: the date, best as year-month-day; never taken from a clock.
        valid_until: last day of the offer.
        terms: what the dealer sets; None takes the plain ones.
        paper: us-letter or a4.
        system: us or metric.
        dealer: whose paper it is.
        by: who made it.
        demo: print that all is invented.

    Returns:
        A tagged PDF; equal arguments give equal bytes.

    Raises:
        KeyError: no such outfit.
        ValueError: no such paper or system.
        PaperError: the press failed.

    Source: trade practice for a dealer's quotation; title block fields after ISO 7200.

    >>> from handfast.advice.example import answer, outfit
    >>> quotation(answer(), outfit().id, number="1")[:5]
    b'%PDF-'
    """
    sheet, terms = sheet_of(paper), terms or Terms()
    outfits = [advice.outfit(way.outfit) for way in terms.ways] or [advice.outfit(outfit_id)]
    if system not in STEPS:
        raise ValueError(f"system is us or metric; found {system!r}")
    stamp = Stamp(made, number, issue, dealer, by, terms.seen_by, terms.state, demo)
    drawn, scale = _drawn(advice, outfits, system, terms)
    values = {
        "paper": [sheet.width, sheet.height],
        "demo": demo,
        "title": plain(f"Quotation {number}: {outfits[0].title}", 200),
        "dealer": plain(dealer, 90),
        "block": title_block(advice, outfits[0], stamp, "Quotation", "", scale),
        "pics": {**marks(outfits[0]), **_boxes(), **drawn},
        "answered": _answered(terms),
        **offer_values(advice, outfits, terms, number, issue, made, valid_until, system),
    }
    return press("quotation", values, made)


def _answered(terms: Terms) -> list[list[str]]:
    """Who accepted or declined, how and when; nothing while nobody has."""
    kept = terms.acceptance
    if kept is None:
        return []
    rows = [
        ("Accepted by" if kept.became == "accepted" else "Declined by", kept.name),
        ("On", kept.on),
        ("By", HOW.get(kept.how, kept.how)),
        ("Digest of what was shown", kept.digest[:32]),
    ]
    return [[label, plain(text, 90)] for label, text in rows]


def _drawn(
    advice: Advice, outfits: Sequence[OutfitAdvice], system: str, terms: Terms
) -> tuple[dict[str, dict[str, str]], str]:
    """The drawing of each outfit whose fit is stated, and what stands under scale and units."""
    units = "in and lb" if system == "us" else "mm and kg"
    found: dict[str, Any] = {}
    for place, one in enumerate(outfits):
        if stated(one, terms) and can_draw(one):
            side, chart = side_view_of(advice, one, system), load_chart_of(one, system)
            words = f"{side_words(side)} Load chart: {chart_words(chart)}"
            found[f"side{place}"] = picture(sheet_a(side, chart, "print", WIDTH), words)
            if len(outfits) == 1:
                units = f"1 : {scale_of(side, WIDTH):.0f}, {units}"
    return found, units


def _boxes() -> dict[str, dict[str, str]]:
    return {
        "ticked": picture(tick_box(True, "print"), "ticked"),
        "blank": picture(tick_box(False, "print"), "box to tick"),
    }
