"""The shelf at rest: one row a record, as JSON."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from sqlalchemy import Connection, bindparam, func, insert, select, text, update

from handfast.machines.shelf import Shelf
from handfast.store.change_rows import newest_change, note_change, note_changes
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


def put_many(connection: Connection, rows: Sequence[tuple[str, str, str]], who: str) -> list[str | None]:
    """Put many records on the shelf in few statements; returns what stood there before, None where nothing did."""
    there = {(kind, key): (record, out) for kind, key, record, out in records(connection)}
    last = connection.scalar(select(func.max(shelf_table.c.place))) or 0
    fresh = [one for one in rows if one[:2] not in there]
    other = [one for one in rows if one[:2] in there and there[one[:2]] != (one[2], False)]
    if fresh:
        new = [
            {"kind": k, "id": i, "record": r, "place": last + n, "retired": 0} for n, (k, i, r) in enumerate(fresh, 1)
        ]
        connection.execute(insert(shelf_table), new)
    if other:
        here = (shelf_table.c.kind == bindparam("b_kind"), shelf_table.c.id == bindparam("b_id"))
        changed = update(shelf_table).where(*here).values(record=bindparam("b_record"), retired=0)
        connection.execute(changed, [{"b_kind": k, "b_id": i, "b_record": r} for k, i, r in other])
    before = {key: None if out else record for key, (record, out) in there.items()}
    note_changes(connection, who, "shelf", [(f"{k}/{i}", before.get((k, i)), r) for k, i, r in (*fresh, *other)])
    return [before.get((kind, key)) for kind, key, _ in rows]


def shelf_stamp(connection: Connection) -> int:
    """A number that changes with the shelf and with what was learnt after the sale."""
    return max(newest_change(connection, name) for name in ("shelf", "as_built", "lessons"))
