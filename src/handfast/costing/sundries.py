"""What a route takes beside its kit and its lines, as lines of a bill: oil, cable, clamps, sleeve and so on."""

from __future__ import annotations

from collections.abc import Sequence

from handfast.costing.lines import GOODS, Line
from handfast.outfits.parts_list import PartLine
from handfast.quantities.estimate import Estimate

NAMED = ("oil", "cable", "fuse")
"""Items that have a line of their own; the rest stand together as small parts."""

WORDS = {
    "power_beyond_sleeve": "power-beyond sleeve", "clamps": "clamps", "sleeve": "hose sleeve", "dust_caps": "dust caps",
    "wiring": "wiring", "sealant": "sealant", "labels": "labels", "grease": "grease",
}  # fmt: skip


def sundry_lines(listed: Sequence[PartLine]) -> tuple[Line, ...]:
    """The bill's lines for what the parts list has beside the kit, hoses, couplers and fittings.

    Args:
        listed: a route's lines of the parts list, of `outfits.parts_list.route_lines`, so that list and bill agree.

    Returns:
        Oil, cable and fuse each by itself, small parts together; what the kit brings or nobody sells is left out.

    Example:
        >>> sundry_lines(())
        ()
    """
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
