"""The workspace's database: opened, brought up to date, read and written in transactions that say which they are."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine, create_engine, event, inspect

from handfast.store.shelf_records import FILE

MIGRATIONS = Path(__file__).parent / "migrations"
HEAD = "0008"  # the newest migration; alembic (half a second to import) is asked only when a file is behind it


class StoreError(Exception):
    """The workspace can't be opened or written: said in a sentence that helps."""


def open_database(home: Path) -> Engine:
    """The engine on the database in `home`, made or brought up to date first.

    Args:
        home: the workspace folder; made when missing.

    Returns:
        An engine for `reading` and `writing`.

    Raises:
        StoreError: the folder or the file can't be used, or was written by a newer release.
    """
    try:
        home.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise StoreError(f"The workspace {home} can't be made: {error.strerror or error}.") from error
    engine = create_engine(f"sqlite:///{home / FILE}", connect_args={"timeout": 30.0})
    _speak_sqlite(engine)
    _bring_up_to_date(engine, home)
    return engine


@contextmanager
def reading(engine: Engine) -> Iterator[Connection]:
    """A transaction that only looks: it sees one state throughout."""
    with engine.connect() as connection, connection.begin():
        yield connection


@contextmanager
def writing(engine: Engine) -> Iterator[Connection]:
    """A transaction that writes: it queues for its turn at once, so that what it has read stays true."""
    with engine.execution_options(writes=True).connect() as connection, connection.begin():
        yield connection


def _speak_sqlite(engine: Engine) -> None:
    """Take the transaction's beginning into our own hands, and switch on what SQLite leaves off."""

    @event.listens_for(engine, "connect")
    def connected(raw: Any, _record: Any) -> None:
        raw.isolation_level = None
        for pragma in ("journal_mode=WAL", "foreign_keys=ON", "synchronous=NORMAL", "busy_timeout=30000"):
            raw.execute(f"PRAGMA {pragma}")

    @event.listens_for(engine, "begin")
    def begins(connection: Connection) -> None:
        writes = connection.get_execution_options().get("writes", False)
        connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")


def _bring_up_to_date(engine: Engine, home: Path) -> None:
    try:
        with reading(engine) as connection:
            stands = _revision(connection)
        if stands != HEAD:
            _migrate(engine)
    except StoreError:
        raise
    except Exception as error:
        raise StoreError(f"The workspace {home / FILE} can't be opened: {getattr(error, 'orig', error)}.") from error


def _revision(connection: Connection) -> str | None:
    if not inspect(connection).has_table("alembic_version"):
        return None
    found = connection.exec_driver_sql("SELECT version_num FROM alembic_version").scalar()
    return None if found is None else str(found)


def _migrate(engine: Engine) -> None:
    from alembic import command
    from alembic.config import Config
    from alembic.util import CommandError

    config = Config()
    config.set_main_option("script_location", str(MIGRATIONS).replace("%", "%%"))
    try:
        with writing(engine) as connection:
            config.attributes["connection"] = connection
            command.upgrade(config, HEAD)
    except CommandError as error:
        raise StoreError(f"The workspace was written by another release than this one: {error}.") from error
