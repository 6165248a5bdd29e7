"""The strip of open calls, and what was promised: what a call sheet has around it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from handfast.counter import calls
from handfast.counter import verbs as counter
from handfast.counter.verbs import Workspace
from handfast.web.promised import promised
from handfast.web.told import headline


@dataclass(frozen=True)
class Tab:
    """One open call."""

    number: int
    title: str
    state: str
    begun: str
    minutes: int


def tabs(workspace: Workspace) -> list[Tab]:
    """Every open call, the first begun first."""
    now, shelf = datetime.now().astimezone(), counter.shelf(workspace)
    found = []
    for one in calls.open_calls(workspace):
        lasted = now - datetime.fromisoformat(one.call.begun)
        title = headline(one.row.title, one.row.text, shelf)
        found.append(Tab(one.row.number, title, one.call.state, one.call.begun, int(lasted.total_seconds() // 60)))
    return found


def strip_context(workspace: Workspace, number: int | None = None) -> dict[str, Any]:
    """The strip, the call of this sheet, which one `r` takes up, and the promises."""
    call = calls.call_of(workspace, number) if number is not None else None
    strip = tabs(workspace)
    held = [tab.number for tab in strip if tab.state == "on hold"]
    return {
        "call": call,
        "strip": strip,
        "holds": number if call and call.state == "on the line" else None,
        "resumes": number if number in held else (held[0] if held else None),
        "promises": promised(calls.promises(workspace, number), datetime.now()) if number is not None else [],
        "who": calls.WHO,
    }
