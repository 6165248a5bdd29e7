"""The writer that `test_killed.py` kills: quotes and shelf records, each acknowledged on the pipe once it is committed.

Started with folder and address; each line on standard input is a number from which a fresh process writes on.
"""

from __future__ import annotations

import os
import sys
from pathlib import Path

from sqlalchemy import Engine
from sqlalchemy.exc import OperationalError

from handfast.counter import verbs
from handfast.machines.part import Part
from handfast.machines.shelf import Shelf
from handfast.store import inquiry_rows, quote_rows, shelf_rows
from handfast.store.database import StoreError, writing

OFFER = '{"n": %d, "text": "' + "offered " * 2000 + '"}'


def say(text: str) -> None:
    os.write(1, f"{text}\n".encode())


def write(engine: Engine, n: int) -> str:
    """One writing of several rows: a quote with its inquiry's state, or four records of the shelf; and the log."""
    with writing(engine) as connection:
        if n % 2:
            row = quote_rows.add_quote(connection, 1, f"outfit {n}", OFFER % n, "killed")
            inquiry_rows.change_state(connection, 1, "quoted" if n % 4 == 1 else "asked", "killed")
            return f"quote {row.number} {n}"
        parts = {key: Part(id=key, kind="hose", notes=str(n)) for key in ("k0", "k1", "k2", f"n{n}")}
        shelf_rows.put_shelf(connection, Shelf(parts=parts), "killed")
        return f"shelf {n} {n}"


def child(home: Path, address: str, start: int) -> None:
    engine = verbs.open_database(home, address)
    try:
        for n in range(start, start + 10_000):
            say(write(engine, n))
    except (OperationalError, StoreError):  # the server under it was killed
        os._exit(1)


def main(home: Path, address: str) -> None:
    verbs.open_database(home, address).dispose()  # everything is imported before the first fork
    for line in sys.stdin:
        number = os.fork()
        if number == 0:
            child(home, address, int(line))
        say(f"pid {number}")
        os.waitpid(number, 0)
        say("ended")


if __name__ == "__main__":
    main(Path(sys.argv[1]), sys.argv[2])
