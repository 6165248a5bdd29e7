"""Every pose of a loader whose linkage is recorded: tool pin and tool angle over lift and tilt stroke."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from handfast.machines.tractor import Machine
from handfast.physics.linkage import stroke
from handfast.physics.linkage_pose import pose
from handfast.quantities.arrays import Array
from handfast.reckoning.lift import linkage_gaps, linkage_of

LIFTS, TILTS = 9, 9  # steps from arms down to full height, and over the curl range


class Poses(NamedTuple):
    """Tool pin [m, tractor frame] and tool angle [rad, curled back positive], shape (lifts, tilts); the arm pivot."""

    pin_x: Array
    pin_z: Array
    angle: Array
    pivot_x: float
    pivot_z: float


def loader_poses(machine: Machine, lifts: int = LIFTS, tilts: int = TILTS) -> Poses | None:
    """Every pose of a loader, arms down to full height, over the whole curl range.

    Args:
        machine: the tractor.
        lifts: steps from arms down to full height.
        tilts: steps over the curl range.

    Returns:
        `Poses`, NaN where two lengths meet in no pose; None without a complete linkage.

    Source: `physics.linkage_pose.pose`.

    Example:
        >>> loader_poses(Machine()) is None
        True
    """
    if machine.loader.linkage is None or any(True for _ in linkage_gaps(machine)):
        return None
    made = linkage_of(machine)
    at = pose(made.points, stroke(made.lift, lifts)[:, None], stroke(made.tilt, tilts))
    pin, tool = np.broadcast_arrays(at.pin, at.tool)
    x, z = (np.where(np.isnan(tool.real), np.nan, part) for part in (pin.real, pin.imag))
    pivot = made.points.arm_pivot
    return Poses(x, z, np.angle(tool), float(pivot.real), float(pivot.imag))
