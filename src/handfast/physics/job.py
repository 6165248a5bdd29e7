"""Getting the work done: cycles, loads, hours, fuel, and what a year of it costs."""

from __future__ import annotations

import numpy as np

from handfast.quantities.arrays import Array, ArrayLike

WORKING_SHARE = 50.0 / 60.0  # minutes worked in an hour, practice
DIESEL_PER_WORK = 0.044 * 3.785411784e-3 / 2.684519537696e6  # m³ per joule at the power take-off: 0.044 gal/hp·h


def _array(value: ArrayLike) -> Array:
    return np.asarray(value, dtype=np.float64)


def travel_time(distance: ArrayLike, speed_loaded: ArrayLike, speed_empty: ArrayLike) -> Array:
    """Time there loaded and back empty.

    Args:
        distance: one way [m], any shape.
        speed_loaded: [m/s], any shape.
        speed_empty: [m/s], any shape.

    Returns:
        time [s], broadcast.

    Source: kinematics.

    >>> float(travel_time(60.0, 1.5, 2.0))
    70.0
    """
    return _array(distance) / _array(speed_loaded) + _array(distance) / _array(speed_empty)


def cycle_time(
    travel: ArrayLike,
    bite: ArrayLike,
    manoeuvre: ArrayLike,
    lift: ArrayLike,
    lid: ArrayLike,
    dump: ArrayLike,
    delay: ArrayLike = 0.0,
) -> Array:
    """Time of one cycle.

    Args:
        travel: both ways [s], any shape.
        bite: filling the tool [s], any shape.
        manoeuvre: turning and lining up [s], any shape.
        lift: raising and lowering in place [s], any shape.
        lid: closing and opening the lid [s], any shape.
        dump: setting down or spreading [s], any shape.
        delay: what the power route costs, such as a lever behind the seat or no curl meanwhile [s], any shape.

    Returns:
        time [s], broadcast.

    Source: cycle of loading work: its parts one after another.

    >>> float(cycle_time(70.0, 30.0, 20.0, 8.0, 6.0, 15.0))
    149.0
    """
    parts = (travel, bite, manoeuvre, lift, lid, dump, delay)
    total = np.zeros(np.broadcast_shapes(*(np.shape(part) for part in parts)))
    for part in parts:
        total = total + _array(part)
    return total


def loads_per_hour(cycle: ArrayLike, working_share: ArrayLike = WORKING_SHARE) -> Array:
    """Cycles in an hour of the clock.

    Args:
        cycle: time of one [s], any shape.
        working_share: share of the hour that is worked [1], any shape.

    Returns:
        cycles per hour, broadcast.

    Source: the 50-minute hour of earth-moving practice.

    >>> float(loads_per_hour(120.0))
    25.0
    """
    return 3600.0 * _array(working_share) / _array(cycle)


def loads_needed(amount: ArrayLike, one_load: ArrayLike) -> Array:
    """Trips that it takes, the last one counted whole.

    Args:
        amount: of the job, any unit, any shape.
        one_load: in the same unit, any shape; 0 or less: it can't be done.

    Returns:
        trips, broadcast; inf where it can't be done.

    Source: arithmetic.

    >>> float(loads_needed(27.9, 0.8))
    35.0
    """
    amount, each = np.broadcast_arrays(_array(amount), _array(one_load))
    trips = np.ceil(amount / np.where(each > 0.0, each, 1.0) * (1.0 - 1e-12))
    return np.where(each > 0.0, trips, np.where(amount > 0.0, np.inf, 0.0))


def one_load(by_mass: ArrayLike, by_room: ArrayLike) -> Array:
    """What one trip carries: what the loader lifts or what the tool holds, whichever is less.

    Args:
        by_mass: payload [kg], any shape; below 0 counts as 0.
        by_room: mass of what the tool holds [kg], any shape.

    Returns:
        mass [kg], broadcast.

    Source: definition.

    >>> float(one_load(300.0, 102.0))
    102.0
    """
    return np.minimum(np.maximum(_array(by_mass), 0.0), _array(by_room))


def job_time(loads: ArrayLike, cycle: ArrayLike, working_share: ArrayLike = WORKING_SHARE) -> Array:
    """Time on the clock for the whole job.

    Args:
        loads: trips, any shape.
        cycle: time of one [s], any shape.
        working_share: share of the hour that is worked [1], any shape.

    Returns:
        time [s], broadcast.

    Source: arithmetic.

    >>> float(job_time(30.0, 120.0)) / 3600.0
    1.2
    """
    return _array(loads) * _array(cycle) / _array(working_share)


def fuel_used(power: ArrayLike, load_share: ArrayLike, time: ArrayLike, per_work: ArrayLike = DIESEL_PER_WORK) -> Array:
    """Fuel burnt.

    Args:
        power: greatest at the power take-off [W], any shape.
        load_share: mean power over the greatest [1], any shape; 1 with the default of per_work gives the yearly mean.
        time: [s], any shape.
        per_work: fuel by the greatest power and time [m³/J], any shape.

    Returns:
        fuel [m³], broadcast.

    Source: 0.044 US gallons of diesel per horsepower and hour, the yearly mean of ASAE data (0.73 × 0.06).

    >>> round(float(fuel_used(18000.0, 1.0, 3600.0)) * 1000, 2)
    4.02
    """
    return _array(power) * _array(load_share) * _array(time) * _array(per_work)


def recovery_factor(interest: ArrayLike, years: ArrayLike) -> Array:
    """Equal yearly payment that pays back one unit of money with interest.

    Args:
        interest: by the year [1], any shape; 0 spreads it evenly.
        years: [count], any shape.

    Returns:
        payment per unit and year, broadcast.

    Source: annuity; ASABE EP496 (capital recovery).

    >>> round(float(recovery_factor(0.10, 10.0)), 6)
    0.162745
    """
    i, n = np.broadcast_arrays(_array(interest), _array(years))
    flat = i == 0.0
    rate = np.where(flat, 1.0, i)
    return np.where(flat, 1.0 / n, -rate / np.expm1(-n * np.log1p(rate)))


def capital_recovery(price: ArrayLike, resale: ArrayLike, interest: ArrayLike, years: ArrayLike) -> Array:
    """Yearly cost of owning: depreciation and interest as equal payments.

    Args:
        price: paid [money], any shape.
        resale: got back at the end [money], any shape.
        interest: by the year [1], any shape.
        years: kept [count], any shape.

    Returns:
        money per year, broadcast.

    Source: ASABE EP496 (capital recovery with salvage value).

    >>> round(float(capital_recovery(2000.0, 500.0, 0.0, 10.0)), 2)
    150.0
    """
    lost = _array(price) - _array(resale)
    return lost * recovery_factor(interest, years) + _array(resale) * _array(interest)


def repair_to_date(price: ArrayLike, hours: ArrayLike, factor: ArrayLike, power: ArrayLike) -> Array:
    """Repairs from new up to so many hours.

    Args:
        price: list price in today's money, any shape.
        hours: of use since new [h], any shape.
        factor: share of the price in the first 1,000 h [1], any shape.
        power: exponent of the hours [1], any shape.

    Returns:
        money, broadcast.

    Source: ASABE EP496: factor · price · (hours / 1000)^power; factors by machine in D497, editable here.

    >>> float(repair_to_date(10000.0, 2000.0, 0.007, 2.0))
    280.0
    """
    return _array(factor) * _array(price) * (_array(hours) / 1000.0) ** _array(power)


def yearly_repair(
    price: ArrayLike, hours_per_year: ArrayLike, years: ArrayLike, factor: ArrayLike, power: ArrayLike
) -> Array:
    """Repairs in a mean year of the time that it is kept.

    Args:
        price: list price in today's money, any shape.
        hours_per_year: [h], any shape.
        years: kept from new [count], any shape.
        factor: share of the price in the first 1,000 h [1], any shape.
        power: exponent of the hours [1], any shape.

    Returns:
        money per year, broadcast.

    Source: ASABE EP496.

    >>> float(yearly_repair(10000.0, 200.0, 10.0, 0.007, 2.0))
    28.0
    """
    total = repair_to_date(price, _array(hours_per_year) * _array(years), factor, power)
    return total / _array(years)


def yearly_cost(owning: ArrayLike, repair: ArrayLike, hours: ArrayLike, hourly: ArrayLike) -> Array:
    """Cost of a year: owning, repair, and the hours at what an hour costs.

    Args:
        owning: [money per year], any shape.
        repair: [money per year], any shape.
        hours: of work in the year [h], any shape.
        hourly: labour, fuel and the tractor's own share [money per hour], any shape.

    Returns:
        money per year, broadcast.

    Source: ASABE EP496: ownership plus operating costs.

    >>> float(yearly_cost(300.0, 40.0, 40.0, 25.0))
    1340.0
    """
    return _array(owning) + _array(repair) + _array(hours) * _array(hourly)


def hire_cost(hours: ArrayLike, hourly: ArrayLike, each_time: ArrayLike = 0.0, times: ArrayLike = 1.0) -> Array:
    """Cost of having the work done by somebody else, or with a hired tool.

    Args:
        hours: that they need [h], any shape.
        hourly: their rate [money per hour], any shape.
        each_time: coming out, or fetching and bringing back [money], any shape.
        times: how often [count], any shape.

    Returns:
        money, broadcast.

    Source: arithmetic.

    >>> float(hire_cost(6.0, 95.0, 120.0, 2.0))
    810.0
    """
    return _array(hours) * _array(hourly) + _array(each_time) * _array(times)


def break_even_amount(fixed: ArrayLike, per_unit: ArrayLike, per_unit_else: ArrayLike) -> Array:
    """Amount of work in a year from which owning is the cheaper way.

    Args:
        fixed: yearly cost of owning, whatever is done [money per year], any shape.
        per_unit: cost of one unit of work with it [money], any shape.
        per_unit_else: cost of the same unit the other way [money], any shape.

    Returns:
        units per year (hours, loads, acres), broadcast; inf where it never pays.

    Source: arithmetic.

    >>> float(break_even_amount(600.0, 25.0, 85.0))
    10.0
    """
    saved = _array(per_unit_else) - _array(per_unit)
    pays = saved > 0.0
    return np.where(pays, _array(fixed) / np.where(pays, saved, 1.0), np.inf)
