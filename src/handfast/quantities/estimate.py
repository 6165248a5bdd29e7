"""A quantity as it is known: a value, about a value, between two, three-point, or unknown. All in SI."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from handfast.quantities.arrays import Array, ArrayLike
from handfast.quantities.normal import normal_quantile, normal_share

KINDS = ("known", "about", "range", "triangular", "unknown")
ORIGINS = ("stated", "measured", "weighed", "sheet", "typical", "computed")

HALF_WIDTH_SDS = 1.96  # a stated "plus or minus" covers 95 % of a normal distribution
CUT_SDS = 3.0  # and nothing is drawn further out than this


@dataclass(frozen=True, slots=True, eq=False)
class Estimate:
    """What is known of one quantity, in SI; `low`, `likely`, `high` are nan when nothing is."""

    kind: str
    low: float
    likely: float
    high: float
    origin: str = "stated"
    text: str = ""

    def __post_init__(self) -> None:
        """Refuse a kind or an order that no reading can give: that would be a fault of the program."""
        if self.kind not in KINDS or self.origin not in ORIGINS:
            raise ValueError(f"no such kind or origin of an estimate: {self.kind}, {self.origin}")
        if self.kind != "unknown" and not (
            math.isfinite(self.low) and math.isfinite(self.high) and self.low <= self.likely <= self.high
        ):
            raise ValueError(f"an estimate needs finite low <= likely <= high, not {self.low, self.likely, self.high}")

    @classmethod
    def known(cls, value: float, origin: str = "stated", text: str = "") -> Estimate:
        """One value without spread."""
        return cls("known", float(value), float(value), float(value), origin, text)

    @classmethod
    def about(cls, value: float, half_width: float, origin: str = "stated", text: str = "") -> Estimate:
        """A value give or take its half-width (1.96 standard deviations); no half-width makes it known."""
        if half_width == 0:
            return cls.known(value, origin, text)
        return cls("about", float(value - half_width), float(value), float(value + half_width), origin, text)

    @classmethod
    def between(cls, low: float, high: float, origin: str = "stated", text: str = "") -> Estimate:
        """Anything between two ends, each as likely; equal ends make it known."""
        if low == high:
            return cls.known(low, origin, text)
        return cls("range", float(low), (float(low) + float(high)) / 2, float(high), origin, text)

    @classmethod
    def triangular(cls, low: float, likely: float, high: float, origin: str = "stated", text: str = "") -> Estimate:
        """The least, the likeliest and the greatest; equal ends make it known."""
        if low == high:
            return cls.known(low, origin, text)
        return cls("triangular", float(low), float(likely), float(high), origin, text)

    @classmethod
    def unknown(cls, origin: str = "stated", text: str = "") -> Estimate:
        """Nothing is known."""
        return cls("unknown", math.nan, math.nan, math.nan, origin, text)

    @property
    def is_known(self) -> bool:
        """Whether it is one value without spread."""
        return self.kind == "known"

    @property
    def is_unknown(self) -> bool:
        """Whether nothing is known."""
        return self.kind == "unknown"

    @property
    def value(self) -> float:
        """The likeliest value, or the middle; nan when unknown."""
        return self.likely

    @property
    def least(self) -> float:
        """The smallest value that can be drawn."""
        return self.likely - self._reach if self.kind == "about" else self.low

    @property
    def greatest(self) -> float:
        """The largest value that can be drawn."""
        return self.likely + self._reach if self.kind == "about" else self.high

    @property
    def _reach(self) -> float:
        return (self.high - self.likely) * CUT_SDS / HALF_WIDTH_SDS

    def draw(self, u: ArrayLike) -> Array:
        """Values at the shares `u` of the distribution; a known value comes back as an array without axes."""
        share = np.asarray(u, dtype=np.float64)
        if self.kind in ("known", "unknown"):
            return np.asarray(self.likely, dtype=np.float64)
        if self.kind == "range":
            return self.low + share * (self.high - self.low)
        if self.kind == "triangular":
            return _triangular(share, self.low, self.likely, self.high)
        tail = float(normal_share(-CUT_SDS))
        sds = np.clip(normal_quantile(tail + share * (1 - 2 * tail)), -CUT_SDS, CUT_SDS)
        return self.likely + sds * (self.high - self.likely) / HALF_WIDTH_SDS

    def scaled(self, factor: float) -> Estimate:
        """The same knowledge of `factor` times the quantity (the echo of the reading is dropped)."""
        if self.is_unknown:
            return replace(self, text="")
        low, high = sorted((self.low * factor, self.high * factor))
        return replace(self, low=low, likely=self.likely * factor, high=high, text="")

    def with_origin(self, origin: str) -> Estimate:
        """The same knowledge from elsewhere."""
        return Estimate(self.kind, self.low, self.likely, self.high, origin, self.text)

    def plain(self) -> dict[str, Any]:
        """The estimate as JSON keeps it; `read_quantity` reads it back equal."""
        beside = {"origin": self.origin, **({"text": self.text} if self.text else {})}
        if self.is_unknown:
            return {"value": "unknown", **beside}
        if self.is_known:
            return {"value": self.likely, **beside}
        ends = {"low": self.low, "high": self.high}
        if self.kind == "range":
            return {**ends, **beside}
        if self.kind == "triangular":
            return {"low": self.low, "likely": self.likely, "high": self.high, **beside}
        return {"value": self.likely, "spread": self.high - self.likely, **beside}

    def _key(self) -> tuple[object, ...]:
        numbers = () if self.is_unknown else (self.low, self.likely, self.high)
        return (self.kind, *numbers, self.origin, self.text)

    def __eq__(self, other: object) -> bool:
        """Equal in everything; two unknowns are equal although nan is not."""
        return isinstance(other, Estimate) and self._key() == other._key()

    def __hash__(self) -> int:
        """As equality."""
        return hash(self._key())


UNKNOWN = Estimate.unknown()


def _triangular(share: Array, low: float, likely: float, high: float) -> Array:
    """Inverse of the triangular distribution function."""
    width = high - low
    rising = low + np.sqrt(share * width * (likely - low))
    falling = high - np.sqrt((1 - share) * width * (high - likely))
    return np.where(share * width < likely - low, rising, falling)
