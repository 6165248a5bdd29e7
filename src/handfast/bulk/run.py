"""A whole screen into a folder: parts first, each whole or not there, then one table and a small database."""

from __future__ import annotations

import json
import os
import sqlite3
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor, as_completed
from dataclasses import asdict, dataclass
from multiprocessing import get_context
from pathlib import Path
from typing import Any

import pyarrow as pa
import pyarrow.compute as pc
import pyarrow.parquet as pq

from handfast.bulk.catalogue import Catalogue
from handfast.bulk.costs import Costs
from handfast.bulk.parts import SCHEMA, Part, catalogue_of, part_file, parts_of
from handfast.machines.inquiry import Inquiry
from handfast.machines.shelf import Shelf
from handfast.machines.tractor import Machine

Told = Callable[[int, int], None]
BEST = 5  # rows of each machine that the small database holds


@dataclass(frozen=True)
class Summary:
    """What a screen came to."""

    pairs: int
    machines: int
    attachments: int
    lines: int
    kept: int
    fitting: int
    parts: int
    resumed: int


@dataclass(frozen=True)
class Task:
    """What a screen is asked."""

    inquiry: Inquiry
    machines: Sequence[Machine]
    shelf: Shelf
    top: int = 0

    def parts(self) -> list[Part]:
        """Its parts."""
        return parts_of(self.inquiry, self.machines, self.shelf, self.top)


class Worker:
    """Does parts one after the other; what belongs to a line of work is looked up once."""

    def __init__(self, task: Task) -> None:
        self.task = task
        self._lines: dict[int, tuple[Catalogue, Costs]] = {}

    def file(self, part: Part) -> bytes:
        """The part's file."""
        if part.line not in self._lines:
            catalogue = catalogue_of(self.task.inquiry, self.task.shelf, part.line)
            self._lines[part.line] = catalogue, Costs(catalogue)
        return part_file(part, self.task.machines, *self._lines[part.line])


def screen(task: Task, folder: Path, workers: int = 2, told: Told = lambda done, of: None) -> Summary:
    """Work every part out, then put them together; parts that stand there already are not done again.

    Args:
        task: what is asked.
        folder: made when missing; holds parts/, fits.parquet, fits.sqlite, summary.json.
        workers: processes.
        told: called with how many parts are done and how many there are.

    Returns:
        `Summary`.

    Raises:
        OSError: the folder can't be written.

    Example:
        >>> import tempfile
        >>> with tempfile.TemporaryDirectory() as folder:
        ...     screen(Task(Inquiry(), (), Shelf()), Path(folder)).pairs
        0
    """
    parts, store = task.parts(), folder / "parts"
    store.mkdir(parents=True, exist_ok=True)
    waiting = [part for part in parts if not (store / part.name).is_file()]
    done = len(parts) - len(waiting)
    told(done, len(parts))
    for part, data in _worked(task, waiting, workers):
        keep(store / part.name, data)
        done += 1
        told(done, len(parts))
    return gather(task, parts, folder, len(parts) - len(waiting))


def _worked(task: Task, parts: Sequence[Part], workers: int) -> Iterator[tuple[Part, bytes]]:
    if workers == 1 or len(parts) < 2:
        worker = Worker(task)
        yield from ((part, worker.file(part)) for part in parts)
        return
    with ProcessPoolExecutor(workers, get_context("fork"), _begin, (task,)) as pool:
        waiting = {pool.submit(_do, part): part for part in parts}
        for one in as_completed(waiting):
            yield waiting[one], one.result()


_worker: list[Worker] = []


def _begin(task: Task) -> None:
    _worker[:] = [Worker(task)]


def _do(part: Part) -> bytes:
    return _worker[0].file(part)


def keep(path: Path, data: bytes) -> None:
    """Write a file whole or not at all.

    Args:
        path: where.
        data: what.

    Example:
        >>> import tempfile
        >>> with tempfile.TemporaryDirectory() as folder:
        ...     keep(Path(folder) / "one", b"1")
        ...     (Path(folder) / "one").read_bytes()
        b'1'
    """
    beside = path.with_name(f".{path.name}.{os.getpid()}")
    beside.write_bytes(data)
    beside.replace(path)


def gather(task: Task, parts: Sequence[Part], folder: Path, resumed: int = 0) -> Summary:
    """All parts as one table in the order of lines, machines and attachments, and as a small database.

    Args:
        task: what was asked.
        parts: its parts, all there.
        folder: where they stand.
        resumed: how many were there before.

    Returns:
        `Summary`.

    Example:
        >>> gather.__name__
        'gather'
    """
    tables = [pq.read_table(folder / "parts" / part.name) for part in parts]
    whole = pa.concat_tables(tables).unify_dictionaries().combine_chunks() if tables else SCHEMA.empty_table()
    order = pc.sort_indices(
        whole, [(name, "ascending") for name in ("line", "machine_row", "attachment_row")]
    )  # rows of a part are in order already; parts interleave
    whole = whole.take(order)
    pq.write_table(whole, folder / ".fits.parquet", compression="zstd")
    (folder / ".fits.parquet").replace(folder / "fits.parquet")
    summary = _summed(task, parts, whole, resumed)
    _database(task, whole, summary, folder)
    keep(folder / "summary.json", json.dumps(asdict(summary), indent=1).encode())
    return summary


def _summed(task: Task, parts: Sequence[Part], whole: Any, resumed: int) -> Summary:
    lines = max(len(task.inquiry.work), 1)
    screened = [len(catalogue_of(task.inquiry, task.shelf, line).attachments) for line in range(lines)]
    fitting = pc.sum(pc.starts_with(whole["verdict"].cast(pa.string()), "fits")).as_py() or 0
    pairs = len(task.machines) * sum(screened)
    attachments = len(task.shelf.attachments)
    return Summary(pairs, len(task.machines), attachments, lines, len(whole), fitting, len(parts), resumed)


TABLES = """
CREATE TABLE machines (row INTEGER PRIMARY KEY, id TEXT, name TEXT, class TEXT);
CREATE TABLE attachments (id TEXT PRIMARY KEY, name TEXT, kind TEXT, machines INTEGER);
CREATE TABLE fits (line INTEGER, machine INTEGER, attachment TEXT, verdict TEXT, governs TEXT, ratio REAL,
  payload REAL, counterweight REAL, total REAL, mount TEXT, power TEXT, PRIMARY KEY (line, machine, attachment));
CREATE TABLE summary (name TEXT PRIMARY KEY, value INTEGER);
"""
FITS = ("line", "machine_row", "attachment", "verdict", "governs", "ratio", "payload", "counterweight", "total")


def _database(task: Task, whole: Any, summary: Summary, folder: Path) -> None:
    """The best few of each machine, and how many machines each attachment fits."""
    beside = folder / ".fits.sqlite"
    beside.unlink(missing_ok=True)
    base = sqlite3.connect(beside)
    with base:
        base.executescript(TABLES)
        machines = ((k, one.id, one.name, one.class_) for k, one in enumerate(task.machines))
        base.executemany("INSERT INTO machines VALUES (?, ?, ?, ?)", machines)
        base.executemany("INSERT INTO attachments VALUES (?, ?, ?, ?)", _counted(task, whole))
        base.executemany(f"INSERT INTO fits VALUES ({', '.join('?' * 11)})", _best(whole))
        base.executemany("INSERT INTO summary VALUES (?, ?)", asdict(summary).items())
    base.close()
    beside.replace(folder / "fits.sqlite")


def _counted(task: Task, whole: Any) -> Iterator[tuple[str, str, str, int]]:
    fitting = whole.filter(pc.starts_with(whole["verdict"].cast(pa.string()), "fits"))
    pairs = pa.table({"tool": fitting["attachment"].cast(pa.string()), "machine": fitting["machine_row"]})
    counts = pairs.group_by("tool").aggregate([("machine", "count_distinct")])
    found = dict(zip(counts["tool"].to_pylist(), counts["machine_count_distinct"].to_pylist(), strict=True))
    for one in task.shelf.attachments.values():
        yield one.id, one.name, str(one.kind), found.get(one.id, 0)


def _best(whole: Any) -> Iterator[tuple[Any, ...]]:
    """The best rows of each machine: what fits first, then the most room."""
    ranked = whole.append_column("rank", pc.index_in(whole["verdict"].cast(pa.string()), pa.array(BEST_FIRST)))
    keys = [("line", "ascending"), ("machine_row", "ascending"), ("rank", "ascending"), ("ratio", "descending")]
    order = pc.sort_indices(ranked, [*keys, ("attachment_row", "ascending")])
    place: tuple[int, int] | None = None
    count = 0
    lines, machines = ranked["line"].take(order).to_pylist(), ranked["machine_row"].take(order).to_pylist()
    picked = []
    for at, key in enumerate(zip(lines, machines, strict=True)):
        count = count + 1 if key == place else 1
        place = key
        if count <= BEST:
            picked.append(at)
    few = ranked.take(order.take(pa.array(picked, pa.int64())))
    yield from zip(*(few[name].to_pylist() for name in (*FITS, "mount", "power")), strict=True)


BEST_FIRST = ("fits", "fits with a counterweight", "does not fit", "no way to hang or move it")
