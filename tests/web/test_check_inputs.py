"""Every check opens to its formula and to the facts it rests on, each with where it came from."""

from __future__ import annotations

from handfast.machines.inquiry import Inquiry
from handfast.machines.reading import demo_inquiries, demo_shelf
from handfast.outfits.checks import CHECKS
from handfast.web.check_inputs import formula_of, inputs_of


def _first() -> Inquiry:
    told = demo_inquiries()
    return next(iter(told.values())) if isinstance(told, dict) else told[0]


def test_every_check_has_a_formula() -> None:
    assert all(formula_of(one.id) for one in CHECKS)


def test_inputs_say_their_figure_and_where_it_came_from() -> None:
    shelf = demo_shelf()
    whole = _first().resolve(shelf)
    found = {one.label: one for one in inputs_of("lift.full_height", whole, None, "subcompact", "us")}
    lift = whole.machine.loader.lift_at_pin
    pins = next(one for one in found.values() if f"{lift.value / 0.45359237:,.0f} lb" in one.text)
    assert pins.origin == "from the sheet"
    assert all(
        one.text and one.origin for check in CHECKS for one in inputs_of(check.id, whole, None, "subcompact", "us")
    )


def test_what_is_not_known_is_typical_of_its_class_or_not_known() -> None:
    told = {
        one.label: (one.text, one.origin)
        for one in inputs_of("balance.front_axle", Inquiry(), None, "compact_small", "us")
    }
    assert (told["Wheelbase"][1] == "typical of its class" and " in" in told["Wheelbase"][0]) or "ft" in told[
        "Wheelbase"
    ][0]
    bare = inputs_of("balance.front_axle", Inquiry(), None, None, "us")
    assert {one.text for one in bare} == {"not known"}


def test_the_page_shows_them(desk) -> None:
    one = desk.client.get("/inquiries/1/json").json()["outfits"][0]["id"]
    text = desk.client.get(f"/inquiries/1/outfits/{one}").text
    assert "<dt>Formula</dt>" in text and "sum of each mass × (1 + slope" in text and "Lift at the pins" in text
