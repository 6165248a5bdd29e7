"""A throw-away PostgreSQL for the session, and workspaces on either database."""

from __future__ import annotations

import contextlib
import ctypes
import os
import shutil
import signal
import subprocess
import tempfile
import time
from collections.abc import Callable, Iterator
from itertools import count
from pathlib import Path
from typing import Any

import pytest

from handfast.counter.verbs import Workspace, open_workspace

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
        """Start the server, and wait until it answers."""
        command = [str(self.programs / "postgres"), "-D", str(self.data), "-k", str(self.folder), "-h", ""]
        with (self.folder / "log").open("ab") as log:
            self.server = subprocess.Popen(
                command, user=self.user, cwd=self.folder, stdout=log, stderr=log, preexec_fn=end_with_us
            )
        for _ in range(300):
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
