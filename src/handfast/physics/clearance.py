"""Room in the plane: how near the attachment comes to grille, hood and tyres, and how low it hangs when dumped."""

from __future__ import annotations

from functools import reduce

import numpy as np

from handfast.physics.jaw import Jaw, turned
from handfast.quantities.arrays import Array, ArrayLike


def placed(
    points: ArrayLike,
    pin_x: ArrayLike,
    pin_z: ArrayLike,
    plane_ahead: ArrayLike,
    plane_drop: ArrayLike,
    tool_angle: ArrayLike,
) -> Array:
    """Points of the attachment in the tractor's frame.

    Args:
        points: in the attachment's frame [m], shape (n, 2).
        pin_x: of the tool pin, ahead of the rear axle [m], any shape S.
        pin_z: of the tool pin, over the ground [m], broadcasts with S.
        plane_ahead: mounting plane ahead of the pin, tool level [m], broadcasts.
        plane_drop: bottom edge of the plane below the pin [m], broadcasts.
        tool_angle: curled back positive [rad], broadcasts.

    Returns:
        points [m], shape (*S, n, 2).

    Source: rotation about the pin.

    >>> placed([[0.5, 0.0]], 2.0, 1.0, 0.1, 0.2, 0.0).round(9).tolist()
    [[2.6, 0.8]]
    """
    line = np.asarray(points, dtype=np.float64)
    px, pz, ahead, drop, turn = (
        np.asarray(v, dtype=np.float64)[..., None] for v in (pin_x, pin_z, plane_ahead, plane_drop, tool_angle)
    )
    out, up = line[:, 0] + ahead, line[:, 1] - drop
    x = px + out * np.cos(turn) - up * np.sin(turn)
    z = pz + out * np.sin(turn) + up * np.cos(turn)
    return np.stack(np.broadcast_arrays(x, z), axis=-1)


def dump_lowest_point(
    pin_height: ArrayLike, plane_ahead: ArrayLike, plane_drop: ArrayLike, floor: ArrayLike, dump_angle: ArrayLike
) -> Array:
    """Height of the lowest point of the floor with the tool dumped.

    Args:
        pin_height: of the tool pin [m], any shape.
        plane_ahead: mounting plane ahead of the pin, tool level [m], broadcasts.
        plane_drop: bottom edge of the plane below the pin [m], broadcasts.
        floor: inner face of tines or bucket floor, attachment's frame [m], shape (n, 2); or (rows, n, 2), one for each
            row of the others.
        dump_angle: below level, positive [rad], broadcasts.

    Returns:
        height over the ground [m], broadcast.

    Source: rotation about the pin; the plane turns as one piece, so the floor's own lowest point is found first.

    >>> round(float(dump_lowest_point(1.842, 0.102, 0.127, [[0.0, 0.0], [0.559, 0.0]], np.radians(42.0))), 6)
    1.305325
    """
    height, ahead, drop, turn = (
        np.asarray(v, dtype=np.float64) for v in (pin_height, plane_ahead, plane_drop, dump_angle)
    )
    sine, cosine = np.sin(turn), np.cos(turn)
    points = np.moveaxis(np.asarray(floor, dtype=np.float64), -2, 0)  # (n, 2) or (n, rows, 2)
    each = points[..., None, :] if points.ndim > 2 else points
    below = reduce(np.minimum, (one[..., 1] * cosine - one[..., 0] * sine for one in each))
    return np.asarray(height + below - ahead * sine - drop * cosine)


def outline(jaw: Jaw, lid_turn: float = 0.0) -> Array:
    """Outline of a jaw seen from the side: along the floor to the tips, and back along the lid to its pivot.

    Args:
        jaw: the jaw.
        lid_turn: turn of the lid from the drawn pose, counter-clockwise [rad].

    Returns:
        points [m], shape (n, 2): floor from tip to back, lid from pivot to tip.

    Source: geometry.

    >>> from handfast.physics.jaw import make_jaw
    >>> jaw = make_jaw([[0, 0], [0.6, 0]], [[0.1, 0.5], [0.6, 0.1]], [0, 0.5], [0.1, 0.9], [0.2, 0.5])
    >>> outline(jaw).shape
    (5, 2)
    """
    lid = turned(np.vstack([jaw.pivot, jaw.lid]), jaw.pivot, lid_turn)
    return np.vstack([jaw.floor[::-1], lid])


def gap_to_hood(points: ArrayLike, grille: ArrayLike, top: ArrayLike, bottom: ArrayLike = 0.0) -> Array:
    """Least gap between a line and a hood: everything behind the grille, from its bottom to its top.

    Args:
        points: corners of the line, tractor's frame [m], shape (..., n, 2).
        grille: front of the grille, ahead of the rear axle [m], shape of the leading axes.
        top: of the hood [m], broadcasts.
        bottom: of the grille [m], broadcasts.

    Returns:
        gap [m], negative where the line enters; shape of the leading axes.

    Source: signed distance to a convex shape; along a straight piece its least lies at an end, where a corner of the
        hood is nearest, or where two faces are equally deep.

    >>> round(float(gap_to_hood([[2.5, 0.5], [2.5, 2.0]], 2.0, 1.2)), 6)
    0.5
    """
    a, step = _pieces(points)
    front, high, low = (np.asarray(v, dtype=np.float64)[..., None] for v in (grille, top, bottom))
    ends = [np.zeros(a.shape[:-1]), np.ones(a.shape[:-1])]
    corners = [_foot(a, step, front, edge) for edge in (high, low)]
    kinks = [
        _share(front - high - a[..., 0] + a[..., 1], step[..., 0] - step[..., 1]),
        _share(front + low - a[..., 0] - a[..., 1], step[..., 0] + step[..., 1]),
        _share(0.5 * (high + low) - a[..., 1], step[..., 1]),
    ]
    gaps = []
    for share in (*ends, *corners, *kinks):
        dx = a[..., 0] + share * step[..., 0] - front
        z = a[..., 1] + share * step[..., 1]
        dz = np.maximum(z - high, low - z)
        gaps.append(np.hypot(np.maximum(dx, 0.0), np.maximum(dz, 0.0)) + np.minimum(np.maximum(dx, dz), 0.0))
    return np.asarray(np.min(np.stack(np.broadcast_arrays(*gaps)), axis=0).min(axis=-1))


def gap_to_wheel(points: ArrayLike, wheel_x: ArrayLike, radius: ArrayLike) -> Array:
    """Least gap between a line and a tyre that stands on the ground.

    Args:
        points: corners of the line, tractor's frame [m], shape (..., n, 2).
        wheel_x: of its middle [m], shape of the leading axes.
        radius: of the tyre [m], broadcasts.

    Returns:
        gap [m], negative where the line enters; shape of the leading axes.

    Source: distance to a circle.

    >>> round(float(gap_to_wheel([[2.5, 0.0], [2.5, 1.0]], 2.0, 0.3)), 6)
    0.2
    """
    a, step = _pieces(points)
    middle, r = (np.asarray(v, dtype=np.float64)[..., None] for v in (wheel_x, radius))
    share = _foot(a, step, middle, r)
    x, z = a[..., 0] + share * step[..., 0], a[..., 1] + share * step[..., 1]
    return np.asarray((np.hypot(x - middle, z - r) - r).min(axis=-1))


def curl_gap(
    points: ArrayLike,
    pin: tuple[ArrayLike, ArrayLike],
    plane: tuple[ArrayLike, ArrayLike],
    tool_angle: ArrayLike,
    hood: tuple[ArrayLike, ArrayLike],
    wheel: tuple[ArrayLike, ArrayLike],
) -> Array:
    """Gap between the attachment and hood, grille and front tyres at poses of the loader.

    Args:
        points: outline in the attachment's frame [m], shape (n, 2).
        pin: (x, z) of the tool pin, tractor's frame [m], any shapes that broadcast to S.
        plane: (ahead, drop) of the mounting plane from the pin [m], broadcast.
        tool_angle: curled back positive [rad], broadcasts: the curl range along an axis of its own.
        hood: (front of the grille, top of the hood) [m], broadcast.
        wheel: (middle ahead of the rear axle, radius) of the front tyre [m], broadcast.

    Returns:
        gap [m], shape S; the least of it over the curl range is the clearance.

    Source: geometry.

    >>> gap = curl_gap([[0, 0], [0, 0.6]], (2.0, 1.0), (0.1, 0.2), np.array([0.0, 0.5]), (1.7, 1.2), (1.4, 0.3))
    >>> bool(gap[1] < gap[0])
    True
    """
    line = placed(points, pin[0], pin[1], plane[0], plane[1], tool_angle)
    return np.minimum(gap_to_hood(line, *hood), gap_to_wheel(line, *wheel))


def _pieces(points: ArrayLike) -> tuple[Array, Array]:
    """Starts and steps of the straight pieces of lines."""
    line = np.asarray(points, dtype=np.float64)
    return line[..., :-1, :], np.diff(line, axis=-2)


def _foot(a: Array, step: Array, x: Array, z: Array) -> Array:
    """Share of each piece at which it is nearest to a point."""
    return _share((x - a[..., 0]) * step[..., 0] + (z - a[..., 1]) * step[..., 1], (step**2).sum(axis=-1))


def _share(over: Array, under: Array) -> Array:
    return np.asarray(np.clip(over / np.where(under == 0.0, 1.0, under), 0.0, 1.0))
