"""What a load weighs, how much of it one bite holds, and where it sits in the tool."""

from __future__ import annotations

import numpy as np

from handfast.physics.jaw_touch import seated
from handfast.physics.volume import cone_volume as cone_volume
from handfast.physics.volume import cylinder_volume as cylinder_volume
from handfast.physics.volume import disc_area as disc_area
from handfast.physics.volume import huber_volume as huber_volume
from handfast.physics.volume import neiloid_volume as neiloid_volume
from handfast.physics.volume import newton_volume as newton_volume
from handfast.physics.volume import pile_volume as pile_volume
from handfast.physics.volume import smalian_volume as smalian_volume
from handfast.physics.wood import Density as Density
from handfast.physics.wood import loose_density as loose_density
from handfast.physics.wood import species as species
from handfast.quantities.arrays import Array, ArrayLike

ROUND_KINDS = frozenset({"logs", "rock", "round_bales"})


def _array(value: ArrayLike) -> Array:
    return np.asarray(value, dtype=np.float64)


def green_density(specific_gravity: ArrayLike, moisture: ArrayLike) -> Array:
    """Density of green wood from its basic specific gravity and its moisture.

    Args:
        specific_gravity: oven-dry mass over green volume, over that of water [1], any shape.
        moisture: mass of water over oven-dry mass [1] (0.80 for 80 %), any shape.

    Returns:
        density [kg/m³], broadcast.

    Source: USDA Forest Service, Wood Handbook, chapter 4.

    >>> float(green_density(0.5, 0.8))
    900.0
    """
    return 1000.0 * _array(specific_gravity) * (1.0 + _array(moisture))


def log_mass(diameter: ArrayLike, length: ArrayLike, density: ArrayLike) -> Array:
    """Mass of a round log or round bale.

    Args:
        diameter: [m], any shape.
        length: [m], any shape.
        density: [kg/m³], any shape.

    Returns:
        mass [kg], broadcast.

    Source: geometry.

    >>> round(float(log_mass(0.3, 2.0, 900.0)), 3)
    127.235
    """
    return cylinder_volume(diameter, length) * _array(density)


def bundle_mass(diameter: ArrayLike, length: ArrayLike, density: ArrayLike, count: ArrayLike) -> Array:
    """Mass of a bundle of equal round pieces.

    Args:
        diameter: of one piece [m], any shape.
        length: [m], any shape.
        density: [kg/m³], any shape.
        count: pieces in the bundle, any shape.

    Returns:
        mass [kg], broadcast.

    Source: geometry.

    >>> round(float(bundle_mass(0.1, 2.0, 900.0, 10)), 3)
    141.372
    """
    return log_mass(diameter, length, density) * _array(count)


def box_mass(width: ArrayLike, height: ArrayLike, length: ArrayLike, density: ArrayLike) -> Array:
    """Mass of a square bale or any other box.

    Args:
        width: [m], any shape.
        height: [m], any shape.
        length: [m], any shape.
        density: [kg/m³], any shape.

    Returns:
        mass [kg], broadcast.

    Source: geometry.

    >>> float(box_mass(0.5, 0.5, 2.0, 200.0))
    100.0
    """
    return _array(width) * _array(height) * _array(length) * _array(density)


def stone_mass(diameter: ArrayLike, density: ArrayLike) -> Array:
    """Mass of a round stone.

    Args:
        diameter: [m], any shape.
        density: of the solid rock [kg/m³], any shape.

    Returns:
        mass [kg], broadcast.

    Source: geometry of the sphere.

    >>> round(float(stone_mass(0.5, 2600.0)), 3)
    170.17
    """
    return np.pi / 6.0 * _array(diameter) ** 3 * _array(density)


def bite_of_brush(
    bite_area: ArrayLike, width: ArrayLike, fill: ArrayLike, packing: ArrayLike, density: ArrayLike
) -> Array:
    """Mass of the brush that one bite holds.

    Args:
        bite_area: of the closed jaw, seen from the side [m²], any shape.
        width: of the tool [m], any shape.
        fill: share of the jaw that is full [1], any shape.
        packing: wood over heap, by volume [1], any shape.
        density: of the wood [kg/m³], any shape.

    Returns:
        mass [kg], broadcast.

    Source: packing ratios of piled slash, USDA Forest Service PNW-GTR-364.

    >>> round(float(bite_of_brush(0.35, 1.0, 1.0, 0.12, 820.0)), 3)
    34.44
    """
    return _array(bite_area) * _array(width) * _array(fill) * _array(packing) * _array(density)


def heaped_load(volume: ArrayLike, fill: ArrayLike, density: ArrayLike) -> Array:
    """Mass of loose material in a heaped bucket.

    Args:
        volume: heaped volume of the bucket [m³], any shape.
        fill: share of it that is full [1], any shape.
        density: of the loose material [kg/m³], any shape.

    Returns:
        mass [kg], broadcast.

    Source: geometry.

    >>> round(float(heaped_load(0.24, 1.0, 420.0)), 3)
    100.8
    """
    return _array(volume) * _array(fill) * _array(density)


def longest_log(payload: ArrayLike, diameter: ArrayLike, density: ArrayLike) -> Array:
    """Length of the log that weighs as much as the loader has left.

    Args:
        payload: mass that may be added [kg], any shape; below 0 gives 0.
        diameter: [m], any shape.
        density: [kg/m³], any shape.

    Returns:
        length [m], broadcast.

    Source: geometry.

    >>> round(float(longest_log(127.2345, 0.3, 900.0)), 3)
    2.0
    """
    return np.maximum(_array(payload), 0.0) / (disc_area(diameter) * _array(density))


def largest_stone(payload: ArrayLike, density: ArrayLike, opening: ArrayLike = np.inf, room: ArrayLike = 1.2) -> Array:
    """Diameter of the largest round stone that can be lifted and that goes into the jaw.

    Args:
        payload: mass that may be added [kg], any shape; below 0 gives 0.
        density: of the solid rock [kg/m³], any shape.
        opening: the lesser opening of the jaw [m], any shape; nan or infinite: no limit.
        room: opening asked for one unit of diameter [1], any shape.

    Returns:
        diameter [m], broadcast.

    Source: geometry of the sphere; the room is practice.

    >>> round(float(largest_stone(170.1696, 2600.0)), 3)
    0.5
    """
    by_mass = np.cbrt(6.0 * np.maximum(_array(payload), 0.0) / (np.pi * _array(density)))
    return np.fmin(by_mass, _array(opening) / _array(room))


def seat(
    kind: str,
    diameter: ArrayLike,
    floor: ArrayLike | None,
    load_centre_x: ArrayLike,
    load_centre_z: ArrayLike,
) -> tuple[Array, Array]:
    """Where the middle of one piece sits, in the attachment's frame.

    Logs, rock and round bales lie against the back plate (x = 0) and on the tines: the inner face given as points, or
    the level z = 0 without one. Everything else, and a round piece of unknown diameter, sits at the load centre.

    Args:
        kind: kind of work, as in a work record.
        diameter: of the round piece [m], any shape; nan where unknown.
        floor: points of the tines' inner face, from the back to the tips [m], shape (n, 2), or None.
        load_centre_x: ahead of the mounting plane [m], any shape.
        load_centre_z: above its bottom edge [m], any shape.

    Returns:
        (x, z) [m], broadcast.

    Source: geometry.

    >>> [float(v) for v in seat("logs", 0.4, None, 0.6, 0.3)]
    [0.2, 0.2]
    """
    x, z = _array(load_centre_x), _array(load_centre_z)
    if kind not in ROUND_KINDS:
        both = np.broadcast_arrays(x, z, _array(diameter))
        return both[0], both[1]
    radius = 0.5 * _array(diameter)
    known = np.isfinite(radius)
    if floor is None or np.ndim(floor) < 2:
        return np.where(known, radius, x), np.where(known, radius, z)
    ahead, above, _, _ = seated(floor, radius)
    seats = known & np.isfinite(ahead)
    return np.where(seats, ahead, np.where(known, radius, x)), np.where(seats, above, np.where(known, radius, z))
