"""What an outfit picks up, in the caller's terms: log lengths, the largest stone, a bite of brush, a pallet."""

from __future__ import annotations

import numpy as np

from handfast.advice.result import PickUp
from handfast.machines.inquiry import Inquiry
from handfast.outfits.bench import Bench
from handfast.outfits.combine import answers
from handfast.physics import load
from handfast.physics.wood import species
from handfast.quantities.arrays import Array, middle, quantile
from handfast.quantities.showing import show
from handfast.quantities.units import to_si

DIAMETERS = tuple(to_si(float(inches), "in") for inches in (8, 12, 16))
SPECIES = ("red oak", "white pine")
CAUTIOUS = 0.10


def picks_up(bench: Bench, row: int, inquiry: Inquiry, system: str) -> tuple[PickUp, ...]:
    """The list for one outfit, from its cautious payload at full height.

    Args:
        bench: the outfits.
        row: which outfit.
        inquiry: for the caller's own species.
        system: units.

    Returns:
        Items that the attachment's kind is made for.

    Source: payload over density; the denser end of each species' range.

    Example:
        >>> picks_up.__name__
        'picks_up'
    """
    once, hung = bench.hung_once, int(bench.hanging[row])
    payload = np.atleast_2d(once.payload_at(once.frame.height_max))
    values = payload[hung] if len(payload) > 1 else payload[0]
    if np.isnan(values).any():
        return ()
    rated = np.atleast_2d(once.tools["rated_load"])
    limit = rated[hung if len(rated) > 1 else 0]
    kilograms = float(
        min(quantile(values, CAUTIOUS), np.fmin(np.inf, limit).min() if np.isfinite(limit).all() else np.inf)
    )
    kind = str(bench.outfits[row].attachment.kind)
    found: list[PickUp] = []
    if answers("logs", kind) > 0.5:
        found += _logs(kilograms, inquiry, system)
    if answers("rock", kind) > 0.5:
        found += _stone(kilograms, system)
    if answers("brush", kind) > 0.5:
        found += _bite(bench, row, kilograms, system)
    if answers("pallets", kind) > 0.5:
        found.append(PickUp("pallet", max(kilograms, 0.0), "kg", f"a pallet of {_mass(kilograms, system)}"))
    return tuple(found)


def _mass(kilograms: float, system: str) -> str:
    return show(max(kilograms, 0.0), "mass", system)


def _logs(kilograms: float, inquiry: Inquiry, system: str) -> list[PickUp]:
    named = [work.species for work in inquiry.work if work.kind == "logs" and work.species]
    found = []
    for name in dict.fromkeys((*named[:1], *SPECIES)):
        density = _heavy(name)
        for diameter in DIAMETERS:
            length = max(float(load.longest_log(max(kilograms, 0.0), diameter, density)), 0.0)
            step = to_si(0.5, "ft") if system == "us" else 0.1
            said = np.floor(length / step + 1e-9) * step
            text = f"green {name}, {show(diameter, 'length', system)} thick: {_long(said, system)}"
            found.append(PickUp(f"log {name} {diameter:.4f}", said, "m", text))
    return found


def _long(length: float, system: str) -> str:
    if length <= 0:
        return "none"
    if system == "us":
        return f"{length / to_si(1.0, 'ft'):g} ft long".replace(".0 ", " ")
    return f"{length:.1f} m long"


def _heavy(name: str) -> float:
    try:
        return float(species(name).high)
    except KeyError:
        return 1100.0


def _stone(kilograms: float, system: str) -> list[PickUp]:
    size = float(load.largest_stone(max(kilograms, 0.0), 2700.0))
    return [PickUp("stone", size, "m", f"a stone {show(size, 'length', system)} through")]


def _bite(bench: Bench, row: int, kilograms: float, system: str) -> list[PickUp]:
    area, width = (_one(bench.tools[name], row) for name in ("bite_area", "width"))
    if not np.isfinite(area * width):
        return []
    bite = min(float(load.bite_of_brush(area, width, 1.0, 0.18, 820.0)), max(kilograms, 0.0))
    return [PickUp("brush", bite, "kg", f"a bite of brush of about {_mass(bite, system)}")]


def _one(values: Array, row: int) -> float:
    table = np.atleast_2d(values)
    return middle(table[row if len(table) > 1 else 0])
