"""People at rest, their sessions and tokens. Of passwords, sessions and tokens only hashes are stored."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, delete, insert, select, update

from handfast.store.change_rows import note_change, now
from handfast.store.tables import people, sessions, tokens

TABLE = "people"


@dataclass(frozen=True)
class PersonRow:
    """A person as the house knows one; what the password was made into stays in the store."""

    number: int
    name: str
    role: str
    active: bool
    created: str


@dataclass(frozen=True)
class SessionRow:
    """A session: whose, since when, seen when, until when at most."""

    digest: str
    person: int
    created: str
    seen: str
    expires: str


@dataclass(frozen=True)
class TokenRow:
    """A program's token: whose, what for, since when, withdrawn when."""

    number: int
    person: int
    name: str
    created: str
    withdrawn: str


_PERSON = (people.c.number, people.c.name, people.c.role, people.c.active, people.c.created)
_TOKEN = (tokens.c.number, tokens.c.person, tokens.c.name, tokens.c.created, tokens.c.withdrawn)


def add_person(
    connection: Connection, name: str, folded: str, role: str, kept: str, parameters: str, who: str
) -> PersonRow:
    """Store a new person."""
    row = {"name": name, "folded": folded, "role": role, "hash": kept, "parameters": parameters, "active": 1}
    number = connection.execute(insert(people).values(**row, created=now())).inserted_primary_key
    assert number is not None
    note_change(connection, who, TABLE, str(number[0]), None, f"{name}: {role}")
    return person_row(connection, int(number[0]))


def change_role(connection: Connection, number: int, role: str, who: str) -> None:
    """Give a person another role. KeyError: there is none."""
    before = person_row(connection, number)
    if before.role != role:
        connection.execute(update(people).where(people.c.number == number).values(role=role))
        note_change(connection, who, TABLE, str(number), f"role: {before.role}", f"role: {role}")


def change_active(connection: Connection, number: int, active: bool, who: str) -> None:
    """Retire a person or take one back. KeyError: there is none."""
    before, words = person_row(connection, number), ("retired", "active")
    if before.active != active:
        connection.execute(update(people).where(people.c.number == number).values(active=int(active)))
        note_change(
            connection, who, TABLE, str(number), f"state: {words[before.active]}", f"state: {words[int(active)]}"
        )


def change_password(connection: Connection, number: int, kept: str, parameters: str, who: str) -> None:
    """Give a person another password; the log says so, and neither of the two. KeyError: there is none."""
    person_row(connection, number)
    connection.execute(update(people).where(people.c.number == number).values(hash=kept, parameters=parameters))
    note_change(connection, who, TABLE, str(number), None, "new password")


def person_row(connection: Connection, number: int) -> PersonRow:
    """One person. KeyError: there is none."""
    row = connection.execute(select(*_PERSON).where(people.c.number == number)).one_or_none()
    if row is None:
        raise KeyError(number)
    return _person(row)


def person_rows(connection: Connection) -> list[PersonRow]:
    """Everybody, the first first, retired ones too."""
    return [_person(row) for row in connection.execute(select(*_PERSON).order_by(people.c.number))]


def person_and_hash(connection: Connection, folded: str) -> tuple[PersonRow, str, str] | None:
    """A person by the folded name with hash and parameters; None where nobody is called so."""
    asked = select(*_PERSON, people.c.hash, people.c.parameters).where(people.c.folded == folded)
    row = connection.execute(asked).one_or_none()
    return None if row is None else (_person(row), str(row.hash), str(row.parameters))


def add_session(connection: Connection, digest: str, person: int, expires: str, name: str) -> SessionRow:
    """Store a session."""
    at = now()
    connection.execute(insert(sessions).values(digest=digest, person=person, created=at, seen=at, expires=expires))
    note_change(connection, name, "sessions", str(person), None, "logged in")
    return SessionRow(digest, person, at, at, expires)


def session_row(connection: Connection, digest: str) -> SessionRow | None:
    """A session by its digest."""
    row = connection.execute(select(sessions).where(sessions.c.digest == digest)).one_or_none()
    return None if row is None else SessionRow(*row)


def see_session(connection: Connection, digest: str, at: str) -> None:
    """Keep when a session was last seen."""
    connection.execute(update(sessions).where(sessions.c.digest == digest).values(seen=at))


def end_session(connection: Connection, digest: str, who: str) -> None:
    """End a session."""
    row = session_row(connection, digest)
    if row is not None:
        connection.execute(delete(sessions).where(sessions.c.digest == digest))
        note_change(connection, who, "sessions", str(row.person), "logged in", None)


def end_sessions(connection: Connection, person: int, but: str) -> None:
    """End every session of a person but one."""
    connection.execute(delete(sessions).where(sessions.c.person == person, sessions.c.digest != but))


def forget_sessions(connection: Connection, before: str, now_is: str) -> None:
    """Drop the sessions that have ended by themselves: not seen since, or past their end."""
    gone = (sessions.c.seen < before) | (sessions.c.expires < now_is)
    connection.execute(delete(sessions).where(gone))


def add_token(connection: Connection, digest: str, person: int, name: str, who: str) -> TokenRow:
    """Store a token."""
    row = {"digest": digest, "person": person, "name": name, "created": now(), "withdrawn": ""}
    number = connection.execute(insert(tokens).values(row)).inserted_primary_key
    assert number is not None
    note_change(connection, who, "tokens", str(person), None, name)
    found = connection.execute(select(*_TOKEN).where(tokens.c.number == number[0])).one()
    return TokenRow(*found)


def withdraw_token(connection: Connection, number: int, who: str) -> None:
    """End a token. KeyError: there is none."""
    row = connection.execute(select(*_TOKEN).where(tokens.c.number == number)).one_or_none()
    if row is None:
        raise KeyError(number)
    if not row.withdrawn:
        connection.execute(update(tokens).where(tokens.c.number == number).values(withdrawn=now()))
        note_change(connection, who, "tokens", str(row.person), row.name, None)


def token_rows(connection: Connection) -> list[TokenRow]:
    """Every token, oldest first."""
    return [TokenRow(*row) for row in connection.execute(select(*_TOKEN).order_by(tokens.c.number))]


def token_of_digest(connection: Connection, digest: str) -> TokenRow | None:
    """A token by its digest."""
    row = connection.execute(select(*_TOKEN).where(tokens.c.digest == digest)).one_or_none()
    return None if row is None else TokenRow(*row)


def _person(row: Any) -> PersonRow:
    return PersonRow(row.number, row.name, row.role, bool(row.active), row.created)
