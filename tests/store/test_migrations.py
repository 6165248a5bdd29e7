"""Down to every earlier revision and up again, on both databases, with rows in every table."""

from __future__ import annotations

from typing import Any

import pytest
from alembic.autogenerate import compare_metadata
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.operations import Operations
from alembic.script import ScriptDirectory
from sqlalchemy import Engine, MetaData, String, func, insert, inspect, select, text
from sqlalchemy.exc import IntegrityError

from handfast.counter import verbs as counter
from handfast.store import database, inquiry_rows
from handfast.store.database import HEAD, MIGRATIONS, StoreError, migrate, open_database, reading, writing
from handfast.store.tables import advice, metadata

CONFIG = Config()
CONFIG.set_main_option("script_location", str(MIGRATIONS))
SCRIPTS = list(ScriptDirectory.from_config(CONFIG).walk_revisions())  # newest first
EARLIER = [one.revision for one in SCRIPTS[1:]]
# What a migration tells otherwise, going down: its docstring says so.
TOLD_OTHERWISE = {("quotes", "state")}
# What a migration makes of what was there, going up.
MADE_AGAIN = {"quote_versions"}
Rows = dict[str, list[dict[str, Any]]]


def rows_of(engine: Engine) -> Rows:
    """Every row of every table, as the database itself describes them."""
    found: Rows = {}
    with reading(engine) as connection:
        there = MetaData()
        there.reflect(connection)
        for table in there.sorted_tables:
            if table.name != "alembic_version":
                rows = [dict(row) for row in connection.execute(select(table)).mappings()]
                found[table.name] = sorted(rows, key=lambda row: repr([row[k.name] for k in table.primary_key.columns]))
    return found


def same(before: Rows, after: Rows) -> None:
    """Every table of `after` has the rows of `before`, in each column that both know."""
    for table, rows in after.items():
        assert len(rows) == len(before[table]), table
        for old, new in zip(before[table], rows, strict=True):
            known = [one for one in new if one in old and (table, one) not in TOLD_OTHERWISE]
            assert {one: new[one] for one in known} == {one: old[one] for one in known}, table


def test_they_are_one_line_and_say_what_is_lost() -> None:
    assert [one.revision for one in reversed(SCRIPTS)][-1] == HEAD
    assert all(not one.is_branch_point and not one.is_merge_point for one in SCRIPTS)
    for one in SCRIPTS:
        assert "Going down" in (one.module.__doc__ or ""), f"{one.revision} does not say what going down loses"


@pytest.mark.parametrize("revision", EARLIER)
def test_down_and_up_with_rows_in_every_table(filled, place, revision: str) -> None:
    engine = filled(place()).engine
    before = rows_of(engine)
    assert set(before) == {table.name for table in metadata.sorted_tables} and all(before.values())
    migrate(engine, revision)
    down = rows_of(engine)
    columns = {table: list(rows[0]) for table, rows in down.items()}
    same(before, down)
    migrate(engine)
    up = rows_of(engine)
    same(
        before,
        {table: [{one: row[one] for one in columns[table] if one in row} for row in up[table]] for table in down},
    )
    assert all(not up[table] or table in MADE_AGAIN for table in set(up) - set(down))
    with engine.connect() as connection:
        assert compare_metadata(MigrationContext.configure(connection), metadata) == []
    kept = {table: len(rows) for table, rows in down.items()}
    print(f"{engine.dialect.name}: {HEAD} to {revision} and back, rows kept {kept}")


def test_numbers_go_on_and_are_never_used_again(filled, place) -> None:
    """A table made anew keeps what gives its numbers."""
    engine = filled(place()).engine
    before = len(counter_rows(engine))
    migrate(engine, EARLIER[-1])
    migrate(engine)
    with writing(engine) as connection:
        number = inquiry_rows.add_inquiry(connection, 'title = "x"', "x", "", "desk")
        connection.execute(text(f"DELETE FROM inquiries WHERE number = {number}"))
        assert inquiry_rows.add_inquiry(connection, 'title = "x"', "x", "", "desk") == number + 1 == before + 2
    if engine.dialect.name == "sqlite":
        with reading(engine) as connection:
            made = dict(connection.execute(text("SELECT name, sql FROM sqlite_master WHERE type = 'table'")).all())
        for table in metadata.sorted_tables:
            assert ("AUTOINCREMENT" in made[table.name]) == table.dialect_options["sqlite"]["autoincrement"], table.name


def counter_rows(engine: Engine) -> list[Any]:
    with reading(engine) as connection:
        return inquiry_rows.inquiry_rows(connection)


def test_down_to_nothing_and_up_again(filled, place) -> None:
    engine = filled(place()).engine
    migrate(engine, "base")
    assert rows_of(engine) == {}
    migrate(engine)
    assert {table for table, rows in rows_of(engine).items() if not rows} == {t.name for t in metadata.sorted_tables}


def test_a_migration_that_fails_leaves_everything(filled, place) -> None:
    engine = filled(place()).engine
    before = rows_of(engine)
    real = inspect(engine).get_table_names()
    with pytest.raises(ZeroDivisionError), database._rebuilding(engine) as connection:
        connection.execute(text("DELETE FROM changes"))
        connection.execute(text("ALTER TABLE changes ADD COLUMN more INTEGER"))
        raise ZeroDivisionError
    assert rows_of(engine) == before and inspect(engine).get_table_names() == real


def test_a_table_made_anew_takes_no_rows_along(tmp_path) -> None:
    """SQLite: dropping a table with foreign keys on would delete what hangs on it (its documentation, "DROP TABLE")."""
    engine = open_database(tmp_path, "")
    with writing(engine) as connection:
        number = inquiry_rows.add_inquiry(connection, "a = 1", "", "", "desk")
        inquiry_rows.keep_advice(connection, number, "d", 1, "0", "{}")
    with database._rebuilding(engine) as connection:
        anew = Operations(MigrationContext.configure(connection))
        with anew.batch_alter_table(
            "inquiries", recreate="always", table_kwargs={"sqlite_autoincrement": True}
        ) as table:
            table.alter_column("title", type_=String(5))
    with reading(engine) as connection:
        assert connection.scalar(select(func.count()).select_from(advice)) == 1
    said = "Rows would be left that name nothing: advice"
    with pytest.raises(StoreError, match=said), database._rebuilding(engine) as connection:
        connection.execute(text("DELETE FROM inquiries"))
    with reading(engine) as connection:
        assert connection.scalar(text("SELECT count(*) FROM inquiries")) == 1
        assert connection.scalar(text("PRAGMA foreign_keys")) == 1


def test_a_seed_of_any_size_is_kept(desk) -> None:
    number = counter.new_inquiry(desk, 'title = "x"\n')
    with writing(desk.engine) as connection:
        for seed in (1, 2**63 - 1):
            inquiry_rows.keep_advice(connection, number, str(seed), seed, "0", "{}")
    migrate(desk.engine, EARLIER[0])
    migrate(desk.engine)
    with reading(desk.engine) as connection:
        kept = [seed for _, seed, _, _ in inquiry_rows.kept_advice(connection, number)]
    assert kept == ([1, 2**63 - 1] if desk.engine.dialect.name == "sqlite" else [1])


def test_the_same_answer_can_not_be_kept_twice_after_going_up(filled, place) -> None:
    """The unique index of answers outlives the journey."""
    engine = filled(place()).engine
    migrate(engine, EARLIER[-1])
    migrate(engine)
    with reading(engine) as connection:
        row = dict(connection.execute(select(advice)).mappings().first() or {})
    del row["number"]
    with pytest.raises(IntegrityError), writing(engine) as connection:
        connection.execute(insert(advice).values(row))
