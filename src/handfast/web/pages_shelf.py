"""The shelf: its four lists, a page for each record and for the price book, retire and bring back."""

from __future__ import annotations

import json
from contextlib import suppress
from dataclasses import dataclass
from typing import Any
from urllib.parse import quote

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from handfast.counter import shelving
from handfast.counter import verbs as counter
from handfast.machines.attachment import Attachment
from handfast.machines.fields import Record
from handfast.machines.price_book import PriceBook
from handfast.machines.shelf import Shelf
from handfast.machines.tractor import Machine
from handfast.machines.warnings import attachment_warnings, warnings
from handfast.outfits.class_notes import pair_notes
from handfast.outfits.outliers import outliers
from handfast.store.record_rows import RecordRow
from handfast.store.shelf_records import THE_ONE
from handfast.web.costs_out import changes_without_costs, without_costs
from handfast.web.desk import Desk, desk_of, form_of, may_here, off_loop, page, units_of
from handfast.web.pages_inquiry import when
from handfast.web.pages_machine import linkage_part
from handfast.web.record_fields import blocks
from handfast.web.record_form import labels_of
from handfast.web.record_view import events_of, groups_of
from handfast.web.shelf_lists import LISTS, Held, lists_of

SHOWN_EVENTS = 20


@dataclass(frozen=True)
class Folder:
    """One kind of records: its address, its kind, what one is called."""

    name: str
    kind: str
    noun: str

    @property
    def model(self) -> type[Record]:
        """The record's model."""
        return shelving.MODELS[self.kind]

    def at(self, key: str) -> str:
        """The address of a record's page."""
        return BOOK_AT if self.kind == THE_ONE else f"/shelf/{self.name}/{quote(key, safe='')}"


BOOK_AT = "/shelf/price-book"
FOLDERS = {
    "machines": Folder("machines", "machine", "tractor"),
    "attachments": Folder("attachments", "attachment", "attachment"),
    "parts": Folder("parts", "part", "part"),
}
BOOK = Folder("price-book", THE_ONE, "price book")


def folder_of(request: Request) -> Folder:
    """The folder in a page's address; 404 where there is none. The price book's page has none in it."""
    name = request.path_params.get("folder")
    if name is None:
        return BOOK
    if name not in FOLDERS:
        raise HTTPException(404)
    return FOLDERS[name]


def key_of(request: Request) -> str:
    """The id in a page's address."""
    return str(request.path_params.get("id", THE_ONE))


def _held(on: Shelf) -> Held:
    aside = on.set_aside
    for there, retired in ((on, False), (aside, True)):
        for records in (there.machines, there.attachments, there.parts):
            for record in records.values():
                yield record, retired


async def shelf_page(request: Request) -> Response:
    """Everything on the shelf, in its lists."""
    asked = request.query_params
    find, only, sort = (asked.get(name, "").strip()[:200] for name in ("find", "only", "sort"))
    on = await off_loop(counter.shelf, desk_of(request).workspace)
    system, currency, down = units_of(request), on.price_book.currency, asked.get("order") == "down"
    lists = await off_loop(lists_of, _held(on), system, currency, find, only, sort, down)
    titles = [(name, title) for name, title, *_ in LISTS]
    counts = (len(on.machines), len(on.attachments), len(on.parts))
    return page(request, "shelf.html", lists=lists, counts=counts, find=find, only=only, titles=titles)


async def record_page(request: Request) -> Response:
    """One record: every value, where it is used, its history; a tractor's linkage beside it."""
    folder, key, desk = folder_of(request), key_of(request), desk_of(request)
    return page(
        request,
        "record.html",
        **await off_loop(_record, desk, folder, key, units_of(request), may_here(request, "costs")),
    )


def _record(desk: Desk, folder: Folder, key: str, system: str, costs: bool) -> dict[str, Any]:
    row = shelving.record(desk.workspace, folder.kind, key)
    data, on = json.loads(row.record), counter.shelf(desk.workspace)
    record = folder.model.model_validate(data)
    labels = labels_of(blocks(folder.model, data, system, {}))
    log = shelving.history(desk.workspace, folder.kind, key)
    data, log = (data, log) if costs else (without_costs(data), changes_without_costs(log))
    events = events_of(folder.model, log)
    uses = [] if folder.kind == THE_ONE else shelving.where_used(desk.workspace, folder.kind, key)
    return {
        "folder": folder,
        "row": row,
        "here": folder.at(key),
        "title": title_of(row, data, folder),
        "notes": data.get("notes", ""),
        "groups": groups_of(folder.model, data, system, _currency(record, on)),
        "asked": _asked(record, labels, system),
        "uses": uses,
        "events": [(when(one.at), one) for one in events[:SHOWN_EVENTS]],
        "older": max(len(events) - SHOWN_EVENTS, 0),
        "linkage": linkage_part(record, system) if isinstance(record, Machine) else None,
        "is_machine": isinstance(record, Machine),
    }


def title_of(row: RecordRow, data: dict[str, Any], folder: Folder) -> str:
    """What a record is called."""
    return "Price book" if folder.kind == THE_ONE else str(data.get("name") or row.id)


def _currency(record: Record, on: Shelf) -> str:
    return record.currency if isinstance(record, PriceBook) else on.price_book.currency


def _asked(record: Record, labels: dict[str, str], system: str) -> list[str]:
    """What looks wrong in a record, each in a sentence: place, found, expected, way out."""
    if not isinstance(record, Machine | Attachment):
        return []
    if isinstance(record, Machine):
        odd = [*pair_notes(record, system), *warnings(record)]
    else:
        odd = list(attachment_warnings(record))
    for one in outliers(record, system):
        odd.append(f"{labels.get(one.place, one.place)}: {one.found}; expected {one.expected}. {one.way_out}")
    return odd


async def retire(request: Request) -> Response:
    """Take a record off the shelf, or bring it back."""
    folder, key, given = folder_of(request), key_of(request), await form_of(request)
    verb = shelving.bring_back if given.get("act") == "back" else shelving.retire_record
    with suppress(KeyError):  # somebody was quicker, or there is none: its page says which
        await off_loop(verb, desk_of(request).workspace, folder.kind, key)
    return RedirectResponse(folder.at(key), 303)
