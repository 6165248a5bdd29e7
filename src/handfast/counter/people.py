"""People and how they come in: passwords, sessions, tokens. One transaction each.

A session's and a token's secret is random, 256 bits, and told once; only its digest is stored, so that the database
opens no door. A session ends when it was not used for two hours, when the day is over, at log out, when its person
retires, and when the password or the role changes.
"""

from __future__ import annotations

import hashlib
import secrets
import unicodedata
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from sqlalchemy import Connection

from handfast.counter.passwords import hashed, password_fits, password_holds, refuse_slowly
from handfast.counter.roles import ROLES
from handfast.counter.verbs import Workspace
from handfast.store import people_rows
from handfast.store.database import reading, writing
from handfast.store.people_rows import PersonRow, TokenRow

Person = PersonRow
IDLE = timedelta(hours=2)
DAY = timedelta(hours=14)
SEEN_AFTER = timedelta(minutes=1)  # a session's last use is kept to this
LONGEST_NAME = 60
TOKEN = "hf_"  # what every token begins with, so that one is known where it lies about
NOT_NAMES = ("counter", "terminal", "customer", "import", "owner")  # what else the change log says who


class PeopleError(ValueError):
    """Something that can't be done with a person, in a sentence that helps."""


@dataclass(frozen=True)
class Session:
    """A session that has begun: the secret is told this once."""

    secret: str
    person: Person
    expires: datetime


def add_person(workspace: Workspace, name: str, role: str, password: str) -> Person:
    """Add a person. PeopleError, WeakPasswordError: why not."""
    called = " ".join(unicodedata.normalize("NFKC", name).split())
    if not 0 < len(called) <= LONGEST_NAME or not called.isprintable():
        raise PeopleError(f"A name has 1 to {LONGEST_NAME} characters.")
    _role(role)
    if folded(called) in NOT_NAMES:
        raise PeopleError(f"{called} is what the history calls something else: add a surname.")
    password_fits(called, password)
    kept, parameters = hashed(password)
    with writing(workspace.engine) as connection:
        if people_rows.person_and_hash(connection, folded(called)) is not None:
            raise PeopleError(f"{called} is here already, perhaps retired.")
        return people_rows.add_person(connection, called, folded(called), role, kept, parameters, workspace.who)


def change_person(
    workspace: Workspace,
    number: int,
    role: str | None = None,
    active: bool | None = None,
    password: str | None = None,
    keep: str = "",
) -> Person:
    """Change a person's role, presence or password; every session of theirs ends but that with the secret `keep`.

    Raises:
        KeyError: there is no such person.
        PeopleError, WeakPasswordError: why not; the last owner stays one.
    """
    with reading(workspace.engine) as connection:
        before = people_rows.person_row(connection, number)
    if role is not None:
        _role(role)
    if password is not None:
        password_fits(before.name, password)
        fresh = hashed(password)
    with writing(workspace.engine) as connection:
        if role is not None:
            people_rows.change_role(connection, number, role, workspace.who)
        if active is not None:
            people_rows.change_active(connection, number, active, workspace.who)
        if password is not None:
            people_rows.change_password(connection, number, *fresh, workspace.who)
        if before.role == "owner" and before.active and not _owners(connection):
            raise PeopleError(f"{before.name} is the only owner: make somebody else one first.")
        people_rows.end_sessions(connection, number, digest_of(keep))
        return people_rows.person_row(connection, number)


def persons(workspace: Workspace) -> list[Person]:
    """Everybody, the first first, retired ones too."""
    with reading(workspace.engine) as connection:
        return people_rows.person_rows(connection)


def has_owner(workspace: Workspace) -> bool:
    """Whether an owner can log in."""
    with reading(workspace.engine) as connection:
        return _owners(connection)


def log_in(workspace: Workspace, name: str, password: str) -> Session | None:
    """Begin a session with a secret of its own; None, at the same cost, for an unknown name or a wrong password."""
    with reading(workspace.engine) as connection:
        found = people_rows.person_and_hash(connection, folded(name))
    if found is None:
        refuse_slowly(password)
        return None
    person, kept, parameters = found
    if not password_holds(password, kept, parameters) or not person.active:
        return None
    secret, at = secrets.token_urlsafe(32), datetime.now(UTC)
    expires = at + DAY
    with writing(workspace.engine) as connection:
        person = people_rows.person_row(connection, person.number)
        known = people_rows.person_and_hash(connection, folded(person.name))
        if known is None or known[1] != kept or not person.active:
            return None  # changed while the hash was reckoned
        people_rows.forget_sessions(connection, _stamp(at - IDLE), _stamp(at))
        people_rows.add_session(connection, digest_of(secret), person.number, _stamp(expires), person.name)
    return Session(secret, person, expires)


def is_password(workspace: Workspace, number: int, password: str) -> bool:
    """Whether a password is a person's. KeyError: there is no such person."""
    with reading(workspace.engine) as connection:
        found = people_rows.person_and_hash(connection, folded(people_rows.person_row(connection, number).name))
    return found is not None and password_holds(password, found[1], found[2])


def log_out(workspace: Workspace, secret: str) -> None:
    """End a session; one that is not there is ended already."""
    with writing(workspace.engine) as connection:
        people_rows.end_session(connection, digest_of(secret), workspace.who)


def person_of_session(workspace: Workspace, secret: str, at: datetime | None = None) -> Person | None:
    """Whose session a secret is; None where there is none, it has ended, or its person has retired.

    Args:
        workspace: the open workspace.
        secret: of the cookie.
        at: the time, where it is not now.

    Returns:
        The person.
    """
    at = at or datetime.now(UTC)
    with reading(workspace.engine) as connection:
        row = people_rows.session_row(connection, digest_of(secret))
        if row is None or row.expires <= _stamp(at) or row.seen <= _stamp(at - IDLE):
            return None
        person = people_rows.person_row(connection, row.person)
    if not person.active:
        return None
    if row.seen < _stamp(at - SEEN_AFTER):
        with writing(workspace.engine) as connection:
            people_rows.see_session(connection, row.digest, _stamp(at))
    return person


def new_token(workspace: Workspace, number: int, name: str) -> tuple[str, TokenRow]:
    """Give a person's program a token. KeyError: there is no such person; PeopleError: why not.

    Returns:
        The token, told this once, and its row.
    """
    called = " ".join(name.split())[:LONGEST_NAME]
    if not called:
        raise PeopleError("A token has a name: what it is for.")
    secret = TOKEN + secrets.token_urlsafe(32)
    with writing(workspace.engine) as connection:
        if not people_rows.person_row(connection, number).active:
            raise PeopleError("A retired person gets no token.")
        return secret, people_rows.add_token(connection, digest_of(secret), number, called, workspace.who)


def withdraw_token(workspace: Workspace, number: int) -> None:
    """End a token. KeyError: there is none."""
    with writing(workspace.engine) as connection:
        people_rows.withdraw_token(connection, number, workspace.who)


def tokens(workspace: Workspace) -> list[TokenRow]:
    """Every token, oldest first, withdrawn ones too."""
    with reading(workspace.engine) as connection:
        return people_rows.token_rows(connection)


def person_of_token(workspace: Workspace, token: str) -> Person | None:
    """Whose program a token belongs to; None where there is none, it was withdrawn, or its person has retired."""
    with reading(workspace.engine) as connection:
        row = people_rows.token_of_digest(connection, digest_of(token))
        if row is None or row.withdrawn:
            return None
        person = people_rows.person_row(connection, row.person)
    return person if person.active else None


def folded(name: str) -> str:
    """A name without case and spare blanks: nobody is called nearly the same.

    >>> folded("  Ada   Lovell ")
    'ada lovell'
    """
    return " ".join(unicodedata.normalize("NFKC", name[:200]).casefold().split())


def digest_of(secret: str) -> str:
    """What is stored of a secret of 256 random bits: enough to know it again, too little to make it."""
    return hashlib.sha256(secret.encode("utf-8", "surrogatepass")).hexdigest()


def _owners(connection: Connection) -> bool:
    return any(one.role == "owner" and one.active for one in people_rows.person_rows(connection))


def _role(role: str) -> None:
    if role not in ROLES:
        raise PeopleError(f"A person is one of {', '.join(ROLES)}.")


def _stamp(at: datetime) -> str:
    return at.isoformat(timespec="milliseconds")
