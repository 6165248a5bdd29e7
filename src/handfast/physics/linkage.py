"""The whole lift × curl map of a loader linkage, and its level path, from pins, cylinders and weights."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from handfast.physics.linkage_force import (
    GRAVITY,
    Cylinder,
    Weights,
    curl_limited,
    lift_limited,
    push_pull,
    weight_rates,
)
from handfast.physics.linkage_plane import Plane, cross
from handfast.physics.linkage_pose import LinkagePoints, Pose, places, pose, tilt_for_angle
from handfast.quantities.arrays import Array, ArrayLike


class LinkageMap(NamedTuple):
    """What a linkage does at each pose: tool pin, tool angle, both limits and the lower of them.

    A limit is nan where no positive load meets it, and then the other one is the capacity: so look at `holds_itself`,
    which is 0 where the weights of the linkage alone are too much for a cylinder set.
    """

    lift_length: Array
    tilt_length: Array
    pin_x: Array
    pin_z: Array
    angle: Array
    lift_limited: Array
    curl_limited: Array
    capacity: Array
    lift_governs: Array
    holds_itself: Array


def stroke(cylinder: Cylinder, steps: int) -> Array:
    """Lengths of a cylinder from shortest to longest.

    Args:
        cylinder: shortest and longest length between pins [m], scalars.
        steps: how many, both ends included [1].

    Returns:
        Lengths [m], shape (steps,).

    Source:
        Definition.

    >>> stroke(Cylinder(0.05, 0.03, 2, 0.5, 0.9), 3).tolist()
    [0.5, 0.7, 0.9]
    """
    lengths = np.linspace(float(np.asarray(cylinder.retracted)), float(np.asarray(cylinder.extended)), steps)
    return np.asarray(lengths, float)


def capacity_map(
    points: LinkagePoints,
    weights: Weights,
    lift: Cylinder,
    tilt: Cylinder,
    pressure: ArrayLike,
    load: Plane,
    lift_length: ArrayLike,
    tilt_length: ArrayLike,
) -> LinkageMap:
    """What the linkage lifts and curls over any grid of cylinder lengths.

    Args:
        points: pins at the reference pose [m].
        weights: arms and tool side, without the load.
        lift: lift cylinders.
        tilt: tilt cylinders.
        pressure: relief pressure [Pa], broadcasts.
        load: centre of the load from the tool pin, tool level [m], broadcasts.
        lift_length: lift cylinder between its pins [m], e.g. shape (n, 1).
        tilt_length: tilt cylinder between its pins [m], e.g. shape (m,).

    Returns:
        `LinkageMap`, broadcast shape; nan where a length is out of its stroke, where there is no pose, and where
        a limit takes no positive load.

    Source:
        Virtual work at each pose.

    >>> from handfast.physics.linkage_plane import point
    >>> pins = [point(x, z) for x, z in [(0, 1), (0, 0), (0.4, 0.6), (2, 1), (1, 1), (2, 1.5)]]
    >>> up, over = Cylinder(0.05, 0.03, 2, 0.7, 1.0), Cylinder(0.05, 0.03, 2, 0.8, 1.3)
    >>> none = Weights(0.0, point(0, 0), 0.0, point(0, 0))
    >>> lengths = np.linspace(0.7, 1.0, 5)[:, None], np.linspace(0.8, 1.3, 3)
    >>> capacity_map(LinkagePoints(*pins), none, up, over, 16e6, point(0.5, 0), *lengths).capacity.shape
    (5, 3)
    """
    inside, turned = _within(lift, lift_length), _within(tilt, tilt_length)
    at = pose(points, inside, turned)
    lifting, tilting = push_pull(lift, pressure), push_pull(tilt, pressure)
    by_lift = lift_limited(points, at, weights, load, *lifting)
    by_curl = curl_limited(points, at, weights, load, *tilting)
    own_lift, own_tilt = weight_rates(points, at, weights)
    held = _bears(own_lift, *lifting) & _bears(own_tilt, *tilting)
    lower = np.fmin(by_lift, by_curl)
    pin_x, pin_z = at.pin.real, np.where(np.isnan(at.pin.real), np.nan, at.pin.imag)
    parts = (inside, turned, pin_x, pin_z, np.angle(at.tool), by_lift, by_curl, lower, by_lift == lower, held)
    return LinkageMap(*(np.asarray(part, float) for part in np.broadcast_arrays(*parts)))


def level_path(
    points: LinkagePoints,
    weights: Weights,
    lift: Cylinder,
    tilt: Cylinder,
    pressure: ArrayLike,
    load: Plane,
    lift_length: ArrayLike,
) -> LinkageMap:
    """What the linkage lifts and curls with the tool level, along the lift.

    Args:
        points: pins at the reference pose [m].
        weights: arms and tool side, without the load.
        lift: lift cylinders.
        tilt: tilt cylinders.
        pressure: relief pressure [Pa], broadcasts.
        load: centre of the load from the tool pin, tool level [m], broadcasts.
        lift_length: lift cylinder between its pins [m], any shape.

    Returns:
        `LinkageMap`; nan where the tool cannot be level within the tilt stroke.

    Source:
        Virtual work, at each pose with that pose's tilt length held.

    >>> from handfast.physics.linkage_plane import point
    >>> pins = [point(x, z) for x, z in [(0, 1), (0, 0), (0.4, 0.6), (2, 1), (1, 1), (2, 1.5)]]
    >>> up, over = Cylinder(0.05, 0.03, 2, 0.7, 1.0), Cylinder(0.05, 0.03, 2, 0.8, 1.3)
    >>> none = Weights(0.0, point(0, 0), 0.0, point(0, 0))
    >>> path = level_path(LinkagePoints(*pins), none, up, over, 16e6, point(0.5, 0), [0.52**0.5])
    >>> path.capacity.round(1).tolist(), path.lift_governs.tolist()
    ([1421.6], [1.0])
    """
    level = tilt_for_angle(points, _within(lift, lift_length), 0.0, tilt.retracted, tilt.extended)
    return capacity_map(points, weights, lift, tilt, pressure, load, lift_length, level)


def least_leverage(points: LinkagePoints, at: Pose) -> Array:
    """How far the linkage is from a dead centre: the least sine between any crank and the rod that holds it.

    Args:
        points: pins at the reference pose [m].
        at: the pose, from `pose`.

    Returns:
        Sine [1], 0 at a dead centre; nan where there is no pose.

    Source:
        Transmission angle.

    >>> from handfast.physics.linkage_plane import point
    >>> pins = [point(x, z) for x, z in [(0, 1), (0, 0), (0.4, 0.6), (2, 1), (1, 1), (2, 1.5)]]
    >>> round(float(least_leverage(LinkagePoints(*pins), pose(LinkagePoints(*pins), 0.52**0.5, 1.25**0.5))), 4)
    0.8944
    """
    arms, cranks = zip(*_held(places(points, at)), strict=True)
    return _least([np.asarray(arm / np.abs(crank)) for arm, crank in zip(arms, cranks, strict=True)])


def least_offset(points: LinkagePoints, at: Pose) -> Array:
    """How near the middle line of any cylinder or rod comes to the pivot that it turns.

    Args:
        points: pins at the reference pose [m].
        at: the pose, from `pose`.

    Returns:
        Distance [m]; below half a cylinder tube and half a pin boss the parts touch. nan where there is no pose.

    Source:
        Distance of a point from a line.

    >>> from handfast.physics.linkage_plane import point
    >>> pins = [point(x, z) for x, z in [(0, 1), (0, 0), (0.4, 0.6), (2, 1), (1, 1), (2, 1.5)]]
    >>> round(float(least_offset(LinkagePoints(*pins), pose(LinkagePoints(*pins), 0.52**0.5, 1.25**0.5))), 4)
    0.4472
    """
    return _least([arm for arm, _ in _held(places(points, at))])


def _held(here: dict[str, Plane]) -> list[tuple[Array, Plane]]:
    """Of each crank: the distance of its rod's line from its pivot, and the crank itself."""
    held = [("arm_pivot", "lift_rod", "lift_base")]
    if "bellcrank_pivot" in here:
        held += [("bellcrank_pivot", "tilt_rod", "tilt_base"), ("tool_pivot", "link_tool", "link_bellcrank")]
    else:
        held += [("tool_pivot", "tilt_rod", "tilt_base")]
    if "lever_pivot" in here:
        held += [("lever_pivot", "level_rod", "level_chassis")]
    rods = [(here[end] - here[pivot], here[end] - here[far]) for pivot, end, far in held]
    return [(np.asarray(np.abs(cross(crank, rod)) / np.abs(rod)), crank) for crank, rod in rods]


def _least(each: list[Array]) -> Array:
    least = each[0]
    for other in each[1:]:
        least = np.minimum(least, other)
    return least


def _bears(own: Array, push: Array, pull: Array) -> NDArray[np.bool_]:
    """Whether a cylinder set holds the linkage's own weights, either way."""
    return np.asarray((own * GRAVITY <= push) & (own * GRAVITY >= -pull))


def _within(cylinder: Cylinder, length: ArrayLike) -> Array:
    """Lengths within the stroke (a nanometre's grace), nan outside."""
    lengths = np.asarray(length, float)
    low, high = np.asarray(cylinder.retracted, float) - 1e-9, np.asarray(cylinder.extended, float) + 1e-9
    return np.where((lengths >= low) & (lengths <= high), lengths, np.nan)
