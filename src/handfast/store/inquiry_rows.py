"""Inquiries at rest, and the answers given to them."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import Connection, insert, select, update

from handfast.store.change_rows import note_change, now
from handfast.store.tables import advice, inquiries


@dataclass(frozen=True)
class InquiryRow:
    """An inquiry as it rests: its text is what was given, word for word."""

    number: int
    state: str
    title: str
    place: str
    text: str
    created: str
    updated: str


def add_inquiry(connection: Connection, text: str, title: str, place: str, who: str) -> int:
    """Store a new inquiry and return its number; numbers are never used again."""
    at = now()
    row = {"state": "asked", "title": title, "place": place, "text": text, "created": at, "updated": at}
    number = connection.execute(insert(inquiries).values(row)).inserted_primary_key
    assert number is not None
    note_change(connection, who, "inquiries", str(number[0]), None, text)
    return int(number[0])


def change_text(
    connection: Connection, number: int, text: str, title: str, place: str, who: str, step: str | None = None
) -> None:
    """Replace an inquiry's text; KeyError if there is no such inquiry. `step`: where it is an undo or a redo."""
    before = inquiry_row(connection, number)
    values = {"text": text, "title": title, "place": place, "updated": now()}
    connection.execute(update(inquiries).where(inquiries.c.number == number).values(values))
    note_change(connection, who, "inquiries", str(number), before.text, text, step)


def change_state(connection: Connection, number: int, state: str, who: str) -> None:
    """Move an inquiry to another state; KeyError if there is no such inquiry."""
    before = inquiry_row(connection, number)
    if before.state == state:
        return
    connection.execute(update(inquiries).where(inquiries.c.number == number).values(state=state, updated=now()))
    note_change(connection, who, "inquiries", str(number), f"state: {before.state}", f"state: {state}")


def inquiry_row(connection: Connection, number: int) -> InquiryRow:
    """One inquiry; KeyError if there is no such number."""
    row = connection.execute(select(inquiries).where(inquiries.c.number == number)).one_or_none()
    if row is None:
        raise KeyError(number)
    return InquiryRow(*row)


def inquiry_rows(connection: Connection) -> list[InquiryRow]:
    """Every inquiry, newest number first."""
    return [InquiryRow(*row) for row in connection.execute(select(inquiries).order_by(inquiries.c.number.desc()))]


def keep_advice(connection: Connection, inquiry: int, digest: str, seed: int, version: str, json: str) -> None:
    """Keep an answer beside its inquiry; the same answer is kept once."""
    known = select(advice.c.number).where(advice.c.inquiry == inquiry, advice.c.digest == digest)
    if connection.scalar(known) is None:
        row = {"inquiry": inquiry, "digest": digest, "seed": seed, "version": version, "json": json, "created": now()}
        connection.execute(insert(advice).values(row))


def kept_advice(connection: Connection, inquiry: int) -> list[tuple[str, int, str, str]]:
    """Digest, seed, version and JSON of every answer given to an inquiry, oldest first."""
    asked = select(advice.c.digest, advice.c.seed, advice.c.version, advice.c.json)
    rows = connection.execute(asked.where(advice.c.inquiry == inquiry).order_by(advice.c.number))
    return [(digest, seed, version, json) for digest, seed, version, json in rows]


def newest_advice(connection: Connection, inquiry: int) -> str | None:
    """The JSON of the answer that was given last to an inquiry; None where none was."""
    asked = select(advice.c.json).where(advice.c.inquiry == inquiry).order_by(advice.c.number.desc()).limit(1)
    found = connection.scalar(asked)
    return None if found is None else str(found)
