"""The workspace's database: opened, brought up to date, read and written in transactions that say which they are."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine, inspect

from handfast.store.address import StoreError as StoreError
from handfast.store.address import address_given, not_reached
from handfast.store.backups import backups, offered
from handfast.store.engines import postgresql_engine, sqlite_engine
from handfast.store.shelf_records import FILE as FILE
from handfast.store.soundness import emptied, left_open, quick_look
from handfast.store.trouble import spoilt, told

MIGRATIONS = Path(__file__).parent / "migrations"
HEAD = "0012"  # the newest migration; alembic (half a second to import) is asked only when a store is behind it


def open_database(home: Path, address: str | None = None) -> Engine:
    """The engine on a workspace's database, made or brought up to date first.

    Args:
        home: the workspace folder; made when missing.
        address: of a PostgreSQL database; "" for the file in the folder; None for what HANDFAST_DATABASE says.

    Returns:
        An engine for `reading` and `writing`.

    Raises:
        StoreError: the folder, the file or the server can't be used, or was written by a newer release.
    """
    where = address_given() if address is None else address
    try:
        home.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise StoreError(f"The workspace {home} can't be made: {error.strerror or error}.") from error
    engine = postgresql_engine(where) if where else sqlite_engine(home / FILE)
    _bring_up_to_date(engine, home, where)
    return engine


@contextmanager
def reading(engine: Engine) -> Iterator[Connection]:
    """A transaction that only looks: it sees one state throughout. What the database refuses is a StoreError."""
    with told(engine), engine.connect() as connection, connection.begin():
        yield connection


@contextmanager
def writing(engine: Engine) -> Iterator[Connection]:
    """A transaction that writes: it queues for its turn at once, so that what it has read stays true."""
    with told(engine), engine.execution_options(writes=True).connect() as connection, connection.begin():
        yield connection


def migrate(engine: Engine, to: str = HEAD) -> None:
    """Bring the tables up or down to a revision ("base": none), all or nothing.

    Args:
        engine: as `open_database` gives it.
        to: the revision.

    Raises:
        StoreError: the tables stem from another release, or rows would be left that name nothing.
    """
    from alembic import command
    from alembic.config import Config
    from alembic.script import ScriptDirectory
    from alembic.script.revision import RevisionError
    from alembic.util import CommandError

    config = Config()
    config.set_main_option("script_location", str(MIGRATIONS).replace("%", "%%"))
    try:
        with _rebuilding(engine) as connection:
            config.attributes["connection"] = connection
            stands = _revision(connection)
            below = ScriptDirectory.from_config(config).iterate_revisions(stands, "base") if stands else ()
            down = to == "base" or to in [one.revision for one in below]
            (command.downgrade if down else command.upgrade)(config, to)
    except (CommandError, RevisionError) as error:
        raise StoreError(f"The workspace was written by another release than this one: {error}.") from error


@contextmanager
def _rebuilding(engine: Engine) -> Iterator[Connection]:
    """A writing transaction in which SQLite lets a table be made anew; what names nothing afterwards undoes it all."""
    with engine.execution_options(writes=True, rebuilds=True).connect() as connection:
        connection.detach()  # on SQLite foreign keys are off on it: it is closed, never used again
        with connection.begin():
            yield connection
            if engine.dialect.name == "sqlite":
                astray = [str(row[0]) for row in connection.exec_driver_sql("PRAGMA foreign_key_check")]
                if astray:
                    raise StoreError(f"Rows would be left that name nothing: {', '.join(sorted(set(astray)))}.")


def _bring_up_to_date(engine: Engine, home: Path, address: str) -> None:
    crashed = not address and left_open(home / FILE)
    if not address and not crashed and emptied(home / FILE) and backups(home):
        raise StoreError(spoilt("it is empty", home))
    try:
        with reading(engine) as connection:
            stands = _revision(connection)
            if crashed and (wrong := quick_look(connection)):
                raise StoreError(spoilt(wrong[0], home))
        if stands != HEAD:
            migrate(engine)
    except StoreError:
        raise
    except Exception as error:
        if address:
            raise not_reached(address, error) from error
        why = f"The workspace {home / FILE} can't be opened: {getattr(error, 'orig', error)}."
        raise StoreError(f"{why} {offered(home)}") from error


def _revision(connection: Connection) -> str | None:
    if not inspect(connection).has_table("alembic_version"):
        return None
    found: Any = connection.exec_driver_sql("SELECT version_num FROM alembic_version").scalar()
    return None if found is None else str(found)
