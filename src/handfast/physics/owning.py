"""What is left of a machine's price, and what an hour of it costs beside owning: farm machinery practice."""

from __future__ import annotations

import numpy as np

from handfast.quantities.arrays import Array, ArrayLike

LABOUR_OVER_MACHINE = 1.1  # hours paid for each hour that a tractor runs (ASAE data; seen in a printed cost program)
LUBRICANT_OVER_FUEL = 0.15  # of the cost of fuel (ASAE data; seen in the same program)


def _array(value: ArrayLike) -> Array:
    return np.asarray(value, dtype=np.float64)


def remaining_share(
    years: ArrayLike, hours_per_year: ArrayLike, first: ArrayLike, age: ArrayLike, use: ArrayLike
) -> Array:
    """Share of the list price that a used machine still fetches.

    Args:
        years: since new [count], any shape.
        hours_per_year: worked in a mean year [h], any shape.
        first: coefficient of a new machine [1], any shape.
        age: lost by the root of the years [1], any shape.
        use: lost by the root of the yearly hours [1], any shape.

    Returns:
        share [1], broadcast, at least 0.

    Source: ASAE D497: (C1 − C2·√years − C3·√hours)²; coefficients by class in `remaining_value.csv`.

    >>> round(float(remaining_share(15.0, 400.0, 0.9756, 0.1187, 0.0019)), 2)
    0.23
    """
    root = _array(first) - _array(age) * np.sqrt(_array(years)) - _array(use) * np.sqrt(_array(hours_per_year))
    return np.maximum(root, 0.0) ** 2


def hourly_cost(driver: ArrayLike, fuel_per_hour: ArrayLike, fuel_price: ArrayLike, tractor: ArrayLike = 0.0) -> Array:
    """What an hour of work costs beside owning the tool: labour, fuel and oil, the tractor's own share.

    Args:
        driver: wage [money per hour], any shape.
        fuel_per_hour: burnt [m³/h], any shape.
        fuel_price: [money per m³], any shape.
        tractor: its own wear and owning [money per hour], any shape.

    Returns:
        money per hour, broadcast.

    Source: ASAE EP496 and data: labour 1.1 hours an hour, lubricants 15 % of the fuel.

    >>> round(float(hourly_cost(20.0, 0.004, 1000.0, 10.0)), 2)
    36.6
    """
    fuel = _array(fuel_per_hour) * _array(fuel_price) * (1.0 + LUBRICANT_OVER_FUEL)
    return LABOUR_OVER_MACHINE * _array(driver) + fuel + _array(tractor)
