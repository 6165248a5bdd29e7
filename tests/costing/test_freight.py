"""Freight: the density scale at its steps, and the dealer's rates by zone and packed mass.

Source of the scale: NMFTA, Docket 2025-1, 13-step density scale in force from 19 July 2025 (lb/ft³, lower bound
inclusive), typed in here apart from the table that the program reads.
"""

from __future__ import annotations

import numpy as np
import pytest

from handfast.costing.freight import freight_class, freight_lines, packed_mass, zone_of
from handfast.machines.attachment import Attachment, SeenElsewhere, Shipping
from handfast.machines.inquiry import Caller
from handfast.machines.price_book import FreightRate, PriceBook, Town
from handfast.quantities.estimate import Estimate

LB, FOOT = 0.45359237, 0.3048
SCALE = (
    (0.5, 400),
    (1, 300),
    (2, 250),
    (4, 175),
    (6, 125),
    (8, 100),
    (10, 92.5),
    (12, 85),
    (15, 70),
    (22.5, 65),
    (30, 60),
    (35, 55),
    (50, 50),
)
known = Estimate.known


def class_at(density: float) -> float:
    """A crate of 48 by 40 by 36 inches (40 ft³) of that density."""
    return float(freight_class(density * 40 * LB, 4 * FOOT, 40 / 12 * FOOT, 3 * FOOT))


@pytest.mark.parametrize(("density", "number"), SCALE)
def test_each_step_begins_at_its_lower_bound(density: float, number: float) -> None:
    """At the bound itself, to the last digit of a printed weight, and anywhere above it up to the next."""
    assert class_at(density) == number
    assert class_at(density * (1 + 1e-9)) == number


@pytest.mark.parametrize(("below", "above"), [(SCALE[k], SCALE[k + 1]) for k in range(len(SCALE) - 1)])
def test_just_below_a_step_is_the_dearer_class(below: tuple[float, float], above: tuple[float, float]) -> None:
    assert class_at(above[0] * (1 - 1e-6)) == below[1]


def test_heavier_in_the_same_crate_is_never_a_dearer_class() -> None:
    numbers = freight_class(np.geomspace(5.0, 2000.0, 400), 1.2, 1.0, 0.9)
    assert np.all(np.diff(numbers) <= 0)
    assert numbers[0] == 400
    assert numbers[-1] == 50


def test_a_crate_of_unknown_size_has_no_class() -> None:
    assert np.isnan(freight_class(100.0, np.nan, 1.0, 1.0))


def test_array_equals_scalar() -> None:
    masses = np.array([10.0, 80.0, 300.0, 900.0])
    assert freight_class(masses, 1.0, 1.0, 1.0).tolist() == [float(freight_class(m, 1.0, 1.0, 1.0)) for m in masses]


BOOK = PriceBook(
    freight=(
        FreightRate(zone="A", up_to=known(150.0), base=known(100.0)),
        FreightRate(zone="A", up_to=known(300.0), base=known(140.0)),
        FreightRate(zone="A", base=known(200.0), per_kg=known(0.5)),
        FreightRate(zone="D", up_to=known(150.0), base=known(250.0)),
    ),
    town=(Town(name="Quern Ferry", zone="A"), Town(name="Upper Tollick", zone="D")),
    fuel_share=known(0.20),
    lift_gate=known(85.0),
    residential=known(95.0),
    limited_access=known(115.0),
)


def crate(mass: float) -> Attachment:
    return Attachment(kind="bucket", mass=known(mass), shipping=Shipping(mass=known(mass)))


def said(mass: float, **caller: object) -> list[tuple[str, float]]:
    lines = freight_lines(crate(mass), Caller.model_validate({"place": "Quern Ferry", **caller}), BOOK)
    return [(what, price.value) for what, price in lines]


@pytest.mark.parametrize(
    ("mass", "hand"),
    [
        (150.0, 120.0),  # 100 + 20 % fuel: the bound belongs to the lower step
        (150.01, 168.0),  # 140 + 20 %
        (300.0, 168.0),
        (500.0, 540.0),  # (200 + 0.5 a kilogram × 500) + 20 %
    ],
)
def test_base_by_mass_and_fuel(mass: float, hand: float) -> None:
    """By hand from the rates above."""
    assert said(mass) == [("Freight", pytest.approx(hand))]


def test_extras_only_where_they_apply() -> None:
    lines = said(100.0, unloading="lift_gate", residential=True)
    assert [price for _, price in lines] == pytest.approx([120.0, 85.0, 95.0])
    assert [price for _, price in said(100.0, unloading="forks", limited_access=True)] == pytest.approx([120.0, 115.0])


def test_an_unknown_zone_is_charged_as_the_dearest() -> None:
    """So that the ceiling holds wherever the caller lives."""
    assert said(100.0, place="nowhere on the map") == [("Freight", pytest.approx(300.0))]


def test_the_zone_named_wins_over_the_town() -> None:
    assert zone_of(Caller(place="Quern Ferry", freight_zone="D"), BOOK) == "D"
    assert zone_of(Caller(place=" quern ferry "), BOOK) == "A"


def test_free_shipping_is_free() -> None:
    seen = SeenElsewhere(kind="root_grapple", mass=known(240.0), shipping_included=True)
    assert freight_lines(seen, Caller(place="Quern Ferry"), BOOK) == []


def test_packed_mass_is_the_crate_where_the_sheet_says_it() -> None:
    assert packed_mass(crate(160.0)) == 160.0
    assert packed_mass(Attachment(mass=known(100.0))) > 100.0
