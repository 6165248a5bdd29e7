"""The installed total: lines added up in samples, P10, P50, P90 and a ceiling that can be said."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache, cached_property, lru_cache

import numpy as np

from handfast.costing.price_lines import GOODS, Line
from handfast.quantities import sobol
from handfast.quantities.arrays import Array
from handfast.quantities.estimate import Estimate

STEP = 50.0  # ceilings are said in round fifties
GROUPS = ("attachment", "mount", "power", "parts", "join", "ballast", "freight", "labour")
SEED = 20  # the bill's own samples, the same for every outfit


@dataclass(frozen=True)
class Total:
    """Lines with tax, and what they come to."""

    lines: tuple[Line, ...]
    samples: Array
    hidden: float

    def quantile(self, share: float) -> float:
        """The total that a share of samples stays below."""
        return float(self._sorted[min(int(share * len(self._sorted)), len(self._sorted) - 1)])

    @cached_property
    def _sorted(self) -> Array:
        return np.sort(self.samples)

    @property
    def ceiling(self) -> float:
        """ "Not more than": P90 rounded up to a round fifty."""
        return float(np.ceil(self.quantile(0.9) / STEP - 1e-9) * STEP)


def total(lines: Sequence[Line], tax: float) -> Total:
    """Lines of a bill added up with tax on goods.

    Args:
        lines: the lines before tax.
        tax: share on goods.

    Returns:
        `Total`; one sample when every line is a single value.

    Source: lines of one group move together (common samples), groups are independent.

    Example:
        >>> bill = [Line("grapple", "attachment", "goods", False, Estimate.known(1000.0))]
        >>> total(bill, 0.06).quantile(0.5)
        1060.0
    """
    goods = sum((_drawn(line) for line in lines if line.kind == GOODS), np.zeros(1))
    other = sum((_drawn(line) for line in lines if line.kind != GOODS), np.zeros(1))
    every = list(lines)
    if tax > 0:
        every.append(_tax_line(lines, tax))
    hidden = sum(line.price.value for line in every if line.hidden)
    return Total(tuple(every), np.asarray(goods * (1.0 + tax) + other), hidden)


def _tax_line(lines: Sequence[Line], tax: float) -> Line:
    goods = [line.price for line in lines if line.kind == GOODS]
    low, likely, high = (tax * sum(getattr(one, name) for one in goods) for name in ("low", "likely", "high"))
    return Line(f"Tax {100 * tax:g} % on goods", "tax", "tax", True, Estimate.triangular(low, likely, high))


def _drawn(line: Line) -> Array:
    if line.price.is_known:
        return np.array([line.price.value])
    price = line.price
    return _drawn_band(price.kind, price.low, price.likely, price.high, line.group)


@lru_cache(maxsize=4096)
def _drawn_band(kind: str, low: float, likely: float, high: float, group: str) -> Array:
    return Estimate(kind, low, likely, high).draw(_uniforms()[:, GROUPS.index(group)])


@cache
def _uniforms() -> Array:
    return sobol.points(len(GROUPS), SEED)
