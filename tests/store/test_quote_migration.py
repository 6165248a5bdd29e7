"""Quotes as they rested before versions become version 1, and come back down again: nothing is lost on the way."""

from __future__ import annotations

import json
from pathlib import Path

from sqlalchemy import inspect, text

from handfast.counter import aftercare
from handfast.counter import verbs as counter
from handfast.machines.outcome import Outcome
from handfast.store import quote_rows
from handfast.store.database import migrate, open_database, reading, writing

BEFORE = "0008"


def rows(engine, asked: str) -> list[tuple]:
    with reading(engine) as connection:
        return [tuple(row) for row in connection.execute(text(asked))]


def test_down_and_up_on_filled_data(tmp_path: Path) -> None:
    desk = counter.open_workspace(tmp_path)
    assert counter.fill_demo(desk)
    best = counter.answer(desk, 5).outfits[0].id
    made = [counter.quote(desk, 5, best) for _ in range(3)]
    aftercare.say_outcome(desk, 2, Outcome(became="fitted"))
    with writing(desk.engine) as connection:
        for number, state in ((1, "ordered"), (2, "delivered"), (3, "declined")):
            quote_rows.change_quote_state(connection, number, state, "desk")
    migrate(desk.engine, BEFORE)
    old = rows(desk.engine, "SELECT number, state, json FROM quotes ORDER BY number")
    assert old == [(1, "accepted", made[0].json), (2, "as built", made[1].json), (3, "withdrawn", made[2].json)]
    assert rows(desk.engine, "SELECT quote FROM outcomes") == [(2,)]
    with reading(desk.engine) as connection:
        there = set(inspect(connection).get_table_names())
    assert not {"quote_versions", "acceptances", "quote_links"} & there
    assert rows(desk.engine, "PRAGMA foreign_key_check") == []
    migrate(desk.engine)
    assert rows(desk.engine, "PRAGMA foreign_key_check") == []
    found = counter.quotes(desk)
    assert [(q.number, q.version, q.state) for q in found] == [
        (3, 1, "withdrawn"), (2, 1, "delivered"), (1, 1, "accepted")
    ]  # fmt: skip
    assert [(q.json, q.outfit, q.who) for q in found] == [(q.json, q.outfit, "counter") for q in reversed(made)]
    assert [quote.number for quote, _ in aftercare.outcomes(desk)] == [2]
    assert counter.quote(desk, 5, best).number == 4


def test_a_number_once_given_is_never_given_again_after_the_way_up(tmp_path: Path) -> None:
    engine = open_database(tmp_path)
    migrate(engine, BEFORE)
    with writing(engine) as connection:
        connection.execute(text("INSERT INTO inquiries VALUES (1, 'asked', '', '', '', '', '')"))
        kept = {"json": json.dumps({"outfit": {}}), "at": "2025-01-01"}
        named = "number, inquiry, outfit, state, json, created"
        connection.execute(text(f"INSERT INTO quotes ({named}) VALUES (41, 1, 'a', 'draft', :json, :at)"), kept)
    migrate(engine)
    with writing(engine) as connection:
        assert quote_rows.add_quote(connection, 1, "a", "{}", "desk").number == 42
