"""A workspace's database: small real files, no fakes."""

from __future__ import annotations

import threading
from pathlib import Path

import pytest
from alembic.autogenerate import compare_metadata
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Engine, text
from sqlalchemy.exc import IntegrityError

from handfast.store import inquiry_rows, quote_rows
from handfast.store.change_rows import changes_of, newest_change
from handfast.store.database import FILE, HEAD, MIGRATIONS, StoreError, open_database, reading, writing
from handfast.store.tables import metadata

GIVEN = 'title = "Stumps"\n# said twice\n'


@pytest.fixture
def engine(tmp_path: Path) -> Engine:
    return open_database(tmp_path / "workspace")


def test_the_migrations_make_the_tables_as_described(engine: Engine) -> None:
    with engine.connect() as connection:
        assert compare_metadata(MigrationContext.configure(connection), metadata) == []


def test_the_head_named_is_the_newest_migration() -> None:
    config = Config()
    config.set_main_option("script_location", str(MIGRATIONS))
    assert ScriptDirectory.from_config(config).get_current_head() == HEAD


def test_opening_again_finds_what_was_stored(tmp_path: Path) -> None:
    with writing(open_database(tmp_path)) as connection:
        number = inquiry_rows.add_inquiry(connection, GIVEN, "Stumps", "Quern Ferry", "desk")
    with reading(open_database(tmp_path)) as connection:
        row = inquiry_rows.inquiry_row(connection, number)
    assert (row.text, row.title, row.place, row.state) == (GIVEN, "Stumps", "Quern Ferry", "asked")


def test_sqlite_is_told_what_it_leaves_off(engine: Engine) -> None:
    with reading(engine) as connection:
        assert connection.execute(text("PRAGMA journal_mode")).scalar() == "wal"
        assert connection.execute(text("PRAGMA foreign_keys")).scalar() == 1


def test_a_quote_needs_its_inquiry(engine: Engine) -> None:
    with pytest.raises(IntegrityError), writing(engine) as connection:
        quote_rows.add_quote(connection, 99, "a", "{}", "desk")


def test_only_the_known_states_are_taken(engine: Engine) -> None:
    with writing(engine) as connection:
        number = inquiry_rows.add_inquiry(connection, GIVEN, "", "", "desk")
    with pytest.raises(IntegrityError), writing(engine) as connection:
        inquiry_rows.change_state(connection, number, "lost", "desk")


def test_a_transaction_that_fails_leaves_nothing(engine: Engine) -> None:
    with pytest.raises(RuntimeError), writing(engine) as connection:
        inquiry_rows.add_inquiry(connection, GIVEN, "", "", "desk")
        raise RuntimeError
    with reading(engine) as connection:
        assert inquiry_rows.inquiry_rows(connection) == []
        assert newest_change(connection, "inquiries") == 0


def test_every_change_is_kept_with_its_before(engine: Engine) -> None:
    with writing(engine) as connection:
        number = inquiry_rows.add_inquiry(connection, GIVEN, "Stumps", "", "desk")
        inquiry_rows.change_text(connection, number, "title = 'Logs'", "Logs", "", "yard")
        inquiry_rows.change_state(connection, number, "quoted", "yard")
    with reading(engine) as connection:
        log = changes_of(connection, "inquiries", str(number))
    assert [(one.who, one.before, one.after) for one in log] == [
        ("desk", None, GIVEN),
        ("yard", GIVEN, "title = 'Logs'"),
        ("yard", "state: asked", "state: quoted"),
    ]


def test_the_same_answer_is_kept_once(engine: Engine) -> None:
    with writing(engine) as connection:
        number = inquiry_rows.add_inquiry(connection, GIVEN, "", "", "desk")
        for digest in ("a", "a", "b"):
            inquiry_rows.keep_advice(connection, number, digest, 1, "0", "{}")
        assert [row[0] for row in inquiry_rows.kept_advice(connection, number)] == ["a", "b"]


def test_writers_that_read_first_all_get_their_turn(engine: Engine) -> None:
    """Four threads, each reading the newest number and then writing: none fails, no number is given twice."""
    failed: list[Exception] = []

    def write() -> None:
        for _ in range(25):
            try:
                with writing(engine) as connection:
                    before = len(inquiry_rows.inquiry_rows(connection))
                    number = inquiry_rows.add_inquiry(connection, GIVEN, "", "", "desk")
                    assert number == before + 1
            except Exception as error:
                failed.append(error)

    threads = [threading.Thread(target=write) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert failed == []
    with reading(engine) as connection:
        assert len(inquiry_rows.inquiry_rows(connection)) == 100


def test_a_file_that_is_no_database_is_said_so(tmp_path: Path) -> None:
    (tmp_path / FILE).write_bytes(b"not a database at all" * 100)
    with pytest.raises(StoreError, match="can't be opened: file is not a database"):
        open_database(tmp_path)


def test_a_newer_workspace_is_refused(tmp_path: Path) -> None:
    with writing(open_database(tmp_path)) as connection:
        connection.execute(text("UPDATE alembic_version SET version_num = '9999'"))
    with pytest.raises(StoreError, match="another release"):
        open_database(tmp_path)


def test_a_folder_that_cannot_be_made_is_said_so(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    with pytest.raises(StoreError, match="can't be made"):
        open_database(tmp_path / "file" / "workspace")
