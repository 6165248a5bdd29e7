"""Forces at every pin of a linkage, body by body by moments about the pins: a second way to the cylinder forces."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from handfast.physics.linkage_force import GRAVITY, Weights
from handfast.physics.linkage_plane import Plane, cross
from handfast.physics.linkage_pose import LinkagePoints, Pose, places
from handfast.quantities.arrays import Array, ArrayLike


class PinForces(NamedTuple):
    """Forces that hold a load at rest: cylinders and rods as push [N], pins as the force on the arms x + iz [N]."""

    lift: Array
    tilt: Array
    link: Array
    level_rod: Array
    tool_pivot: Plane
    tilt_base: Plane
    bellcrank_pivot: Plane
    lever_pivot: Plane
    arm_pivot: Plane


class _Held(NamedTuple):
    """A push along a rod, and its force on the body it pushes."""

    push: Array
    force: Plane


def pin_forces(points: LinkagePoints, at: Pose, weights: Weights, load: Plane, mass: ArrayLike) -> PinForces:
    """The forces at the pins while a load is held still.

    Args:
        points: pins at the reference pose [m].
        at: the pose, from `pose`.
        weights: arms and tool side, without the load.
        load: centre of the load from the tool pin, tool level [m], broadcasts.
        mass: the load [kg], broadcasts.

    Returns:
        `PinForces` [N]; the force of the arms' pivot is that of the chassis on the arms; 0 for pins that the
        linkage does not have.

    Source:
        Equilibrium of each body: moments about its pivot, then the sum of forces.

    >>> from handfast.physics.linkage_plane import point
    >>> from handfast.physics.linkage_pose import pose
    >>> pins = LinkagePoints(*[point(x, z) for x, z in [(0, 1), (0, 0), (0.4, 0.6), (2, 1), (1, 1), (2, 1.5)]])
    >>> none = Weights(0.0, point(0, 0), 0.0, point(0, 0))
    >>> held = pin_forces(pins, pose(pins, 0.52**0.5, 1.25**0.5), none, point(0.5, 0), 100.0)
    >>> round(float(held.lift), 2), round(float(held.tilt), 2)
    (4419.8, -1096.42)
    """
    here, zero = places(points, at), np.zeros_like(at.pin)
    carried = _carried(at, weights, load, mass)
    plate, link, crank_pin = _plate(here, carried)
    tilt = link if crank_pin is None else _crank(here, link)
    at_crank = zero if crank_pin is None else tilt.force - link.force
    base, lever, rod = -tilt.force, zero, zero.real
    if "lever_pivot" in here:
        rod, lever = _lever(here, tilt.force)
        base = zero
    on_arm = {"tool_pivot": plate, "tilt_base": base, "bellcrank_pivot": at_crank, "lever_pivot": lever}
    lift, pivot = _arm(points, at, here, weights, on_arm)
    shown = zero.real if crank_pin is None else link.push
    return PinForces(lift, tilt.push, shown, rod, plate, base, at_crank, lever, pivot)


def _carried(at: Pose, weights: Weights, load: Plane, mass: ArrayLike) -> tuple[Array, Array]:
    """Weight on the tool plate [N] and its moment about the tool pin [N·m]."""
    own, extra = np.asarray(weights.tool_mass, float), np.asarray(mass, float)
    moment = own * (weights.tool_cg * at.tool).real + extra * (load * at.tool).real
    return np.asarray(GRAVITY * (own + extra)), np.asarray(GRAVITY * moment)


def _rod(pivot: Plane, end: Plane, far: Plane, moment: Array) -> _Held:
    """The push of a rod from `far` onto `end` that holds a clockwise moment about the pivot."""
    along = (end - far) / np.abs(end - far)
    with np.errstate(divide="ignore", invalid="ignore"):
        push = moment / cross(end - pivot, along)
    return _Held(np.asarray(push), np.asarray(push * along))


def _plate(here: dict[str, Plane], carried: tuple[Array, Array]) -> tuple[Plane, _Held, str | None]:
    """Force of the tool plate on the arms at the tool pin, and the rod that holds the plate."""
    bellcrank = "bellcrank_pivot" in here
    end, far = ("link_tool", "link_bellcrank") if bellcrank else ("tilt_rod", "tilt_base")
    held = _rod(here["tool_pivot"], here[end], here[far], carried[1])
    on_arm = np.asarray(held.force - 1j * carried[0])
    return on_arm, held, "bellcrank_pivot" if bellcrank else None


def _crank(here: dict[str, Plane], link: _Held) -> _Held:
    pivot = here["bellcrank_pivot"]
    moment = cross(here["link_bellcrank"] - pivot, link.force)
    return _rod(pivot, here["tilt_rod"], here["tilt_base"], moment)


def _lever(here: dict[str, Plane], tilt: Plane) -> tuple[Array, Plane]:
    pivot = here["lever_pivot"]
    moment = cross(here["tilt_base"] - pivot, tilt)
    rod = _rod(pivot, here["level_rod"], here["level_chassis"], moment)
    return rod.push, np.asarray(rod.force - tilt)


def _arm(
    points: LinkagePoints, at: Pose, here: dict[str, Plane], weights: Weights, on_arm: dict[str, Plane]
) -> tuple[Array, Plane]:
    """Push of the lift cylinders and the force of the chassis at the arm pivot."""
    pivot, weight = here["arm_pivot"], GRAVITY * np.asarray(weights.arm_mass, float)
    moment = weight * ((weights.arm_cg - points.arm_pivot) * at.arm).real
    total = -1j * weight
    for name, force in on_arm.items():
        if name in here:
            moment = moment - cross(here[name] - pivot, force)
            total = total + force
    lift = _rod(pivot, here["lift_rod"], here["lift_base"], moment)
    return lift.push, np.asarray(-(total + lift.force))
