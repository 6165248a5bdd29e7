"""What hoses and couplers bear, from the tables: type, edition and size decide."""

from __future__ import annotations

from typing import NamedTuple

from handfast.connections.mating import plain_size
from handfast.quantities.tables import table


class HoseRating(NamedTuple):
    """A hose of a standard: type, edition, dash size, bore [m], pressure [Pa], bend radius [m], status of the row."""

    hose_type: str
    edition: str
    size: str
    bore: float
    pressure_max: float
    bend_radius: float
    status: str


def hose_ratings(hose_type: str, size: str) -> tuple[HoseRating, ...]:
    """Ratings of a hose type in a size, one for each edition of its standard, the weakest first.

    Args:
        hose_type: Type as printed on the hose, "2SN", "100R2AT" [-].
        size: Size, "-8" or "1/2" [-].

    Returns:
        The ratings; none where the type or the size is not in the table. A hose of unknown edition counts as the first.

    Source: hose.csv (EN 853, EN 857, SAE J517, ISO 18752); ratings changed with the edition.

    >>> [round(r.pressure_max / 1e5) for r in hose_ratings("100R2AT", "1/2")]
    [241, 275]
    """
    wanted, dash = hose_type.strip().upper(), plain_size("", size)
    found = [
        HoseRating(
            row["type"],
            row["edition"],
            dash,
            float(row["id_mm_nominal"]) * 1e-3,
            float(row["max_working_bar"]) * 1e5,
            float(row["min_bend_radius_mm"]) * 1e-3,
            row["seen_or_memory"],
        )
        for row in table("hose.csv")
        if row["dash"] == dash and row["type"].upper().split(" (")[0] == wanted
    ]
    return tuple(sorted(found, key=lambda rating: rating.pressure_max))


def coupler_rated_point(size: str) -> tuple[float, float]:
    """Flow and drop that a coupler of a size may be taken to have where its maker gives none.

    Args:
        size: Size, "1/2" or "12.5" [-].

    Returns:
        Rated flow [m³/s] and the drop allowed at it [Pa].

    Raises:
        KeyError: The size is not in the table.

    Source: couplers.csv, the performance table of ISO 14541; a typical value for the other families.

    >>> flow, drop = coupler_rated_point("1/2")
    >>> round(flow * 6e4), round(drop / 1e5, 1)
    (45, 1.5)
    """
    dash = plain_size("coupler_flat", size)
    for row in table("couplers.csv"):
        listed = row["max_dp_bar_at_rated"] and row["family"].startswith("ISO 14541")
        if listed and plain_size("coupler_flat", row["size_mm_or_in"]) == dash:
            return float(row["rated_flow_l_min"]) / 6e4, float(row["max_dp_bar_at_rated"]) * 1e5
    raise KeyError(size)
