"""The shelf at rest: one row a record, as JSON."""

from __future__ import annotations

from collections.abc import Iterable

from sqlalchemy import Connection, func, insert, select, text, update

from handfast.machines.shelf import Shelf
from handfast.store.change_rows import newest_change, note_change
from handfast.store.shelf_records import (
    BUILT,
    LEARNT,
    ON_THE_SHELF,
    RETIRED,
    rows_of,
    shelf_of,
    with_learnt,
    with_set_aside,
)
from handfast.store.tables import shelf as shelf_table


def put_record(connection: Connection, kind: str, key: str, record: str, who: str) -> bool:
    """Put a record on the shelf, or in place of the one that is there; False when it was there already, equal."""
    here = (shelf_table.c.kind == kind, shelf_table.c.id == key)
    before = connection.execute(select(shelf_table.c.record, shelf_table.c.retired).where(*here)).one_or_none()
    if before is not None and tuple(before) == (record, 0):
        return False
    if before is not None:
        connection.execute(update(shelf_table).where(*here).values(record=record, retired=0))
    else:
        last = connection.scalar(select(func.max(shelf_table.c.place))) or 0
        connection.execute(insert(shelf_table).values(kind=kind, id=key, record=record, place=last + 1, retired=0))
    note_change(connection, who, "shelf", f"{kind}/{key}", before and before.record, record)
    return True


def put_shelf(connection: Connection, shelf: Shelf, who: str) -> int:
    """Put everything on a shelf into the workspace's; returns how many records are new or changed."""
    return sum(put_record(connection, kind, key, record, who) for kind, key, record in rows_of(shelf))


def retire(connection: Connection, kind: str, key: str, who: str) -> None:
    """Take a record off the shelf; it stays readable for the quotes that name it. KeyError if it isn't there."""
    here = (shelf_table.c.kind == kind, shelf_table.c.id == key, shelf_table.c.retired == 0)
    record = connection.scalar(select(shelf_table.c.record).where(*here))
    if record is None:
        raise KeyError(f"{kind}/{key}")
    connection.execute(update(shelf_table).where(*here).values(retired=1))
    note_change(connection, who, "shelf", f"{kind}/{key}", record, None)


def load_shelf(connection: Connection) -> Shelf:
    """The shelf as it stands, with what was retired from it and what was learnt after the sale."""
    found, aside = (
        [(kind, key, record) for kind, key, record in connection.execute(text(asked))]
        for asked in (ON_THE_SHELF, RETIRED)
    )
    learnt = with_learnt(shelf_of(found), connection.scalars(text(BUILT)), connection.scalars(text(LEARNT)))
    return with_set_aside(learnt, aside)


def records(connection: Connection, kinds: Iterable[str] | None = None) -> list[tuple[str, str, str, bool]]:
    """Kind, id, JSON and whether retired, of every row or of some kinds."""
    row = shelf_table.c
    asked = select(row.kind, row.id, row.record, row.retired).order_by(row.place)
    if kinds is not None:
        asked = asked.where(row.kind.in_(list(kinds)))
    return [(kind, key, record, bool(retired)) for kind, key, record, retired in connection.execute(asked)]


def shelf_stamp(connection: Connection) -> int:
    """A number that changes with the shelf and with what was learnt after the sale."""
    return max(newest_change(connection, name) for name in ("shelf", "as_built", "lessons"))
