"""The shelf as rows of JSON and back. Without SQLAlchemy, so that the terminal sees a workspace's shelf at once."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterable, Iterator
from pathlib import Path

from handfast.machines.attachment import Attachment
from handfast.machines.fields import Record
from handfast.machines.part import Part
from handfast.machines.price_book import PriceBook
from handfast.machines.shelf import Shelf
from handfast.machines.tractor import Machine

FILE = "handfast.sqlite"
ON_THE_SHELF = "SELECT kind, id, record FROM shelf WHERE retired = 0 ORDER BY place"
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
            machines[key] = Machine.model_validate_json(record)
        elif kind == "attachment":
            attachments[key] = Attachment.model_validate_json(record)
        elif kind == "part":
            parts[key] = Part.model_validate_json(record)
        else:
            price_book = PriceBook.model_validate_json(record)
    return Shelf(machines=machines, attachments=attachments, parts=parts, price_book=price_book)


def peek_shelf(home: Path) -> Shelf | None:
    """The shelf of the workspace in `home`, only looked at; None where there is no workspace or its shelf is bare."""
    file = home / FILE
    if not file.is_file():
        return None
    connection = sqlite3.connect(f"{file.resolve().as_uri()}?mode=ro", uri=True, timeout=30.0)
    try:
        rows = connection.execute(ON_THE_SHELF).fetchall()
    except sqlite3.OperationalError:  # a workspace that was begun and holds no tables yet
        return None
    finally:
        connection.close()
    return shelf_of(rows) if rows else None
