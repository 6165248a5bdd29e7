"""The verbs of the API on the shelf's records and the price book: list, read, add, change, retire, bring back."""

from __future__ import annotations

import json
from dataclasses import asdict
from functools import partial
from typing import Any

from handfast.counter import shelving
from handfast.machines.faults import Fault, Faults
from handfast.machines.fields import Record
from handfast.store.record_rows import RecordRow
from handfast.store.shelf_records import THE_ONE
from handfast.web.api_body import FILE, JSON, TOML
from handfast.web.api_inquiries import changes_told
from handfast.web.api_problem import Problem, of_stale
from handfast.web.api_verb import VERSION, Answer, Given, Param, Verb
from handfast.web.costs_out import changes_without_costs, costs_kept, without_costs
from handfast.web.pages_record import ID, TAKEN, slug
from handfast.web.pages_shelf import BOOK, FOLDERS, Folder

BOTH = (JSON, TOML)
BOOK_AT = "/api/shelf/price-book"
SHELF = "Shelf"


def key_of(folder: Folder, given: Given) -> str:
    """The id in an address."""
    return THE_ONE if folder.kind == THE_ONE else str(given["id"])


def told(folder: Folder, given: Given, key: str) -> dict[str, Any]:
    """A record as it rests."""
    row = shelving.record(given.workspace, folder.kind, key)
    record = json.loads(row.record)
    return {**asdict(row), "record": record if given.costs else without_costs(record)}


def _list(folder: Folder, given: Given) -> Any:
    rows = [row for row in shelving.all_records(given.workspace) if row[0] == folder.kind]
    made = [
        {"id": key, "name": str(json.loads(text).get("name", "")), "retired": retired} for _, key, text, retired in rows
    ]
    return {"records": made, "count": len(made)}


def _read(folder: Folder, given: Given) -> Any:
    return told(folder, given, key_of(folder, given))


def _add(folder: Folder, given: Given) -> Any:
    record: Any = given.record
    key = record.id or slug(record.name)
    if not ID.fullmatch(key) or key in TAKEN:
        expected = "an id of letters, digits, points and dashes, or a name to make one from"
        raise _placed(given, Faults([Fault(FILE, 0, "id", f'"{key[:60]}"' if key else "nothing", expected)]))
    record = record if given.costs else costs_kept(record, {})
    try:
        shelving.add_record(given.workspace, folder.kind, key, record.model_copy(update={"id": key}))
    except Faults as error:
        raise _placed(given, error) from None
    return Answer(told(folder, given, key), {"location": f"/api/shelf/{folder.name}/{key}"})


def _placed(given: Given, error: Faults) -> Faults:
    assert given.body is not None
    return given.body.placed(error)


def _change(folder: Folder, given: Given) -> Any:
    key, record = key_of(folder, given), given.record
    if folder.kind != THE_ONE:
        if record.id not in ("", key):
            raise _placed(given, Faults([Fault(FILE, 0, "id", f'"{record.id[:60]}"', f'"{key}", or none at all')]))
        record = record.model_copy(update={"id": key})
    if not given.costs:
        record = costs_kept(record, json.loads(shelving.record(given.workspace, folder.kind, key).record))
    try:
        shelving.change_record(given.workspace, folder.kind, key, record, given["version"])
    except shelving.StaleError as stale:
        raise _stale(given, stale.now, record) from None
    return told(folder, given, key)


def _stale(given: Given, now: RecordRow, mine: Record | None) -> Problem:
    before = shelving.record_then(given.workspace, now.kind, now.id, given["version"])
    told = [json.loads(before) if before else {}, json.loads(now.record), mine.plain() if mine is not None else {}]
    was, is_now, yours = told if given.costs else map(without_costs, told)
    return of_stale(now.version, was, is_now, yours)


def _retire(folder: Folder, given: Given) -> Any:
    return _moved(folder, given, retire=True)


def _bring_back(folder: Folder, given: Given) -> Any:
    return _moved(folder, given, retire=False)


def _moved(folder: Folder, given: Given, retire: bool) -> Any:
    key = key_of(folder, given)
    row = shelving.record(given.workspace, folder.kind, key)
    act = shelving.retire_record if retire else shelving.bring_back
    try:
        act(given.workspace, folder.kind, key, given["version"])
    except shelving.StaleError as stale:
        raise _stale(given, stale.now, None) from None
    except KeyError:
        raise Problem("not-now", "It is retired already." if row.retired else "It is on the shelf.") from None
    return told(folder, given, key)


def _history(folder: Folder, given: Given) -> Any:
    key = key_of(folder, given)
    shelving.record(given.workspace, folder.kind, key)
    log = shelving.history(given.workspace, folder.kind, key)
    return changes_told(log if given.costs else changes_without_costs(log))


def _used(folder: Folder, given: Given) -> Any:
    key = key_of(folder, given)
    shelving.record(given.workspace, folder.kind, key)
    return {"uses": [asdict(one) for one in shelving.where_used(given.workspace, folder.kind, key)]}


def _of(folder: Folder, example: dict[str, Any], text: str, known: str) -> list[Verb]:
    """The verbs on one folder."""
    at, noun, do = f"/api/shelf/{folder.name}", folder.noun, partial
    one = Param("id", f"Id of the {noun}.", in_path=True, needed=True, example=known)
    body: dict[str, Any] = {"takes": folder.model, "media": BOTH, "example": example, "example_text": text}
    an = "an" if noun[0] in "aeiou" else "a"
    return [
        Verb("GET", at, f"list_{folder.name}", SHELF, f"Lists every {noun}, retired ones too.", "read",
             do(_list, folder), "RecordList"),
        Verb("POST", at, f"add_{folder.kind}", SHELF, f"Puts {an} {noun} on the shelf.", "shelf", do(_add, folder),
             "RecordTold", status=201, **body),
        Verb("GET", at + "/{id}", f"read_{folder.kind}", SHELF, f"Reads {an} {noun}, with its version.", "read",
             do(_read, folder), "RecordTold", (one,)),
        Verb("PUT", at + "/{id}", f"change_{folder.kind}", SHELF, f"Replaces {an} {noun} that was seen at a version.",
             "shelf", do(_change, folder), "RecordTold", (one, VERSION), refusals=(409,), **body),
        Verb("DELETE", at + "/{id}", f"retire_{folder.kind}", SHELF,
             f"Takes {an} {noun} off the shelf; it stays readable.",
             "shelf", do(_retire, folder), "RecordTold", (one, VERSION), refusals=(409,)),
        Verb("POST", at + "/{id}/back", f"bring_back_{folder.kind}", SHELF,
             f"Puts a retired {noun} on the shelf again.",
             "shelf", do(_bring_back, folder), "RecordTold", (one, VERSION), refusals=(409,)),
        Verb("GET", at + "/{id}/history", f"{folder.kind}_history", SHELF,
             f"Tells every change of {an} {noun}.", "read",
             do(_history, folder), "ChangeList", (one,)),
        Verb("GET", at + "/{id}/used", f"{folder.kind}_used", SHELF, f"Tells what names {an} {noun}.", "read",
             do(_used, folder), "UseList", (one,)),
    ]  # fmt: skip


def verbs(examples: dict[str, tuple[dict[str, Any], str, str]]) -> list[Verb]:
    """The verbs on the shelf and the price book; examples by folder: data, TOML text, a known id."""
    data, text, _ = examples[BOOK.name]
    body: dict[str, Any] = {"takes": BOOK.model, "media": BOTH, "example": data, "example_text": text}
    book = "Price book"
    return [
        Verb("GET", BOOK_AT, "read_price_book", book, "Reads the price book, with its version.", "costs",
             partial(_read, BOOK), "RecordTold"),
        Verb("PUT", BOOK_AT, "change_price_book", book, "Replaces the price book that was seen at a version.", "prices",
             partial(_change, BOOK), "RecordTold", (VERSION,), refusals=(409,), **body),
        Verb("GET", BOOK_AT + "/history", "price_book_history", book, "Tells every change of the price book.", "costs",
             partial(_history, BOOK), "ChangeList"),
        *(verb for name, folder in FOLDERS.items() for verb in _of(folder, *examples[name])),
    ]  # fmt: skip
