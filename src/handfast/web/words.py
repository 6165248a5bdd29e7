"""How results are worded and laid out on the pages."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from math import isfinite

from markupsafe import Markup

from handfast.advice.result import Advice, Band, CheckResult, CostLine, OutfitAdvice
from handfast.advice.say import limited
from handfast.advice.wording import figure
from handfast.documents.bill import bill_of
from handfast.drawings.band import Band as DrawnBand
from handfast.drawings.band import Scale, band_mark, cost_mark, scale_over, spare_mark
from handfast.drawings.marks_small import tally, tally_count, verdict_mark
from handfast.machines.inquiry import Inquiry
from handfast.quantities.money import show_money
from handfast.quantities.showing import show

VERDICTS = {
    "fits": ("fits", "Fits"),
    "fits with conditions": ("fits_if", "Fits if"),
    "does not fit": ("does_not_fit", "Does not fit"),
    "not enough known": ("not_enough_known", "Not enough known"),
}
LINES = {"sure": "sure", "about": "about", "not known": "dunno"}
SURE, HOPELESS = 0.97, 0.10
FIRST_CHECKS = 9


@dataclass(frozen=True)
class OutfitRow:
    """One outfit as a row of the answer."""

    id: str
    rank: int
    name: str
    note: str
    mark: Markup
    word: str
    rest: str
    sure: str
    tally: Markup
    lifts: str
    lifts_words: str
    lifts_band: Markup
    costs: str
    costs_words: str
    costs_band: Markup
    best_at: str
    seen: bool


def outfit_name(outfit: OutfitAdvice) -> tuple[str, str]:
    """An outfit's title in two: the attachment, and how it hangs and is moved."""
    tail = f", {outfit.mount.title}, {outfit.power.title}"
    if outfit.title.endswith(tail):
        return outfit.title.removesuffix(tail), tail[2:]
    tail = f", {outfit.mount.title}"
    if outfit.title.endswith(tail):
        return outfit.title.removesuffix(tail), tail[2:]
    return outfit.title, f"{outfit.mount.title}, {outfit.power.title}"


def verdict_words(outfit: OutfitAdvice) -> tuple[str, str, str]:
    """Mark, word and the rest of the sentence of an outfit's verdict."""
    mark, word = VERDICTS[outfit.verdict]
    text = outfit.verdict_text
    rest = text[len(word) :] if text.startswith(word) else f" {text}"
    return mark, word if outfit.verdict == "fits with conditions" else f"{word}.", rest.lstrip(". ").strip()


def how_sure(outfit: OutfitAdvice) -> float:
    """How sure the verdict is: of holding, or of not holding."""
    return 1.0 - outfit.held if outfit.verdict == "does not fit" else outfit.held


def sure_words(outfit: OutfitAdvice) -> str:
    """How sure, in tenths."""
    return f"{tally_count(how_sure(outfit))} in 10"


def placed(svg: str, place: str) -> Markup:
    """A small drawing whose ids are its own on the page: two equal ones would share theirs."""
    found = re.search(r'id="(d[0-9a-f]{8})', svg)
    return Markup(svg.replace(found[1], f"{found[1]}{place}") if found else svg)


def tally_mark(share: float) -> Markup:
    """The tally of ten; its words stand beside it."""
    return Markup(tally(share, spoken=False))


def lifted(outfit: OutfitAdvice) -> Band | None:
    """What it lifts to the height asked for, else to full height, within the attachment's own rating."""
    return limited(outfit)


def _money_band(outfit: OutfitAdvice) -> Band:
    return Band(outfit.cost.p10, outfit.cost.p50, outfit.cost.p90)


def _scale(bands: Sequence[Band | None], needs: Sequence[float | None]) -> Scale:
    values = [v for band in bands if band for v in (band.p10, band.p90)] + [n for n in needs if n is not None]
    kept = [v for v in values if isfinite(v)]
    return scale_over(kept) if kept else Scale(0.0, 1.0)


def outfit_rows(advice: Advice, inquiry: Inquiry, system: str) -> list[OutfitRow]:
    """Every outfit as a row, all on one scale."""
    outfits = advice.outfits
    budget = inquiry.wishes.budget
    most = budget.value if isfinite(budget.value) else None
    lifts = _scale([lifted(o) for o in outfits], [o.load for o in outfits])
    costs = _scale([_money_band(o) for o in outfits], [most])
    return [_row(o, advice.currency, lifts, costs, most, system) for o in outfits]


def _row(o: OutfitAdvice, currency: str, lifts: Scale, costs: Scale, most: float | None, system: str) -> OutfitRow:
    name, note = outfit_name(o)
    mark, word, rest = verdict_words(o)
    band, bill = lifted(o), _money_band(o)
    fails = o.verdict == "does not fit"
    return OutfitRow(
        id=o.id,
        rank=o.rank,
        name=name,
        note=note,
        mark=Markup(verdict_mark(mark)),
        word=word,
        rest=rest,
        sure=sure_words(o),
        tally=Markup(tally(how_sure(o), spoken=False)),
        lifts=("nothing" if band.p50 <= 0.0 else show(band.p50, "mass", system)) if band else "not known",
        lifts_words=f"{show(band.p10, 'mass', system)} to {show(band.p90, 'mass', system)}" if band else "",
        lifts_band=placed(band_mark(_drawn(band, fails), lifts, o.load, width=160), f"l{o.rank}"),
        costs=show_money(bill.p50, currency) if o.cost.whole and isfinite(bill.p50) else "no total",
        costs_words=f"{show_money(bill.p10, currency)} to {show_money(bill.p90, currency)}",
        costs_band=placed(
            band_mark(_drawn(bill, most is not None and bill.p10 > most), costs, most, width=132), f"c{o.rank}"
        ),
        best_at=o.best_at or "",
        seen=o.seen_elsewhere,
    )


def _drawn(band: Band | None, fails: bool) -> DrawnBand | None:
    return None if band is None or not isfinite(band.p50) else DrawnBand(band.p10, band.p50, band.p90, fails)


@dataclass(frozen=True)
class CheckRow:
    """One check as a row that opens."""

    id: str
    title: str
    mark: Markup
    word: str
    asks: str
    has: str
    spare: Markup
    basis: str
    origin: str
    source: str
    sentence: str
    share: str
    counts: str
    governs: bool


ORIGINS = {
    "missing": "not known",
    "typical": "typical of its class",
    "stated": "as the caller said",
    "sheet": "from the sheet",
    "measured": "measured",
    "weighed": "weighed",
    "computed": "reckoned from other facts",
}


@dataclass(frozen=True)
class CheckParts:
    """The checks in three parts: those to look at, those that hold amply, those that wait for a fact."""

    first: list[CheckRow]
    ample: list[CheckRow]
    waiting: list[CheckRow]


def check_rows(outfit: OutfitAdvice, system: str) -> CheckParts:
    """Checks in the order in which they matter: the governing one, what fails, then what has least to spare."""
    decided = sorted((c for c in outfit.checks if c.held is not None), key=lambda c: _weight(c, outfit))
    close = [c for c in decided if not (c.unit == "1" and _check_word(c)[1] == "Holds")][:FIRST_CHECKS]
    ample = [c for c in decided if c not in close]
    waiting = [c for c in outfit.checks if c.held is None]
    return CheckParts(*([_check_row(c, outfit, system) for c in part] for part in (close, ample, waiting)))


def _weight(check: CheckResult, outfit: OutfitAdvice) -> tuple[int, float]:
    """What comes first: the governing check, then what does not hold, then the least relative spare."""
    rank = {"Does not hold": 1, "Holds in part": 2, "Holds": 3}[_check_word(check)[1]]
    spare = check.margin.p50 if check.margin else 0.0
    size = max(abs(check.demand.p50) if check.demand else 0.0, abs(check.capacity.p50) if check.capacity else 0.0)
    share = spare / size if size and isfinite(spare) and isfinite(size) else 1.0
    return (0 if check.id == outfit.governs else rank), share


def _check_word(check: CheckResult) -> tuple[str, str]:
    if check.held is None:
        return "not_enough_known", "Not known yet"
    if check.held >= SURE:
        return "fits", "Holds"
    return ("does_not_fit", "Does not hold") if check.held <= HOPELESS else ("fits_if", "Holds in part")


def _check_row(check: CheckResult, outfit: OutfitAdvice, system: str) -> CheckRow:
    mark, word = _check_word(check)
    asks, has = (None if b is None else b.p50 for b in (check.demand, check.capacity))
    plain = check.unit != "1" and all(v is not None and isfinite(v) and v >= 0 for v in (asks, has))
    return CheckRow(
        id=check.id,
        title=check.title,
        mark=Markup(verdict_mark(mark)),
        word=word,
        asks=figure(asks, check.unit, system) if asks is not None else "?",
        has=figure(has, check.unit, system) if has is not None else "ask",
        spare=placed(spare_mark(asks if plain else None, has if plain else None, width=76), check.id.replace(".", ""))
        if check.unit != "1"
        else Markup(""),
        basis=check.basis,
        origin=ORIGINS.get(check.origin, check.origin),
        source=check.source,
        sentence=check.sentence,
        share="" if check.held is None else f"{tally_count(check.held)} in 10",
        counts="safety" if check.safety else ("must hold" if check.hard else "advice"),
        governs=check.id == outfit.governs,
    )


@dataclass(frozen=True)
class CostRow:
    """One line of the bill."""

    what: str
    hidden: bool
    likely: str
    words: str
    mark: Markup


def cost_rows(outfit: OutfitAdvice) -> list[CostRow]:
    """The bill on one scale."""
    cost, bill = outfit.cost, bill_of(outfit)
    most = max((line.high for line in cost.lines), default=1.0)
    shown = [*(line.amount for line in bill.lines), bill.tax]  # tax, where there is any, is the last line of both
    return [_cost_row(line, amount, most, cost.currency) for line, amount in zip(cost.lines, shown, strict=False)]


def _cost_row(line: CostLine, amount: Decimal, most: float, currency: str) -> CostRow:
    words = f"{show_money(line.low, currency)} to {show_money(line.high, currency)}"
    return CostRow(
        line.what,
        line.hidden,
        show_money(amount, currency, cents=True),
        words if line.low != line.high else "",
        Markup(cost_mark(line.low, line.likely, line.high, most)) if line.low >= 0 else Markup(""),
    )


def counted_facts(advice: Advice) -> str:
    """How many facts are sure, about, not known."""
    counts = {word: sum(f.certainty == word for f in advice.facts) for word in LINES}
    return ", ".join(f"{count} {word}" for word, count in counts.items())


@dataclass(frozen=True)
class FirstAnswer:
    """The best outfit of an answer in one line."""

    outfit: str
    name: str
    note: str
    mark: Markup
    word: str
    rest: str
    costs: str


def first_answer(advice: Advice) -> FirstAnswer:
    """The best outfit in one line; a line without an outfit where nothing comes into question."""
    if not advice.outfits:
        return FirstAnswer("", "", "", Markup(verdict_mark("not_enough_known")), "", advice.say_now, "")
    best = advice.outfits[0]
    name, note = outfit_name(best)
    mark, word, rest = verdict_words(best)
    costs = show_money(best.cost.p50, advice.currency) if best.cost.whole and isfinite(best.cost.p50) else ""
    return FirstAnswer(best.id, name, note, Markup(verdict_mark(mark)), word, rest, costs)
