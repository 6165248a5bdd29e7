"""The pages as one application: routes, faults turned into pages, static files."""

from __future__ import annotations

from functools import partial
from pathlib import Path

from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.middleware import Middleware
from starlette.middleware.gzip import GZipMiddleware
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response
from starlette.routing import Mount
from starlette.staticfiles import StaticFiles
from starlette.types import Scope

from handfast.counter.verbs import Workspace, open_workspace
from handfast.machines.faults import Faults
from handfast.store.address import StoreError
from handfast.web.desk import HERE, Desk, page, templates
from handfast.web.doors import Doors
from handfast.web.guard import Guard, Hosts, TooLargeError, key_of, limit_of
from handfast.web.logged import Logged
from handfast.web.pages_questions import outside
from handfast.web.routes import routes

HOSTS = ("127.0.0.1", "localhost", "[::1]")  # names under which the pages answer: no other site can borrow them


class Static(StaticFiles):
    """Static files; an address with a stamp of the content can be kept for ever."""

    async def get_response(self, path: str, scope: Scope) -> Response:
        """The file, with how long it may be kept."""
        response = await super().get_response(path, scope)
        if scope["query_string"]:
            response.headers["cache-control"] = "public, max-age=31536000, immutable"
        else:
            response.headers["cache-control"] = "no-cache"
        return response


def create_app(home: Path, hosts: tuple[str, ...] = HOSTS) -> Starlette:
    """The pages on the workspace in a folder.

    Args:
        home: the workspace folder; made when missing.
        hosts: host names under which the pages answer.

    Returns:
        The application.
    """
    return make_app(open_workspace(home), hosts)


def make_app(workspace: Workspace, hosts: tuple[str, ...] = HOSTS) -> Starlette:
    """The pages on an open workspace.

    Args:
        workspace: as `handfast.counter.verbs.open_workspace` gives it.
        hosts: host names under which the pages answer.

    Returns:
        The application.
    """
    guards = [
        Middleware(Logged),
        Middleware(Hosts, own=hosts, outside=partial(outside, workspace)),
        Middleware(Guard),
        Middleware(GZipMiddleware, minimum_size=700, compresslevel=6),
        Middleware(Doors),
    ]
    faults = {
        HTTPException: said,
        KeyError: not_there,
        Faults: contradicted,
        TooLargeError: too_large,
        StoreError: not_stored,
        Exception: failed,
    }
    found = [*routes(), Mount("/static", Static(directory=HERE / "static"))]
    app = Starlette(routes=found, middleware=guards, exception_handlers=faults)  # type: ignore[arg-type]
    app.state.desk = Desk(workspace, key_of(workspace.home), templates())
    return app


TITLES = {403: "Not taken", 404: "Not here", 405: "Not that way", 413: "Too large", 415: "Not taken", 422: "Not taken"}


async def said(request: Request, error: HTTPException) -> Response:
    """A refusal as a page."""
    words = error.detail if error.status_code not in (404, 405) else "There is nothing at this address."
    return page(request, "error.html", error.status_code, title=TITLES.get(error.status_code, "Not taken"), said=words)


async def not_there(request: Request, _error: KeyError) -> Response:
    """No such inquiry, outfit or quote."""
    words = "There is no such inquiry, outfit or quote. An outfit's address changes when what was asked changes."
    return page(request, "error.html", 404, title="Not here", said=words)


async def contradicted(request: Request, faults: Faults) -> Response:
    """Facts that can't all be true, as a page."""
    return page(request, "error.html", 422, title="Not taken", said=" ".join(map(str, faults.faults)))


async def too_large(request: Request, _error: TooLargeError) -> Response:
    """A body that no form needs."""
    words = f"More than {limit_of(request.url.path) // 1_000_000} MB came in one go. Nothing was stored."
    return page(request, "error.html", 413, title="Too large", said=words)


async def not_stored(request: Request, error: StoreError) -> Response:
    """The store refuses: a full disk, a file held by another, or spoilt; then what a page needs may be refused too."""
    try:
        return page(request, "error.html", 503, title="Not stored", said=str(error))
    except StoreError:
        return PlainTextResponse(str(error), 503)


async def failed(request: Request, _error: Exception) -> Response:
    """Our own failure: said plainly; what it was stands in the log."""
    words = "Handfast failed at this page. What was stored is still there; the log says what happened."
    return page(request, "error.html", 500, title="Failed", said=words)
