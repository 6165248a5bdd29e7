"""How many clamps, sleeves and gallons a route takes, and which fuse and cable bear its current."""

from __future__ import annotations

from math import ceil, pi

from handfast.machines.part import Part
from handfast.machines.shelf import Shelf
from handfast.outfits.outfit import Outfit
from handfast.physics import electrics
from handfast.physics.wire import gauge_number
from handfast.quantities.units import to_si
from handfast.reckoning.needs import value_of

# Common practice, no source.
CLAMP_EVERY = 0.6  # m of line that lies still
CLAMPS_A_SET = 10
COIL = 3.0  # A, a valve's coil
PACK = 40.0  # A, the motor of a small pump pack where nobody says more
CABLE = 4.0  # m each way from the battery to the end of the arms
MAY_LOSE = 0.10  # of the supply voltage
SUPPLY = 12.0  # V
FILL_AGAIN = 1.5  # what is topped up over what new hoses and cylinders hold
BORE = 0.0127  # m, the widest hose that a lid's line is made of
TO_TOOL = 1.5  # m of each hose from the arms to the attachment
LINES, PAIR_OF_PORTS = 2, 4  # hoses of a lid; ports of two cylinders that are fed by themselves


def counted(rule: str, outfit: Outfit) -> int:
    """A quantity of the table: a number, or the rule that is named there.

    It rests on route and attachment alone, so that list and bill have the same count before any hose is chosen.

    Args:
        rule: a whole number, clamps, sleeve or oil.
        outfit: the outfit.

    Returns:
        How many.

    Raises:
        ValueError: No such rule.

    Source: a clamp every 0.6 m of the route's line on both sides; one piece of spiral sleeve round the pair of hoses
    that moves, another where a second cylinder is fed by itself; oil for new hoses and cylinders half as much again
    (common practice, no source).

    Example:
        >>> from handfast.machines.attachment import Attachment
        >>> from handfast.outfits.mounting import MountRoute
        >>> from handfast.outfits.powering import PowerRoute
        >>> outfit = Outfit(Attachment(), MountRoute("direct", "pinned", "pinned"), PowerRoute("diverter"))
        >>> counted("2", outfit), counted("clamps", outfit), counted("sleeve", outfit), counted("oil", outfit)
        (2, 1, 1, 1)
    """
    if rule.isdigit():
        return int(rule)
    line = outfit.power.words.line
    if rule == "clamps":
        return max(ceil(LINES * line / CLAMP_EVERY / CLAMPS_A_SET - 1e-9), 1)
    if rule == "sleeve":
        oil = outfit.attachment.hydraulics
        return 2 if oil is not None and len(oil.ports) == PAIR_OF_PORTS else 1
    if rule == "oil":
        hoses = LINES * pi / 4 * BORE**2 * (line + TO_TOOL)
        return max(ceil(FILL_AGAIN * (hoses + _in_cylinders(outfit)) / to_si(1.0, "gal")), 1)
    raise ValueError(rule)


def _in_cylinders(outfit: Outfit) -> float:
    oil = outfit.attachment.hydraulics
    if oil is None or oil.bore.is_unknown or oil.stroke.is_unknown:
        return 0.0
    count = oil.cylinders or max(outfit.attachment.lids or 1, 1)
    return count * pi / 4 * float(oil.bore.value) ** 2 * float(oil.stroke.value)


def current_of(outfit: Outfit) -> float:
    """The current that a route's fuse carries [A]: the actuator's, a pump's, or a valve coil's.

    Args:
        outfit: the outfit.

    Returns:
        Current.

    Source: typical where nobody has said (common practice, no source).

    Example:
        >>> COIL
        3.0
    """
    described = outfit.attachment.electrics
    if outfit.power.route == "electric":
        return value_of(described.current, PACK) if described is not None else PACK
    return PACK if outfit.power.route == "separate_pump" else COIL


def fuse_for(outfit: Outfit, shelf: Shelf) -> Part | None:
    """The smallest fuse on the shelf that carries the route's current all day.

    Args:
        outfit: the outfit.
        shelf: what can be sold.

    Returns:
        The fuse; None without one.

    Source: `physics.electrics.fuse_size`.

    Example:
        >>> from handfast.outfits.example_piped import wired
        >>> fuse_for(wired().outfit, wired().shelf).name
        'Fuse and sealed holder, 30 A'
    """
    needed = electrics.fuse_size(current_of(outfit))
    fuses = [part for part in shelf.parts_of("fuse") if value_of(part.current, 0.0) >= needed * (1.0 - 1e-9)]
    return min(fuses, key=lambda part: (value_of(part.current), part.stock == 0), default=None)


def cable_for(outfit: Outfit, shelf: Shelf) -> Part | None:
    """The cheapest cable on the shelf that reaches, bears what its fuse lets through, and loses no more than a tenth.

    Args:
        outfit: the outfit.
        shelf: what can be sold.

    Returns:
        The cable; None without one.

    Source: `physics.electrics`.

    Example:
        >>> from handfast.outfits.example_piped import wired
        >>> cable_for(wired().outfit, wired().shelf).id
        'cable-10-16'
    """
    fuse = fuse_for(outfit, shelf)
    blows = value_of(fuse.current) if fuse is not None else electrics.FUSE_MARGIN * current_of(outfit)
    fitting = [part for part in shelf.parts_of("cable") if part.gauge and _bears(part, current_of(outfit), blows)]
    return min(fitting, key=lambda part: (part.stock == 0, value_of(part.price, float("inf"))), default=None)


def _bears(part: Part, current: float, blows: float) -> bool:
    gauge, length = float(gauge_number(part.gauge)), value_of(part.length, 0.0)
    lost = float(electrics.voltage_drop(current, gauge, length))
    strong = electrics.ampacity(part.gauge) >= blows
    return length >= CABLE and strong and lost <= MAY_LOSE * SUPPLY
