"""The fit sheet: one page that proves an outfit, with drawing, chart, checks, cost and what is open."""

from __future__ import annotations

import math
from typing import Any

from handfast.advice.result import Advice, CheckResult, CostLine, OutfitAdvice
from handfast.documents.press import press, sheet_of
from handfast.documents.words import (
    DEALER,
    Stamp,
    in_ten,
    listed,
    mark_of,
    marks,
    picture,
    title_block,
    verdict_of,
    verdict_words,
    written,
)
from handfast.drawings.axle_bars import axle_bars, axle_words
from handfast.drawings.band import cost_mark
from handfast.drawings.charts_from_advice import axle_bars_of
from handfast.drawings.from_advice import can_draw, pictures, scale_of
from handfast.drawings.letters import plain
from handfast.drawings.load_chart import chart_words
from handfast.drawings.sheet_a import sheet_a
from handfast.drawings.side_marks import side_words
from handfast.language.telling import tell
from handfast.quantities.money import show_money

WIDTH = 900.0  # px of the side view with its chart: 180 mm
BARS = 660.0  # px of the axle bars, set a little smaller
CAUTIONS, CONDITIONS, OPEN = 4, 6, 8


def fit_sheet(
    advice: Advice,
    outfit_id: str,
    *,
    paper: str = "us-letter",
    system: str = "us",
    made: str = "",
    number: str = "",
    dealer: str = DEALER,
    demo: bool = True,
) -> bytes:
    """One outfit on one page.

    Args:
        advice: the answer; its sentences are in the units that `advise` was asked for.
        outfit_id: which of its outfits.
        paper: us-letter or a4; both share one frame.
        system: us or metric, for the figures.
        made: the date, best as year-month-day; never taken from a clock.
        number: the sheet's number.
        dealer: whose paper it is.
        demo: print that all is invented.

    Returns:
        A tagged PDF of one page; equal arguments give equal bytes.

    Raises:
        KeyError: no such outfit.
        ValueError: no such paper or system.
        PaperError: the press failed.

    Source: title block fields after ISO 7200, lines after ISO 128, own words.

    >>> from handfast.advice.example import answer, outfit
    >>> fit_sheet(answer(), outfit().id)[:5]
    b'%PDF-'
    """
    sheet = sheet_of(paper)
    if system not in ("us", "metric"):
        raise ValueError(f"system is us or metric; found {system!r}")
    one = advice.outfit(outfit_id)
    stamp = Stamp(made=made, number=number, dealer=dealer, demo=demo)
    values = {
        "paper": [sheet.width, sheet.height],
        "demo": demo,
        "title": plain(f"Fit sheet: {one.title}", 200),
        "dealer": plain(dealer, 90),
        **_head(advice, one),
        **_drawn(advice, one, system),
        **_checks(advice, one, system),
        **_costs(one),
        **_said(advice, one),
    }
    units = "in and lb" if system == "us" else "mm and kg"
    values["block"] = title_block(advice, one, stamp, "Fit sheet", "1 of 1", f"{values['scale']}, {units}")
    values["pics"] |= {name: picture(svg, alt) for name, (svg, alt) in _cost_marks(one).items()}
    return press("fit_sheet", values, made)


def _head(advice: Advice, one: OutfitAdvice) -> dict[str, Any]:
    word, sentence = verdict_words(one)
    about = [plain(text, 60) for text in ("Fit sheet", advice.title, advice.machine) if text]
    return {
        "kicker": " · ".join(about),
        "outfit": plain(one.title, 120),
        "word": word,
        "sentence": sentence,
        "tally": in_ten(one.held),
        "over": f"over {one.over_checks} checks",
    }


def _drawn(advice: Advice, one: OutfitAdvice, system: str) -> dict[str, Any]:
    if not can_draw(one):
        waits = "Not drawn: the loader's or tractor's measures are not known."
        return {"pics": {**marks(one), **_axles(one, system)}, "side-note": waits, "scale": "none"}
    drawn = pictures(advice, one, system)
    alt = f"{side_words(drawn.side)} Load chart: {chart_words(drawn.chart)}"
    rated = " Upright dash-dot line: the attachment's own rating." if drawn.chart.rated is not None else ""
    rated += " Thin lines: the load that much further out." if drawn.chart.others else ""
    side = picture(sheet_a(drawn.side, drawn.chart, "print", WIDTH), alt)
    return {
        "pics": {**marks(one), **_axles(one, system), "side": side},
        "side-note": "Thick line: lift; dashed: curl; open hatch: beyond what it carries; close hatch: one in ten "
        "below to one in ten above. Nine in ten bear out the figure to say." + rated,
        "scale": f"1 : {scale_of(drawn.side, WIDTH):.0f}",
    }


def _axles(one: OutfitAdvice, system: str) -> dict[str, dict[str, str]]:
    bars = axle_bars_of(one, system)
    return {"axles": picture(axle_bars(bars, "print", BARS), axle_words(bars))} if bars.states else {}


def _checks(advice: Advice, one: OutfitAdvice, system: str) -> dict[str, Any]:
    decided = [c for c in one.checks if c.held is not None]
    rows = [c for c in decided if not (c.unit == "1" and c.held == 1.0)]
    sources = list(dict.fromkeys(c.source for c in rows if c.source))
    also = [plain(tell(c.title), 60).lower() for c in decided if c not in rows]
    waiting = [plain(tell(c.title), 60).lower() for c in one.checks if c.held is None and c.hard]
    return {
        "checks": [_row(advice, c, sources, system) for c in rows],
        "also": listed(also),
        "waiting": listed(waiting),
        "sources": tell("To spare: what nine in ten leave at least. ")
        + " ".join(f"{k + 1}: {plain(tell(text), 150)}." for k, text in enumerate(sources)),
    }


def _row(advice: Advice, check: CheckResult, sources: list[str], system: str) -> dict[str, str]:
    limits = advice.thresholds
    square = mark_of(
        check, limits.get("held", 0.9), limits.get("each_safety_check", 0.97), limits.get("does_not_fit", 0.1)
    )
    asks, has = (band.p50 if band else None for band in (check.demand, check.capacity))
    spare = check.margin.p10 if check.margin else None
    yes_no = check.unit == "1"
    return {
        "mark": square,
        "title": plain(tell(check.title), 50),
        "note": " · ".join(plain(tell(text), 70) for text in (check.basis, check.origin) if text),
        "src": str(sources.index(check.source) + 1) if check.source in sources else "",
        "asks": written(check, asks, system),
        "has": "open" if yes_no and check.held not in (0.0, 1.0) else written(check, has, system),
        "spare": "" if yes_no else written(check, spare, system),
    }


def _costs(one: OutfitAdvice) -> dict[str, Any]:
    cost = one.cost
    lines = [
        {"hidden": c.hidden, "what": plain(tell(c.what), 70), "likely": _amount(c.likely), "band": f"cost{k}"}
        for k, c in enumerate(cost.lines)
    ]
    sums = [
        ["Lines as likely", show_money(sum(c.likely for c in cost.lines), cost.currency), False],
        ["Fitted and delivered, the middle", show_money(cost.p50, cost.currency), True],
        ["Say: not more than", show_money(cost.ceiling, cost.currency), True],
    ]
    if not cost.whole:
        sums[1:] = [["The attachment's own price", "not known", True], ["Total", "none can be said", True]]
    hidden = f"not in the price people see on-line: {show_money(cost.hidden, cost.currency)} in all"
    return {"costs": lines, "sums": sums if lines else [], "hidden": hidden if cost.hidden else ""}


def _amount(value: float) -> str:
    return f"{value:,.0f}" if math.isfinite(value) else "not known"


def _cost_marks(one: OutfitAdvice) -> dict[str, tuple[str, str]]:
    most = max((c.high for c in one.cost.lines), default=1.0)
    return {f"cost{k}": (_cost_mark(c, most), _cost_words(c)) for k, c in enumerate(one.cost.lines)}


def _cost_mark(line: CostLine, most: float) -> str:
    return cost_mark(line.low, line.likely, line.high, most * 1.04, "print", 84.0)


def _cost_words(line: CostLine) -> str:
    return f"{_amount(line.low)} to {_amount(line.high)}"


def _said(advice: Advice, one: OutfitAdvice) -> dict[str, Any]:
    conditions = [plain(tell(c.text), 150) for c in one.conditions[:CONDITIONS]]
    rest = len(one.conditions) - len(conditions)
    conditional = verdict_of(one) == "fits_if"
    told = conditional and len(one.conditions) == 1  # the sentence says it
    facts = [plain(tell(text), 48) for text in advice.open_facts[:OPEN]]
    more = len(advice.open_facts) - len(facts)
    still = listed([*facts, *([f"and {more} more"] if more > 0 else [])])
    return {
        "cautions": [plain(tell(text), 220) for text in one.cautions[:CAUTIONS]],
        "conditions": [] if told else conditions + ([f"{rest} more"] if rest > 0 else []),
        "conditions-lead": "It holds if:" if conditional else "It asks as well:",
        "open": f"{still[:1].upper()}{still[1:]}." if still else "",
    }
