"""Rows of questions that went out by a private link, and of what came back. The link's secret is never stored."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import Connection, insert, select, update

from handfast.store.change_rows import note_change, now
from handfast.store.tables import letters


@dataclass(frozen=True)
class LetterRow:
    """Questions sent out: to whose inquiry, until when, what came back and whether it was taken."""

    number: int
    inquiry: int
    digest: str
    questions: str  # JSON, as they were asked
    created: str
    expires: str
    withdrawn: str  # when, or nothing
    answers: str  # the answer lines, or nothing
    answered: str  # when, or nothing
    taken: str  # when, or nothing


def add_letter(connection: Connection, inquiry: int, digest: str, questions: str, expires: str, who: str) -> LetterRow:
    """Keep questions that go out."""
    row = {"inquiry": inquiry, "digest": digest, "questions": questions, "created": now(), "expires": expires}
    key = connection.execute(
        insert(letters).values(**row, withdrawn="", answers="", answered="", taken="")
    ).inserted_primary_key
    assert key is not None
    note_change(connection, who, "letters", str(key[0]), None, questions)
    return letter_row(connection, int(key[0]))


def change_letter(connection: Connection, number: int, who: str, **values: str) -> None:
    """Change a letter: withdrawn, answered, taken. KeyError if there is none."""
    before = letter_row(connection, number)
    connection.execute(update(letters).where(letters.c.number == number).values(**values))
    for name, value in values.items():
        note_change(connection, who, "letters", str(number), f"{name}: {getattr(before, name)}", f"{name}: {value}")


def letter_row(connection: Connection, number: int) -> LetterRow:
    """One letter; KeyError if there is no such number."""
    row = connection.execute(select(letters).where(letters.c.number == number)).one_or_none()
    if row is None:
        raise KeyError(number)
    return LetterRow(*row)


def letter_of_digest(connection: Connection, digest: str) -> LetterRow | None:
    """The letter of a link."""
    row = connection.execute(select(letters).where(letters.c.digest == digest)).one_or_none()
    return None if row is None else LetterRow(*row)


def letter_rows(connection: Connection, inquiry: int | None = None) -> list[LetterRow]:
    """Letters, newest first: of one inquiry or all."""
    asked = select(letters).order_by(letters.c.number.desc())
    if inquiry is not None:
        asked = asked.where(letters.c.inquiry == inquiry)
    return [LetterRow(*row) for row in connection.execute(asked)]
