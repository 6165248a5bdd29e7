"""Grip on a round piece: force of the lid, what holds and what slips, uneven bundles, curl-driven lids."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from handfast.physics.closure import slip_share, slip_toward, sum_of_normals
from handfast.physics.jaw import (
    Jaw,
    Swing,
    fits_open,
    lid_angle,
    lid_length,
    lid_leverage,
    swing,
    tip_opening,
    touch,
    turned,
)
from handfast.physics.jaw_touch import Mask, seated
from handfast.quantities.arrays import Array, ArrayLike

GRAVITY = 9.80665


class Grip(NamedTuple):
    """How a jaw holds round pieces; each the shape of the diameters."""

    holds: Mask
    lid_angle: Array  # from the drawn pose, opening positive [rad]
    contact_force: Array  # lid without friction [N]
    slip_load: Array  # worst direction in the plane [N]
    slip_along: Array  # along the piece [N]
    reason: NDArray[np.str_]  # holds, too_large, too_small, no_seat, slides, too_heavy


def cylinder_force(
    pressure: ArrayLike, bore: ArrayLike, rod: ArrayLike, count: ArrayLike = 1, extending: bool = True
) -> Array:
    """Force of the lid cylinders together.

    Args:
        pressure: at the cylinder [Pa], any shape.
        bore: [m], any shape.
        rod: [m], any shape.
        count: cylinders, any shape.
        extending: pushing with the full bore; False: pulling with the ring round the rod.

    Returns:
        force [N], broadcast.

    Source: pressure times area.

    >>> round(float(cylinder_force(2000 * 6894.757, 2 * 0.0254, 0.0254)) / 4.4482216)
    6283
    """
    area = np.asarray(bore, dtype=np.float64) ** 2
    if not extending:
        area = area - np.asarray(rod, dtype=np.float64) ** 2
    return np.asarray(0.25 * np.pi * area * np.asarray(pressure, dtype=np.float64) * np.asarray(count))


def closing_moment(jaw: Jaw, angle: ArrayLike, push: ArrayLike, pull: ArrayLike, turn: Swing) -> Array:
    """Moment with which the cylinders shut the lid.

    Args:
        jaw: the jaw.
        angle: turn of the lid, counter-clockwise [rad], any shape.
        push: force of the cylinders when they lengthen [N], any shape.
        pull: force when they shorten [N], any shape.
        turn: the lid's swing.

    Returns:
        moment about the lid pivot [N·m], broadcast.

    Source: virtual work.

    >>> from handfast.physics.jaw import make_jaw
    >>> jaw = make_jaw([[0, 0], [0.6, 0]], [[0.0, 0.5], [0.6, 0.1]], [0, 0.5], [0.1, 0.9], [0.2, 0.5], 0.25, 0.42)
    >>> round(float(closing_moment(jaw, 0.0, 1000.0, 700.0, swing(jaw))), 3)
    194.029
    """
    arm = -turn.way * lid_leverage(angle, jaw.pivot, jaw.base, jaw.rod)
    force = np.where(arm >= 0.0, np.asarray(push, dtype=np.float64), np.asarray(pull, dtype=np.float64))
    return np.asarray(force * np.abs(arm))


def closes_by_extending(jaw: Jaw, turn: Swing | None = None) -> bool:
    """Whether the lid shuts as its cylinder lengthens.

    Args:
        jaw: the jaw, with both cylinder lengths.
        turn: the lid's swing, if known already.

    Returns:
        True or False.

    Source: geometry.

    >>> from handfast.physics.jaw import make_jaw
    >>> jaw = make_jaw([[0, 0], [0.6, 0]], [[0.0, 0.5], [0.6, 0.1]], [0, 0.5], [0.1, 0.9], [0.2, 0.5], 0.25, 0.42)
    >>> closes_by_extending(jaw)
    True
    """
    turn = turn or swing(jaw)
    middle = 0.5 * (turn.shut + turn.open)
    return bool(-turn.way * lid_leverage(middle, jaw.pivot, jaw.base, jaw.rod) > 0.0)


def grip(
    jaw: Jaw,
    diameter: ArrayLike,
    friction: ArrayLike,
    push: ArrayLike,
    pull: ArrayLike,
    weight: ArrayLike = 0.0,
    angles: ArrayLike = (0.0,),
) -> Grip:
    """How the jaw holds a round piece against the back plate and on the tines, cylinders at pressure.

    Args:
        jaw: the jaw, with both cylinder lengths.
        diameter: of the piece [m], any shape.
        friction: coefficient at every contact [1], broadcasts with diameter.
        push: force of the cylinders when they lengthen [N], broadcasts.
        pull: force when they shorten [N], broadcasts.
        weight: of the piece [N], broadcasts; 0 asks for closure alone.
        angles: tool angles at which the weight must hold, curled back positive [rad], shape (k,).

    Returns:
        Grip, each field of the broadcast shape.

    Source: moments about the lid pivot; Coulomb friction; planar force closure.

    >>> from handfast.physics.jaw import make_jaw
    >>> jaw = make_jaw([[0, 0], [0.6, 0]], [[0.0, 0.5], [0.6, 0.3]], [0, 0.5], [0.1, 0.9], [0.2, 0.5], 0.25, 0.42)
    >>> bool(grip(jaw, 0.45, 0.4, 20e3, 15e3).holds)
    True
    """
    shape = np.broadcast_shapes(*(np.shape(v) for v in (diameter, friction, push, pull, weight)))
    d, mu = np.broadcast_to(np.asarray(diameter, float), shape), np.broadcast_to(np.asarray(friction, float), shape)
    turn = swing(jaw)
    x, z, first, second = seated(jaw.floor, 0.5 * d)
    angle, lid, arm = touch(jaw, x, z, 0.5 * d, turn)
    fits = fits_open(jaw, d, turn, (x, z))
    met = fits & np.isfinite(angle)
    force = np.where(met, closing_moment(jaw, angle, push, pull, turn) / arm, 0.0)
    slip = np.where(met, slip_share(lid, first, second, mu), 0.0)
    closed = met & (slip > 1e-9) & (mu > 0.0)
    holds = closed & (force > 0.0)
    if np.any(weight):
        down = -np.stack([np.sin(np.asarray(angles, float)), np.cos(np.asarray(angles, float))], axis=-1)
        least = np.min([slip_toward(lid, first, second, mu, way) for way in np.atleast_2d(down)], axis=0)
        share = np.where(force > 0.0, force, 0.0) * np.nan_to_num(least, posinf=0.0)
        holds &= np.where(np.isinf(least), np.inf, share) >= np.asarray(weight, float)
    along = np.where(met, mu * force * sum_of_normals(lid, first, second), 0.0)
    reason = _reasons(~np.isfinite(x), ~fits, ~met, ~closed, ~holds)
    load = np.where(np.isinf(slip), np.inf, force * np.where(np.isinf(slip), 0.0, slip))
    return Grip(holds, np.where(met, turn.way * angle, np.nan), force, load, along, reason)


def _reasons(*troubles: Mask) -> NDArray[np.str_]:
    words = np.array(["no_seat", "too_large", "too_small", "slides", "too_heavy", "holds"])
    stacked = np.stack([*troubles, np.ones_like(troubles[0])])
    return np.asarray(words[np.argmax(stacked, axis=0)])


def piece_range(jaw: Jaw, friction: float, push: float, pull: float) -> tuple[float, float]:
    """Smallest and largest round piece that holds and that passes between the tips.

    Args:
        jaw: the jaw, with both cylinder lengths.
        friction: coefficient [1].
        push: force of the cylinders when they lengthen [N].
        pull: force when they shorten [N].

    Returns:
        (smallest, largest) diameter [m]; nan where none holds.

    Source: `grip` over a fine row of diameters, its ends refined.

    >>> from handfast.physics.jaw import make_jaw
    >>> jaw = make_jaw([[0, 0], [0.6, 0]], [[0.0, 0.5], [0.6, 0.3]], [0, 0.5], [0.1, 0.9], [0.2, 0.5], 0.25, 0.42)
    >>> small, large = piece_range(jaw, 0.4, 20e3, 15e3)
    >>> 0.3 < small < large < 1.0
    True
    """
    top = float(tip_opening(jaw, swing(jaw).open))
    steps = np.linspace(0.0, min(top, 2.0 * float(jaw.floor[:, 0].max())), 401)[1:]
    held = np.flatnonzero(grip(jaw, steps, friction, push, pull).holds)
    if held.size == 0:
        return np.nan, np.nan
    step = float(steps[0])
    ends = []
    for at, way in ((held[0], -1.0), (held[-1], 1.0)):
        near, gap = float(steps[at]), step
        for _ in range(5):
            tries = near + way * gap * np.linspace(0.0, 1.0, 33)
            tries = tries[(tries > 0.0) & (tries <= steps[-1])]
            good = grip(jaw, tries, friction, push, pull).holds
            last = len(good) if good.all() else int(np.argmin(good))
            near, gap = float(tries[max(last - 1, 0)]), gap / 32.0
        ends.append(near)
    return ends[0], ends[1]


def bundle_gaps(diameter: ArrayLike, lid_of: ArrayLike) -> Array:
    """How far each piece of an uneven bundle is from the lid over it: a lid stops at the thickest piece under it.

    Args:
        diameter: of the pieces side by side across the tool [m], shape (..., n).
        lid_of: number of the lid over each piece, shape (n,): all equal for a single lid.

    Returns:
        gap [m], shape (..., n); 0 where the piece is gripped, more where it is loose.

    Source: geometry; double lids close one by one.

    >>> bundle_gaps([0.30, 0.30, 0.22, 0.22], [0, 0, 1, 1]).tolist()
    [0.0, 0.0, 0.0, 0.0]
    """
    d, lids = np.asarray(diameter, dtype=np.float64), np.asarray(lid_of)
    gap = np.zeros_like(d)
    for lid in np.unique(lids):
        under = lids == lid
        gap[..., under] = d[..., under].max(axis=-1, keepdims=True) - d[..., under]
    return gap


def curl_driven(jaw: Jaw, tool_pivot: ArrayLike, tool_angle: ArrayLike) -> tuple[Array, Array]:
    """Lid of a clamp that a fixed link from the loader arm drives: its angle and its turn per turn of the tool.

    Args:
        jaw: the jaw; base is the link's pin on the arm with the tool level, the link's length is the drawn one.
        tool_pivot: pin about which the tool turns, attachment's frame [m], shape (2,).
        tool_angle: curled back positive [rad], any shape.

    Returns:
        (lid angle from the drawn pose, counter-clockwise [rad]; its derivative by the tool angle [1]). The lid's
        moment is the curl moment divided by the derivative's size.

    Source: four-bar linkage; virtual work.

    >>> from handfast.physics.jaw import make_jaw
    >>> jaw = make_jaw([[0, 0], [0.6, 0]], [[0.0, 0.5], [0.6, 0.3]], [0, 0.5], [0.1, 0.9], [0.2, 0.5])
    >>> round(float(curl_driven(jaw, [-0.1, 0.1], 0.0)[0]), 9)
    0.0
    """
    turn = np.asarray(tool_angle, dtype=np.float64)
    hung = turned(jaw.base, np.asarray(tool_pivot, float), -turn)
    length = lid_length(0.0, jaw.pivot, jaw.base, jaw.rod)
    angle = lid_angle(length, jaw.pivot, hung, jaw.rod, jaw.base)
    pin = turned(jaw.rod, jaw.pivot, angle)
    link, arm, sweep = pin - hung, pin - jaw.pivot, hung - np.asarray(tool_pivot, float)
    by_lid = link[..., 1] * arm[..., 0] - link[..., 0] * arm[..., 1]
    by_tool = link[..., 1] * sweep[..., 0] - link[..., 0] * sweep[..., 1]
    return angle, np.asarray(-by_tool / by_lid)
