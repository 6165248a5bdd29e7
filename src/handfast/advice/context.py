"""What working out the shown outfits shares: their own small bench, the chart's heights, the slope refused."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any, TypeVar

import numpy as np

from handfast.advice.odds import Judged
from handfast.advice.result import Band, SlopeCurve
from handfast.advice.slopes import slope_curves
from handfast.machines.inquiry import Inquiry
from handfast.machines.shelf import Shelf
from handfast.outfits.assess import Finding
from handfast.outfits.bench import Bench
from handfast.outfits.check_balance import slope_refused
from handfast.physics.balance import Axles
from handfast.quantities.arrays import Array, middle, quantiles, row_quantiles

T = TypeVar("T")
Bands = tuple[Band, Band, Band]
BAND = (0.1, 0.5, 0.9)
POINTS = 25  # heights of the load chart
BLOCKS = 5  # in which they are reckoned, so that a block stays near the processor


@dataclass(frozen=True)
class Context:
    """What every outfit's record needs."""

    judged: Judged
    inquiry: Inquiry
    shelf: Shelf
    system: str
    order: Sequence[int]  # rows of the outfits shown
    kept: dict[tuple[Any, ...], Any] = field(default_factory=dict)

    def once(self, key: tuple[Any, ...], make: Callable[[], T]) -> T:
        """What several outfits share is worked out once; a key that holds an id needs what it names in the value."""
        if key not in self.kept:
            self.kept[key] = make()
        found: T = self.kept[key]
        return found

    def bands(self, finding: Finding) -> dict[int, Bands]:
        """Demand, capacity and margin of a finding for each row of its arrays that an outfit shown reads."""
        return self.once(("bands", id(finding)), lambda: (finding, self._bands(finding)))[1]

    def _bands(self, finding: Finding) -> dict[int, Bands]:
        places = sorted({finding.place(row) for row in self.order})
        demand, capacity = (_rows(one, places) for one in (finding.demand, finding.capacity))
        asked, there = row_quantiles(demand, BAND), row_quantiles(capacity, BAND)
        each = [asked, there, _spare(demand, capacity, asked, there)]
        return {place: _three(each, k) for k, place in enumerate(places)}

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
        return np.concatenate([self._chart_at(some) for some in np.array_split(self.heights, BLOCKS)], axis=1)

    def _chart_at(self, heights: Array) -> Array:
        once = self.shown.hung_once
        payload = once.payload_over(heights)
        shape = (len(heights), len(once.outfits), payload.shape[-1])
        every = np.broadcast_to(payload, shape).reshape(-1, shape[-1])
        return row_quantiles(every, BAND).reshape(len(BAND), *shape[:2])

    @cached_property
    def refused(self) -> Array:
        """The slope that is refused, every way of hanging shown, whether or not a slope was stated."""
        return slope_refused(self.shown.hung_once)

    @cached_property
    def braked(self) -> Axles:
        """Axle loads braking, travelling loaded, every way of hanging shown."""
        return self.shown.hung_once.braked()

    @cached_property
    def slopes(self) -> tuple[tuple[SlopeCurve, ...], ...]:
        """First roll over all headings, every way of hanging shown."""
        return slope_curves(self.shown)


def _rows(values: Array, places: Sequence[int]) -> Array:
    return values[places] if len(values) > 1 else values


def _spare(demand: Array, capacity: Array, asked: Array, there: Array) -> Array:
    """Bands of capacity less demand; a single value on one side only shifts the other side's band."""
    with np.errstate(invalid="ignore"):
        if capacity.shape[1] == 1:
            return np.asarray(there - asked[::-1])
        if demand.shape[1] == 1:
            return np.asarray(there - asked)
        return row_quantiles(capacity - demand, BAND)


def _three(each: Sequence[Array], k: int) -> Bands:
    asked, there, spare = (Band(*one[:, k if one.shape[1] > 1 else 0].tolist()) for one in each)
    return asked, there, spare


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
    return Band(*quantiles(values, BAND))
