"""What is typical of a class of tractors: bands of quantities, shares of categories, the class of a power."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

import numpy as np

from handfast.quantities.estimate import Estimate
from handfast.quantities.tables import table
from handfast.quantities.units import to_si

# Ratings that a class guess must never stand in for: they stay open until a plate or a sheet says them.
NEVER_TYPICAL = frozenset(
    {
        "front_axle_rating",
        "rear_axle_rating",
        "gross_rating",
        "front_tyre.load_each",
        "rear_tyre.load_each",
        "hitch_lift",
        "hitch_lift_610",
        "loader.curl_at_500",
        "loader.breakout_at_pin",
    }
)


def typical(machine_class: str | None, path: str) -> tuple[Estimate, str]:
    """The class's typical band of a quantity and its group; unknown where the table has no row.

    Args:
        machine_class: subcompact, compact_small, compact_large, utility or None.
        path: dotted name of the quantity, as in the records.

    Returns:
        (estimate with origin "typical", group name).

    Example:
        >>> typical(None, "wheelbase")[0].is_unknown
        True
    """
    if path in NEVER_TYPICAL or machine_class is None:
        return Estimate.unknown(), ""
    return _class_rows().get((machine_class, path), (Estimate.unknown(), ""))


def class_shares(machine_class: str | None, path: str) -> tuple[tuple[str, float], ...]:
    """How often each value of a category is met in a class; empty where the table has no row.

    Args:
        machine_class: as in `typical`.
        path: dotted name of the category.

    Returns:
        Pairs (value, share), shares summing to one.

    Example:
        >>> class_shares(None, "quick_attach")
        ()
    """
    rows = _share_rows().get((machine_class or "", path), ())
    total = sum(share for _, share in rows)
    return tuple((value, share / total) for value, share in rows)


def class_of_power(power: float) -> str:
    """The class that an engine power falls in.

    Args:
        power: engine power [W].

    Returns:
        Class id.

    Source: class limits 25, 35, 60 hp (common practice, no source).

    Example:
        >>> class_of_power(24 * 745.7)
        'subcompact'
    """
    horses = power / to_si(1.0, "hp")
    for limit, name in ((25.0, "subcompact"), (35.5, "compact_small"), (60.5, "compact_large")):
        if horses < limit:
            return name
    return "utility"


def size_share(machine_class: str | None, power: float) -> float | None:
    """Where in its class a power stands, 0 smallest, 1 largest; None when either is not known.

    Args:
        machine_class: class id or None.
        power: engine power [W] or NaN.

    Returns:
        Share or None.

    Example:
        >>> round(size_share("compact_small", 30 * 745.7), 2)
        0.5
    """
    bounds = {"subcompact": (18.0, 25.0), "compact_small": (25.0, 35.0), "compact_large": (36.0, 60.0)}
    low, high = bounds.get(machine_class or "", (60.0, 120.0))
    if machine_class is None or not np.isfinite(power):
        return None
    return float(np.clip((power / to_si(1.0, "hp") - low) / (high - low), 0.02, 0.98))


def typical_band(row: Mapping[str, str]) -> Estimate:
    """The low–likely–high of a table row as an estimate of origin "typical".

    Args:
        row: a row with low, likely, high and unit.

    Returns:
        Triangular estimate, SI.

    Example:
        >>> typical_band({"low": "1", "likely": "2", "high": "3", "unit": "m"}).value
        2.0
    """
    low, likely, high = (to_si(float(row[name]), row["unit"]) for name in ("low", "likely", "high"))
    return Estimate.triangular(low, likely, high, origin="typical")


@cache
def _class_rows() -> dict[tuple[str, str], tuple[Estimate, str]]:
    rows = {}
    for row in table("class_typical.csv"):
        rows[(row["class"], row["quantity"])] = (typical_band(row), row["group"])
    return rows


@cache
def _share_rows() -> dict[tuple[str, str], tuple[tuple[str, float], ...]]:
    rows: dict[tuple[str, str], tuple[tuple[str, float], ...]] = {}
    for row in table("class_shares.csv"):
        key = (row["class"], row["quantity"])
        rows[key] = (*rows.get(key, ()), (row["value"], float(row["share"])))
    return rows
