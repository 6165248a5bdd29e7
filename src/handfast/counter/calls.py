"""The verbs of a call: begun, held, taken up again, rung off; promises; undo and redo. One transaction each."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import Connection

from handfast.counter.verbs import Workspace
from handfast.machines.reading import read_inquiry
from handfast.store import call_rows, change_rows, inquiry_rows
from handfast.store.call_rows import CallRow, PromiseRow
from handfast.store.change_rows import Change
from handfast.store.database import reading, writing
from handfast.store.inquiry_rows import InquiryRow

NOTHING = 'title = ""\n'  # an inquiry of which nothing is known yet
WHO = ("we", "the caller", "the supplier", "the shop")


@dataclass(frozen=True)
class OpenCall:
    """A call of the strip with its inquiry."""

    call: CallRow
    row: InquiryRow


def start_call(workspace: Workspace, hold: int | None = None) -> int:
    """Open an empty inquiry as the call on the line, `hold` put on hold; an open call that is still empty is taken."""
    with writing(workspace.engine) as connection:
        if hold is not None:
            _hold(connection, hold, workspace.who)
        empty = [
            call.inquiry
            for call in call_rows.call_rows(connection)
            if inquiry_rows.inquiry_row(connection, call.inquiry).text == NOTHING
        ]
        number = empty[-1] if empty else inquiry_rows.add_inquiry(connection, NOTHING, "", "", workspace.who)
        call_rows.put_call(connection, number, "on the line", workspace.who)
    return number


def hold_call(workspace: Workspace, number: int) -> None:
    """Put a call on hold. KeyError: no such inquiry."""
    with writing(workspace.engine) as connection:
        inquiry_rows.inquiry_row(connection, number)
        call_rows.put_call(connection, number, "on hold", workspace.who)


def resume_call(workspace: Workspace, number: int, hold: int | None = None) -> None:
    """Take a call up (again), `hold` put on hold in the same step. KeyError: no such inquiry."""
    with writing(workspace.engine) as connection:
        inquiry_rows.inquiry_row(connection, number)
        if hold is not None and hold != number:
            _hold(connection, hold, workspace.who)
        call_rows.put_call(connection, number, "on the line", workspace.who)


def ring_off(workspace: Workspace, number: int) -> None:
    """End a call; its inquiry stays. KeyError: no such inquiry."""
    with writing(workspace.engine) as connection:
        inquiry_rows.inquiry_row(connection, number)
        call_rows.put_call(connection, number, "rung off", workspace.who)


def open_calls(workspace: Workspace) -> list[OpenCall]:
    """Every call that is not rung off, the first begun first."""
    with reading(workspace.engine) as connection:
        rows = call_rows.call_rows(connection)
        return [OpenCall(row, inquiry_rows.inquiry_row(connection, row.inquiry)) for row in rows]


def call_of(workspace: Workspace, number: int) -> CallRow | None:
    """The call of an inquiry, if it ever was one."""
    with reading(workspace.engine) as connection:
        return call_rows.call_row(connection, number)


def cannot_say(workspace: Workspace, number: int, fact: str | None) -> None:
    """Keep that the caller can't say a fact, so that the next is asked; None: ask them all again. KeyError."""
    with writing(workspace.engine) as connection:
        inquiry_rows.inquiry_row(connection, number)
        call = call_rows.call_row(connection, number)
        if call is None:
            call_rows.put_call(connection, number, "rung off", workspace.who)
        known = call.cannot_say if call else ()
        facts = () if fact is None else tuple(dict.fromkeys((*known, fact)))
        if facts != known:
            call_rows.put_cannot_say(connection, number, facts, workspace.who)


def promise(workspace: Workspace, number: int, who: str, what: str, by: str = "") -> int:
    """Keep who has to do what by when, and return the promise's number. KeyError: no such inquiry."""
    if who not in WHO:
        raise ValueError(f"{who!r} is none of {', '.join(WHO)}")
    with writing(workspace.engine) as connection:
        inquiry_rows.inquiry_row(connection, number)
        return call_rows.add_promise(connection, number, who, what, by, workspace.who)


def promises(workspace: Workspace, number: int | None = None) -> list[PromiseRow]:
    """Every promise, or those of one inquiry: the open ones by when they are due, then those kept."""
    with reading(workspace.engine) as connection:
        return call_rows.promise_rows(connection, number)


def keep_promise(workspace: Workspace, promise_number: int, done: bool = True) -> PromiseRow:
    """Mark a promise as kept, or open again; gives it as it was. KeyError: no such promise."""
    with writing(workspace.engine) as connection:
        return call_rows.mark_promise(connection, promise_number, done, workspace.who)


def undo(workspace: Workspace, number: int) -> bool:
    """Step an inquiry's facts back by one change of the log; False where there is none. KeyError: no such inquiry."""
    return _step(workspace, number, "undo")


def redo(workspace: Workspace, number: int) -> bool:
    """Take back the last undo; False where there is none. KeyError: no such inquiry."""
    return _step(workspace, number, "redo")


def steps(workspace: Workspace, number: int) -> tuple[bool, bool]:
    """Whether there is something to undo, and something to redo."""
    with reading(workspace.engine) as connection:
        done, undone = _stacks(change_rows.changes_of(connection, "inquiries", str(number)))
    return bool(done), bool(undone)


def history(workspace: Workspace, number: int) -> list[Change]:
    """Everything that was noted of an inquiry, its call and its promises, oldest first. KeyError."""
    with reading(workspace.engine) as connection:
        inquiry_rows.inquiry_row(connection, number)
        kept = [
            change
            for table in ("inquiries", "calls", "promises")
            for change in change_rows.changes_of(connection, table, str(number))
        ]
    return sorted(kept, key=lambda change: change.number)


def _hold(connection: Connection, number: int, who: str) -> None:
    """Put a call on hold where it is on the line."""
    call = call_rows.call_row(connection, number)
    if call is not None and call.state == "on the line":
        call_rows.put_call(connection, number, "on hold", who)


def _stacks(log: list[Change]) -> tuple[list[Change], list[Change]]:
    """The changes of the facts that can be undone, and those that can be redone, newest last."""
    done: list[Change] = []
    undone: list[Change] = []
    for change in log:
        if change.before is None or change.before.startswith("state: "):
            continue
        if change.step == "undo":
            undone.append(done.pop())
        elif change.step == "redo":
            done.append(undone.pop())
        else:
            done.append(change)
            undone.clear()
    return done, undone


def _step(workspace: Workspace, number: int, step: str) -> bool:
    with writing(workspace.engine) as connection:
        inquiry_rows.inquiry_row(connection, number)
        done, undone = _stacks(change_rows.changes_of(connection, "inquiries", str(number)))
        stack = done if step == "undo" else undone
        if not stack:
            return False
        text = (stack[-1].before if step == "undo" else stack[-1].after) or NOTHING
        given = read_inquiry(text, "inquiry")
        inquiry_rows.change_text(connection, number, text, given.title, given.caller.place, workspace.who, step)
    return True
