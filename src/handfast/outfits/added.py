"""Ballast that has been chosen, as masses on the machine."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from handfast.quantities.arrays import Array


@dataclass(frozen=True)
class Added:
    """Ballast added to the outfits: mass [kg], x behind is negative [m], z [m]; arrays that broadcast."""

    mass: Array
    x: Array
    z: Array
    hitch: Array  # the part of it that hangs on the lower links [kg]
    hitch_x: Array

    def at(self, rows: NDArray[np.intp]) -> Added:
        """Some rows of it."""
        every = (self.mass, self.x, self.z, self.hitch, self.hitch_x)
        return Added(*(values[rows] if np.ndim(values) == 2 and len(values) > 1 else values for values in every))
