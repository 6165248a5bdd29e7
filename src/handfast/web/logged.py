"""A line of JSON a request: when, which address by its pattern, what came of it, how long. Never who, what or where."""

from __future__ import annotations

import json
import logging
import secrets
import time
import traceback
from collections.abc import Mapping
from datetime import UTC, datetime
from logging.handlers import RotatingFileHandler
from pathlib import Path
from typing import Any

from starlette.datastructures import MutableHeaders
from starlette.routing import Route
from starlette.types import ASGIApp, Message, Receive, Scope, Send

LOG = logging.getLogger("handfast.requests")
SIZE, FILES = 5_000_000, 4  # bytes of one file, and how many older ones stay
FILE = "requests.jsonl"


class Logged:
    """Gives each request a number of its own and writes its line; the address stands there as its pattern."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass a request on, and write down what came of it."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        begun, number, status = time.perf_counter(), secrets.token_hex(8), 500

        async def numbered(message: Message) -> None:
            nonlocal status
            if message["type"] == "http.response.start":
                status = message["status"]
                MutableHeaders(scope=message)["x-request-id"] = number
            await send(message)

        fault = None
        try:
            await self.app(scope, receive, numbered)
        except Exception as error:
            fault = place_of(error)
            raise
        finally:
            spent = round((time.perf_counter() - begun) * 1e3, 1)
            told = {"method": scope["method"], "route": pattern_of(scope), "status": status, "ms": spent, "id": number}
            write(logging.ERROR if status >= 500 else logging.INFO, {**told, **({"fault": fault} if fault else {})})


def write(level: int, told: Mapping[str, Any]) -> None:
    """Write a line, if anybody keeps the log."""
    if LOG.handlers:
        LOG.log(level, "%s", json.dumps({"time": _now(), "level": logging.getLevelName(level).lower(), **told}))


def pattern_of(scope: Scope) -> str:
    """An address as the program has it, such as /inquiries/{number:int}: what a visitor put into it is not in it.

    >>> pattern_of({"path": "/nobody/knows"})
    'none'
    """
    endpoint, app = scope.get("endpoint"), scope.get("app")
    if scope["path"].startswith("/static/"):
        return "/static"
    for route in app.routes if app is not None and endpoint is not None else ():
        if isinstance(route, Route) and route.endpoint is endpoint and route.path_regex.match(scope["path"]):
            return str(route.path)
    return "none"


def place_of(error: BaseException) -> str:
    """Kind and place of an error: what it says may be a caller's own words."""
    frames = traceback.extract_tb(error.__traceback__)
    where = f" at {Path(frames[-1].filename).name}:{frames[-1].lineno}" if frames else ""
    return f"{type(error).__name__}{where}"


def keep_log(home: Path) -> None:
    """Write the lines into the workspace's folder, a bounded number of files, readable by their owner alone."""
    folder = home / "log"
    folder.mkdir(mode=0o700, exist_ok=True)
    (folder / FILE).touch(mode=0o600)
    handler = RotatingFileHandler(folder / FILE, maxBytes=SIZE, backupCount=FILES, encoding="utf-8")
    handler.setFormatter(logging.Formatter("%(message)s"))
    LOG.handlers[:] = [handler]
    LOG.propagate = False
    LOG.setLevel(logging.INFO)


def _now() -> str:
    return datetime.now(UTC).isoformat(timespec="milliseconds")
