"""kill -9 at random moments of 1,000 writings: nothing acknowledged is lost, nothing is half written.

The ordinary run does 150 of them, the long one all.
"""

from __future__ import annotations

import json
import os
import random
import signal
import subprocess
import sys
import time
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import select, text

import handfast
from handfast.counter import verbs as counter
from handfast.counter.verbs import Workspace
from handfast.store.database import reading
from handfast.store.tables import changes, inquiries, quote_versions, quotes, shelf

WRITER = Path(__file__).with_name("killed_writer.py")
WANTED = [150, pytest.param(1_000, marks=pytest.mark.slow)]
LONGEST = 0.15  # s that a writer lives after its first word


@dataclass
class Told:
    """What the writers acknowledged."""

    quotes: dict[int, int] = field(default_factory=dict)
    shelf: set[int] = field(default_factory=set)
    kills: int = 0
    crashes: int = 0

    def hear(self, line: str) -> None:
        what, number, n = line.split()
        if what == "quote":
            self.quotes[int(number)] = int(n)
        else:
            self.shelf.add(int(n))

    @property
    def count(self) -> int:
        return len(self.quotes) + len(self.shelf)


@pytest.fixture
def nursery(place) -> Iterator[tuple[subprocess.Popen[str], tuple[Path, str]]]:
    """A process that makes writers, and the place that they write to."""
    where = place()
    env = {**os.environ, "PYTHONPATH": str(Path(handfast.__file__).parents[1])}
    command = [sys.executable, str(WRITER), str(where[0]), where[1]]
    made = subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, env=env, text=True, bufsize=1)
    yield made, where
    made.kill()
    made.wait()


def until_ended(nursery: Any, told: Told) -> None:
    for line in iter(nursery.stdout.readline, "ended\n"):
        assert line, "the nursery ended"
        if not line.startswith("pid "):
            told.hear(line)


def one_life(nursery: Any, told: Told, start: int, chance: random.Random, crash: Any) -> None:
    """Start a writer, let it write a while, kill it (or the server under it), and hear what it had acknowledged."""
    nursery.stdin.write(f"{start}\n")
    pid, before = 0, told.count
    while not pid or told.count == before:
        line = nursery.stdout.readline()
        assert line, "the nursery ended"
        if line.startswith("pid "):
            pid = int(line.split()[1])
        else:
            told.hear(line)
    time.sleep(chance.uniform(0, LONGEST))
    if crash is None:
        os.kill(pid, signal.SIGKILL)
        told.kills += 1
    else:
        crash.end(signal.SIGQUIT)
        told.crashes += 1
    until_ended(nursery, told)
    if crash is not None:
        crash.start()


@dataclass(frozen=True)
class Found:
    """What stands after a start."""

    quotes: dict[int, int]  # number, and which writing it was
    records: dict[str, Any]
    log: list[Any]
    states: dict[int, str]

    @property
    def put(self) -> set[int]:
        """The writings of the shelf."""
        return {int(key[1:]) for key in self.records if key.startswith("n")}

    def of(self, table: str) -> list[Any]:
        """The log of one table."""
        return [line for line in self.log if line.table_name == table]


def look(desk: Workspace) -> Found:
    """Everything that stands."""
    with reading(desk.engine) as connection:
        numbers = set(connection.execute(select(quotes.c.number)).scalars())
        offered = connection.execute(select(quote_versions.c.quote, quote_versions.c.json)).all()
        assert {number for number, _ in offered} == numbers, "a quote and its version are not one writing"
        records = connection.execute(select(shelf.c.id, shelf.c.record)).all()
        log = list(connection.execute(select(changes).order_by(changes.c.number)))
        states = connection.execute(select(inquiries.c.number, inquiries.c.state)).all()
        if desk.engine.dialect.name == "sqlite":
            assert connection.scalar(text("PRAGMA integrity_check")) == "ok"
    kept = {number: json.loads(record)["n"] for number, record in offered}
    return Found(kept, {key: json.loads(record) for key, record in records}, log, dict(map(tuple, states)))


def nothing_is_lost(told: Told, found: Found) -> None:
    assert told.quotes.items() <= found.quotes.items(), "an acknowledged quote is lost"
    assert told.shelf <= found.put, "an acknowledged record is lost"
    more = len(found.quotes) + len(found.put) - told.count
    assert 0 <= more <= told.kills + told.crashes, "more stands than one writing each time"


def nothing_is_half_written(found: Found) -> None:
    noted = [int(line.key) for line in found.of("quotes")]
    assert noted == sorted(found.quotes), "a quote and its line of the log are not one writing"
    lines = [(line.key.split("/")[-1], line.after) for line in found.of("shelf")]
    assert {key: json.loads(after) for key, after in lines} == found.records, "records and log differ"
    times = Counter(key for key, _ in lines)
    for key in ("k0", "k1", "k2") if found.put else ():
        assert found.records[key]["notes"] == str(max(found.put)), "four records were not one writing"
        assert times[key] == len(found.put)
    said = [line.after for line in found.of("inquiries") if line.after.startswith("state: ")]
    if found.quotes:
        state = "quoted" if max(found.quotes.values()) % 4 == 1 else "asked"
        assert found.states[1] == state and said[-1] == f"state: {state}", "a quote and its inquiry are not one writing"


@pytest.mark.parametrize("wanted", WANTED)
def test_killed_at_random_moments(nursery, store: str, opened, request: Any, wanted: int) -> None:
    writer, where = nursery
    told, chance, next_one = Told(), random.Random(7), 1
    desk = opened(where)
    counter.new_inquiry(desk, 'title = "Stumps"\n')
    while told.count < wanted:
        crashes = store == "postgresql" and (told.kills + told.crashes) % 6 == 5
        one_life(writer, told, next_one, chance, request.getfixturevalue("cluster") if crashes else None)
        desk.engine.dispose()  # as after a start: nothing is kept in hand
        found = look(desk)
        nothing_is_lost(told, found)
        nothing_is_half_written(found)
        next_one = max(*found.quotes.values(), *found.put, 0) + 1
    stands = len(found.quotes) + len(found.put)
    print(
        f"{store}: {told.kills} writers killed, {told.crashes} servers crashed; acknowledged {told.count} "
        f"({len(told.quotes)} quotes, {len(told.shelf)} of the shelf), found {stands}, lost 0"
    )


def test_the_test_can_fail() -> None:
    told = Told({1: 1}, {2}, kills=1)
    whole = Found({1: 1}, {"n2": {"notes": "2"}}, [], {1: "quoted"})
    nothing_is_lost(told, whole)
    for offers, records in (({}, whole.records), (whole.quotes, {}), ({1: 2}, whole.records)):
        with pytest.raises(AssertionError, match="is lost"):
            nothing_is_lost(told, Found(offers, records, [], {}))
    with pytest.raises(AssertionError, match="not one writing"):
        nothing_is_half_written(whole)
