"""Volumes of logs, bales and piles."""

from __future__ import annotations

import numpy as np

from handfast.quantities.arrays import Array, ArrayLike

_PILE = {"half_ellipsoid": np.pi / 6.0, "half_cylinder": np.pi / 4.0, "cone": np.pi / 12.0, "paraboloid": np.pi / 8.0}


def _array(value: ArrayLike) -> Array:
    return np.asarray(value, dtype=np.float64)


def disc_area(diameter: ArrayLike) -> Array:
    """Area of a round cross section.

    Args:
        diameter: across the section [m], any shape.

    Returns:
        area [m²].

    Source: geometry.

    >>> round(float(disc_area(2.0)), 6)
    3.141593
    """
    return 0.25 * np.pi * _array(diameter) ** 2


def cylinder_volume(diameter: ArrayLike, length: ArrayLike) -> Array:
    """Volume of a log or round bale taken as a cylinder.

    Args:
        diameter: [m], any shape.
        length: [m], any shape.

    Returns:
        volume [m³], broadcast.

    Source: geometry.

    >>> round(float(cylinder_volume(0.3, 2.0)), 6)
    0.141372
    """
    return disc_area(diameter) * _array(length)


def smalian_volume(small: ArrayLike, large: ArrayLike, length: ArrayLike) -> Array:
    """Volume of a log from the areas of its two ends (too large for a flared butt).

    Args:
        small: diameter at the small end [m], any shape.
        large: diameter at the large end [m], any shape.
        length: [m], any shape.

    Returns:
        volume [m³], broadcast.

    Source: Smalian's formula, forest mensuration.

    >>> round(float(smalian_volume(0.25, 0.29, 5.0)), 6)
    0.287848
    """
    return 0.5 * (disc_area(small) + disc_area(large)) * _array(length)


def huber_volume(middle: ArrayLike, length: ArrayLike) -> Array:
    """Volume of a log from the area at the middle of its length.

    Args:
        middle: diameter at mid length [m], any shape.
        length: [m], any shape.

    Returns:
        volume [m³], broadcast.

    Source: Huber's formula, forest mensuration.

    >>> round(float(huber_volume(0.27, 5.0)), 6)
    0.286278
    """
    return cylinder_volume(middle, length)


def newton_volume(small: ArrayLike, middle: ArrayLike, large: ArrayLike, length: ArrayLike) -> Array:
    """Volume of a log from both ends and the middle: exact for cylinder, paraboloid, cone and neiloid.

    Args:
        small: diameter at the small end [m], any shape.
        middle: diameter at mid length [m], any shape.
        large: diameter at the large end [m], any shape.
        length: [m], any shape.

    Returns:
        volume [m³], broadcast.

    Source: Newton's formula, forest mensuration.

    >>> round(float(newton_volume(0.25, 0.27, 0.29, 5.0)), 6)
    0.286801
    """
    return (disc_area(small) + 4.0 * disc_area(middle) + disc_area(large)) * _array(length) / 6.0


def cone_volume(small: ArrayLike, large: ArrayLike, length: ArrayLike) -> Array:
    """Volume of a log taken as the frustum of a cone.

    Args:
        small: diameter at the small end [m], any shape.
        large: diameter at the large end [m], any shape.
        length: [m], any shape.

    Returns:
        volume [m³], broadcast.

    Source: geometry.

    >>> round(float(cone_volume(0.25, 0.29, 5.0)), 6)
    0.286801
    """
    a, b = disc_area(small), disc_area(large)
    return (a + np.sqrt(a * b) + b) * _array(length) / 3.0


def neiloid_volume(small: ArrayLike, large: ArrayLike, length: ArrayLike) -> Array:
    """Volume of a butt log taken as the frustum of a neiloid.

    Args:
        small: diameter at the small end [m], any shape.
        large: diameter at the large end [m], any shape.
        length: [m], any shape.

    Returns:
        volume [m³], broadcast.

    Source: forest mensuration, frustum of a neiloid.

    >>> round(float(neiloid_volume(0.25, 0.29, 5.0)), 6)
    0.286452
    """
    a, b = disc_area(small), disc_area(large)
    return (a + np.cbrt(a * a * b) + np.cbrt(a * b * b) + b) * _array(length) / 4.0


def pile_volume(width: ArrayLike, length: ArrayLike, height: ArrayLike, shape: str = "half_ellipsoid") -> Array:
    """Gross volume of a pile.

    Args:
        width: [m], any shape.
        length: [m], any shape; of a paraboloid and a cone the other way across.
        height: [m], any shape.
        shape: half_ellipsoid, half_cylinder, paraboloid or cone.

    Returns:
        volume, air included [m³], broadcast.

    Raises:
        KeyError: a shape that is none of these.

    Source: plain geometry; shapes of piles as in USDA Forest Service PNW-GTR-364.

    >>> round(float(pile_volume(2.0, 3.0, 1.0)), 6)
    3.141593
    """
    return _PILE[shape] * _array(width) * _array(length) * _array(height)
