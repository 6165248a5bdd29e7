"""After the sale, at rest: as-built records, comebacks, replacement orders, lessons."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, Table, insert, select, update

from handfast.machines.as_built import AsBuilt, Lesson
from handfast.store.change_rows import note_change, now
from handfast.store.shelf_records import record_json
from handfast.store.tables import as_built, comebacks, lessons, orders, outcomes


@dataclass(frozen=True)
class BuiltRow:
    """An as-built record as it rests; the newest of a machine and kit counts."""

    number: int
    machine: str
    attachment: str
    route: str
    record: str
    created: str

    @property
    def built(self) -> AsBuilt:
        """The record itself."""
        return AsBuilt.model_validate_json(self.record)


@dataclass(frozen=True)
class ComebackRow:
    """A comeback as it rests: the quote it belongs to, the hose, what was found and decided as JSON."""

    number: int
    quote: int
    tag: str
    symptom: str
    record: str
    created: str


@dataclass(frozen=True)
class OrderRow:
    """A replacement order as it rests: the part as JSON."""

    number: int
    comeback: int
    state: str
    record: str
    created: str


def _added(connection: Connection, table: Table, row: Mapping[str, object], who: str, after: str) -> int:
    key = connection.execute(insert(table).values({**row, "created": now()})).inserted_primary_key
    assert key is not None
    note_change(connection, who, table.name, str(key[0]), None, after)
    return int(key[0])


def add_as_built(connection: Connection, built: AsBuilt, who: str) -> int:
    """Keep what was measured on a machine with a kit; earlier records of it stay readable."""
    record = record_json(built)
    kit = {"machine": built.machine, "attachment": built.attachment, "route": built.route}
    return _added(connection, as_built, {**kit, "record": record}, who, record)


def as_built_rows(connection: Connection, machine: str, attachment: str, route: str) -> list[BuiltRow]:
    """Every as-built record of a machine and kit, newest first."""
    here = (as_built.c.machine == machine, as_built.c.attachment == attachment, as_built.c.route == route)
    asked = select(as_built).where(*here).order_by(as_built.c.number.desc())
    return [BuiltRow(*row) for row in connection.execute(asked)]


def add_comeback(connection: Connection, quote: int, tag: str, symptom: str, record: str, who: str) -> int:
    """Keep a comeback under the next number."""
    return _added(
        connection, comebacks, {"quote": quote, "tag": tag, "symptom": symptom, "record": record}, who, record
    )


def comeback_row(connection: Connection, number: int) -> ComebackRow:
    """One comeback; KeyError if there is no such number."""
    row = connection.execute(select(comebacks).where(comebacks.c.number == number)).one_or_none()
    if row is None:
        raise KeyError(number)
    return ComebackRow(*row)


def comeback_rows(connection: Connection) -> list[ComebackRow]:
    """Every comeback, newest first."""
    return [ComebackRow(*row) for row in connection.execute(select(comebacks).order_by(comebacks.c.number.desc()))]


def add_order(connection: Connection, comeback: int, record: str, who: str) -> int:
    """Order a replacement under the next number."""
    return _added(connection, orders, {"comeback": comeback, "state": "ordered", "record": record}, who, record)


def change_order_state(connection: Connection, number: int, state: str, who: str) -> None:
    """Move an order along; KeyError if there is no such number."""
    before = order_row(connection, number)
    if before.state != state:
        connection.execute(update(orders).where(orders.c.number == number).values(state=state))
        note_change(connection, who, "orders", str(number), f"state: {before.state}", f"state: {state}")


def order_row(connection: Connection, number: int) -> OrderRow:
    """One replacement order; KeyError if there is no such number."""
    row = connection.execute(select(orders).where(orders.c.number == number)).one_or_none()
    if row is None:
        raise KeyError(number)
    return OrderRow(*row)


def order_rows(connection: Connection) -> list[OrderRow]:
    """Every replacement order, newest first."""
    return [OrderRow(*row) for row in connection.execute(select(orders).order_by(orders.c.number.desc()))]


def add_lesson(connection: Connection, lesson: Lesson, who: str) -> int:
    """Keep what a comeback taught about a kit."""
    record = record_json(lesson)
    row = {"comeback": lesson.comeback, "attachment": lesson.attachment, "route": lesson.route, "record": record}
    return _added(connection, lessons, row, who, record)


def everything(connection: Connection) -> dict[str, list[dict[str, Any]]]:
    """Every row of these tables, oldest first, its record read."""
    found: dict[str, list[dict[str, Any]]] = {}
    for table in (as_built, comebacks, orders, lessons, outcomes):
        rows = connection.execute(select(table).order_by(table.c.number)).mappings()
        found[table.name] = [{**row, "record": json.loads(row["record"])} for row in rows]
    return found
