"""The figure that the result is made of."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Band:
    """A figure as one in ten below, the middle, one in ten above; SI or the unit beside it."""

    p10: float
    p50: float
    p90: float
