"""The tractor: masses, axles, tyres, hydraulics and electrics in its ready state."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated, Any, ClassVar, Literal

from pydantic import Field, model_validator

from handfast.machines.fields import (
    ONE_OR_MORE,
    UNKNOWN,
    Angle,
    Charge,
    Contradiction,
    Current,
    Density,
    Flow,
    Length,
    Load,
    Mass,
    Power,
    Pressure,
    Record,
    Rotation,
    SomeFlow,
    SomeMass,
    Voltage,
    Volume,
    Whole,
    show_pair,
)
from handfast.machines.loader import Loader, not_above
from handfast.machines.part import Connection

MachineClass = Literal["subcompact", "compact_small", "compact_large", "utility"]
CLASSES: dict[str, str] = {
    "subcompact": "sub-compact",
    "compact_small": "small compact",
    "compact_large": "large compact",
    "utility": "utility",
}
"""The classes as they are said."""

AXLES_SHARE = 0.02  # front and rear may miss the mass by this share of it
LINES_BEYOND = 7  # cylinders 4, pump, tank, and the one that feeds what comes after
AXLES_MASS = 20.0  # kg, or by this much


class Tyre(Record):
    """The tyres of one axle."""

    size: str = ""
    load_index: Whole | None = None
    load_each: Mass = UNKNOWN
    count: Whole | None = None
    radius: Length = UNKNOWN


class TyreFill(Record):
    """Liquid in tyres, all filled tyres of the axle together; the word "filled" says that there is some."""

    written_also: ClassVar[tuple[dict[str, Any], ...]] = ({"const": "filled"},)

    volume: Volume = UNKNOWN
    fluid: str = ""
    density: Density = UNKNOWN

    @model_validator(mode="before")
    @classmethod
    def _from_word(cls, given: Any) -> Any:
        """Read the word "filled"."""
        return {} if isinstance(given, str) and given.strip().lower() == "filled" else given


class Ports(Record):
    """Where hoses meet the machine."""

    rear: Connection | None = None
    front: Connection | None = None
    mid: Connection | None = None
    loader_valve: Connection | None = None


class Machine(Record):
    """A tractor with its front loader, as far as it is known."""

    record: str | None = None
    id: str = ""
    name: str = ""
    maker: str = ""
    model: str = ""
    year: Whole | None = None
    serial: str = ""
    notes: str = ""
    class_: MachineClass | None = Field(default=None, alias="class")
    engine_power: Power = UNKNOWN
    mass: Mass = UNKNOWN
    front_axle_mass: Mass = UNKNOWN
    rear_axle_mass: Mass = UNKNOWN
    bare_mass: Mass = UNKNOWN
    front_axle_assembly_mass: Mass = UNKNOWN
    with_: Annotated[tuple[str, ...], ONE_OR_MORE] = Field(default=(), alias="with")
    cg_height: Length = UNKNOWN
    wheelbase: Length = UNKNOWN
    front_track: Length = UNKNOWN
    rear_track: Length = UNKNOWN
    overall_width: Length = UNKNOWN
    front_pivot_height: Length = UNKNOWN
    front_axle_swing: Angle = UNKNOWN
    front_axle_rating: Mass = UNKNOWN
    rear_axle_rating: Mass = UNKNOWN
    gross_rating: Mass = UNKNOWN
    front_tyre: Tyre = Tyre()
    rear_tyre: Tyre = Tyre()
    tyre_fill: TyreFill | None = None
    front_tyre_fill: TyreFill | None = None
    wheel_weights: SomeMass = UNKNOWN
    hitch_lift: Load = UNKNOWN
    hitch_lift_610: Load = UNKNOWN
    hitch_behind_axle: Length = UNKNOWN
    rear_remotes: Whole | None = None
    front_functions: Whole | None = None
    mid_outlets: Whole | None = None
    factory_third_function: bool | None = None
    remote_detent: bool | None = None
    remote_lever: str | None = None
    lines_at_valve: Whole | None = None
    outlets: str = ""
    pump_flow: Flow = UNKNOWN
    steering_flow: SomeFlow = UNKNOWN
    implement_flow: Flow = UNKNOWN
    rated_speed: Rotation = UNKNOWN
    working_speed: Rotation = UNKNOWN
    relief_pressure: Pressure = UNKNOWN
    port_relief: Pressure = UNKNOWN
    centre: Literal["open", "closed", "load_sensing"] | None = None
    dump_regenerative: bool | None = None
    power_beyond: bool | None = None
    four_wheel_drive: bool | None = None
    cab: bool | None = None
    rops: Literal["up", "folded", "none"] | None = None
    seat_belt: bool | None = None
    belly_mower: bool | None = None
    backhoe: bool | None = None
    pin_diameter: Length = UNKNOWN
    pin_spacing: Length = UNKNOWN
    arm_spacing: Length = UNKNOWN
    stick: str = ""
    quick_attach: str | None = None
    battery_reserve: Charge = UNKNOWN
    alternator: Current = UNKNOWN
    volts: Voltage = UNKNOWN
    ports: Ports = Ports()
    loader: Loader = Loader()

    def contradictions(self) -> Iterator[Contradiction]:
        """Axles against the whole, bare against ready, working against rated speed."""
        yield from self._axles()
        yield from self._lines()
        yield from not_above("front_axle_mass", self.front_axle_mass, "mass", self.mass, "mass")
        yield from not_above("rear_axle_mass", self.rear_axle_mass, "mass", self.mass, "mass")
        yield from not_above("bare_mass", self.bare_mass, "mass", self.mass, "mass")
        yield from not_above("loader.mass", self.loader.mass, "mass", self.mass, "mass")
        yield from not_above("steering_flow", self.steering_flow, "pump_flow", self.pump_flow, "flow")
        yield from not_above("front_track", self.front_track, "overall_width", self.overall_width, "length")
        yield from not_above("rear_track", self.rear_track, "overall_width", self.overall_width, "length")

    def _lines(self) -> Iterator[Contradiction]:
        """Six lines at the loader valve: nothing is fed beyond it; seven: something is."""
        lines = self.lines_at_valve
        if lines is None or self.power_beyond is None or self.power_beyond == (lines >= LINES_BEYOND):
            return
        asked = f"{LINES_BEYOND} or more, since" if self.power_beyond else f"fewer than {LINES_BEYOND}, since no"
        yield Contradiction("lines_at_valve", str(lines), f"{asked} power beyond is stated")

    def _axles(self) -> Iterator[Contradiction]:
        """Front and rear axle together must be the mass, within rounding."""
        front, rear, mass = self.front_axle_mass, self.rear_axle_mass, self.mass
        if front.is_unknown or rear.is_unknown or mass.is_unknown:
            return
        slack = max(AXLES_SHARE * mass.value, AXLES_MASS) * (1 + 1e-9)
        low, high = front.least + rear.least - slack, front.greatest + rear.greatest + slack
        if mass.greatest < low or mass.least > high:
            found = f"{show_pair(front, 'mass')} in front and {show_pair(rear, 'mass')} behind"
            total = f"{show_pair(mass, 'mass')} (within 2 % or 20 kg)"
            yield Contradiction("front_axle_mass", found, f"together the mass, {total}")
