"""Workbooks read in a process of its own, with bounds on its memory and its time.

A spoilt workbook of a few hundred bytes can tell its reader of four thousand million cells. The reader then asks for
more memory than there is, and its process ends: so that is another one than the process that serves the pages.
"""

from __future__ import annotations

import logging
import pickle
import subprocess
import sys

from handfast.lists.grid import Grid, ListError
from handfast.lists.workbooks import read_workbook

MEMORY_MOST = 2_000_000_000  # bytes that the reader may take
SECONDS_MOST = 60
REFUSED, FAULTY = 3, 4  # how the other process ends: no list, or a fault of ours


def read_workbook_apart(data: bytes, name: str) -> list[Grid]:
    """Every sheet of a workbook as a grid, read by another process.

    Args:
        data: the file.
        name: its name.

    Returns:
        The grids, hidden ones marked.

    Raises:
        ListError: it is no workbook, is locked, or asks for more memory or time than any list needs.
    """
    try:
        done = subprocess.run(
            [sys.executable, "-m", "handfast.lists.apart", name], input=data, capture_output=True, timeout=SECONDS_MOST
        )
    except subprocess.TimeoutExpired as error:
        raise ListError(f"{name} takes more than {SECONDS_MOST} s to read. Nothing was read.") from error
    if done.returncode == 0:
        grids: list[Grid] = pickle.loads(done.stdout)
        return grids
    if done.returncode == REFUSED:
        raise ListError(done.stdout.decode("utf-8", "replace"))
    if done.returncode == FAULTY:
        logging.getLogger(__name__).error("a workbook could not be read: %s", done.stderr.decode("utf-8", "replace"))
    raise ListError(f"{name} can't be read as a workbook: it is spoilt. Nothing was read.")


def main(name: str) -> int:
    """Read a workbook from standard input and write its grids to standard output."""
    _bound_memory()
    try:
        told = pickle.dumps(read_workbook(sys.stdin.buffer.read(), name))
    except ListError as error:
        sys.stdout.buffer.write(str(error).encode("utf-8", "replace"))
        return REFUSED
    except MemoryError:
        return 1
    except Exception:
        logging.exception("fault")
        return FAULTY
    sys.stdout.buffer.write(told)
    return 0


def _bound_memory() -> None:
    try:
        import resource
    except ImportError:  # not on this system: the bound on time remains
        return
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY_MOST, MEMORY_MOST))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))


if __name__ == "__main__":
    sys.exit(main(sys.argv[1]))
