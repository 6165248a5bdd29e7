"""Facts in plain words: what each place of the record is called, and how its value is said."""

from __future__ import annotations

import re
from collections.abc import Sequence

from handfast.mail.found import Found

CALLED: dict[str, str] = {
    "caller.name": "Name",
    "caller.number": "Telephone",
    "caller.place": "Place",
    "caller.unloading": "Unloads with",
    "caller.residential": "Delivered to a home",
    "machine.record": "Tractor",
    "machine.name": "Tractor",
    "machine.class": "Class",
    "machine.engine_power": "Engine power",
    "machine.mass": "Tractor's weight",
    "machine.wheelbase": "Wheelbase",
    "machine.front_axle_mass": "Weight on the front axle",
    "machine.rear_axle_mass": "Weight on the rear axle",
    "machine.loader.lift_at_pin": "Lift at the pins",
    "machine.loader.lift_at_500": "Lift 500 mm ahead",
    "machine.loader.pin_height_max": "Height of the pins, up",
    "machine.hitch_lift_610": "Hitch lift, 610 mm behind",
    "machine.pump_flow": "Pump flow",
    "machine.relief_pressure": "Relief pressure",
    "machine.quick_attach": "The bucket hangs on",
    "machine.front_functions": "Spare functions in front",
    "machine.rear_remotes": "Remotes behind",
    "machine.mid_outlets": "Outlets in the middle",
    "machine.lines_at_valve": "Lines at the loader valve",
    "machine.power_beyond": "Power beyond",
    "machine.centre": "Centre",
    "machine.tyre_fill": "Tyres",
    "machine.tyre_fill.fluid": "Liquid in the tyres",
    "machine.rear_tyre.size": "Rear tyres",
    "machine.front_tyre.size": "Front tyres",
    "machine.rops": "Roll bar",
    "machine.seat_belt": "Seat belt",
    "machine.four_wheel_drive": "Four-wheel drive",
    "behind.kind": "Behind",
    "behind.mass": "Weight behind",
    "work.kind": "Work",
    "work.species": "Tree",
    "work.diameter": "Thickness",
    "work.length": "Length",
    "work.width": "Width",
    "work.height": "Height",
    "work.mass": "Weight of one",
    "work.volume": "Volume",
    "work.count": "How many",
    "site.slope": "Slope",
    "site.gate": "Gate",
    "site.lift_to": "Lift to",
    "site.haul_distance": "Way to carry",
    "attachment.record": "Attachment asked for",
    "wishes.budget": "Budget",
    "wishes.own_work": "Fits it himself",
    "wishes.hours_per_year": "Hours a year",
    "seen_elsewhere.kind": "Seen elsewhere",
    "seen_elsewhere.mass": "Its weight",
    "seen_elsewhere.width": "Its width",
    "seen_elsewhere.lids": "Its lids",
    "seen_elsewhere.actuation": "Its lid is driven",
    "seen_elsewhere.price": "Its price",
    "seen_elsewhere.shipping_included": "Shipping in the price",
}
_REPEATED = (
    "machine.record",
    "machine.name",
    "machine.engine_power",
    "machine.quick_attach",
    "machine.front_functions",
    "machine.rear_remotes",
    "work.kind",
    "work.species",
    "work.diameter",
    "work.length",
    "work.mass",
    "behind.kind",
    "behind.mass",
    "site.slope",
    "site.gate",
    "wishes.budget",
)


def general(place: str) -> str:
    """A place without the number of its line.

    >>> general("work[1].mass")
    'work.mass'
    """
    return re.sub(r"\[\d+\]", "", place)


def called(place: str) -> str:
    """What a place is called.

    >>> called("work[0].diameter"), called("machine.ports.rear")
    ('Thickness', 'machine.ports.rear')
    """
    return CALLED.get(general(place), place)


def said(one: Found) -> str:
    """A value in words.

    >>> said(Found("machine.quick_attach", "pinned", "pinned", 0, 4, True, ""))
    'pinned'
    """
    if isinstance(one.entry, bool):
        return "yes" if one.entry else "no"
    if one.place.endswith(".record"):
        return " ".join(part.upper() if part[:1].isdigit() else part.capitalize() for part in str(one.entry).split("-"))
    return (
        str(one.entry)
        if one.place.startswith("caller") or one.place.endswith(("record", "name"))
        else str(one.entry).replace("_", " ")
    )


def told(facts: Sequence[Found], units: str = "us") -> str:
    """The facts that a reply repeats, in one line.

    >>> told([Found("machine.engine_power", 17897.0, "24 hp", 0, 5, True, "")])
    'engine power 24 hp'
    """
    del units
    parts = [f"{called(one.place).lower()} {said(one)}" for one in facts if general(one.place) in _REPEATED]
    return ", ".join(parts)[:420].rsplit(", ", 1)[0] if len(", ".join(parts)) > 420 else ", ".join(parts)
