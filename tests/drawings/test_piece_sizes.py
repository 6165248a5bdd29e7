"""The sliders of the side view: lid and piece; the mass of a log goes with the square of its diameter, by geometry."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from handfast.advice.advise import advise
from handfast.advice.result import Advice, OutfitAdvice
from handfast.drawings.charts_from_advice import load_chart_of
from handfast.drawings.from_advice import side_view_of
from handfast.drawings.piece_sizes import can_be_resized, with_piece
from handfast.drawings.side_parts import SideView
from handfast.drawings.side_view import side_view
from handfast.machines.reading import read_inquiry
from handfast.machines.shelf import Shelf
from handfast.web.drawn import Scene, lid_rest, posed

CHECKED = Path(__file__).parents[1] / "validation" / "checked"


@cache
def answer() -> Advice:
    """The bale tractor: a round bale of 1.22 m and 620 kg on forks, no floor drawn."""
    return advise(read_inquiry((CHECKED / "q07.toml").read_text()), Shelf())


def outfit() -> OutfitAdvice:
    """Its one outfit."""
    return answer().outfits[0]


def seen(one: OutfitAdvice, piece: float | None = None) -> SideView:
    """The outfit's side view."""
    return side_view_of(answer(), one, "us", piece)


def test_a_bale_half_as_thick_weighs_a_quarter_and_lies_at_half_its_thickness() -> None:
    one = with_piece(outfit(), 0.61)
    assert one.load == pytest.approx(155.0)
    assert (one.geometry.values["seat_x"], one.geometry.values["seat_z"]) == pytest.approx((0.305, 0.305))
    stone = replace(outfit().geometry, words=outfit().geometry.words | {"work": "rock"})
    assert with_piece(replace(outfit(), geometry=stone), 0.61).load == pytest.approx(77.5)


def test_axle_loads_stand_only_with_the_works_own_piece() -> None:
    assert seen(outfit()).axles is not None
    smaller = seen(outfit(), 0.8)
    assert smaller.axles is None
    assert smaller.load is not None and smaller.load.diameter == 0.8
    assert seen(outfit(), 1.22).load == seen(outfit()).load


def test_the_lid_turns_and_never_past_shut() -> None:
    one = Scene(answer(), outfit(), "us", seen(outfit()), load_chart_of(outfit(), "us"))
    rest = lid_rest(one)
    assert posed(one, None, 0.0)[0].lid is None
    assert [posed(one, None, 0.0, lid)[0].lid for lid in (0.7, -1.0)] == pytest.approx([rest + 0.7, rest])
    gripper = replace(outfit(), kind="log_grapple")
    gripper = replace(gripper, geometry=replace(outfit().geometry, words=outfit().geometry.words | {"lids": "1"}))
    pictures = {side_view(replace(seen(gripper), lid=lid)) for lid in (0.0, 0.5, 1.0)}
    assert len(pictures) == 3


def test_a_pallet_has_no_diameter_to_change() -> None:
    crate = replace(outfit().geometry, words=outfit().geometry.words | {"work": "pallets"})
    one = replace(outfit(), geometry=crate)
    assert not can_be_resized(one) and with_piece(one, 0.5) is one
