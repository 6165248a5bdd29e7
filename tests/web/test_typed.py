"""The typing line: what is said in any order is put where it belongs; what is not understood is named and left."""

from __future__ import annotations

from itertools import permutations

import pytest

from handfast.machines.inquiry import Inquiry
from handfast.machines.reading import demo_shelf, read_data
from handfast.web.form import text_of_form
from handfast.web.typed import read_line

SHELF = demo_shelf()
WHOLE = {
    "24 horse": {"machine.engine_power": "24 hp"},
    "four pins": {"machine.quick_attach": "pinned"},
    "oak logs 12 in by 8 ft": {
        "work[0].kind": "logs",
        "work[0].species": "oak",
        "work[0].diameter": "12 in",
        "work[0].length": "8 ft",
    },
    "box blade behind about 400 lb": {"behind.kind": "box_blade", "behind.mass": "about 400 lb"},
    "gate 5 ft": {"site.gate": "5 ft"},
    "budget 4000": {"wishes.budget": "4000"},
}


def test_a_whole_call_in_one_line_whatever_its_order() -> None:
    expected = {place: value for facts in WHOLE.values() for place, value in facts.items()}
    for order in list(permutations(WHOLE))[::7]:
        for comma in (", ", " ,  ", ";"):
            typed = read_line(comma.join(order), SHELF)
            assert (typed.facts, typed.unread) == (expected, [])


@pytest.mark.parametrize(
    ("said", "facts"),
    [
        ("thimble 24", {"machine.record": "Umberfold Thimble 24"}),
        ("tractor Umberfold Thimble 24", {"machine.record": "Umberfold Thimble 24"}),
        ("tractor Fernlea 30", {"machine.name": "Fernlea 30"}),
        ("30 horse or so", {"machine.engine_power": "about 30 hp"}),
        ("24 hp sub-compact", {"machine.engine_power": "24 hp", "machine.class": "subcompact"}),
        ("two levers", {"machine.quick_attach": "universal_plate"}),
        ("hooks above", {"machine.quick_attach": "hook_and_pin"}),
        ("ostlewick latch", {"machine.quick_attach": "ostlewick_latch"}),
        ("none in front", {"machine.front_functions": "0"}),
        ("no third function", {"machine.front_functions": "0"}),
        ("one rear remote", {"machine.rear_remotes": "1"}),
        ("seven lines into the valve", {"machine.lines_at_valve": "7"}),
        ("nothing behind", {"behind.kind": "none", "behind.mass": "0 lb"}),
        ("~400 lb behind", {"behind.mass": "about 400 lb"}),
        ("behind ?", {"behind.mass": "unknown"}),
        ("bucket ?", {"machine.quick_attach": ""}),
        ("slope don't know", {"site.slope": "unknown"}),
        ("flat ground", {"site.slope": "0 %"}),
        ("10 to 15 % slope", {"site.slope": "10 to 15 %"}),
        ("gate 5'6\"", {"site.gate": "5 ft 6 in"}),
        ("66 in wide gate", {"site.gate": "66 in"}),
        ("trailer side 4 ft 6 in", {"site.lift_to": "4 ft 6 in"}),
        ("under $4,000", {"wishes.budget": "$4,000"}),
        ("from Lathe Hill", {"caller.place": "Lathe Hill"}),
        ("555-0142", {"caller.number": "555-0142"}),
        ("roll bar folded", {"machine.rops": "folded"}),
        ("no belt", {"machine.seat_belt": "no"}),
        ("brush", {"work[0].kind": "brush"}),
        ("3 pallets 1,300 lb", {"work[0].count": "3", "work[0].kind": "pallets", "work[0].mass": "1,300 lb"}),
        (
            "8-foot by 12-inch oak logs",
            {
                "work[0].diameter": "12 in",
                "work[0].length": "8 ft",
                "work[0].species": "oak",
                "work[0].kind": "logs",
            },
        ),
        (
            "Billetjaw 36 E log grapple, electric lid",
            {"attachment[0].record": "Billetjaw 36 E log grapple, electric lid"},
        ),
        ("note rings back, maybe", {"notes": "rings back"}),
    ],
)
def test_one_piece(said: str, facts: dict[str, str]) -> None:
    typed = read_line(said, SHELF)
    assert typed.facts == facts
    if "note" not in said:
        assert typed.unread == []


@pytest.mark.parametrize(
    ("said", "names"),
    [
        ("not four pins", "not"),
        ("wants it by friday", "friday"),
        ("oak logs 12 in by 8 ft wet", "wet"),
        ("12 lb", "12 lb"),
        ("Thimble", "Umberfold Thimble 19"),
        ("24", "24"),
        ("gate", "gate"),
    ],
)
def test_a_piece_with_a_word_that_says_nothing_is_left_whole(said: str, names: str) -> None:
    typed = read_line(f"budget 4000, {said}, gate 5 ft", SHELF)
    assert typed.facts == {"wishes.budget": "4000", "site.gate": "5 ft"}
    assert typed.left == said
    assert names in typed.unread[0][1]


def test_a_second_kind_of_work_gets_a_line_of_its_own() -> None:
    typed = read_line("oak logs, brush", SHELF)
    assert (typed.facts["work[0].kind"], typed.facts["work[1].kind"]) == ("logs", "brush")
    data = {"work": [{"kind": "brush"}, {"kind": "logs"}]}
    assert read_line("logs 8 ft long", SHELF, data).facts == {"work[1].kind": "logs", "work[1].length": "8 ft"}


def test_a_promise_is_no_fact() -> None:
    typed = read_line("promise: ring back before noon, gate 5 ft", SHELF)
    assert (typed.promises, typed.facts) == (["ring back before noon"], {"site.gate": "5 ft"})


def test_what_is_read_holds_as_a_record() -> None:
    """Every piece of the tables above is taken by the record's own reader."""
    import tomllib

    for facts in WHOLE.values():
        text = text_of_form('title = "x"\n', facts, SHELF)
        assert read_data(Inquiry, tomllib.loads(text))


def test_a_comma_within_a_figure_parts_nothing() -> None:
    """Taken apart, "8,5 ft by 12 in" would put in 5 ft that nobody said."""
    typed = read_line("oak logs 8,5 ft by 12 in, mass 1,300 lb", SHELF)
    assert typed.facts["work[0].length"] == "8,5 ft"
    assert typed.left == "mass 1,300 lb"
