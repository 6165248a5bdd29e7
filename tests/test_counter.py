"""The counter's verbs on small real workspaces."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from handfast.counter import verbs as counter
from handfast.counter.verbs import Workspace
from handfast.machines.reading import Faults, demo_inquiries, demo_shelf
from handfast.machines.shelf import Shelf
from handfast.store.change_rows import changes_of
from handfast.store.database import reading
from handfast.store.inquiry_rows import kept_advice


@pytest.fixture
def empty(tmp_path: Path) -> Workspace:
    return counter.open_workspace(tmp_path)


@pytest.fixture
def filled(empty: Workspace) -> Workspace:
    assert counter.fill_demo(empty)
    return empty


def text_of(workspace: Workspace, number: int) -> str:
    return counter.inquiry(workspace, number).text


def test_an_empty_workspace_is_filled_once(filled: Workspace) -> None:
    titles = [row.title for row in reversed(counter.inquiries(filled))]
    assert titles == [one.title for one in demo_inquiries().values()]
    assert counter.shelf(filled) == demo_shelf()
    assert not counter.fill_demo(filled)
    assert len(counter.inquiries(filled)) == len(titles)


def test_a_workspace_in_use_is_never_filled(empty: Workspace) -> None:
    counter.new_inquiry(empty, 'title = "Ours"\n')
    assert not counter.fill_demo(empty)
    assert counter.shelf(empty) == Shelf()


def test_an_inquiry_with_faults_is_not_stored(empty: Workspace) -> None:
    with pytest.raises(Faults):
        counter.new_inquiry(empty, '[machine]\nmas = "850 lb"\n')
    assert counter.inquiries(empty) == []
    number = counter.new_inquiry(empty, 'title = "Good"\n')
    with pytest.raises(Faults):
        counter.change_inquiry(empty, number, "title = 1\n")
    assert text_of(empty, number) == 'title = "Good"\n'


def test_an_inquiry_is_found_by_its_text(empty: Workspace) -> None:
    number = counter.new_inquiry(empty, 'title = "Good"\n')
    assert counter.same_inquiry(empty, 'title = "Good"\n') == number
    assert counter.same_inquiry(empty, 'title = "Goods"\n') is None


def test_numbers_that_are_not_there(filled: Workspace) -> None:
    for ask in (counter.inquiry, counter.answer):
        with pytest.raises(KeyError):
            ask(filled, 999)
    with pytest.raises(KeyError):
        counter.quote(filled, 1, "no such outfit")
    assert counter.quotes(filled) == []


def test_an_answer_is_reckoned_once_and_kept(filled: Workspace) -> None:
    first = counter.answer(filled, 1)
    assert counter.answer(filled, 1) is first
    counter.settle(filled)
    with reading(filled.engine) as connection:
        kept = kept_advice(connection, 1)
    assert len(kept) == 1
    assert [one["id"] for one in json.loads(kept[0][3])["outfits"]] == [one.id for one in first.outfits]


def test_a_changed_shelf_is_reckoned_anew(filled: Workspace) -> None:
    first = counter.answer(filled, 1)
    one = min(demo_shelf().attachments.values(), key=lambda each: each.id)
    counter.put_on_shelf(filled, Shelf(attachments={one.id: one.model_copy(update={"stock": 77})}))
    assert counter.shelf(filled).attachments[one.id].stock == 77
    assert counter.answer(filled, 1) is not first


def test_a_changed_inquiry_is_reckoned_anew(filled: Workspace) -> None:
    first = counter.answer(filled, 1)
    counter.change_inquiry(filled, 1, text_of(filled, 1).replace('"8 ft"', '"6 ft"'))
    assert counter.answer(filled, 1) is not first


def test_a_quote_keeps_the_outfit_as_it_was_offered(filled: Workspace) -> None:
    offered = counter.answer(filled, 1).outfits[0]
    row = counter.quote(filled, 1, offered.id)
    kept = json.loads(row.json)
    assert kept["outfit"]["id"] == offered.id
    assert kept["outfit"]["cost"]["p50"] == offered.cost.p50
    assert counter.inquiry(filled, 1).state == "quoted"
    assert [one.number for one in counter.quotes(filled, 1)] == [row.number]
    assert counter.quotes(filled, 2) == []


def test_the_state_of_an_inquiry_moves_along_and_is_logged(filled: Workspace) -> None:
    counter.change_state(filled, 2, "waiting on caller")
    assert counter.inquiry(filled, 2).state == "waiting on caller"
    with reading(filled.engine) as connection:
        assert changes_of(connection, "inquiries", "2")[-1].after == "state: waiting on caller"


def test_two_windows_on_one_workspace_see_the_same(filled: Workspace) -> None:
    other = counter.open_workspace(filled.home)
    number = counter.new_inquiry(other, 'title = "From next door"\n')
    assert counter.inquiry(filled, number).title == "From next door"
    assert counter.shelf(other) == counter.shelf(filled)


def test_everything_is_handed_out(filled: Workspace) -> None:
    whole = counter.export(filled)
    assert len(whole["inquiries"]) == len(demo_inquiries())
    shelf = demo_shelf()
    assert len(whole["shelf"]) == len(shelf.machines) + len(shelf.attachments) + len(shelf.parts) + 1
    json.dumps(whole, allow_nan=False)


UNPRICED = """
[machine]
record = "satchel-33"
[[work]]
kind = "logs"
diameter = "10 in"
length = "6 ft"
[[attachment]]
kind = "root_grapple"
interfaces = ["universal_plate"]
lids = 1
actuation = "hydraulic"
width = "48 in"
mass = "300 lb"
cg = ["10 in", "8 in"]
load_centre = ["20 in", "8 in"]
"""


def test_an_attachment_without_a_price_is_not_offered(filled: Workspace) -> None:
    number = counter.new_inquiry(filled, UNPRICED)
    first = counter.answer(filled, number).outfits[0]
    assert first.cost.lines
    assert not first.cost.whole
    with pytest.raises(Faults, match="own price"):
        counter.quote(filled, number, first.id)
    assert counter.quotes(filled) == []


def test_two_attachments_of_the_call_answer_to_two_ids(filled: Workspace) -> None:
    second = UNPRICED[UNPRICED.index("[[attachment]]") :].replace("48 in", "60 in")
    advice = counter.answer(filled, counter.new_inquiry(filled, UNPRICED + second))
    ids = [one.id for one in advice.outfits]
    assert len(set(ids)) == len(ids) >= 2
    assert {one.attachment for one in advice.outfits} == {"attachment-1", "attachment-2"}


def test_a_text_is_tried_without_being_stored(filled: Workspace) -> None:
    before = len(counter.inquiries(filled))
    assert counter.try_answer(filled, UNPRICED).outfits
    assert len(counter.inquiries(filled)) == before
