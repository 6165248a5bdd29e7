"""The server under abuse: bodies too large, an end in the middle, a store that refuses, and a log that names nobody."""

from __future__ import annotations

import asyncio
import json
import os
import re
import signal
import socket
import subprocess
import sys
import time
import tomllib
import tracemalloc
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from urllib.parse import quote

import httpx
import pytest
from sqlalchemy import event
from starlette.testclient import TestClient

import handfast
from handfast.counter import verbs as counter
from handfast.machines.reading import demo_inquiries
from handfast.web import logged
from handfast.web.app import make_app
from handfast.web.guard import LIMIT

SOURCE = str(Path(handfast.__file__).parents[1])
HUGE = 100_000_000


@pytest.fixture
def workspace(tmp_path: Path) -> counter.Workspace:
    workspace = counter.open_workspace(tmp_path / "home", address="")
    counter.fill_demo(workspace)
    return workspace


def sent(app: Any, path: str, headers: dict[str, str], pieces: int, piece: bytes) -> tuple[int, int]:
    """Status, and bytes that were taken, of a body that comes in pieces straight into the application."""
    taken, status = 0, 0

    async def receive() -> dict[str, Any]:
        nonlocal taken
        taken += len(piece)
        return {"type": "http.request", "body": piece, "more_body": taken < pieces * len(piece)}

    async def send(message: dict[str, Any]) -> None:
        nonlocal status
        status = message.get("status", status)

    raw = [(b"host", b"127.0.0.1")] + [(name.encode(), value.encode()) for name, value in headers.items()]
    scope = {
        "type": "http", "asgi": {"version": "3.0"}, "http_version": "1.1", "method": "POST", "scheme": "http",
        "path": path, "raw_path": path.encode(), "query_string": b"", "root_path": "", "headers": raw,
        "client": ("127.0.0.1", 1), "server": ("127.0.0.1", 80), "state": {},
    }  # fmt: skip
    asyncio.run(app(scope, receive, send))
    return status, taken


@pytest.mark.parametrize("path", ["/inquiries", "/lists", "/shelf/machines/trug-48/photo", "/api/inquiries"])
@pytest.mark.parametrize("told", [True, False])
def test_a_hundred_megabytes_are_refused_and_never_held(workspace, path: str, told: bool) -> None:
    app = make_app(workspace)
    kind = "multipart/form-data; boundary=b" if path != "/inquiries" else "application/x-www-form-urlencoded"
    kind = "application/json" if path.startswith("/api") else kind
    headers = {"content-type": kind, **({"content-length": str(HUGE)} if told else {})}
    piece = b"--b\r\n" + b"x" * 65_531
    sent(app, path, headers, 1, piece)  # whatever is imported is imported
    tracemalloc.start()
    status, taken = sent(app, path, headers, HUGE // len(piece), piece)
    most = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert 400 <= status < 500
    assert taken == 0 if told and status == 413 else taken <= 20_300_000
    assert most < 70_000_000


def test_a_body_just_within_its_bound_is_read(workspace) -> None:
    status, _ = sent(
        make_app(workspace), "/inquiries", {"content-type": "text/plain", "content-length": str(LIMIT)}, 2, b"x" * 1000
    )
    assert status != 413


def test_a_store_that_refuses_is_said_on_the_page_and_nothing_is_stored(workspace) -> None:
    with TestClient(make_app(workspace), base_url="http://127.0.0.1", client=("127.0.0.1", 50_000)) as client:
        token = re.search(r'name="token" value="([^"]+)"', client.get("/inquiries/new").text)
        assert token is not None
        before = counter.export(workspace)
        workspace.engine.dispose()

        @event.listens_for(workspace.engine, "connect")
        def connected(raw: Any, _record: Any) -> None:
            raw.execute("PRAGMA max_page_count=1")  # SQLite takes the size that there is: not a page more

        answer = client.post("/inquiries/1/facts", data={"token": token[1], "line": "note " + "word " * 1900})
        assert answer.status_code == 503 and "The disk is full" in answer.text
        assert counter.export(workspace) == before
        assert client.get("/health").json()["state"] == "well"


def test_health_tells_of_the_store_and_of_nobody(workspace) -> None:
    with TestClient(make_app(workspace), base_url="http://127.0.0.1", client=("127.0.0.1", 50_000)) as client:
        told = client.get("/health").json()
    assert set(told) == {"state", "version", "tables", "store", "last_copy", "up", "inquiries"}
    assert told["state"] == "well" and told["store"] == "sqlite" and told["last_copy"] is None and told["up"] >= 0


@pytest.fixture
def kept_log(tmp_path: Path) -> Iterator[Path]:
    logged.keep_log(tmp_path)
    yield tmp_path / "log" / logged.FILE
    logged.LOG.handlers[:] = []


def personal_words() -> set[str]:
    """Names, places, numbers and words of every caller of the demonstration."""
    found = {"Nobody Oakapple", "555-0199"}
    for inquiry in demo_inquiries().values():
        caller = inquiry.caller
        found |= {str(one) for one in (caller.name, caller.place, caller.number, inquiry.title, inquiry.said) if one}
        found |= set(re.findall(r"[A-Z][a-z]{4,}", f"{caller.place} {caller.name}"))
    return {one for one in found if len(one) > 3}


def test_the_log_of_a_whole_session_names_nobody(workspace, kept_log: Path) -> None:
    words = personal_words()
    assert len(words) > 20
    with TestClient(
        make_app(workspace), base_url="http://127.0.0.1", client=("127.0.0.1", 50_000), raise_server_exceptions=False
    ) as client:
        page = client.get("/inquiries/new").text
        token = re.search(r'name="token" value="([^"]+)"', page)
        assert token is not None
        for word in sorted(words):
            client.get("/", params={"q": word, "find": word})
            client.get(f"/nobody/{word}")
            client.get(f"/a/{word}")
        for number in range(1, 9):
            client.get(
                f"/inquiries/{number}", headers={"referer": "http://127.0.0.1/?q=Oakapple", "user-agent": "Oakapple"}
            )
            client.get(f"/inquiries/{number}/json")
            client.post(
                f"/inquiries/{number}/facts", data={"token": token[1], "line": "name Nobody Oakapple, number 555-0199"}
            )
        best = quote(counter.answer(workspace, 3).outfits[0].id, safe="")
        client.get(f"/inquiries/3/outfits/{best}")
        client.get(f"/inquiries/3/outfits/{best}/fit-sheet.pdf")
        client.post(f"/inquiries/3/outfits/{best}/quote", data={"token": token[1]})
        for path in (
            "/",
            "/quotes",
            "/shelf",
            "/settings",
            "/lists",
            "/about",
            "/health",
            "/static/pages.css",
            "/calls",
        ):
            client.get(path)
    text = kept_log.read_text("utf-8")
    lines = [json.loads(line) for line in text.splitlines()]
    assert len(lines) > 60
    for line in lines:
        assert set(line) <= {"time", "level", "method", "route", "status", "ms", "id", "fault"}
        assert re.fullmatch(r"none|/static|/[\w/{}:.\-]*", line["route"])
    assert {"/inquiries/{number:int}", "/static", "none", "/health"} <= {line["route"] for line in lines}
    assert len({line["id"] for line in lines}) == len(lines)
    for word in words:
        assert word.casefold() not in text.casefold()
    assert not re.search(r"\b\d{3}-\d{4}\b", text)
    assert kept_log.stat().st_mode & 0o077 == 0


def test_a_fault_is_logged_by_its_kind_and_place_alone(workspace, kept_log: Path, monkeypatch) -> None:
    def broken(*_given: object) -> None:
        raise RuntimeError("Mister Oakapple of Quern Ferry")

    monkeypatch.setattr(counter, "inquiries", broken)
    with TestClient(
        make_app(workspace), base_url="http://127.0.0.1", client=("127.0.0.1", 50_000), raise_server_exceptions=False
    ) as client:
        answer = client.get("/health")
    [line] = [json.loads(line) for line in kept_log.read_text().splitlines()]
    assert (
        line["status"] == 500 == answer.status_code
        and line["level"] == "error"
        and line["id"] == answer.headers.get("x-request-id", line["id"])
    )
    assert line["fault"].startswith("RuntimeError at test_hard_use.py") and "Oakapple" not in json.dumps(line)


def free_port() -> int:
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        return int(one.getsockname()[1])


def served(home: Path) -> tuple[subprocess.Popen[bytes], str]:
    port = free_port()
    env = {**os.environ, "PYTHONPATH": SOURCE, "HANDFAST_HOME": str(home), "HANDFAST_PORT": str(port)}
    env.pop("HANDFAST_DATABASE", None)
    program = subprocess.Popen(
        [sys.executable, "-m", "handfast.cli", "demo"], env=env, stdout=subprocess.PIPE, stderr=subprocess.PIPE
    )
    at, until = f"http://127.0.0.1:{port}", time.monotonic() + 60
    while time.monotonic() < until:
        try:
            if httpx.get(f"{at}/health", timeout=20).status_code == 200:
                return program, at
        except httpx.TransportError:
            time.sleep(0.1)
    raise AssertionError(program.communicate()[1])


@pytest.mark.parametrize("word", [signal.SIGTERM, signal.SIGINT])
def test_told_to_end_it_finishes_writes_down_and_closes(tmp_path: Path, word: int) -> None:
    home = tmp_path / "home"
    program, at = served(home)
    host, port = at.removeprefix("http://").split(":")
    with socket.create_connection((host, int(port)), timeout=60) as line:
        head = f"Host: {host}:{port}\r\n\r\n"
        line.sendall(f"GET /health HTTP/1.1\r\n{head}".encode())
        assert line.recv(65_536).startswith(b"HTTP/1.1 200")  # the connection has been taken
        line.sendall(f"GET /inquiries/4 HTTP/1.1\r\n{head}".encode())
        time.sleep(0.3)  # it is being reckoned
        program.send_signal(word)
        answer = b"".join(iter(lambda: line.recv(65_536), b""))
    out, err = program.communicate(timeout=60)
    assert program.returncode == 0 and b"Ended." in out, err
    assert b"HTTP/1.1 200" in answer and b"</html>" in answer
    assert not (home / "handfast.sqlite-wal").exists()  # closed in order
    kept = counter.export(counter.open_workspace(home, address=""))
    assert len(kept["inquiries"]) == 8
    assert tomllib.loads(kept["inquiries"][0]["text"])["title"]
