"""Where every pin of a loader's linkage stands, for any lift and tilt cylinder length.

A point of the plane is one complex number x + iz in the tractor frame, so that a turn is a product.
Each body (arm, lever, bellcrank, tool plate) hangs on a pivot and is held by a rod or cylinder of known
length: a dyad, two circles that meet. The branch is that of the reference pose, in which the pins were measured.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from handfast.physics.linkage_plane import Plane, cross, dot
from handfast.quantities.arrays import Array, ArrayLike


class LinkagePoints(NamedTuple):
    """Pins at the reference pose, tool level, as complex arrays x + iz [m]; the last six only where present."""

    arm_pivot: Plane
    lift_base: Plane
    lift_rod: Plane
    tool_pivot: Plane
    tilt_base: Plane
    tilt_rod: Plane
    bellcrank_pivot: Plane | None = None
    link_bellcrank: Plane | None = None
    link_tool: Plane | None = None
    level_chassis: Plane | None = None
    level_rod: Plane | None = None
    lever_pivot: Plane | None = None


class Pose(NamedTuple):
    """Turns from the reference pose (unit complex numbers), the tool pin, and how fast they change with a cylinder."""

    arm: Plane
    lever: Plane
    crank: Plane
    tool: Plane
    pin: Plane
    arm_by_lift: Array
    lever_by_lift: Array
    crank_by_lift: Array
    tool_by_lift: Array
    crank_by_tilt: Array
    tool_by_tilt: Array


class _Dyad(NamedTuple):
    """A crank on a pivot, its end held at a length from another point; `hand` is the side of the reference pose."""

    crank: Plane
    hand: Array

    def turn(self, pivot: Plane, far: Plane, length: Array) -> Plane:
        line = far - pivot
        apart, radius = np.abs(line), np.abs(self.crank)
        cosine = (radius**2 + apart**2 - length**2) / (2.0 * radius * apart)
        turned = cosine + 1j * self.hand * np.sqrt(1.0 - cosine**2)
        return np.asarray(line / apart * turned * (radius / self.crank))

    def rates(self, turn: Plane, pivot: Plane, far: Plane, moves: tuple[Array, ...]) -> tuple[Array, ...]:
        """Turning rate for each (length·d length − stretch·(d pivot − d far)) given."""
        crank = self.crank * turn
        leverage = dot(pivot + crank - far, 1j * crank)
        return tuple(np.asarray(move / leverage) for move in moves)


def reference_lengths(points: LinkagePoints) -> tuple[Array, Array]:
    """The two cylinder lengths at the reference pose.

    Args:
        points: pins at the reference pose [m].

    Returns:
        (lift length, tilt length) [m].

    Source:
        Definition.

    >>> from handfast.physics.linkage_plane import point
    >>> places = [point(x, z) for x, z in [(0, 1), (0, 0), (0.3, 0.4), (2, 1), (1, 1), (2, 1.5)]]
    >>> [round(float(v), 3) for v in reference_lengths(LinkagePoints(*places))]
    [0.5, 1.118]
    """
    return np.abs(points.lift_rod - points.lift_base), np.abs(points.tilt_rod - points.tilt_base)


def pose(points: LinkagePoints, lift_length: ArrayLike, tilt_length: ArrayLike) -> Pose:
    """The pose of a linkage at given cylinder lengths, with its analytic rates.

    Args:
        points: pins at the reference pose [m].
        lift_length: lift cylinder between its pins [m], any shape.
        tilt_length: tilt cylinder between its pins [m], broadcasts.

    Returns:
        `Pose`: unit complex turns, pin [m], rates [rad/m]; nan where the lengths meet in no pose.

    Source:
        Two circles that meet, and the total differential of their distance.

    >>> from handfast.physics.linkage_plane import point
    >>> places = [point(x, z) for x, z in [(0, 1), (0, 0), (0.3, 0.4), (2, 1), (1, 1), (2, 1.5)]]
    >>> at = pose(LinkagePoints(*places), 0.5, 1.25 ** 0.5)
    >>> complex(at.pin.round(9)), complex(at.tool.round(9))
    ((2+1j), (1+0j))
    """
    lift, tilt = np.asarray(lift_length, float), np.asarray(tilt_length, float)
    with np.errstate(invalid="ignore", divide="ignore"):
        arm, arm_rate = _arm(points, lift)
        lever, lever_rate = _lever(points, arm, arm_rate)
        crank, crank_lift, crank_tilt = _crank(points, arm, arm_rate, lever, lever_rate, tilt)
        tool, tool_lift, tool_tilt = _tool(
            points, (arm, arm_rate), (lever, lever_rate), (crank, crank_lift, crank_tilt)
        )
    pin = points.arm_pivot + (points.tool_pivot - points.arm_pivot) * arm
    return Pose(arm, lever, crank, tool, pin, arm_rate, lever_rate, crank_lift, tool_lift, crank_tilt, tool_tilt)


def tilt_for_angle(
    points: LinkagePoints,
    lift_length: ArrayLike,
    angle: ArrayLike = 0.0,
    retracted: ArrayLike = 0.0,
    extended: ArrayLike = np.inf,
) -> Array:
    """The tilt cylinder length that holds the tool at an angle (0 = level) at a lift length.

    Args:
        points: pins at the reference pose [m].
        lift_length: lift cylinder between its pins [m], any shape.
        angle: tool angle, curled back positive [rad], broadcasts.
        retracted: shortest tilt cylinder length [m], broadcasts.
        extended: longest tilt cylinder length [m], broadcasts.

    Returns:
        Tilt cylinder length [m]; nan where the tool cannot stand so on the branch of the reference pose.

    Source:
        The same dyads, walked from the tool plate back to the cylinder.

    >>> from handfast.physics.linkage_plane import point
    >>> places = [point(x, z) for x, z in [(0, 1), (0, 0), (0.3, 0.4), (2, 1), (1, 1), (2, 1.5)]]
    >>> round(float(tilt_for_angle(LinkagePoints(*places), 0.5)), 6)
    1.118034
    """
    tool = np.exp(1j * np.asarray(angle, float))
    low, high = np.asarray(retracted, float) - 1e-9, np.asarray(extended, float) + 1e-9
    with np.errstate(invalid="ignore", divide="ignore"):
        arm, rate = _arm(points, np.asarray(lift_length, float))
        lever, _ = _lever(points, arm, rate)
        base = _tilt_base(points, arm, lever)
        found = [_walk_back(points, arm, tool, base, branch) for branch in (1.0, -1.0)]
        first, second = (np.where((t >= low) & (t <= high), t, np.nan) for t in found)
    return np.where(np.isnan(first), second, first)


def places(points: LinkagePoints, at: Pose) -> dict[str, Plane]:
    """Every pin of the linkage at a pose.

    Args:
        points: pins at the reference pose [m].
        at: the pose, from `pose`.

    Returns:
        Name of the pin → complex x + iz [m].

    Source:
        Each pin turns with its body.

    >>> from handfast.physics.linkage_plane import point
    >>> pins = [point(x, z) for x, z in [(0, 1), (0, 0), (0.3, 0.4), (2, 1), (1, 1), (2, 1.5)]]
    >>> here = places(LinkagePoints(*pins), pose(LinkagePoints(*pins), 0.5, 1.25 ** 0.5))
    >>> complex(here["tilt_rod"].round(9))
    (2+1.5j)
    """
    here = {"arm_pivot": points.arm_pivot, "lift_base": points.lift_base, "tool_pivot": at.pin}
    here["lift_rod"] = _on_arm(points, points.lift_rod, at.arm)
    here["tilt_base"] = _tilt_base(points, at.arm, at.lever)
    if points.lever_pivot is not None and points.level_rod is not None and points.level_chassis is not None:
        here["level_chassis"] = points.level_chassis
        here["lever_pivot"] = _on_arm(points, points.lever_pivot, at.arm)
        here["level_rod"] = here["lever_pivot"] + (points.level_rod - points.lever_pivot) * at.lever
    if points.bellcrank_pivot is None or points.link_bellcrank is None or points.link_tool is None:
        here["tilt_rod"] = at.pin + (points.tilt_rod - points.tool_pivot) * at.tool
        return here
    pivot = here["bellcrank_pivot"] = _on_arm(points, points.bellcrank_pivot, at.arm)
    here["tilt_rod"] = pivot + (points.tilt_rod - points.bellcrank_pivot) * at.crank
    here["link_bellcrank"] = pivot + (points.link_bellcrank - points.bellcrank_pivot) * at.crank
    here["link_tool"] = at.pin + (points.link_tool - points.tool_pivot) * at.tool
    return here


def _dyad(pivot: Plane, end: Plane, far: Plane) -> _Dyad:
    return _Dyad(end - pivot, np.sign(cross(far - pivot, end - pivot)))


def _on_arm(points: LinkagePoints, place: Plane, arm: Plane) -> Plane:
    return np.asarray(points.arm_pivot + (place - points.arm_pivot) * arm)


def _tilt_base(points: LinkagePoints, arm: Plane, lever: Plane) -> Plane:
    if points.lever_pivot is None:
        return _on_arm(points, points.tilt_base, arm)
    return _on_arm(points, points.lever_pivot, arm) + (points.tilt_base - points.lever_pivot) * lever


def _tilt_base_rate(points: LinkagePoints, arm: Plane, arm_rate: Array, lever: Plane, lever_rate: Array) -> Plane:
    if points.lever_pivot is None:
        return 1j * (points.tilt_base - points.arm_pivot) * arm * arm_rate
    swung = 1j * (points.lever_pivot - points.arm_pivot) * arm * arm_rate
    return np.asarray(swung + 1j * (points.tilt_base - points.lever_pivot) * lever * lever_rate)


def _arm(points: LinkagePoints, lift: Array) -> tuple[Plane, Array]:
    dyad = _dyad(points.arm_pivot, points.lift_rod, points.lift_base)
    turn = dyad.turn(points.arm_pivot, points.lift_base, lift)
    (rate,) = dyad.rates(turn, points.arm_pivot, points.lift_base, (lift,))
    return turn, rate


def _lever(points: LinkagePoints, arm: Plane, arm_rate: Array) -> tuple[Plane, Array]:
    """The levelling lever; without one it is part of the arm."""
    if points.lever_pivot is None or points.level_rod is None or points.level_chassis is None:
        return arm, arm_rate
    dyad = _dyad(points.lever_pivot, points.level_rod, points.level_chassis)
    pivot, far = _on_arm(points, points.lever_pivot, arm), points.level_chassis
    turn = dyad.turn(pivot, far, np.abs(points.level_rod - points.level_chassis))
    stretch = pivot + dyad.crank * turn - far
    moved = -dot(stretch, 1j * (points.lever_pivot - points.arm_pivot) * arm) * arm_rate
    (rate,) = dyad.rates(turn, pivot, far, (moved,))
    return turn, rate


def _crank(
    points: LinkagePoints, arm: Plane, arm_rate: Array, lever: Plane, lever_rate: Array, tilt: Array
) -> tuple[Plane, Array, Array]:
    """What the tilt cylinder turns: the bellcrank where there is one, else the tool plate."""
    own = points.tool_pivot if points.bellcrank_pivot is None else points.bellcrank_pivot
    dyad = _dyad(own, points.tilt_rod, points.tilt_base)
    pivot, far = _on_arm(points, own, arm), _tilt_base(points, arm, lever)
    turn = dyad.turn(pivot, far, tilt)
    stretch = pivot + dyad.crank * turn - far
    apart = 1j * (own - points.arm_pivot) * arm * arm_rate - _tilt_base_rate(points, arm, arm_rate, lever, lever_rate)
    by_lift, by_tilt = dyad.rates(turn, pivot, far, (-dot(stretch, apart), tilt))
    return turn, by_lift, by_tilt


def _tool(
    points: LinkagePoints,
    arm: tuple[Plane, Array],
    lever: tuple[Plane, Array],
    crank: tuple[Plane, Array, Array],
) -> tuple[Plane, Array, Array]:
    """The tool plate: turned by the link of the bellcrank, or by the tilt cylinder itself."""
    if points.bellcrank_pivot is None or points.link_bellcrank is None or points.link_tool is None:
        return crank
    dyad = _dyad(points.tool_pivot, points.link_tool, points.link_bellcrank)
    swing = (points.link_bellcrank - points.bellcrank_pivot) * crank[0]
    pivot, own = _on_arm(points, points.tool_pivot, arm[0]), _on_arm(points, points.bellcrank_pivot, arm[0])
    far = own + swing
    turn = dyad.turn(pivot, far, np.abs(points.link_tool - points.link_bellcrank))
    stretch = pivot + dyad.crank * turn - far
    carried = 1j * (points.tool_pivot - points.bellcrank_pivot) * arm[0] * arm[1]
    swung = dot(stretch, 1j * swing)
    by_lift, by_tilt = dyad.rates(turn, pivot, far, (swung * crank[1] - dot(stretch, carried), swung * crank[2]))
    return turn, by_lift, by_tilt


def _walk_back(points: LinkagePoints, arm: Plane, tool: Plane, base: Plane, branch: float) -> Array:
    """Tilt length from the tool's turn; nan where a dyad would be on the other side than at the reference pose."""
    pin = _on_arm(points, points.tool_pivot, arm)
    if points.bellcrank_pivot is None or points.link_bellcrank is None or points.link_tool is None:
        dyad = _dyad(points.tool_pivot, points.tilt_rod, points.tilt_base)
        swing = dyad.crank * tool
        held = cross(base - pin, swing) * dyad.hand >= 0
        return np.where(held, np.abs(pin + swing - base), np.nan)
    own = _on_arm(points, points.bellcrank_pivot, arm)
    end = pin + (points.link_tool - points.tool_pivot) * tool
    back = _dyad(points.bellcrank_pivot, points.link_bellcrank, points.link_tool)
    length = np.abs(points.link_tool - points.link_bellcrank)
    crank = _Dyad(back.crank, back.hand * branch).turn(own, end, length)
    link = _dyad(points.tool_pivot, points.link_tool, points.link_bellcrank)
    drive = _dyad(points.bellcrank_pivot, points.tilt_rod, points.tilt_base)
    held = cross(own + back.crank * crank - pin, end - pin) * link.hand >= 0
    held &= cross(base - own, drive.crank * crank) * drive.hand >= 0
    return np.where(held, np.abs(own + drive.crank * crank - base), np.nan)
