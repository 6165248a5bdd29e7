"""A screen into a folder: the same rows whoever does it, parts that stand are not done again, nothing half written."""

from __future__ import annotations

import os
import signal
import sqlite3
import subprocess
import sys
import time
from dataclasses import replace
from pathlib import Path

import pyarrow.parquet as pq
import pytest

from handfast.bulk import parts as parts_module
from handfast.bulk.run import Task, Worker, screen
from handfast.machines.inquiry import Inquiry

BENCHMARKS = Path(__file__).parents[1] / "benchmarks"
sys.path.insert(0, str(BENCHMARKS))
from territory import territory  # noqa: E402, RUF100

WORK = {"work": ({"kind": "logs", "diameter": "14 in", "length": "8 ft", "mass": "700 lb"},), "site": {"slope": "8 %"}}


@pytest.fixture
def small(monkeypatch: pytest.MonkeyPatch) -> Task:
    monkeypatch.setattr(parts_module, "IN_A_PART", 12)
    machines, shelf = territory(40, 64, 3)
    return Task(Inquiry.model_validate(WORK), machines, shelf)


def test_processes_and_one_alone_write_the_same_bytes(small: Task, tmp_path: Path) -> None:
    one, two = screen(small, tmp_path / "one", 1), screen(small, tmp_path / "two", 2)
    assert one == two
    assert one.pairs > 1000 and 0 < one.fitting == one.kept
    assert (tmp_path / "one/fits.parquet").read_bytes() == (tmp_path / "two/fits.parquet").read_bytes()


def test_parts_that_stand_are_not_done_again(small: Task, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    whole = screen(small, tmp_path, 1)
    before = (tmp_path / "fits.parquet").read_bytes()
    gone = sorted((tmp_path / "parts").iterdir())[1]
    gone.unlink()
    done: list[int] = []
    plain = Worker.file
    monkeypatch.setattr(Worker, "file", lambda self, part: (done.append(1), plain(self, part))[1])
    again = screen(small, tmp_path, 1)
    assert len(done) == 1 and again.resumed == whole.parts - 1
    assert (tmp_path / "fits.parquet").read_bytes() == before


def test_another_shelf_makes_other_parts(small: Task) -> None:
    first = next(iter(small.shelf.attachments.values()))
    dearer = first.model_copy(update={"mass": first.mass.scaled(1.01)})
    other = small.shelf.model_copy(update={"attachments": {**small.shelf.attachments, first.id: dearer}})
    assert {one.digest for one in small.parts()}.isdisjoint({one.digest for one in replace(small, shelf=other).parts()})


def test_the_small_database_holds_the_best_of_each_machine(small: Task, tmp_path: Path) -> None:
    screen(small, tmp_path, 1)
    table = pq.read_table(tmp_path / "fits.parquet").to_pylist()
    base = sqlite3.connect(tmp_path / "fits.sqlite")
    for machine, best in base.execute("SELECT machine, MAX(ratio) FROM fits WHERE verdict = 'fits' GROUP BY machine"):
        assert best == max(row["ratio"] for row in table if row["machine_row"] == machine and row["verdict"] == "fits")
    counted = dict(base.execute("SELECT id, machines FROM attachments"))
    for tool in ("billetjaw-32-0", "billetjaw-40-3"):
        assert counted[tool] == len({row["machine_row"] for row in table if row["attachment"] == tool})


def test_top_keeps_so_many_of_every_machine(small: Task, tmp_path: Path) -> None:
    screen(replace(small, top=3), tmp_path, 1)
    rows = pq.read_table(tmp_path / "fits.parquet")["machine_row"].to_pylist()
    assert {rows.count(one) for one in set(rows)} == {3}


KILLED = """
import sys
sys.path[:0] = [{benchmarks!r}]
from pathlib import Path
from territory import territory
from handfast.bulk import parts
parts.IN_A_PART = 12
from handfast.bulk.run import Task, screen
from handfast.machines.inquiry import Inquiry
machines, shelf = territory(40, 64, 3)
task = Task(Inquiry.model_validate({work!r}), machines, shelf)
screen(task, Path({folder!r}), 1, lambda done, of: print(done, flush=True))
"""


def test_no_total_depends_on_what_was_reckoned_before(small: Task, tmp_path: Path) -> None:
    """Each part by a worker of its own, and all by one: the same totals."""
    for part in small.parts():
        (tmp_path / "parts").mkdir(exist_ok=True)
        (tmp_path / "parts" / part.name).write_bytes(Worker(small).file(part))
    screen(small, tmp_path, 1)
    screen(small, tmp_path / "one", 1)
    assert (tmp_path / "fits.parquet").read_bytes() == (tmp_path / "one/fits.parquet").read_bytes()


def test_killed_and_begun_again(small: Task, tmp_path: Path) -> None:
    script = KILLED.format(benchmarks=str(BENCHMARKS), work=WORK, folder=str(tmp_path / "killed"))
    child = subprocess.Popen([sys.executable, "-c", script], stdout=subprocess.PIPE, text=True, env=dict(os.environ))
    assert child.stdout is not None
    while (child.stdout.readline() or "9").strip() not in ("2", "9"):
        time.sleep(0.001)
    child.send_signal(signal.SIGKILL)
    child.wait()
    again = screen(small, tmp_path / "killed", 1)
    screen(small, tmp_path / "whole", 1)
    assert again.resumed >= 1
    assert (tmp_path / "killed/fits.parquet").read_bytes() == (tmp_path / "whole/fits.parquet").read_bytes()
