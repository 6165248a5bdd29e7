"""What is kept after the sale: tables up and down with data in them, the newest of a kit, the shelf's stamp."""

from __future__ import annotations

from pathlib import Path

import pytest
from alembic import command
from alembic.config import Config
from sqlalchemy import Engine, inspect, text
from sqlalchemy.exc import IntegrityError

from handfast.machines.as_built import AsBuilt, BuiltHose, Lesson
from handfast.machines.shelf import Shelf
from handfast.machines.tractor import Machine
from handfast.store import care_rows, inquiry_rows, quote_rows, shelf_rows
from handfast.store.database import HEAD, MIGRATIONS, open_database, reading, writing
from handfast.store.shelf_records import peek_shelf

NEW = {"as_built", "comebacks", "orders", "lessons"}
KIT = {"machine": "dray-30", "attachment": "jaw-48", "route": "diverter"}


@pytest.fixture
def engine(tmp_path: Path) -> Engine:
    return open_database(tmp_path)


def built(length: str = "48 in", **more: object) -> AsBuilt:
    return AsBuilt(**KIT, made="2026-11-25", hoses=(BuiltHose(tag="A1", line="A", at="tool", length=length),), **more)


def quoted(engine: Engine) -> int:
    with writing(engine) as connection:
        number = inquiry_rows.add_inquiry(connection, 'title = "Stumps"\n', "Stumps", "", "desk")
        return quote_rows.add_quote(connection, number, "a", "{}", "desk").number


def moved(engine: Engine, to: str, up: bool) -> None:
    config = Config()
    config.set_main_option("script_location", str(MIGRATIONS))
    with writing(engine) as connection:
        config.attributes["connection"] = connection
        (command.upgrade if up else command.downgrade)(config, to)


def test_the_tables_go_down_and_up_and_leave_the_rest_alone(engine: Engine) -> None:
    number = quoted(engine)
    with writing(engine) as connection:
        comeback = care_rows.add_comeback(connection, number, "A1", "short", "{}", "desk")
        care_rows.add_order(connection, comeback, "{}", "desk")
        care_rows.add_as_built(connection, built(), "desk")
        lesson = Lesson(line="A", at="tool", attachment="jaw-48", route="diverter", extra="3 in", comeback=comeback)
        care_rows.add_lesson(connection, lesson, "desk")
    moved(engine, "0001", up=False)
    assert not NEW & set(inspect(engine).get_table_names())
    moved(engine, "0002", up=True)
    assert set(inspect(engine).get_table_names()) >= NEW
    moved(engine, HEAD, up=True)
    with reading(engine) as connection:
        assert quote_rows.quote_row(connection, number).outfit == "a"
        assert inquiry_rows.inquiry_rows(connection)[0].title == "Stumps"
        assert care_rows.comeback_rows(connection) == []


def test_a_workspace_of_the_first_release_is_brought_up_with_its_data(tmp_path: Path) -> None:
    engine = open_database(tmp_path)
    number = quoted(engine)
    moved(engine, "0001", up=False)
    engine.dispose()
    again = open_database(tmp_path)
    with reading(again) as connection:
        assert connection.execute(text("SELECT version_num FROM alembic_version")).scalar() == HEAD
        assert quote_rows.quote_row(connection, number).number == number


def test_the_newest_record_of_a_kit_counts_and_earlier_ones_stay(engine: Engine) -> None:
    with writing(engine) as connection:
        care_rows.add_as_built(connection, built("48 in"), "desk")
        care_rows.add_as_built(connection, built("51 in", relief="150 bar", hours="3 h"), "desk")
        care_rows.add_as_built(connection, AsBuilt(**{**KIT, "route": "third_function"}), "desk")
    with reading(engine) as connection:
        shelf = shelf_rows.load_shelf(connection)
        rows = care_rows.as_built_rows(connection, *KIT.values())
    assert [one.route for one in shelf.as_built] == ["third_function", "diverter"]
    hose = shelf.as_built[1].hose("A", "tool")
    assert hose is not None
    assert hose.length.value == pytest.approx(51 * 0.0254)
    assert shelf.as_built[1].relief.value == pytest.approx(15e6)
    assert [round(row.built.hoses[0].length.value / 0.0254) for row in rows] == [51, 48]


def test_the_terminal_sees_what_the_pages_see(tmp_path: Path) -> None:
    engine = open_database(tmp_path)
    with writing(engine) as connection:
        shelf_rows.put_shelf(connection, Shelf(machines={"dray-30": Machine(id="dray-30")}), "desk")
        care_rows.add_as_built(connection, built(), "desk")
    with reading(engine) as connection:
        shelf = shelf_rows.load_shelf(connection)
    peeked = peek_shelf(tmp_path)
    assert peeked is not None
    assert peeked.as_built == shelf.as_built != ()
    moved(engine, "0001", up=False)
    older = peek_shelf(tmp_path)
    assert older is not None
    assert older.as_built == ()


def test_the_shelf_s_stamp_moves_with_what_is_learnt(engine: Engine) -> None:
    number = quoted(engine)
    with reading(engine) as connection:
        stamps = [shelf_rows.shelf_stamp(connection)]
    with writing(engine) as connection:
        care_rows.add_as_built(connection, built(), "desk")
        stamps.append(shelf_rows.shelf_stamp(connection))
        comeback = care_rows.add_comeback(connection, number, "A1", "short", "{}", "desk")
        lesson = Lesson(line="A", at="tool", attachment="jaw-48", route="diverter", extra="3 in", comeback=comeback)
        care_rows.add_lesson(connection, lesson, "desk")
        stamps.append(shelf_rows.shelf_stamp(connection))
    assert stamps == sorted(set(stamps))


def test_what_hangs_together_is_held_together(engine: Engine) -> None:
    with pytest.raises(IntegrityError), writing(engine) as connection:
        care_rows.add_comeback(connection, 99, "", "short", "{}", "desk")
    with pytest.raises(IntegrityError), writing(engine) as connection:
        care_rows.add_order(connection, 99, "{}", "desk")
    number = quoted(engine)
    with writing(engine) as connection:
        order = care_rows.add_order(
            connection, care_rows.add_comeback(connection, number, "", "short", "{}", "desk"), "{}", "desk"
        )
        care_rows.change_order_state(connection, order, "received", "desk")
        assert care_rows.order_row(connection, order).state == "received"
    with pytest.raises(IntegrityError), writing(engine) as connection:
        care_rows.change_order_state(connection, order, "lost", "desk")
    with pytest.raises(KeyError), reading(engine) as connection:
        care_rows.order_row(connection, 99)
