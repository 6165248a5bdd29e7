"""The two databases that can hold a workspace, each told to keep the same promises.

A transaction that looks sees one state throughout. A transaction that writes waits for its turn at once, so that what
it has read stays true until it ends, and so that the log's numbers appear in their order
(`docs/decisions/0018-one-writer-at-a-time.md`).
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine, create_engine, event
from sqlalchemy.engine.interfaces import ExceptionContext
from sqlalchemy.exc import SQLAlchemyError

from handfast.machines.faults import Fault, Faults
from handfast.store.address import StoreError, not_reached, psycopg_module

WAIT = 30  # seconds that a writer waits for its turn
CONNECTIONS, MORE = 8, 32  # kept open, and opened beyond them while many ask at once
LOOK = "SET TRANSACTION ISOLATION LEVEL REPEATABLE READ READ ONLY"
TURN = "SELECT pg_advisory_xact_lock(hashtext('handfast'), hashtext(current_schema()))"
# FULL: an answer "stored" outlives a power cut, for a quarter of a millisecond a writing (docs/store.md)
PRAGMAS = ("journal_mode=WAL", "foreign_keys=ON", "synchronous=FULL", f"busy_timeout={WAIT * 1000}")


def sqlite_engine(file: Path) -> Engine:
    """An engine on a file; the transaction's beginning is in our own hands, and what SQLite leaves off is on."""
    engine = create_engine(
        f"sqlite:///{file}", connect_args={"timeout": float(WAIT)}, pool_size=CONNECTIONS, max_overflow=MORE
    )

    _refuses(engine, ())

    @event.listens_for(engine, "connect")
    def connected(raw: Any, _record: Any) -> None:
        raw.isolation_level = None
        for pragma in PRAGMAS:
            raw.execute(f"PRAGMA {pragma}")

    @event.listens_for(engine, "begin")
    def begins(connection: Connection) -> None:
        options = connection.get_execution_options()
        if options.get("rebuilds"):  # a table made anew takes its rows' children along, unless this is off
            connection.exec_driver_sql("PRAGMA foreign_keys=OFF")
        connection.exec_driver_sql("BEGIN IMMEDIATE" if options.get("writes") else "BEGIN")

    return engine


def postgresql_engine(address: str) -> Engine:
    """An engine on a PostgreSQL database. StoreError: no driver, no server, or a database that can't hold our texts."""
    psycopg: Any = psycopg_module()
    try:
        given = psycopg.conninfo.conninfo_to_dict(address, client_encoding="utf8")
    except psycopg.Error as error:
        raise not_reached(address, error) from error
    given.setdefault("connect_timeout", 10)
    given.setdefault("application_name", "handfast")
    engine = create_engine(
        "postgresql+psycopg://",
        connect_args=given,
        pool_size=CONNECTIONS,
        max_overflow=MORE,
        pool_pre_ping=True,  # a server that was started anew is met again, not failed at
        use_native_hstore=False,
    )

    _refuses(engine, (psycopg.DataError,))

    @event.listens_for(engine, "connect")
    def connected(raw: Any, _record: Any) -> None:
        raw.execute(f"SET lock_timeout = '{WAIT}s'")
        raw.commit()

    @event.listens_for(engine, "begin")
    def begins(connection: Connection) -> None:
        connection.exec_driver_sql(TURN if connection.get_execution_options().get("writes") else LOOK)

    _holds_our_texts(engine, address)
    return engine


def _refuses(engine: Engine, kinds: tuple[type[Exception], ...]) -> None:
    """A text or a number that the database does not keep is a fault of what was given, not of the program."""
    bad = (*kinds, UnicodeEncodeError, OverflowError)

    @event.listens_for(engine, "handle_error")
    def failed(context: ExceptionContext) -> None:
        if isinstance(context.original_exception, bad):
            found = " ".join(str(context.original_exception).split())
            raise Faults([Fault("what was given", 0, "text", found, "signs and numbers that can be kept")])


def _holds_our_texts(engine: Engine, address: str) -> None:
    try:
        with engine.connect() as connection:
            kept = connection.exec_driver_sql("SHOW server_encoding").scalar()
    except SQLAlchemyError as error:
        raise not_reached(address, error) from error
    if kept != "UTF8":
        raise StoreError(f"The database keeps texts as {kept}; it has to be made with ENCODING 'UTF8'.")
