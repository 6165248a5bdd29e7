"""Quotes at rest: numbered, in versions of which each holds the offer as it was made."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, Select, case, func, insert, select, update

from handfast.store.change_rows import note_change, now
from handfast.store.tables import quote_versions, quotes

REPLACED = "replaced"  # how a version stands once there is a newer one


@dataclass(frozen=True)
class QuoteRow:
    """A quote as it rests, with its newest version; or one of its versions."""

    number: int
    inquiry: int
    outfit: str
    state: str
    created: str
    version: int
    json: str
    note: str
    answer: str
    who: str
    sent: str
    begun: str = ""
    """When the number was given; `created` is the version's own."""


def add_quote(connection: Connection, inquiry: int, outfit: str, json: str, who: str) -> QuoteRow:
    """Store a new quote under the next number, as version 1."""
    row = {"inquiry": inquiry, "outfit": outfit, "state": "draft", "created": now(), "version": 1}
    number = connection.execute(insert(quotes).values(row)).inserted_primary_key
    assert number is not None
    note_change(connection, who, "quotes", str(number[0]), None, outfit)
    _put_version(connection, int(number[0]), 1, json, "", who)
    return quote_row(connection, int(number[0]))


def add_version(connection: Connection, number: int, outfit: str, json: str, note: str, who: str) -> QuoteRow:
    """Store a quote's next version, a draft; KeyError if there is no such quote."""
    before = quote_row(connection, number)
    fresh = before.version + 1
    values = {"outfit": outfit, "state": "draft", "version": fresh}
    connection.execute(update(quotes).where(quotes.c.number == number).values(values))
    note_change(connection, who, "quotes", str(number), f"version: {before.version}", f"version: {fresh}")
    if before.state != "draft":
        note_change(connection, who, "quotes", str(number), f"state: {before.state}", "state: draft")
    _put_version(connection, number, fresh, json, note, who)
    return quote_row(connection, number)


def _put_version(connection: Connection, number: int, version: int, json: str, note: str, who: str) -> None:
    row = {"quote": number, "version": version, "json": json, "note": note, "answer": "{}"}
    connection.execute(insert(quote_versions).values(**row, who=who, created=now(), sent=""))


def change_quote_state(connection: Connection, number: int, state: str, who: str) -> None:
    """Move a quote to another state; KeyError if there is no such quote."""
    before = quote_row(connection, number)
    connection.execute(update(quotes).where(quotes.c.number == number).values(state=state))
    note_change(connection, who, "quotes", str(number), f"state: {before.state}", f"state: {state}")
    if state == "sent":
        here = (quote_versions.c.quote == number) & (quote_versions.c.version == before.version)
        connection.execute(update(quote_versions).where(here).values(sent=now()))


def change_outfit(connection: Connection, number: int, outfit: str, who: str) -> None:
    """Say which of its ways a quote is about now; KeyError if there is no such quote."""
    before = quote_row(connection, number)
    if before.outfit != outfit:
        connection.execute(update(quotes).where(quotes.c.number == number).values(outfit=outfit))
        note_change(connection, who, "quotes", str(number), f"outfit: {before.outfit}", f"outfit: {outfit}")


def change_answer(connection: Connection, number: int, answer: str, who: str) -> None:
    """Keep who confirmed the newest version; KeyError if there is no such quote."""
    before = quote_row(connection, number)
    here = (quote_versions.c.quote == number) & (quote_versions.c.version == before.version)
    connection.execute(update(quote_versions).where(here).values(answer=answer))
    note_change(connection, who, "quotes", str(number), f"answer: {before.answer}", f"answer: {answer}")


def _asked() -> Select[Any]:
    q, v = quotes.c, quote_versions.c
    stands = case((v.version == q.version, q.state), else_=REPLACED)
    return select(
        q.number, q.inquiry, q.outfit, stands, v.created, v.version, v.json, v.note, v.answer, v.who, v.sent,
        q.created.label("begun"),
    ).join(quote_versions, v.quote == q.number)  # fmt: skip


def quote_row(connection: Connection, number: int, version: int | None = None) -> QuoteRow:
    """One quote, its newest version or another one; KeyError if there is no such number."""
    wanted = quotes.c.version if version is None else version
    asked = _asked().where(quotes.c.number == number, quote_versions.c.version == wanted)
    row = connection.execute(asked).one_or_none()
    if row is None:
        raise KeyError(number)
    return QuoteRow(*row)


def quote_rows(connection: Connection, inquiry: int | None = None) -> list[QuoteRow]:
    """Every quote, or those of one inquiry, newest number first, each with its newest version."""
    asked = _asked().where(quote_versions.c.version == quotes.c.version).order_by(quotes.c.number.desc())
    if inquiry is not None:
        asked = asked.where(quotes.c.inquiry == inquiry)
    return [QuoteRow(*row) for row in connection.execute(asked)]


def version_rows(connection: Connection, number: int | None = None) -> list[QuoteRow]:
    """Every version of a quote, or of all, oldest first."""
    asked = _asked().order_by(quotes.c.number, quote_versions.c.version)
    if number is not None:
        asked = asked.where(quotes.c.number == number)
    return [QuoteRow(*row) for row in connection.execute(asked)]


def quote_states(connection: Connection, inquiry: int) -> list[str]:
    """Where the quotes of an inquiry stand."""
    return [str(state) for (state,) in connection.execute(select(quotes.c.state).where(quotes.c.inquiry == inquiry))]


def count_quotes(connection: Connection) -> int:
    """How many quotes there are."""
    return int(connection.scalar(select(func.count()).select_from(quotes)) or 0)
