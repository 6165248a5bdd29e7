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
    px, pz = np.asarray(x, dtype=np.float64), np.asarray(z, dtype=np.float64)
    corners = np.asarray(line, dtype=np.float64)
    least = np.hypot(px - corners[0, 0], pz - corners[0, 1])
    for a, b in itertools.pairwise(corners):
        d = b - a
        along = np.clip(((px - a[0]) * d[0] + (pz - a[1]) * d[1]) / max(float(d @ d), 1e-300), 0.0, 1.0)
        least = np.minimum(least, np.hypot(px - a[0] - along * d[0], pz - a[1] - along * d[1]))
    return np.asarray(least)


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
    best = np.full(r.shape, np.inf)
    found = [np.full((*r.shape, 2), np.nan) for _ in range(3)]
    for centre, sides in _meetings(corners, r):
        deep = np.where(_rests(centre, sides, corners, r), centre @ _SINK, np.inf)
        better = deep < best
        best = np.where(better, deep, best)
        for kept, new in zip(found, (centre, *(_push(side, centre, r) for side in sides)), strict=True):
            kept[better] = new[better]
    return found[0][..., 0], found[0][..., 1], found[1], found[2]


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
    best = np.full(x.shape, -np.inf)
    angle, arm, push = np.full(x.shape, np.nan), np.full(x.shape, np.nan), np.full((*x.shape, 2), np.nan)
    for seen, normal in _seen_from_line(line, pivot, far, r):
        turn = (bearing - seen - middle + np.pi) % (2.0 * np.pi) - np.pi + middle
        place = np.stack([far * np.cos(seen), far * np.sin(seen)], axis=-1)
        lever = -way * (place[..., 0] * normal[..., 1] - place[..., 1] * normal[..., 0])
        inside = (turn >= min(shut, wide) - _NEAR) & (turn <= max(shut, wide) + _NEAR) & (lever > 0.0)
        clear = distance_to_line(place[..., 0] + pivot[0], place[..., 1] + pivot[1], line) >= r * (1.0 - _NEAR)
        better = inside & clear & (way * turn > best)
        best = np.where(better, way * turn, best)
        angle, arm = np.where(better, turn, angle), np.where(better, lever, arm)
        push = np.where(better[..., None], _turn(normal, turn), push)
    return angle, push, arm


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


def _meetings(corners: Array, r: Array) -> Iterator[tuple[Array, tuple[_Side, _Side]]]:
    """Middles of circles that touch two sides or corners, with the two."""
    for first, second in itertools.combinations(_sides(corners), 2):
        if not second.is_corner:
            cross = float(first.normal[0] * second.normal[1] - first.normal[1] * second.normal[0])
            if abs(cross) > 1e-9:
                yield _line_line(first, second, cross, r), (first, second)
        elif not first.is_corner:
            lift = r + first.normal @ (first.point - second.point)
            slide = np.sqrt(np.where(np.abs(lift) <= r, r**2 - lift**2, np.nan))
            across = np.array([first.normal[1], -first.normal[0]])
            for sign in (1.0, -1.0):
                centre = second.point + lift[..., None] * first.normal + sign * slide[..., None] * across
                yield centre, (first, second)
        else:
            gap = second.point - first.point
            half = 0.5 * float(np.hypot(*gap))
            rise = np.sqrt(np.where(r >= half, r**2 - half**2, np.nan))
            up = np.array([-gap[1], gap[0]]) / max(2.0 * half, 1e-300)
            yield 0.5 * (first.point + second.point) + rise[..., None] * up, (first, second)


def _line_line(first: _Side, second: _Side, cross: float, r: Array) -> Array:
    n, m = first.normal, second.normal
    a, b = n @ first.point + r, m @ second.point + r
    return np.stack([(a * m[1] - b * n[1]) / cross, (b * n[0] - a * m[0]) / cross], axis=-1)


def _rests(centre: Array, sides: tuple[_Side, _Side], corners: Array, r: Array) -> Mask:
    """Whether a circle that touches two sides crosses nothing and lies on the inner side of the tines."""
    x, z = centre[..., 0], centre[..., 1]
    clear = (distance_to_line(x, z, corners) >= r * (1.0 - _NEAR)) & (x >= r * (1.0 - _NEAR))
    for side in sides:
        if side.is_corner:
            clear &= (centre - side.point) @ side.normal >= 0.0
        elif side.end is not None:
            touch = distance_to_line(x, z, np.stack([side.point, side.end]))
            clear &= np.abs(touch - r) <= r * _NEAR
    return np.asarray(clear, dtype=np.bool_)


def _push(side: _Side, centre: Array, r: Array) -> Array:
    if side.is_corner:
        return np.asarray((centre - side.point) / r[..., None])
    return np.broadcast_to(side.normal, centre.shape)
