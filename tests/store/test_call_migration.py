"""Up and down again on a filled workspace: nothing that was there before is lost."""

from __future__ import annotations

from pathlib import Path

from alembic import command
from alembic.config import Config
from sqlalchemy import inspect, text

from handfast.counter import calls
from handfast.counter import verbs as counter
from handfast.store.database import HEAD, MIGRATIONS, reading, writing

BEFORE = "0005"


def moved(engine, to: str) -> None:
    config = Config()
    config.set_main_option("script_location", str(MIGRATIONS))
    with writing(engine) as connection:
        config.attributes["connection"] = connection
        (command.downgrade if to != HEAD else command.upgrade)(config, to)


def log(engine) -> list[tuple]:
    with reading(engine) as connection:
        rows = connection.execute(
            text('SELECT number, who, table_name, "before", "after" FROM changes ORDER BY number')
        )
        return [tuple(row) for row in rows]


def test_down_and_up_on_filled_data(tmp_path: Path) -> None:
    desk = counter.open_workspace(tmp_path)
    assert counter.fill_demo(desk)
    number = calls.start_call(desk)
    counter.change_inquiry(desk, number, 'title = "a"\n')
    calls.undo(desk, number)
    calls.promise(desk, number, "we", "ring back")
    texts = [row.text for row in counter.inquiries(desk)]
    before = log(desk.engine)
    moved(desk.engine, BEFORE)
    with reading(desk.engine) as connection:
        assert not {"calls", "promises"} & set(inspect(connection).get_table_names())
    assert log(desk.engine) == before
    moved(desk.engine, HEAD)
    assert [row.text for row in counter.inquiries(desk)] == texts
    assert calls.open_calls(desk) == []
    assert calls.steps(desk, number) == (True, False)
