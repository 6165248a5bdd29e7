"""Settings: what the house sets for everybody, how this browser looks, and the words of the trade."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from handfast.counter import house, people, shelving
from handfast.language.phrasebook import LANGUAGES
from handfast.machines.faults import Fault, Faults
from handfast.machines.fields import Record
from handfast.machines.price_book import PriceBook
from handfast.machines.reading import read_data
from handfast.machines.settings import ACCEPTED, DECLINED, Settings
from handfast.store.shelf_records import THE_ONE
from handfast.web.desk import INKS, UNITS, Desk, desk_of, form_of, off_loop, page, units_of
from handfast.web.glossary import GROUPS, entries_by_group
from handfast.web.pages_inquiry import when
from handfast.web.pages_record import ORIGINS_SAID
from handfast.web.record_fields import Block
from handfast.web.record_form import HOW, Form, cleaned, data_from, form_of_record, with_faults
from handfast.web.record_view import events_of

BOOK = "book:"  # before the names of the price book's fields
TERMS = ("currency", "valid_days", "labour_rate", "field_rate", "tax", "discount", "deposit", "restocking")
FIELDS = 200
CHOICES = (("units", UNITS), ("ink", INKS), ("keys", ("on", "off")), ("lang", tuple(LANGUAGES)))


async def settings_page(request: Request) -> Response:
    """What the house sets."""
    return await off_loop(_page, request, desk_of(request))


def _page(request: Request, desk: Desk, forms: tuple[Form, Form] | None = None, status: int = 200) -> Response:
    version, now = house.settings_and_version(desk.workspace)
    book, system = shelving.record(desk.workspace, THE_ONE, THE_ONE), units_of(request)
    given = forms is not None
    if forms is None:
        forms = _form(Settings, now.plain(), system), _terms(_form(PriceBook, json.loads(book.record), system))
    events = events_of(Settings, house.settings_history(desk.workspace))
    return page(
        request, "settings.html", status, house=forms[0], terms=forms[1], version=version, origins=ORIGINS_SAID,
        book_version=book.version, system=system, events=[(when(one.at), one) for one in events[:20]],
        older=max(len(events) - 20, 0), stale=status == 409, count=forms[0].count + forms[1].count if given else 0,
        rest=[*forms[0].rest, *forms[1].rest], plain=(ACCEPTED, DECLINED),
    )  # fmt: skip


def _form(model: type[Settings] | type[PriceBook], data: Mapping[str, Any], system: str) -> Form:
    return form_of_record(model, data, system, "stated")


def _terms(form: Form) -> Form:
    """Of the price book's form only what is set here."""
    slots = {slot.place: slot for block in form.blocks for slot in block.slots if slot.place in TERMS}
    own = Block("Labour, tax and terms", tuple(slots[place] for place in TERMS))
    return Form([own], form.values, form.faults, form.rest)


async def take(request: Request) -> Response:
    """Keep the settings, or show what is wrong with them, all at once."""
    desk, given = desk_of(request), await form_of(request, FIELDS)
    return await off_loop(_taken, request, desk, given)


def _taken(request: Request, desk: Desk, given: Mapping[str, str]) -> Response:
    system = given["units:"] if given.get("units:") in UNITS else "us"
    book = shelving.record(desk.workspace, THE_ONE, THE_ONE)
    fields = cleaned({name: text for name, text in given.items() if not name.startswith(BOOK)})
    told = cleaned({name.removeprefix(BOOK): text for name, text in given.items() if name.startswith(BOOK)})
    told = {name: text for name, text in told.items() if name.removeprefix(HOW) in TERMS}
    now = json.loads(book.record)
    whole = {**_form(PriceBook, now, system).values, **told}
    faults: list[list[Fault]] = [[], []]
    made: list[Any] = [None, None]
    asked: tuple[tuple[type[Record], dict[str, Any]], ...] = (
        (Settings, data_from(Settings, fields, house.settings(desk.workspace).plain(), system, "stated")),
        (PriceBook, data_from(PriceBook, cleaned(whole), now, system, "stated")),
    )
    for place, (model, data) in enumerate(asked):
        try:
            made[place] = read_data(model, data)
        except Faults as error:
            faults[place] = error.faults
    if made[0] is not None and made[0].login_here and not people.has_owner(desk.workspace):
        expected = "an owner who can log in: add one under People first"
        faults[0] = [Fault("settings", 0, "login_here", "nobody to log in as", expected)]
    forms = _again(Settings, fields, system, faults[0]), _terms(_again(PriceBook, whole, system, faults[1]))
    if any(faults):
        return _page(request, desk, forms, 422)
    versions = [int(given.get(name, "")) if given.get(name, "").isdecimal() else -1 for name in ("version", "book")]
    try:
        house.change_settings(desk.workspace, made[0], versions[0], made[1], versions[1])
    except house.StaleSettingsError:
        return _page(request, desk, forms, 409)
    return RedirectResponse("/settings", 303)


def _again(model: type[Settings] | type[PriceBook], given: Mapping[str, str], system: str, faults: list[Fault]) -> Form:
    """A form as it was sent, with its faults."""
    empty = _form(model, {}, system)
    return with_faults(Form(empty.blocks, {**empty.values, **given}), faults)


async def look(request: Request) -> Response:
    """Units, language, ink and bare keys of this browser."""
    given = await form_of(request)
    back = given.get("back", "/")
    if not back.startswith("/") or back.startswith(("//", "/\\")) or any(c < " " for c in back):
        back = "/"
    response = RedirectResponse(back, 303)
    for name, allowed in CHOICES:
        if given.get(name) in allowed:
            response.set_cookie(name, given[name], max_age=31_536_000, samesite="lax", path="/", httponly=True)
    return response


async def glossary_page(request: Request) -> Response:
    """The words of the trade in plain words."""
    return page(request, "glossary.html", groups=GROUPS, by_group=entries_by_group())
