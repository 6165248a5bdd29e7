"""People, sessions and tokens: what lets somebody in, what no longer does, and what is never stored."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from sqlalchemy import inspect, text

from handfast.counter import passwords, people
from handfast.counter.roles import AREAS, DOES, ROLES, SHOWN, may, who_may
from handfast.counter.verbs import Workspace, open_workspace
from handfast.store import tables
from handfast.store.database import HEAD, migrate, reading

WORDS = "a short sentence does"
OTHER = "another sentence does"


@pytest.fixture
def house(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Workspace:
    monkeypatch.setattr(passwords, "COST", passwords.Cost(2**10, 8, 1))
    return open_workspace(tmp_path)


def everything(house: Workspace) -> str:
    with reading(house.engine) as connection:
        names = inspect(connection).get_table_names()
        return "\n".join(
            str(tuple(row)) for name in names for row in connection.execute(text(f'SELECT * FROM "{name}"'))
        )


def test_the_roles_of_the_rows_are_those_of_the_counter() -> None:
    assert tables.ROLES == ROLES
    assert set(DOES) == set(AREAS)
    assert set(SHOWN) == set(ROLES)
    assert [who_may("people"), who_may("read")] == [("owner",), ROLES]
    assert not may("nobody", "read")
    assert not may("owner", "nothing")


def test_the_hash_is_scrypt_of_rfc_7914() -> None:
    """The third test vector of RFC 7914, chapter 12, against the function that the hashes are made with."""
    told = "7023bdcb3afd7348461c06cd81fd38ebfda8fbba904f8e3ea9b543f6545da1f2"
    made = hashlib.scrypt(b"pleaseletmein", salt=b"SodiumChloride", n=16384, r=8, p=1, dklen=64)
    assert made.hex().startswith(told)
    kept = json.dumps({"n": 16384, "r": 8, "p": 1, "salt": b"SodiumChloride".hex()})
    assert passwords.password_holds("pleaseletmein", told, kept)
    assert not passwords.password_holds("pleaseletmeim", told, kept)


def test_new_passwords_cost_what_is_advised() -> None:
    """n = 2^15, r = 8, p = 3: one of the equal settings of the OWASP cheat sheet on storing passwords (scrypt)."""
    assert passwords.Cost(2**15, 8, 3) == passwords.COST


def test_a_session_is_its_secret(house: Workspace) -> None:
    ada = people.add_person(house, "  Ada  Rowan ", "owner", WORDS)
    assert ada.name == "Ada Rowan"
    first, second = (people.log_in(house, name, WORDS) for name in ("ada rowan", "ADA ROWAN"))
    assert first and second and first.secret != second.secret
    assert people.person_of_session(house, first.secret) == ada
    people.log_out(house, first.secret)
    assert people.person_of_session(house, first.secret) is None
    assert people.person_of_session(house, second.secret) == ada
    for name, password in (("Ada Rowan", OTHER), ("Nobody", WORDS), ("", ""), ("Ada Rowan", "x" * 10_000)):
        assert people.log_in(house, name, password) is None
    assert people.person_of_session(house, "") is None


def test_sessions_end_by_themselves(house: Workspace) -> None:
    people.add_person(house, "Ada Rowan", "owner", WORDS)
    begun = people.log_in(house, "Ada Rowan", WORDS)
    assert begun
    start, step = datetime.now(UTC), people.IDLE - timedelta(minutes=5)
    assert people.person_of_session(house, begun.secret, start + people.IDLE + timedelta(minutes=1)) is None
    at = start
    while at + step < start + people.DAY:
        at += step
        assert people.person_of_session(house, begun.secret, at), at - start
    assert people.person_of_session(house, begun.secret, start + people.DAY + timedelta(seconds=1)) is None


@pytest.mark.parametrize("change", [{"role": "reader"}, {"active": False}, {"password": OTHER}])
def test_a_change_of_a_person_ends_their_sessions(house: Workspace, change: dict) -> None:
    people.add_person(house, "Ada Rowan", "owner", WORDS)
    ben = people.add_person(house, "Ben Alder", "sales", WORDS)
    session, other = people.log_in(house, "Ben Alder", WORDS), people.log_in(house, "Ada Rowan", WORDS)
    assert session and other
    people.change_person(house, ben.number, **change)
    assert people.person_of_session(house, session.secret) is None
    assert people.person_of_session(house, other.secret)


def test_ones_own_session_stays_when_one_changes_the_password(house: Workspace) -> None:
    ada = people.add_person(house, "Ada Rowan", "owner", WORDS)
    one, two = people.log_in(house, "Ada Rowan", WORDS), people.log_in(house, "Ada Rowan", WORDS)
    assert one and two
    people.change_person(house, ada.number, password=OTHER, keep=one.secret)
    assert people.person_of_session(house, one.secret)
    assert people.person_of_session(house, two.secret) is None
    assert people.log_in(house, "Ada Rowan", WORDS) is None
    assert people.log_in(house, "Ada Rowan", OTHER)


def test_who_has_retired_is_out(house: Workspace) -> None:
    people.add_person(house, "Ada Rowan", "owner", WORDS)
    ben = people.add_person(house, "Ben Alder", "parts", WORDS)
    token, _ = people.new_token(house, ben.number, "stock list")
    people.change_person(house, ben.number, active=False)
    assert people.person_of_token(house, token) is None
    assert people.log_in(house, "Ben Alder", WORDS) is None
    with pytest.raises(people.PeopleError):
        people.new_token(house, ben.number, "another")
    people.change_person(house, ben.number, active=True)
    assert people.log_in(house, "Ben Alder", WORDS)


@pytest.mark.parametrize("change", [{"role": "sales"}, {"active": False}])
def test_the_last_owner_stays(house: Workspace, change: dict) -> None:
    ada = people.add_person(house, "Ada Rowan", "owner", WORDS)
    with pytest.raises(people.PeopleError, match="only owner"):
        people.change_person(house, ada.number, **change)
    assert people.persons(house) == [ada]
    people.add_person(house, "Ben Alder", "owner", WORDS)
    assert people.change_person(house, ada.number, **change) != ada


def test_a_token_lets_a_program_in_until_it_is_withdrawn(house: Workspace) -> None:
    ben = people.add_person(house, "Ben Alder", "parts", WORDS)
    token, row = people.new_token(house, ben.number, "stock list")
    assert people.person_of_token(house, token) == ben
    assert people.person_of_token(house, token + "x") is None
    people.withdraw_token(house, row.number)
    assert people.person_of_token(house, token) is None
    assert [bool(one.withdrawn) for one in people.tokens(house)] == [True]


def test_no_secret_is_stored(house: Workspace) -> None:
    ada = people.add_person(house, "Ada Rowan", "owner", WORDS)
    session, (token, _) = people.log_in(house, "Ada Rowan", WORDS), people.new_token(house, ada.number, "list")
    assert session
    kept = everything(house)
    assert "Ada Rowan" in kept
    assert hashlib.sha256(token.encode()).hexdigest() in kept
    for secret in (WORDS, session.secret, token, token.removeprefix("hf_")):
        assert secret not in kept


BAD: dict[str, Callable[[Workspace], object]] = {
    "short": lambda house: people.add_person(house, "Ben Alder", "sales", "eleven char"),
    "long": lambda house: people.add_person(house, "Ben Alder", "sales", "ab cd" * 41),
    "one letter": lambda house: people.add_person(house, "Ben Alder", "sales", "aaaaaaaaaaaaaaaa"),
    "the name": lambda house: people.add_person(house, "Bartholomew Alder", "sales", "bartholomew alder"),
    "role": lambda house: people.add_person(house, "Ben Alder", "king", WORDS),
    "no name": lambda house: people.add_person(house, "  ", "sales", WORDS),
    "a name of the log": lambda house: people.add_person(house, "Customer", "sales", WORDS),
    "a control": lambda house: people.add_person(house, "Ben\x00Alder", "sales", WORDS),
    "twice": lambda house: people.add_person(house, "ADA ROWAN", "sales", WORDS),
}


@pytest.mark.parametrize("what", BAD)
def test_what_is_refused_stores_nothing(house: Workspace, what: str) -> None:
    ada = people.add_person(house, "Ada Rowan", "owner", WORDS)
    with pytest.raises((people.PeopleError, passwords.WeakPasswordError)):
        BAD[what](house)
    assert people.persons(house) == [ada]


def test_an_unknown_name_costs_what_a_known_one_costs(house: Workspace, monkeypatch: pytest.MonkeyPatch) -> None:
    """The same count of hashes with the same parameters, so that the time tells nobody who works here."""
    people.add_person(house, "Ada Rowan", "owner", WORDS)
    counted: list[tuple[int, int, int]] = []
    real = hashlib.scrypt

    def count(given, *, salt, n, r, p, maxmem, dklen):
        counted.append((n, r, p))
        return real(given, salt=salt, n=n, r=r, p=p, maxmem=maxmem, dklen=dklen)

    monkeypatch.setattr(hashlib, "scrypt", count)
    people.log_in(house, "Ada Rowan", OTHER)
    known, counted[:] = list(counted), []
    people.log_in(house, "Nobody Here", OTHER)
    assert known == counted == [(1024, 8, 1)]


def test_down_and_up_on_filled_data(house: Workspace) -> None:
    people.add_person(house, "Ada Rowan", "owner", WORDS)
    people.new_token(house, 1, "list")
    migrate(house.engine, "0009")
    with reading(house.engine) as connection:
        assert not {"people", "sessions", "tokens"} & set(inspect(connection).get_table_names())
    migrate(house.engine, HEAD)
    assert people.persons(house) == []
