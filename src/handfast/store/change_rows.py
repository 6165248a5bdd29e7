"""What changed: who, when, in which table, from what to what. Written by the row modules in the same transaction."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime

from sqlalchemy import Connection, func, insert, select

from handfast.store.tables import changes


@dataclass(frozen=True)
class Change:
    """One entry of the log."""

    number: int
    at: str
    who: str
    table: str
    key: str
    before: str | None
    after: str | None
    step: str | None = None


def now() -> str:
    """The time in UTC, as the rows hold it."""
    return datetime.now(UTC).isoformat(timespec="milliseconds")


def note_change(
    connection: Connection,
    who: str,
    table: str,
    key: str,
    before: str | None,
    after: str | None,
    step: str | None = None,
) -> None:
    """Add an entry to the log; `step` says where it was an undo or a redo."""
    row = {"at": now(), "who": who, "table_name": table, "key": key, "before": before, "after": after, "step": step}
    connection.execute(insert(changes).values(row))


def note_changes(
    connection: Connection, who: str, table: str, entries: Sequence[tuple[str, str | None, str | None]]
) -> None:
    """Add many entries about one table: key, before, after."""
    at = now()
    rows = [{"at": at, "who": who, "table_name": table, "key": k, "before": b, "after": a} for k, b, a in entries]
    if rows:
        connection.execute(insert(changes), rows)


def newest_change(connection: Connection, table: str | None = None) -> int:
    """The number of the newest entry, of one table or of all, 0 when there is none: a stamp of the content."""
    newest = select(func.max(changes.c.number))
    return int(connection.scalar(newest if table is None else newest.where(changes.c.table_name == table)) or 0)


def changes_of(connection: Connection, table: str, key: str) -> list[Change]:
    """The log of one row, oldest first."""
    asked = select(changes).where(changes.c.table_name == table, changes.c.key == key).order_by(changes.c.number)
    return [Change(*row) for row in connection.execute(asked)]


def keys_since(connection: Connection, table: str, number: int) -> list[str]:
    """The rows of a table that were written after an entry of the log, each once."""
    asked = select(changes.c.key).where(changes.c.table_name == table, changes.c.number > number).distinct()
    return [str(key) for (key,) in connection.execute(asked)]


def states_noted(connection: Connection) -> list[tuple[str, str, str]]:
    """Every state that a row was moved to: its table, its key, the state."""
    asked = select(changes.c.table_name, changes.c.key, changes.c.after).where(changes.c.after.like("state: %"))
    rows = connection.execute(asked.order_by(changes.c.number))
    return [(str(table), str(key), str(after).removeprefix("state: ")) for table, key, after in rows]
