"""What working out the shown outfits shares: their own small bench, the chart's heights, the low roll."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from handfast.advice.odds import Judged
from handfast.advice.result import Band, SlopeCurve
from handfast.advice.slopes import slope_curves
from handfast.machines.inquiry import Inquiry
from handfast.machines.shelf import Shelf
from handfast.outfits.bench import TRAVEL_HEIGHT, Bench
from handfast.physics.balance import Axles
from handfast.quantities.arrays import Array, middle, quantiles, row_quantiles

POINTS = 25  # heights of the load chart


@dataclass(frozen=True)
class Context:
    """What every outfit's record needs."""

    judged: Judged
    inquiry: Inquiry
    shelf: Shelf
    system: str
    order: Sequence[int]  # rows of the outfits shown

    @cached_property
    def shown(self) -> Bench:
        """The outfits shown, with their ballast."""
        return self.judged.bench.some(self.order)

    @cached_property
    def bare(self) -> Bench:
        """The outfits shown with nothing added."""
        return self.judged.bare.bench.some(self.order)

    @cached_property
    def heights(self) -> Array:
        """Heights of the load chart [m]."""
        frame = self.shown.frame
        low, high = middle(frame.pivot.height_down), middle(frame.height_max)
        return np.linspace(max(low, 0.05), high, POINTS)

    @cached_property
    def chart(self) -> Array:
        """P10, P50, P90 of the payload at each height for every way of hanging shown, (3, heights, rows)."""
        return np.stack([self._at(height) for height in self.heights], axis=1)

    def _at(self, height: float) -> Array:
        payload = np.atleast_2d(self.shown.hung_once.payload_at(np.array([height])))
        every = np.broadcast_to(payload, (len(self.shown.hung_once.outfits), payload.shape[1]))
        return row_quantiles(every, (0.1, 0.5, 0.9))

    @cached_property
    def low_roll(self) -> Array:
        """First roll travelling loaded, every way of hanging shown."""
        return np.atleast_2d(self.shown.hung_once.first_roll(np.array([TRAVEL_HEIGHT])))

    @cached_property
    def braked(self) -> Axles:
        """Axle loads braking, travelling loaded, every way of hanging shown."""
        return self.shown.hung_once.braked()

    @cached_property
    def slopes(self) -> tuple[tuple[SlopeCurve, ...], ...]:
        """First roll over all headings, every way of hanging shown."""
        return slope_curves(self.shown)


def band(values: Array) -> Band:
    """P10, P50 and P90 of samples.

    Args:
        values: samples, any shape.

    Returns:
        `Band`.

    Example:
        >>> band(np.array([2.0])).p90
        2.0
    """
    return Band(*quantiles(values, (0.1, 0.5, 0.9)))
