"""Inquiries with the version at which they were seen, so that what two people write at once is never lost."""

from __future__ import annotations

from collections.abc import Callable

from sqlalchemy import Connection

from handfast.counter.verbs import Workspace
from handfast.machines.reading import read_inquiry
from handfast.store import inquiry_rows
from handfast.store.change_rows import changes_of
from handfast.store.database import reading, writing
from handfast.store.inquiry_rows import InquiryRow
from handfast.store.tables import STATES

TABLE, STATE = "inquiries", "state: "


class StaleInquiryError(Exception):
    """Somebody has changed the inquiry since it was seen."""

    def __init__(self, now: InquiryRow, version: int) -> None:
        super().__init__(f"inquiry {now.number}")
        self.now, self.version = now, version


def inquiry_seen(workspace: Workspace, number: int) -> tuple[int, InquiryRow]:
    """An inquiry and its version, the number of its newest change. KeyError: no such number."""
    with reading(workspace.engine) as connection:
        row = inquiry_rows.inquiry_row(connection, number)
        return _version(connection, number), row


def inquiry_then(workspace: Workspace, number: int, version: int) -> str | None:
    """An inquiry's text at one of its versions; None where it never had that."""
    with reading(workspace.engine) as connection:
        log = changes_of(connection, TABLE, str(number))
    if all(change.number != version for change in log):
        return None
    texts = [change.after for change in log if change.number <= version and not _is_state(change.after)]
    return texts[-1] if texts else None


def state_then(workspace: Workspace, number: int, version: int) -> str | None:
    """Where an inquiry stood at one of its versions; None where it never had that."""
    with reading(workspace.engine) as connection:
        log = changes_of(connection, TABLE, str(number))
    if all(change.number != version for change in log):
        return None
    moves = [str(change.after) for change in log if change.number <= version and (change.after or "").startswith(STATE)]
    return moves[-1].removeprefix(STATE) if moves else STATES[0]


def change_seen(workspace: Workspace, number: int, text: str, version: int, file: str = "inquiry.toml") -> int:
    """Replace the text of an inquiry that was seen at a version; gives its new version.

    Raises Faults where the text has any, StaleInquiryError where it has moved on since: nothing is written then.
    KeyError: no such number.
    """
    given = read_inquiry(text, file)
    with writing(workspace.engine) as connection:
        row = _unmoved(connection, number, version)
        if row.text != text:
            inquiry_rows.change_text(connection, number, text, given.title, given.caller.place, workspace.who)
        return _version(connection, number)


def move_seen(workspace: Workspace, number: int, state: str, version: int) -> int:
    """Move an inquiry that was seen at a version to a state; gives its new version. As `change_seen`."""
    with writing(workspace.engine) as connection:
        _unmoved(connection, number, version)
        inquiry_rows.change_state(connection, number, state, workspace.who)
        return _version(connection, number)


def rewrite(workspace: Workspace, number: int, make: Callable[[str], str], file: str = "inquiry.toml") -> None:
    """Make an inquiry's text of the one that stands; made again from the newer one where somebody was quicker.

    Raises what `make` raises, Faults where its text has any; KeyError: no such number. Nothing is stored then.
    """
    while True:
        version, row = inquiry_seen(workspace, number)
        text = make(row.text)
        if text == row.text:
            return
        try:
            change_seen(workspace, number, text, version, file)
            return
        except StaleInquiryError:
            continue


def move_from(workspace: Workspace, number: int, state: str, seen: str) -> None:
    """Move an inquiry that was seen in a state; StaleInquiryError where it has left that since. KeyError."""
    with writing(workspace.engine) as connection:
        row = inquiry_rows.inquiry_row(connection, number)
        if row.state not in (seen, state):
            raise StaleInquiryError(row, _version(connection, number))
        inquiry_rows.change_state(connection, number, state, workspace.who)


def _unmoved(connection: Connection, number: int, version: int) -> InquiryRow:
    row, now = inquiry_rows.inquiry_row(connection, number), _version(connection, number)
    if now != version:
        raise StaleInquiryError(row, now)
    return row


def _version(connection: Connection, number: int) -> int:
    log = changes_of(connection, TABLE, str(number))
    return log[-1].number if log else 0


def _is_state(text: str | None) -> bool:
    return text is None or text.startswith(STATE)
