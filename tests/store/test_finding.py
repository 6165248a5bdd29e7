"""Search finds the same on either database, and what was written last."""

from __future__ import annotations

import pytest

from handfast.counter import calls, finding
from handfast.counter import verbs as counter
from handfast.machines.shelf import Shelf

WORDS = (
    "",
    "logs", "log", "orchard", "LOGS brush", "thim", "3", "zzz", "100% co_", "'", '"', "* OR logs", "Ä", "ö 柚", "柚子",
    "quoted", "quern ferry", "pallets 2", "a" * 500, "\\", "NEAR(logs brush)", "-logs", "é", "e", "apple pear plum",
)  # fmt: skip


@pytest.fixture
def both(filled, place, cluster, tmp_path):
    """The same filled workspace on both databases."""
    return [filled((tmp_path / "a", "")), filled((tmp_path / "b", cluster.new()))]


def by_hand(desk: counter.Workspace, words: str) -> list[int]:
    """The same by plain comparison, without any index."""
    index = finding._index(desk, full=False)
    assert not index.full
    return finding.find(desk, words)


def test_both_find_the_same(both) -> None:
    one, other = both
    for words in WORDS:
        found = finding.find(one, words)
        assert found == finding.find(other, words), words
    assert finding.find(one, "") == sorted(finding.find(one, ""), reverse=True) != []
    assert any(finding.find(one, words) for words in ("logs", "柚子", "quoted"))
    indexed = {words: finding.find(other, words) for words in WORDS}
    assert {words: by_hand(other, words) for words in WORDS} == indexed


def test_accents_and_capitals_are_no_matter(desk) -> None:
    number = counter.new_inquiry(desk, 'title = "Höhenweg ÉLAN Straße"\n')
    for words in ("hohen", "HÖHEN", "elan", "Élan", "strasse", "STRAẞE", "ho\u0308hen"):
        assert finding.find(desk, words) == by_hand(desk, words) == [number], words


def test_what_another_program_wrote_is_found(place, opened) -> None:
    """Two programs on one database: each has its own index, which catches up with the log."""
    where = place()
    here, there = opened(where), opened(where)
    assert counter.fill_demo(here) and finding.find(there, "wyvern") == []
    number = counter.new_inquiry(here, 'title = "Wyvern hedge"\n')
    assert finding.find(there, "wyv") == finding.find(here, "wyv") == [number]
    counter.change_inquiry(there, number, 'title = "Griffin hedge"\n')
    assert finding.find(here, "wyvern") == [] and finding.find(here, "griffin hedge") == [number]
    calls.undo(here, number)
    assert finding.find(there, "wyvern") == [number]


def test_an_inquiry_is_found_by_its_machines_new_name(place, opened) -> None:
    where = place()
    here, there = opened(where), opened(where)
    assert counter.fill_demo(here)
    before = finding.find(there, "thimble")
    machine = counter.shelf(here).machines["thimble-24"]
    counter.put_on_shelf(here, Shelf(machines={"thimble-24": machine.model_copy(update={"name": "Cormorant"})}))
    for desk in (here, there):
        assert finding.find(desk, "cormorant") and set(finding.find(desk, "cormorant")) <= set(before)
