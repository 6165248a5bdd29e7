"""The list of inquiries, and the form by which one is taken or changed."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from handfast.counter import calls, finding
from handfast.counter import verbs as counter
from handfast.counter.seen import inquiry_seen
from handfast.counter.verbs import Workspace
from handfast.machines.faults import Faults
from handfast.machines.reading import read_inquiry
from handfast.machines.shelf import Shelf
from handfast.physics.wood import species_names
from handfast.store.call_rows import PromiseRow
from handfast.store.inquiry_rows import InquiryRow
from handfast.store.tables import STATES
from handfast.web.both_wrote import THEIRS, BothWroteError, keep_seen, own_changes, text_seen, version_in
from handfast.web.desk import Desk, desk_of, form_of, number_in, off_loop, page, units_of
from handfast.web.fields import QUICK_ATTACH, groups
from handfast.web.form import at_fields, checked, data_of, text_of_form, values_of, work_lines
from handfast.web.promised import promised
from handfast.web.told import headline
from handfast.web.words import FirstAnswer, first_answer

SAID_MOST = 220  # characters of the caller's words in the list


@dataclass(frozen=True)
class Listed:
    """One inquiry of the list."""

    row: InquiryRow
    said: str
    place: str
    when: str
    answer: FirstAnswer | None
    called: str
    waits: str
    overdue: bool


def when(stamp: str) -> str:
    """A time as the counter reads it.

    >>> when("2026-03-05T09:07:00.000+00:00")
    '5 Mar 2026, 09:07 UTC'
    """
    at = datetime.fromisoformat(stamp)
    return f"{at.day} {at:%b %Y, %H:%M} UTC"


def _said(text: str) -> str:
    try:
        said = tomllib.loads(text).get("said", "")
    except tomllib.TOMLDecodeError:
        return ""
    said = " ".join(str(said).split())
    return said if len(said) <= SAID_MOST else said[:SAID_MOST].rsplit(" ", 1)[0] + " …"


WAITS = {
    "asked": "the caller waits for our answer",
    "quoted": "we wait for the caller's yes or no",
    "waiting on caller": "we wait for the caller",
    "ordered": "the caller waits for the parts",
    "fitted": "nobody waits",
    "closed": "nobody waits",
}


def _waits(row: InquiryRow, open_ones: list[PromiseRow], on_hold: bool) -> str:
    """Who waits for whom: what was promised first says it, else the state."""
    if on_hold:
        return "the caller waits on the telephone"
    if not open_ones:
        return WAITS[row.state]
    first = open_ones[0]
    waiting = "we wait for the caller" if first.who == "the caller" else f"the caller waits for {_us(first.who)}"
    return f"{waiting}: {first.what}"


def _us(who: str) -> str:
    return "us" if who == "we" else who


def _listed(desk: Desk, system: str, find: str, state: str) -> tuple[list[Listed], dict[str, int]]:
    """The inquiries that are shown, and how many there are in each state."""
    workspace, now = desk.workspace, datetime.now()
    shelf = counter.shelf(workspace)
    rows, wanted = counter.inquiries(workspace), set(finding.find(workspace, find)) if find else None
    kept = [one for one in calls.promises(workspace) if one.done is None]
    held = {one.row.number for one in calls.open_calls(workspace) if one.call.state == "on hold"}
    found = []
    for row in rows:
        if (wanted is not None and row.number not in wanted) or (state and row.state != state):
            continue
        own = [one for one in kept if one.inquiry == row.number]
        answer = _at_hand(workspace, row, system)
        called = headline(row.title, row.text, shelf)
        late = any(one.overdue for one in promised(own, now))
        waits = _waits(row, own, row.number in held)
        found.append(Listed(row, _said(row.text), row.place, when(row.updated), answer, called, waits, late))
    found.sort(key=lambda one: not one.overdue)
    return found, {name: sum(row.state == name for row in rows) for name in STATES}


def _at_hand(workspace: Workspace, row: InquiryRow, system: str) -> FirstAnswer | None:
    try:
        seed = read_inquiry(row.text, "inquiry").seed
        advice = counter.answer_at_hand(workspace, row.number, seed, system)
    except Faults:
        return None
    return first_answer(advice) if advice is not None else None


async def inquiries_page(request: Request) -> Response:
    """Every inquiry: what is promised first, the caller's words, the first answer, where it stands, who waits."""
    desk = desk_of(request)
    find = request.query_params.get("find", "").strip()[:200]
    state = request.query_params.get("state", "")
    state = state if state in STATES else ""
    rows, counts = await off_loop(_listed, desk, units_of(request), find, state)
    open_ones = [one for one in await off_loop(calls.promises, desk.workspace) if one.done is None]
    due = promised(open_ones, datetime.now())
    return page(request, "inquiries.html", rows=rows, find=find, state=state, counts=counts, due=due)


async def first_answer_part(request: Request) -> Response:
    """The first answer of one inquiry of the list, reckoned when the list is shown."""
    desk, number = desk_of(request), number_in(request)

    def reckon() -> FirstAnswer | None:
        inquiry = read_inquiry(counter.inquiry(desk.workspace, number).text, "inquiry")
        return first_answer(desk.answer(number, inquiry, units_of(request)))

    try:
        answer = await off_loop(reckon)
    except Faults:
        answer = None
    return page(request, "first_answer.html", answer=answer, number=number)


def lists_of(shelf: Shelf) -> dict[str, list[tuple[str, str]]]:
    """What helps typing: names on the shelf, towns, species."""
    own = sorted({m.quick_attach for m in shelf.machines.values() if m.quick_attach} - {k for k, _ in QUICK_ATTACH})
    return {
        "machines": [(m.name or key, "") for key, m in shelf.machines.items()],
        "attachments": [(a.name or key, "") for key, a in shelf.attachments.items()],
        "towns": [(town.name, f"zone {town.zone}") for town in shelf.price_book.town],
        "species": [(name, "") for name in species_names()],
        "interfaces": [*QUICK_ATTACH, *((key, key.replace("_", " ")) for key in own)],
    }


async def _form_page(request: Request, number: int | None, base: str, as_text: bool, **given: Any) -> Response:
    desk = desk_of(request)
    shelf = await off_loop(counter.shelf, desk.workspace)
    data = given.pop("data", None)
    if data is None:
        data = data_of(base) if base else {}
    lines = work_lines(data)
    context = {
        "groups": groups(lines),
        "values": values_of(data, shelf),
        "lists": lists_of(shelf),
        "faults": {},
        "rest": [],
        "text": base,
        "version": 0,
        "wrote": [],
        "status": 200,
        **given,
    }
    status = context.pop("status")
    return page(request, "form.html", status, number=number, as_text=as_text, **context)


async def new_page(request: Request) -> Response:
    """The empty form."""
    return await _form_page(request, None, "", request.query_params.get("as") == "text")


async def edit_page(request: Request) -> Response:
    """The form filled in with an inquiry."""
    number = number_in(request)
    version, row = await off_loop(inquiry_seen, desk_of(request).workspace, number)
    return await _form_page(request, number, row.text, request.query_params.get("as") == "text", version=version)


async def take(request: Request) -> Response:
    """Take a new inquiry, or the changes to one; a form with faults is shown again and nothing is stored."""
    number = number_in(request) if "number" in request.path_params else None
    desk, given = desk_of(request), await form_of(request)
    as_text = "toml" in given
    version, base = 0, ""
    if number is not None:
        version, base = await off_loop(text_seen, desk.workspace, number, version_in(given))
    shelf = await off_loop(counter.shelf, desk.workspace)
    given = {place: text for place, text in given.items() if not given.get(THEIRS + place)}
    text = given["toml"].replace("\r\n", "\n").removeprefix("\ufeff") if as_text else text_of_form(base, given, shelf)
    try:
        if not text.strip():
            text = ""
        await off_loop(checked, text, shelf)
        kept = await off_loop(_keep, desk.workspace, number, text, version)
    except Faults as faults:
        return await _refused(request, number, text, as_text, faults, given, shelf, version)
    except BothWroteError as both:
        own = own_changes(base, given, shelf)
        return await _both(request, number, text if as_text else None, both, own, shelf)
    return RedirectResponse(f"/inquiries/{kept}", 303)


async def _both(
    request: Request, number: int | None, text: str | None, both: BothWroteError, given: Mapping[str, str], shelf: Shelf
) -> Response:
    """The form once more, over what somebody else has stored: theirs where only they wrote, yours where you did."""
    told = {"version": both.version, "wrote": both.wrote, "status": 409}
    if text is not None:
        return await _form_page(request, number, text, True, data={}, **told)
    return await _form_page(request, number, text_of_form(both.now, given, shelf), False, **told)


def _keep(workspace: Workspace, number: int | None, text: str, version: int) -> int:
    if number is None:
        return counter.new_inquiry(workspace, text, "inquiry")
    keep_seen(workspace, number, text, version)
    return number


async def _refused(
    request: Request,
    number: int | None,
    text: str,
    as_text: bool,
    faults: Faults,
    given: Mapping[str, str],
    shelf: Shelf,
    version: int,
) -> Response:
    if as_text:
        return await _form_page(
            request, number, text, True, data={}, rest=faults.faults, status=422, version=version
        )  # fmt: skip
    data = data_of(text)
    places = {field.place for group in groups(work_lines(data)) for field in group.fields}
    by_place, rest = at_fields(faults.faults, places)
    values = {**values_of(data, shelf), **{place: value for place, value in given.items() if place in places}}
    return await _form_page(
        request, number, text, False, data=data, faults=by_place, rest=rest, values=values, status=422, version=version
    )  # fmt: skip
