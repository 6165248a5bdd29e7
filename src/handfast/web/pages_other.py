"""What Handfast is, whether it is well."""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import JSONResponse, Response

from handfast.counter import verbs as counter
from handfast.data.release import TABLES, VERSION
from handfast.web.desk import desk_of, off_loop, page


async def about_page(request: Request) -> Response:
    """What Handfast is, what it rests on, and its keys."""
    return page(request, "about.html")


async def health(request: Request) -> Response:
    """Whether the workspace answers."""
    found = await off_loop(counter.inquiries, desk_of(request).workspace)
    return JSONResponse({"state": "well", "version": VERSION, "tables": TABLES, "inquiries": len(found)})
