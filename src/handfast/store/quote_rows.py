"""Quotes at rest: numbered, and holding the outfit as it was offered."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import Connection, insert, select, update

from handfast.store.change_rows import note_change, now
from handfast.store.tables import quotes


@dataclass(frozen=True)
class QuoteRow:
    """A quote as it rests."""

    number: int
    inquiry: int
    outfit: str
    state: str
    json: str
    created: str


def add_quote(connection: Connection, inquiry: int, outfit: str, json: str, who: str) -> QuoteRow:
    """Store a new quote under the next number."""
    row = {"inquiry": inquiry, "outfit": outfit, "state": "draft", "json": json, "created": now()}
    number = connection.execute(insert(quotes).values(row)).inserted_primary_key
    assert number is not None
    note_change(connection, who, "quotes", str(number[0]), None, outfit)
    return quote_row(connection, int(number[0]))


def change_quote_state(connection: Connection, number: int, state: str, who: str) -> None:
    """Move a quote to another state; KeyError if there is no such quote."""
    before = quote_row(connection, number)
    connection.execute(update(quotes).where(quotes.c.number == number).values(state=state))
    note_change(connection, who, "quotes", str(number), f"state: {before.state}", f"state: {state}")


def quote_row(connection: Connection, number: int) -> QuoteRow:
    """One quote; KeyError if there is no such number."""
    row = connection.execute(select(quotes).where(quotes.c.number == number)).one_or_none()
    if row is None:
        raise KeyError(number)
    return QuoteRow(*row)


def quote_rows(connection: Connection, inquiry: int | None = None) -> list[QuoteRow]:
    """Every quote, or those of one inquiry, newest number first."""
    asked = select(quotes).order_by(quotes.c.number.desc())
    if inquiry is not None:
        asked = asked.where(quotes.c.inquiry == inquiry)
    return [QuoteRow(*row) for row in connection.execute(asked)]
