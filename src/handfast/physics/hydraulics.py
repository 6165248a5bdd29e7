"""Oil in hoses and cylinders: viscosity, density, losses, speeds, forces, heat."""

from __future__ import annotations

import numpy as np

from handfast.quantities.arrays import Array, ArrayLike

LAMINAR_BELOW = 2000.0
"""Reynolds number under which the flow counts as laminar; the larger, turbulent loss is taken from there on."""

KELVIN_40, KELVIN_100, KELVIN_15 = 313.15, 373.15, 288.15


def _double_log(viscosity: ArrayLike) -> Array:
    return np.log10(np.log10(np.asarray(viscosity, float) * 1e6 + 0.7))


def viscosity_d341(temperature: ArrayLike, viscosity_40: ArrayLike, viscosity_100: ArrayLike) -> Array:
    """Kinematic viscosity at a temperature from its values at 40 and 100 °C (above 2 mm²/s).

    Args:
        temperature: Oil temperature [K], any shape.
        viscosity_40: Kinematic viscosity at 40 °C [m²/s], broadcasts.
        viscosity_100: Kinematic viscosity at 100 °C [m²/s], broadcasts.

    Returns:
        Kinematic viscosity [m²/s], broadcast shape. Below 0 °C it is an extrapolation.

    Source: ASTM D341, log10 log10(ν + 0.7) falls in a straight line over log10 T.

    >>> round(float(viscosity_d341(353.15, 32e-6, 5.4e-6)) * 1e6, 2)
    8.53
    """
    high, low = _double_log(viscosity_40), _double_log(viscosity_100)
    slope = (high - low) / (np.log10(KELVIN_100) - np.log10(KELVIN_40))
    level = high - slope * (np.log10(np.asarray(temperature, float)) - np.log10(KELVIN_40))
    return np.asarray((10.0 ** (10.0**level) - 0.7) * 1e-6)


def density(temperature: ArrayLike, density_15: ArrayLike) -> Array:
    """Density of mineral oil at a temperature.

    Args:
        temperature: Oil temperature [K], any shape.
        density_15: Density at 15 °C [kg/m³], broadcasts.

    Returns:
        Density [kg/m³], broadcast shape.

    Source: ρ15 (1 − 0.00065 (t − 15 °C)), the usual linear rule for hydraulic oils.

    >>> round(float(density(313.15, 872.0)), 2)
    857.83
    """
    return np.asarray(np.asarray(density_15, float) * (1.0 - 0.00065 * (np.asarray(temperature, float) - KELVIN_15)))


def _smooth_pipe(reynolds: Array) -> Array:
    """Solve x = 2 log10(Re/x) − 0.8 for x = 1/√f by Newton steps; three digits double with each."""
    target = 2.0 * np.log10(reynolds) - 0.8
    x = np.maximum(1.8 * np.log10(reynolds / 6.9), 1.0)
    for _ in range(20):
        step = (x + 2.0 * np.log10(x) - target) / (1.0 + 2.0 / (np.log(10.0) * x))
        x = x - step
        if np.max(np.abs(step), initial=0.0) < 1e-14 * np.max(x, initial=1.0):
            break
    return np.asarray(1.0 / x**2)


def friction_factor(reynolds: ArrayLike) -> Array:
    """Darcy friction factor of a smooth bore: laminar below Re 2000, smooth turbulent from there.

    Args:
        reynolds: Reynolds number [1], any shape, not negative; 0 gives infinity.

    Returns:
        Darcy friction factor [1], same shape.

    Source: Hagen-Poiseuille 64/Re; Prandtl-Kármán smooth pipe 1/√f = 2 log10(Re √f) − 0.8.

    >>> [round(float(f), 5) for f in friction_factor([500.0, 1e5])]
    [0.128, 0.01799]
    """
    re = np.asarray(reynolds, float)
    laminar = re < LAMINAR_BELOW
    with np.errstate(divide="ignore"):
        low = 64.0 / re
    if np.all(laminar):
        return np.asarray(low)
    factor = np.array(low)
    factor[~laminar] = _smooth_pipe(re[~laminar])
    return factor


def velocity(flow: ArrayLike, bore: ArrayLike) -> Array:
    """Mean speed of oil in a round bore.

    Args:
        flow: Flow [m³/s], any shape.
        bore: Inside diameter [m], broadcasts.

    Returns:
        Speed [m/s], broadcast shape.

    Source: continuity, Q/(π d²/4).

    >>> round(float(velocity(10 * 6.30902e-5, 0.0127)), 3)
    4.98
    """
    return np.asarray(np.asarray(flow, float) / bore_area(bore))


def reynolds_number(flow: ArrayLike, bore: ArrayLike, viscosity: ArrayLike) -> Array:
    """Reynolds number of a flow in a round bore.

    Args:
        flow: Flow [m³/s], any shape.
        bore: Inside diameter [m], broadcasts.
        viscosity: Kinematic viscosity [m²/s], broadcasts.

    Returns:
        Reynolds number [1], broadcast shape.

    Source: v d/ν.

    >>> round(float(reynolds_number(8 * 6.30902e-5, 0.0127, 46e-6)))
    1100
    """
    return np.asarray(velocity(flow, bore) * np.asarray(bore, float) / np.asarray(viscosity, float))


def hose_drop(flow: ArrayLike, bore: ArrayLike, length: ArrayLike, viscosity: ArrayLike, density: ArrayLike) -> Array:
    """Pressure lost along a straight smooth hose or hard line.

    Args:
        flow: Flow [m³/s], any shape, not negative.
        bore: Inside diameter [m], broadcasts.
        length: Length [m], broadcasts.
        viscosity: Kinematic viscosity [m²/s], broadcasts.
        density: Density [kg/m³], broadcasts.

    Returns:
        Pressure loss [Pa], broadcast shape; 0 at no flow.

    Source: Darcy-Weisbach with `friction_factor`.

    >>> round(float(hose_drop(8 * 6.30902e-5, 0.0127, 3.048, 46e-6, 855.9)) / 6894.757, 2)
    13.76
    """
    speed = velocity(flow, bore)
    re = speed * np.asarray(bore, float) / np.asarray(viscosity, float)
    factor = friction_factor(np.where(re > 0.0, re, 1.0))
    return np.asarray(factor * np.asarray(length, float) / bore * np.asarray(density, float) * speed**2 / 2.0)


def rated_point_drop(flow: ArrayLike, rated_flow: ArrayLike, rated_drop: ArrayLike, count: ArrayLike = 1.0) -> Array:
    """Pressure lost in couplers or valves known by one rated point; too kind in cold oil.

    Args:
        flow: Flow [m³/s], any shape.
        rated_flow: Flow at which the drop was measured [m³/s], broadcasts.
        rated_drop: Drop at that flow [Pa], broadcasts.
        count: How many in a row [1], broadcasts.

    Returns:
        Pressure loss [Pa], broadcast shape.

    Source: drop grows with the square of the flow, as coupler charts are drawn (ISO 7241, ISO 16028 tests).

    >>> float(rated_point_drop(2e-4, 4e-4, 1e5, 2))
    50000.0
    """
    ratio = np.asarray(flow, float) / np.asarray(rated_flow, float)
    return np.asarray(np.asarray(count, float) * np.asarray(rated_drop, float) * ratio**2)


def fitting_drop(flow: ArrayLike, bore: ArrayLike, k: ArrayLike, count: ArrayLike, density: ArrayLike) -> Array:
    """Pressure lost in fittings known by a loss coefficient.

    Args:
        flow: Flow [m³/s], any shape.
        bore: Inside diameter [m], broadcasts.
        k: Loss coefficient on the velocity head [1], broadcasts.
        count: How many in a row [1], broadcasts.
        density: Density [kg/m³], broadcasts.

    Returns:
        Pressure loss [Pa], broadcast shape.

    Source: k ρ v²/2.

    >>> round(float(fitting_drop(1e-4 * np.pi / 4, 0.01, 1.0, 2, 1000.0)), 6)
    1000.0
    """
    head = np.asarray(density, float) * velocity(flow, bore) ** 2 / 2.0
    return np.asarray(np.asarray(k, float) * np.asarray(count, float) * head)


def bore_area(bore: ArrayLike) -> Array:
    """Area of a round bore, the driven area of an extending piston.

    Args:
        bore: Diameter [m], any shape.

    Returns:
        Area [m²], same shape.

    Source: π d²/4.

    >>> round(float(bore_area(0.075)) * 1e6)
    4418
    """
    return np.asarray(np.pi / 4.0 * np.asarray(bore, float) ** 2)


def rod_side_area(bore: ArrayLike, rod: ArrayLike) -> Array:
    """Ring between bore and rod, the driven area of a retracting piston.

    Args:
        bore: Cylinder bore [m], any shape.
        rod: Rod diameter [m], broadcasts.

    Returns:
        Area [m²], broadcast shape.

    Source: π (D² − d²)/4.

    >>> round(float(rod_side_area(0.075, 0.014)) * 1e6)
    4264
    """
    return bore_area(bore) - bore_area(rod)


def stall_force(
    pressure: ArrayLike, bore: ArrayLike, rod: ArrayLike, cylinders: ArrayLike = 1, extending: bool = True
) -> Array:
    """Force of all cylinders together, standing still at a pressure, nothing on the other side.

    Args:
        pressure: Pressure [Pa], any shape.
        bore: Cylinder bore [m], broadcasts.
        rod: Rod diameter [m], broadcasts.
        cylinders: How many in parallel [1], broadcasts.
        extending: Pushing (full bore) or pulling (ring).

    Returns:
        Force [N], broadcast shape.

    Source: p A.

    >>> round(float(stall_force(5e6, 0.075, 0.014)))
    22089
    """
    area = bore_area(bore) if extending else rod_side_area(bore, rod)
    return np.asarray(np.asarray(pressure, float) * np.asarray(cylinders, float) * area)


def blocked_rod_pressure(pressure: ArrayLike, bore: ArrayLike, rod: ArrayLike) -> Array:
    """Pressure in a rod port that is shut while the bore side is pressed, as with a coupler not home.

    Args:
        pressure: Pressure on the bore side [Pa], any shape.
        bore: Cylinder bore [m], broadcasts.
        rod: Rod diameter [m], broadcasts.

    Returns:
        Pressure [Pa], broadcast shape.

    Source: p A/a, equilibrium of the piston without load.

    >>> round(float(blocked_rod_pressure(2000.0, 2.0, 1.25)), 1)
    3282.1
    """
    return np.asarray(np.asarray(pressure, float) * bore_area(bore) / rod_side_area(bore, rod))


def available_flow(
    pump_flow: ArrayLike,
    speed_ratio: ArrayLike = 1.0,
    steering_flow: ArrayLike = 0.0,
    implement_flow: ArrayLike = np.nan,
) -> Array:
    """Flow left for the lid: the pump at its speed less what steering takes first, unless it is stated.

    Args:
        pump_flow: Whole pump at rated speed [m³/s], any shape.
        speed_ratio: Working over rated engine speed [1], broadcasts.
        steering_flow: Flow that steering takes first [m³/s], broadcasts.
        implement_flow: Stated flow for implements [m³/s], broadcasts; nan = not stated.

    Returns:
        Flow [m³/s], broadcast shape, not negative.

    Source: fixed-displacement pump with a priority valve.

    >>> round(float(available_flow(5e-4, 0.8, 1e-4)), 7)
    0.0003
    """
    left = np.maximum(np.asarray(pump_flow, float) * speed_ratio - np.asarray(steering_flow, float), 0.0)
    stated = np.asarray(implement_flow, float)
    return np.where(np.isnan(stated), left, stated)


def heat(pump_flow: ArrayLike, pump_pressure: ArrayLike, force: ArrayLike, speed: ArrayLike) -> Array:
    """Power that turns into heat while a piston moves.

    Args:
        pump_flow: All the flow of the pump, what goes over the relief too [m³/s], any shape.
        pump_pressure: Pressure at the pump [Pa], broadcasts.
        force: Load on the cylinders together [N], broadcasts.
        speed: Piston speed [m/s], broadcasts.

    Returns:
        Heat [W], broadcast shape.

    Source: energy balance, p Q − F v.

    >>> float(heat(4e-4, 1e7, 20000.0, 0.1))
    2000.0
    """
    spent = np.asarray(pump_flow, float) * np.asarray(pump_pressure, float)
    return np.asarray(spent - np.asarray(force, float) * np.asarray(speed, float))
