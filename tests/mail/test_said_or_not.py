"""Sentences that say something of the writer's own tractor, and such as don't.

Source of what is expected: the plain meaning of the sentences.
"""

from __future__ import annotations

import pytest

from handfast.machines.shelf import Shelf
from handfast.mail.letter import Letter
from handfast.mail.likeness import alike, chances
from handfast.mail.read import read_mail

NOT_SAID = [
    "They told me filled tires ride rough.",
    "I was told beet juice in the tires helps, is that so?",
    "Will I need two remotes for that?",
    "Would a third function be hard to add?",
    "I thought it had one remote but nothing is certain, actually.",
    "Dealer wants $250 to plumb a third function.",
    "Some day I'd like a third function, and 3 remotes, and loaded tires.",
    "Sold my old tractor last spring, it only had 22 hp.",
    "What if the tires were filled?",
    "I could fill the tires with beet juice later on.",
]
SAID = [
    ("The loader raises its pins to 2.7 m.", "machine.loader.pin_height_max", 2.7),
    ("Tires arent filled.", "machine.tyre_fill", "none"),
    ("The tires have never been filled.", "machine.tyre_fill", "none"),
    ("Two lines at the loader valve.", "machine.lines_at_valve", 2),
    ("We lift the pallets to 1.5 m onto the truck bed.", "site.lift_to", 1.5),
    ("Behind I carry nothing.", "behind.kind", "none"),
]


@pytest.mark.parametrize("text", NOT_SAID)
def test_what_is_asked_wished_or_heard_is_no_fact(text: str) -> None:
    assert not [one for one in read_mail(text, Shelf()).facts if one.place.startswith("machine.")]


@pytest.mark.parametrize(("text", "place", "value"), SAID)
def test_what_is_stated_is_a_fact(text: str, place: str, value: object) -> None:
    assert [one.value for one in read_mail(text, Shelf()).facts if one.place == place] == [pytest.approx(value)]


def test_chances_of_an_amount_are_a_share_each() -> None:
    letter = Letter("Logs of spruce, 0.35 m diameter and a gate 9 ft wide, about 40 of them.")
    for one in letter.amounts:
        of = chances(letter, one)
        assert sum(of.values()) == pytest.approx(1.0) and min(of.values()) >= 0.0


def test_what_a_rule_took_is_not_taken_again_and_what_is_taken_says_so() -> None:
    letter = Letter("We pick rocks every spring. The biggest one was two feet across and I'd guess 1,400 lb.")
    weights = {"mass": {"": {"none": 0.0, "work.mass": 5.0}}}
    found = list(alike(letter, (), weights))
    assert [(one.place, one.why) for one in found] == [
        ("work[0].mass", "words around it that are like those of the weight of what is to be moved")
    ]
    assert not list(alike(letter, found, weights))
    assert not list(alike(letter, (), {"mass": {"": {"none": 5.0, "work.mass": 0.0}}}))


def test_a_words_end_is_no_thanks() -> None:
    assert not [one for one in read_mail("Tires are empty of fluid", Shelf()).facts if one.place == "caller.name"]
