"""What the cylinders of a measured linkage hold at any pin height and tool angle, in the jaws."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from handfast.outfits.pose_figures import Figures
from handfast.physics.linkage import capacity_map
from handfast.physics.linkage_force import Weights, lump
from handfast.physics.linkage_height import lift_length_at
from handfast.physics.linkage_pose import tilt_for_angle
from handfast.quantities.arrays import Array


class Held(NamedTuple):
    """Loads that lift and curl cylinders hold [kg], infinite where they take any; NaN where there is no such pose."""

    lift: Array
    curl: Array
    tilt: Array  # tilt cylinder between its pins [m]


def held_by(figures: Figures, height: Array, angle: Array) -> Held | None:
    """What a measured linkage holds over pin heights and tool angles.

    Args:
        figures: of one outfit.
        height: of the pins [m], shape (n, 1).
        angle: of the tool from level, curled back positive [rad], shape (m,).

    Returns:
        `Held`, shape (n, m); None where the loader has no measured linkage.

    Source: virtual work at each pose, `physics.linkage.capacity_map`; 0 where the linkage does not hold itself.

    Example:
        >>> from handfast.outfits.example import bench
        >>> from handfast.outfits.pose_figures import figures_of
        >>> held_by(figures_of(bench(), 0), np.array([1.0]), np.array([0.0])) is None  # no linkage recorded
        True
    """
    made = figures.linkage
    if made is None:
        return None
    hung = (figures.coupler, *figures.hung)
    table = np.array([[i.mass, i.x, i.z] for i in (*hung, figures.piece)], dtype=np.float64)
    masses, places = table[:-1, 0], table[:, 1] + 1j * table[:, 2]
    mass, centre = lump(masses, places[:-1])
    weights = Weights(made.weights.arm_mass, made.weights.arm_cg, mass, centre)
    lengths = lift_length_at(made.points, height)
    tilt = tilt_for_angle(made.points, lengths, angle, made.tilt.retracted, made.tilt.extended)
    found = capacity_map(made.points, weights, made.lift, made.tilt, made.pressure, places[-1], lengths, tilt)
    there, holds = ~np.isnan(found.pin_x) & (np.abs(found.pin_z - height) < 1e-6), found.holds_itself > 0
    lift, curl = (
        np.where(there, np.where(holds, np.where(np.isnan(one), np.inf, one), 0.0), np.nan)
        for one in (found.lift_limited, found.curl_limited)
    )
    return Held(lift, curl, np.where(there, found.tilt_length, np.nan))
