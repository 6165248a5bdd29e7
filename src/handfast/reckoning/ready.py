"""What the balance chapters need of a machine: its axle masses, liquid and wheel weights on, and its limits."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np

from handfast.machines.fields import Contradiction
from handfast.machines.tractor import Machine, Tyre, TyreFill
from handfast.physics import tyres
from handfast.quantities.estimate import Estimate

LENGTH = "a length such as 55 in"
MASS = "a mass such as 1300 lb"


class Ready(NamedTuple):
    """Axle masses [kg] with liquid and wheel weights, wheelbase [m], and what had to be left out."""

    front: float
    rear: float
    wheelbase: float
    left_out: list[str]


class Limit(NamedTuple):
    """A limit of the machine: the check that it belongs to, what it bears on, and how much [kg]."""

    check: str
    of: str
    capacity: float


def left_out(place: str, expected: str) -> Contradiction:
    """An entry that the chapter can't do without."""
    return Contradiction(place, "nothing", expected)


def missing(machine: Machine) -> Iterator[Contradiction]:
    """Entries without which axle masses can't be reckoned.

    Args:
        machine: as it was given.

    Returns:
        one contradiction for each.

    >>> [each.place for each in missing(Machine(mass="900 kg", front_axle_mass="500 kg"))]
    ['machine.wheelbase']
    """
    if machine.wheelbase.is_unknown:
        yield left_out("machine.wheelbase", LENGTH)
    known = [e for e in (machine.mass, machine.front_axle_mass, machine.rear_axle_mass) if not e.is_unknown]
    if len(known) < 2:
        place = "machine.front_axle_mass" if machine.front_axle_mass.is_unknown else "machine.mass"
        yield left_out(place, f"two of mass, front_axle_mass and rear_axle_mass, each {MASS}")


def ready(machine: Machine) -> Ready:
    """Axle masses of the machine by itself, arms down.

    Args:
        machine: one of which `missing` finds nothing missing.

    Returns:
        Ready; ranges count with their middle.

    >>> ready(Machine(mass="900 kg", front_axle_mass="500 kg", wheelbase="1.5 m"))[:3]
    (500.0, 400.0, 1.5)
    """
    mass, front, rear = machine.mass.value, machine.front_axle_mass.value, machine.rear_axle_mass.value
    front = mass - rear if np.isnan(front) else front
    rear = rear if np.isnan(mass) else mass - front
    notes: list[str] = []
    rear += _fill(machine, machine.tyre_fill, machine.rear_tyre, "tyre_fill", notes)
    front += _fill(machine, machine.front_tyre_fill, machine.front_tyre, "front_tyre_fill", notes)
    if not machine.wheel_weights.is_unknown and "wheel_weights" not in machine.with_:
        rear += machine.wheel_weights.value
    return Ready(front, rear, machine.wheelbase.value, notes)


def _fill(machine: Machine, fill: TyreFill | None, tyre: Tyre, name: str, notes: list[str]) -> float:
    """Mass of the liquid in the tyres of one axle; 0 and a note where it can't be reckoned."""
    if fill is None or name in machine.with_:
        return 0.0
    volume, density = fill.volume.value, fill.density.value
    if np.isnan(volume) and tyre.size:
        volume = tyres.fill_volume(tyre.size) * (2 if tyre.count is None else tyre.count)
    if np.isnan(density) and fill.fluid:
        try:
            density = tyres.fluid_density(fill.fluid).likely
        except KeyError:
            density = np.nan
    mass = float(tyres.fill_mass(volume, density))
    if np.isnan(mass):
        notes.append(f"machine.{name}: liquid of unknown volume or density, left out")
        return 0.0
    return mass


def limits(machine: Machine) -> list[Limit]:
    """Limits of axles, tyres and the whole that are known.

    Args:
        machine: as it was given.

    Returns:
        limits in the order of the checks.

    >>> limits(Machine(front_axle_rating="1500 kg", rear_tyre={"load_index": 121, "count": 2}))[1]
    Limit(check='balance.rear_tyres', of='rear', capacity=2900.0)
    """
    found = [
        Limit("balance.front_axle", "front", machine.front_axle_rating.value),
        Limit("balance.rear_axle", "rear", machine.rear_axle_rating.value),
        Limit("balance.front_tyres", "front", _tyre_load(machine.front_tyre)),
        Limit("balance.rear_tyres", "rear", _tyre_load(machine.rear_tyre)),
        Limit("balance.gross", "whole", machine.gross_rating.value),
    ]
    return [limit for limit in found if not np.isnan(limit.capacity)]


def _tyre_load(tyre: Tyre) -> float:
    """What the tyres of one axle carry together; nan where the tyre wall has not been read."""
    each = tyre.load_each.value
    if np.isnan(each) and tyre.load_index is not None:
        each = float(tyres.load_of_index(tyre.load_index))
    return each * (2 if tyre.count is None else tyre.count)


def number(value: float | np.floating | np.ndarray) -> float | None:
    """A plain number for the result; None for what is without end or not known.

    Args:
        value: one number.

    Returns:
        float or None.

    >>> number(float("inf")) is None
    True
    """
    plain = float(value)
    return plain if np.isfinite(plain) else None


def first_known(*estimates: Estimate) -> float:
    """Value of the first estimate that is known, nan if none.

    Args:
        estimates: in order of preference.

    Returns:
        float.

    >>> first_known(Estimate.unknown(), Estimate.known(2.0))
    2.0
    """
    return next((e.value for e in estimates if not e.is_unknown), float("nan"))
