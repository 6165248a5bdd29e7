"""From a tag to a replacement, the lesson kept, the next quote with the length as built. On a real workspace."""

from __future__ import annotations

import json
from math import isnan
from pathlib import Path

import pytest
from pydantic import ValidationError

from handfast.counter import aftercare
from handfast.counter import verbs as counter
from handfast.counter.aftercare import Came
from handfast.counter.verbs import Workspace
from handfast.machines.faults import Faults
from handfast.machines.inquiry import Inquiry
from handfast.outfits.find import outfit_of
from handfast.outfits.kit_hoses import kit_hoses

OUTFIT = "thicketjaw-42~pinned.ears-pins~diverter"
IN = 0.0254


@pytest.fixture(scope="module")
def filled(tmp_path_factory: pytest.TempPathFactory) -> Workspace:
    workspace = counter.open_workspace(tmp_path_factory.mktemp("care"))
    assert counter.fill_demo(workspace)
    counter.quote(workspace, 1, OUTFIT)
    return workspace


@pytest.fixture
def workspace(filled: Workspace, tmp_path: Path) -> Workspace:
    import sqlite3

    source, target = filled.home / "handfast.sqlite", tmp_path / "handfast.sqlite"
    with sqlite3.connect(source) as old, sqlite3.connect(target) as new:
        old.backup(new)
    return counter.open_workspace(tmp_path)


@pytest.mark.parametrize(
    ("text", "found"),
    [("12-A1", (12, "A1")), (" 12 a1 ", (12, "A1")), ("12", (12, "")), ("quote 7", (7, "")), ("Q3/bc2", (3, "BC2"))],
)
def test_a_tag_is_read_as_people_write_it(text: str, found: tuple[int, str]) -> None:
    assert aftercare.named(text) == found


@pytest.mark.parametrize("text", ["", "A1", "twelve", "1-A1-B2", "12-A123", "-3"])
def test_what_is_no_tag_is_refused(text: str) -> None:
    with pytest.raises(Faults):
        aftercare.named(text)


def test_a_quote_keeps_its_hoses_and_its_inquiry(workspace: Workspace) -> None:
    kept = json.loads(counter.quotes(workspace)[0].json)
    assert [one["tag"] for one in kept["hoses"]] == ["A1", "A2", "B1", "B2"]
    assert kept["text"] == counter.inquiry(workspace, 1).text
    kit = aftercare.kit_of(workspace, 1)
    assert (kit.built.machine, kit.built.attachment, kit.built.route) == ("thimble-24", "thicketjaw-42", "diverter")
    assert not kit.built.hoses


def test_short_at_dump_orders_a_longer_hose_and_the_next_quote_has_it(workspace: Workspace) -> None:
    """Fitted 24 in, 3 in missing: 24 + 3/0.96 + 0.984 = 28.109 in needed, worked by hand."""
    came = Came("short_at_dump_1", fitted=24 * IN, missing=3 * IN, notes="at full dump")
    number, order = aftercare.come_back(workspace, 1, "A2", "short_at_dump", came)
    assert order is not None
    part = json.loads(aftercare.order(workspace, order).record)
    assert part["needed"] == pytest.approx(28.1093 * IN, abs=1e-5)
    assert part["length"] >= part["needed"]
    assert part["price"] > 0
    assert part["payer"]["who"] == "dealer"
    assert json.loads(aftercare.comeback(workspace, number).record)["notes"] == "at full dump"
    again = json.loads(counter.quote(workspace, 1, OUTFIT).json)
    hose = {one["tag"]: one for one in again["hoses"]}["A2"]
    assert hose["needed"] == pytest.approx(28.1093 * IN, abs=1e-4)
    assert hose["basis"] == f"as built, {aftercare.today()}"
    assert (hose["brought_by"], hose["length"]) == ("", part["length"])
    note = again["outfit"]["connection"]["note"]
    assert f"Hose lengths as built, {aftercare.today()}." in note
    before = json.loads(counter.quotes(workspace)[-1].json)
    assert again["outfit"]["connection"]["price"] == pytest.approx(
        before["outfit"]["connection"]["price"] + part["price"], abs=0.01
    )


def test_what_a_kit_taught_helps_another_machine(workspace: Workspace) -> None:
    aftercare.come_back(workspace, 1, "A2", "short_at_dump", Came("short_at_dump_1", missing=3 * IN))
    lesson = counter.shelf(workspace).lessons[0]
    assert (lesson.attachment, lesson.route, lesson.line, lesson.at) == ("thicketjaw-42", "diverter", "A", "tool")
    assert lesson.extra.value == pytest.approx(3 * IN / 0.96 + 0.025, abs=1e-3)
    assert lesson.bought
    shelf = counter.shelf(workspace)
    other = shelf.machines["thimble-24"].model_copy(update={"id": "another-24"})
    found = kit_hoses(outfit_of(OUTFIT, Inquiry(machine=other), shelf), Inquiry(machine=other), shelf)
    hose = next(one for one in found if one.tag == "A2")
    assert "more than reckoned, learnt" in hose.plan.basis
    assert (hose.plan.brought_by, hose.plan.ordered >= hose.plan.needed) == ("", True)


def test_nothing_to_order_keeps_the_comeback_alone(workspace: Workspace) -> None:
    number, order = aftercare.come_back(workspace, 1, "", "stops", Came("stops_1"))
    assert order is None
    assert aftercare.orders(workspace) == []
    assert json.loads(aftercare.comeback(workspace, number).record)["payer"]["who"] == "nobody"
    assert counter.shelf(workspace).as_built == counter.shelf(workspace).lessons == ()


def test_a_part_that_is_no_hose_is_ordered_in_words(workspace: Workspace) -> None:
    came = Came("wrong_thread_1", what="3/4-16 boss to G 1/2, steel")
    _, order = aftercare.come_back(workspace, 1, "A1", "wrong_thread", came)
    assert order is not None
    part = json.loads(aftercare.order(workspace, order).record)
    assert (part["what"], part["tag"]) == ("3/4-16 boss to G 1/2, steel", "A1")
    aftercare.move_order(workspace, order, "received")
    assert aftercare.order(workspace, order).state == "received"


def test_the_same_hose_again_has_the_length_it_had(workspace: Workspace) -> None:
    _, order = aftercare.come_back(workspace, 1, "A1", "rubs", Came("rubs_1"))
    assert order is not None
    part = json.loads(aftercare.order(workspace, order).record)
    had = json.loads(counter.quotes(workspace)[0].json)["hoses"][0]
    assert part["length"] == had["length"]
    assert counter.shelf(workspace).as_built == ()


def test_what_is_not_there_is_refused_and_nothing_stored(workspace: Workspace) -> None:
    for number, tag, symptom, look in (
        (99, "", "stops", "stops_1"),
        (1, "A9", "rubs", "rubs_1"),
        (1, "", "stops", "rubs_1"),
    ):
        with pytest.raises(KeyError):
            aftercare.come_back(workspace, number, tag, symptom, Came(look))
    assert aftercare.comebacks(workspace) == []


def test_the_install_sheet_wins_and_is_added_to(workspace: Workspace) -> None:
    hoses = {"A1": {"length": "81 in", "routing": "under the step"}, "A2": {"length": None, "routing": ""}}
    given = {"made": "2026-11-20", "serial": "T-7", "relief": "2000 psi", "hours": "3.5 h", "notes": "", "hoses": hoses}
    aftercare.keep_as_built(workspace, 1, given)
    aftercare.keep_as_built(workspace, 1, {"made": "2026-11-24", "hoses": {"B1": {"length": 2.0, "routing": ""}}})
    built = aftercare.as_built(workspace, 1)
    assert {one.tag: one.made for one in built.hoses} == {"A1": "2026-11-20", "B1": "2026-11-24"}
    assert built.hoses[0].routing == "under the step"
    assert (built.serial, built.relief.value) == ("T-7", pytest.approx(2000 * 6894.757, rel=1e-6))
    assert built.hours.value == 3.5
    advice = counter.answer(workspace, 1)
    assert any("2,000 psi, as built, 2026-11-24" in note for note in advice.notes)
    assert any(line.what == "Fitting, 3.5 h as built, 2026-11-24" for line in advice.outfit(OUTFIT).cost.lines)
    assert not isnan(advice.outfit(OUTFIT).cost.p50)


def test_a_wrong_figure_of_the_install_sheet_stores_nothing(workspace: Workspace) -> None:
    with pytest.raises(ValidationError):
        aftercare.keep_as_built(workspace, 1, {"made": "", "relief": "24 lb", "hoses": {}})
    with pytest.raises(KeyError):
        aftercare.keep_as_built(workspace, 1, {"made": "", "hoses": {"Z9": {"length": 1.0, "routing": ""}}})
    assert counter.shelf(workspace).as_built == ()


def test_everything_is_handed_out(workspace: Workspace) -> None:
    aftercare.come_back(workspace, 1, "A2", "short_at_dump", Came("short_at_dump_1", missing=3 * IN))
    whole = counter.export(workspace)
    assert [len(whole[name]) for name in ("as_built", "comebacks", "orders", "lessons")] == [1, 1, 1, 1]
    assert whole["lessons"][0]["record"]["extra"]
    json.dumps(whole, allow_nan=False)
