"""Reckon what a loader lifts from its linkage: one file in, one table for each load out."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated, Any

import numpy as np
from pydantic import Field

from handfast.machines.attachment import Attachment
from handfast.machines.fields import ONE_OR_MORE, Contradiction, Point, Record
from handfast.machines.loader import Cylinder as RecordedCylinder
from handfast.machines.loader import Linkage, Loader
from handfast.machines.reading import read_model
from handfast.machines.tractor import Machine
from handfast.physics.lift import Pivot, capacity, carried, carried_one, rating_at_height, rating_slope
from handfast.physics.linkage import LinkageMap, level_path, stroke
from handfast.physics.linkage_fit import Loader as Linked
from handfast.physics.linkage_force import Cylinder, Weights, breakout, lump
from handfast.physics.linkage_plane import Plane
from handfast.physics.linkage_pose import LinkagePoints, pose, reference_lengths
from handfast.quantities.arrays import Array
from handfast.quantities.estimate import Estimate

ALWAYS = ("arm_pivot", "lift_base", "lift_rod", "tool_pivot", "tilt_base", "tilt_rod")
TOGETHER = (("bellcrank_pivot", "link_bellcrank", "link_tool"), ("level_chassis", "level_rod", "lever_pivot"))
CYLINDER = ("bore", "rod", "count", "retracted", "extended")
CERTAIN = ("known", "unknown")
LINKAGE = "machine.loader.linkage"


class LoadAt(Record):
    """A load by its centre of gravity from the tool pivot, tool level."""

    cg: Point


class LiftSteps(Record):
    """How many rows from the shortest to the longest lift cylinder, both ends included."""

    steps: Annotated[int, Field(ge=2, le=1000)] = 9


class LiftFile(Record):
    """The file of `reckon lift`."""

    title: str = ""
    locale: str = "en_US"
    machine: Machine
    attachment: Attachment = Attachment()
    load: Annotated[tuple[LoadAt, ...], ONE_OR_MORE, Field(min_length=1)]
    lift: LiftSteps = LiftSteps()

    def contradictions(self) -> Iterator[Contradiction]:
        """Everything that the reckoning needs and the file does not say."""
        yield from linkage_gaps(self.machine)
        if not self.attachment.mass.is_unknown:
            yield from _missing(self.attachment.cg, "attachment.cg")
            for name in ("plane_ahead", "plane_drop"):
                yield from _missing(getattr(self.machine.loader, name), f"machine.loader.{name}")


def linkage_gaps(machine: Machine) -> Iterator[Contradiction]:
    """What a machine's record lacks for a reckoning from its linkage; nothing when it can be done."""
    linkage = _linkage(machine)
    yield from _missing(machine.relief_pressure, "machine.relief_pressure")
    for name in _needed_pins(linkage):
        yield from _missing(getattr(linkage.pins, name), f"{LINKAGE}.pins.{name}")
    for side in ("lift", "tilt"):
        for part in CYLINDER:
            yield from _missing(getattr(getattr(linkage, side), part), f"{LINKAGE}.{side}.{part}")
    if not linkage.arm.mass.is_unknown:
        yield from _missing(linkage.arm.cg, f"{LINKAGE}.arm.cg")


def linkage_of(machine: Machine) -> Linked:
    """A machine's linkage as the handbook takes it, bare quick attach on; for machines without `linkage_gaps`."""
    linkage = _linkage(machine)
    lift, tilt = _cylinder(linkage.lift), _cylinder(linkage.tilt)
    flow = machine.implement_flow if machine.pump_flow.is_unknown else machine.pump_flow
    return Linked(points_of(linkage), weights_of(machine, Attachment()), lift, tilt, pressure_of(machine), flow.value)


def reckon_lift(text: str, file: str = "lift.toml") -> dict[str, Any]:
    """What the loader of a file lifts along its level path, for each load asked.

    Args:
        text: TOML text of the file.
        file: its name, for the faults.

    Returns:
        `loads` with `cg` and `rows`, the breakout with the arms down, the kind of linkage and notes; SI, None where
        there is no figure.

    Raises:
        Faults: everything that is wrong with or missing from the file.
    """
    asked = read_model(LiftFile, text, file)
    loads = [
        {"cg": [float(each.cg.x.value), float(each.cg.z.value)], "rows": rows_of(asked, each)} for each in asked.load
    ]
    return {
        "loads": loads,
        "breakout": _breakout(asked.machine),
        "kind": kind_of(_linkage(asked.machine)),
        "notes": list(notes(asked)),
    }


def rows_of(asked: LiftFile, load: LoadAt) -> list[dict[str, Any]]:
    """The table of one load, from the shortest to the longest lift cylinder."""
    made = linkage_of(asked.machine)
    hung = weights_of(asked.machine, asked.attachment)
    lengths = stroke(made.lift, asked.lift.steps)
    path = level_path(made.points, hung, made.lift, made.tilt, made.pressure, _plane(load.cg), lengths)
    pin = pose(made.points, lengths, reference_lengths(made.points)[1]).pin
    rated = _rated(asked, made.points, pin, float(load.cg.x.value))
    return [_row(path, pin, lengths, rated, i) for i in range(len(lengths))]


def points_of(linkage: Linkage) -> LinkagePoints:
    """The pins as the handbook takes them."""
    pins = {name: getattr(linkage.pins, name) for name in LinkagePoints._fields}
    return LinkagePoints(**{name: _plane(place) for name, place in pins.items() if place is not None})


def kind_of(linkage: Linkage) -> str:
    """Direct, bellcrank, levelling, or levelling with a bellcrank."""
    words = [linkage.pins.lever_pivot and "levelling", linkage.pins.bellcrank_pivot and "bellcrank"]
    return "_".join(str(word) for word in words if word) or "direct"


def weights_of(machine: Machine, attachment: Attachment) -> Weights:
    """Arms, and quick attach and attachment together; what is not known weighs nothing (`notes` says so)."""
    linkage, loader = _linkage(machine), machine.loader
    points = points_of(linkage)
    mass, centre = _or_zero(linkage.arm.mass), points.arm_pivot
    if linkage.arm.cg is not None:
        centre = _plane(linkage.arm.cg)
    elif not loader.arms_mass.is_unknown:
        mass, centre = _or_zero(loader.arms_mass), np.asarray((points.arm_pivot + points.tool_pivot) / 2)
    total, middle = lump(*_hung(loader, attachment))
    return Weights(mass, centre, total, middle)


def pressure_of(machine: Machine) -> float:
    """Relief pressure at the loader's ports, the lower of pump and port relief [Pa]."""
    port = machine.port_relief
    return float(np.fmin(machine.relief_pressure.value, np.nan if port.is_unknown else port.value))


def notes(asked: LiftFile) -> Iterator[str]:
    """What the reckoning took for want of a figure."""
    loader, linkage = asked.machine.loader, _linkage(asked.machine)
    if linkage.arm.mass.is_unknown and loader.arms_mass.is_unknown:
        yield "The mass of the arms is not given; they are taken as weightless."
    elif linkage.arm.mass.is_unknown:
        yield "The arms' centre of gravity is taken half way between arm pivot and tool pivot."
    if loader.quick_attach_mass.is_unknown and asked.machine.quick_attach != "pinned":
        yield "The mass of the quick attach is not given; it is taken as weightless."
    elif _or_zero(loader.quick_attach_mass) > 0 and loader.quick_attach_cg is None:
        yield "The quick attach's centre of gravity is not given; it is taken at the tool pin."
    if asked.attachment.mass.is_unknown:
        yield "No attachment mass is given; the figures are for the bare quick attach."
    if any(_spread(part) for part in (asked.machine, asked.attachment, *asked.load)):
        yield "Figures given with a spread are taken at their likeliest value."


def _spread(record: Record) -> bool:
    """Whether any quantity of a record, or of a record in it, is neither one value nor unknown."""
    values = [getattr(record, name) for name in record.model_fields_set]
    return any(
        _spread(value) if isinstance(value, Record) else isinstance(value, Estimate) and value.kind not in CERTAIN
        for value in values
    )


def _missing(found: object, place: str) -> Iterator[Contradiction]:
    unknown = found is None or (isinstance(found, Estimate) and found.is_unknown)
    if unknown:
        yield Contradiction(place, "nothing", "this entry, which is needed")


def _needed_pins(linkage: Linkage) -> list[str]:
    """The six pins of every loader, and each set of further pins that is begun."""
    begun = [group for group in TOGETHER if any(getattr(linkage.pins, name) is not None for name in group)]
    return [*ALWAYS, *(name for group in begun for name in group)]


def _linkage(machine: Machine) -> Linkage:
    return machine.loader.linkage or Linkage()


def _plane(place: Point) -> Plane:
    return np.asarray(complex(place.x.value, place.z.value))


def _or_zero(estimate: Estimate) -> float:
    return 0.0 if estimate.is_unknown else float(estimate.value)


def _cylinder(own: RecordedCylinder) -> Cylinder:
    return Cylinder(own.bore.value, own.rod.value, float(own.count or 0), own.retracted.value, own.extended.value)


def _hung(loader: Loader, tool: Attachment) -> tuple[list[float], Plane]:
    """Masses on the tool plate and their places from the tool pin, tool level: quick attach, attachment."""
    quick = 0j if loader.quick_attach_cg is None else complex(_plane(loader.quick_attach_cg))
    plane = complex(_or_zero(loader.plane_ahead), -_or_zero(loader.plane_drop))
    place = plane + (0j if tool.cg is None else complex(_plane(tool.cg)))
    return [_or_zero(loader.quick_attach_mass), _or_zero(tool.mass)], np.array([quick, place])


def _breakout(machine: Machine) -> dict[str, float | None]:
    """Arms down, tool level, bare quick attach [kg]."""
    made = linkage_of(machine)
    low = breakout(made.points, made.weights, made.lift, made.tilt, made.pressure, made.lift.retracted)
    return {name: _number(value) for name, value in low._asdict().items()}


def _rated(asked: LiftFile, points: LinkagePoints, pin: Plane, ahead: float) -> Array:
    """The published rating turned to this load, what hangs there taken off; nan where not published [kg]."""
    loader = asked.machine.loader
    top, top_500, low, low_500 = (
        each.value
        for each in (loader.lift_at_pin, loader.lift_at_500, loader.lift_at_pin_1500, loader.lift_at_500_1500)
    )
    arm = points.tool_pivot - points.arm_pivot
    pivot = Pivot(points.arm_pivot.real, points.arm_pivot.imag, np.abs(arm), np.asarray(np.nan))
    high = pin.imag[-1] if loader.pin_height_max.is_unknown else loader.pin_height_max.value
    slope = rating_slope(top, top_500)
    rating, fall = rating_at_height(top, slope, low, low_500, pin.imag, pivot, high)
    if loader.ratings_with == "bucket" and not loader.ratings_with_mass.is_unknown:
        rating = rating + carried_one(loader.ratings_with_mass.value, fall, _or_zero(loader.ratings_with_ahead))
    masses, places = _hung(loader, asked.attachment)
    if loader.ratings_with in ("quick_attach", "bucket"):
        masses = [0.0, masses[1]]
    return capacity(rating - carried(masses, fall, places.real), fall, ahead)


def _row(path: LinkageMap, pin: Plane, lengths: Array, rated: Array, i: int) -> dict[str, Any]:
    limits = {"lift": path.lift_limited[i], "curl": path.curl_limited[i]}
    if not np.isnan(path.tilt_length[i]):
        limits["rated"] = np.maximum(rated[i], 0.0)
    known = {name: float(value) for name, value in limits.items() if not np.isnan(value)}
    governs = min(known, key=lambda name: known[name]) if known else None
    return {
        "lift_length": float(lengths[i]),
        "tilt_length": _number(path.tilt_length[i]),
        "pin_x": _number(pin[i].real),
        "pin_z": _number(pin[i].imag),
        "lift_limited": known.get("lift"),
        "curl_limited": known.get("curl"),
        "rated": known.get("rated"),
        "capacity": known[governs] if governs else None,
        "governs": governs,
        "holds_itself": None if np.isnan(path.tilt_length[i]) else bool(path.holds_itself[i]),
    }


def _number(value: Any) -> float | None:
    return None if np.isnan(value) else float(value)
