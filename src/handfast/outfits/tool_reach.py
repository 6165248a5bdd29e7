"""How long a hose from the end of the loader arms to an attachment's port must be, over lift, curl and lid."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from handfast.connections.hose_run import (
    Reach,
    arm_point,
    carried_point,
    length_needed,
    reach,
    rough_longest,
    turn_allowance,
)
from handfast.connections.mating import plain_size
from handfast.machines.attachment import Attachment
from handfast.machines.fields import Point
from handfast.machines.tractor import Machine
from handfast.outfits.loader_poses import Poses, loader_poses
from handfast.physics.jaw import lid_angle, turned
from handfast.quantities.arrays import Array
from handfast.quantities.estimate import Estimate

# Common practice, no source: where a lid's couplers sit and how its hoses run.
ROUGH = 0.6  # m from the couplers on the arms to the attachment's port, tool level
ALONG, ABOVE = 0.85, 0.10  # couplers: share of the way from arm pivot to pin, m above that line
ENDS = 0.10  # m, both hose ends together
BEND, BEND_WIDE, QUARTERS = 0.13, 0.18, 2.0  # m least bend radius of a 3/8, 1/2 in hose (EN 853); quarter turns at ends
NARROW = ("-4", "-6")  # ports that a 3/8 in hose goes on
BESIDE = 0.08  # m, the port on the cylinder's barrel from its lower pin
LIFTS, TILTS, LIDS = 25, 19, 5  # poses looked at: arms, curl, lid


@dataclass(frozen=True)
class Path:
    """The way of one hose over all poses: clamp and port [m, tractor frame], shape (lids, lifts, tilts), its reach."""

    clamp: tuple[Array, Array]
    port: tuple[Array, Array]
    reach: Reach


@dataclass(frozen=True)
class ToolReach:
    """Hose lengths on one machine, over so many poses of its arms and its curl."""

    machine: Machine
    lifts: int = LIFTS
    tilts: int = TILTS

    def of(self, attachment: Attachment) -> float:
        """Length that a hose from the front couplers to the attachment needs [m]: over all poses, else a rough one."""
        path = self.path(attachment)
        longest = float(rough_longest([ROUGH])) if path is None else float(path.reach.longest)
        return float(length_needed(longest, ENDS, turn_allowance(_bend(attachment), QUARTERS)))

    @cached_property
    def poses(self) -> Poses | None:
        """Every pose of the loader, where its linkage is recorded."""
        return loader_poses(self.machine, self.lifts, self.tilts)

    def path(self, attachment: Attachment) -> Path | None:
        """The hose's way over all poses; None where linkage or lid are not recorded."""
        port, poses = port_of(attachment), self.poses
        if port is None or poses is None:
            return None
        loader = self.machine.loader
        ahead, above = _or_zero(loader.plane_ahead) + port[0], port[1] - _or_zero(loader.plane_drop)
        lids = ahead.reshape(-1, 1, 1), above.reshape(-1, 1, 1)
        moved = carried_point(poses.pin_x, poses.pin_z, poses.angle, *lids)
        clamp = arm_point(poses.pivot_x, poses.pivot_z, poses.pin_x, poses.pin_z, ALONG, ABOVE)
        return Path(clamp, moved, reach(*clamp, *moved))


def port_of(attachment: Attachment) -> tuple[Array, Array] | None:
    """Where the lid cylinder's port is, in the attachment frame, from shut to open.

    Args:
        attachment: with its jaw.

    Returns:
        (x, z) [m]; one place where only the lower pin is known; None without it.

    Source: the port sits on the barrel beside the lower pin (practice), and the barrel turns with the lid.

    Example:
        >>> port_of(Attachment()) is None
        True
    """
    jaw = attachment.jaw
    base = None if jaw is None else _place(jaw.cylinder_base)
    if jaw is None or base is None:
        return None
    pivot, rod = _place(jaw.lid_pivot), _place(jaw.cylinder_rod)
    if pivot is None or rod is None or jaw.retracted.is_unknown or jaw.extended.is_unknown:
        return base[:1], base[1:]
    lengths = np.linspace(float(jaw.retracted.value), float(jaw.extended.value), LIDS)
    pins = turned(rod, pivot, lid_angle(lengths, pivot, base, rod))
    way = pins - base
    ports = base + BESIDE * way / np.hypot(way[:, 0], way[:, 1])[:, None]
    ports = ports[np.isfinite(ports).all(axis=1)]
    return (ports[:, 0], ports[:, 1]) if len(ports) else (base[:1], base[1:])


def _bend(attachment: Attachment) -> float:
    """Least bend radius of the hose that goes on the attachment's ports [m]."""
    ports = attachment.hydraulics.ports if attachment.hydraulics is not None else ()
    wide = any(plain_size(port.family, port.size) not in NARROW for port in ports)
    return BEND_WIDE if wide else BEND


def _place(point: Point | None) -> Array | None:
    if point is None or point.x.is_unknown or point.z.is_unknown:
        return None
    return np.array([point.x.value, point.z.value])


def _or_zero(estimate: Estimate) -> float:
    return 0.0 if estimate.is_unknown or np.isnan(estimate.value) else float(estimate.value)
