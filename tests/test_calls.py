"""The verbs of the telephone on a real workspace: hold, resume, promises, undo over the log, search."""

from __future__ import annotations

from pathlib import Path

import pytest

from handfast.counter import calls, finding
from handfast.counter import verbs as counter
from handfast.counter.verbs import Workspace


@pytest.fixture
def desk(tmp_path: Path) -> Workspace:
    return counter.open_workspace(tmp_path)


def states(desk: Workspace) -> dict[int, str]:
    return {one.row.number: one.call.state for one in calls.open_calls(desk)}


def say(desk: Workspace, number: int, title: str) -> None:
    counter.change_inquiry(desk, number, f'title = "{title}"\n')


def test_a_new_call_holds_the_one_before_and_an_empty_one_is_taken_again(desk: Workspace) -> None:
    first = calls.start_call(desk)
    assert calls.start_call(desk, first) == first
    assert counter.inquiry(desk, first).text == calls.NOTHING
    say(desk, first, "logs")
    second = calls.start_call(desk, first)
    assert states(desk) == {first: "on hold", second: "on the line"}
    calls.resume_call(desk, first, second)
    assert states(desk) == {first: "on the line", second: "on hold"}
    calls.ring_off(desk, first)
    assert states(desk) == {second: "on hold"}
    with pytest.raises(KeyError):
        calls.hold_call(desk, 99)


def test_undo_and_redo_walk_the_log_and_outlive_the_program(desk: Workspace) -> None:
    number = calls.start_call(desk)
    for title in ("a", "b", "c"):
        say(desk, number, title)
    assert calls.undo(desk, number)
    assert calls.undo(desk, number)
    again = counter.open_workspace(desk.home)  # another program on the same file, as after a crash
    assert counter.inquiry(again, number).title == "a"
    assert calls.redo(again, number)
    assert counter.inquiry(again, number).title == "b"
    say(again, number, "d")
    assert calls.steps(again, number) == (True, False)
    titles = []
    while calls.undo(again, number):
        titles.append(counter.inquiry(again, number).title)
    assert titles == ["b", "a", ""]
    assert not calls.undo(again, number)
    assert [one.step for one in calls.history(again, number) if one.step] == ["undo"] * 2 + ["redo"] + ["undo"] * 3


def test_undo_leaves_the_state_alone(desk: Workspace) -> None:
    number = calls.start_call(desk)
    say(desk, number, "a")
    counter.change_state(desk, number, "quoted")
    assert calls.undo(desk, number)
    row = counter.inquiry(desk, number)
    assert (row.title, row.state) == ("", "quoted")


def test_promises_are_due_in_order_and_kept(desk: Workspace) -> None:
    number = calls.start_call(desk)
    late = calls.promise(desk, number, "we", "ring back", "2026-03-05T12:00")
    some = calls.promise(desk, number, "the caller", "sends a photo")
    soon = calls.promise(desk, number, "the shop", "weighs it", "2026-03-01")
    assert [one.number for one in calls.promises(desk)] == [soon, late, some]
    calls.keep_promise(desk, soon)
    assert [one.number for one in calls.promises(desk, number) if one.done is None] == [late, some]
    calls.keep_promise(desk, soon, done=False)
    assert calls.promises(desk)[0].number == soon
    with pytest.raises(ValueError, match="nobody"):
        calls.promise(desk, number, "nobody", "x")
    told = [one.after for one in calls.history(desk, number) if one.table == "promises"]
    assert len(told) == 5
    assert told[-1] == "the shop: weighs it, by 2026-03-01: open"


def test_what_the_caller_cannot_say_is_kept_until_asked_again(desk: Workspace) -> None:
    number = calls.start_call(desk)
    calls.cannot_say(desk, number, "quick_attach")
    calls.cannot_say(desk, number, "quick_attach")
    call = calls.call_of(desk, number)
    assert call and call.cannot_say == ("quick_attach",)
    calls.cannot_say(desk, number, None)
    call = calls.call_of(desk, number)
    assert call and call.cannot_say == ()


def test_calls_and_promises_are_handed_out(desk: Workspace) -> None:
    number = calls.start_call(desk)
    calls.promise(desk, number, "we", "ring back")
    whole = counter.export(desk)
    assert [one["state"] for one in whole["calls"]] == ["on the line"]
    assert [one["what"] for one in whole["promises"]] == ["ring back"]


ASKED = {
    "oak logs": {4, 1},
    "tinderb": {3},
    "TINDERBOX twenty": {3},
    "thimble 24": {1},
    "lathe hill": {3, 6},
    "wrenching": {3},
    "oak AND": set(),
    '"': set(range(1, 9)),
    "zzz": set(),
    "": set(range(1, 9)),
}


@pytest.mark.parametrize("full", [True, False])
def test_search_by_the_index_and_without_it_finds_the_same(desk: Workspace, full: bool) -> None:
    """Expected numbers read off the demonstration's own files by eye."""
    assert counter.fill_demo(desk)
    assert finding._index(desk, full).full is full
    for words, numbers in ASKED.items():
        assert set(finding.find(desk, words)) == numbers, words
    counter.change_inquiry(desk, 8, 'title = "Zzz & 100% co_rp"\nnotes = "crème"\n')
    assert finding.find(desk, "zzz") == [8]
    assert finding.find(desk, "100% co_") == [8]
    assert 8 not in finding.find(desk, "pallets")
