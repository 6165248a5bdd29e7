"""The jaw of a grapple in its plane: the lid's linkage, where a round piece sits, where the lid meets it."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from handfast.physics.jaw_touch import Mask, distance_to_line, first_touch, seated
from handfast.quantities.arrays import Array, ArrayLike


class Jaw(NamedTuple):
    """Plain figures of one jaw in the attachment's frame [m], lid as drawn (closed); from the back to the tips."""

    floor: Array  # (n, 2), inner face of the tines
    lid: Array  # (m, 2), inner face of the lid
    pivot: Array  # (2,), of the lid
    base: Array  # (2,), cylinder pin on the frame
    rod: Array  # (2,), cylinder pin on the lid
    retracted: float
    extended: float


class Swing(NamedTuple):
    """How the lid turns [rad, counter-clockwise, 0 as drawn]: shut, open, and +1 or -1 for the way it opens."""

    shut: float
    open: float
    way: float


def make_jaw(
    floor: ArrayLike,
    lid: ArrayLike,
    pivot: ArrayLike,
    base: ArrayLike,
    rod: ArrayLike,
    retracted: float = np.nan,
    extended: float = np.nan,
) -> Jaw:
    """A jaw with its lines put in order: floor from the back to the tips, lid from the pivot to its tip.

    Args:
        floor: inner face of the tines [m], shape (n, 2).
        lid: inner face of the lid, closed [m], shape (m, 2).
        pivot: of the lid [m], shape (2,).
        base: cylinder pin on the frame [m], shape (2,).
        rod: cylinder pin on the lid, lid closed [m], shape (2,).
        retracted: shortest cylinder, pin to pin [m].
        extended: longest cylinder, pin to pin [m].

    Returns:
        Jaw.

    Source: definition.

    >>> make_jaw([[0.6, 0], [0, 0]], [[0.1, 0.5], [0.6, 0.1]], [0, 0.5], [0.1, 0.9], [0.2, 0.5], 0.25, 0.42).floor[0]
    array([0., 0.])
    """
    lines = [np.asarray(v, dtype=np.float64) for v in (floor, lid, pivot, base, rod)]
    if lines[0][0, 0] > lines[0][-1, 0]:
        lines[0] = lines[0][::-1]
    if _far(lines[1][0] - lines[2]) > _far(lines[1][-1] - lines[2]):
        lines[1] = lines[1][::-1]
    return Jaw(lines[0], lines[1], lines[2], lines[3], lines[4], float(retracted), float(extended))


def lid_length(angle: ArrayLike, pivot: ArrayLike, base: ArrayLike, rod: ArrayLike) -> Array:
    """Length of the lid cylinder, pin to pin, at a lid angle.

    Args:
        angle: turn of the lid from the drawn pose, counter-clockwise [rad], any shape.
        pivot: of the lid [m], shape (2,).
        base: cylinder pin on the frame [m], shape (2,) or (..., 2).
        rod: cylinder pin on the lid as drawn [m], shape (2,).

    Returns:
        length [m], broadcast.

    Source: law of cosines.

    >>> round(float(lid_length(0.0, [0, 0], [0.3, 0.4], [0.3, 0.0])), 6)
    0.4
    """
    gap = turned(rod, pivot, angle) - np.asarray(base, dtype=np.float64)
    return np.asarray(np.hypot(gap[..., 0], gap[..., 1]))


def lid_angle(
    length: ArrayLike, pivot: ArrayLike, base: ArrayLike, rod: ArrayLike, drawn_base: ArrayLike | None = None
) -> Array:
    """Turn of the lid from the drawn pose at a length of its cylinder or link.

    Args:
        length: pin to pin [m], any shape.
        pivot: of the lid [m], shape (2,).
        base: pin that the cylinder or link hangs from [m], shape (2,) or (..., 2).
        rod: its pin on the lid as drawn [m], shape (2,).
        drawn_base: where base is in the drawn pose [m], shape (2,); without it, base.

    Returns:
        angle, counter-clockwise [rad]; nan where the pins cannot be that far apart.

    Source: two circles meet; the branch is that of the drawn pose.

    >>> round(float(lid_angle(0.4, [0, 0], [0.3, 0.4], [0.3, 0.0])), 9)
    0.0
    """
    centre, hung = np.asarray(pivot, dtype=np.float64), np.asarray(base, dtype=np.float64)
    arm = np.asarray(rod, dtype=np.float64) - centre
    first = (hung if drawn_base is None else np.asarray(drawn_base, dtype=np.float64)) - centre
    way = np.where(first[..., 0] * arm[1] - first[..., 1] * arm[0] >= 0.0, 1.0, -1.0)
    out = hung - centre
    b, r = np.hypot(out[..., 0], out[..., 1]), float(np.hypot(arm[0], arm[1]))
    cosine = (b**2 + r**2 - np.asarray(length, dtype=np.float64) ** 2) / (2.0 * b * r)
    reached = np.abs(cosine) <= 1.0 + 1e-12
    between = np.arccos(np.where(reached, np.clip(cosine, -1.0, 1.0), np.nan))
    angle = np.arctan2(out[..., 1], out[..., 0]) + way * between - np.arctan2(arm[1], arm[0])
    return np.asarray((angle + np.pi) % (2.0 * np.pi) - np.pi)


def lid_leverage(angle: ArrayLike, pivot: ArrayLike, base: ArrayLike, rod: ArrayLike) -> Array:
    """Moment arm of the cylinder about the lid pivot: change of its length by the lid angle.

    Args:
        angle: turn of the lid from the drawn pose, counter-clockwise [rad], any shape.
        pivot: of the lid [m], shape (2,).
        base: cylinder pin on the frame [m], shape (2,).
        rod: cylinder pin on the lid as drawn [m], shape (2,).

    Returns:
        arm, positive where the cylinder lengthens as the lid turns counter-clockwise [m], broadcast.

    Source: virtual work.

    >>> round(float(lid_leverage(0.0, [0, 0], [0.3, 0.4], [0.3, 0.0])), 6)
    -0.3
    """
    pin = turned(rod, pivot, angle)
    gap = pin - np.asarray(base, dtype=np.float64)
    arm = pin - np.asarray(pivot, dtype=np.float64)
    across = gap[..., 1] * arm[..., 0] - gap[..., 0] * arm[..., 1]
    return np.asarray(across / np.hypot(gap[..., 0], gap[..., 1]))


def swing(jaw: Jaw) -> Swing:
    """How far the lid turns between the ends of the stroke, and which way it opens.

    Args:
        jaw: the jaw, with both cylinder lengths.

    Returns:
        Swing(shut, open, way); nan where the cylinder cannot reach.

    Source: geometry; the lid is drawn closed, so the end of the stroke that turns it further is the open one.

    >>> jaw = make_jaw([[0, 0], [0.6, 0]], [[0.1, 0.5], [0.6, 0.1]], [0, 0.5], [0.1, 0.9], [0.2, 0.5], 0.25, 0.42)
    >>> swing(jaw).way
    1.0
    """
    ends = lid_angle([jaw.retracted, jaw.extended], jaw.pivot, jaw.base, jaw.rod)
    wide = int(np.argmax(np.abs(np.nan_to_num(ends))))
    way = 1.0 if not ends[wide] < 0.0 else -1.0
    return Swing(float(ends[1 - wide]), float(ends[wide]), way)


def tip_opening(jaw: Jaw, angle: ArrayLike) -> Array:
    """Distance from the tip of the lid to the tip of the floor.

    Args:
        jaw: the jaw.
        angle: turn of the lid, counter-clockwise [rad], any shape.

    Returns:
        distance [m].

    Source: geometry.

    >>> jaw = make_jaw([[0, 0], [0.6, 0]], [[0.0, 0.5], [0.6, 0.1]], [0, 0.5], [0.3, 0.9], [0.2, 0.6])
    >>> round(float(tip_opening(jaw, 0.0)), 6)
    0.1
    """
    gap = turned(jaw.lid[-1], jaw.pivot, angle) - jaw.floor[-1]
    return np.asarray(np.hypot(gap[..., 0], gap[..., 1]))


def fits_open(
    jaw: Jaw, diameter: ArrayLike, turn: Swing | None = None, seat: tuple[Array, Array] | None = None
) -> Mask:
    """Whether a round piece, seated, leaves room for the fully open lid, and lies on the tines.

    Args:
        jaw: the jaw.
        diameter: [m], any shape.
        turn: the lid's swing, if known already.
        seat: (x, z) of the seated piece's middle [m], if known already.

    Returns:
        True or False, the shape of diameter.

    Source: geometry.

    >>> jaw = make_jaw([[0, 0], [0.6, 0]], [[0.1, 0.5], [0.6, 0.1]], [0, 0.5], [0.1, 0.9], [0.2, 0.5], 0.25, 0.42)
    >>> fits_open(jaw, [0.1, 2.0]).tolist()
    [True, False]
    """
    radius = 0.5 * np.asarray(diameter, dtype=np.float64)
    x, z = seated(jaw.floor, radius)[:2] if seat is None else seat
    turn = turn or swing(jaw)
    lid = turned(jaw.lid, jaw.pivot, turn.open)
    clear = distance_to_line(x, z, lid) >= radius * (1.0 - 1e-12)
    inner = lid_side(jaw, x, z, turn.open, turn.way) & (x <= jaw.floor[:, 0].max())
    return np.asarray(clear & inner, dtype=np.bool_)


def throat_opening(jaw: Jaw) -> float:
    """Largest round piece that lies on the tines against the back plate under the fully open lid.

    Args:
        jaw: the jaw, with both cylinder lengths.

    Returns:
        diameter [m]; 0 where nothing fits.

    Source: inscribed circle, by repeated subdivision.

    >>> jaw = make_jaw([[0, 0], [0.6, 0]], [[0.1, 0.5], [0.6, 0.1]], [0, 0.5], [0.1, 0.9], [0.2, 0.5], 0.25, 0.42)
    >>> 0.3 < throat_opening(jaw) < 1.2
    True
    """
    turn = swing(jaw)
    low, high = 0.0, 2.0 * float(jaw.floor[:, 0].max()) + 1e-3
    for _ in range(6):
        steps = np.linspace(low, high, 65)[1:]
        fits = fits_open(jaw, steps, turn)
        count = len(steps) if fits.all() else int(np.argmin(fits))
        low, high = (float(steps[count - 1]) if count else low), float(steps[min(count, len(steps) - 1)])
    return low


def touch(jaw: Jaw, x: ArrayLike, z: ArrayLike, radius: ArrayLike, turn: Swing) -> tuple[Array, Array, Array]:
    """Where the closing lid first meets a round piece.

    Args:
        jaw: the jaw.
        x: middle of the piece [m], any shape.
        z: its height [m], same shape.
        radius: of the piece [m], same shape.
        turn: the lid's swing.

    Returns:
        (angle [rad], push direction on the piece with shape (..., 2), arm of that push about the pivot [m]); nan
        where the lid shuts without touching.

    Source: geometry of offset lines and arcs.

    >>> jaw = make_jaw([[0, 0], [0.6, 0]], [[0.0, 0.5], [0.6, 0.5]], [0, 0.5], [0.1, 0.9], [0.2, 0.5], 0.25, 0.42)
    >>> [round(float(v), 6) for v in touch(jaw, 0.25, 0.25, 0.25, swing(jaw))[1]]
    [0.0, -1.0]
    """
    return first_touch(jaw.lid, jaw.pivot, (turn.shut, turn.open, turn.way), (x, z, radius))


def lid_side(jaw: Jaw, x: Array, z: Array, angle: float, way: float) -> Mask:
    """Whether a point lies on the side of the lid that closing sweeps.

    Args:
        jaw: the jaw.
        x: of the point [m], any shape.
        z: of the point [m], same shape.
        angle: turn of the lid [rad].
        way: +1 where the lid opens counter-clockwise, else -1.

    Returns:
        True or False.

    Source: sense of the turn from the lid's chord to the point.

    >>> jaw = make_jaw([[0, 0], [0.6, 0]], [[0.0, 0.5], [0.6, 0.5]], [0, 0.5], [0.3, 0.9], [0.2, 0.6])
    >>> bool(lid_side(jaw, np.array(0.3), np.array(0.2), 0.0, 1.0))
    True
    """
    chord = turned(jaw.lid[-1], jaw.pivot, angle) - jaw.pivot
    across = chord[..., 0] * (z - jaw.pivot[1]) - chord[..., 1] * (x - jaw.pivot[0])
    return np.asarray(way * across < 0.0, dtype=np.bool_)


def turned(points: ArrayLike, pivot: ArrayLike, angle: ArrayLike) -> Array:
    """Points turned counter-clockwise about a pivot.

    Args:
        points: [m], shape (..., 2).
        pivot: [m], shape (2,).
        angle: [rad], shape that broadcasts with the points' leading shape; for one line of points, a number.

    Returns:
        points [m], shape (..., 2).

    Source: rotation in the plane.

    >>> turned([1.0, 0.0], [0.0, 0.0], np.pi / 2).round(9).tolist()
    [0.0, 1.0]
    """
    centre = np.asarray(pivot, dtype=np.float64)
    arm = np.asarray(points, dtype=np.float64) - centre
    c, s = np.cos(angle), np.sin(angle)
    return np.stack([arm[..., 0] * c - arm[..., 1] * s, arm[..., 0] * s + arm[..., 1] * c], axis=-1) + centre


def _far(arm: Array) -> float:
    return float(np.hypot(arm[0], arm[1]))
