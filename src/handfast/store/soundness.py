"""Whether a workspace is sound: its file, its rows, and the log of changes against what stands."""

from __future__ import annotations

import json
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from pydantic import ValidationError
from sqlalchemy import Connection, select

from handfast.store.shelf_records import shelf_of
from handfast.store.tables import changes, inquiries, quote_versions, shelf

QUICK = 0.5  # s that the look at opening may take
STEPS = 20_000  # of SQLite's machine between two looks at the clock


def left_open(file: Path) -> bool:
    """Whether a file was not closed by whom it was last opened: its write-ahead log still holds something."""
    try:
        return file.with_name(file.name + "-wal").stat().st_size > 0
    except OSError:
        return False


def emptied(file: Path) -> bool:
    """Whether a file is there and holds nothing at all."""
    try:
        return file.stat().st_size == 0
    except OSError:
        return False


def quick_look(connection: Connection) -> list[str]:
    """What SQLite finds wrong at a quick look; nothing where that takes longer than it may."""
    raw: Any = connection.connection.dbapi_connection
    until = time.monotonic() + QUICK
    raw.set_progress_handler(lambda: time.monotonic() > until, STEPS)
    try:
        return [str(row[0]) for row in raw.execute("PRAGMA quick_check(5)") if row[0] != "ok"]
    except raw.OperationalError as error:
        if getattr(error, "sqlite_errorname", "") != "SQLITE_INTERRUPT":
            raise
        return []
    finally:
        raw.set_progress_handler(None, 0)


def faults_in(connection: Connection) -> Iterator[str]:
    """Everything that is wrong with a workspace, a sentence each.

    Args:
        connection: of a transaction that looks.

    Returns:
        Sentences; none where it is sound.
    """
    if connection.dialect.name == "sqlite":
        for row in connection.exec_driver_sql("PRAGMA integrity_check(20)"):
            if row[0] != "ok":
                yield f"The file: {row[0]}."
        for row in connection.exec_driver_sql("PRAGMA foreign_key_check"):
            yield f"A row of {row[0]} names a row of {row[2]} that is not there."
    yield from _records(connection)
    yield from _texts(connection)
    kept = quote_versions.c
    for number, version, text in connection.execute(select(kept.quote, kept.version, kept.json)):
        if not _is_json(text):
            yield f"Quote {number}, version {version} can't be read."


def _records(connection: Connection) -> Iterator[str]:
    last = _last_said(connection, "shelf")
    for kind, key, record, retired in connection.execute(
        select(shelf.c.kind, shelf.c.id, shelf.c.record, shelf.c.retired)
    ):
        try:
            shelf_of([(kind, key, record)])
        except ValidationError:
            yield f"The record {kind} {key} can't be read."
            continue
        before, after = last.get(f"{kind}/{key}", (None, None))
        if (before if retired else after) not in (None, record):
            yield f"The record {kind} {key} is not what the log of changes says last."


def _texts(connection: Connection) -> Iterator[str]:
    last = _last_said(connection, "inquiries")
    for number, text in connection.execute(select(inquiries.c.number, inquiries.c.text)):
        after = last.get(str(number), (None, None))[1]
        if after != text:
            yield f"Inquiry {number} is not what the log of changes says last."


def _last_said(connection: Connection, table: str) -> dict[str, tuple[str | None, str | None]]:
    """Before and after of each row's newest change; where an inquiry stands is not its text."""
    asked = select(changes.c.key, changes.c.before, changes.c.after).where(changes.c.table_name == table)
    said = {}
    for key, before, after in connection.execute(asked.order_by(changes.c.number)):
        if not (table == "inquiries" and (after or "").startswith("state: ")):
            said[key] = (before, after)
    return said


def _is_json(text: str) -> bool:
    try:
        json.loads(text)
    except ValueError:
        return False
    return True
