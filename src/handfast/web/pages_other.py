"""What Handfast is, whether it is well."""

from __future__ import annotations

from time import monotonic
from typing import Any

from starlette.requests import Request
from starlette.responses import JSONResponse, Response

from handfast.counter import verbs as counter
from handfast.counter.keeping import last_copy
from handfast.data.release import TABLES, VERSION
from handfast.store.address import StoreError
from handfast.web.desk import Desk, desk_of, off_loop, page


async def about_page(request: Request) -> Response:
    """What Handfast is, what it rests on, and its keys."""
    return page(request, "about.html")


async def health(request: Request) -> Response:
    """Whether the workspace answers, how old its last copy is, how long the program runs; nothing of anybody's."""
    desk = desk_of(request)
    try:
        found = await off_loop(counter.inquiries, desk.workspace)
    except StoreError:
        return JSONResponse({"state": "the store does not answer", **_running(desk)}, 503)
    return JSONResponse({"state": "well", **_running(desk), "inquiries": len(found)})


def _running(desk: Desk) -> dict[str, Any]:
    copy = last_copy(desk.workspace)
    return {
        "version": VERSION,
        "tables": TABLES,
        "store": desk.workspace.engine.dialect.name,
        "last_copy": copy.stem.removeprefix("handfast-") if copy else None,
        "up": round(monotonic() - desk.begun, 1),  # s
    }
