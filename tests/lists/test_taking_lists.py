"""Lists on their way to the shelf: taken whole or not at all, undone whole, remembered by supplier."""

from __future__ import annotations

import os
import random
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from handfast.counter import lists
from handfast.counter import verbs as counter
from handfast.lists.grid import ListError

FIRST = b"Item,Type,Weight,Price\nL1,bucket,300,500\nL2,bucket,310,510\n"
SECOND = b"Item,Type,Weight,Price\nL1,bucket,300,555\nL3,bucket,320,520\n"
KILLS = 50


@pytest.fixture
def workspace(tmp_path: Path) -> counter.Workspace:
    return counter.open_workspace(tmp_path)


def taken(workspace, data: bytes, **answers: str) -> int:
    number = lists.bring_list(workspace, "hollowden.csv", data, "Hollowden")
    lists.answer_list(workspace, number, answers or {"hollowden.csv!C:Weight!unit": "lb"})
    lists.take_list(workspace, number)
    return number


def test_looking_changes_nothing_and_taking_does(workspace) -> None:
    number = lists.bring_list(workspace, "a.csv", b"Item,Type,Price\nL1,bucket,500\n")
    assert lists.look_at_list(workspace, number).proposal.counted()["add"] == 1
    assert not counter.shelf(workspace).attachments
    assert lists.take_list(workspace, number) == 1
    got = counter.shelf(workspace).attachments["L1"]
    assert got.price.value == 500 and got.price.origin == "sheet"
    with pytest.raises(ListError, match="was taken"):
        lists.take_list(workspace, number)


def test_answers_are_remembered_for_the_supplier(workspace) -> None:
    taken(workspace, FIRST)
    number = lists.bring_list(workspace, "hollowden.csv", SECOND, "hollowden")
    counted = lists.look_at_list(workspace, number).proposal.counted()
    assert (counted["change"], counted["add"], counted["ask"]) == (1, 1, 0)
    stranger = lists.bring_list(workspace, "hollowden.csv", SECOND, "Somebody else")
    assert lists.look_at_list(workspace, stranger).proposal.counted()["ask"] == 2


def test_a_whole_list_is_undone(workspace) -> None:
    taken(workspace, FIRST)
    before = counter.export(workspace)["shelf"]
    number = taken(workspace, SECOND)
    assert counter.shelf(workspace).attachments["L1"].price.value == 555
    assert lists.undo_list(workspace, number) == 2
    after = [one for one in counter.export(workspace)["shelf"] if not one["retired"]]
    assert after == before
    with pytest.raises(ListError, match="not on the shelf"):
        lists.undo_list(workspace, number)


def test_what_was_changed_since_is_not_undone(workspace) -> None:
    taken(workspace, FIRST)
    number = taken(workspace, SECOND)
    taken(workspace, b"Item,Type,Price\nL3,bucket,999\n")
    with pytest.raises(ListError, match="L3"):
        lists.undo_list(workspace, number)
    assert counter.shelf(workspace).attachments["L1"].price.value == 555


TAKE = """
import sys
from pathlib import Path
from handfast.counter import lists, verbs
workspace = verbs.open_workspace(Path(sys.argv[1]))
print("ready", flush=True)
sys.stdin.readline()
lists.take_list(workspace, int(sys.argv[2]))
print("taken", flush=True)
"""


@pytest.mark.slow
def test_killed_at_any_moment_a_list_is_on_the_shelf_whole_or_not_at_all(tmp_path: Path) -> None:
    rows = 400
    data = b"Item,Type,Price\n" + b"".join(b"K%04d,bucket,%d\n" % (n, 300 + n) for n in range(rows))
    random.seed(7)
    whole = none = 0
    workspace = counter.open_workspace(tmp_path)
    for kill in range(KILLS):
        number = lists.bring_list(workspace, "k.csv", data.replace(b"K", b"K%02d" % kill))
        start = [sys.executable, "-c", TAKE, str(tmp_path), str(number)]
        process = subprocess.Popen(start, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, env={**os.environ})
        assert process.stdin and process.stdout and process.stdout.readline() == "ready\n"
        process.stdin.write("\n")
        process.stdin.flush()
        time.sleep(random.uniform(0.0, 0.25))
        process.send_signal(signal.SIGKILL)
        said = process.stdout.read()
        process.wait()
        there = sum(key.startswith(f"K{kill:02d}") for key in counter.shelf(workspace).attachments)
        state = lists.look_at_list(workspace, number).row.state
        assert (there, state) in ((0, "waiting"), (rows, "taken")), (kill, there, state)
        assert "taken" not in said or there == rows
        whole, none = whole + (there == rows), none + (there == 0)
    print(f"{KILLS} kills: {whole} lists whole, {none} not at all")
    assert whole and none
