"""What depends on the outfits alone and not on the machine they hang on: one row an outfit."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from handfast.outfits.outfit import Outfit
from handfast.physics.balance import Item
from handfast.quantities.arrays import Array


@dataclass(frozen=True)
class Ways:
    """Outfits, and their mounts as columns."""

    outfits: Sequence[Outfit]

    def column(self, values: Sequence[float]) -> Array:
        """One figure an outfit as a column."""
        return np.array(values, dtype=np.float64).reshape(len(self.outfits), 1)

    def once(self, key: tuple[object, ...], made: Callable[[], Array]) -> Array:
        """What is asked for again and again on other machines, reckoned once."""
        if key not in self._kept:
            self._kept[key] = made()
        return self._kept[key]

    @cached_property
    def _kept(self) -> dict[tuple[object, ...], Array]:
        return {}

    @cached_property
    def hangings(self) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
        """Outfits that hang differently, the first of each; and which of these each outfit hangs as."""
        keys: dict[tuple[int, str, str], int] = {}
        first: list[int] = []
        rows: list[int] = []
        for k, one in enumerate(self.outfits):
            key = (id(one.attachment), one.mount.interface, one.mount.id)
            if key not in keys:
                keys[key] = len(first)
                first.append(k)
            rows.append(keys[key])
        return np.array(first, dtype=np.intp), np.array(rows, dtype=np.intp)

    @cached_property
    def forward(self) -> Array:
        """Forward shift of the mount [m]."""
        return self.column([o.mount.sum_of("forward") for o in self.outfits])

    @cached_property
    def vertical(self) -> Array:
        """Vertical shift of the mount [m]."""
        return self.column([o.mount.sum_of("vertical") for o in self.outfits])

    @cached_property
    def alike_in_height(self) -> bool:
        """Whether every mount holds the plane as high."""
        return bool((self.vertical == self.vertical[:1]).all())

    @cached_property
    def kit(self) -> Item:
        """The route's own parts, from the pin."""
        x, z = (self.column([o.mount.centre(axis) for o in self.outfits]) for axis in "xz")
        return Item(self.column([o.mount.sum_of("mass") for o in self.outfits]), x, z)

    @cached_property
    def rating(self) -> Array:
        """What the mount's own parts are rated for [kg], infinite where nobody says."""
        return self.column([o.mount.rated for o in self.outfits])

    @cached_property
    def lidded(self) -> Array:
        """1 where the attachment has a lid, else NaN."""
        return self.column([1.0 if o.attachment.lids else np.nan for o in self.outfits])

    @cached_property
    def interfaces(self) -> tuple[tuple[str, ...], NDArray[np.intp]]:
        """What the mounts ask of the machine, each once, and which one each outfit asks."""
        asked = [o.mount.interface for o in self.outfits]
        names = tuple(dict.fromkeys(asked))
        return names, np.array([names.index(one) for one in asked], dtype=np.intp)
