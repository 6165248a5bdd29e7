"""A server from its start to its end: a copy every day, requests finished, answers written down, the store closed."""

from __future__ import annotations

import ctypes
import gc
import logging
import signal
from contextlib import suppress
from datetime import date
from threading import Event, Thread
from types import FrameType
from typing import Any

from handfast.counter.verbs import Workspace, settle

PATIENCE = 20  # s that running requests have to finish
M_ARENA_MAX = -8  # malloc.h of the GNU C library
IDLE = 60.0  # s between two times that memory is handed back
FIRST, AGAIN = 5.0, 3600.0  # s after the start, and between two looks, at whether the day has its copy


def run_to_the_end(server: Any, listener: Any, workspace: Workspace) -> None:
    """Serve until stopped by Ctrl-C or SIGTERM; then everything that was given is written down and the store closed.

    Args:
        server: of uvicorn, told to wait `PATIENCE` for running requests.
        listener: the socket that was taken.
        workspace: that is served.
    """
    ended = Event()
    _few_heaps()
    with suppress(ValueError):  # only a program's main thread can be told
        signal.signal(signal.SIGTERM, _as_ctrl_c)
    Thread(target=_give_back, args=(ended,), daemon=True, name="give back").start()
    Thread(target=_copies, args=(workspace, ended), daemon=True, name="copies").start()
    try:
        server.run(sockets=[listener])
    except KeyboardInterrupt:
        pass
    finally:
        ended.set()
        settle(workspace)
        workspace.engine.dispose()  # the last one out has the write-ahead log taken in


def _as_ctrl_c(_number: int, _frame: FrameType | None) -> None:
    raise KeyboardInterrupt


def _few_heaps() -> None:
    """Have the system's allocator keep two heaps for all threads: with one each, what one frees helps no other."""
    with suppress(OSError, AttributeError):  # not that allocator
        ctypes.CDLL(None).mallopt(M_ARENA_MAX, 2)


def _give_back(ended: Event) -> None:
    """Hand memory that nobody uses back to the system, now and then."""
    while not ended.wait(IDLE):
        gc.collect()
        with suppress(OSError, AttributeError):
            ctypes.CDLL(None).malloc_trim(0)


def _copies(workspace: Workspace, ended: Event) -> None:
    from handfast.counter.keeping import keep_daily

    wait = FIRST
    while not ended.wait(wait):
        wait = AGAIN
        try:
            keep_daily(workspace, date.today())
        except Exception:
            logging.getLogger(__name__).exception("the day's copy could not be written")
