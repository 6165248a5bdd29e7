"""Swing: what is left after the first roll, once the front axle has swung to its stop."""

from __future__ import annotations

import numpy as np

from handfast.physics.slope import Body, combine
from handfast.quantities.arrays import Array, ArrayLike


def _f(value: ArrayLike) -> Array:
    """The value as an array of floats."""
    return np.asarray(value, dtype=np.float64)


def second_phase(
    heading: ArrayLike,
    body: Body,
    axle: Body,
    wheelbase: ArrayLike,
    rear_track: ArrayLike,
    front_track: ArrayLike,
    pivot_height: ArrayLike,
    swing: ArrayLike,
) -> Array:
    """Slope at which the machine would still turn over once the axle has swung to its stop.

    The body has turned about the line rear contact to front pivot until the swing is used up; then
    the whole machine turns about the line rear contact to front contact. It is shown beside the
    first roll and never takes its place: a machine that falls to the stop arrives with speed.

    Args:
        heading: turn of the nose from straight downhill, counter-clockwise [rad].
        body: the machine without its front axle.
        axle: the front axle with its wheels.
        wheelbase: rear axle to front axle [m].
        rear_track: between the rear tyre middles [m].
        front_track: between the front tyre middles [m].
        pivot_height: height of the front axle's pivot [m].
        swing: swing of the front axle to one side [rad].

    Returns:
        Angle [rad], the lesser of both sides; 0 where it goes over by itself after the first roll.

    Source: moments after a rigid turn of the body about the line (Rodrigues' formula).

    >>> body, axle = combine([900.0], [0.7], [0.0], [0.7]), combine([100.0], [1.6], [0.0], [0.35])
    >>> round(float(np.degrees(second_phase(np.pi / 2, body, axle, 1.6, 1.2, 1.1, 0.4, 0.0))), 3)
    40.864
    """
    turn = _f(heading)
    sides = []
    for side in (1.0, -1.0):
        seen = (body._replace(y=side * np.asarray(body.y)), axle._replace(y=side * np.asarray(axle.y)))
        c = _stopped(*seen, wheelbase, rear_track, front_track, pivot_height, swing)
        tips = np.cos(turn) * c[0] - side * np.sin(turn) * c[1]
        sides.append(np.minimum(np.arctan2(np.maximum(c[2], 0.0), np.where(c[2] > 0.0, tips, 1.0)), 0.5 * np.pi))
    return np.minimum(*sides)


def _stopped(
    body: Body,
    axle: Body,
    wheelbase: ArrayLike,
    rear_track: ArrayLike,
    front_track: ArrayLike,
    pivot_height: ArrayLike,
    swing: ArrayLike,
) -> tuple[Array, Array, Array]:
    """Moment arm c of the machine at its right stop about the line of the right contacts."""
    span, up = _f(wheelbase), _f(pivot_height)
    half, fore = 0.5 * _f(rear_track), 0.5 * _f(front_track)
    x, y, z = turned((body.x, body.y + half, body.z), (span, half, up), swing)
    whole = combine([body.mass, axle.mass], [x, axle.x], [y, axle.y + half], [z, axle.z])
    side = half - fore
    return side * whole.z, -span * whole.z, span * whole.y - side * whole.x


def turned(
    point: tuple[ArrayLike, ArrayLike, ArrayLike], line: tuple[ArrayLike, ArrayLike, ArrayLike], swing: ArrayLike
) -> tuple[Array, Array, Array]:
    """A point of the body after it has rolled to the swing's end about a line through the origin.

    Args:
        point: (x, y, z) from a point of the line [m].
        line: direction of the line, not of unit length.
        swing: roll about the front pivot's fore-and-aft pin [rad]; the turn about the line is
            swing over the cosine between line and pin.

    Returns:
        (x, y, z) [m]; the left side rises.

    Source: Rodrigues' rotation formula.

    >>> [round(float(v), 6) for v in turned((0.0, 1.0, 0.0), (2.0, 0.0, 0.0), np.pi / 2)]
    [0.0, 0.0, 1.0]
    """
    p, e = [_f(v) for v in point], [_f(v) for v in line]
    length = np.sqrt(e[0] ** 2 + e[1] ** 2 + e[2] ** 2)
    e = [v / length for v in e]
    angle = _f(swing) / e[0]
    cross = [e[1] * p[2] - e[2] * p[1], e[2] * p[0] - e[0] * p[2], e[0] * p[1] - e[1] * p[0]]
    along = (e[0] * p[0] + e[1] * p[1] + e[2] * p[2]) * (1.0 - np.cos(angle))
    x, y, z = (q * np.cos(angle) + c * np.sin(angle) + d * along for q, c, d in zip(p, cross, e, strict=True))
    return x, y, z
