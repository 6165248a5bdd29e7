"""How long a hose must be, from the motion of the machine or from rough measures."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from handfast.quantities.arrays import Array, ArrayLike

SHORTENS, LENGTHENS = 0.04, 0.02
"""Change of a hose's length under pressure, −4 to +2 % (SAE J517, EN 853)."""

SOLD_STEP = 0.025
"""Made-up hoses are cut to this step [m] (practice)."""

ROUGH_SHARE, ROUGH_EXTRA = 0.10, 0.10
"""Allowance on distances measured with a tape on the machine: a tenth and 0.1 m (practice)."""


class Reach(NamedTuple):
    """Shortest and longest distance [m] between clamp and port, and the poses where they occur (flat index)."""

    shortest: Array
    longest: Array
    shortest_at: int
    longest_at: int


class HosePlan(NamedTuple):
    """A hose: length needed and bought [m], radius of its bow when slack [m], and whether it bends too tightly."""

    needed: Array
    bought: Array
    slack_radius: Array
    pinched: np.ndarray[tuple[int, ...], np.dtype[np.bool_]]


def carried_point(
    pin_x: ArrayLike, pin_z: ArrayLike, angle: ArrayLike, ahead: ArrayLike, above: ArrayLike
) -> tuple[Array, Array]:
    """Where a point fixed to a turning part is, as a port on the tool plate.

    Args:
        pin_x: Pin that the part turns about, forward [m], any shape.
        pin_z: The same pin, height [m], broadcasts.
        angle: Turn of the part, curled back positive [rad], broadcasts.
        ahead: Point ahead of the pin at angle 0 [m], broadcasts.
        above: Point above the pin at angle 0 [m], broadcasts.

    Returns:
        Forward and height [m], broadcast shape.

    Source: rotation in the plane.

    >>> x, z = carried_point(1.0, 0.5, np.pi / 2, 0.2, 0.0)
    >>> round(float(x), 6), round(float(z), 6)
    (1.0, 0.7)
    """
    c, s = np.cos(np.asarray(angle, float)), np.sin(np.asarray(angle, float))
    x = np.asarray(pin_x, float) + np.asarray(ahead, float) * c - np.asarray(above, float) * s
    z = np.asarray(pin_z, float) + np.asarray(ahead, float) * s + np.asarray(above, float) * c
    return np.asarray(x), np.asarray(z)


def arm_point(
    pivot_x: ArrayLike, pivot_z: ArrayLike, pin_x: ArrayLike, pin_z: ArrayLike, along: ArrayLike, above: ArrayLike
) -> tuple[Array, Array]:
    """Where a clamp on the arm is, when the arm's two pins are known.

    Args:
        pivot_x: Arm pivot, forward [m], any shape.
        pivot_z: Arm pivot, height [m], broadcasts.
        pin_x: Tool pin, forward [m], broadcasts.
        pin_z: Tool pin, height [m], broadcasts.
        along: Share of the way from pivot to pin [1], broadcasts.
        above: Distance square to that line, upward positive [m], broadcasts.

    Returns:
        Forward and height [m], broadcast shape.

    Source: plane geometry.

    >>> x, z = arm_point(0.0, 1.0, 2.0, 1.0, 0.5, 0.1)
    >>> float(x), float(z)
    (1.0, 1.1)
    """
    dx, dz = np.asarray(pin_x, float) - pivot_x, np.asarray(pin_z, float) - pivot_z
    span = np.hypot(dx, dz)
    x = np.asarray(pivot_x, float) + np.asarray(along, float) * dx - np.asarray(above, float) * dz / span
    z = np.asarray(pivot_z, float) + np.asarray(along, float) * dz + np.asarray(above, float) * dx / span
    return np.asarray(x), np.asarray(z)


def reach(clamp_x: ArrayLike, clamp_z: ArrayLike, port_x: ArrayLike, port_z: ArrayLike) -> Reach:
    """Shortest and longest distance between two points over all poses.

    Args:
        clamp_x: Clamp point, forward [m], shape of the pose grid or one that broadcasts to it.
        clamp_z: Clamp point, height [m], broadcasts.
        port_x: Port, forward [m], broadcasts.
        port_z: Port, height [m], broadcasts.

    Returns:
        The reach; poses where nothing is known (nan) are left aside.

    Source: straight distance, the least that a hose must bridge.

    >>> got = reach(0.0, 0.0, [3.0, 1.0], [4.0, 0.0])
    >>> float(got.shortest), float(got.longest), got.longest_at
    (1.0, 5.0, 0)
    """
    dx = np.asarray(port_x, float) - np.asarray(clamp_x, float)
    away = np.hypot(dx, np.asarray(port_z, float) - np.asarray(clamp_z, float))
    low, high = int(np.nanargmin(away)), int(np.nanargmax(away))
    return Reach(np.asarray(away.flat[low]), np.asarray(away.flat[high]), low, high)


def turn_allowance(bend_radius: ArrayLike, quarter_turns: ArrayLike) -> Array:
    """Length that a hose spends on turning square at its ends.

    Args:
        bend_radius: Least bend radius of the hose [m], any shape.
        quarter_turns: Number of quarter turns, both ends together [1], broadcasts.

    Returns:
        Length [m], broadcast shape.

    Source: a quarter circle, π/2 r, less the r that it gains along the line.

    >>> round(float(turn_allowance(0.18, 1)), 4)
    0.1027
    """
    return np.asarray((np.pi / 2.0 - 1.0) * np.asarray(bend_radius, float) * np.asarray(quarter_turns, float))


def length_needed(longest: ArrayLike, ends: ArrayLike, turns: ArrayLike) -> Array:
    """Length of a hose that still reaches when pressure shortens it.

    Args:
        longest: Longest distance to bridge [m], any shape.
        ends: Length of both hose ends together [m], broadcasts.
        turns: What turning at the ends takes [m], broadcasts.

    Returns:
        Overall length [m], broadcast shape.

    Source: longest/(1 − 4 %) + ends + turns.

    >>> round(float(length_needed(0.96, 0.1, 0.05)), 6)
    1.15
    """
    return np.asarray(
        np.asarray(longest, float) / (1.0 - SHORTENS) + np.asarray(ends, float) + np.asarray(turns, float)
    )


def rough_longest(measured: ArrayLike) -> Array:
    """Longest distance to count on where only a few poses were measured with a tape.

    Args:
        measured: Distances clamp to port, arms down and up, curled and dumped [m], last axis; nan = not measured.

    Returns:
        Distance [m], without the last axis.

    Source: the longest measured, a tenth more and 0.1 m (practice).

    >>> round(float(rough_longest([1.0, 1.4, 1.2])), 3)
    1.64
    """
    return np.asarray(np.nanmax(np.asarray(measured, float), axis=-1) * (1.0 + ROUGH_SHARE) + ROUGH_EXTRA)


def sold_length(needed: ArrayLike, step: float = SOLD_STEP) -> Array:
    """Length to order: the next step up.

    Args:
        needed: Length needed [m], any shape.
        step: Step that hoses are cut to [m].

    Returns:
        Length [m], same shape, never less than needed.

    Source: rounding up.

    >>> round(float(sold_length(1.401)), 3)
    1.425
    """
    return np.asarray(np.ceil(np.asarray(needed, float) / step - 1e-9) * step)


def bow_radius(length: ArrayLike, distance: ArrayLike) -> Array:
    """Radius of the bow that a slack hose makes between two points.

    Args:
        length: Free length of the hose [m], any shape.
        distance: Distance between its ends [m], broadcasts.

    Returns:
        Radius [m], broadcast shape; infinite when it is straight.

    Source: arc over a chord, sin u/u = distance/length, radius = length/(2u), by bisection.

    >>> round(float(bow_radius(np.pi / 2, 1.0)), 6)
    0.5
    """
    long = np.asarray(length, float)
    share = np.minimum(np.asarray(distance, float) / long, 1.0)
    low, high = np.zeros(share.shape), np.full(share.shape, np.pi)
    for _ in range(60):
        middle = (low + high) / 2.0
        open_ = np.sinc(middle / np.pi) > share
        low, high = np.where(open_, middle, low), np.where(open_, high, middle)
    with np.errstate(divide="ignore"):
        return np.where(share >= 1.0, np.inf, long / (low + high))


def plan_hose(
    longest: ArrayLike,
    shortest: ArrayLike,
    ends: ArrayLike,
    bend_radius: ArrayLike,
    quarter_turns: ArrayLike = 1.0,
    step: float = SOLD_STEP,
) -> HosePlan:
    """A hose between two points that move against each other.

    Args:
        longest: Longest distance [m], any shape.
        shortest: Shortest distance [m], broadcasts.
        ends: Length of both hose ends together [m], broadcasts.
        bend_radius: Least bend radius of the hose [m], broadcasts.
        quarter_turns: Quarter turns at the ends together [1], broadcasts.
        step: Step that hoses are cut to [m].

    Returns:
        The plan; pinched where the slack hose, 2 % longer under pressure, bows tighter than it may.

    Source: as `length_needed`, `sold_length`, `bow_radius`.

    >>> plan = plan_hose(1.2, 1.0, 0.1, 0.18)
    >>> round(float(plan.bought), 3), bool(plan.pinched)
    (1.475, False)
    """
    needed = length_needed(longest, ends, turn_allowance(bend_radius, quarter_turns))
    bought = sold_length(needed, step)
    free = (bought - np.asarray(ends, float)) * (1.0 + LENGTHENS)
    radius = bow_radius(free, shortest)
    return HosePlan(needed, bought, radius, np.asarray(radius < np.asarray(bend_radius, float)))
