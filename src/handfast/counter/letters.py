"""Questions that go out by a private link and what comes back, one transaction each.

The link is a secret of 256 bits; only its digest is stored, so that the database opens no door. It opens one page with
the questions and nothing else, until it expires or is withdrawn. What comes back waits to be taken.
"""

from __future__ import annotations

import hashlib
import json
import secrets
from dataclasses import asdict
from datetime import UTC, datetime, timedelta

from handfast.advice.requests import Request
from handfast.counter.verbs import Workspace
from handfast.store import inquiry_rows, letter_rows
from handfast.store.change_rows import now
from handfast.store.database import reading, writing
from handfast.store.letter_rows import LetterRow

DAYS = 14  # a link's life
ANSWERS_MOST = 4000  # characters that may come back
CUSTOMER = "customer"


def send_questions(workspace: Workspace, inquiry: int, requests: tuple[Request, ...]) -> tuple[str, LetterRow]:
    """Make a private link for questions. KeyError: no such inquiry.

    Returns:
        The link's secret, told this once, and the row.
    """
    secret = secrets.token_urlsafe(32)
    expires = (datetime.now(UTC) + timedelta(days=DAYS)).isoformat(timespec="milliseconds")
    questions = json.dumps([asdict(one) for one in requests], ensure_ascii=False)
    with writing(workspace.engine) as connection:
        inquiry_rows.inquiry_row(connection, inquiry)
        row = letter_rows.add_letter(connection, inquiry, _digest(secret), questions, expires, workspace.who)
    return secret, row


def opened(workspace: Workspace, secret: str) -> LetterRow | None:
    """The letter that a link opens; None: there is none, or it expired, or it was withdrawn."""
    with reading(workspace.engine) as connection:
        row = letter_rows.letter_of_digest(connection, _digest(secret))
    return row if row is not None and is_open(row) else None


def is_open(row: LetterRow) -> bool:
    """Whether a letter's link still opens its page."""
    return not row.withdrawn and now() < row.expires


def answer_letter(workspace: Workspace, secret: str, lines: str) -> bool:
    """Keep what came back; sent again, the newest stands until it was taken. False: the link opens nothing."""
    with writing(workspace.engine) as connection:
        row = letter_rows.letter_of_digest(connection, _digest(secret))
        if row is None or not is_open(row):
            return False
        if lines[:ANSWERS_MOST] != row.answers:
            told = {"answers": lines[:ANSWERS_MOST], "answered": now(), "taken": ""}
            letter_rows.change_letter(connection, row.number, CUSTOMER, **told)
    return True


def withdraw(workspace: Workspace, number: int) -> None:
    """Close a link. KeyError: there is none."""
    with writing(workspace.engine) as connection:
        if not letter_rows.letter_row(connection, number).withdrawn:
            letter_rows.change_letter(connection, number, workspace.who, withdrawn=now())


def mark_taken(workspace: Workspace, number: int) -> None:
    """Say that what came back was looked at and taken. KeyError: there is none."""
    with writing(workspace.engine) as connection:
        letter_rows.change_letter(connection, number, workspace.who, taken=now())


def letters_of(workspace: Workspace, inquiry: int | None = None) -> list[LetterRow]:
    """Letters, newest first: of one inquiry or all."""
    with reading(workspace.engine) as connection:
        return letter_rows.letter_rows(connection, inquiry)


def requests_in(row: LetterRow) -> tuple[Request, ...]:
    """The requests of a letter as they were asked."""
    return tuple(Request(**{**one, "options": tuple(one["options"])}) for one in json.loads(row.questions))


def _digest(secret: str) -> str:
    return hashlib.sha256(secret.encode("utf-8", "surrogatepass")).hexdigest()
