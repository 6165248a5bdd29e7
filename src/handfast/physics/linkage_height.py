"""The lift cylinder length that brings a loader's tool pin to a height."""

from __future__ import annotations

import numpy as np

from handfast.physics.linkage_pose import LinkagePoints
from handfast.quantities.arrays import Array, ArrayLike


def lift_length_at(points: LinkagePoints, height: ArrayLike) -> Array:
    """Lift cylinder length with the tool pin at a height, ahead of the arm pivot.

    Args:
        points: pins at the reference pose [m].
        height: of the tool pin [m], any shape.

    Returns:
        Length [m]; nan beyond the arms' reach. Whether it lies within the stroke is for the caller to see.

    Source:
        The pin runs on a circle about the arm pivot; the rod pin turns with it.

    >>> from handfast.physics.linkage_plane import point
    >>> pins = [point(x, z) for x, z in [(0, 1), (0, 0), (0.3, 0.4), (2, 1), (1, 1), (2, 1.5)]]
    >>> [round(float(v), 6) for v in lift_length_at(LinkagePoints(*pins), [1.0, 9.0])]
    [0.5, nan]
    """
    arm = points.tool_pivot - points.arm_pivot
    rise = (np.asarray(height, float) - points.arm_pivot.imag) / np.abs(arm)
    with np.errstate(invalid="ignore"):
        turn = (np.sqrt(1.0 - rise**2) + 1j * rise) * np.abs(arm) / arm
    return np.asarray(np.abs(points.arm_pivot + (points.lift_rod - points.arm_pivot) * turn - points.lift_base), float)
