"""What the first caller would have to wait for, done while the program starts: tables read, chapters loaded."""

from __future__ import annotations

from contextlib import suppress
from importlib import import_module
from threading import Thread

from starlette.applications import Starlette

from handfast.counter.verbs import Workspace, shelf, try_answer
from handfast.machines.faults import Faults
from handfast.web.desk import Desk

HALF_KNOWN = """
title = "nobody's call"
[machine]
engine_power = "about 30 hp"
[[work]]
kind = "logs"
[[work]]
kind = "brush"
"""
KNOWN = """
title = "nobody's call"
[machine]
record = "{}"
[[work]]
kind = "logs"
diameter = "12 in"
length = "8 ft"
"""
MACHINES = 24  # of the shelf whose outlets, linkages and hoses are looked at beforehand
LATER = ("handfast.outfits.linked", "handfast.drawings.from_outfit", "handfast.documents.press")


def make_ready(workspace: Workspace, app: Starlette) -> Thread:
    """Answer a call of nobody's beside the start; nothing is stored.

    Args:
        workspace: whose shelf is answered from.
        app: whose templates are read.

    Returns:
        The thread that does it, started.
    """
    thread = Thread(target=_warm, args=(workspace, app.state.desk), daemon=True, name="make ready")
    thread.start()
    return thread


def _warm(workspace: Workspace, desk: Desk) -> None:
    for text in (HALF_KNOWN, *(KNOWN.format(name) for name in list(shelf(workspace).machines)[:MACHINES])):
        with suppress(Faults):
            try_answer(workspace, text)
    for name in desk.templates.list_templates():
        desk.templates.get_template(name)
    for name in LATER:
        import_module(name)
