"""The call sheet: the facts on one side, the answer on the other."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from math import isfinite
from typing import Any

from markupsafe import Markup
from starlette.requests import Request
from starlette.responses import JSONResponse, RedirectResponse, Response

from handfast.advice.as_json import to_json
from handfast.advice.best_of import best_of
from handfast.advice.result import Advice, Fact, Question, Rejected
from handfast.counter import calls
from handfast.counter import verbs as counter
from handfast.counter.seen import StaleInquiryError, inquiry_seen, move_from
from handfast.machines.faults import Faults
from handfast.machines.inquiry import Inquiry
from handfast.machines.reading import read_inquiry
from handfast.machines.shelf import Shelf
from handfast.quantities.money import show_money
from handfast.quantities.showing import show
from handfast.store.tables import STATES
from handfast.web.asking import Asked, asked, fields_of_fact
from handfast.web.desk import Desk, desk_of, form_of, is_part, number_in, off_loop, on_paper, page, units_of
from handfast.web.drawn import scene, small_side
from handfast.web.fields import Field
from handfast.web.form import data_of, shown
from handfast.web.measuring import measuring
from handfast.web.message import MOST, text_message
from handfast.web.pages_inquiry import lists_of, when
from handfast.web.strip import strip_context
from handfast.web.taking import NO_REFUSAL, Refusal, digit, take_in
from handfast.web.told import clock, headline
from handfast.web.turned import turned_context
from handfast.web.words import LINES, counted_facts, outfit_name, outfit_rows

SHOWN = 6  # outfits before the fold


@dataclass(frozen=True)
class FactRow:
    """A fact with the fields that change it."""

    fact: Fact
    line: str
    asked: bool
    fields: tuple[tuple[Field, str], ...]
    fresh: bool
    last: bool

    @property
    def id(self) -> str:
        """The element's id."""
        return "fact-" + self.fact.path.replace(".", "-")


def _fact_rows(
    advice: Advice, data: Mapping[str, Any], shelf: Shelf, first: str, fresh: Sequence[str]
) -> list[FactRow]:
    rows = []
    for known in advice.facts:
        fact = _caller(known, data) if known.path == "caller.place" else known
        fields = tuple((field, shown(data, field, shelf)) for field in fields_of_fact(fact.path))
        name = fact.path.removeprefix("machine.")
        places = {field.place for field, _ in fields}
        new, last = bool(places & set(fresh)), bool(places & set(fresh[-1:]))
        rows.append(FactRow(fact, LINES[fact.certainty], bool(first) and first.startswith(name), fields, new, last))
    return rows


def _caller(fact: Fact, data: Mapping[str, Any]) -> Fact:
    """Who calls, with name and number where they were said."""
    held = data.get("caller", {})
    said = [str(held[name]) for name in ("name", "number", "place") if isinstance(held, dict) and held.get(name)]
    return replace(fact, text=", ".join(said), certainty="sure", origin="stated") if said else fact


def _needs(advice: Advice, inquiry: Inquiry, system: str) -> tuple[str, str, str]:
    """What the two scales stand for: the height, the load, the budget."""
    best = advice.outfits[0] if advice.outfits else None
    height = "to the height asked" if best and best.payload.lift_to else "to full height"
    load = show(best.load, "mass", system) if best and best.load is not None else ""
    budget = inquiry.wishes.budget.value
    return height, load, show_money(budget, inquiry.currency) if isfinite(budget) else ""


def folded(rejected: tuple[Rejected, ...]) -> list[tuple[str, list[str]]]:
    """What does not come into question, by its reason."""
    by_why: dict[str, list[str]] = {}
    for one in rejected:
        names = by_why.setdefault(one.why, [])
        if one.title not in names:
            names.append(one.title)
    return sorted(by_why.items(), key=lambda item: -len(item[1]))


def _asked(advice: Advice, desk: Desk, number: int) -> tuple[Question | None, list[Question], tuple[str, ...]]:
    """What is asked next, what then, and what the caller could not say."""
    call = calls.call_of(desk.workspace, number)
    vain = set(call.cannot_say) if call else set()
    left = [one for one in advice.ask_next if one.fact not in vain]
    said = tuple(one.question for one in advice.ask_next if one.fact in vain)
    return (left[0] if left else None), left[1:3], said


def call_context(desk: Desk, number: int, system: str, refusal: Refusal = NO_REFUSAL) -> dict[str, Any]:
    """Everything that the call sheet shows."""
    version, row = inquiry_seen(desk.workspace, number)
    shelf = counter.shelf(desk.workspace)
    inquiry = read_inquiry(row.text, "inquiry")
    advice = desk.answer(number, inquiry, system)
    data = data_of(row.text)
    best = advice.outfits[0] if advice.outfits else None
    height, load, budget = _needs(advice, inquiry, system)
    question, later, vain = _asked(advice, desk, number)
    undo, redo = calls.steps(desk.workspace, number)
    return {
        "row": row,
        "version": version,
        "called": headline(row.title, row.text, shelf),
        "advice": advice,
        "bare": not advice.outfits and any(one.fact == "machine" for one in advice.ask_next),
        "inquiry": inquiry,
        "facts": _fact_rows(advice, data, shelf, question.fact if question else "", refusal.fresh),
        "ask": asked(question, inquiry) if question else None,
        "asks": question.fact if question else "",
        "later": later,
        "vain": vain,
        "rows": outfit_rows(advice, inquiry, system),
        "shown": SHOWN,
        "height": height,
        "load": load,
        "budget": budget,
        "drawing": Markup(small_side(scene(advice, best, system))) if best is not None else "",
        "counted": counted_facts(advice),
        "rejected": folded(advice.rejected),
        "changes": _changes(advice),
        "bests": [(one.outfit, *one.text.split(": ", 1)) for one in best_of(advice, system)]
        if len(advice.outfits) > 1
        else [],
        "lists": lists_of(shelf),
        "states": STATES,
        "when": when(row.updated),
        "kept": clock(row.updated),
        "undo": undo,
        "redo": redo,
        "message": text_message(advice) if advice.outfits else "",
        "most": MOST,
        "quotes": counter.quotes(desk.workspace, number),
        "refusal": refusal,
        "measuring": measuring(advice, inquiry, system),
        **strip_context(desk.workspace, number),
    }


def _changes(advice: Advice) -> list[tuple[str, str, bool]]:
    """What would have to change for each attachment that does not hold, and whether that is more than one thing."""
    names = {o.id: outfit_name(o)[0] for o in advice.outfits}
    by_outfit: dict[str, list[str]] = {}
    for change in advice.one_change:
        by_outfit.setdefault(change.outfit, []).append(change.change)
    said = [(names.get(key, key), ", and ".join(changes), len(changes) > 1) for key, changes in by_outfit.items()]
    return list(dict.fromkeys(said))


async def call_page(request: Request) -> Response:
    """The call sheet of an inquiry; with `turned`, the same for the caller's eyes."""
    desk, number = desk_of(request), number_in(request)
    turned = request.query_params.get("turned") == "1"
    try:
        context = await on_paper(request, call_context, desk, number, units_of(request))
    except Faults as faults:
        row = await off_loop(counter.inquiry, desk.workspace, number)
        return page(request, "contradicted.html", 422, row=row, faults=faults.faults)
    if turned:
        return page(request, "turned.html", **turned_context(context))
    return page(request, "call.html", **context, **elsewhere(request, number))


def elsewhere(request: Request, number: int) -> dict[str, Any]:
    """Pages of an inquiry that this program has beside the sheet, each with its key."""
    there = {getattr(route, "path", "") for route in request.app.routes}
    beside = (("side-by-side", "s", "Side by side"), ("questions", "m", "Questions out"))
    found = [
        (f"/inquiries/{number}/{name}", key, words)
        for name, key, words in beside
        if f"/inquiries/{{number:int}}/{name}" in there
    ]
    return {"beside": found}


async def change_facts(request: Request) -> Response:
    """Take facts that were answered, typed or changed; the sheet answers again."""
    return await answered(request, number_in(request), dict(await form_of(request)))


async def answered(request: Request, number: int, given: dict[str, str]) -> Response:
    """Put in what was given and show the sheet: what was not taken stays where it was typed, and is said."""
    desk, system = desk_of(request), units_of(request)

    def put_in() -> dict[str, Any]:
        replies = digit(given, lambda: _question(desk, number, system))
        return call_context(desk, number, system, take_in(desk.workspace, number, {**given, **replies}))

    context = await off_loop(put_in)
    refusal: Refusal = context["refusal"]
    beside = elsewhere(request, number)
    if refusal.none and not is_part(request):
        return RedirectResponse(f"/inquiries/{number}", 303)
    template = "call_sheet.html" if is_part(request) else "call.html"
    return page(request, template, 200 if refusal.none else 422, **context, **beside)


def _question(desk: Desk, number: int, system: str) -> Asked | None:
    """The question that stands above the sheet."""
    inquiry = read_inquiry(counter.inquiry(desk.workspace, number).text, "inquiry")
    question, _, _ = _asked(desk.answer(number, inquiry, system), desk, number)
    return asked(question, inquiry) if question else None


async def change_state(request: Request) -> Response:
    """Move an inquiry on: asked, quoted, waiting on caller, ordered, fitted, closed."""
    desk, number, given = desk_of(request), number_in(request), await form_of(request)
    state = given.get("state", "")
    if state not in STATES:
        return page(request, "error.html", 422, title="Not moved", said=f"An inquiry is one of {', '.join(STATES)}.")
    was = given.get("was", "")
    try:
        if was in STATES:
            await off_loop(move_from, desk.workspace, number, state, was)
        else:
            await off_loop(counter.change_state, desk.workspace, number, state)
    except StaleInquiryError as stale:
        return page(request, "moved_meanwhile.html", 409, row=stale.now, was=was, state=state)
    return RedirectResponse(f"/inquiries/{number}", 303)


async def call_json(request: Request) -> Response:
    """The whole answer as JSON, figures in SI."""
    desk, number = desk_of(request), number_in(request)

    def reckon() -> dict[str, Any]:
        inquiry = read_inquiry(counter.inquiry(desk.workspace, number).text, "inquiry")
        return to_json(desk.answer(number, inquiry, units_of(request)))

    return JSONResponse(await off_loop(reckon))
