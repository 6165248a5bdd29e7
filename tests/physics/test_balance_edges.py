"""Edges of balance and ballast: limits by hand, defaults, and no warning of numpy where a limit is met."""

from __future__ import annotations

import numpy as np
import pytest

from handfast.physics import balance, ballast
from handfast.physics.slope import combine


def test_sequences_of_different_length_are_refused() -> None:
    with pytest.raises(ValueError):
        balance.axles([1.0, 2.0], [1.0], 1.5)
    with pytest.raises(ValueError):
        combine([1.0, 2.0], [1.0], [0.0, 0.0], [0.0, 0.0])
    with pytest.raises(ValueError):
        ballast.sets([1, 2], [True])


def test_limits_are_met_without_a_warning() -> None:
    """Nothing needed at exactly the share; no mass helps at the place where the denominator is 0; nothing tips at 0."""
    with np.errstate(all="raise"):
        assert float(balance.counterweight(800.0, 200.0, 0.0, 1.0, 1.0, 1.5, 0.2)) == 0.0
        assert float(balance.counterweight(900.0, 100.0, 0.0, 1.0, -1.2, 1.5, 0.2)) == np.inf
        assert balance.tipping_load([600.0, 0.0, 600.0], [0.0, 0.0, 0.5], 1.5).tolist() == [np.inf, np.inf, 1800.0]


def test_a_little_ballast_is_still_ballast() -> None:
    """Moments: k·M·L − rear·L = 0.9 kg·m asked, lever 1 + 1.5 − 0.3 = 2.2 m short of, and 0.5 m where it is short."""
    asked = 0.6 / 1.5
    front, rear = 1000.0 - 200.0 + asked, 200.0 - asked
    assert float(balance.counterweight(front, rear, 0.0, 1.0, 1.0, 1.5, 0.2)) == pytest.approx(0.6 / 2.2, rel=1e-6)
    assert float(balance.counterweight(front, rear, 0.0, 1.0, -0.7, 1.5, 0.2)) == pytest.approx(0.6 / 0.5, rel=1e-6)


def test_default_grip_is_one_half() -> None:
    stated = balance.hold_on_slope(1500.0, 0.9, 0.7, 1.6, 0.1, 0.5)
    assert float(balance.hold_on_slope(1500.0, 0.9, 0.7, 1.6, 0.1).capacity) == float(stated.capacity)


def test_half_the_load_on_an_outer_tine() -> None:
    """By hand: 300 kg at half of 1.5 m."""
    assert float(balance.off_centre_moment(600.0, 1.5)) == pytest.approx(300.0 * 0.75)


def test_three_supports_balance_about_both_axes() -> None:
    """Moments about the middle line and the rear axle, and the sum."""
    front, left, right = (float(v) for v in balance.three_supports(1200.0, 0.6, 0.15, 1.8, 1.4))
    assert front + left + right == pytest.approx(1200.0)
    assert (left - right) * 0.7 == pytest.approx(1200.0 * 0.15)
    assert front * 1.8 == pytest.approx(1200.0 * 0.6)


def test_sets_are_all_of_them_once_and_as_many_as_allowed() -> None:
    """Enumeration by hand: 2 + 1 loose ones in 3 · 2 ways, and none or one of two at the hitch."""
    made = ballast.sets([2, 1, 5, 1], [False, False, True, True])
    assert made.dtype == np.int64 and made[0].tolist() == [0, 0, 0, 0]
    want = {(a, b, c, d) for a in range(3) for b in range(2) for c, d in ((0, 0), (1, 0), (0, 1))}
    assert {tuple(row) for row in made.tolist()} == want and len(made) == len(want) == 18
    assert len(ballast.sets([2, 1, 5, 1], [False, False, True, True], limit=18)) == 18
    with pytest.raises(ValueError, match="18 sets of ballast are more than 17"):
        ballast.sets([2, 1, 5, 1], [False, False, True, True], limit=17)
    assert ballast.sets([0, 1], [True, False]).tolist() == [[0, 0], [0, 1]]
    with pytest.raises(ValueError, match="100000000000000000000 sets"):
        ballast.sets([99_999] * 4, [False] * 4)


def test_cheapest_set_row_by_row() -> None:
    """Each row for itself: no row's price or hold decides another; what holds at the threshold counts; else −1."""
    price = [[3.0, 2.0, 0.0], [1.0, 5.0, 9.0], [4.0, 4.0, 4.0]]
    held = [[1.0, 0.9, 0.1], [0.5, 0.9, 1.0], [0.0, 0.0, 0.89]]
    got = ballast.cheapest(price, held)
    assert got.dtype == np.int64 and got.tolist() == [1, 1, -1]
    assert ballast.cheapest(np.array(price, object), np.array(held, object)).tolist() == [1, 1, -1]
    free = ballast.cheapest([0.0, 0.0], [1.0, 1.0], mass=[20.0, 10.0])
    assert int(free) == 1
    dear = ballast.cheapest([1e6, 1e6 + 1e-4], [1.0, 1.0], mass=[20.0, 10.0])
    assert int(dear) == 1
    assert int(ballast.cheapest([10.0, 10.5], [1.0, 1.0], mass=[20.0, 10.0])) == 0


def test_useful_mass_takes_a_fifth_where_nothing_is_said() -> None:
    assert float(ballast.useful_mass(100.0, 0.0, 1.5)) == pytest.approx(80.0)
