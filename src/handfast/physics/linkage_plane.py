"""Vectors of the side plane as complex numbers x + iz, so that a turn is a product."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from handfast.quantities.arrays import Array, ArrayLike

Plane = NDArray[np.complex128]


def point(x: ArrayLike, z: ArrayLike) -> Plane:
    """A point of the side plane as complex numbers.

    Args:
        x: distance forward [m], any shape.
        z: height [m], broadcasts.

    Returns:
        x + iz [m].

    Source:
        Definition.

    >>> complex(point(1.0, 2.0))
    (1+2j)
    """
    return np.asarray(np.asarray(x, float) + 1j * np.asarray(z, float), np.complex128)


def dot(a: Plane, b: Plane) -> Array:
    """Scalar product of two vectors of the side plane.

    Args:
        a: vector [m], any shape.
        b: vector [m], broadcasts.

    Returns:
        a·b [m²].

    Source:
        Definition.

    >>> float(dot(point(1.0, 2.0), point(3.0, 4.0)))
    11.0
    """
    return np.asarray(a.real * b.real + a.imag * b.imag)


def cross(a: Plane, b: Plane) -> Array:
    """Vector product of two vectors of the side plane, positive where b turns up from a.

    Args:
        a: vector [m], any shape.
        b: vector [m], broadcasts.

    Returns:
        a×b [m²].

    Source:
        Definition.

    >>> float(cross(point(1.0, 0.0), point(0.0, 2.0)))
    2.0
    """
    return np.asarray(a.real * b.imag - a.imag * b.real)
