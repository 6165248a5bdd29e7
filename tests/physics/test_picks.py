"""What is picked up weighs as much as the loader has left where it sits; the demonstration's first caller by hand."""

from __future__ import annotations

import numpy as np
import pytest

from handfast.physics import lift, load, picks, volume

POUND, INCH, FOOT = 0.45359237, 0.0254, 0.3048


def test_longest_log_uses_all_that_is_left() -> None:
    diameter = np.array([0.2, 0.3, 0.45])
    length = picks.longest_log_seated(240.0, 0.75, 0.102, diameter, 950.0)
    used = lift.carried_one(load.log_mass(diameter, length, 950.0), 0.75, 0.102 + diameter / 2)
    assert np.allclose(used, 240.0)


def test_largest_stone_uses_all_that_is_left_or_fills_the_opening() -> None:
    room = np.array([50.0, 240.0, 900.0])
    stone = picks.largest_stone_seated(room, 0.75, 0.102, 2600.0)
    used = lift.carried_one(load.stone_mass(stone, 2600.0), 0.75, 0.102 + stone / 2)
    assert np.allclose(used, room)
    assert np.allclose(picks.largest_stone_seated(room, 0.75, 0.102, 2600.0, 0.3), 0.25)
    assert float(picks.largest_stone_seated(-10.0, 0.75, 0.1, 2600.0)) == pytest.approx(0.0, abs=1e-8)


def test_light_pinned_grapple_of_the_first_demonstration_inquiry() -> None:
    """Hand reckoning: 900/650 lb, 190 lb at 13 in: 450 lb is left at 24 in, a foot-thick oak of 8 ft is 402 lb."""
    slope = float(lift.rating_slope(900 * POUND, 650 * POUND))
    room = 900 * POUND - float(lift.carried_one(190 * POUND, slope, 13 * INCH))
    left = float(picks.pick_at(room, slope, 24 * INCH))
    assert left / POUND == pytest.approx(450, abs=0.6)
    oak = 64 * POUND / FOOT**3
    assert float(volume.cylinder_volume(FOOT, 8 * FOOT)) * oak / POUND == pytest.approx(402, abs=1)
    assert float(load.longest_log(left, FOOT, oak)) > 8 * FOOT


def test_said_length_is_never_longer() -> None:
    length = np.linspace(0.0, 6.0, 601)
    said = picks.half_foot_down(length)
    assert np.all(said <= length + 1e-12) and np.all(length - said < 0.5 * FOOT + 1e-9)


def test_scalar_equals_array() -> None:
    values = np.random.default_rng(4).uniform(0.2, 1.0, (5, 8)) * np.array([[300.0], [1.0], [0.3], [0.6], [1000.0]])
    together = picks.longest_log_seated(*values)
    assert np.array_equal(together, [float(picks.longest_log_seated(*column)) for column in values.T])
    rocks = picks.largest_stone_seated(*values[:3], 2600.0)
    assert np.array_equal(rocks, [float(picks.largest_stone_seated(*column, 2600.0)) for column in values[:3].T])
