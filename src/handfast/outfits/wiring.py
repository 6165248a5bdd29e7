"""The wiring of an electric lid with the cable and fuse chosen for it: current, loss, time, average draw."""

from __future__ import annotations

from dataclasses import dataclass
from math import isnan

from handfast.machines.inquiry import Inquiry
from handfast.machines.shelf import Shelf
from handfast.outfits.outfit import Outfit
from handfast.outfits.part_counts import SUPPLY, cable_for, current_of, fuse_for
from handfast.physics import electrics as el
from handfast.physics.wire import gauge_number
from handfast.reckoning.needs import value_of

NAN = float("nan")
STROKES_A_LOAD = 2  # closing and opening


@dataclass(frozen=True)
class Wiring:
    """Current [A], cable (gauge, one way [m]) and fuse [A], voltages, seconds a stroke, amperes that the work takes."""

    current: float
    fuse: float
    fuse_name: str
    gauge: str
    length: float
    cable_name: str
    bears: float
    drop: float
    supply: float
    seconds: float
    strokes_an_hour: float
    on_average: float
    alternator: float

    @property
    def share(self) -> float:
        """Share of the supply that the cable loses."""
        return self.drop / self.supply


def wiring_of(outfit: Outfit, inquiry: Inquiry, shelf: Shelf, loads_an_hour: float = NAN) -> Wiring | None:
    """The wiring of an electric lid.

    Args:
        outfit: the outfit.
        inquiry: resolved inquiry.
        shelf: cables and fuses.
        loads_an_hour: of the work, closing and opening each.

    Returns:
        `Wiring`; None where the lid is not electric. What nobody has said is nan.

    Source: Ohm's law, awg.csv, ampacity.csv, fuses.csv (`physics.electrics`); cable and fuse as on the parts list.

    Example:
        >>> from handfast.outfits.example_piped import wired
        >>> made = wiring_of(wired().outfit, wired().inquiry, wired().shelf)
        >>> made.current, made.fuse, made.gauge
        (22.0, 30.0, '10')
    """
    described = outfit.attachment.electrics
    if outfit.power.route != "electric" or described is None:
        return None
    current, cable, fuse = current_of(outfit), cable_for(outfit, shelf), fuse_for(outfit, shelf)
    gauge, length = ("", NAN) if cable is None else (cable.gauge, value_of(cable.length))
    supply = value_of(described.volts, SUPPLY)
    drop = NAN if cable is None else float(el.voltage_drop(current, float(gauge_number(gauge)), length))
    slower = 1.0 if isnan(drop) else 1.0 - drop / supply
    speed, stroke = value_of(described.speed) * slower, value_of(described.stroke)
    seconds = float(el.stroke_time(stroke, speed))
    hourly = STROKES_A_LOAD * loads_an_hour
    return Wiring(
        current,
        NAN if fuse is None else value_of(fuse.current),
        "" if fuse is None else fuse.name or fuse.id,
        gauge,
        length,
        "" if cable is None else cable.name or cable.id,
        NAN if cable is None else el.ampacity(gauge),
        drop,
        supply,
        seconds,
        3600.0 / seconds if seconds > 0.0 else NAN,
        float(el.day_charge(current, seconds, hourly)) / 3600.0,
        value_of(inquiry.machine.alternator),
    )
