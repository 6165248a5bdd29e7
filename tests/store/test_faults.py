"""Faults put into the store more than two hundred ways: said in a sentence, and nothing that was acknowledged is lost.

A text is acknowledged once the verb that stores it has returned. It is compared with the texts that the test itself
handed over.
"""

from __future__ import annotations

import os
import resource
import shutil
import signal
import sqlite3
import tempfile
import time
from collections.abc import Callable, Iterator
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from random import Random

import pytest
from sqlalchemy import event

from handfast.counter import calls, keeping, moving
from handfast.counter import verbs as counter
from handfast.machines.reading import demo_shelf
from handfast.machines.shelf import Shelf
from handfast.store import change_rows, engines
from handfast.store.backups import backup_file, backups, thin
from handfast.store.change_rows import changes_of
from handfast.store.database import FILE, StoreError, reading, writing

TEXTS = [f'title = "call {n}"\nnotes = "{"said so " * (n % 7)}{n * 7919}"\n' for n in range(40)]
FLIPS, CUTS, LOGS, KILLS = 100, 20, 24, 24


@pytest.fixture(scope="module")
def sound(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A workspace that was closed in order, with a dated copy."""
    home = tmp_path_factory.mktemp("sound")
    workspace = counter.open_workspace(home, address="")
    shelf = demo_shelf()
    few = dict(list(shelf.machines.items())[:3])
    counter.put_on_shelf(workspace, Shelf(machines=few))
    for text in TEXTS:
        counter.new_inquiry(workspace, text)
    assert keeping.keep_daily(workspace, date(2026, 3, 1)) == backup_file(home, "2026-03-01")
    workspace.engine.dispose()
    assert not (home / f"{FILE}-wal").exists()
    return home


@pytest.fixture
def home(sound: Path, tmp_path: Path) -> Path:
    return Path(shutil.copytree(sound, tmp_path / "home"))


def texts_in(workspace: counter.Workspace) -> list[str]:
    return [row.text for row in reversed(counter.inquiries(workspace))]


def looked_at(home: Path) -> tuple[list[str] | None, list[str]]:
    """The texts that can be read, None where that is refused; and what is said to be wrong."""
    try:
        workspace = counter.open_workspace(home, address="")
    except StoreError as error:
        return None, [str(error)]
    try:
        said = keeping.soundness(workspace)
        try:
            return texts_in(workspace), said
        except StoreError as error:
            return None, [*said, str(error)]
    finally:
        workspace.engine.dispose()


def holds(home: Path, wanted: list[str]) -> None:
    """Either all that was acknowledged stands, or it is said that it does not, and the copy brings it back."""
    found, said = looked_at(home)
    if said:
        assert all(one.endswith(".") for one in said)
        assert any("The last copy is" in one and "handfast restore" in one for one in said), said
        other = counter.open_workspace(home.parent / "restored", address="")
        moving.unpack(other, backups(home)[0].read_bytes())
        assert texts_in(other) == TEXTS
        other.engine.dispose()
    else:
        assert found == wanted


@pytest.mark.parametrize("seed", range(FLIPS))
def test_flipped_bytes_are_found_or_do_no_harm(home: Path, seed: int) -> None:
    random, file = Random(seed), home / FILE
    held = bytearray(file.read_bytes())
    for _ in range(random.choice((1, 1, 4, 32, 256))):
        held[random.randrange(len(held))] ^= 1 << random.randrange(8)
    if seed % 5 == 0:  # a whole page of something else
        page = random.randrange(len(held) // 4096) * 4096
        held[page : page + 4096] = random.randbytes(4096)
    file.write_bytes(held)
    holds(home, TEXTS)


def test_a_spoilt_text_is_said_without_the_text(home: Path) -> None:
    held = (home / FILE).read_bytes()
    (home / FILE).write_bytes(
        held.replace(b"said so said so said so said so 95028", b"said so said so said so sa\xffd so 95028")
    )
    workspace = counter.open_workspace(home, address="")
    with pytest.raises(StoreError, match="a text in it can't be read") as caught:
        texts_in(workspace)
    assert "said so" not in str(caught.value)


@pytest.mark.parametrize("part", range(CUTS))
def test_a_file_that_was_cut_is_found(home: Path, part: int) -> None:
    size = (home / FILE).stat().st_size
    os.truncate(home / FILE, size * part // CUTS)
    found, said = looked_at(home)
    assert said and (found is None or found != TEXTS)
    holds(home, TEXTS)


@pytest.mark.parametrize(
    "wrong",
    [
        b"",
        b"\0" * 8192,
        b"not a database",
        b"SQLite format 3\0",
        b"SQLite format 3\0" + b"\xff" * 8176,
        b"PK\x03\x04" * 900,
    ]
    + [bytes(Random(n).randbytes(20_000)) for n in range(2)],
)
def test_a_wrong_file_in_its_place_is_said(home: Path, wrong: bytes) -> None:
    (home / FILE).write_bytes(wrong)
    found, said = looked_at(home)
    assert found is None and "spoilt" in said[0] and "The last copy is" in said[0]
    assert (home / FILE).read_bytes() == wrong  # left as it is


def forked(work: Callable[[int], None]) -> tuple[int, int]:
    """A copy of this process that does some work and ends without tidying up: its number, and what it writes to."""
    out, into = os.pipe()
    child = os.fork()
    if child == 0:
        try:
            os.close(out)
            work(into)
        finally:
            os._exit(0)
    os.close(into)
    return child, out


def lines_of(out: int) -> list[str]:
    with os.fdopen(out) as told:
        return [line.rstrip("\n") for line in told if line.endswith("\n")]


def write_on(home: Path, times: int) -> Callable[[int], None]:
    """Store texts, and acknowledge each with a line once it is stored."""

    def work(into: int) -> None:
        workspace = counter.open_workspace(home, address="")
        for n in range(times):
            number = counter.new_inquiry(workspace, f'title = "later {n}"')
            counter.change_state(workspace, number, "closed")
            os.write(into, f'title = "later {n}"\n'.encode())

    return work


@pytest.mark.parametrize("way", range(LOGS))
def test_a_write_ahead_log_that_is_lost_or_spoilt_leaves_whole_steps(home: Path, way: int) -> None:
    """SQLite takes of the log what its sums hold for: what can be read is everything up to some step."""
    child, out = forked(write_on(home, 12))
    later = lines_of(out)
    os.waitpid(child, 0)
    assert len(later) == 12
    log, random = home / f"{FILE}-wal", Random(way)
    held = bytearray(log.read_bytes())
    assert held
    if way == 0:
        log.unlink()
    elif way == 1:
        (home / f"{FILE}-shm").unlink()
    elif way % 2:
        os.truncate(log, random.randrange(len(held)))
    else:
        held[random.randrange(len(held))] ^= 1 << random.randrange(8)
        log.write_bytes(held)
    found, said = looked_at(home)
    if not said:
        assert found is not None and found[:40] == TEXTS and found[40:] == later[: len(found) - 40]
        assert way != 1 or len(found) == 52
    holds(home, found or TEXTS)


@pytest.mark.parametrize("way", range(KILLS))
def test_killed_at_any_moment_all_that_was_acknowledged_stands(home: Path, way: int) -> None:
    child, out = forked(write_on(home, 400))
    time.sleep(0.02 + 0.011 * way)
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
    later = lines_of(out)
    found, said = looked_at(home)
    assert said == [] and found is not None
    assert found[: 40 + len(later)] == TEXTS + later
    assert len(found) <= 41 + len(later)  # at most the one that was under way


def limited(workspace: counter.Workspace, pages: int) -> None:
    @event.listens_for(workspace.engine, "connect")
    def connected(raw: sqlite3.Connection, _record: object) -> None:
        raw.execute(f"PRAGMA max_page_count={pages}")

    workspace.engine.dispose()


@pytest.mark.parametrize("more", range(12))
def test_a_full_disk_is_said_and_what_stood_still_stands(home: Path, more: int) -> None:
    """SQLite answers a bound on its pages as it answers a full disk: SQLITE_FULL."""
    pages = (home / FILE).stat().st_size // 4096
    workspace = counter.open_workspace(home, address="")
    limited(workspace, pages + more)
    stored: list[str] = []
    with pytest.raises(StoreError, match="disk is full"):
        for n in range(400):
            text = f'title = "more {n}"\nnotes = "{"x" * 300 * more}"'
            counter.new_inquiry(workspace, text)
            stored.append(text)
    assert texts_in(workspace) == TEXTS + stored
    workspace.engine.dispose()
    assert looked_at(home) == (TEXTS + stored, [])


@pytest.mark.parametrize("room", [0, 5_000, 20_000, 60_000, 150_000, 400_000])
def test_a_file_that_may_not_grow_is_said(home: Path, room: int) -> None:
    """The system refuses to let any file grow beyond a bound, as at the end of a quota."""
    most = room or 4096

    def work(into: int) -> None:
        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        workspace = counter.open_workspace(home, address="")
        resource.setrlimit(resource.RLIMIT_FSIZE, (most, most))
        for n in range(400):
            try:
                counter.new_inquiry(workspace, f'title = "more {n}"')
            except StoreError as error:
                os.write(into, f"{error}\n".encode())
                return
            os.write(into, f'title = "more {n}"\n'.encode())

    child, out = forked(work)
    *stored, last = lines_of(out)
    os.waitpid(child, 0)
    assert "disk" in last and "Nothing of this was stored" in last
    assert looked_at(home) == (TEXTS + stored, [])


@pytest.mark.skipif(os.geteuid() != 0, reason="another user is needed, for whom the file is read-only")
@pytest.mark.parametrize(("file", "folder"), [(0o444, 0o777), (0o666, 0o555), (0o444, 0o555), (0o000, 0o777)])
def test_a_read_only_workspace_is_said(home: Path, file: int, folder: int) -> None:
    place = Path(tempfile.mkdtemp(dir="/tmp")) / "home"
    shutil.copytree(home, place)
    for one in (place.parent, place, *place.iterdir()):
        one.chmod(0o777)
    (place / FILE).chmod(file)
    place.chmod(folder)

    def work(into: int) -> None:
        os.setgid(65534)
        os.setuid(65534)
        try:
            workspace = counter.open_workspace(place, address="")
            counter.new_inquiry(workspace, "title = 'x'")
            os.write(into, b"stored\n")
        except StoreError as error:
            os.write(into, f"{error}\n".encode())

    child, out = forked(work)
    [said] = lines_of(out)
    os.waitpid(child, 0)
    assert "read-only" in said or "can't be opened" in said
    assert looked_at(place) == (TEXTS, [])
    shutil.rmtree(place.parent)


VERBS: dict[str, Callable[[counter.Workspace], object]] = {
    "an inquiry": lambda w: counter.new_inquiry(w, "title = 'x'"),
    "its state": lambda w: counter.change_state(w, 1, "closed"),
    "its text": lambda w: counter.change_inquiry(w, 1, "title = 'y'"),
    "the shelf": lambda w: counter.put_on_shelf(w, demo_shelf()),
    "a call": lambda w: calls.start_call(w),
    "an undoing": lambda w: calls.undo(w, 1),
}


@pytest.mark.parametrize("verb", VERBS)
def test_a_workspace_that_another_holds_is_said_and_let_go_is_written(
    home: Path, verb: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(engines, "PRAGMAS", (*engines.PRAGMAS[:-1], "busy_timeout=50"))
    workspace = counter.open_workspace(home, address="")
    counter.change_inquiry(workspace, 1, "title = 'before'")
    other = sqlite3.connect(home / FILE, isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    before = counter.export(workspace)
    with pytest.raises(StoreError, match="Another program holds"):
        VERBS[verb](workspace)
    assert counter.export(workspace) == before
    other.execute("ROLLBACK")
    VERBS[verb](workspace)
    assert counter.export(workspace) != before
    other.close()


JUMPS = [timedelta(days=days) for days in (-36_500, -4000, -400, -1, 1, 40, 400, 4000, 36_500)] + [timedelta(hours=-1)]


@pytest.mark.parametrize("jump", JUMPS, ids=str)
def test_a_clock_that_jumps_neither_turns_the_log_round_nor_takes_copies(
    home: Path, jump: timedelta, monkeypatch: pytest.MonkeyPatch
) -> None:
    workspace = counter.open_workspace(home, address="")
    counter.change_inquiry(workspace, 1, "title = 'first'")
    jumped = datetime.now(UTC) + jump
    monkeypatch.setattr(change_rows, "now", lambda: jumped.isoformat(timespec="milliseconds"))
    counter.change_inquiry(workspace, 1, "title = 'second'")
    with reading(workspace.engine) as connection:
        log = [one.after for one in changes_of(connection, "inquiries", "1")]
    assert log[-2:] == ["title = 'first'", "title = 'second'"]
    calls.undo(workspace, 1)
    assert counter.inquiry(workspace, 1).text == "title = 'first'"
    assert keeping.soundness(workspace) == []
    kept = keeping.keep_daily(workspace, jumped.date(), kept=3)
    assert kept is not None and kept.exists()
    assert len(backups(home)) == 2  # the one before stays, whatever the clock says


def test_copies_are_thinned_by_their_number_and_only_they(home: Path) -> None:
    for day in range(2, 20):
        backup_file(home, f"2026-03-{day:02}").write_bytes(b"x")
    (home / "backups" / "mine.zip").write_bytes(b"mine")
    thin(home, 14)
    assert [path.name[-6:-4] for path in backups(home)] == [f"{day:02}" for day in range(19, 5, -1)]
    assert (home / "backups" / "mine.zip").exists()


def test_a_copy_that_cannot_be_written_is_logged_and_leaves_the_older(home: Path, caplog) -> None:
    workspace = counter.open_workspace(home, address="")
    blocked = backup_file(home, "2026-03-02")
    blocked.with_name(blocked.name + ".new").mkdir()
    assert keeping.keep_daily(workspace, date(2026, 3, 2)) is None
    assert "could not be written" in caplog.text and keeping.last_copy(workspace) == backup_file(home, "2026-03-01")


def test_what_the_log_does_not_say_is_found(home: Path) -> None:
    """One letter changed behind the program's back, in a file that is sound in itself."""
    raw = sqlite3.connect(home / FILE)
    raw.execute("UPDATE inquiries SET text = replace(text, 'call 3\"', 'call 4\"') WHERE number = 4")
    raw.execute("UPDATE shelf SET record = '{' WHERE place = 1")
    raw.commit()
    raw.close()
    found, said = looked_at(home)
    assert found is not None and "Inquiry 4 is not what the log of changes says last." in said and len(said) == 3


def test_a_fault_of_ours_stays_a_fault_of_ours(home: Path) -> None:
    workspace = counter.open_workspace(home, address="")
    with pytest.raises(Exception, match="no such table") as caught, writing(workspace.engine) as connection:
        connection.exec_driver_sql("SELECT * FROM nowhere")
    assert not isinstance(caught.value, StoreError)


@pytest.fixture(autouse=True)
def _no_address(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    monkeypatch.delenv("HANDFAST_DATABASE", raising=False)
    yield
