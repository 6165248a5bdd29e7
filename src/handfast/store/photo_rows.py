"""Photos of machines as they came, with the marks made on them."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import Connection, insert, select, update

from handfast.store.change_rows import note_change, now
from handfast.store.tables import photos


@dataclass(frozen=True)
class PhotoRow:
    """One photo; the newest of a machine counts."""

    number: int
    machine: str
    name: str
    type: str
    width: int
    height: int
    digest: str
    marks: str  # JSON, as the form gave them
    created: str


COLUMNS = [column for column in photos.c if column.name != "file"]


def add_photo(connection: Connection, row: dict[str, str | int], file: bytes, who: str) -> int:
    """Keep a photo as it came; those before it stay."""
    values = {**row, "file": file, "marks": "{}", "created": now()}
    key = connection.execute(insert(photos).values(**values)).inserted_primary_key
    assert key is not None
    note_change(connection, who, "photos", str(key[0]), None, f"{row['machine']}, {row['name']}, {row['digest']}")
    return int(key[0])


def mark_photo(connection: Connection, number: int, marks: str, who: str) -> None:
    """Keep the marks made on a photo. KeyError if there is none."""
    before = photo_row(connection, number)
    if before.marks != marks:
        connection.execute(update(photos).where(photos.c.number == number).values(marks=marks))
        note_change(connection, who, "photos", str(number), before.marks, marks)


def photo_row(connection: Connection, number: int) -> PhotoRow:
    """One photo; KeyError if there is no such number."""
    row = connection.execute(select(*COLUMNS).where(photos.c.number == number)).one_or_none()
    if row is None:
        raise KeyError(number)
    return PhotoRow(*row)


def photo_of(connection: Connection, machine: str) -> PhotoRow | None:
    """The newest photo of a machine."""
    wanted = select(*COLUMNS).where(photos.c.machine == machine).order_by(photos.c.number.desc()).limit(1)
    row = connection.execute(wanted).one_or_none()
    return None if row is None else PhotoRow(*row)


def photo_file(connection: Connection, number: int) -> bytes:
    """The file of a photo as it came."""
    return bytes(connection.execute(select(photos.c.file).where(photos.c.number == number)).scalar_one())
