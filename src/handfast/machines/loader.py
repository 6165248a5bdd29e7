"""The front loader: ratings from the sheet, pins where they were measured."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal

from handfast.machines.fields import (
    UNKNOWN,
    Angle,
    Contradiction,
    Coordinate,
    Length,
    Load,
    Mass,
    Point,
    Record,
    SomeMass,
    Time,
    Whole,
    above,
    distance,
    show_pair,
)
from handfast.quantities.estimate import Estimate

REACH_TOLERANCE = 1e-3  # m: drawings give pins to the millimetre


class PinAhead(Record):
    """Horizontal distance of the attachment pin ahead of the front axle at three heights."""

    down: Coordinate = UNKNOWN
    level: Coordinate = UNKNOWN
    up: Coordinate = UNKNOWN


class Cylinder(Record):
    """A pair or a single hydraulic cylinder of the loader."""

    bore: Length = UNKNOWN
    rod: Length = UNKNOWN
    count: Whole | None = None
    retracted: Length = UNKNOWN
    extended: Length = UNKNOWN

    def contradictions(self) -> Iterator[Contradiction]:
        """Rod against bore, extended against retracted."""
        yield from rod_against_bore(self.rod, self.bore)
        yield from extended_against_retracted(self.retracted, self.extended)


class Pins(Record):
    """Pin positions in the tractor frame at the reference pose, tool level."""

    arm_pivot: Point | None = None
    lift_base: Point | None = None
    lift_rod: Point | None = None
    tool_pivot: Point | None = None
    tilt_base: Point | None = None
    tilt_rod: Point | None = None
    bellcrank_pivot: Point | None = None
    link_bellcrank: Point | None = None
    link_tool: Point | None = None
    level_chassis: Point | None = None
    level_rod: Point | None = None
    lever_pivot: Point | None = None


class Arm(Record):
    """Both loader arms together."""

    mass: SomeMass = UNKNOWN
    cg: Point | None = None


class Linkage(Record):
    """The loader's pins, cylinders and arms."""

    pins: Pins = Pins()
    lift: Cylinder = Cylinder()
    tilt: Cylinder = Cylinder()
    arm: Arm = Arm()

    def contradictions(self) -> Iterator[Contradiction]:
        """Each cylinder must reach between its pins at the reference pose."""
        pins = self.pins
        yield from out_of_reach("lift", self.lift, distance(pins.lift_base, pins.lift_rod), "lift_base to lift_rod")
        yield from out_of_reach("tilt", self.tilt, distance(pins.tilt_base, pins.tilt_rod), "tilt_base to tilt_rod")


class Loader(Record):
    """A front loader with its printed ratings."""

    name: str = ""
    lift_at_pin: Load = UNKNOWN
    lift_at_500: Load = UNKNOWN
    lift_at_pin_1500: Load = UNKNOWN
    lift_at_500_1500: Load = UNKNOWN
    breakout_at_pin: Load = UNKNOWN
    breakout_at_500: Load = UNKNOWN
    curl_at_500: Load = UNKNOWN
    pin_height_max: Length = UNKNOWN
    pin_height_down: Coordinate = UNKNOWN
    dump_angle: Angle = UNKNOWN
    ratings_with: Literal["nothing", "quick_attach", "bucket"] | None = None
    ratings_with_mass: Mass = UNKNOWN
    ratings_with_ahead: Coordinate = UNKNOWN
    rounding: SomeMass = UNKNOWN
    mass: Mass = UNKNOWN
    arms_mass: Mass = UNKNOWN
    quick_attach_mass: SomeMass = UNKNOWN
    quick_attach_cg: Point | None = None
    pin_ahead: PinAhead = PinAhead()
    self_levelling: bool | None = None
    raise_time: Time = UNKNOWN
    curl_time: Time = UNKNOWN
    plane_ahead: Coordinate = UNKNOWN
    plane_drop: Coordinate = UNKNOWN
    linkage: Linkage | None = None
    notes: str = ""

    def contradictions(self) -> Iterator[Contradiction]:
        """A rating further out is never above the one at the pin; down is below up; the arms are part of the loader."""
        for far, near in (("lift_at_500", "lift_at_pin"), ("lift_at_500_1500", "lift_at_pin_1500")):
            yield from not_above(far, getattr(self, far), near, getattr(self, near), "mass")
        yield from not_above("breakout_at_500", self.breakout_at_500, "breakout_at_pin", self.breakout_at_pin, "mass")
        yield from not_above("pin_height_down", self.pin_height_down, "pin_height_max", self.pin_height_max, "length")
        yield from not_above("arms_mass", self.arms_mass, "mass", self.mass, "mass")


def not_above(small: str, lesser: Estimate, large: str, greater: Estimate, dimension: str) -> Iterator[Contradiction]:
    """One entry that may not exceed another."""
    if above(lesser, greater):
        limit = f"no more than {large}, {show_pair(greater, dimension)}"
        yield Contradiction(small, show_pair(lesser, dimension), limit)


def rod_against_bore(rod: Estimate, bore: Estimate) -> Iterator[Contradiction]:
    """A rod is thinner than its bore."""
    if not rod.is_unknown and not bore.is_unknown and rod.least >= bore.greatest:
        yield Contradiction("rod", show_pair(rod, "length"), f"less than the bore, {show_pair(bore, 'length')}")


def extended_against_retracted(retracted: Estimate, extended: Estimate) -> Iterator[Contradiction]:
    """An extended cylinder is longer than a retracted one."""
    if not retracted.is_unknown and not extended.is_unknown and extended.greatest <= retracted.least:
        limit = f"more than retracted, {show_pair(retracted, 'length')}"
        yield Contradiction("extended", show_pair(extended, "length"), limit)


def out_of_reach(place: str, cylinder: Cylinder, apart: float | None, between: str) -> Iterator[Contradiction]:
    """A cylinder whose pins are nearer or further apart than it can be."""
    shortest, longest = cylinder.retracted, cylinder.extended
    if apart is None or (shortest.least >= longest.greatest):
        return  # pins not measured, or lengths that are a fault by themselves
    low = shortest.least - REACH_TOLERANCE if not shortest.is_unknown else 0.0
    high = longest.greatest + REACH_TOLERANCE if not longest.is_unknown else float("inf")
    if not low <= apart <= high:
        lengths = f"{show_pair(shortest, 'length')} retracted to {show_pair(longest, 'length')} extended"
        yield Contradiction(place, f"{lengths}", f"a cylinder that reaches {between}, {apart:.4g} m")
