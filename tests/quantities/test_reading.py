"""What people write, against the numbers that the definitions of inch, foot, pound and degree give by hand."""

from __future__ import annotations

import math

import pytest

from handfast.quantities.amounts import EXAMPLES
from handfast.quantities.reading import QuantityError, read_quantity
from handfast.quantities.units import DIMENSIONS

INCH, LB = 0.0254, 0.45359237


@pytest.mark.parametrize(
    ("text", "dimension", "value"),
    [
        ("850 lb", "mass", 850 * LB),
        ("1,250 lb", "mass", 1250 * LB),
        ("1,250.5 lb", "mass", 1250.5 * LB),
        ("2 1/2 in", "length", 2.5 * INCH),  # a unit library reads 1 in here
        ("2-1/2 in", "length", 2.5 * INCH),
        ("2½ in", "length", 2.5 * INCH),
        ("1/2 in", "length", 0.5 * INCH),
        ("-1 1/2 in", "length", -1.5 * INCH),
        ("−38 mm", "length", -0.038),
        ("5'6\"", "length", 66 * INCH),  # and 30 in here
        ("5'6", "length", 66 * INCH),
        ("5’6½”", "length", 66.5 * INCH),
        ("5' 6 1/2\"", "length", 66.5 * INCH),
        ("5'-6\"", "length", 66 * INCH),
        ("8 ft 6 in", "length", 102 * INCH),
        ("8 ft. 6 in.", "length", 102 * INCH),
        ("4ft6in", "length", 54 * INCH),
        ("9 1/2 in", "length", 9.5 * INCH),
        ("12 lb 8 oz", "mass", 12.5 * LB),
        ("1 h 30 min", "time", 5400.0),
        (".5 in", "length", 0.5 * INCH),
        ("4.6e-05", "viscosity", 4.6e-5),
        ("46 cSt", "viscosity", 46e-6),
        ("-10 °C", "temperature", 263.15),
        ("14 F", "temperature", 263.15),
        ("300", "temperature", 300.0),
        ("10 %", "slope", math.atan(0.10)),
        ("6 deg", "slope", math.radians(6)),
        ("30°", "slope", math.radians(30)),
        ("42 deg", "angle", math.radians(42)),
        ("75 %", "share", 0.75),
        ("0.75", "share", 0.75),
        ("2600", "rotation", 2600.0),
        ("4.6 gpm", "flow", 4.6 * 231 * INCH**3 / 60),
        ("2400 psi", "pressure", 2400 * LB * 9.80665 / INCH**2),
        ("12 yd3", "volume", 12 * (36 * INCH) ** 3),
        ("55 lb/ft3", "density", 55 * LB / (12 * INCH) ** 3),
        ("45 Ah", "charge", 162000.0),
        ("16 kN", "load", 16000 / 9.80665),
        ("2 tons", "mass", 4000 * LB),
        ("2 t", "mass", 2000.0),
        ("90 min", "hours", 1.5),
        ("1.5", "hours", 1.5),
        ("2 weeks", "days", 14.0),
        ("$1,599", "money", 1599.0),
        ("1599 USD", "money", 1599.0),
        ("EUR 1,250.50", "money", 1250.5),
        ("1/2", "hours", 0.5),
        ("60", "count", 60.0),
    ],
)
def test_one_amount(text: str, dimension: str, value: float) -> None:
    estimate = read_quantity(text, dimension)
    assert estimate.is_known
    assert estimate.value == pytest.approx(value, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "dimension", "kind", "low", "high"),
    [
        ("800 to 900 lb", "mass", "range", 800 * LB, 900 * LB),
        ("800-900 lb", "mass", "range", 800 * LB, 900 * LB),
        ("800 lb – 900 lb", "mass", "range", 800 * LB, 900 * LB),
        ("between 800 and 900 lb", "mass", "range", 800 * LB, 900 * LB),
        ("from 30 in to 3 ft", "length", "range", 30 * INCH, 36 * INCH),
        ("3/4-1 in", "length", "range", 0.75 * INCH, 1 * INCH),
        ("1-1 1/2 in", "length", "range", 1 * INCH, 1.5 * INCH),
        ("5' to 5'6\"", "length", "range", 60 * INCH, 66 * INCH),
        ("-10--5 °C", "temperature", "range", 263.15, 268.15),
        ("about 40 in", "length", "about", 36 * INCH, 44 * INCH),
        ("~40 in", "length", "about", 36 * INCH, 44 * INCH),
        ("40 in ± 2 in", "length", "about", 38 * INCH, 42 * INCH),
        ("40 ± 2 in", "length", "about", 38 * INCH, 42 * INCH),
        ("40 in +- 5 %", "length", "about", 38 * INCH, 42 * INCH),
        ("40 in +/- 2 in", "length", "about", 38 * INCH, 42 * INCH),
        ("20 °C ± 5 °C", "temperature", "about", 288.15, 298.15),
        ("$1,250 to $1,400", "money", "range", 1250.0, 1400.0),
        ("10 to 20 %", "slope", "range", math.atan(0.1), math.atan(0.2)),
    ],
)
def test_spread(text: str, dimension: str, kind: str, low: float, high: float) -> None:
    estimate = read_quantity(text, dimension)
    assert estimate.kind == kind
    assert (estimate.low, estimate.high) == (pytest.approx(low, rel=1e-12), pytest.approx(high, rel=1e-12))


@pytest.mark.parametrize("text", ["unknown", "Unknown", "", " ", "?", "n/a", "-", "–", "TBD", "call"])
def test_unknown(text: str) -> None:
    assert read_quantity(text, "mass").is_unknown


def test_equal_ends_are_known() -> None:
    assert read_quantity("800 to 800 lb", "mass").is_known
    assert read_quantity({"low": 5, "likely": 5, "high": 5}, "money").is_known
    assert read_quantity("40 in ± 0 in", "length").is_known


def test_tables_with_origin() -> None:
    weighed = read_quantity({"value": "1180 kg", "origin": "weighed"}, "mass")
    assert (weighed.value, weighed.origin, weighed.kind) == (1180.0, "weighed", "known")
    price = read_quantity({"low": 1240, "likely": "$1,290", "high": 1380}, "money")
    assert (price.kind, price.low, price.likely, price.high) == ("triangular", 1240.0, 1290.0, 1380.0)


@pytest.mark.parametrize(
    ("given", "dimension", "part"),
    [
        ("8,5 ft", "length", "a comma here means thousands. Write 8.5 ft or 8 ft 6 in"),
        ("8,5 kN", "force", "a comma here means thousands. Write 8.5 kN"),  # a unit library reads 85 kN here
        ("12,50 kg", "mass", "a comma here means thousands"),
        ("1,2500 lb", "mass", "a comma here means thousands"),
        ("30", "slope", "per cent or degrees"),
        ("about 30", "slope", "per cent or degrees"),
        ("20-30", "slope", "per cent or degrees"),
        (30, "slope", "a bare number is radians"),
        ("42", "angle", "a bare number is radians"),
        ("40 lb", "length", "a length such as"),
        ("40 in", "mass", "a unit of length"),
        ("850 lsb", "mass", "did you mean lb?"),
        ("900 to 800 lb", "mass", "the smaller number first"),
        ("800 lb to 900", "mass", "a unit behind the second number"),
        ("5 ft 14 in", "length", "less than 12 in"),
        ("5.5 ft 3 in", "length", "whole ft"),
        ("2 5/4 in", "length", "a fraction less than one"),
        ("3/0 in", "length", "a fraction"),
        ("1 250 kg", "mass", "a mass such as"),
        ("ten lb", "mass", "a mass such as"),
        ("nan", "mass", "a mass such as"),
        ("inf kg", "mass", "a mass such as"),
        ("1e999 kg", "mass", "finite"),
        ("9e307 t", "mass", "finite"),
        (float("nan"), "mass", "finite"),
        (float("inf"), "mass", "finite"),
        (10**400, "mass", "finite"),
        (True, "mass", "a mass such as"),
        (None, "mass", "a mass such as"),
        ([1, 2], "mass", "a mass such as"),
        ("$1.599", "money", "at most two digits"),
        ("3/8", "length", "a unit behind the fraction"),  # of an inch, surely, and never of a metre
        ("about 1 1/2", "length", "a unit behind the fraction"),
        ("1e3 lb lb", "mass", "not a unit"),
        ({"value": 1, "unit": "kg"}, "mass", "entries among"),
        ({"value": 1, "origin": "guess"}, "mass", "an origin among"),
        ({"low": 3, "likely": 2, "high": 4}, "money", "rising order"),
        ({"low": 3}, "money", "low and high"),
        ({"value": {"value": 1}}, "mass", "a mass such as"),
        ({"value": float("nan")}, "mass", "finite"),
        ("9" * 5000, "mass", "a mass such as"),
    ],
)
def test_refused_with_what_is_expected(given: object, dimension: str, part: str) -> None:
    with pytest.raises(QuantityError) as refused:
        read_quantity(given, dimension)
    assert part in str(refused.value)
    assert len(refused.value.found) < 100


def test_decimal_comma_where_the_locale_says_so() -> None:
    assert read_quantity("8,5 kN", "force", "de_DE").value == 8500.0
    assert read_quantity("1.250,5 kg", "mass", "de_DE").value == 1250.5
    assert read_quantity("1 250,5 kg", "mass", "fr_FR").value == 1250.5
    assert read_quantity("1'250.5 kg", "mass", "de_CH").value == 1250.5
    assert read_quantity("1.599 €", "money", "de_DE").value == 1599.0
    with pytest.raises(QuantityError, match=r"a point here means thousands\. Write 8,5 ft"):
        read_quantity("8.5 ft", "length", "de_DE")


def test_the_echo_says_how_it_was_read() -> None:
    assert read_quantity("5'6", "length").text == "5 ft 6 in"
    assert read_quantity("1,250 lb", "mass").text == "1250 lb"
    assert read_quantity("2 tons", "mass").text == "2 short ton"
    assert read_quantity(385.5, "mass").text == "385.5 kg"
    assert read_quantity("about 40 in", "length").text == "about 40 in"


@pytest.mark.parametrize("dimension", DIMENSIONS)
def test_every_example_in_a_refusal_can_itself_be_read(dimension: str) -> None:
    for example in EXAMPLES[dimension].replace(" or ", ", ").split(", "):
        assert not read_quantity(example, dimension).is_unknown


@pytest.mark.parametrize("word", ["flat", "Level", "dead flat"])
def test_flat_ground_is_no_slope(word: str) -> None:
    assert read_quantity(word, "slope").value == 0.0
    with pytest.raises(QuantityError):
        read_quantity(word, "length")


def test_three_points_in_one_text_are_those_of_the_table() -> None:
    """The text by which a table of low, likely and high is echoed reads as that table."""
    table = read_quantity({"low": 60, "likely": 85, "high": 125}, "money")
    for text in (table.text, "60 to 125 likely 85", "between 60 and 125, likely 85"):
        found = read_quantity(text, "money")
        assert (found.kind, found.low, found.likely, found.high) == ("triangular", 60, 85, 125), text
    for text in ("60 to 125, likely 200", "likely 85", "60, likely 85", "60 to 125, likely"):
        with pytest.raises(QuantityError):
            read_quantity(text, "money")
