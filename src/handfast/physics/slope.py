"""Slope: the angle at which a tractor with a swinging front axle first rolls, at any heading and at the worst."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from handfast.quantities.arrays import Array, ArrayLike

GRAVITY = 9.80665


def _f(value: ArrayLike) -> Array:
    """The value as an array of floats."""
    return np.asarray(value, dtype=np.float64)


class Body(NamedTuple):
    """A mass [kg] with its centre of gravity [m]: x ahead of the rear axle, y left, z up."""

    mass: Array
    x: Array
    y: Array
    z: Array


class Lines(NamedTuple):
    """Limit angle [rad] about each line; right and left are rear contact to front pivot, front may be nan."""

    right: Array
    left: Array
    front: Array
    rear: Array

    @property
    def least(self) -> Array:
        """The first roll [rad]: the least of the lines that are known."""
        return np.fmin(np.fmin(self.right, self.left), np.fmin(self.front, self.rear))


def combine(
    masses: Sequence[ArrayLike], xs: Sequence[ArrayLike], ys: Sequence[ArrayLike], zs: Sequence[ArrayLike]
) -> Body:
    """One body out of many masses.

    Args:
        masses: each mass [kg], negative for what is taken away; arrays broadcast.
        xs: x of each [m].
        ys: y of each [m].
        zs: z of each [m].

    Returns:
        Body of their sum.

    Raises:
        ValueError: the sequences differ in length.

    Source: moments.

    >>> [round(float(v), 6) for v in combine([100.0, 300.0], [0.0, 4.0], [0.0, 0.4], [1.0, 2.0])]
    [400.0, 3.0, 0.3, 1.75]
    """
    total: Array = np.zeros(())
    middle = all(isinstance(y, float) and y == 0.0 for y in ys)
    sums: list[Array] = [np.zeros(())] * (2 if middle else 3)
    for mass, x, y, z in zip(masses, xs, ys, zs, strict=True):
        total = total + _f(mass)
        place = (x, z) if middle else (x, y, z)
        sums = [moment + _f(mass) * _f(at) for moment, at in zip(sums, place, strict=True)]
    each = [moment / total for moment in sums]
    return Body(total, each[0], np.zeros(()) if middle else each[1], each[-1])


def body_without_axle(
    mass: ArrayLike,
    cg_x: ArrayLike,
    cg_height: ArrayLike,
    axle_mass: ArrayLike,
    wheelbase: ArrayLike,
    wheel_radius: ArrayLike,
    cg_y: ArrayLike = 0.0,
) -> Body:
    """The machine without its front axle, which does not roll with it.

    Args:
        mass: whole machine [kg].
        cg_x: its centre of gravity ahead of the rear axle [m].
        cg_height: its centre of gravity above ground [m].
        axle_mass: front axle, its wheels and their fill [kg].
        wheelbase: rear axle to front axle [m].
        wheel_radius: front wheel radius [m], the height of the axle's mass.
        cg_y: centre of gravity of the whole left of the middle [m].

    Returns:
        Body with the axle taken out at (wheelbase, 0, wheel_radius).

    Source: moments.

    >>> [round(float(v), 6) for v in body_without_axle(1000.0, 0.8, 0.6, 100.0, 1.5, 0.3)]
    [900.0, 0.722222, 0.0, 0.633333]
    """
    axle = -_f(axle_mass)
    return combine([mass, axle], [cg_x, wheelbase], [cg_y, 0.0], [cg_height, wheel_radius])


def _arms(
    x: ArrayLike, y: ArrayLike, z: ArrayLike, wheelbase: ArrayLike, rear_track: ArrayLike, pivot_height: ArrayLike
) -> tuple[tuple[Array, Array, Array], tuple[Array, Array, Array]]:
    """Moment arms c = e × r about the right and the left line; the interior is on the left of e."""
    x, y, z = _f(x), _f(y), _f(z)
    span, up = _f(wheelbase), _f(pivot_height)
    half = 0.5 * _f(rear_track)
    out, keep = span * z - x * up, x * half
    right = (half * z - up * (half + y), -out, span * (half + y) - keep)
    left = (half * z - up * (half - y), out, span * (half - y) - keep)
    return right, left


def _limit(stays: ArrayLike, tips: ArrayLike) -> Array:
    """Angle whose tangent is stays over tips: 0 where it tips at rest, a right angle where it never tips."""
    angle = np.arctan2(np.maximum(stays, 0.0), tips)
    return np.asarray(np.minimum(np.where(np.less_equal(stays, 0.0), 0.0, angle), 0.5 * np.pi), dtype=np.float64)


def first_roll(
    heading: ArrayLike,
    body: Body,
    wheelbase: ArrayLike,
    rear_track: ArrayLike,
    pivot_height: ArrayLike,
    whole: Body | None = None,
) -> Lines:
    """Slope at which the machine first rolls about each of its lines, at one heading.

    Args:
        heading: turn of the nose from straight downhill, counter-clockwise seen from above [rad];
            a quarter turn is broadside with the left side uphill.
        body: the machine without its front axle.
        wheelbase: rear axle to front pivot [m].
        rear_track: between the rear tyre middles [m].
        pivot_height: height of the front axle's pivot [m].
        whole: the machine with its front axle; without it the front line is unknown (nan).

    Returns:
        Lines [rad], each 0 where it tips at rest and π/2 where it does not tip at this heading.

    Source: moments of the body about the lines rear contact to front pivot, of the whole machine
        about the front and the rear wheel contact line.

    >>> body = combine([1000.0], [0.8], [0.0], [0.7])
    >>> round(float(np.degrees(first_roll(np.pi / 2, body, 1.6, 1.2, 0.4).least)), 3)
    30.964
    """
    turn = _f(heading)
    down = (np.cos(turn), -np.sin(turn))
    sides = _arms(body.x, body.y, body.z, wheelbase, rear_track, pivot_height)
    right, left = (_limit(c[2], down[0] * c[0] + down[1] * c[1]) for c in sides)
    rest = body if whole is None else whole
    rear = _limit(rest.x, -down[0] * rest.z)
    front = np.full_like(rear, np.nan)
    if whole is not None:
        front = _limit(_f(wheelbase) - whole.x, down[0] * whole.z)
    return Lines(right, left, front, rear)


def worst_first_roll(
    body: Body,
    wheelbase: ArrayLike,
    rear_track: ArrayLike,
    pivot_height: ArrayLike,
    whole: Body | None = None,
) -> Lines:
    """Slope at which the machine first rolls about each line at that line's worst heading.

    For a line with direction e and the centre of gravity at r from it, c = e × r; downhill d gives
    tan φ = c_z / (d · c), which is least where d points along the horizontal part of c:
    tan φ = c_z / |c_horizontal|. The least over headings of the least over lines is the least
    over lines of these.

    Args:
        body: the machine without its front axle, any broadcastable shape.
        wheelbase: rear axle to front pivot [m].
        rear_track: between the rear tyre middles [m].
        pivot_height: height of the front axle's pivot [m].
        whole: the machine with its front axle; without it the front line is unknown (nan).

    Returns:
        Lines [rad], each 0 where it tips at rest.

    Source: closed form of the least of `first_roll` over all headings.

    >>> body = combine([1000.0], [0.8], [0.0], [0.7])
    >>> round(float(np.degrees(worst_first_roll(body, 1.6, 1.2, 0.4).least)), 3)
    30.343
    """
    sides = _arms(body.x, body.y, body.z, wheelbase, rear_track, pivot_height)
    right, left = (_limit(c[2], np.hypot(c[0], c[1])) for c in sides)
    rest = body if whole is None else whole
    rear = _limit(rest.x, rest.z)
    front = np.full_like(rear, np.nan)
    if whole is not None:
        front = _limit(_f(wheelbase) - whole.x, whole.z)
    return Lines(right, left, front, rear)


def least_first_roll(
    body: Body,
    wheelbase: ArrayLike,
    rear_track: ArrayLike,
    pivot_height: ArrayLike,
    whole: Body | None = None,
) -> Array:
    """The least of `worst_first_roll` by one arc tangent, for long arrays.

    Args:
        body: the machine without its front axle, any broadcastable shape.
        wheelbase: rear axle to front pivot [m].
        rear_track: between the rear tyre middles [m].
        pivot_height: height of the front axle's pivot [m].
        whole: the machine with its front axle; without it the front line does not count.

    Returns:
        Angle [rad], 0 where it tips at rest.

    Source: the least tangent belongs to the least angle.

    >>> body = combine([1000.0], [0.8], [0.0], [0.7])
    >>> round(float(np.degrees(least_first_roll(body, 1.6, 1.2, 0.4))), 3)
    30.343
    """
    span, rest = _f(wheelbase), body if whole is None else whole
    sides = _arms(body.x, body.y, body.z, wheelbase, rear_track, pivot_height)
    squares = [_square(c[2], c[0] * c[0] + c[1] * c[1]) for c in (sides if np.any(body.y) else sides[:1])]
    squares.append(_square(rest.x if whole is None else np.minimum(rest.x, span - rest.x), rest.z * rest.z))
    least = squares[0]
    for other in squares[1:]:
        least = np.minimum(least, other)
    return np.arctan(np.sqrt(least))


def _square(stays: Array, tips: Array) -> Array:
    """Square of the tangent of a limit angle, 0 where it tips at rest."""
    return np.square(np.maximum(stays, 0.0)) / tips


def worst_heading(
    body: Body,
    wheelbase: ArrayLike,
    rear_track: ArrayLike,
    pivot_height: ArrayLike,
    whole: Body | None = None,
) -> tuple[Array, Array]:
    """The heading at which the machine rolls first, and the slope at which it does.

    Args:
        body: the machine without its front axle, any broadcastable shape.
        wheelbase: rear axle to front pivot [m].
        rear_track: between the rear tyre middles [m].
        pivot_height: height of the front axle's pivot [m].
        whole: the machine with its front axle, or None.

    Returns:
        (heading from 0 to 2π, angle) [rad]; of two equal ones the right side's.

    Source: downhill along the horizontal part of c, see `worst_first_roll`.

    >>> body = combine([1000.0], [0.8], [0.0], [0.7])
    >>> [round(float(np.degrees(v)), 3) for v in worst_heading(body, 1.6, 1.2, 0.4)]
    [77.32, 30.343]
    """
    lines = worst_first_roll(body, wheelbase, rear_track, pivot_height, whole)
    right, left = _arms(body.x, body.y, body.z, wheelbase, rear_track, pivot_height)
    turns = [np.arctan2(-c[1], c[0]) % (2.0 * np.pi) for c in (right, left)]
    angles = np.stack(np.broadcast_arrays(*(np.where(np.isnan(a), np.inf, a) for a in lines)))
    headings = np.stack(np.broadcast_arrays(*turns, np.zeros_like(angles[0]), np.full_like(angles[0], np.pi)))
    first = np.argmin(angles, axis=0)[None]
    return np.take_along_axis(headings, first, 0)[0], np.take_along_axis(angles, first, 0)[0]


def turning(angle: ArrayLike, speed: ArrayLike, radius: ArrayLike) -> Array:
    """The limit angle that is left while the machine turns with its outer side downhill.

    Args:
        angle: limit angle at rest [rad].
        speed: [m/s].
        radius: of the turn [m].

    Returns:
        Angle [rad], 0 where the turn alone rolls it over.

    Source: g·sin φ + v²/R = g·cos φ·tan(angle), solved for φ.

    >>> round(float(np.degrees(turning(np.radians(25.0), 2.0, 4.0))), 2)
    19.7
    """
    rest = _f(angle)
    pull = _f(speed) ** 2 / _f(radius) / GRAVITY
    return np.maximum(rest - np.arcsin(np.minimum(pull * np.cos(rest), 1.0)), 0.0)
