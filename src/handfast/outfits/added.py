"""Ballast that has been chosen, as masses on the machine."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from handfast.quantities.arrays import Array


@dataclass(frozen=True)
class Added:
    """Ballast added to the outfits: a row for each different piece, and the row that each outfit has."""

    masses: Array  # [kg]
    xs: Array  # [m], behind is negative
    zs: Array  # [m]
    hung: Array  # the part of each that hangs on the lower links [kg]
    places: Array  # how far behind the rear axle it hangs [m]
    rows: NDArray[np.intp]

    def at(self, rows: NDArray[np.intp]) -> Added:
        """That of some outfits."""
        return Added(self.masses, self.xs, self.zs, self.hung, self.places, self.rows[rows])

    def _each(self, values: Array) -> Array:
        return values[self.rows] if np.ndim(values) == 2 and len(values) > 1 else values

    @cached_property
    def mass(self) -> Array:
        """Mass of each outfit's piece [kg]."""
        return self._each(self.masses)

    @cached_property
    def x(self) -> Array:
        """Its place ahead of the rear axle [m], negative."""
        return self._each(self.xs)

    @cached_property
    def z(self) -> Array:
        """Its height [m]."""
        return self._each(self.zs)

    @cached_property
    def hitch(self) -> Array:
        """The part of it that hangs on the lower links [kg]."""
        return self._each(self.hung)

    @cached_property
    def hitch_x(self) -> Array:
        """How far behind the rear axle it hangs there [m]."""
        return self._each(self.places)
