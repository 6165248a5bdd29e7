"""What stands between the network and the pages: headers, sizes, and tokens on forms."""

from __future__ import annotations

import hashlib
import re
import secrets
from collections.abc import Callable, Collection
from pathlib import Path
from urllib.parse import urlsplit

from itsdangerous import BadSignature, Signer
from starlette.datastructures import Headers, MutableHeaders
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

LIMIT = 1_000_000  # bytes of a request's body
FILES = ((re.compile(r"/lists"), 20_100_000), (re.compile(r"/shelf/machines/[^/]+/photo"), 8_100_000))  # come in here
COOKIE = "handfast"
POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; font-src 'self'; connect-src 'self'; "
    "form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
)
HEADERS = {
    "x-content-type-options": "nosniff",
    "referrer-policy": "same-origin",
    "x-frame-options": "DENY",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "permissions-policy": "camera=(), microphone=(), geolocation=(), payment=(), usb=()",
}


def limit_of(path: str) -> int:
    """Bytes that a request to an address may hold."""
    return next((most for where, most in FILES if where.fullmatch(path)), LIMIT)


class TooLargeError(Exception):
    """A request's body is larger than any form needs."""


class Guard:
    """Puts the safety headers on every answer and stops bodies that are too large while they come in."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass a request on, counted and with its headers."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        taken, told = 0, Headers(scope=scope).get("content-length", "")

        async def counted() -> Message:
            nonlocal taken
            if told.isdecimal() and int(told[:20]) > limit_of(scope["path"]):
                raise TooLargeError  # said before anything of it is read
            message = await receive()
            taken += len(message.get("body", b""))
            if taken > limit_of(scope["path"]):
                raise TooLargeError
            return message

        async def with_headers(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                for name, value in HEADERS.items():
                    headers.setdefault(name, value)
                if not headers.get("content-type", "").startswith("application/pdf"):
                    headers.setdefault("content-security-policy", POLICY)
                headers.setdefault("cache-control", "no-store")
            await send(message)

        await self.app(scope, counted, with_headers)


class Hosts:
    """Answers under this program's own host names; under the address for customers only their pages and styles."""

    def __init__(self, app: ASGIApp, own: Collection[str], outside: Callable[[], str]) -> None:
        self.app, self.own, self.outside = app, frozenset(own), outside

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass a request on, or say that this host name is not answered."""
        if scope["type"] not in ("http", "websocket"):
            await self.app(scope, receive, send)
            return
        asked = Headers(scope=scope).get("host", "")
        name = asked.rsplit(":", 1)[0] if not asked.endswith("]") else asked
        theirs = scope["path"].startswith(("/a/", "/static/"))
        if name in self.own or (theirs and (urlsplit(self.outside()).hostname or "") == name.casefold()):
            await self.app(scope, receive, send)
            return
        await PlainTextResponse("This host name is not answered.", status_code=400)(scope, receive, send)


def key_of(home: Path) -> bytes:
    """The workspace's own key, made on first use and readable by its owner alone."""
    path = home / "web.key"
    if not path.exists():
        fresh = secrets.token_bytes(32)
        path.touch(mode=0o600)
        path.write_bytes(fresh)
        return fresh
    return path.read_bytes()


def visitor(request: Request) -> str:
    """The random name of this browser, from its cookie or new."""
    known = request.cookies.get(COOKIE, "")
    if len(known) != 43 or not known.replace("-", "").replace("_", "").isalnum():
        known = getattr(request.state, "visitor", "") or secrets.token_urlsafe(32)
    request.state.visitor = known
    return known


def _bound(visitor: str, request: Request) -> str:
    """What a token is bound to: the browser, and the session where there is one."""
    secret = getattr(getattr(request.state, "asker", None), "secret", "")
    return f"{visitor}~{hashlib.sha256(secret.encode()).hexdigest()}" if secret else visitor


def token_for(key: bytes, request: Request) -> str:
    """The token that goes into this browser's forms; it dies with the session."""
    return Signer(key, salt="form").sign(_bound(visitor(request), request)).decode()


def token_is_good(key: bytes, request: Request, token: str) -> bool:
    """Whether a form was handed out to the browser that sends it, in the session that it is in."""
    try:
        name = Signer(key, salt="form").unsign(token).decode()
    except (BadSignature, UnicodeError):
        return False
    cookie = request.cookies.get(COOKIE, "")
    return bool(cookie) and secrets.compare_digest(name.encode(), _bound(cookie, request).encode())


def remember(request: Request, response: Response) -> None:
    """Leave the browser its random name; it says nothing of whoever sits there."""
    if request.cookies.get(COOKIE) != getattr(request.state, "visitor", None):
        response.set_cookie(COOKIE, visitor(request), httponly=True, samesite="lax", path="/", max_age=31_536_000)
