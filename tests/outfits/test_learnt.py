"""As built wins over what is reckoned, and says so. Expected figures are those that were written down."""

from __future__ import annotations

from functools import cache

import pytest

from handfast.advice.advise import advise
from handfast.machines.as_built import AsBuilt, BuiltHose, Lesson, built_on, machine_key
from handfast.machines.inquiry import Inquiry
from handfast.machines.reading import demo_inquiries, demo_shelf
from handfast.machines.shelf import Shelf
from handfast.machines.tractor import Machine
from handfast.outfits.find import outfit_of
from handfast.outfits.hose_plan import HoseLength, hose_plan_of

KIT = {"attachment": "thicketjaw-42", "route": "diverter"}
OUTFIT = "thicketjaw-42~pinned.ears-pins~diverter"
DAY = "2026-11-25"
IN = 0.0254


@cache
def asked() -> Inquiry:
    return demo_inquiries()["1-heavy-grapple-on-line"]


def shelf(*built: AsBuilt, lessons: tuple[Lesson, ...] = ()) -> Shelf:
    return demo_shelf().model_copy(update={"as_built": built, "lessons": lessons})


def built(machine: str = "thimble-24", **more: object) -> AsBuilt:
    return AsBuilt(machine=machine, made=DAY, **{**KIT, **more})


def hoses(shelf: Shelf) -> dict[str, HoseLength]:
    whole = asked().resolve(shelf)
    return {one.tag: one for one in hose_plan_of(outfit_of(OUTFIT, whole, shelf), whole, shelf).hoses}


def test_a_written_length_wins_and_says_so() -> None:
    hose = BuiltHose(tag="B1", line="B", at="tractor", length="80 in", made=DAY)
    found, before = hoses(shelf(built(hoses=(hose,)))), hoses(shelf())
    assert found["B1"].needed == pytest.approx(80 * IN)
    assert found["B1"].basis == f"as built, {DAY}"
    assert found["B1"].ordered >= 80 * IN > before["B1"].ordered
    assert {tag: found[tag].needed for tag in ("A1", "A2", "B2")} == {
        tag: before[tag].needed for tag in ("A1", "A2", "B2")
    }


def test_a_hose_that_was_bought_instead_is_bought_again() -> None:
    """The attachment's own hose was too short: the next one of this kit is quoted with a bought one."""
    bought = BuiltHose(tag="A2", line="A", at="tool", length="35 in", made=DAY)
    along = bought.model_copy(update={"brought_by": "attachment"})
    first, second = hoses(shelf(built(hoses=(bought,)))), hoses(shelf(built(hoses=(along,))))
    assert (first["A2"].brought_by, second["A2"].brought_by) == ("", "attachment")
    assert first["A2"].needed == second["A2"].needed == pytest.approx(35 * IN)
    cost = {one.outfit(OUTFIT).connection.price for one in (advise(asked(), shelf()), advise(asked(), second_shelf()))}
    assert len(cost) == 1
    dearer = advise(asked(), shelf(built(hoses=(bought,)))).outfit(OUTFIT).connection
    assert dearer.price > cost.pop()
    assert f"as built, {DAY}" in dearer.note


def second_shelf() -> Shelf:
    along = BuiltHose(tag="A2", line="A", at="tool", length="35 in", made=DAY, brought_by="attachment")
    return shelf(built(hoses=(along,)))


def test_another_machine_or_kit_keeps_what_is_reckoned() -> None:
    hose = BuiltHose(line="A", at="tractor", length="99 in")
    before = hoses(shelf())
    for other in (built("umber-60", hoses=(hose,)), built(route="third_function", hoses=(hose,))):
        assert {t: h.needed for t, h in hoses(shelf(other)).items()} == {t: h.needed for t, h in before.items()}


def test_a_lesson_makes_the_kit_s_hose_longer_on_any_machine() -> None:
    lesson = Lesson(line="A", at="tractor", **KIT, extra="4 in", made=DAY)
    found, before = hoses(shelf(lessons=(lesson,))), hoses(shelf())
    assert found["A1"].needed - before["A1"].needed == pytest.approx(4 * IN)
    assert "learnt" in found["A1"].basis
    measured = BuiltHose(line="A", at="tractor", length="70 in", made=DAY)
    both = hoses(shelf(built(hoses=(measured,)), lessons=(lesson,)))
    assert both["A1"].needed == pytest.approx(70 * IN)
    bought = Lesson(line="B", at="tool", **KIT, extra="4 in", bought=True, made=DAY)
    found = hoses(shelf(lessons=(bought,)))
    assert found["B2"].brought_by == ""
    assert found["B2"].ordered >= found["B2"].needed == pytest.approx(before["B2"].needed + 4 * IN)
    assert found["A2"].brought_by == "attachment"


def test_measured_relief_and_hours_win_and_say_so() -> None:
    plain, taught = advise(asked(), shelf()), advise(asked(), shelf(built(relief="1900 psi", hours="2.5 h")))
    fitting = [line for line in taught.outfit(OUTFIT).cost.lines if line.what.startswith("Fitting")]
    assert [line.what for line in fitting] == [f"Fitting, 2.5 h as built, {DAY}"]
    rate = shelf().price_book.labour_rate.likely
    assert fitting[0].likely == pytest.approx(2.5 * rate)
    other = [line.what for line in taught.outfits[0].cost.lines if line.what.startswith("Fitting")]
    assert taught.outfits[0].id == OUTFIT or "as built" not in other[0]
    assert any(f"Relief 1,900 psi, as built, {DAY}" in note for note in taught.notes)
    assert not any("as built" in note for note in plain.notes)
    pressure = next(c for c in taught.outfit(OUTFIT).checks if c.id == "power.pressure")
    assert pressure.demand is not None
    assert pressure.demand.p50 >= 1900 * 6894.757 * 0.999


def test_what_the_caller_states_wins_over_what_was_measured() -> None:
    facts = Inquiry(machine=Machine(record="thimble-24", relief_pressure="120 bar"))
    assert facts.resolve(shelf(built(relief="1900 psi"))).machine.relief_pressure.value == 12e6


def test_another_tractor_s_serial_keeps_its_relief_apart() -> None:
    one = built(relief="1900 psi", serial="T-001")
    assert built_on((one,), Machine(id="thimble-24", serial="T-002")) is None
    assert built_on((one,), Machine(id="thimble-24", serial="T-001")) is one
    assert built_on((one,), Machine(id="thimble-24")) is one


def test_machines_without_a_record_are_told_apart_by_name() -> None:
    assert machine_key(Machine(name=" Old  Blue ")) == "old blue"
    assert machine_key(Machine()) == ""
    assert built_on((built("", relief="1900 psi"),), Machine()) is None
