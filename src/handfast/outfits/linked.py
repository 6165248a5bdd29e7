"""What a measured linkage lifts and curls with each way of hanging, tool level, over the height of the pins."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from handfast.machines.tractor import Machine
from handfast.physics.balance import Item
from handfast.physics.linkage import level_path
from handfast.physics.linkage_force import Weights
from handfast.quantities.arrays import Array, middle
from handfast.reckoning.lift import linkage_gaps, linkage_of

STEPS = 33  # lift lengths, both ends included


@dataclass(frozen=True)
class LinkLimits:
    """Loads at the seat that the cylinders hold, tool level: shape (heights, ways of hanging); NaN out of reach."""

    height: Array  # of the pins [m], rising
    lift: Array  # kg
    curl: Array  # kg

    def lift_at(self, height: Array) -> Array:
        """Lift-limited load at a pin height [kg], shape (ways of hanging, 1)."""
        return self._at(self.lift, height)

    def curl_at(self, height: Array) -> Array:
        """Curl-limited load at a pin height [kg], shape (ways of hanging, 1)."""
        return self._at(self.curl, height)

    def least_curl(self, height: Array) -> Array:
        """Least curl-limited load from arms down to a pin height [kg], shape (ways of hanging, 1)."""
        below = self.height <= middle(height) + 1e-9
        some = np.where(below[:, None], self.curl, np.inf)
        return np.asarray(np.nanmin(some, axis=0)).reshape(-1, 1)

    def some(self, rows: NDArray[np.intp]) -> LinkLimits:
        """Some of the ways of hanging."""
        return LinkLimits(self.height, self.lift[:, rows], self.curl[:, rows])

    def _at(self, table: Array, height: Array) -> Array:
        """Linear between the two nearest heights; no load at all where either has none to give."""
        at = float(np.clip(middle(height), self.height[0], self.height[-1]))
        low = min(int(np.searchsorted(self.height, at, side="right")) - 1, len(self.height) - 2)
        part = (at - self.height[low]) / (self.height[low + 1] - self.height[low])
        below, above = table[low], table[low + 1]
        with np.errstate(invalid="ignore"):
            between = np.where(part == 0.0, below, np.where(part == 1.0, above, below + part * (above - below)))
        return np.asarray(np.where(np.isnan(between), np.fmin(below, above), between)).reshape(-1, 1)


def link_limits(machine: Machine, hung: Sequence[Item], seat: tuple[Array, Array], rows: int) -> LinkLimits | None:
    """The linkage's own limits; None where the loader has no measured linkage.

    Args:
        machine: with `loader.linkage`.
        hung: quick attach, route parts and attachment, each from the pin; arrays of shape (rows or 1, samples).
        seat: where the load sits, from the pin [m].
        rows: ways of hanging.

    Returns:
        `LinkLimits` at the medians of the masses.

    Source: virtual work at each pose, `physics.linkage`.

    Example:
        >>> link_limits(Machine(), (), (np.zeros((1, 1)), np.zeros((1, 1))), 1) is None
        True
    """
    if machine.loader.linkage is None or any(linkage_gaps(machine)):
        return None
    linked = linkage_of(machine)
    mass, x, z = _lump(hung, rows)
    load = np.array([complex(middle(_row(seat[0], k)), middle(_row(seat[1], k))) for k in range(rows)])
    weights = Weights(linked.weights.arm_mass, linked.weights.arm_cg, mass, x + 1j * z)
    lengths = np.linspace(float(np.asarray(linked.lift.retracted)), float(np.asarray(linked.lift.extended)), STEPS)
    path = level_path(linked.points, weights, linked.lift, linked.tilt, linked.pressure, load, lengths[:, None])
    height = path.pin_z[:, 0]
    good = np.isfinite(height)
    order = np.argsort(height[good], kind="stable")
    fit = path.holds_itself > 0
    lifts, curls = (
        np.where(fit, np.where(np.isnan(one), np.inf, one), 0.0) for one in (path.lift_limited, path.curl_limited)
    )
    return LinkLimits(height[good][order], lifts[good][order], curls[good][order])


def _lump(hung: Sequence[Item], rows: int) -> tuple[Array, Array, Array]:
    each = [[[middle(_row(part, k)) for part in item] for item in hung] for k in range(rows)]
    table = np.array(each, dtype=np.float64)  # rows, items, (mass, x, z)
    mass = table[:, :, 0].sum(axis=1)
    share = table[:, :, 0] / np.where(mass > 0, mass, 1.0)[:, None]
    return mass, (share * table[:, :, 1]).sum(axis=1), (share * table[:, :, 2]).sum(axis=1)


def _row(values: object, row: int) -> Array:
    table = np.atleast_2d(np.asarray(values, dtype=np.float64))
    return np.asarray(table[row] if len(table) > 1 else table[0])
