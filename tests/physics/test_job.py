"""Cycles by hand reckoning; repair and capital recovery against published tables and plain discounting."""

from __future__ import annotations

import numpy as np
import pytest

from handfast.physics import job, volume

FOOT, MILE, MINUTE = 0.3048, 1609.344, 60.0


def hand_cycle(lid: float = 0.0) -> float:
    """Two hundred feet one way at a mean of 4 mph; the rest of the parts within the ranges of practice [s]."""
    travel = job.travel_time(200 * FOOT, 4 * MILE / 3600, 4 * MILE / 3600)
    return float(job.cycle_time(travel, 0.5 * MINUTE, 0.35 * MINUTE, 0.0, lid, 0.28 * MINUTE))


def test_two_hundred_feet_at_four_miles_an_hour_is_twenty_two_loads_an_hour() -> None:
    """Hand reckoning of practice: 2.2 min a cycle, 22 loads an hour of 50 minutes."""
    assert hand_cycle() / MINUTE == pytest.approx(2.2, abs=0.07)
    assert int(job.loads_per_hour(hand_cycle())) == 22


def test_lid_time_adds_six_or_twenty_two_per_cent() -> None:
    """Hand reckoning of practice: two strokes of 4 s, 6 %; two electric strokes of 15 s, 22 % of such a cycle."""
    assert hand_cycle(8.0) / hand_cycle() - 1 == pytest.approx(0.06, abs=0.005)
    assert hand_cycle(30.0) / hand_cycle() - 1 == pytest.approx(0.22, abs=0.015)


def test_brush_pile_of_the_demonstration() -> None:
    """Hand reckoning of demonstration inquiry 5: 27.9 yd³, 0.8 yd³ a load, 35 loads, 1.6 h at 22 loads an hour."""
    yards = float(volume.pile_volume(12 * FOOT, 20 * FOOT, 6 * FOOT)) / (27 * FOOT**3)
    loads = float(job.loads_needed(yards, 0.8))
    assert loads == 35.0
    assert float(job.job_time(loads, hand_cycle())) / 3600 == pytest.approx(1.6, abs=0.05)


@pytest.mark.parametrize(
    "factor, power, step, shares",
    [
        (0.007, 2.0, 1000, (0.01, 0.03, 0.06, 0.11, 0.18, 0.25, 0.34, 0.45, 0.57, 0.70)),
        (0.003, 2.0, 1000, (0.00, 0.01, 0.03, 0.05, 0.08, 0.11, 0.15, 0.19, 0.24, 0.30)),
        (0.29, 1.8, 200, (0.02, 0.06, 0.12, 0.19, 0.29, 0.40, 0.53, 0.68, 0.84, 1.01)),
        (0.18, 1.7, 200, (0.01, 0.04, 0.08, 0.12, 0.18, 0.25, 0.32, 0.40, 0.49, 0.58)),
    ],
    ids=["two-wheel tractor", "four-wheel tractor", "plough", "disk"],
)
def test_repair_to_date_meets_the_published_shares(
    factor: float, power: float, step: int, shares: tuple[float, ...]
) -> None:
    """Source: Iowa State University extension A3-29, table 3 (after ASAE 1996), whole per cents, half one allowed."""
    hours = step * np.arange(1, len(shares) + 1)
    assert np.all(np.abs(job.repair_to_date(1.0, hours, factor, power) - np.array(shares)) <= 0.0051)


def test_capital_recovery_factor_of_a_published_figure() -> None:
    """Source: published worked figure, 500,000 at 10 % over 10 years is 81,373 a year."""
    assert float(job.capital_recovery(500_000.0, 0.0, 0.10, 10.0)) == pytest.approx(81_373, abs=0.5)


def test_capital_recovery_is_worth_the_price_when_discounted_year_by_year() -> None:
    price, resale, interest, years = 2600.0, 700.0, 0.07, 8
    yearly = float(job.capital_recovery(price, resale, interest, years))
    worth = sum(yearly / (1 + interest) ** k for k in range(1, years + 1)) + resale / (1 + interest) ** years
    assert worth == pytest.approx(price, rel=1e-12)
    assert float(job.capital_recovery(price, resale, 0.0, years)) == pytest.approx((price - resale) / years)
    assert float(job.recovery_factor(1e-9, 8)) == pytest.approx(1 / 8, rel=1e-6)


def test_diesel_by_horsepower_and_hour() -> None:
    """Source: extension formula 0.73 × 0.06 US gallons by horsepower and hour."""
    gallons = float(job.fuel_used(25 * 745.6998715822702, 1.0, 10 * 3600.0)) / 3.785411784e-3
    assert gallons == pytest.approx(25 * 10 * 0.73 * 0.06, rel=0.006)


def test_brush_fills_before_it_weighs() -> None:
    assert job.one_load(np.array([784.0, 502.0, -30.0]), 225.0).tolist() == [225.0, 225.0, 0.0]
    assert np.isinf(job.loads_needed(10.0, 0.0)) and float(job.loads_needed(0.0, 0.0)) == 0.0
    assert float(job.loads_needed(0.3, 0.1)) == 3.0


def test_break_even_is_where_both_ways_cost_the_same() -> None:
    fixed, own, other = 420.0, 22.0, np.array([60.0, 20.0])
    hours = job.break_even_amount(fixed, own, other)
    assert float(job.yearly_cost(fixed, 0.0, hours[0], own)) == pytest.approx(float(job.hire_cost(hours[0], other[0])))
    assert np.isinf(hours[1])


@pytest.mark.parametrize(
    "function, count",
    [
        (job.travel_time, 3), (job.cycle_time, 7), (job.loads_needed, 2), (job.job_time, 3), (job.fuel_used, 4),
        (job.capital_recovery, 4), (job.repair_to_date, 4), (job.yearly_repair, 5), (job.yearly_cost, 4),
        (job.hire_cost, 4), (job.break_even_amount, 3), (job.one_load, 2), (job.recovery_factor, 2),
    ],
    ids=lambda v: getattr(v, "__name__", str(v)),
)  # fmt: skip
def test_scalar_equals_array(function: object, count: int) -> None:
    values = np.random.default_rng(2).uniform(0.5, 3.0, (count, 6))
    together = function(*values)  # type: ignore[operator]
    assert np.allclose(together, [float(function(*column)) for column in values.T], rtol=1e-15)  # type: ignore[operator]
