"""Edges of the sheet's lift figures, of what a loader picks up, and of loads: hand figures, ends, no warnings."""

from __future__ import annotations

import numpy as np
import pytest

from handfast.physics import job, lift, load, picks

PIVOT = lift.pivot_from_sheet(0.7, 0.9, 1.25, 0.75, 2.7, np.nan, 1.85, False)
SHEET = (1000.0, 0.7, 1400.0, 1100.0)


def test_turned_tool_by_hand() -> None:
    """Curled back a right angle, what stood over the pin lies behind it, and what lay ahead stands over it."""
    assert lift.ahead_at_angle(0.6, [0.2, 0.0, -0.3], np.pi / 2) == pytest.approx([-0.2, 0.0, 0.3], abs=1e-12)
    assert float(lift.ahead_at_angle(0.6, 0.8, np.arctan2(3.0, 4.0))) == pytest.approx(0.6 * 0.8 - 0.8 * 0.6, abs=1e-12)
    assert float(lift.ahead_at_angle(0.6, 0.8, 0.0)) == 0.6


def test_curl_figure_is_a_moment() -> None:
    assert float(lift.curl_moment(1200.0, 0.4)) == pytest.approx(480.0)


def test_lowest_pin_of_a_real_loader() -> None:
    """Both ends count as plausible, what is beyond does not."""
    assert lift.pivot_plausible([0.0999, 0.1, 0.35, 0.6, 0.6001, np.nan]).tolist() == [0.0, 1.0, 1.0, 1.0, 0.0, 0.0]


def test_sheets_that_meet_in_no_pivot_give_nan_and_no_warning() -> None:
    with np.errstate(all="raise", under="ignore"):
        q = lift.pivot_from_sheet([0.0, 0.7, 0.7], 0.9, [1.25, 0.5, 1.25], 0.75, 2.7, np.nan, 1.85, False)
        assert np.isnan(q.height_down[:2]).all() and np.isfinite(q.height_down[2])
        high = lift.pin_x(PIVOT, [9.0, 2.7])
        lift.pivot_from_sheet(0.0, 1.0, 1.0, 1.0, 2.5, 0.3, 1.8, True)
        lift.rating_at_height(1000.0, 0.0, 1400.0, 1400.0, [1.0, 1.5, 2.0], PIVOT, 1.5)
    assert np.isnan(high[0]) and float(high[1]) == pytest.approx(1.85 + 0.75)


def test_published_pairs_are_met_at_their_heights_and_held_beyond() -> None:
    """At full height and above the printed pair, at 1.5 m and below the printed pair of that height."""
    rating, slope = lift.rating_at_height(*SHEET, [0.5, 1.5, 2.7, 3.0], PIVOT, 2.7)
    assert rating.tolist() == pytest.approx([1400.0, 1400.0, 1000.0, 1000.0], rel=1e-12)
    low = (1400.0 / 1100.0 - 1.0) / 0.5
    assert slope.tolist() == pytest.approx([low, low, 0.7, 0.7], rel=1e-12)


def test_moment_is_linear_between() -> None:
    """The lift cylinders' moment about the pivot, rating times the arm, a third of the way is a third from one end."""
    height = 1.5 + 1.2 / 3
    rating, slope = (float(v) for v in lift.rating_at_height(*SHEET, height, PIVOT, 2.7))
    low_slope = (1400.0 / 1100.0 - 1.0) / 0.5
    assert rating / slope == pytest.approx(1400.0 / low_slope * 2 / 3 + 1000.0 / 0.7 / 3, rel=1e-9)
    assert 1.0 / slope == pytest.approx(float(lift.pin_x(PIVOT, height) - PIVOT.x), rel=1e-9)


@pytest.mark.parametrize("slopes", [(0.0, 1100.0), (0.7, 1400.0), (0.0, 1400.0)])
def test_self_levelling_on_either_side_goes_straight(slopes: tuple[float, float]) -> None:
    """No slope in one of the pairs: no arm to reckon with; the rating goes in a straight line, the slope stays."""
    rating, slope = lift.rating_at_height(1000.0, slopes[0], 1400.0, slopes[1], [1.5, 2.1, 2.7], PIVOT, 2.7)
    assert rating.tolist() == pytest.approx([1400.0, 1200.0, 1000.0])
    assert slope.tolist() == [slopes[0]] * 3


def test_slope_of_one_is_no_self_levelling() -> None:
    """A slope of exactly 1 per metre is an arm of one metre like any other, in either pair."""
    near = [
        lift.rating_at_height(1000.0, s, 1400.0, 1400.0 / 1.5 * t, 2.1, PIVOT, 2.7)
        for s, t in ((1.0, 1.001), (1.0 + 1e-9, 1.001), (1.001, 1.0), (1.001, 1.0 - 1e-9))
    ]
    for one, other in ((near[0], near[1]), (near[2], near[3])):
        assert [float(v) for v in one] == pytest.approx([float(v) for v in other], rel=1e-6)


@pytest.mark.parametrize("missing", [(np.nan, 1100.0), (1400.0, np.nan), (np.nan, np.nan)])
def test_full_height_pair_where_either_low_rating_is_unknown(missing: tuple[float, float]) -> None:
    rating, slope = lift.rating_at_height(1000.0, 0.7, *missing, [0.5, 1.5, 2.0], PIVOT, 2.7)
    assert rating.tolist() == [1000.0] * 3 and slope.tolist() == [0.7] * 3


@pytest.mark.parametrize("top", [1.5, 1.2])
def test_loader_that_is_no_higher_than_the_low_rating_keeps_its_own(top: float) -> None:
    for height in (0.5, 1.2, 1.5, 2.0):
        rating, slope = lift.rating_at_height(*SHEET, height, PIVOT, top)
        assert (float(rating), float(slope)) == (1000.0, 0.7)


def test_nothing_left_picks_up_nothing() -> None:
    assert picks.pick_at([0.0, -5.0, 0.4], 0.7, 0.5).tolist() == pytest.approx([0.0, 0.0, 0.4 / 1.35])
    assert float(picks.largest_stone_seated(0.0, 0.7, 0.1, 2600.0)) == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize("loss, plane", [(0.7, 0.1), (0.0, 0.5), (0.7, -0.6), (0.2, 2.0)])
@pytest.mark.parametrize("room", [2.0, 300.0, 5000.0])
def test_largest_stone_leaves_nothing_over(loss: float, plane: float, room: float) -> None:
    """Weight of the sphere times its own lever is the room, in front of the pin or behind it."""
    across = float(picks.largest_stone_seated(room, loss, plane, 2600.0))
    weighs = np.pi / 6 * across**3 * 2600.0
    assert weighs * (1.0 + loss * (plane + across / 2)) == pytest.approx(room, rel=1e-9)


def test_whole_half_feet_are_said_whole() -> None:
    """A length that is a whole number of half feet stays so, though its quotient may fall short by a rounding."""
    for halves in range(1, 60):
        for metres in (halves * 0.1524, halves * 6 * 0.0254, halves * 0.5 * 0.3048):
            assert float(picks.half_foot_down(metres)) == pytest.approx(halves * 0.1524, rel=1e-12)


def test_masses_by_hand() -> None:
    """Each factor counts once: twice any of them is twice the mass."""
    cases = {
        load.bite_of_brush: (0.4, 1.2, 0.8, 0.15, 900.0),
        load.box_mass: (0.4, 0.5, 1.2, 150.0),
        load.heaped_load: (0.3, 0.9, 1500.0),
    }
    for function, figures in cases.items():
        assert float(function(*figures)) == pytest.approx(float(np.prod(figures)))
    assert float(load.bundle_mass(0.2, 2.0, 900.0, 3)) == pytest.approx(3 * 0.01 * np.pi * 2.0 * 900.0)


def test_seat_falls_back_where_there_is_no_place_on_the_tines() -> None:
    """Too large for the floor: against plate and tip (Pythagoras); unknown diameter: the load centre."""
    floor = [[0.0, 0.0], [0.3, 0.0]]
    x, z = load.seat("logs", [0.2, 40.0, np.nan], floor, 0.6, 0.35)
    assert x.tolist() == pytest.approx([0.1, 20.0, 0.6])
    assert z.tolist() == pytest.approx([0.1, (20.0**2 - 19.7**2) ** 0.5, 0.35])
    x, z = load.seat("rock", [0.4, np.nan], None, [0.6, 0.7], 0.3)
    assert x.tolist() == [0.2, 0.7] and z.tolist() == [0.2, 0.3]
    x, z = load.seat("rock", 0.4, np.nan, 0.6, 0.3)
    assert (float(x), float(z)) == (0.2, 0.2)
    x, z = load.seat("pallets", np.full(3, 0.4), None, 0.6, 0.3)
    assert x.tolist() == [0.6] * 3 and z.tolist() == [0.3] * 3


def test_costs_add_and_trips_are_whole() -> None:
    """By hand: 3 h at 80 and two visits of 50; owning 300, repair 40, 10 h at 25."""
    assert float(job.hire_cost(3.0, 80.0, 50.0, 2.0)) == 340.0
    assert float(job.hire_cost(3.0, 80.0, 50.0)) == 290.0
    assert float(job.hire_cost(3.0, 80.0)) == 240.0
    assert float(job.yearly_cost(300.0, 40.0, 10.0, 25.0)) == 590.0
    assert float(job.fuel_used(1000.0, 0.5, 60.0, 1e-7)) == pytest.approx(0.5 * 1000.0 * 60.0 * 1e-7)
    assert float(job.loads_per_hour(36.0, 0.5)) == 50.0
    with np.errstate(all="raise"):
        trips = job.loads_needed([6.0, 6.1, 0.5, 0.0, 3.0], [2.0, 2.0, 0.0, 0.0, -1.0])
        pays = job.break_even_amount(600.0, 25.0, [85.0, 25.5, 25.0, 20.0])
    assert trips.tolist() == [3.0, 4.0, np.inf, 0.0, np.inf]
    assert pays.tolist() == [10.0, 1200.0, np.inf, np.inf]
    assert job.cycle_time(np.full((2, 1), 70.0), 30.0, 20.0, 8.0, np.full(3, 6.0), 15.0).shape == (2, 3)


def test_mean_year_of_repair_times_the_years_is_the_repair_to_date() -> None:
    """ASABE EP496: ten years of 200 h are 2000 h: 0.007 · 8000 · 2² = 224, 22.4 a year."""
    assert float(job.yearly_repair(8000.0, 200.0, 10.0, 0.007, 2.0)) == pytest.approx(22.4)
    assert float(job.repair_to_date(8000.0, 1000.0, 0.007, 2.0)) == pytest.approx(56.0)
    with np.errstate(all="raise"):
        assert job.recovery_factor([0.0, 0.05], 4.0) == pytest.approx([0.25, 0.05 / (1.0 - 1.05**-4)])
