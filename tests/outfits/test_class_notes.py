"""A published pair that contradicts its class is flagged; one that fits it is not. Bounds are those of the class table.

Hand reckoning: λ = (Cpin/C500 − 1)/0.5 m. 1,430 and 1,050 lb give 0.724 1/m, within 0.64 to 0.82 of a small compact;
1,430 and 800 lb give 1.575; 1,430 and 1,300 lb give 0.2.
"""

from __future__ import annotations

import pytest

from handfast.machines.loader import Loader
from handfast.machines.reading import demo_shelf
from handfast.machines.tractor import Machine
from handfast.outfits.class_notes import class_notes, machine_notes


def machine(pin: str, ahead: str, **more: object) -> Machine:
    return Machine(**{"class": "compact_small"}, loader=Loader(lift_at_pin=pin, lift_at_500=ahead), **more)


def test_a_pair_of_its_class_is_not_flagged() -> None:
    assert class_notes(machine("1430 lb", "1050 lb")) == ()


@pytest.mark.parametrize("ahead, word", [("800 lb", "faster"), ("1300 lb", "slower")])
def test_a_pair_that_contradicts_its_class_is_flagged_with_both_figures(ahead: str, word: str) -> None:
    (note,) = class_notes(machine("1430 lb", ahead))
    assert f"falls off {word}" in note
    assert "1,430 lb" in note and f"{int(ahead.split()[0]):,} lb" in note


def test_a_lift_of_another_class_is_flagged_and_the_class_may_come_from_the_power() -> None:
    loader = Loader(lift_at_pin="4000 lb", lift_at_500="2960 lb")
    (note,) = class_notes(Machine(engine_power="30 hp", loader=loader))
    assert note.startswith("Lift at the pins 4,000 lb")


def test_a_self_levelling_pair_is_left_to_its_own_warning() -> None:
    level = Loader(lift_at_pin="1430 lb", lift_at_500="1420 lb", self_levelling=True)
    assert class_notes(Machine(**{"class": "compact_small"}, loader=level)) == ()


def test_what_contradicts_itself_is_said_beside_it() -> None:
    odd = machine("1430 lb", "800 lb", hitch_lift="900 lb", hitch_lift_610="1000 lb")
    assert len(machine_notes(odd)) == 2


def test_no_machine_of_the_demonstration_is_flagged() -> None:
    assert {one.id: class_notes(one) for one in demo_shelf().machines.values() if class_notes(one)} == {}
