"""Rows of lists that came in: the file as it came, the answers given, what was done, so that it can be undone."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import Connection, insert, select, update

from handfast.store.change_rows import note_change, now
from handfast.store.tables import imports


@dataclass(frozen=True)
class ImportRow:
    """One list: waiting, taken or undone."""

    number: int
    name: str
    supplier: str
    digest: str
    state: str
    answers: str  # JSON: question to answer
    done: str  # JSON: kind, id, before, after of every record that it put
    created: str
    taken: str


COLUMNS = [column for column in imports.c if column.name != "file"]


def add_import(connection: Connection, name: str, supplier: str, digest: str, file: bytes, who: str) -> int:
    """Keep a list that waits."""
    row = {"name": name, "supplier": supplier, "digest": digest, "file": file, "state": "waiting", "answers": "{}"}
    key = connection.execute(insert(imports).values(**row, done="[]", created=now(), taken="")).inserted_primary_key
    assert key is not None
    note_change(connection, who, "imports", str(key[0]), None, f"{name}, {supplier}, {digest}")
    return int(key[0])


def change_import(connection: Connection, number: int, who: str, **values: str) -> None:
    """Change a list's answers or state. KeyError if there is none."""
    before = import_row(connection, number)
    connection.execute(update(imports).where(imports.c.number == number).values(**values))
    for name in ("state", "answers"):
        if name in values and values[name] != getattr(before, name):
            note_change(
                connection, who, "imports", str(number), f"{name}: {getattr(before, name)}", f"{name}: {values[name]}"
            )


def import_row(connection: Connection, number: int) -> ImportRow:
    """One list; KeyError if there is no such number."""
    row = connection.execute(select(*COLUMNS).where(imports.c.number == number)).one_or_none()
    if row is None:
        raise KeyError(number)
    return ImportRow(*row)


def import_file(connection: Connection, number: int) -> bytes:
    """The file of a list as it came."""
    return bytes(connection.execute(select(imports.c.file).where(imports.c.number == number)).scalar_one())


def import_rows(connection: Connection) -> list[ImportRow]:
    """Every list, newest first."""
    return [ImportRow(*row) for row in connection.execute(select(*COLUMNS).order_by(imports.c.number.desc()))]
