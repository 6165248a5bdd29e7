"""Properties of the lift chapter that statics demands."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from handfast.physics import lift

SHARE = st.floats(0.5, 0.95)
RATING = st.floats(200.0, 3000.0)


@given(RATING, SHARE, st.floats(0.0, 2.0))
def test_moment_about_the_arm_pivot_is_the_same_at_every_distance(pin: float, share: float, ahead: float) -> None:
    """Statics: the cylinders hold one moment, so capacity × distance from the pivot is constant."""
    slope = lift.rating_slope(pin, pin * share)
    arm = 1.0 / slope
    assert float(lift.capacity(pin, slope, ahead) * (arm + ahead)) == pytest.approx(float(pin * arm), rel=1e-12)


@given(RATING, SHARE, st.lists(st.tuples(st.floats(1, 200), st.floats(-0.2, 1.5)), min_size=1, max_size=5))
def test_payload_fills_the_rating_exactly(pin: float, share: float, hung: list[tuple[float, float]]) -> None:
    slope = lift.rating_slope(pin, pin * share)
    masses, aheads = zip(*hung, strict=True)
    load = lift.payload(pin, slope, lift.carried(masses, slope, aheads), 0.6)
    assert float(lift.carried([*masses, float(load)], slope, [*aheads, 0.6])) == pytest.approx(pin, rel=1e-9)


def test_self_levelling_lifts_the_same_at_any_distance() -> None:
    assert lift.rating_slope(900.0, 900.0) == 0.0
    assert lift.capacity(900.0, 0.0, np.array([0.0, 1.0])).tolist() == [900.0, 900.0]


def test_turned_tool_swings_a_point_about_the_pin() -> None:
    """A quarter turn back puts what stood 0.3 m over the pin 0.3 m behind it (plane geometry)."""
    assert float(lift.ahead_at_angle(0.5, 0.3, np.pi / 2)) == pytest.approx(-0.3, abs=1e-15)


def circle_sheet(x: float, z: float, radius: float, ups: tuple[float, float], base: float = 1.9) -> lift.Pivot:
    """Reach figures measured off a known circle, read back."""
    down, up = (x + radius * np.cos(a) - base for a in ups)
    low, high = (z + radius * np.sin(a) for a in ups)
    return lift.pivot_from_sheet(0.0, down, x + radius - base, up, high, low, base, True)


@given(st.floats(0.6, 1.4), st.floats(1.0, 1.6), st.floats(1.5, 2.6), st.floats(-0.75, -0.3), st.floats(0.4, 0.95))
def test_circle_through_three_pins_is_found_again(x: float, z: float, radius: float, low: float, high: float) -> None:
    found = circle_sheet(x, z, radius, (low, high))
    assert np.allclose([found.x, found.z, found.radius], [x, z, radius], rtol=1e-7)
    assert float(found.height_down) == pytest.approx(z + radius * np.sin(low), abs=1e-7)


def test_equal_reach_up_and_down_is_no_division_by_zero() -> None:
    """Symmetric arcs make the quadratic linear."""
    found = circle_sheet(1.0, 1.4, 2.0, (-0.6, 0.6))
    assert np.allclose([found.x, found.z, found.radius], [1.0, 1.4, 2.0], rtol=1e-12)


def sheet_pivot() -> lift.Pivot:
    slope = lift.rating_slope(1043, 771)
    return lift.pivot_from_sheet(slope, 0.899, 1.251, 0.757, 2.692, np.nan, 1.854, False)


def test_published_pairs_are_met_at_their_heights() -> None:
    slope = lift.rating_slope(1043, 771)
    pins, slopes = lift.rating_at_height(
        1043, slope, 1408, 1116, np.array([1.2, 1.5, 2.692, 3.0]), sheet_pivot(), 2.692
    )
    assert np.allclose(pins, [1408, 1408, 1043, 1043], rtol=1e-12)
    assert np.allclose(slopes, [lift.rating_slope(1408, 1116)] * 2 + [slope] * 2, rtol=1e-12)


def test_without_ratings_at_1500_full_height_governs() -> None:
    pin, slope = lift.rating_at_height(1043, 0.7, np.nan, np.nan, [0.5, 1.6], sheet_pivot(), 2.692)
    assert pin.tolist() == [1043, 1043] and slope.tolist() == [0.7, 0.7]


def test_self_levelling_between_heights_is_linear_without_slope() -> None:
    pin, slope = lift.rating_at_height(800.0, 0.0, 1000.0, 1000.0, 2.0, sheet_pivot(), 2.5)
    assert float(pin) == pytest.approx(900.0) and float(slope) == 0.0


def test_scalar_equals_array() -> None:
    """The answer for one machine is the array answer of length one, to the bit."""
    pins, ats = np.array([1043.0, 900.0, 820.0]), np.array([771.0, 900.0, 600.0])
    slopes = lift.rating_slope(pins, ats)
    low, levels = np.array([np.nan, 0.3, np.nan]), np.array([False, True, False])
    many = lift.pivot_from_sheet(slopes, 0.899, 1.251, 0.757, 2.692, low, 1.854, levels)
    rated = lift.rating_at_height(pins, slopes, pins * 1.3, ats * 1.4, 2.0, many, 2.692)
    for i in range(3):
        slope = lift.rating_slope(pins[i], ats[i])
        one = lift.pivot_from_sheet(slope, 0.899, 1.251, 0.757, 2.692, low[i], 1.854, levels[i])
        assert [float(v) for v in one] == [float(v[i]) for v in many]
        each = lift.rating_at_height(pins[i], slope, pins[i] * 1.3, ats[i] * 1.4, 2.0, one, 2.692)
        assert [float(v) for v in each] == [float(v[i]) for v in rated]
        assert float(lift.carried([50.0, 70.0], slope, [0.1, 0.2])) == float(
            lift.carried([50.0, 70.0], slopes, [0.1, 0.2])[i]
        )
