"""What stands in a line of oil: the pieces that were chosen, as elements that lose pressure."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import cache

import numpy as np

from handfast.connections.ratings import coupler_rated_point
from handfast.machines.part import Part
from handfast.physics.circuit import Element, Fitting, Hose, RatedPoint
from handfast.quantities.arrays import Array
from handfast.quantities.units import to_si
from handfast.reckoning.connect import HOSES

OilLine = tuple[Element, ...]
OilLines = tuple[OilLine, OilLine]
"""The line that closes, and the line that opens."""

LINE_BORE = 0.0095  # m, a 3/8 in hose: what a line is reckoned with until its hoses are chosen
COUPLER_FLOW, COUPLER_DROP = 12.0, 1.2e5  # gpm, Pa: a 1/2 in flat-face coupler's rated point (typical)
HALF = 0.5  # of a coupler's drop for each half of the pair
STRAIGHT, ELBOW, SLANT, TEE, CRIMP = 0.3, 1.3, 0.5, 1.0, 0.3
"""Loss coefficients on the velocity head in the piece's own bore (common handbook values, typical)."""


def part_elements(part: Part, length: float, bore: float) -> OilLine:
    """A part of a line as elements.

    Args:
        part: hose, hard line, adapter or coupler half.
        length: its length, for hoses [m].
        bore: its bore [m]; nan = not known.

    Returns:
        A hose with its two ends, half a coupler, or a fitting.

    Source: hose and fitting laws of `physics.hydraulics`; coupler by its rated point, else as couplers.csv.

    Example:
        >>> part_elements(Part(kind="hose"), 2.0, 0.0095)
        (Hose(bore=0.0095, length=2.0), Fitting(bore=0.0095, k=0.3, count=2.0))
    """
    wide = LINE_BORE if np.isnan(bore) else bore
    if part.kind in HOSES:
        return Hose(wide, length), Fitting(wide, CRIMP, 2.0)
    if part.kind == "coupler":
        return (RatedPoint(*_coupler_point(part), HALF),)
    return (Fitting(wide, _coefficient(part), 1.0),)


def _coupler_point(part: Part) -> tuple[float, float]:
    if not (part.flow_rated.is_unknown or part.pressure_drop.is_unknown):
        return float(part.flow_rated.value), float(part.pressure_drop.value)
    size = next((end.size for end in part.ends if end.family.startswith("coupler_")), "1/2")
    try:
        return coupler_rated_point(size)
    except KeyError:
        return to_si(COUPLER_FLOW, "gpm"), COUPLER_DROP


def _coefficient(part: Part) -> float:
    name = part.name.lower()
    if len(part.ends) == 3:
        return TEE
    if "elbow" in name:
        return SLANT if "45" in name else ELBOW
    return STRAIGHT


def kit_elements(kit: Part | None) -> OilLine:
    """The valve of a route's kit, which stands in both lines.

    Args:
        kit: the kit; None without one.

    Returns:
        Its rated point, where it has one.

    Example:
        >>> kit_elements(None)
        ()
    """
    if kit is None or kit.flow_rated.is_unknown or kit.pressure_drop.is_unknown:
        return ()
    return (RatedPoint(float(kit.flow_rated.value), float(kit.pressure_drop.value), 1.0),)


def kit_line(length: float) -> OilLine:
    """The hose of a kit from its valve to the front, of which nobody has said the bore, with its coupler half.

    Args:
        length: the route's length [m].

    Returns:
        Elements.

    Source: a 3/8 in hose (typical).

    Example:
        >>> kit_line(3.0)[0]
        Hose(bore=0.0095, length=3.0)
    """
    half = RatedPoint(to_si(COUPLER_FLOW, "gpm"), COUPLER_DROP, HALF)
    return Hose(LINE_BORE, length), Fitting(LINE_BORE, ELBOW, 2.0), half


@cache
def usual_line(length: float) -> OilLine:
    """A line of which nothing has been chosen yet.

    Args:
        length: the route's length [m].

    Returns:
        A 3/8 in hose, a pair of couplers, four fittings.

    Source: typical.

    Example:
        >>> len(usual_line(3.0))
        3
    """
    pair = RatedPoint(to_si(COUPLER_FLOW, "gpm"), COUPLER_DROP, 2.0)
    return Hose(LINE_BORE, length), pair, Fitting(LINE_BORE, ELBOW, 4.0)


def narrowest(line: Iterable[Element]) -> float:
    """The least bore of a line's hoses [m]; nan without one.

    Args:
        line: its elements.

    Returns:
        Bore.

    Example:
        >>> narrowest([Hose(0.0127, 1.0), Hose(0.0095, 2.0)])
        0.0095
    """
    return min((float(np.asarray(e.bore)) for e in line if isinstance(e, Hose)), default=float("nan"))


def side_by_side(lines: Sequence[OilLine]) -> list[Element]:
    """Several lines as one whose entries are columns: elements that are alike are added up, row by row.

    Args:
        lines: one for each row.

    Returns:
        Elements with entries of shape (rows, 1); what a row has not stands there with nothing of it.

    Source: losses in a row add; hoses of one bore are as one as long as both, and so on.

    Example:
        >>> side_by_side([(Hose(0.01, 1.0), Hose(0.01, 2.0)), ()])[0].length.tolist()
        [[3.0], [0.0]]
    """
    place: dict[int, int] = {}
    rows = [place.setdefault(id(line), len(place)) for line in lines]
    alike = {id(line): line for line in lines}
    columns: dict[tuple[object, ...], Array] = {}
    for k, line in enumerate(alike.values()):
        for element in line:
            key, amount = _amount(element)
            column = columns.setdefault(key, np.zeros((len(alike), 1)))
            column[k, 0] += amount
    return [_with(key, column[rows]) for key, column in columns.items()]


def _amount(element: Element) -> tuple[tuple[object, ...], float]:
    if isinstance(element, Hose):
        return ("hose", element.bore), float(np.asarray(element.length))
    if isinstance(element, Fitting):
        return ("fitting", element.bore), float(np.asarray(element.k)) * float(np.asarray(element.count))
    return ("point", element.rated_flow, element.rated_drop), float(np.asarray(element.count))


def _with(key: tuple[object, ...], amount: Array) -> Element:
    kind, *numbers = key
    first = float(numbers[0])  # type: ignore[arg-type]
    if kind == "hose":
        return Hose(first, amount)
    if kind == "fitting":
        return Fitting(first, 1.0, amount)
    return RatedPoint(first, float(numbers[1]), amount)  # type: ignore[arg-type]
