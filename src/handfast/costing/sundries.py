"""What a route takes beside its kit and its lines, as lines of a bill: oil, cable, clamps, sleeve and so on."""

from __future__ import annotations

from collections.abc import Sequence

from handfast.costing.lines import GOODS, Line
from handfast.machines.shelf import Shelf
from handfast.outfits.outfit import Outfit
from handfast.outfits.parts_list import PartLine, route_lines
from handfast.quantities.estimate import Estimate

NAMED = ("oil", "cable", "fuse")
"""Items that have a line of their own; the rest stand together as small parts."""

WORDS = {
    "power_beyond_sleeve": "power-beyond sleeve", "clamps": "clamps", "sleeve": "hose sleeve", "dust_caps": "dust caps",
    "wiring": "wiring", "sealant": "sealant", "labels": "labels", "grease": "grease",
}  # fmt: skip
SHELVES = 8
_kept: list[tuple[Shelf, dict[int, tuple[tuple[PartLine, ...], tuple[Line, ...]]]]] = []


def sundry_lines(outfit: Outfit, shelf: Shelf) -> tuple[Line, ...]:
    """The bill's lines for what the parts list has beside the kit, hoses, couplers and fittings.

    Args:
        outfit: the outfit.
        shelf: prices.

    Returns:
        Oil, cable and fuse each by itself, small parts together; what the kit brings or nobody sells is left out.

    Source: `outfits.parts_list.route_lines`, so that list and bill agree; reckoned once for routes that are alike.

    Example:
        >>> from handfast.outfits.example import bench
        >>> sundry_lines(bench().outfits[0], Shelf())  # nothing on the shelf
        ()
    """
    kept = next((found for known, found in _kept if known is shelf), None)
    if kept is None:
        kept = {}
        _kept.insert(0, (shelf, kept))
        del _kept[SHELVES:]
    listed = route_lines(outfit, shelf)
    found = kept.get(id(listed))
    if found is None or found[0] is not listed:
        found = kept[id(listed)] = (listed, _bill(listed))
    return found[1]


def _bill(listed: Sequence[PartLine]) -> tuple[Line, ...]:
    bought = [one for one in listed if not one.brought_by and not one.price.is_unknown]
    lines = [_line(_named(one), [one]) for one in bought if one.item in NAMED]
    small = [one for one in bought if one.item not in NAMED]
    if small:
        words = dict.fromkeys(WORDS.get(one.item, one.what.lower()) for one in small)
        lines.append(_line("Small parts: " + ", ".join(words), small))
    return tuple(lines)


def _named(one: PartLine) -> str:
    return f"Hydraulic oil, {one.quantity} gal" if one.item == "oil" else one.what


def _line(what: str, parts: Sequence[PartLine]) -> Line:
    low, likely, high = (sum(getattr(one.price, name) for one in parts) for name in ("low", "likely", "high"))
    price = Estimate.known(likely) if low == high else Estimate.triangular(low, likely, high)
    return Line(what, "parts", GOODS, True, price)
