"""One record of the shelf at rest: which version it is, changed only by whoever saw the newest."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import Connection, func, insert, select, update

from handfast.store.change_rows import note_change
from handfast.store.tables import advice, changes
from handfast.store.tables import shelf as shelf_table

TABLE = "shelf"


@dataclass(frozen=True)
class RecordRow:
    """A record as it rests; the version is the number of its newest change, 0 where there is none."""

    kind: str
    id: str
    record: str
    retired: bool
    version: int


def record_row(connection: Connection, kind: str, key: str) -> RecordRow:
    """One record, retired or not. KeyError: there is none."""
    row = shelf_table.c
    asked = select(row.kind, row.id, row.record, row.retired).where(row.kind == kind, row.id == key)
    found = connection.execute(asked).one_or_none()
    if found is None:
        raise KeyError(f"{kind}/{key}")
    return RecordRow(found.kind, found.id, found.record, bool(found.retired), version_of(connection, kind, key))


def version_of(connection: Connection, kind: str, key: str) -> int:
    """The number of a record's newest change, 0 where there is none."""
    newest = select(func.max(changes.c.number)).where(changes.c.table_name == TABLE, changes.c.key == f"{kind}/{key}")
    return int(connection.scalar(newest) or 0)


def record_then(connection: Connection, kind: str, key: str, version: int) -> str | None:
    """A record's JSON as a change left it, None where there was no such change of it."""
    here = (changes.c.table_name == TABLE, changes.c.key == f"{kind}/{key}", changes.c.number == version)
    found = connection.execute(select(changes.c.before, changes.c.after).where(*here)).one_or_none()
    return None if found is None else found.after or found.before


def change_record(connection: Connection, kind: str, key: str, record: str, who: str) -> bool:
    """Write a record that is there, retired or not, or one that is new; False where it was so already."""
    here = (shelf_table.c.kind == kind, shelf_table.c.id == key)
    before = connection.scalar(select(shelf_table.c.record).where(*here))
    if before == record:
        return False
    if before is None:
        last = connection.scalar(select(func.max(shelf_table.c.place))) or 0
        connection.execute(insert(shelf_table).values(kind=kind, id=key, record=record, place=last + 1, retired=0))
    else:
        connection.execute(update(shelf_table).where(*here).values(record=record))
    note_change(connection, who, TABLE, f"{kind}/{key}", before, record)
    return True


def answers_naming(connection: Connection, key: str, most: int = 30) -> list[tuple[int, str]]:
    """Inquiry and JSON of the newest answers, of the last so many, that hold a record's id."""
    newest = select(func.max(advice.c.number)).group_by(advice.c.inquiry)
    asked = select(advice.c.inquiry, advice.c.json).where(advice.c.number.in_(newest)).order_by(advice.c.number.desc())
    rows = connection.execute(asked.limit(most))
    return [(number, text) for number, text in rows if key in text]


def bring_back(connection: Connection, kind: str, key: str, who: str) -> None:
    """Put a retired record on the shelf again. KeyError: there is none."""
    here = (shelf_table.c.kind == kind, shelf_table.c.id == key, shelf_table.c.retired == 1)
    record = connection.scalar(select(shelf_table.c.record).where(*here))
    if record is None:
        raise KeyError(f"{kind}/{key}")
    connection.execute(update(shelf_table).where(*here).values(retired=0))
    note_change(connection, who, TABLE, f"{kind}/{key}", None, record)
