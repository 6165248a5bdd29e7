"""Calls and promises at rest."""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass
from typing import Any

from sqlalchemy import Connection, insert, select, update

from handfast.store.change_rows import note_change, now
from handfast.store.tables import calls, promises


@dataclass(frozen=True)
class CallRow:
    """The call that belongs to an inquiry."""

    inquiry: int
    state: str
    begun: str
    moved: str
    cannot_say: tuple[str, ...]


@dataclass(frozen=True)
class PromiseRow:
    """Who has to do what by when; `done` is the time it was kept, None while it is open."""

    number: int
    inquiry: int
    who: str
    what: str
    by: str
    done: str | None
    created: str

    @property
    def said(self) -> str:
        """The promise in one line, as the log holds it."""
        return f"{self.who}: {self.what}{f', by {self.by}' if self.by else ''}"


def call_row(connection: Connection, inquiry: int) -> CallRow | None:
    """The call of an inquiry, if it ever was one."""
    row = connection.execute(select(calls).where(calls.c.inquiry == inquiry)).one_or_none()
    return None if row is None else _call(*row)


def call_rows(connection: Connection) -> list[CallRow]:
    """Every call that is not rung off, the first begun first."""
    asked = select(calls).where(calls.c.state != "rung off").order_by(calls.c.begun, calls.c.inquiry)
    return [_call(*row) for row in connection.execute(asked)]


def _call(inquiry: int, state: str, begun: str, moved: str, cannot_say: str) -> CallRow:
    return CallRow(inquiry, state, begun, moved, tuple(json.loads(cannot_say)))


def put_call(connection: Connection, inquiry: int, state: str, who: str) -> None:
    """Begin a call, or move it; the same state again changes nothing."""
    before, at = call_row(connection, inquiry), now()
    if before is not None and before.state == state:
        return
    if before is None:
        row = {"inquiry": inquiry, "state": state, "begun": at, "moved": at, "cannot_say": "[]"}
        connection.execute(insert(calls).values(row))
    else:
        begun = {"begun": at} if before.state == "rung off" else {}
        connection.execute(update(calls).where(calls.c.inquiry == inquiry).values(state=state, moved=at, **begun))
    note_change(connection, who, "calls", str(inquiry), before.state if before else None, state)


def put_cannot_say(connection: Connection, inquiry: int, facts: tuple[str, ...], who: str) -> None:
    """Keep which facts the caller could not say; KeyError where the inquiry has no call."""
    before = call_row(connection, inquiry)
    if before is None:
        raise KeyError(inquiry)
    connection.execute(update(calls).where(calls.c.inquiry == inquiry).values(cannot_say=json.dumps(facts)))
    note_change(connection, who, "calls", str(inquiry), _can_not(before.cannot_say), _can_not(facts))


def _can_not(facts: tuple[str, ...]) -> str:
    return f"can't say: {', '.join(facts)}"


def call_and_promise_rows(connection: Connection) -> dict[str, list[dict[str, Any]]]:
    """Every row of these tables."""
    found = [_call(*row) for row in connection.execute(select(calls).order_by(calls.c.inquiry))]
    return {
        "calls": [asdict(row) for row in found],
        "promises": [asdict(row) for row in sorted(promise_rows(connection), key=lambda row: row.number)],
    }


def add_promise(connection: Connection, inquiry: int, who_acts: str, what: str, by: str, who: str) -> int:
    """Keep a promise and return its number."""
    row = {"inquiry": inquiry, "who": who_acts, "what": what, "by": by, "done": None, "created": now()}
    key = connection.execute(insert(promises).values(row)).inserted_primary_key
    assert key is not None
    note_change(connection, who, "promises", str(inquiry), None, promise_row(connection, int(key[0])).said)
    return int(key[0])


def promise_row(connection: Connection, number: int) -> PromiseRow:
    """One promise; KeyError if there is no such number."""
    row = connection.execute(select(promises).where(promises.c.number == number)).one_or_none()
    if row is None:
        raise KeyError(number)
    return PromiseRow(*row)


def promise_rows(connection: Connection, inquiry: int | None = None) -> list[PromiseRow]:
    """Every promise, or those of one inquiry: the open ones by when they are due, then those kept."""
    asked = select(promises) if inquiry is None else select(promises).where(promises.c.inquiry == inquiry)
    rows = [PromiseRow(*row) for row in connection.execute(asked.order_by(promises.c.number))]
    return sorted(rows, key=lambda row: (row.done is not None, not row.by, row.by, row.number))


def mark_promise(connection: Connection, number: int, done: bool, who: str) -> PromiseRow:
    """Mark a promise as kept, or as open again; KeyError if there is no such promise."""
    before = promise_row(connection, number)
    if (before.done is not None) != done:
        values = {"done": now() if done else None}
        connection.execute(update(promises).where(promises.c.number == number).values(values))
        told = ("kept", "open") if done else ("open", "kept")
        note_change(
            connection,
            who,
            "promises",
            str(before.inquiry),
            f"{before.said}: {told[1]}",
            f"{before.said}: {told[0]}",
        )
    return before
