"""Twelve volts to a lid: wire, drop, actuator, fuse, ampacity, and the day's charge."""

from __future__ import annotations

import numpy as np

from handfast.physics.wire import KELVIN_20, RESISTIVITY_20, copper_resistivity, gauge_number, wire_area
from handfast.quantities.arrays import Array, ArrayLike
from handfast.quantities.tables import table

FUSE_MARGIN = 1.25
"""A fuse that carries its load all day is a quarter larger than the load (blade fuse practice, ISO 8820-3)."""


def cable_resistance(gauge: ArrayLike, length: ArrayLike, temperature: ArrayLike = KELVIN_20) -> Array:
    """Resistance of a two-wire cable, there and back.

    Args:
        gauge: Gauge number [1], any shape.
        length: Length one way [m], broadcasts.
        temperature: Copper temperature [K], broadcasts.

    Returns:
        Resistance [Ω], broadcast shape.

    Source: 2 ρ l/A.

    >>> round(float(cable_resistance(14, 304.8 / 2, 348.15)), 3)
    3.071
    """
    return np.asarray(2.0 * np.asarray(length, float) * copper_resistivity(temperature) / wire_area(gauge))


def voltage_drop(current: ArrayLike, gauge: ArrayLike, length: ArrayLike, temperature: ArrayLike = KELVIN_20) -> Array:
    """Voltage lost in a two-wire cable, there and back.

    Args:
        current: Current [A], any shape.
        gauge: Gauge number [1], broadcasts.
        length: Length one way [m], broadcasts.
        temperature: Copper temperature [K], broadcasts.

    Returns:
        Voltage [V], broadcast shape.

    Source: Ohm's law.

    >>> round(float(voltage_drop(10.0, 14, 152.4, 348.15)), 2)
    30.71
    """
    return np.asarray(np.asarray(current, float) * cable_resistance(gauge, length, temperature))


def area_needed(
    current: ArrayLike, length: ArrayLike, drop: ArrayLike, resistivity: ArrayLike = RESISTIVITY_20
) -> Array:
    """Copper area that keeps a two-wire cable's loss at a voltage.

    Args:
        current: Current [A], any shape.
        length: Length one way [m], broadcasts.
        drop: Voltage that may be lost [V], broadcasts.
        resistivity: Of the copper [Ω·m], broadcasts.

    Returns:
        Area [m²], broadcast shape.

    Source: Ohm's law; the circular-mil rule of small-craft wiring is this with 10.75 Ω·cmil/ft.

    >>> round(float(area_needed(10.0, 5.0, 0.36)) * 1e6, 2)
    4.79
    """
    return np.asarray(
        2.0
        * np.asarray(resistivity, float)
        * np.asarray(current, float)
        * np.asarray(length, float)
        / np.asarray(drop, float)
    )


def smallest_gauge(area: float) -> str:
    """Thinnest gauge whose least copper area, as vehicle cable is sold, is enough.

    Args:
        area: Copper area needed [m²].

    Returns:
        Gauge as written, "" if none in the table is thick enough.

    Source: awg.csv, least areas of vehicle cable where known.

    >>> smallest_gauge(3.1e-6)
    '10'
    """
    rows = [(float(row["sae_min_area_mm2"] or row["area_mm2"]) * 1e-6, row["awg"]) for row in table("awg.csv")]
    return min((pair for pair in rows if pair[0] >= area), default=(0.0, ""))[1]


def actuator_current(
    force: ArrayLike, full_force: ArrayLike, full_current: ArrayLike, idle_current: ArrayLike
) -> Array:
    """Current of an electric actuator under a force.

    Args:
        force: Force on the rod [N], any shape.
        full_force: Rated force [N], broadcasts.
        full_current: Current at the rated force [A], broadcasts.
        idle_current: Current without load [A], broadcasts.

    Returns:
        Current [A], broadcast shape; beyond the rated force it goes on rising.

    Source: straight line between idle and full load, as actuator makers draw it (direct-current motor).

    >>> float(actuator_current(150.0, 400.0, 12.0, 4.0))
    7.0
    """
    share = np.asarray(force, float) / np.asarray(full_force, float)
    idle = np.asarray(idle_current, float)
    return np.asarray(idle + (np.asarray(full_current, float) - idle) * share)


def actuator_speed(
    force: ArrayLike,
    full_force: ArrayLike,
    full_speed: ArrayLike,
    idle_speed: ArrayLike,
    voltage_share: ArrayLike = 1.0,
) -> Array:
    """Speed of an electric actuator under a force and at a voltage.

    Args:
        force: Force on the rod [N], any shape.
        full_force: Rated force [N], broadcasts.
        full_speed: Speed at the rated force [m/s], broadcasts.
        idle_speed: Speed without load [m/s], broadcasts.
        voltage_share: Voltage at the motor over rated voltage [1], broadcasts.

    Returns:
        Speed [m/s], broadcast shape, not negative.

    Source: direct-current motor: speed falls in a straight line with force and, without load, follows the voltage.

    >>> round(float(actuator_speed(500.0, 1000.0, 0.01, 0.014)), 4)
    0.012
    """
    idle = np.asarray(idle_speed, float)
    fall = (idle - np.asarray(full_speed, float)) * np.asarray(force, float) / np.asarray(full_force, float)
    return np.asarray(np.maximum(idle * np.asarray(voltage_share, float) - fall, 0.0))


def stroke_time(stroke: ArrayLike, speed: ArrayLike) -> Array:
    """Time of one stroke.

    Args:
        stroke: Stroke [m], any shape.
        speed: Speed [m/s], broadcasts.

    Returns:
        Time [s], broadcast shape; nan where it does not move.

    Source: length over speed.

    >>> float(stroke_time(0.2, 0.0125))
    16.0
    """
    pace = np.asarray(speed, float)
    return np.where(pace > 0.0, np.asarray(stroke, float) / np.where(pace > 0.0, pace, 1.0), np.nan)


def fuse_size(current: float) -> float:
    """Smallest fuse sold that carries a current all day.

    Args:
        current: Current [A].

    Returns:
        Rated current of the fuse [A]; nan if none in the table is large enough.

    Source: at least 1.25 × the current (blade fuse practice); sizes of fuses.csv (ISO 8820).

    >>> fuse_size(12.0)
    15.0
    """
    sizes = sorted(float(row["current_A"]) for row in table("fuses.csv"))
    needed = FUSE_MARGIN * current
    return next((size for size in sizes if size >= needed * (1.0 - 1e-12)), float("nan"))


def ampacity(gauge: str, ambient: float = 303.15) -> float:
    """Current that a cable may carry without end.

    Args:
        gauge: Wire gauge as written.
        ambient: Temperature of the air round the cable [K].

    Returns:
        Current [A]; nan where the gauge is not in the table, 0 where the air is as hot as the insulation bears.

    Source: ampacity.csv; warmer air takes the square root of the temperature left (heat grows with I²).

    >>> ampacity("8"), ampacity("AWG 8", 348.15)
    (65.0, 0.0)
    """
    number = gauge_number(gauge)
    for row in table("ampacity.csv"):
        if gauge_number(row["awg"]) == number:
            hot, base = float(row["insulation_C"]) + 273.15, float(row["ambient_C"]) + 273.15
            left = max(min((hot - ambient) / (hot - base), 1.0), 0.0)
            return float(float(row["current_A"]) * left**0.5)
    return float("nan")


def day_charge(current: ArrayLike, seconds: ArrayLike, strokes: ArrayLike) -> Array:
    """Charge that a day's strokes draw.

    Args:
        current: Current while moving [A], any shape.
        seconds: Time of one stroke [s], broadcasts.
        strokes: Strokes in the day [1], broadcasts.

    Returns:
        Charge [A·s], broadcast shape.

    Source: current × time.

    >>> float(day_charge(20.0, 16.0, 100.0))
    32000.0
    """
    return np.asarray(np.asarray(current, float) * np.asarray(seconds, float) * np.asarray(strokes, float))


def charge_on_hand(battery_reserve: ArrayLike, alternator: ArrayLike, other: ArrayLike, hours: ArrayLike) -> Array:
    """Charge that battery reserve and alternator give over a day's running.

    Args:
        battery_reserve: Charge that the battery may give [A·s], any shape.
        alternator: Alternator output at working speed [A], broadcasts.
        other: What the tractor itself draws [A], broadcasts.
        hours: Running time [s], broadcasts.

    Returns:
        Charge [A·s], broadcast shape; an alternator short of current draws the battery down.

    Source: charge balance.

    >>> float(charge_on_hand(36000.0, 20.0, 15.0, 3600.0))
    54000.0
    """
    spare = np.asarray(alternator, float) - np.asarray(other, float)
    return np.asarray(np.asarray(battery_reserve, float) + spare * np.asarray(hours, float))


def strokes_per_hour(alternator: ArrayLike, other: ArrayLike, current: ArrayLike, seconds: ArrayLike) -> Array:
    """Strokes per hour that the alternator alone keeps up.

    Args:
        alternator: Alternator output at working speed [A], any shape.
        other: What the tractor itself draws [A], broadcasts.
        current: Current while moving [A], broadcasts.
        seconds: Time of one stroke [s], broadcasts.

    Returns:
        Strokes per hour [1/h], broadcast shape, not negative.

    Source: charge balance over an hour.

    >>> float(strokes_per_hour(20.0, 15.0, 18.0, 10.0))
    100.0
    """
    spare = np.maximum(np.asarray(alternator, float) - np.asarray(other, float), 0.0)
    return np.asarray(spare * 3600.0 / (np.asarray(current, float) * np.asarray(seconds, float)))
