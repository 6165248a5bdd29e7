"""The shelf as rows of JSON and back. Without SQLAlchemy, so that the terminal sees a workspace's shelf at once."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterable, Iterator
from functools import lru_cache
from pathlib import Path
from typing import Any, TypeVar

from handfast.machines.as_built import AsBuilt, Lesson
from handfast.machines.attachment import Attachment
from handfast.machines.fields import Record
from handfast.machines.part import Part
from handfast.machines.price_book import PriceBook
from handfast.machines.shelf import SetAside, Shelf
from handfast.machines.tractor import Machine
from handfast.store.address import address_given, not_reached, psycopg_module

FILE = "handfast.sqlite"
ON_THE_SHELF = "SELECT kind, id, record FROM shelf WHERE retired = 0 ORDER BY place"
RETIRED = "SELECT kind, id, record FROM shelf WHERE retired = 1 ORDER BY place"
BUILT = (  # the newest of each machine and kit, newest first
    "SELECT record FROM as_built WHERE number IN "
    "(SELECT max(number) FROM as_built GROUP BY machine, attachment, route) ORDER BY number DESC"
)
LEARNT = "SELECT record FROM lessons ORDER BY number DESC"
READ_ONCE = 30_000  # records that stay at hand as they were read
R = TypeVar("R", bound=Record)
THE_ONE = "price_book"  # kind and id of the row that there is once


def record_json(record: Record) -> str:
    """A record as its row holds it: what it says, and nothing that its model says by itself."""
    return json.dumps(record.plain(), ensure_ascii=False, allow_nan=False)


def rows_of(shelf: Shelf) -> Iterator[tuple[str, str, str]]:
    """Kind, id and JSON of everything on a shelf."""
    folders: dict[str, Iterable[tuple[str, Record]]] = {
        "machine": shelf.machines.items(),
        "attachment": shelf.attachments.items(),
        "part": shelf.parts.items(),
        THE_ONE: [(THE_ONE, shelf.price_book)],
    }
    for kind, records in folders.items():
        for key, record in records:
            yield kind, key, record_json(record)


def shelf_of(rows: Iterable[tuple[str, str, str]]) -> Shelf:
    """The shelf that these rows are; each record is read by its own model."""
    machines: dict[str, Machine] = {}
    attachments: dict[str, Attachment] = {}
    parts: dict[str, Part] = {}
    price_book = PriceBook()
    for kind, key, record in rows:
        if kind == "machine":
            machines[key] = _read(Machine, record)
        elif kind == "attachment":
            attachments[key] = _read(Attachment, record)
        elif kind == "part":
            parts[key] = _read(Part, record)
        else:
            price_book = _read(PriceBook, record)
    return Shelf(machines=machines, attachments=attachments, parts=parts, price_book=price_book)


@lru_cache(maxsize=READ_ONCE)
def _read(model: type[R], record: str) -> R:
    """A record from its JSON; frozen, so that the same text is read once however often another record changes."""
    return model.model_validate_json(record)


def with_learnt(shelf: Shelf, built: Iterable[str], lessons: Iterable[str]) -> Shelf:
    """The shelf with what was learnt after the sale, from the JSON of both kinds of rows, newest first."""
    as_built = tuple(AsBuilt.model_validate_json(record) for record in built)
    return shelf.model_copy(
        update={"as_built": as_built, "lessons": tuple(Lesson.model_validate_json(record) for record in lessons)}
    )


def with_set_aside(shelf: Shelf, rows: Iterable[tuple[str, str, str]]) -> Shelf:
    """The shelf with what was retired from it, from its rows."""
    aside = shelf_of(rows)
    kept = SetAside(machines=aside.machines, attachments=aside.attachments, parts=aside.parts)
    return shelf.model_copy(update={"set_aside": kept})


def peek_shelf(home: Path) -> Shelf | None:
    """The shelf of the workspace in `home`, only looked at; None where there is no workspace or its shelf is bare."""
    address = address_given()
    if address:
        return _peeked(address)
    file = home / FILE
    if not file.is_file():
        return None
    connection = sqlite3.connect(f"{file.resolve().as_uri()}?mode=ro", uri=True, timeout=30.0)
    try:
        return _shelf_in(connection, sqlite3.OperationalError)
    finally:
        connection.close()


def _peeked(address: str) -> Shelf | None:
    """The shelf of a workspace on PostgreSQL."""
    psycopg: Any = psycopg_module()
    try:
        with psycopg.connect(address, autocommit=True, connect_timeout=10, client_encoding="utf8") as connection:
            return _shelf_in(connection, psycopg.errors.UndefinedTable)
    except psycopg.Error as error:
        raise not_reached(address, error) from error


def _shelf_in(connection: Any, no_table: type[Exception]) -> Shelf | None:
    """What a connection shows; a workspace that was begun, or is older than one of the tables, has no such rows."""

    def rows(asked: str) -> list[Any]:
        try:
            return list(connection.execute(asked).fetchall())
        except no_table:
            return []

    found, retired = rows(ON_THE_SHELF), rows(RETIRED)
    built, lessons = ([record for (record,) in rows(asked)] for asked in (BUILT, LEARNT))
    return with_set_aside(with_learnt(shelf_of(found), built, lessons), retired) if found else None
