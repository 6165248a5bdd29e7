"""Shown figures, against conversions by hand."""

from __future__ import annotations

import math

import pytest

from handfast.quantities.estimate import Estimate
from handfast.quantities.reading import read_quantity
from handfast.quantities.showing import show, show_estimate, show_length, show_number, show_slope


@pytest.mark.parametrize(
    ("value", "dimension", "us", "metric"),
    [
        (402 * 0.45359237, "mass", "402 lb", "182 kg"),
        (1250 * 0.45359237, "mass", "1,250 lb", "567 kg"),
        (1.5 * 0.45359237, "mass", "1.5 lb", "0.68 kg"),
        (54 * 0.0254, "length", "4 ft 6 in", "1.37 m"),
        (9.5 * 0.0254, "length", "9.5 in", "241 mm"),
        (120 * 0.3048, "length", "120 ft", "36.58 m"),
        (0.256, "share", "25.6 %", "25.6 %"),
        (math.atan(0.10), "slope", "10.0 %", "10.0 %"),
        (math.radians(16.7), "angle", "16.7°", "16.7°"),
        (165e5, "pressure", "2,393 psi", "165 bar"),  # 165 bar x 14.5037738 psi
        (20.5 * 745.69987, "power", "20 hp", "15.3 kW"),  # halves to the even number, as arithmetic rounds
        (313.15, "temperature", "104 °F", "40 °C"),
        (881.0155, "density", "55.0 lb/ft³", "881 kg/m³"),
        (12 * 0.764554857984, "volume", "12.0 yd³", "9.17 m³"),
        (4.6 * 6.30901964e-5, "flow", "4.6 gpm", "17.4 L/min"),
        (46e-6, "viscosity", "46.0 cSt", "46.0 cSt"),
        (math.nan, "mass", "unknown", "unknown"),
    ],
)
def test_both_systems(value: float, dimension: str, us: str, metric: str) -> None:
    assert show(value, dimension) == us
    assert show(value, dimension, "metric") == metric


def test_feet_and_inches_carry_over() -> None:
    assert show_length(11.99 * 0.0254) == "1 ft"
    assert show_length(59.97 * 0.0254) == "5 ft"
    assert show_length(66.5 * 0.0254, parts=2) == "5 ft 6 1/2 in"
    assert show_length(9.5 * 0.0254, parts=4) == "9 1/2 in"
    assert show_length(0.5 * 0.0254, parts=2) == "1/2 in"
    assert show_length(-1.5 * 0.0254, parts=2) == "-1 1/2 in"
    assert show_length(0.0) == "0 in"
    assert show_length(60.5 * 0.0254, parts=2) == "5 ft 1/2 in"


def test_decimals_and_locale() -> None:
    assert show(54 * 0.0254, "length", digits=1) == "54.0 in"
    assert show(1250.5, "mass", "metric", digits=1, locale="de_DE") == "1.250,5 kg"
    assert show_number(-0.4) == "0"


def test_estimates() -> None:
    assert show_estimate(read_quantity("about 40 lb", "mass"), "mass") == "about 40 lb (36 lb to 44 lb)"
    assert show_estimate(Estimate.triangular(1, 2, 4), "money") == "1.00 to 4.00, likely 2.00"
    assert show_slope(math.atan(0.30)) == "30.0 % (16.7°)"


def test_an_unknown_system_is_refused() -> None:
    with pytest.raises(ValueError, match="no such system"):
        show(1.0, "mass", "imperial")


def test_a_spread_too_small_to_show_is_not_shown_as_one() -> None:
    assert show_estimate(Estimate.about(2.1336, 0.001), "length") == "about 7 ft"
    assert show_estimate(Estimate.about(2.1336, 0.1), "length") == "about 7 ft (6 ft 8 in to 7 ft 4 in)"
