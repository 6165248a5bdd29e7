"""What a database refuses, said in a sentence: a full disk, a file that is read-only, held by another, or spoilt."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from sqlalchemy import Engine
from sqlalchemy.exc import DBAPIError

from handfast.store.address import StoreError
from handfast.store.backups import offered

FULL = "The disk is full, or the workspace may grow no further. Nothing of this was stored; what stood still stands."
HELD = "Another program holds the workspace and did not let go. Nothing of this was stored; try again."
READ_ONLY = "The workspace can't be written: its file or folder is read-only. Nothing of this was stored."
NOT_READ = "The workspace's file can't be read or written: the disk answers with a fault. Nothing of this was stored."
NO_FILE = "The workspace's file can't be opened any more: it was moved, or its folder is not to be reached."
GONE = "The database can't be reached just now. Whether the last thing was stored shows when it is back: look first."
SPOILT = "The workspace's file is spoilt"
SQLITE = {  # primary result codes, sqlite.org/rescode.html
    5: HELD, 6: HELD, 8: READ_ONLY, 10: NOT_READ, 11: SPOILT, 13: FULL, 14: NO_FILE, 15: HELD, 26: SPOILT,
}  # fmt: skip
POSTGRESQL = {"53100": FULL, "53200": FULL, "55P03": HELD, "58030": NOT_READ, "XX001": SPOILT}


@contextmanager
def told(engine: Engine) -> Iterator[None]:
    """What the database refuses comes out as a StoreError with its sentence; a fault of ours stays what it is."""
    try:
        yield
    except DBAPIError as error:
        said = sentence(error.orig, home_of(engine))
        if said is None:
            raise
        raise StoreError(said) from error


def sentence(error: Any, home: Path | None = None) -> str | None:
    """What an error of a driver means, with the last copy where the file is spoilt; None: a fault of ours."""
    code, state = getattr(error, "sqlite_errorcode", None), getattr(error, "sqlstate", None)
    if "Could not decode to UTF-8" in str(error):  # the driver says the text itself with it: that goes nowhere
        return spoilt("a text in it can't be read", home)
    said = SQLITE.get(code & 0xFF) if isinstance(code, int) else POSTGRESQL.get(state or "")
    if said is None and _server_is_gone(error, state):
        return GONE
    return said if said != SPOILT else spoilt(str(error), home)


def _server_is_gone(error: Any, state: str | None) -> bool:
    """Whether PostgreSQL can't be reached, was stopped, or is not up yet."""
    kinds = {(kind.__module__.partition(".")[0], kind.__name__) for kind in type(error).__mro__}
    return ("psycopg", "OperationalError") in kinds and (state is None or state.startswith(("08", "57P")))


def spoilt(why: str, home: Path | None) -> str:
    """What to say of a spoilt file, and what there is to go back to."""
    return f"{SPOILT}: {why.strip().rstrip('.')}. Leave it as it is. {offered(home)}"


def home_of(engine: Engine) -> Path | None:
    """The folder of a workspace in a file; None for one on a server."""
    return Path(engine.url.database).parent if engine.dialect.name == "sqlite" and engine.url.database else None
