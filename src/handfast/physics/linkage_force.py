"""What a linkage lifts and curls at any pose, by virtual work with one cylinder moving and the other held."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from handfast.physics.linkage_plane import Plane
from handfast.physics.linkage_pose import LinkagePoints, Pose, pose, tilt_for_angle
from handfast.quantities.arrays import Array, ArrayLike

GRAVITY = 9.80665
FORWARD = 0.5
NO_RISE = 1e-9


class Cylinder(NamedTuple):
    """A set of equal cylinders side by side: bore and rod [m], how many, shortest and longest between pins [m]."""

    bore: ArrayLike
    rod: ArrayLike
    number: ArrayLike
    retracted: ArrayLike
    extended: ArrayLike


class Weights(NamedTuple):
    """Arms (mass [kg], centre at the reference pose [m]) and all that turns with the tool plate (centre from the pin,
    tool level [m]), without the load."""

    arm_mass: ArrayLike
    arm_cg: Plane
    tool_mass: ArrayLike
    tool_cg: Plane


class Breakout(NamedTuple):
    """Breakout with the tool level: by the lift cylinders at the pin and 500 mm ahead, by curling 500 mm ahead [kg]."""

    at_pin: Array
    at_500: Array
    curl_at_500: Array


def push_pull(cylinder: Cylinder, pressure: ArrayLike) -> tuple[Array, Array]:
    """Greatest push and pull of a set of cylinders.

    Args:
        cylinder: bore and rod [m], number, any shape.
        pressure: oil pressure [Pa], broadcasts.

    Returns:
        (push on the bore side, pull on the rod side) [N].

    Source:
        Pressure times area.

    >>> [round(float(v)) for v in push_pull(Cylinder(0.05, 0.03, 2, 0.5, 0.9), 16e6)]
    [62832, 40212]
    """
    bore, rod = np.asarray(cylinder.bore, float), np.asarray(cylinder.rod, float)
    area = np.asarray(cylinder.number, float) * np.asarray(pressure, float) * np.pi / 4.0
    return np.asarray(area * bore**2), np.asarray(area * (bore**2 - rod**2))


def lump(masses: ArrayLike, places: Plane) -> tuple[Array, Plane]:
    """Masses that move as one body as one mass at their common centre.

    Args:
        masses: masses [kg], shape (…, n).
        places: centres of gravity x + iz [m], shape (…, n).

    Returns:
        (mass [kg], centre [m]), shape (…); the centre is 0 where there is no mass.

    Source:
        First moments.

    >>> total, centre = lump([100.0, 300.0], np.array([0.2 + 0.0j, 0.4 + 0.4j]))
    >>> float(total), complex(centre.round(9))
    (400.0, (0.35+0.3j))
    """
    each = np.asarray(masses, float)
    total = np.asarray(each.sum(axis=-1))
    return total, np.asarray((each * places).sum(axis=-1) / np.where(total == 0, 1.0, total))


def rise_rates(points: LinkagePoints, at: Pose, place: Plane) -> tuple[Array, Array]:
    """How fast a point of the tool rises as each cylinder extends.

    Args:
        points: pins at the reference pose [m].
        at: the pose, from `pose`.
        place: the point from the tool pin, tool level [m], broadcasts.

    Returns:
        (by the lift cylinder, by the tilt cylinder) [m/m], the other one held.

    Source:
        Virtual displacement.

    >>> from handfast.physics.linkage_plane import point
    >>> pins = [point(x, z) for x, z in [(0, 1), (0, 0), (0.4, 0.6), (2, 1), (1, 1), (2, 1.5)]]
    >>> at = pose(LinkagePoints(*pins), 0.52**0.5, 1.25**0.5)
    >>> [round(float(v), 6) for v in rise_rates(LinkagePoints(*pins), at, point(0.5, 0.0))]
    [4.506939, -1.118034]
    """
    ahead = (place * at.tool).real
    return _pin_rate(points, at) + ahead * at.tool_by_lift, np.asarray(ahead * at.tool_by_tilt)


def weight_rates(points: LinkagePoints, at: Pose, weights: Weights) -> tuple[Array, Array]:
    """Mass × rise of the linkage's own weights as each cylinder extends.

    Args:
        points: pins at the reference pose [m].
        at: the pose, from `pose`.
        weights: arms and tool side, without the load.

    Returns:
        (by the lift cylinder, by the tilt cylinder) [kg·m/m].

    Source:
        Virtual work.

    >>> from handfast.physics.linkage_plane import point
    >>> pins = [point(x, z) for x, z in [(0, 1), (0, 0), (0.4, 0.6), (2, 1), (1, 1), (2, 1.5)]]
    >>> at = pose(LinkagePoints(*pins), 0.52**0.5, 1.25**0.5)
    >>> heavy = Weights(100.0, point(1.0, 1.0), 50.0, point(0.2, 0.1))
    >>> [round(float(v), 3) for v in weight_rates(LinkagePoints(*pins), at, heavy)]
    [378.583, -22.361]
    """
    mass = np.asarray(weights.tool_mass, float)
    by_lift, by_tilt = rise_rates(points, at, weights.tool_cg)
    arm = ((weights.arm_cg - points.arm_pivot) * at.arm).real * at.arm_by_lift
    return np.asarray(np.asarray(weights.arm_mass, float) * arm + mass * by_lift), np.asarray(mass * by_tilt)


def lift_limited(
    points: LinkagePoints, at: Pose, weights: Weights, load: Plane, push: ArrayLike, pull: ArrayLike
) -> Array:
    """The load that the lift cylinders hold, the tilt length held fixed.

    Args:
        points: pins at the reference pose [m].
        at: the pose, from `pose`.
        weights: arms and tool side, without the load.
        load: centre of the load from the tool pin, tool level [m], broadcasts.
        push: greatest push of the lift cylinders [N], broadcasts.
        pull: greatest pull of the lift cylinders [N], broadcasts.

    Returns:
        Mass [kg]; nan where no positive load meets that limit.

    Source:
        Virtual work; the sign of the load's work chooses the piston side.

    >>> from handfast.physics.linkage_plane import point
    >>> pins = [point(x, z) for x, z in [(0, 1), (0, 0), (0.4, 0.6), (2, 1), (1, 1), (2, 1.5)]]
    >>> at = pose(LinkagePoints(*pins), 0.52**0.5, 1.25**0.5)
    >>> none = Weights(0.0, point(0, 0), 0.0, point(0, 0))
    >>> round(float(lift_limited(LinkagePoints(*pins), at, none, point(0.5, 0), 40000.0, 20000.0)), 3)
    905.019
    """
    rise, _ = rise_rates(points, at, load)
    own, _ = weight_rates(points, at, weights)
    return _limit(rise, own, push, pull)


def curl_limited(
    points: LinkagePoints, at: Pose, weights: Weights, load: Plane, push: ArrayLike, pull: ArrayLike
) -> Array:
    """The load that the tilt cylinders hold, the lift length held fixed.

    Args:
        points: pins at the reference pose [m].
        at: the pose, from `pose`.
        weights: arms and tool side, without the load.
        load: centre of the load from the tool pin, tool level [m], broadcasts.
        push: greatest push of the tilt cylinders [N], broadcasts.
        pull: greatest pull of the tilt cylinders [N], broadcasts.

    Returns:
        Mass [kg]; nan where no positive load meets that limit.

    Source:
        Virtual work; the sign of the load's work chooses the piston side.

    >>> from handfast.physics.linkage_plane import point
    >>> pins = [point(x, z) for x, z in [(0, 1), (0, 0), (0.4, 0.6), (2, 1), (1, 1), (2, 1.5)]]
    >>> at = pose(LinkagePoints(*pins), 0.52**0.5, 1.25**0.5)
    >>> none = Weights(0.0, point(0, 0), 0.0, point(0, 0))
    >>> round(float(curl_limited(LinkagePoints(*pins), at, none, point(0.5, 0), 40000.0, 20000.0)), 3)
    1824.124
    """
    _, rise = rise_rates(points, at, load)
    _, own = weight_rates(points, at, weights)
    return _limit(rise, own, push, pull)


def breakout(
    points: LinkagePoints, weights: Weights, lift: Cylinder, tilt: Cylinder, pressure: ArrayLike, lift_length: ArrayLike
) -> Breakout:
    """Breakout at one lift length (arms down: the shortest), tool level.

    Args:
        points: pins at the reference pose [m].
        weights: what the figure contains: arms, quick attach.
        lift: lift cylinders.
        tilt: tilt cylinders.
        pressure: relief pressure [Pa], any shape.
        lift_length: lift cylinder between its pins [m], broadcasts.

    Returns:
        `Breakout` [kg]; nan where the tool cannot be level.

    Source:
        Greatest vertical force at the pin and 500 mm ahead, as load ratings define it.

    >>> from handfast.physics.linkage_plane import point
    >>> pins = [point(x, z) for x, z in [(0, 1), (0, 0), (0.4, 0.6), (2, 1), (1, 1), (2, 1.5)]]
    >>> none = Weights(0.0, point(0, 0), 0.0, point(0, 0))
    >>> up, over = Cylinder(0.05, 0.03, 2, 0.7, 1.0), Cylinder(0.05, 0.03, 2, 0.8, 1.3)
    >>> [round(float(v)) for v in breakout(LinkagePoints(*pins), none, up, over, 16e6, 0.52**0.5)]
    [1777, 1422, 3668]
    """
    level = tilt_for_angle(points, lift_length, 0.0, tilt.retracted, tilt.extended)
    at = pose(points, lift_length, level)
    here, ahead = np.asarray(0j), np.asarray(FORWARD + 0j)
    push, pull = push_pull(lift, pressure)
    curl = curl_limited(points, at, weights, ahead, *push_pull(tilt, pressure))
    at_pin, at_500 = (lift_limited(points, at, weights, where, push, pull) for where in (here, ahead))
    return Breakout(at_pin, at_500, curl)


def _pin_rate(points: LinkagePoints, at: Pose) -> Array:
    return np.asarray((at.pin - points.arm_pivot).real * at.arm_by_lift)


def _limit(rise: Array, own: Array, push: ArrayLike, pull: ArrayLike) -> Array:
    """Load m with g·(m·rise + own) = push or −pull, whichever the load works against."""
    with np.errstate(divide="ignore", invalid="ignore"):
        side = np.where(rise > 0, push, -np.asarray(pull, float))
        mass = (side / GRAVITY - own) / rise
        return np.where((mass > 0) & np.isfinite(mass) & (np.abs(rise) > NO_RISE), mass, np.nan)
