"""What a loader picks up where the piece really sits: longest log, largest stone, load at a given centre."""

from __future__ import annotations

import numpy as np

from handfast.physics.load import disc_area
from handfast.quantities.arrays import Array, ArrayLike

_HALVINGS = 60


def _array(value: ArrayLike) -> Array:
    return np.asarray(value, dtype=np.float64)


def pick_at(room: ArrayLike, slope: ArrayLike, ahead: ArrayLike) -> Array:
    """Mass that may sit at a distance ahead of the pin.

    Args:
        room: lift capacity at the pin less all that is carried, counted at the pin [kg], any shape; below 0 gives 0.
        slope: loss of capacity with distance [1/m], any shape.
        ahead: of the mass from the pin [m], any shape.

    Returns:
        mass [kg], broadcast.

    Source: rating slope from two ratings.

    >>> round(float(pick_at(240.0, 0.75, 0.8)), 6)
    150.0
    """
    return np.maximum(_array(room), 0.0) / (1.0 + _array(slope) * _array(ahead))


def longest_log_seated(
    room: ArrayLike, slope: ArrayLike, plane_ahead: ArrayLike, diameter: ArrayLike, density: ArrayLike
) -> Array:
    """Length of the longest log that lies across the jaw against the back plate.

    Args:
        room: lift capacity at the pin less all that is carried, counted at the pin [kg], any shape.
        slope: loss of capacity with distance [1/m], any shape.
        plane_ahead: mounting plane ahead of the pin [m], any shape.
        diameter: of the log [m], any shape.
        density: [kg/m³], any shape.

    Returns:
        length [m], broadcast.

    Source: rating slope; a log sits half its diameter ahead of the plane.

    >>> round(float(longest_log_seated(240.0, 0.75, 0.65, 0.3, 900.0)), 3)
    2.358
    """
    ahead = _array(plane_ahead) + 0.5 * _array(diameter)
    return pick_at(room, slope, ahead) / (disc_area(diameter) * _array(density))


def largest_stone_seated(
    room: ArrayLike,
    slope: ArrayLike,
    plane_ahead: ArrayLike,
    density: ArrayLike,
    opening: ArrayLike = np.inf,
    room_round: ArrayLike = 1.2,
) -> Array:
    """Diameter of the largest round stone against the back plate: a larger one also sits further ahead.

    Args:
        room: lift capacity at the pin less all that is carried, counted at the pin [kg], any shape.
        slope: loss of capacity with distance [1/m], any shape.
        plane_ahead: mounting plane ahead of the pin [m], any shape.
        density: of the solid rock [kg/m³], any shape.
        opening: the lesser opening of the jaw [m], any shape; nan or infinite: no limit.
        room_round: opening asked for one unit of diameter [1], any shape.

    Returns:
        diameter [m], broadcast.

    Source: rating slope and the sphere; by halving, the demand grows with the diameter.

    >>> round(float(largest_stone_seated(240.0, 0.0, 0.5, 2600.0)), 3)
    0.561
    """
    most, loss, plane, rock = np.broadcast_arrays(
        np.maximum(_array(room), 0.0), _array(slope), _array(plane_ahead), _array(density)
    )
    low = np.zeros(most.shape)
    high = np.cbrt(6.0 * most / (np.pi * rock * np.minimum(1.0 + loss * plane, 1.0))) + 1e-9
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        demand = np.pi / 6.0 * middle**3 * rock * (1.0 + loss * (plane + 0.5 * middle))
        low, high = np.where(demand <= most, middle, low), np.where(demand <= most, high, middle)
    return np.fmin(low, _array(opening) / _array(room_round))


def half_foot_down(length: ArrayLike) -> Array:
    """A length as it may be said: down to half a foot, never up.

    Args:
        length: [m], any shape.

    Returns:
        length [m], at least 0.

    Source: rounding to the cautious side.

    >>> round(float(half_foot_down(2.58)) / 0.3048, 3)
    8.0
    """
    half = 0.5 * 0.3048
    return np.maximum(np.floor(_array(length) / half * (1.0 + 1e-12)), 0.0) * half
