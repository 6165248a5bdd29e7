"""The installed total: lines added up in samples, P10, P50, P90 and a ceiling that can be said."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache, cached_property, lru_cache

import numpy as np

from handfast.costing.price_lines import GOODS, Key, Line, Section, discount_share, sections, tax_share
from handfast.machines.attachment import Attachment
from handfast.machines.inquiry import Inquiry
from handfast.machines.shelf import Shelf
from handfast.outfits.ballast import BallastSet
from handfast.outfits.bench import Join
from handfast.outfits.outfit import Outfit
from handfast.quantities import sobol
from handfast.quantities.arrays import Array, summed
from handfast.quantities.estimate import Estimate

STEP = 50.0  # ceilings are said in round fifties
GROUPS = ("attachment", "mount", "power", "parts", "join", "ballast", "freight", "labour")
SEED = 20  # the bill's own samples, the same for every outfit


@dataclass(frozen=True)
class Part:
    """Some lines of a bill, what they come to in samples with discount and tax, their goods least, likely, most."""

    lines: tuple[Line, ...]
    samples: Array
    goods: tuple[float, float, float]


@dataclass(frozen=True)
class Total:
    """Lines with discount and tax, and what they come to."""

    parts: Sequence[Part]
    samples: Array
    share: float  # tax on goods, once the discount is off
    discount: float = 0.0  # share off goods

    @cached_property
    def lines(self) -> tuple[Line, ...]:
        """Every line, then the discount where there is one, tax last where there is one."""
        lines = [line for one in self.parts for line in one.lines]
        goods = [sum(one.goods[k] for one in self.parts) for k in range(3)]
        if self.discount > 0:
            low, likely, high = (-self.discount * amount for amount in reversed(goods))
            words = f"Discount {100 * self.discount:g} % on goods"
            lines.append(Line(words, "discount", GOODS, False, Estimate.triangular(low, likely, high)))
        if self.share > 0:
            low, likely, high = (self.share * (1.0 - self.discount) * amount for amount in goods)
            band = Estimate.triangular(low, likely, high)
            lines.append(Line(f"Tax {100 * self.share:g} % on goods", "tax", "tax", True, band))
        return tuple(lines)

    @cached_property
    def hidden(self) -> float:
        """What the lines that people forget come to."""
        return float(sum(line.price.value for line in self.lines if line.hidden))

    def quantile(self, share: float) -> float:
        """The total that a share of samples stays below."""
        if share not in self._found:
            place = min(int(share * self.samples.size), self.samples.size - 1)
            self._found[share] = float(np.partition(self.samples, place)[place])
        return self._found[share]

    @cached_property
    def _found(self) -> dict[float, float]:
        return {}

    @property
    def ceiling(self) -> float:
        """ "Not more than": P90 rounded up to a round fifty."""
        return float(np.ceil(self.quantile(0.9) / STEP - 1e-9) * STEP)


def total(lines: Sequence[Line], tax: float, discount: float = 0.0) -> Total:
    """Lines of a bill added up, discount off the goods, then tax on what is left of them.

    Args:
        lines: the lines before discount and tax.
        tax: share on goods.
        discount: share off goods; neither carriage nor labour is discounted.

    Returns:
        `Total`; one sample when every line is a single value.

    Source: lines of one group move together (common samples), groups are independent.

    Example:
        >>> bill = [Line("grapple", "attachment", "goods", False, Estimate.known(1000.0))]
        >>> total(bill, 0.06).quantile(0.5), total(bill, 0.06, 0.1).quantile(0.5)
        (1060.0, 954.0)
    """
    part = _added(tuple(lines), tax, discount)
    return Total((part,), np.atleast_1d(part.samples), tax, discount)


def _added(lines: tuple[Line, ...], tax: float, discount: float) -> Part:
    bought = [line for line in lines if line.kind == GOODS]
    low, likely, high = (sum(getattr(line.price, name) for line in bought) for name in ("low", "likely", "high"))
    rest = summed(_drawn(line) for line in lines if line.kind != GOODS)
    return Part(lines, summed(map(_drawn, bought)) * (1.0 - discount) * (1.0 + tax) + rest, (low, likely, high))


class Bills:
    """The bills of one inquiry's outfits; what several share is drawn and added up once."""

    def __init__(self, inquiry: Inquiry, shelf: Shelf) -> None:
        self.inquiry, self.shelf, self.tax = inquiry, shelf, tax_share(inquiry, shelf)
        self.discount = discount_share(shelf)
        self._sections: dict[Key, Section] = {}
        self._parts: dict[int, Part] = {}

    def of(self, outfit: Outfit, ballast: BallastSet | None, join: Join | None) -> Total:
        """One outfit's bill."""
        each = sections(outfit, ballast, join, self.inquiry, self.shelf, self._sections)
        parts = [self._part(section) for section in each if section]
        return Total(parts, np.atleast_1d(summed(one.samples for one in parts)), self.tax, self.discount)

    def freight(self, attachment: Attachment) -> float:
        """Carriage of an attachment, one way."""
        return sum(line.price.value for line in self._sections[("carriage", id(attachment))])

    def _part(self, section: Section) -> Part:
        if id(section) not in self._parts:
            self._parts[id(section)] = _added(section, self.tax, self.discount)
        return self._parts[id(section)]


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
