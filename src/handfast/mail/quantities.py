"""From an amount to a fact: read as the record reads it, and refused where no such thing is that large or small."""

from __future__ import annotations

from handfast.mail.amounts import Amount
from handfast.mail.found import Found
from handfast.mail.letter import Letter
from handfast.quantities.reading import QuantityError, read_quantity

# least and greatest that is taken for the thing, SI: wider than anything that a dealer of loaders meets
BOUNDS: dict[str, tuple[str, float, float]] = {
    "machine.engine_power": ("power", 9_000.0, 200_000.0),
    "machine.mass": ("mass", 350.0, 12_000.0),
    "machine.front_axle_mass": ("mass", 100.0, 6_000.0),
    "machine.rear_axle_mass": ("mass", 150.0, 8_000.0),
    "machine.wheelbase": ("length", 1.1, 3.2),
    "machine.loader.lift_at_pin": ("mass", 120.0, 5_000.0),
    "machine.loader.lift_at_500": ("mass", 100.0, 4_500.0),
    "machine.loader.pin_height_max": ("length", 1.4, 5.0),
    "machine.hitch_lift_610": ("mass", 150.0, 6_000.0),
    "machine.pump_flow": ("flow", 1e-4, 3e-3),
    "machine.relief_pressure": ("pressure", 6e6, 4e7),
    "behind.mass": ("mass", 30.0, 3_000.0),
    "work.diameter": ("length", 0.025, 2.6),
    "work.length": ("length", 0.3, 30.0),
    "work.width": ("length", 0.1, 15.0),
    "work.height": ("length", 0.1, 6.0),
    "work.mass": ("mass", 5.0, 5_000.0),
    "work.volume": ("volume", 0.1, 2_000.0),
    "work.count": ("count", 2.0, 5_000.0),
    "site.slope": ("slope", 0.01, 1.0),
    "site.gate": ("length", 0.9, 9.0),
    "site.lift_to": ("length", 0.3, 6.0),
    "site.haul_distance": ("length", 5.0, 10_000.0),
    "wishes.budget": ("money", 200.0, 60_000.0),
    "wishes.hours_per_year": ("hours", 3.0, 3_000.0),
    "seen_elsewhere[0].mass": ("mass", 50.0, 2_000.0),
    "seen_elsewhere[0].width": ("length", 0.6, 3.0),
    "seen_elsewhere[0].price": ("money", 150.0, 30_000.0),
}


def quantity(letter: Letter, place: str, amount: Amount, why: str, sure: bool = True, entry: str = "") -> Found | None:
    """A quantity as a fact; None where it can't be read or no such thing is that large or small."""
    named = place if not place.startswith("work[") else "work." + place.split(".", 1)[1]
    dimension, least, greatest = BOUNDS[named]
    written = entry or amount.entry
    try:
        value = read_quantity(written, dimension).value
    except QuantityError:
        return None
    if dimension == "hours":  # the record keeps hours
        least, greatest = BOUNDS[named][1:]
    if not least <= value <= greatest:
        return None
    start, end = letter.span(amount.start, amount.end)
    plain = int(value) if dimension in ("count", "money", "hours") and value == int(value) else value
    whole = int(value) if dimension == "count" and value == int(value) and not amount.about else written
    return Found(place, plain, whole, start, end, sure and not amount.about and amount.low == amount.high, why)
