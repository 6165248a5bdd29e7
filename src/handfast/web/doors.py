"""The doors: every request passes here, is asked who it is, and is held against the area of what it asks for."""

from __future__ import annotations

from typing import TYPE_CHECKING
from urllib.parse import quote

from anyio import to_thread
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Match, Route
from starlette.types import ASGIApp, Receive, Scope, Send

from handfast.counter.roles import DOES, SHOWN, may, who_may
from handfast.web.api_door import BEARER
from handfast.web.api_problem import Problem
from handfast.web.areas import OPEN, area_of
from handfast.web.desk import page
from handfast.web.who_asks import NOBODY, Asker, asker_of

if TYPE_CHECKING:
    from handfast.web.desk import Desk

API = "/api/"
ALWAYS = "/static/"
OF_A_VERB = "of a verb"  # the API holds its verbs against its own table, at its own door, with who asks from here
CUSTOMERS = "/a/"  # below it there is nothing but what a secret opens
NO_VERBS = ("/api/openapi.json", "/api/{rest:path}")


class Doors:
    """Lets through who may, sends to the login who is not known, and tells the others who may."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass a request on with its person, or answer in its place."""
        if scope["type"] != "http" or scope["path"].startswith(ALWAYS):
            if scope["type"] != "websocket":
                await self.app(scope, receive, send)
            return
        api = scope["path"].startswith(API)
        desk: Desk = scope["app"].state.desk
        asker = await to_thread.run_sync(asker_of, scope, desk.workspace, api)
        scope.setdefault("state", {}).update(asker=asker, person=asker.person)
        area = area_asked(scope)
        if area in (OPEN, OF_A_VERB) or may(asker.role, area):
            await self.app(scope, receive, send)
            return
        answer = _unknown(scope, api) if asker == NOBODY else _not_yours(scope, api, asker, area)
        await answer(scope, receive, send)


def area_asked(scope: Scope) -> str:
    """The area of a request; of an address that is not there that of looking, so that only people learn of it."""
    for route in scope["app"].routes:
        if isinstance(route, Route):
            found, _ = route.matches(scope)
            if found == Match.FULL:
                if route.path.startswith(API):
                    return "read" if route.path in NO_VERBS else OF_A_VERB
                return area_of(scope["method"], route.path)
    return OPEN if scope["path"].startswith(CUSTOMERS) else "read"


def _unknown(scope: Scope, api: bool) -> Response:
    """Nobody is logged in: a program is told so, a browser is shown where."""
    if api:
        return Problem("who", "Send a token: Authorization: Bearer hf_…", headers=BEARER).response()
    request = Request(scope)
    asked = request.url.path + (f"?{request.url.query}" if request.url.query else "")
    where = "/login" if request.method != "GET" or asked == "/" else f"/login?next={quote(asked, safe='/')}"
    if request.headers.get("hx-request") == "true":
        return Response(status_code=401, headers={"hx-redirect": "/login"})
    return RedirectResponse(where, 303)


def _not_yours(scope: Scope, api: bool, asker: Asker, area: str) -> Response:
    """Somebody known may not: who may is said."""
    if api:
        return Problem("may-not", f"That is for: {', '.join(who_may(area))}.").response()
    request = Request(scope)
    allowed = [SHOWN[role] for role in who_may(area)]
    name = asker.person.name if asker.person is not None else ""
    return page(request, "not_yours.html", 403, name=name, role=SHOWN[asker.role], allowed=allowed, does=DOES[area])
