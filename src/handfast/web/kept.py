"""Pages once drawn are handed out again until something is written: what does not compute does not wait."""

from __future__ import annotations

import time
from asyncio import Future, get_running_loop
from collections import OrderedDict
from collections.abc import Awaitable, Callable
from dataclasses import dataclass, field

from starlette.requests import Request
from starlette.responses import Response

from handfast.counter.verbs import newest_change, price_day
from handfast.web.guard import COOKIE, remember, token_for
from handfast.web.who_asks import COOKIE as SESSION
from handfast.web.who_asks import COOKIE_TLS, NOBODY

KEPT, SECONDS = 256, 20.0  # pages; a page that tells the minutes may be so old
NOT_LOOKS = (COOKIE, SESSION, COOKIE_TLS)  # cookies that say who, not how
MARK = b"\0form token\0"  # no page holds a NUL
Endpoint = Callable[[Request], Awaitable[Response]]
Look = tuple[str, ...]


@dataclass(frozen=True)
class Sheet:
    """A page as drawn, with a mark where the browser's own token goes."""

    stamp: int
    at: float
    body: bytes
    headers: tuple[tuple[str, str], ...]


@dataclass
class Drawn:
    """The pages lately drawn, and those just being drawn."""

    sheets: OrderedDict[Look, Sheet] = field(default_factory=OrderedDict)
    waits: dict[Look, Future[None]] = field(default_factory=dict)

    def find(self, look: Look, stamp: int) -> Sheet | None:
        """A page that is still true."""
        sheet = self.sheets.get(look)
        if sheet is None or sheet.stamp != stamp or time.monotonic() - sheet.at > SECONDS:
            return None
        self.sheets.move_to_end(look)
        return sheet

    def keep(self, look: Look, sheet: Sheet) -> None:
        """Keep a page, and let the oldest go, and those that something written has made untrue."""
        for stale in [one for one, held in self.sheets.items() if held.stamp < sheet.stamp]:
            del self.sheets[stale]
        self.sheets[look] = sheet
        self.sheets.move_to_end(look)
        while len(self.sheets) > KEPT:
            self.sheets.popitem(last=False)


def look_of(request: Request) -> Look:
    """All that a page's content turns on beside what is stored."""
    cookies = sorted(f"{name}={value}" for name, value in request.cookies.items() if name not in NOT_LOOKS)
    told = [request.headers.get(name, "") for name in ("hx-request", "accept-language", "host")]
    told.append(price_day())  # by which prices hold
    asker = getattr(request.state, "asker", NOBODY)
    told.extend((asker.role, str(asker.person.number) if asker.person else ""))
    return (request.url.path, request.url.query, *told, *cookies)


def kept(draw: Endpoint) -> Endpoint:
    """A page's endpoint that draws only what was not drawn since the last writing."""

    async def endpoint(request: Request) -> Response:
        desk = request.app.state.desk
        drawn, look = desk.drawn, look_of(request)
        while True:
            stamp = newest_change(desk.workspace)
            sheet = drawn.find(look, stamp)
            if sheet is not None:
                return handed(request, desk.key, sheet)
            if look not in drawn.waits:
                return await drawing(drawn, look, stamp, draw, request)
            await drawn.waits[look]

    return endpoint


async def drawing(drawn: Drawn, look: Look, stamp: int, draw: Endpoint, request: Request) -> Response:
    """Draw a page; who asks for the same meanwhile waits for this one."""
    wait = drawn.waits[look] = get_running_loop().create_future()
    try:
        response = await draw(request)
        kind = response.headers.get("content-type", "")
        if response.status_code == 200 and kind.startswith("text/html") and MARK not in response.body:
            own = token_for(request.app.state.desk.key, request).encode()
            told = tuple((k, v) for k, v in response.headers.items() if k not in ("set-cookie", "content-length"))
            drawn.keep(look, Sheet(stamp, time.monotonic(), bytes(response.body).replace(own, MARK), told))
        return response
    finally:
        del drawn.waits[look]
        wait.set_result(None)


def handed(request: Request, key: bytes, sheet: Sheet) -> Response:
    """A kept page with this browser's token in its forms."""
    response = Response(sheet.body.replace(MARK, token_for(key, request).encode()), headers=dict(sheet.headers))
    remember(request, response)
    return response
