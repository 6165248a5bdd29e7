"""What a loader lifts, reckoned from the ratings on its sheet (no linkage needed)."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from handfast.quantities.arrays import Array, ArrayLike

SHEET_HEIGHT = 1.5
SHEET_AHEAD = 0.5
LOWEST_PIN = 0.1
HIGHEST_LOWERED_PIN = 0.6


class Pivot(NamedTuple):
    """The arm pivot in the tractor frame, the arm length to the tool pin, and the pin height with the arms down."""

    x: Array
    z: Array
    radius: Array
    height_down: Array


def rating_slope(pin: ArrayLike, at_500: ArrayLike) -> Array:
    """How fast the lift rating falls with distance ahead of the tool pin.

    Args:
        pin: rating at the tool pin [kg], any shape.
        at_500: rating 500 mm ahead of the pin [kg], broadcasts.

    Returns:
        The slope λ [1/m] in `capacity = pin / (1 + λ·ahead)`; 0 for a self-levelling loader.

    Source:
        Moment about the arm pivot: pin·a = at_500·(a + 0.5 m), so λ = 1/a.

    >>> float(rating_slope(1043.0, 771.0).round(6))
    0.705577
    """
    return np.asarray((np.asarray(pin, float) / np.asarray(at_500, float) - 1.0) / SHEET_AHEAD)


def capacity(pin: ArrayLike, slope: ArrayLike, ahead: ArrayLike) -> Array:
    """The mass that the loader lifts at a distance ahead of its tool pin.

    Args:
        pin: rating at the tool pin [kg], any shape.
        slope: λ of `rating_slope` [1/m], broadcasts.
        ahead: horizontal distance ahead of the pin [m], broadcasts.

    Returns:
        Mass [kg].

    Source:
        Moment about the arm pivot.

    >>> float(capacity(1043.0, rating_slope(1043.0, 771.0), 0.5).round(9))
    771.0
    """
    return np.asarray(np.asarray(pin, float) / _lever(slope, ahead))


def carried(masses: ArrayLike, slope: ArrayLike, aheads: ArrayLike) -> Array:
    """The masses on the pins, each weighed by how far ahead it sits, summed over the last axis.

    Args:
        masses: masses [kg], shape (…, n).
        slope: λ of `rating_slope` [1/m], shape (…).
        aheads: distance ahead of the pin [m], shape (…, n).

    Returns:
        Σ m·(1 + λ·d) [kg], to be held against the rating at the pin, shape (…).

    Source:
        Moment about the arm pivot, divided by the pin's distance from it.

    >>> float(carried([100.0, 50.0], 0.7, [0.2, 0.4]).round(9))
    178.0
    """
    return np.asarray(np.sum(np.asarray(masses, float) * _lever(np.asarray(slope, float)[..., None], aheads), axis=-1))


def carried_one(mass: ArrayLike, slope: ArrayLike, ahead: ArrayLike) -> Array:
    """One mass weighed by how far ahead of the tool pin it sits.

    Args:
        mass: mass [kg], any shape.
        slope: λ of `rating_slope` [1/m], broadcasts.
        ahead: distance ahead of the pin [m], broadcasts.

    Returns:
        m·(1 + λ·d) [kg].

    Source:
        Moment about the arm pivot, divided by the pin's distance from it.

    >>> float(carried_one(100.0, 0.7, 0.2).round(9))
    114.0
    """
    return np.asarray(np.asarray(mass, float) * _lever(slope, ahead))


def payload(pin: ArrayLike, slope: ArrayLike, carried: ArrayLike, ahead: ArrayLike) -> Array:
    """The load that is left when everything else on the pins is carried.

    Args:
        pin: rating at the tool pin, credits included [kg], any shape.
        slope: λ of `rating_slope` [1/m], broadcasts.
        carried: Σ m·(1 + λ·d) of all that hangs there without the load [kg], broadcasts.
        ahead: where the load sits ahead of the pin [m], broadcasts.

    Returns:
        Mass [kg]; negative where the loader cannot even lift what it carries.

    Source:
        Moment about the arm pivot.

    >>> float(payload(400.0, 0.75, 100.0, 0.4).round(6))
    230.769231
    """
    return np.asarray((np.asarray(pin, float) - np.asarray(carried, float)) / _lever(slope, ahead))


def ahead_at_angle(x: ArrayLike, z: ArrayLike, theta: ArrayLike) -> Array:
    """How far ahead of the tool pin a point sits when the tool is turned.

    Args:
        x: distance ahead of the pin, tool level [m], any shape.
        z: height over the pin, tool level [m], broadcasts.
        theta: tool angle, curled back positive [rad], broadcasts.

    Returns:
        Horizontal distance ahead of the pin [m].

    Source:
        Plane rotation about the pin.

    >>> float(ahead_at_angle(0.6, 0.2, 0.0))
    0.6
    """
    turn = np.asarray(theta, float)
    return np.asarray(np.asarray(x, float) * np.cos(turn) - np.asarray(z, float) * np.sin(turn))


def curl_moment(curl: ArrayLike, ahead: ArrayLike) -> Array:
    """The moment about the tool pin that a published curl figure stands for.

    Args:
        curl: curl or breakout-by-curl figure [kg], any shape.
        ahead: the distance ahead of the pin at which it is given [m], broadcasts.

    Returns:
        Moment [kg·m]; the mass that the curl holds at d is this over d, at the pose of the figure.

    Source:
        Moment about the tool pin.

    >>> float(curl_moment(1225.0, 0.5))
    612.5
    """
    return np.asarray(np.asarray(curl, float) * np.asarray(ahead, float))


def pivot_from_sheet(
    slope: ArrayLike,
    pin_ahead_down: ArrayLike,
    level: ArrayLike,
    up: ArrayLike,
    pin_height_max: ArrayLike,
    pin_height_down: ArrayLike,
    wheelbase: ArrayLike,
    self_levelling: ArrayLike,
) -> Pivot:
    """Where the arm pivot must be, from the reach figures of a sheet.

    Args:
        slope: λ of `rating_slope` at full height [1/m], any shape; not used where self-levelling.
        pin_ahead_down: tool pin ahead of the front axle, arms down [m], broadcasts.
        level: the same with the pins level with the arm pivot [m], broadcasts.
        up: the same at full height [m], broadcasts.
        pin_height_max: pin height at full height [m], broadcasts.
        pin_height_down: pin height, arms down [m], used (and needed) only where self-levelling, broadcasts.
        wheelbase: wheelbase [m], broadcasts.
        self_levelling: True where the loader is mechanically self-levelling, broadcasts.

    Returns:
        `Pivot` of arrays [m]; nan where the figures meet in no pivot.

    Source:
        The pin runs on a circle about the pivot; with λ the pivot lies 1/λ behind the pin at full height,
        without it three pin positions fix the circle.

    >>> q = pivot_from_sheet(0.7055771725, 0.899, 1.251, 0.757, 2.692, float("nan"), 1.854, False)
    >>> round(float(q.x), 5), round(float(q.z), 5), round(float(q.height_down), 5)
    (1.19372, 1.40969, 0.30442)
    """
    base = np.asarray(wheelbase, float)
    down, far, top = (base + np.asarray(v, float) for v in (pin_ahead_down, level, up))
    high, levels = np.asarray(pin_height_max, float), np.asarray(self_levelling, bool)
    with np.errstate(divide="ignore", invalid="ignore"):
        rated_x = top - 1.0 / np.asarray(slope, float)
        rated_z = high - np.sqrt((far - rated_x) ** 2 - (top - rated_x) ** 2)
        circle_x, circle_z = _circle(down, far, top, high, np.asarray(pin_height_down, float))
        x, z = np.where(levels, circle_x, rated_x), np.where(levels, circle_z, rated_z)
        radius = far - x
        lowered = z - np.sqrt(radius**2 - (down - x) ** 2)
    return Pivot(*(np.asarray(v, float) for v in np.broadcast_arrays(x, z, radius, lowered)))


def pivot_plausible(height_down: ArrayLike) -> Array:
    """Whether a reckoned lowest pin height can belong to a real loader (otherwise the sheet contradicts itself).

    Args:
        height_down: pin height, arms down [m], any shape.

    Returns:
        1.0 where it lies between 0.1 and 0.6 m, else 0.0 [1].

    Source:
        Practice: a bucket resting on the ground puts the pins there.

    >>> pivot_plausible([0.3, 0.9]).tolist()
    [1.0, 0.0]
    """
    low = np.asarray(height_down, float)
    return np.asarray((low >= LOWEST_PIN) & (low <= HIGHEST_LOWERED_PIN), float)


def pin_x(pivot: Pivot, height: ArrayLike) -> Array:
    """How far ahead of the rear axle the tool pin stands at a height.

    Args:
        pivot: the arm pivot, arrays [m].
        height: pin height [m], broadcasts.

    Returns:
        x of the pin in the tractor frame [m]; nan out of the arms' reach.

    Source:
        The pin runs on a circle about the arm pivot.

    >>> here = Pivot(np.array(1.2), np.array(1.4), np.array(1.9), np.array(0.3))
    >>> float(pin_x(here, 1.4).round(9))
    3.1
    """
    with np.errstate(invalid="ignore"):
        return np.asarray(pivot.x + np.sqrt(pivot.radius**2 - (np.asarray(height, float) - pivot.z) ** 2))


def rating_at_height(
    pin: ArrayLike,
    slope: ArrayLike,
    pin_1500: ArrayLike,
    at_500_1500: ArrayLike,
    height: ArrayLike,
    pivot: Pivot,
    height_max: ArrayLike,
) -> tuple[Array, Array]:
    """The rating at the pin, and its slope, at any pin height between the two published heights.

    Args:
        pin: rating at the pin at full height [kg], any shape.
        slope: λ at full height [1/m], broadcasts; 0 where self-levelling.
        pin_1500: rating at the pin at 1.5 m [kg], nan where not published, broadcasts.
        at_500_1500: rating 500 mm ahead at 1.5 m [kg], nan where not published, broadcasts.
        height: pin height asked [m], broadcasts.
        pivot: the arm pivot, arrays [m].
        height_max: pin height at full height [m], broadcasts.

    Returns:
        (rating at the pin [kg], λ [1/m]); the full-height pair where the 1.5 m ratings are not known, the
        1.5 m pair below 1.5 m.

    Source:
        The moment that the lift cylinders hold about the arm pivot is taken as linear in pin height.

    >>> here = pivot_from_sheet(0.7055771725, 0.899, 1.251, 0.757, 2.692, float("nan"), 1.854, False)
    >>> [round(float(v), 4) for v in rating_at_height(1043, 0.7055771725, 1408, 1116, 2.692, here, 2.692)]
    [1043.0, 0.7056]
    """
    top, top_slope, low = (np.asarray(v, float) for v in (pin, slope, pin_1500))
    low_slope = rating_slope(low, at_500_1500)
    rest = np.asarray(height_max, float) - SHEET_HEIGHT
    with np.errstate(divide="ignore", invalid="ignore"):
        share = np.clip((np.asarray(height, float) - SHEET_HEIGHT) / rest, 0, 1)
        arm = pin_x(pivot, SHEET_HEIGHT + share * rest) - pivot.x
        moment = low / low_slope + share * (top / top_slope - low / low_slope)
        between, between_slope = moment / arm, 1.0 / arm
    straight = (top_slope == 0) | (low_slope == 0)
    between = np.where(straight, low + share * (top - low), np.where(share <= 0, low, between))
    between_slope = np.where(straight, top_slope, np.where(share <= 0, low_slope, between_slope))
    full = (share >= 1) | (rest <= 0) | np.isnan(low) | np.isnan(low_slope)
    return np.where(full, top, between), np.where(full, top_slope, between_slope)


def _lever(slope: ArrayLike, ahead: ArrayLike) -> Array:
    return np.asarray(1.0 + np.asarray(slope, float) * np.asarray(ahead, float))


def _circle(down: Array, far: Array, top: Array, high: Array, low: Array) -> tuple[Array, Array]:
    """Centre of the circle through (top, high), (far, centre's own height) and (down, low)."""
    over, under = far - top, far - down
    p = 1.0 / over - 1.0 / under
    q = high / over - low / under
    r = high**2 / over - low**2 / under - (top - down)
    z = r / (q + np.sqrt(q**2 - p * r))
    x = (far + top - (high - z) ** 2 / over) / 2.0
    return x, z
