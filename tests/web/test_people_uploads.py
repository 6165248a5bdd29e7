"""What is sent in must not hurt: 100 MB, files that unpack without end, names and addresses that climb out."""

from __future__ import annotations

import asyncio
import io
import tracemalloc
import zipfile
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import text

from handfast.counter import moving
from handfast.counter.verbs import open_workspace
from handfast.store import archive
from handfast.store.database import StoreError, reading
from handfast.web.guard import limit_of

CHUNK = 1_000_000
WHOLE = 100 * CHUNK
EDGE = "----handfast"
PHOTO = "/shelf/machines/thimble-24/photo"


def head(name: str) -> bytes:
    return (
        f'--{EDGE}\r\nContent-Disposition: form-data; name="file"; filename="{name}"\r\n'
        "Content-Type: application/octet-stream\r\n\r\n"
    ).encode()


async def pour(app: Any, path: str, kind: bytes, first: bytes, length: bytes | None) -> tuple[int, int]:
    """Send 100 MB to an address, a megabyte at a time; status, and how many megabytes were taken."""
    sent, status = 0, 0

    async def receive() -> dict[str, Any]:
        nonlocal sent
        body = first if sent == 0 else b"a" * CHUNK
        sent += 1
        return {"type": "http.request", "body": body, "more_body": sent <= WHOLE // CHUNK}

    async def send(message: dict[str, Any]) -> None:
        nonlocal status
        status = message.get("status", status)

    headers = [(b"host", b"127.0.0.1"), (b"content-type", kind)]
    scope = {
        "type": "http", "asgi": {"version": "3.0"}, "http_version": "1.1", "method": "POST", "scheme": "http",
        "path": path, "raw_path": path.encode(), "query_string": b"", "root_path": "", "client": ("127.0.0.1", 1),
        "server": ("127.0.0.1", 80), "headers": [*headers, *([(b"content-length", length)] if length else [])],
    }  # fmt: skip
    await app(scope, receive, send)
    return status, sent - 1


FORM = b"application/x-www-form-urlencoded"
PARTS = f"multipart/form-data; boundary={EDGE}".encode()
POURED = {
    "a list": ("/lists", PARTS, head("a.csv")),
    "a photo": (PHOTO, PARTS, head("a.png")),
    "a form": ("/inquiries", FORM, b"toml="),
    "a login": ("/login", FORM, b"password="),
    "a customer's answer": ("/a/nothing", FORM, b"words-1="),
    "a verb of the API": ("/api/inquiries", b"application/json", b'{"title": "'),
}


@pytest.mark.parametrize("length", [None, b"100000000", b"10"], ids=["no length", "its length", "a lie"])
@pytest.mark.parametrize("what", POURED)
def test_a_hundred_megabytes_are_stopped_while_they_come(desk, what: str, length: bytes | None) -> None:
    path, kind, first = POURED[what]
    tracemalloc.start()
    status, taken = asyncio.run(pour(desk.app, path, kind, first, length))
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert status in (404, 413), status
    assert taken <= limit_of(path) // CHUNK + 2  # refused while it came in, not afterwards
    assert peak < 4 * limit_of(path) + 20 * CHUNK
    assert everything(desk) == 0


def everything(desk) -> int:
    """Lists and photos that were kept."""
    with reading(desk.app.state.desk.workspace.engine) as connection:
        return sum(int(connection.scalar(text(f"SELECT count(*) FROM {name}"))) for name in ("imports", "photos"))


# -------------------- files that unpack without end


def bomb(name: str, megabytes: int, lies: bool = False) -> bytes:
    """A zip file of a few kilobytes that unpacks to so much; one that lies says it unpacks to nothing much."""
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as file:
        file.writestr("[Content_Types].xml", "<Types/>")
        with file.open(name, "w", force_zip64=True) as part:
            for _ in range(megabytes):
                part.write(b" " * CHUNK)
    data = packed.getvalue()
    return data.replace((megabytes * CHUNK).to_bytes(4, "little"), (1000).to_bytes(4, "little")) if lies else data


@pytest.mark.parametrize("lies", [False, True], ids=["open", "lying"])
@pytest.mark.parametrize("name", ["b.xlsx", "b.ods"])
def test_a_bomb_is_refused_and_takes_no_memory(desk, name: str, lies: bool) -> None:
    inner = "xl/worksheets/sheet1.xml" if name.endswith("xlsx") else "content.xml"
    files = {"file": (name, bomb(inner, 400, lies), "application/octet-stream")}
    token = desk.token()
    tracemalloc.start()
    answer = desk.client.post("/lists", data={"token": token}, files=files)
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert answer.status_code == 422
    assert peak < 60 * CHUNK
    assert everything(desk) == 0


def test_a_picture_that_unpacks_without_end_is_never_unpacked(desk) -> None:
    """A PNG of 30,000 × 30,000 px in a few bytes: its size is read from its head, and refused there."""
    chunk = b"IHDR" + (30_000).to_bytes(4, "big") * 2 + bytes([8, 2, 0, 0, 0])
    picture = b"\x89PNG\r\n\x1a\n" + (13).to_bytes(4, "big") + chunk + bytes(4) + b"\0" * 100
    answer = desk.client.post(PHOTO, data={"token": desk.token()}, files={"file": ("a.png", picture, "image/png")})
    assert answer.status_code == 422
    assert everything(desk) == 0


def test_an_archive_that_unpacks_without_end_is_refused_unread(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(archive, "UNPACKED_MOST", 50 * CHUNK)
    workspace = open_workspace(tmp_path)
    for lies in (False, True):
        data = bomb("manifest.json", 120, lies)
        tracemalloc.start()
        with pytest.raises(StoreError):
            moving.unpack(workspace, data)
        peak = tracemalloc.get_traced_memory()[1]
        tracemalloc.stop()
        assert peak < 60 * CHUNK


# -------------------- names and addresses that climb out

CLIMB = (
    "../../../out.csv",
    "..\\..\\out.csv",
    "/out.csv",
    "C:\\out.csv",
    "a/../../out.csv",
    "%2e%2e/out.csv",
    "out.csv\0.png",
)


def outside_of(home: Path) -> set[str]:
    return {str(path.relative_to(home.parent)) for path in home.parent.rglob("*") if home not in path.parents}


@pytest.mark.parametrize("name", CLIMB)
def test_a_files_name_leads_nowhere(desk, name: str) -> None:
    before = outside_of(desk.home)
    body = head(name) + b"Model;Weight\r\nA;3 lb\r\n" + f"\r\n--{EDGE}\r\n".encode()
    body += f'Content-Disposition: form-data; name="token"\r\n\r\n{desk.token()}\r\n--{EDGE}--\r\n'.encode()
    answer = desk.client.post("/lists", content=body, headers={"content-type": PARTS.decode()})
    assert answer.status_code in (303, 400, 422)
    assert outside_of(desk.home) == before
    with reading(desk.app.state.desk.workspace.engine) as connection:
        kept = [str(one) for (one,) in connection.execute(text("SELECT name FROM imports"))]
    assert not any(sign in one for one in kept for sign in ("/", "\\"))
    assert not list(Path(desk.home).glob("**/out.csv*"))


WAYS = (
    "../web.key", "..%2fweb.key", "%2e%2e/web.key", "%2e%2e%2fweb.key", "..\\web.key", "..%5cweb.key", "....//web.key",
    "fonts/../../app.py", "fonts/..%2f..%2fapp.py", "/etc/passwd", "%2fetc%2fpasswd", "..%00/app.py",
    "../templates/base.html",    "sheet.css/../../app.py", "%252e%252e/app.py",
)  # fmt: skip


@pytest.mark.parametrize("way", WAYS)
def test_no_address_climbs_out_of_the_static_files(desk, way: str) -> None:
    desk.client.get("/about")  # makes the key
    raw = f"/static/{way}".encode()
    answer = asyncio.run(fetch(desk.app, raw))
    assert answer[0] in (303, 400, 404), answer[0]
    assert b"import" not in answer[1]
    assert b"root:" not in answer[1]
    assert (desk.home / "web.key").read_bytes() not in answer[1]


async def fetch(app: Any, raw: bytes) -> tuple[int, bytes]:
    """An address as a program sends it that tidies nothing up."""
    from urllib.parse import unquote

    told: list[dict[str, Any]] = []

    async def receive() -> dict[str, Any]:
        return {"type": "http.request", "body": b"", "more_body": False}

    async def send(message: dict[str, Any]) -> None:
        told.append(message)

    scope = {
        "type": "http", "asgi": {"version": "3.0"}, "http_version": "1.1", "method": "GET", "scheme": "http",
        "path": unquote(raw.decode()), "raw_path": raw, "query_string": b"", "root_path": "",
        "client": ("127.0.0.1", 1), "server": ("127.0.0.1", 80), "headers": [(b"host", b"127.0.0.1")],
    }  # fmt: skip
    await app(scope, receive, send)
    return int(told[0]["status"]), b"".join(one.get("body", b"") for one in told[1:])


@pytest.mark.parametrize(
    "path", ["/shelf/machines/..%2f..%2fweb.key", "/quotes/1/..%2f..%2fweb.key.pdf", "/a/..%2fshelf"]
)
def test_no_address_of_a_record_climbs_out(desk, path: str) -> None:
    status, body = asyncio.run(fetch(desk.app, path.encode()))
    assert status == 404
    assert b"Traceback" not in body


def test_the_workspaces_key_is_its_owners_alone(desk) -> None:
    desk.client.get("/about")
    assert (desk.home / "web.key").stat().st_mode & 0o077 == 0
