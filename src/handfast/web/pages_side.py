"""Up to four outfits side by side: one drawing scale, differences marked, the best of each figure named."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import isfinite
from typing import Any

from markupsafe import Markup
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from handfast.advice.best_of import best_of
from handfast.advice.result import Advice, OutfitAdvice
from handfast.counter import verbs as counter
from handfast.machines.reading import read_inquiry
from handfast.quantities.money import show_money
from handfast.quantities.showing import show, show_slope
from handfast.web.desk import Desk, desk_of, number_in, off_loop, page, units_of
from handfast.web.drawn import on_one_scale, scene
from handfast.web.words import how_sure, lifted, outfit_name, placed, sure_words, tally_mark, verdict_words

MOST = 4
Figure = float | None


@dataclass(frozen=True)
class Line:
    """One row of figures: what each outfit has, which differ, which is best."""

    label: str
    cells: tuple[str, ...]
    differs: bool
    best: tuple[int, ...] = ()
    best_word: str = ""


def line(label: str, cells: Sequence[str], figures: Sequence[Figure] = (), least: bool = False, word: str = "") -> Line:
    """A row; the best figure is named where they differ.

    >>> line("Lifts", ("400 lb", "450 lb"), (181.0, 204.0), word="most").best
    (1,)
    """
    said = tuple(cell or "not known" for cell in cells)
    differs = len(set(said)) > 1
    known = [one for one in figures if one is not None and isfinite(one)]
    if not differs or not known or len(set(known)) < 2 or not word:
        return Line(label, said, differs)
    top = min(known) if least else max(known)
    best = tuple(at for at, one in enumerate(figures) if one == top)
    return Line(label, said, differs, best if len(best) < len(said) else (), word)


def lines_of(outfits: Sequence[OutfitAdvice], currency: str, system: str) -> list[Line]:
    """Every row of the comparison."""

    def told(label: str, figure: Callable[[OutfitAdvice], Figure], words: Callable[[float], str], **best: Any) -> Line:
        found = [figure(one) for one in outfits]
        return line(label, [words(v) if v is not None and isfinite(v) else "" for v in found], found, **best)

    def mass(value: float) -> str:
        return show(value, "mass", system)

    def money(value: float) -> str:
        return show_money(value, currency)

    bands = [lifted(one) for one in outfits]
    band_words = [f"{mass(b.p10)} to {mass(b.p90)}" if b and isfinite(b.p10) else "" for b in bands]
    whole = [one.cost.p50 if one.cost.whole else None for one in outfits]
    return [
        line("How sure", [sure_words(one) for one in outfits], [how_sure(one) for one in outfits]),
        line(
            "Lifts, likely",
            [mass(b.p50) if b else "" for b in bands],
            [b.p50 if b else None for b in bands],
            word="most",
        ),
        line("Lifts, 8 in 10 between", band_words),
        told("One piece", lambda o: o.load, mass),
        line("What stops it", [_stops(one) for one in outfits]),
        line("Hangs", [one.mount.title for one in outfits]),
        line("Moved by", [one.power.title for one in outfits]),
        told(
            "Lid closes, warm oil", lambda o: o.power.close_time, lambda v: show(v, "time"), least=True, word="quickest"
        ),
        line("Behind it", [_behind(one) for one in outfits]),
        told("Refused across a slope beyond", lambda o: o.slope_limit, show_slope, word="steepest"),
        told("Loads in all", lambda o: o.job.loads, lambda v: f"{v:,.0f}", least=True, word="fewest"),
        told("Hours of work", lambda o: o.job.hours, lambda v: f"{v:,.1f}", least=True, word="fewest"),
        told("A year of it costs", lambda o: o.job.yearly_cost, money, least=True, word="least"),
        line("Fitted and delivered", [money(v) if v else "no total" for v in whole], whole, least=True, word="least"),
        told("Say not more than", lambda o: o.cost.ceiling if o.cost.whole else None, money),
        told("Not in the price people see", lambda o: o.cost.hidden, money, least=True, word="least"),
    ]


def _stops(one: OutfitAdvice) -> str:
    found = next((check for check in one.checks if check.id == one.governs), None)
    return found.title if found is not None else "nothing near"


def _behind(one: OutfitAdvice) -> str:
    chosen = [f"{piece.count} × {piece.title}" if piece.count > 1 else piece.title for piece in one.ballast.chosen]
    return ", ".join(chosen) or "as it is now"


def chosen_of(advice: Advice, asked: Sequence[str], system: str) -> list[OutfitAdvice]:
    """The outfits of an address, else those named as best at something, else the first ones. KeyError: no such one."""
    names = list(dict.fromkeys(asked))[:MOST]
    if not names:
        named = [one.outfit for one in best_of(advice, system)] if len(advice.outfits) > 1 else []
        names = list(dict.fromkeys([*named, *(one.id for one in advice.outfits)]))[: max(len(set(named)), 3)]
    return [advice.outfit(name) for name in names]


def _context(desk: Desk, number: int, asked: Sequence[str], system: str) -> dict[str, Any]:
    row = counter.inquiry(desk.workspace, number)
    advice = desk.answer(number, read_inquiry(row.text, "inquiry"), system)
    outfits = chosen_of(advice, asked, system)
    drawings = on_one_scale([scene(advice, one, system) for one in outfits])
    heads = [
        {
            "outfit": one,
            "name": outfit_name(one)[0],
            "note": outfit_name(one)[1],
            "verdict": verdict_words(one),
            "sure": sure_words(one),
            "tally": tally_mark(how_sure(one)),
            "drawing": placed(drawn, f"s{at}") if drawn else Markup(),
        }
        for at, (one, drawn) in enumerate(zip(outfits, drawings, strict=True))
    ]
    shown = {one.id for one in outfits}
    return {
        "row": row,
        "advice": advice,
        "heads": heads,
        "lines": lines_of(outfits, advice.currency, system),
        "choices": [
            (one.id, one.rank, outfit_name(one)[0], outfit_name(one)[1], one.id in shown) for one in advice.outfits
        ],
        "most": MOST,
    }


async def side_page(request: Request) -> Response:
    """Outfits of an inquiry side by side."""
    desk, number = desk_of(request), number_in(request)
    asked = request.query_params.getlist("outfit")
    if len(set(asked)) > MOST:
        raise HTTPException(422, f"At most {MOST} outfits stand side by side.")
    return page(request, "side.html", **await off_loop(_context, desk, number, asked, units_of(request)))
