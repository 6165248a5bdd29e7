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

import numpy as np
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
    """All parts as one file, in the order of the parts, and as a small database; one part in memory at a time.

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
    tools = {one: k for k, one in enumerate(task.shelf.attachments)}
    fits, best, rows = np.zeros((len(tools), len(task.machines)), dtype=bool), [], 0
    fitting = 0
    with pq.ParquetWriter(folder / ".fits.parquet", SCHEMA, compression="zstd") as whole:
        for part in parts:
            table = pq.read_table(folder / "parts" / part.name).cast(SCHEMA)
            whole.write_table(table)
            good = _fits(table)
            at = np.array([tools[one] for one in table["attachment"].to_pylist()], dtype=np.intp)
            fits[at[good], table["machine_row"].to_numpy()[good]] = True
            best.append(_best(table))
            rows, fitting = rows + len(table), fitting + int(good.sum())
    (folder / ".fits.parquet").replace(folder / "fits.parquet")
    summary = _summed(task, len(parts), rows, fitting, resumed)
    _database(task, fits.sum(axis=1), best, summary, folder)
    keep(folder / "summary.json", json.dumps(asdict(summary), indent=1).encode())
    return summary


def _fits(table: Any) -> Any:
    """Which rows fit, with weight behind or without."""
    return pc.starts_with(table["verdict"].cast(pa.string()), "fits").to_numpy()


def _summed(task: Task, parts: int, rows: int, fitting: int, resumed: int) -> Summary:
    lines = max(len(task.inquiry.work), 1)
    screened = [len(catalogue_of(task.inquiry, task.shelf, line).attachments) for line in range(lines)]
    pairs = len(task.machines) * sum(screened)
    attachments = len(task.shelf.attachments)
    return Summary(pairs, len(task.machines), attachments, lines, rows, fitting, parts, resumed)


TABLES = """
CREATE TABLE machines (row INTEGER PRIMARY KEY, id TEXT, name TEXT, class TEXT);
CREATE TABLE attachments (id TEXT PRIMARY KEY, name TEXT, kind TEXT, machines INTEGER);
CREATE TABLE fits (line INTEGER, machine INTEGER, attachment TEXT, verdict TEXT, governs TEXT, ratio REAL,
  payload REAL, counterweight REAL, total REAL, mount TEXT, power TEXT, PRIMARY KEY (line, machine, attachment));
CREATE TABLE summary (name TEXT PRIMARY KEY, value INTEGER);
"""
FITS = (
    *("line", "machine_row", "attachment", "verdict", "governs", "ratio", "payload", "counterweight", "total"),
    *("mount", "power"),
)


def _database(task: Task, served: Any, best: Sequence[Any], summary: Summary, folder: Path) -> None:
    """The best few of each machine, and how many machines each attachment fits."""
    beside = folder / ".fits.sqlite"
    beside.unlink(missing_ok=True)
    base = sqlite3.connect(beside)
    with base:
        base.executescript(TABLES)
        machines = ((k, one.id, one.name, one.class_) for k, one in enumerate(task.machines))
        base.executemany("INSERT INTO machines VALUES (?, ?, ?, ?)", machines)
        tools = zip(task.shelf.attachments.values(), served.tolist(), strict=True)
        base.executemany(
            "INSERT INTO attachments VALUES (?, ?, ?, ?)", ((o.id, o.name, str(o.kind), n) for o, n in tools)
        )
        for few in best:
            rows = zip(*(few[name].to_pylist() for name in FITS), strict=True)
            base.executemany(f"INSERT INTO fits VALUES ({', '.join('?' * len(FITS))})", rows)
        base.executemany("INSERT INTO summary VALUES (?, ?)", asdict(summary).items())
    base.close()
    beside.replace(folder / "fits.sqlite")


def _best(table: Any) -> Any:
    """The best rows of each machine of a part: what fits first, then the most room."""
    rank = pc.index_in(table["verdict"].cast(pa.string()), pa.array(BEST_FIRST)).to_numpy()
    machine, ratio = table["machine_row"].to_numpy(), table["ratio"].to_numpy()
    order = np.lexsort((table["attachment_row"].to_numpy(), -ratio, rank, machine))
    begins = np.searchsorted(machine[order], machine[order])
    few = order[np.arange(len(order)) - begins < BEST]
    return table.take(pa.array(few)).select(FITS)


BEST_FIRST = ("fits", "fits with a counterweight", "does not fit", "no way to hang or move it")
