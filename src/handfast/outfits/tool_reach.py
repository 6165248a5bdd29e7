"""How long a hose from the end of the loader arms to an attachment's port must be."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from handfast.connections.hose_run import (
    arm_point,
    carried_point,
    length_needed,
    reach,
    rough_longest,
    turn_allowance,
)
from handfast.machines.attachment import Attachment
from handfast.machines.tractor import Machine
from handfast.outfits.loader_poses import Poses, loader_poses
from handfast.quantities.estimate import Estimate

# Common practice, no source: where a lid's couplers sit and how its hoses run.
ROUGH = 0.6  # m from the couplers on the arms to the attachment's port, tool level
ALONG, ABOVE = 0.85, 0.10  # couplers: share of the way from arm pivot to pin, m above that line
ENDS = 0.10  # m, both hose ends together
BEND, QUARTERS = 0.13, 2.0  # m least bend radius of a 3/8 in hose (EN 853), quarter turns at the ends


@dataclass(frozen=True)
class ToolReach:
    """Hose lengths on one machine."""

    machine: Machine

    def of(self, attachment: Attachment) -> float:
        """Length that a hose from the front couplers to the attachment needs [m]: over all poses, else a rough one."""
        port = self._port(attachment)
        longest = float(rough_longest([ROUGH])) if port is None or self.poses is None else self._longest(*port)
        return float(length_needed(longest, ENDS, turn_allowance(BEND, QUARTERS)))

    @cached_property
    def poses(self) -> Poses | None:
        """Every pose of the loader, where its linkage is recorded."""
        return loader_poses(self.machine)

    def _port(self, attachment: Attachment) -> tuple[float, float] | None:
        """The lid cylinder's lower pin from the tool pin, tool level [m]: the ports sit beside it."""
        base = attachment.jaw.cylinder_base if attachment.jaw is not None else None
        if base is None or base.x.is_unknown or base.z.is_unknown:
            return None
        loader = self.machine.loader
        return _or_zero(loader.plane_ahead) + base.x.value, base.z.value - _or_zero(loader.plane_drop)

    def _longest(self, ahead: float, above: float) -> float:
        poses = self.poses
        assert poses is not None
        port = carried_point(poses.pin_x, poses.pin_z, poses.angle, ahead, above)
        clamp = arm_point(poses.pivot_x, poses.pivot_z, poses.pin_x, poses.pin_z, ALONG, ABOVE)
        return float(reach(*clamp, *port).longest)


def _or_zero(estimate: Estimate) -> float:
    return 0.0 if estimate.is_unknown or np.isnan(estimate.value) else float(estimate.value)
