"""A throw-away PostgreSQL for the session, and workspaces on either database: empty, or with rows in every table."""

from __future__ import annotations

import contextlib
import ctypes
import os
import re
import shutil
import signal
import struct
import subprocess
import tempfile
import time
import zlib
from collections.abc import Callable, Iterator
from itertools import count
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import CheckConstraint, Column, Connection, Integer, LargeBinary, insert, select

from handfast.counter import (
    aftercare,
    answering,
    calls,
    letters,
    lists,
    moving,
    people,
    photos,
    quoting,
    shelving,
    verbs,
)  # fmt: skip
from handfast.counter.house import change_settings, settings_and_version
from handfast.counter.verbs import Workspace, open_workspace
from handfast.machines.outcome import Outcome
from handfast.store.database import writing
from handfast.store.tables import metadata

PLACES = ("/usr/lib/postgresql/*/bin", "/usr/pgsql-*/bin", "/opt/homebrew/opt/postgresql*/bin")
NEEDED = "HANDFAST_NEEDS_POSTGRESQL"
STORES = ("sqlite", "postgresql")


def binaries() -> Path | None:
    """The folder of the newest PostgreSQL that is installed."""
    known = shutil.which("initdb")
    found = [Path(known).parent] if known else []
    for place in PLACES:
        found += sorted(Path("/").glob(place[1:]), key=lambda path: [int(n) for n in path.parts if n.isdecimal()])
    return next((folder for folder in reversed(found) if (folder / "initdb").exists()), None)


def end_with_us() -> None:
    """In the server's process: whoever ends without a word takes the server along (Linux only)."""
    with contextlib.suppress(OSError, AttributeError):
        ctypes.CDLL(None).prctl(1, signal.SIGQUIT)


class Cluster:
    """A PostgreSQL server on a socket in a folder of its own, run as postgres where we are root: it refuses root."""

    def __init__(self, programs: Path) -> None:
        self.programs, self.folder = programs, Path(tempfile.mkdtemp(prefix="hfpg"))
        self.user = "postgres" if os.geteuid() == 0 else None
        self.numbers = count(1)
        self.server: subprocess.Popen[bytes] | None = None
        if self.user:
            shutil.chown(self.folder, self.user)
        # English rules of sorting, so that whoever lets the database sort texts is found out
        rules = ["--encoding=UTF8", "--locale=C", "--locale-provider=icu", "--icu-locale=en-US"]
        made = self.run("initdb", "-D", str(self.data), "-U", "postgres", "-A", "trust", "--no-sync", *rules)
        if made.returncode:
            made = self.run("initdb", "-D", str(self.data), "-U", "postgres", "-A", "trust", "--no-sync", *rules[:2])
        assert made.returncode == 0, made.stderr
        self.start()

    @property
    def data(self) -> Path:
        return self.folder / "data"

    def run(self, program: str, *words: str) -> subprocess.CompletedProcess[str]:
        command = [str(self.programs / program), *words]
        return subprocess.run(command, user=self.user, cwd=self.folder, capture_output=True, text=True)

    def start(self) -> None:
        """Start the server, and wait until it answers. What dies here is a process, never the machine: no fsync."""
        command = [str(self.programs / "postgres"), "-D", str(self.data), "-k", str(self.folder), "-h", ""]
        command += ["-c", "fsync=off", "-c", "full_page_writes=off", "-c", "max_wal_size=4GB"]
        with (self.folder / "log").open("ab") as log:
            self.server = subprocess.Popen(
                command, user=self.user, cwd=self.folder, stdout=log, stderr=log, preexec_fn=end_with_us
            )
        for _ in range(1200):
            if self.run("pg_isready", "-q", "-h", str(self.folder)).returncode == 0:
                return
            assert self.server.poll() is None, (self.folder / "log").read_text()
            time.sleep(0.1)
        raise AssertionError((self.folder / "log").read_text())

    def end(self, how: signal.Signals = signal.SIGINT) -> None:
        """Stop the server: at once and tidily, or as a crash does (SIGQUIT)."""
        if self.server is not None:
            self.server.send_signal(how)
            self.server.wait(60)
            self.server = None

    def address(self, name: str = "postgres") -> str:
        return f"postgresql:///{name}?host={self.folder}&user=postgres"

    def new(self, encoding: str = "UTF8") -> str:
        """The address of a database that nothing is in."""
        import psycopg

        name = f"w{next(self.numbers)}"
        with psycopg.connect(self.address(), autocommit=True) as connection:
            how = "" if encoding == "UTF8" else f" TEMPLATE template0 ENCODING '{encoding}' LOCALE_PROVIDER libc"
            connection.execute(f"CREATE DATABASE {name}{how}")
        return self.address(name)


@pytest.fixture(scope="session")
def cluster() -> Iterator[Cluster]:
    """One server for the session; skipped where there is none, unless HANDFAST_NEEDS_POSTGRESQL says it must be."""
    programs = binaries()
    if programs is None:
        if os.environ.get(NEEDED):
            pytest.fail(f"PostgreSQL's initdb is not here, and {NEEDED} is set")
        pytest.skip("no PostgreSQL here (initdb is not found): apt-get install postgresql")
    made = Cluster(programs)
    yield made
    made.end()
    shutil.rmtree(made.folder, ignore_errors=True)


@pytest.fixture(params=STORES)
def store(request: Any) -> str:
    """Which of the two databases: a test that takes this runs on both."""
    return str(request.param)


@pytest.fixture
def place(store: str, request: Any, tmp_path: Path) -> Callable[[str], tuple[Path, str]]:
    """Folder and address of a new, empty workspace on the database of this test."""

    def made(name: str = "workspace") -> tuple[Path, str]:
        return tmp_path / name, "" if store == "sqlite" else request.getfixturevalue("cluster").new()

    return made


@pytest.fixture
def opened() -> Iterator[Callable[[tuple[Path, str]], Workspace]]:
    """Opens a workspace at a place, and lets its connections go when the test is over."""
    kept: list[Workspace] = []

    def opens(where: tuple[Path, str], who: str = "counter") -> Workspace:
        kept.append(open_workspace(where[0], who, where[1]))
        return kept[-1]

    yield opens
    for one in kept:
        one.keeper.shutdown()
        one.engine.dispose()


@pytest.fixture
def desk(place: Any, opened: Any) -> Workspace:
    """An empty workspace on the database of this test."""
    return opened(place())


# -------------------- a workspace with something in every table

PICTURE = b"\x89PNG\r\n\x1a\n"  # with the chunks of ISO/IEC 15948
OUTFIT = "thicketjaw-42~pinned.ears-pins~diverter"


def picture() -> bytes:
    """A picture of 300 by 200, and a byte of every value in it."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    rows = zlib.compress(b"".join(b"\0" + bytes((x + y) % 256 for x in range(300)) for y in range(200)))
    head = struct.pack(">IIBBBBB", 300, 200, 8, 0, 0, 0, 0)
    return PICTURE + chunk(b"IHDR", head) + chunk(b"IDAT", rows) + chunk(b"IEND", b"")


def fill(desk: Workspace) -> None:
    """Do at the counter what fills the tables: every chapter's own verbs."""
    assert verbs.fill_demo(desk)
    verbs.quote(desk, 1, OUTFIT)
    number = calls.start_call(desk)
    verbs.change_inquiry(desk, number, "title = \"Ä Ö 柚子 'quoted' % _ \\\\ 🌳\"\n")
    calls.undo(desk, number)
    calls.redo(desk, number)
    calls.cannot_say(desk, number, "machine.mass")
    calls.hold_call(desk, number)
    calls.keep_promise(desk, calls.promise(desk, number, "we", "ring back", "2026-03-05T16:00"))
    calls.promise(desk, number, "the caller", "sends a photo")
    secret, _ = letters.send_questions(desk, 1, ())
    letters.answer_letter(desk, secret, "machine.mass = 1000 lb")
    lists.take_list(desk, lists.bring_list(desk, "ä.csv", b"Item,Type,Price\nL1,bucket,500\n", "Höllow"))
    machine = next(iter(verbs.shelf(desk).machines))
    photo = photos.keep_photo(desk, machine, "side.png", picture())
    photos.mark_photo(desk, machine, photo, {"pin": "10 20"})
    hoses = {"A1": {"length": "40 in", "routing": "along the arm"}}
    aftercare.keep_as_built(desk, 1, {"made": "2026-04-02", "hoses": hoses})
    aftercare.come_back(desk, 1, "A2", "short_at_dump", aftercare.Came("short_at_dump_1", missing=0.08))
    aftercare.say_outcome(desk, 1, Outcome(became="fitted"))
    version, house = settings_and_version(desk)
    book = shelving.record(desk, shelving.THE_ONE, shelving.THE_ONE)
    new = house.model_copy(update={"dealer": "Ash & Quern"})
    change_settings(desk, new, version, verbs.shelf(desk).price_book, book.version)
    shelving.retire_record(desk, "part", next(iter(verbs.shelf(desk).parts)))
    quoting.move(desk, 1, "sent")
    answering.make_link(desk, 1)
    said = answering.Given(1, "declined", "reply", answering.Chosen(name="Tamsin Fell"))
    answering.take_answer(desk, 1, said)
    people.add_person(desk, "Rowan", "owner", "a long enough password")
    people.log_in(desk, "Rowan", "a long enough password")
    people.new_token(desk, 1, "price list")
    verbs.settle(desk)
    with writing(desk.engine) as connection:
        for table in metadata.sorted_tables:
            if connection.execute(select(table)).first() is None:
                connection.execute(insert(table).values({one.name: something(connection, one) for one in table.c}))


def something(connection: Connection, column: Column[Any]) -> Any:
    """A value that a column takes: of the row that it names, of the words allowed, or anything."""
    for key in column.foreign_keys:
        return connection.scalar(select(key.column).limit(1))
    for rule in column.table.constraints:
        allowed = isinstance(rule, CheckConstraint) and re.match(rf"{column.name} IN \('([^']*)'", str(rule.sqltext))
        if allowed:
            return allowed[1]
    if isinstance(column.type, Integer):
        return 1
    return b"\0\xff" if isinstance(column.type, LargeBinary) else "{}"


@pytest.fixture(scope="session")
def filled_archive(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    """A filled workspace, as an archive."""
    desk = open_workspace(tmp_path_factory.mktemp("filled"), address="")
    fill(desk)
    desk.engine.dispose()
    return moving.pack(desk)


@pytest.fixture
def filled(filled_archive: bytes, opened: Any) -> Callable[[tuple[Path, str]], Workspace]:
    """Makes a filled workspace at a place."""

    def made(where: tuple[Path, str]) -> Workspace:
        desk = opened(where)
        moving.unpack(desk, filled_archive)
        return desk

    return made


@pytest.fixture
def filling() -> Callable[[Workspace], None]:
    """Fills an empty workspace by the counter's own verbs."""
    return fill
