"""What customers answered to quotes, and the private links that open them. A link's secret is never stored."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import Connection, insert, select, update

from handfast.store.change_rows import note_change, now
from handfast.store.tables import acceptances, quote_links


@dataclass(frozen=True)
class AcceptanceRow:
    """An offer accepted or declined: which version, how, by whom, exactly what was shown, who of the house kept it."""

    number: int
    quote: int
    version: int
    became: str
    how: str
    name: str
    shown: str  # JSON
    digest: str
    who: str
    created: str


@dataclass(frozen=True)
class LinkRow:
    """A private link to one version of a quote."""

    number: int
    quote: int
    version: int
    digest: str
    created: str
    expires: str
    withdrawn: str  # when, or nothing


def add_acceptance(
    connection: Connection,
    quote: int,
    version: int,
    became: str,
    how: str,
    name: str,
    shown: str,
    digest: str,
    who: str,
) -> None:
    """Keep an answer to an offer."""
    row = {"quote": quote, "version": version, "became": became, "how": how, "name": name, "shown": shown}
    connection.execute(insert(acceptances).values(**row, digest=digest, who=who, created=now()))
    note_change(connection, who, "quotes", str(quote), None, f"version {version} {became} by {how}: {name}")


def acceptance_rows(connection: Connection, quote: int | None = None) -> list[AcceptanceRow]:
    """Answers to one quote or to all, oldest first."""
    asked = select(acceptances).order_by(acceptances.c.number)
    if quote is not None:
        asked = asked.where(acceptances.c.quote == quote)
    return [AcceptanceRow(*row) for row in connection.execute(asked)]


def add_link(connection: Connection, quote: int, version: int, digest: str, expires: str, who: str) -> LinkRow:
    """Keep a link to a version of a quote."""
    row = {"quote": quote, "version": version, "digest": digest, "created": now(), "expires": expires, "withdrawn": ""}
    key = connection.execute(insert(quote_links).values(row)).inserted_primary_key
    assert key is not None
    note_change(connection, who, "quote_links", str(key[0]), None, f"quote {quote} version {version} until {expires}")
    return link_row(connection, int(key[0]))


def withdraw_link(connection: Connection, number: int, who: str) -> None:
    """Close a link; KeyError if there is none."""
    before = link_row(connection, number)
    at = now()
    connection.execute(update(quote_links).where(quote_links.c.number == number).values(withdrawn=at))
    told = (f"withdrawn: {before.withdrawn}", f"withdrawn: {at}")
    note_change(connection, who, "quote_links", str(number), *told)


def link_row(connection: Connection, number: int) -> LinkRow:
    """One link; KeyError if there is no such number."""
    row = connection.execute(select(quote_links).where(quote_links.c.number == number)).one_or_none()
    if row is None:
        raise KeyError(number)
    return LinkRow(*row)


def link_of_digest(connection: Connection, digest: str) -> LinkRow | None:
    """The link of a secret."""
    row = connection.execute(select(quote_links).where(quote_links.c.digest == digest)).one_or_none()
    return None if row is None else LinkRow(*row)


def link_rows(connection: Connection, quote: int) -> list[LinkRow]:
    """Links to a quote, newest first."""
    asked = select(quote_links).where(quote_links.c.quote == quote).order_by(quote_links.c.number.desc())
    return [LinkRow(*row) for row in connection.execute(asked)]
