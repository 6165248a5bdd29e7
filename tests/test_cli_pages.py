"""Text pages: nothing rounded to certainty, nothing of a result left out, columns that stand."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handfast.advice.result import Band
from handfast.cli.page import band, columns, figure, tally
from handfast.cli.reckoning_page import reckoning_page

RESULT = {
    "front_axle": 453.59237,
    "rear_share": 0.25,
    "chosen": ["box", "weights"],
    "front_line": None,
    "worst": {"heading": 1.5707963267948966, "angle": 0.2},
    "units": {"mass": "kg"},
    "loads": [
        {"cg": [0.5, 0.2], "rows": [{"pin_x": 1.0, "governs": "lift"}, {"pin_x": 1.1, "governs": "curl"}]},
        {"cg": [0.7, 0.2], "rows": [{"pin_x": 1.2, "governs": "lift", "close": {"time": 3.5}}]},
    ],
}


@given(st.floats(0, 1))
def test_only_certainty_is_called_certain(held: float) -> None:
    assert (tally(held) == "sure") == (held == 1.0)
    assert (tally(held) == "never") == (held == 0.0)
    assert "10 in 10" not in tally(held)


@given(st.floats(0.1, 0.9999))
def test_tenths_are_never_kinder_than_the_share(held: float) -> None:
    assert int(tally(held).split()[0]) / 10 <= held


def test_what_is_not_known_is_said() -> None:
    assert tally(None) == "not decidable yet"
    assert band(None, "kg", "us") == "not known"


def test_a_single_value_has_no_spread() -> None:
    assert band(Band(453.59237, 453.59237, 453.59237), "kg", "us") == "1,000 lb"
    assert band(Band(400.0, 453.59237, 500.0), "kg", "us") == "1,000 lb (882 lb to 1,102 lb)"


@pytest.mark.parametrize(
    ("value", "unit", "us", "metric"),
    [
        (100.0, "kg", "220 lb", "100 kg"),
        (6894757.293168, "Pa", "1,000 psi", "69 bar"),
        (0.25, "share", "25.0 %", "25.0 %"),
        (3.14159265 / 6, "rad", "30.0°", "30.0°"),
    ],
)
def test_figures_have_their_unit(value: float, unit: str, us: str, metric: str) -> None:
    """1 lb = 0.45359237 kg and 1 psi = 6894.757293168 Pa, both exact by definition (NIST SP 811, B.8)."""
    assert figure(value, unit, "us").replace(" °", "°") == us
    assert figure(value, unit, "metric").replace(" °", "°").split(".")[0] == metric.split(".")[0]


def test_columns_are_as_wide_as_their_widest_cell() -> None:
    assert columns([["a", "1"], ["long", "22"]], right=(1,), indent="") == ["a      1", "long  22"]


def test_a_result_is_shown_whole() -> None:
    page = reckoning_page(RESULT, "us")
    for words in ("1,000 lb", "25.0", "box, weights", "front line", "none", "90.0", "loads", "3.5 s", "curl"):
        assert words in page
    assert page.count("lift") == 2


SLOPE = {
    "rear_line": 0.4636476090008061,
    "tips": [{"heading": 1.5707963267948966, "angle": 0.2914567944778671, "percent": 30}],
}
CHECKS = {"checks": [{"id": "balance.front_axle", "demand": 453.59237, "capacity": 907.18474, "unit": "kg"}]}


def test_slopes_are_written_in_degrees_and_per_cent() -> None:
    """tan 16.7 deg = 0.30, tan 26.565 deg = 1/2."""
    page = reckoning_page(SLOPE, "metric")
    assert "16.7° (30.0 %)" in page and "26.6° (50.0 %)" in page and "90.0°" in page
    assert "percent" not in page and "0.29" not in page


def test_a_row_that_says_its_unit_is_shown_in_trade_units() -> None:
    page = reckoning_page(CHECKS, "us")
    assert "1,000 lb" in page and "2,000 lb" in page and "unit" not in page


@pytest.mark.parametrize(
    ("name", "value", "us", "metric"),
    [
        ("slip_along", 4448.2216152605, "1,000 lbf", "4448 N"),
        ("tip_force", 444.82216152605, "100 lbf", "445 N"),
        ("push", 8896.443230521, "2,000 lbf", "8896 N"),
        ("smallest", 0.254, "10 in", "254 mm"),
        ("pin_x", 2.54, "100.0 in", "2.54 m"),
        ("at_500", 453.59237, "1,000 lb", "454 kg"),
        ("price_per_useful", 2.2046226, "1.00 per lb", "2.20 per kg"),
    ],
)
def test_every_figure_of_a_reckoning_has_its_unit(name: str, value: float, us: str, metric: str) -> None:
    """1 lbf = 4.4482216152605 N, 1 in = 0.0254 m, 1 lb = 0.45359237 kg (NIST SP 811)."""
    assert us in reckoning_page({name: value}, "us")
    assert metric in reckoning_page({name: value}, "metric").replace(",", "")
