"""The call sheet: the facts on one side, the answer on the other."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import isfinite
from typing import Any

from markupsafe import Markup
from starlette.requests import Request
from starlette.responses import JSONResponse, RedirectResponse, Response

from handfast.advice.as_json import to_json
from handfast.advice.best_of import best_of
from handfast.advice.result import Advice, Fact, Rejected
from handfast.counter import verbs as counter
from handfast.machines.faults import Fault, Faults
from handfast.machines.inquiry import Inquiry
from handfast.machines.reading import read_inquiry
from handfast.machines.shelf import Shelf
from handfast.quantities.money import show_money
from handfast.quantities.showing import show
from handfast.store.tables import STATES
from handfast.web.asking import asked, fields_of_fact
from handfast.web.desk import Desk, desk_of, form_of, is_part, number_in, off_loop, page, units_of
from handfast.web.drawn import scene, small_side
from handfast.web.fields import Field
from handfast.web.form import at_fields, checked, data_of, shown, text_of_form
from handfast.web.measuring import measuring
from handfast.web.pages_inquiry import lists_of, when
from handfast.web.typed import typed_facts
from handfast.web.words import LINES, counted_facts, outfit_name, outfit_rows

SHOWN = 6  # outfits before the fold


@dataclass(frozen=True)
class FactRow:
    """A fact with the fields that change it."""

    fact: Fact
    line: str
    asked: bool
    fields: tuple[tuple[Field, str], ...]

    @property
    def id(self) -> str:
        """The element's id."""
        return "fact-" + self.fact.path.replace(".", "-")


@dataclass(frozen=True)
class Refusal:
    """Facts that were not taken: what was typed, and what is wrong with it."""

    given: Mapping[str, str]
    faults: Mapping[str, list[str]]
    rest: list[Fault]


NO_REFUSAL = Refusal({}, {}, [])


def _fact_rows(advice: Advice, data: Mapping[str, Any], shelf: Shelf) -> list[FactRow]:
    first = advice.ask_next[0].fact if advice.ask_next else ""
    rows = []
    for fact in advice.facts:
        fields = tuple((field, shown(data, field, shelf)) for field in fields_of_fact(fact.path))
        name = fact.path.removeprefix("machine.")
        rows.append(FactRow(fact, LINES[fact.certainty], bool(first) and first.startswith(name), fields))
    return rows


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


def call_context(desk: Desk, number: int, system: str, refusal: Refusal = NO_REFUSAL) -> dict[str, Any]:
    """Everything that the call sheet shows."""
    row = counter.inquiry(desk.workspace, number)
    shelf = counter.shelf(desk.workspace)
    inquiry = read_inquiry(row.text, "inquiry")
    advice = desk.answer(number, inquiry, system)
    data = data_of(row.text)
    best = advice.outfits[0] if advice.outfits else None
    height, load, budget = _needs(advice, inquiry, system)
    return {
        "row": row,
        "advice": advice,
        "inquiry": inquiry,
        "facts": _fact_rows(advice, data, shelf),
        "ask": asked(advice.ask_next[0], inquiry) if advice.ask_next else None,
        "later": advice.ask_next[1:],
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
        "quotes": counter.quotes(desk.workspace, number),
        "refusal": refusal,
        "measuring": measuring(advice, inquiry, system),
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
    """The call sheet of an inquiry."""
    desk, number = desk_of(request), number_in(request)
    try:
        context = await off_loop(call_context, desk, number, units_of(request))
    except Faults as faults:
        row = await off_loop(counter.inquiry, desk.workspace, number)
        return page(request, "contradicted.html", 422, row=row, faults=faults.faults)
    return page(request, "call.html", **context)


async def change_facts(request: Request) -> Response:
    """Take facts that were answered, typed or changed; the sheet answers again."""
    desk, number, given = desk_of(request), number_in(request), dict(await form_of(request))
    line = given.pop("line", "")
    try:
        given |= typed_facts(line) if line.strip() else {}
        await off_loop(_store_facts, desk, number, given)
        context = await off_loop(call_context, desk, number, units_of(request))
    except Faults as faults:
        by_place, rest = at_fields(faults.faults, {*given, "line"})
        context = await off_loop(
            call_context, desk, number, units_of(request), Refusal({**given, "line": line}, by_place, rest)
        )
        return page(request, "call_sheet.html" if is_part(request) else "call.html", 422, **context)
    if is_part(request):
        return page(request, "call_sheet.html", **context)
    return RedirectResponse(f"/inquiries/{number}", 303)


def _store_facts(desk: Desk, number: int, given: Mapping[str, str]) -> None:
    shelf = counter.shelf(desk.workspace)
    before = counter.inquiry(desk.workspace, number).text
    text = text_of_form(before, given, shelf)
    if text != before:
        checked(text, shelf)
        counter.change_inquiry(desk.workspace, number, text, "inquiry")


async def change_state(request: Request) -> Response:
    """Move an inquiry on: asked, quoted, waiting on caller, ordered, fitted, closed."""
    desk, number, given = desk_of(request), number_in(request), await form_of(request)
    state = given.get("state", "")
    if state not in STATES:
        return page(request, "error.html", 422, title="Not moved", said=f"An inquiry is one of {', '.join(STATES)}.")
    await off_loop(counter.change_state, desk.workspace, number, state)
    return RedirectResponse(f"/inquiries/{number}", 303)


async def call_json(request: Request) -> Response:
    """The whole answer as JSON, figures in SI."""
    desk, number = desk_of(request), number_in(request)

    def reckon() -> dict[str, Any]:
        inquiry = read_inquiry(counter.inquiry(desk.workspace, number).text, "inquiry")
        return to_json(desk.answer(number, inquiry, units_of(request)))

    return JSONResponse(await off_loop(reckon))
