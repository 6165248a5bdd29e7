"""What must hold of every quantity, whatever its numbers."""

from __future__ import annotations

import math
import re

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from handfast.quantities.estimate import Estimate
from handfast.quantities.reading import QuantityError, read_quantity
from handfast.quantities.showing import show, show_length
from handfast.quantities.units import BY_DIMENSION, DIMENSIONS, find_unit

finite = st.floats(min_value=-1e6, max_value=1e6, allow_nan=False)
shares = st.lists(st.floats(min_value=1e-9, max_value=1 - 1e-9), min_size=2, max_size=30)
PIECES = st.sampled_from(
    [*"0123456789", ".", ",", "/", "-", "–", " ", "'", '"', "±", "+-", "%", "°", "e", "½", "about ", " to ", "ft", "in",
     "lb", "kg", "deg", "$", "€", "nan", "inf", "unknown", "\u00a0", "\x00", "1e", "٣", "²"]
)  # fmt: skip


@st.composite
def estimates(draw: st.DrawFn) -> Estimate:
    low, likely, high = sorted((draw(finite), draw(finite), draw(finite)))
    make = draw(st.sampled_from(["known", "about", "between", "triangular"]))
    if make == "known":
        return Estimate.known(likely)
    if make == "about":
        return Estimate.about(likely, high - low)
    return Estimate.between(low, high) if make == "between" else Estimate.triangular(low, likely, high)


@given(estimates(), shares)
def test_a_greater_share_never_draws_a_lesser_value(estimate: Estimate, u: list[float]) -> None:
    drawn = np.broadcast_to(estimate.draw(np.sort(u)), len(u))
    assert np.all(np.diff(drawn) >= -1e-9 * (1 + np.abs(drawn[1:])))


@given(estimates(), shares)
def test_nothing_is_drawn_outside_its_bounds(estimate: Estimate, u: list[float]) -> None:
    drawn = estimate.draw(u)
    slack = 1e-9 * (1 + abs(estimate.least) + abs(estimate.greatest))
    assert np.all(drawn >= estimate.least - slack) and np.all(drawn <= estimate.greatest + slack)


@given(estimates())
def test_plain_json_is_read_back_equal(estimate: Estimate) -> None:
    assert _close(read_quantity(estimate.plain(), "money"), estimate)


def _close(a: Estimate, b: Estimate) -> bool:
    same = (a.kind, a.origin) == (b.kind, b.origin)
    ends = zip((a.low, a.likely, a.high), (b.low, b.likely, b.high), strict=True)
    return same and all(x == pytest.approx(y, rel=1e-9, abs=1e-6) for x, y in ends)


@settings(max_examples=400)
@given(st.one_of(st.text(max_size=40), st.lists(PIECES, max_size=12).map("".join)), st.sampled_from(DIMENSIONS))
def test_any_text_is_read_or_refused_and_nothing_else(text: str, dimension: str) -> None:
    for locale in ("en_US", "de_DE", "fr_FR", "de_CH"):
        try:
            estimate = read_quantity(text, dimension, locale)
        except QuantityError as refused:
            assert refused.found and refused.expected
        else:
            assert estimate.is_unknown or all(math.isfinite(v) for v in (estimate.low, estimate.likely, estimate.high))


SCALARS = st.none() | st.booleans() | st.floats() | st.integers() | st.text(max_size=9)
KEYS = st.sampled_from(["value", "spread", "low", "likely", "high", "origin", "x"])


def _within(one: st.SearchStrategy[object]) -> st.SearchStrategy[object]:
    return st.lists(one, max_size=3) | st.dictionaries(KEYS, one)


@given(st.recursive(SCALARS, _within, max_leaves=5))
def test_any_data_are_read_or_refused_and_nothing_else(data: object) -> None:
    try:
        read_quantity(data, "mass")
    except QuantityError as refused:
        assert refused.found and refused.expected


@given(
    st.floats(min_value=1e-4, max_value=1e5), st.sampled_from(sorted(BY_DIMENSION)), st.sampled_from(["us", "metric"])
)
def test_what_is_shown_is_read_back_within_its_rounding(value: float, dimension: str, system: str) -> None:
    if dimension == "angle":
        value = math.fmod(value, 6.0)
    if dimension == "slope":
        value = math.fmod(value, 1.3)
    shown = show(value, dimension, system)
    again = read_quantity(shown, dimension).value
    assert show(again, dimension, system) == shown
    assert again == pytest.approx(value, rel=1e-9, abs=_half_a_digit(shown, dimension))


def _half_a_digit(shown: str, dimension: str) -> float:
    """Half of the last digit shown, in SI."""
    if re.fullmatch(r"[\d,]+ ft( \d+ in)?", shown) and "length" in dimension:
        return 0.3048 / 2 if _beyond_inches(shown) else 0.0254 / 2
    found = re.fullmatch(r"-?[\d,]+(?:\.(?P<part>\d+))?\s*(?P<unit>.*)", shown)
    assert found is not None
    unit = find_unit(found["unit"], dimension) or find_unit(found["unit"], "share")
    factor = unit.factor if unit is not None and found["unit"] else 1.0
    return 0.5 * 10.0 ** -len(found["part"] or "") * factor * (1 + 1e-9)


def _beyond_inches(shown: str) -> bool:
    """From 100 ft on no inches are shown."""
    return " in" not in shown and int(re.sub(r"\D", "", shown)) >= 100


@given(st.floats(min_value=0.0, max_value=500.0), st.sampled_from([1, 2, 4, 8, 16]))
def test_feet_and_inches_are_read_back_within_half_a_part(value: float, parts: int) -> None:
    shown = show_length(value, parts=parts)
    assert read_quantity(shown, "length").value == pytest.approx(value, abs=0.0254 / parts / 2 * (1 + 1e-9))


@given(
    st.integers(min_value=0, max_value=999),
    st.integers(min_value=0, max_value=15),
    st.sampled_from([2, 4, 8, 16]),
    st.sampled_from(["{w} {a}/{b} in", "{w}-{a}/{b} in", '{w} {a}/{b}"', "{w} {a}/{b} inches"]),
)
def test_every_inch_fraction_is_exact(whole: int, above: int, below: int, form: str) -> None:
    above %= below
    read = read_quantity(form.format(w=whole, a=above, b=below), "length").value
    assert read == pytest.approx((whole + above / below) * 0.0254, rel=1e-12)


@given(st.integers(min_value=1000, max_value=999_999_999))
def test_thousands_marks_change_nothing(number: int) -> None:
    assert read_quantity(f"{number:,} lb", "mass").value == read_quantity(f"{number} lb", "mass").value
    assert read_quantity(f"{number:,}".replace(",", ".") + " kg", "mass", "de_DE").value == number
