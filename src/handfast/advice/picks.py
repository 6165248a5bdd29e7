"""What an outfit picks up, in the caller's terms: log lengths, the largest stone, a bite of brush, a pallet."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np

from handfast.advice.result import PickUp
from handfast.machines.inquiry import Inquiry
from handfast.outfits.bench import Bench
from handfast.outfits.check_shape import ROOM
from handfast.outfits.combine import answers
from handfast.outfits.loads import ANY_WOOD, STONE, seat_of
from handfast.outfits.tools import floor_points
from handfast.physics import load
from handfast.physics.wood import species
from handfast.quantities.arrays import Array, middle, quantile, row_of
from handfast.quantities.showing import show
from handfast.quantities.units import to_si

DIAMETERS = tuple(to_si(float(inches), "in") for inches in (8, 12, 16))
SPECIES = ("red oak", "white pine")
LONGEST = {"us": to_si(20.0, "ft"), "metric": 6.0}  # beyond it handling decides, not weight (practice)
CAUTIOUS = 0.10
HALVINGS = 10  # to a millimetre: the size is said in whole inches


@dataclass(frozen=True)
class Reach:
    """One outfit's room for a load: what it lifts at a distance ahead of its plane."""

    room: Array  # capacity at the pin less all that hangs there [kg]
    slope: Array
    plane: Array  # mounting plane ahead of the pin [m]
    floor: Array | None
    centre: float  # load centre ahead of the plane [m]
    rated: float  # of the attachment, and the measured linkage's own limit [kg]; inf where neither is known
    opening: float  # lesser of tip and throat [m]; inf where not known or no lid

    def at(self, ahead: float) -> float:
        """Load that nine of ten samples lift with its middle so far ahead of the plane [kg], at least 0."""
        lifted = quantile(self.room / (1.0 + self.slope * (self.plane + ahead)), CAUTIOUS)
        return max(min(lifted, self.rated), 0.0)

    def round(self, kind: str, diameter: float) -> float:
        """The same for a round piece of a diameter where it lies [kg]; 0 where the jaw does not open for it."""
        if ROOM * diameter > self.opening * (1.0 + 1e-9):
            return 0.0
        return self.at(seat_of(kind, diameter, self.floor, self.centre))


def picks_up(bench: Bench, row: int, inquiry: Inquiry, system: str) -> tuple[PickUp, ...]:
    """The list for one outfit, from its cautious payload at full height.

    Args:
        bench: the outfits.
        row: which outfit.
        inquiry: for the caller's own species.
        system: units.

    Returns:
        Items that the attachment's kind is made for; every figure rounded down.

    Source: payload where each piece lies over the denser end of its material's range.

    Example:
        >>> from handfast.outfits.example import bench, inquiry
        >>> picks_up(bench(), 0, inquiry(), "us")[-1].what
        'brush'
    """
    reach, kind = reach_of(bench, row), str(bench.outfits[row].attachment.kind)
    if np.isnan(reach.room).any():
        return ()
    found: list[PickUp] = []
    if answers("logs", kind) > 0.5:
        found += _logs(reach, inquiry, system)
    if answers("rock", kind) > 0.5:
        found.append(_stone(reach, system))
    if answers("brush", kind) > 0.5:
        found += _bite(bench, row, reach, system)
    if answers("pallets", kind) > 0.5:
        step = to_si(25.0, "lb") if system == "us" else 10.0
        kilograms = _down(reach.at(reach.centre), step)
        found.append(PickUp("pallet", kilograms, "kg", f"a pallet of {show(kilograms, 'mass', system)}"))
    return tuple(found)


def reach_of(bench: Bench, row: int) -> Reach:
    """One outfit's room for a load at full height.

    Args:
        bench: the outfits.
        row: which outfit.

    Returns:
        `Reach`.

    Example:
        >>> from handfast.outfits.example import bench
        >>> round(reach_of(bench(), 0).at(20 * 0.0254), 3)
        215.447
    """
    once, hung, frame = bench.hung_once, int(bench.hanging[row]), bench.frame
    rating, slope = frame.rating_at(frame.height_max)
    room = row_of(once.capacity(rating, slope) - once.dead(slope), hung)
    limits = [middle(row_of(once.tools["rated_load"], hung))]
    if once.links is not None:
        limits.append(float(once.links.lift_at(frame.height_max)[hung, 0]))
    openings = [middle(row_of(once.tools[name], hung)) for name in ("opening_tip", "opening_throat")]
    lids = bool(bench.outfits[row].attachment.lids)
    return Reach(
        room=room,
        slope=np.asarray(slope, dtype=np.float64),
        plane=row_of(once.plane_x, hung),
        floor=floor_points(bench.outfits[row].attachment),
        centre=middle(row_of(once.tools["load_centre.x"], hung)),
        rated=_least(limits),
        opening=_least(openings) if lids else np.inf,
    )


def _least(values: list[float]) -> float:
    return min((value for value in values if np.isfinite(value)), default=np.inf)


def _down(value: float, step: float) -> float:
    return float(np.floor(value / step + 1e-9) * step)


def _logs(reach: Reach, inquiry: Inquiry, system: str) -> list[PickUp]:
    named = [work.species for work in inquiry.work if work.kind == "logs" and work.species]
    found = []
    lifted = {diameter: reach.round("logs", diameter) for diameter in DIAMETERS}
    for name in dict.fromkeys((*named[:1], *SPECIES)):
        for diameter, kilograms in lifted.items():
            length = float(load.longest_log(kilograms, diameter, _heavy(name)))
            said = _down(min(length, LONGEST[system]), to_si(0.5, "ft") if system == "us" else 0.1)
            text = f"green {name}, {show(diameter, 'length', system)} thick: {_long(said, system)}"
            text += " at most, the middle gripped" if length > LONGEST[system] else ""
            found.append(PickUp(f"log {name} {diameter:.4f}", said, "m", text))
    return found


def _long(length: float, system: str) -> str:
    if length <= 0:
        return "none"
    if system == "us":
        return f"{length / to_si(1.0, 'ft'):.1f} ft long".replace(".0 ", " ")
    return f"{length:.1f} m long"


@cache
def _heavy(name: str) -> float:
    try:
        return float(species(name).high)
    except KeyError:
        return ANY_WOOD.high


def _stone(reach: Reach, system: str) -> PickUp:
    """The largest round stone: a larger one also lies further ahead, so by halving."""
    low, high = 0.0, min(reach.opening / ROOM, 3.0)
    for _ in range(HALVINGS):
        size = 0.5 * (low + high)
        holds = STONE.high * np.pi / 6.0 * size**3 <= reach.round("rock", size)
        low, high = (size, high) if holds else (low, size)
    said = _down(low, to_si(1.0, "in") if system == "us" else 0.01)
    return PickUp("stone", said, "m", f"a stone {show(said, 'length', system)} through")


def _bite(bench: Bench, row: int, reach: Reach, system: str) -> list[PickUp]:
    area, width = (middle(row_of(bench.tools[name], row)) for name in ("bite_area", "width"))
    if not np.isfinite(area * width):
        return []
    bite = min(float(load.bite_of_brush(area, width, 1.0, 0.18, 820.0)), reach.at(reach.centre))
    return [PickUp("brush", bite, "kg", f"a bite of brush of about {show(bite, 'mass', system)}")]
