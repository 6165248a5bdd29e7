"""A circle against a line of points: where it comes to rest, and when a turning line first meets it."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from handfast.quantities.arrays import Array, ArrayLike

Mask = NDArray[np.bool_]
_NEAR = 1e-9  # relative slack of a touch
_SINK = np.array([0.3, 1.0])  # a piece sinks down first, then back: tines that fall forward by less than 17° hold it


class _Side(NamedTuple):
    """The back plate (end None), a piece of the tines, or a corner of them (end = point)."""

    point: Array
    normal: Array  # into the jaw
    end: Array | None

    @property
    def is_corner(self) -> bool:
        return self.end is self.point


def distance_to_line(x: ArrayLike, z: ArrayLike, line: ArrayLike) -> Array:
    """Least distance from points to a line of straight pieces.

    Args:
        x: [m], any shape.
        z: [m], same shape.
        line: corners [m], shape (n, 2).

    Returns:
        distance [m].

    Source: geometry.

    >>> float(distance_to_line(0.5, 0.3, [[0.0, 0.0], [1.0, 0.0]]))
    0.3
    """
    return np.asarray(_to_pieces(x, z, np.asarray(line, dtype=np.float64)).min(axis=0))


def _to_pieces(x: ArrayLike, z: ArrayLike, corners: Array) -> Array:
    """Distance to each piece of a line, shape (pieces, ...); to its one corner where there is no other."""
    px, pz = np.asarray(x, dtype=np.float64), np.asarray(z, dtype=np.float64)
    starts = corners[:-1] if len(corners) > 1 else corners
    steps = np.diff(corners, axis=0) if len(corners) > 1 else np.zeros((1, 2))
    lead = (-1, *(1,) * px.ndim)
    ax, az, dx, dz = (v.reshape(lead) for v in (*starts.T, *steps.T))
    ox, oz = px - ax, pz - az
    along = np.minimum(np.maximum((ox * dx + oz * dz) / np.maximum(dx * dx + dz * dz, 1e-300), 0.0), 1.0)
    return np.asarray(np.hypot(ox - along * dx, oz - along * dz))


def seated(floor: ArrayLike, radius: ArrayLike) -> tuple[Array, Array, Array, Array]:
    """Where a round piece comes to rest, pushed back and down between the back plate (x = 0) and the tines.

    Args:
        floor: inner face of the tines, from the back to the tips [m], shape (n, 2).
        radius: of the piece [m], any shape.

    Returns:
        (x, z) of its middle [m] and the two directions in which the jaw pushes on it, shape (..., 2); nan where it
        finds no seat.

    Source: offset lines and arcs; among all places where the circle touches two of them, the lowest and hindmost.

    >>> [round(float(v), 9) for v in seated([[0.0, 0.0], [0.6, 0.0]], 0.2)[:2]]
    [0.2, 0.2]
    """
    corners = np.asarray(floor, dtype=np.float64)
    r = np.asarray(radius, dtype=np.float64)
    sides = _sides(corners)
    met = list(_meetings(sides, r))
    centre = np.stack([place for place, _ in met])
    pair = np.array([two for _, two in met])
    deep = np.where(_rests(centre, pair, sides, corners, r), centre @ _SINK, np.inf)
    best = deep.argmin(axis=0)[None]
    none = np.isinf(np.take_along_axis(deep, best, axis=0)[0])[..., None]
    found = (centre, *(_pushes(centre, [sides[k] for k in pair[:, side]], r) for side in (0, 1)))
    at, first, second = (np.where(none, np.nan, np.take_along_axis(v, best[..., None], axis=0)[0]) for v in found)
    return at[..., 0], at[..., 1], first, second


def first_touch(
    line: Array, pivot: Array, swing: tuple[float, float, float], circle: tuple[ArrayLike, ArrayLike, ArrayLike]
) -> tuple[Array, Array, Array]:
    """Angle at which a line of points, turning shut about a pivot, first meets a circle.

    Args:
        line: corners as drawn [m], shape (n, 2).
        pivot: [m], shape (2,).
        swing: angle shut, angle open [rad], and the way it opens (+1 counter-clockwise).
        circle: (x, z, radius) [m], any one shape.

    Returns:
        (angle [rad], push direction on the circle with shape (..., 2), arm of that push about the pivot [m]).

    Source: geometry; in the frame of the line the circle's middle moves round the pivot.

    >>> lid, pivot = np.array([[0.0, 0.5], [0.6, 0.5]]), np.array([0.0, 0.5])
    >>> angle, push, arm = first_touch(lid, pivot, (-1.0, 1.0, 1.0), (0.25, 0.25, 0.25))
    >>> round(float(angle), 9) + 0.0
    0.0
    """
    shut, wide, way = swing
    x, z, r = np.broadcast_arrays(*(np.asarray(v, dtype=np.float64) for v in circle))
    out = np.stack([x - pivot[0], z - pivot[1]], axis=-1)
    far, bearing = np.hypot(out[..., 0], out[..., 1]), np.arctan2(out[..., 1], out[..., 0])
    middle = 0.5 * (shut + wide)
    met = list(_seen_from_line(line, pivot, far, r))
    seen, normal = np.stack([one for one, _ in met]), np.stack([one for _, one in met])
    turn = (bearing - seen - middle + np.pi) % (2.0 * np.pi) - np.pi + middle
    place = np.stack([far * np.cos(seen), far * np.sin(seen)], axis=-1)
    lever = -way * (place[..., 0] * normal[..., 1] - place[..., 1] * normal[..., 0])
    inside = (turn >= min(shut, wide) - _NEAR) & (turn <= max(shut, wide) + _NEAR) & (lever > 0.0)
    clear = distance_to_line(place[..., 0] + pivot[0], place[..., 1] + pivot[1], line) >= r * (1.0 - _NEAR)
    order = np.where(inside & clear, way * turn, -np.inf)
    best = order.argmax(axis=0)[None]
    none = np.isinf(np.take_along_axis(order, best, axis=0)[0])
    angle, arm = (np.where(none, np.nan, np.take_along_axis(v, best, axis=0)[0]) for v in (turn, lever))
    push = _turn(np.take_along_axis(normal, best[..., None], axis=0)[0], angle)
    return angle, np.where(none[..., None], np.nan, push), arm


def _turn(vector: Array, angle: Array) -> Array:
    c, s = np.cos(angle), np.sin(angle)
    return np.stack([vector[..., 0] * c - vector[..., 1] * s, vector[..., 0] * s + vector[..., 1] * c], axis=-1)


def _seen_from_line(line: Array, pivot: Array, far: Array, r: Array) -> Iterator[tuple[Array, Array]]:
    """Bearings of the circle's middle in the line's frame at which it touches a piece or a corner, and the push."""
    for a, b in itertools.pairwise(line):
        along = (b - a) / np.hypot(*(b - a))
        normal = np.array([-along[1], along[0]])
        for side in (1.0, -1.0):
            cosine = (side * r + normal @ (a - pivot)) / far
            half = np.arccos(np.where(np.abs(cosine) <= 1.0, cosine, np.nan))
            for sign in (1.0, -1.0):
                seen = np.arctan2(normal[1], normal[0]) + sign * half
                foot = far * (along[0] * np.cos(seen) + along[1] * np.sin(seen)) - along @ (a - pivot)
                on = (foot >= 0.0) & (foot <= np.hypot(*(b - a)))
                yield np.where(on, seen, np.nan), np.broadcast_to(side * normal, (*r.shape, 2))
    for corner in line - pivot:
        away = float(np.hypot(*corner))
        cosine = (far**2 + away**2 - r**2) / np.maximum(2.0 * far * away, 1e-300)
        half = np.arccos(np.where(np.abs(cosine) <= 1.0, cosine, np.nan))
        for sign in (1.0, -1.0):
            seen = np.arctan2(corner[1], corner[0]) + sign * half
            place = np.stack([far * np.cos(seen), far * np.sin(seen)], axis=-1)
            yield seen, (place - corner) / r[..., None]


def _sides(corners: Array) -> list[_Side]:
    """The back plate, every piece of the tines, every corner."""
    sides = [_Side(np.zeros(2), np.array([1.0, 0.0]), None)]
    sides += [_Side(a, _left(a, b), b) for a, b in itertools.pairwise(corners)]
    return sides + [_Side(corner, _inward(corner, corners), corner) for corner in corners]


def _left(a: Array, b: Array) -> Array:
    along = (b - a) / np.hypot(*(b - a))
    return np.array([-along[1], along[0]])


def _inward(corner: Array, corners: Array) -> Array:
    """Direction that points into the jaw at a corner: sum of the normals beside it."""
    beside = [
        _left(a, b) for a, b in itertools.pairwise(corners) if np.array_equal(a, corner) or np.array_equal(b, corner)
    ]
    return np.asarray(np.sum(beside, axis=0))


def _meetings(sides: list[_Side], r: Array) -> Iterator[tuple[Array, tuple[int, int]]]:
    """Middles of circles that touch two sides or corners, with the numbers of the two."""
    for pair in itertools.combinations(range(len(sides)), 2):
        first, second = sides[pair[0]], sides[pair[1]]
        if not second.is_corner:
            cross = float(first.normal[0] * second.normal[1] - first.normal[1] * second.normal[0])
            if abs(cross) > 1e-9:
                yield _line_line(first, second, cross, r), pair
        elif not first.is_corner:
            lift = r + first.normal @ (first.point - second.point)
            slide = np.sqrt(np.where(np.abs(lift) <= r, np.maximum(r**2 - lift**2, 0.0), np.nan))
            across = np.array([first.normal[1], -first.normal[0]])
            for sign in (1.0, -1.0):
                yield second.point + lift[..., None] * first.normal + sign * slide[..., None] * across, pair
        else:
            gap = second.point - first.point
            half = 0.5 * float(np.hypot(*gap))
            rise = np.sqrt(np.where(r >= half, np.maximum(r**2 - half**2, 0.0), np.nan))
            up = np.array([-gap[1], gap[0]]) / max(2.0 * half, 1e-300)
            yield 0.5 * (first.point + second.point) + rise[..., None] * up, pair


def _line_line(first: _Side, second: _Side, cross: float, r: Array) -> Array:
    n, m = first.normal, second.normal
    a, b = n @ first.point + r, m @ second.point + r
    return np.stack([(a * m[1] - b * n[1]) / cross, (b * n[0] - a * m[0]) / cross], axis=-1)


def _rests(centre: Array, pair: NDArray[np.intp], sides: list[_Side], corners: Array, r: Array) -> Mask:
    """Whether circles that touch two sides cross nothing and lie on the inner side of the tines."""
    x, z = centre[..., 0], centre[..., 1]
    away = _to_pieces(x, z, corners)
    good = [np.ones(x.shape, dtype=np.bool_), *(np.abs(away - r) <= r * _NEAR)]
    good += [(centre - side.point) @ side.normal >= 0.0 for side in sides if side.is_corner]
    touched, every = np.stack(good), np.arange(len(pair))
    clear = (away.min(axis=0) >= r * (1.0 - _NEAR)) & (x >= r * (1.0 - _NEAR))
    return np.asarray(clear & touched[pair[:, 0], every] & touched[pair[:, 1], every], dtype=np.bool_)


def _pushes(centre: Array, sides: list[_Side], r: Array) -> Array:
    """The way each circle is pushed by the side it touches."""
    lead = (-1, *(1,) * r.ndim)
    points, normals = (np.array([getattr(side, name) for side in sides]) for name in ("point", "normal"))
    corner = np.array([side.is_corner for side in sides]).reshape(*lead, 1)
    return np.where(corner, (centre - points.reshape(*lead, 2)) / r[..., None], normals.reshape(*lead, 2))
