"""The attachment: what is hung on the loader."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated, Literal

from handfast.machines.fields import (
    ONE_OR_MORE,
    UNKNOWN,
    AnyForce,
    Area,
    Contradiction,
    Current,
    Days,
    Force,
    Length,
    Mass,
    Money,
    Point,
    Polyline,
    Pressure,
    Record,
    SomeCurrent,
    SomeLength,
    Speed,
    Supplied,
    Voltage,
    Volume,
    Whole,
    distance,
)
from handfast.machines.loader import Cylinder, extended_against_retracted, out_of_reach, rod_against_bore
from handfast.machines.part import Connection
from handfast.machines.prices import DatedPrice, Day, backwards

AttachmentKind = Literal[
    "root_grapple",
    "rock_grapple",
    "brush_grapple",
    "log_grapple",
    "grapple_bucket",
    "fork_grapple",
    "sweep_grapple",
    "silage_grab",
    "rake_grapple",
    "pallet_forks",
    "bucket",
    "stump_bucket",
    "angle_blade",
    "snow_pusher",
    "landscape_rake",
]
LidHold = Literal["none", "pilot_check", "self_locking"]


class Hydraulics(Record):
    """The attachment's own cylinders."""

    cylinders: Whole | None = None
    bore: Length = UNKNOWN
    rod: Length = UNKNOWN
    stroke: Length = UNKNOWN
    close: Literal["extend", "retract"] = "extend"
    pressure_max: Pressure = UNKNOWN
    ports: Annotated[tuple[Connection, ...], ONE_OR_MORE] = ()
    hoses_supplied: Supplied | None = None
    fittings_supplied: Supplied | None = None

    def contradictions(self) -> Iterator[Contradiction]:
        """Rod against bore."""
        yield from rod_against_bore(self.rod, self.bore)


class Electrics(Record):
    """The attachment's electric actuator."""

    force: Force = UNKNOWN
    speed: Speed = UNKNOWN
    current: Current = UNKNOWN
    stroke: Length = UNKNOWN
    idle_current: SomeCurrent = UNKNOWN
    full_current: Current = UNKNOWN
    full_force: AnyForce = UNKNOWN
    volts: Voltage = UNKNOWN


class Jaw(Record):
    """Inner faces of floor and lid in the attachment frame, lid closed, and the lid's cylinder."""

    floor: Polyline = ()
    lid: Polyline = ()
    lid_pivot: Point | None = None
    cylinder_base: Point | None = None
    cylinder_rod: Point | None = None
    retracted: Length = UNKNOWN
    extended: Length = UNKNOWN

    def contradictions(self) -> Iterator[Contradiction]:
        """The cylinder must reach between its pins with the lid closed."""
        yield from extended_against_retracted(self.retracted, self.extended)
        cylinder = Cylinder(retracted=self.retracted, extended=self.extended)
        apart = distance(self.cylinder_base, self.cylinder_rod)
        yield from out_of_reach("cylinder_rod", cylinder, apart, "cylinder_base to cylinder_rod, lid closed")
        for name in ("floor", "lid"):
            if len(getattr(self, name)) == 1:
                yield Contradiction(name, "one point", "two points or more")


class Shipping(Record):
    """The attachment as it is packed."""

    length: Length = UNKNOWN
    width: Length = UNKNOWN
    height: Length = UNKNOWN
    mass: Mass = UNKNOWN
    freight_class: str = ""


class Attachment(Record):
    """A grapple, fork, bucket or blade, as far as it is known."""

    record: str | None = None
    id: str = ""
    kind: AttachmentKind | None = None
    name: str = ""
    maker: str = ""
    supplier: str = ""
    notes: str = ""
    width: Length = UNKNOWN
    mass: Mass = UNKNOWN
    cg: Point | None = None
    interfaces: Annotated[tuple[str, ...], ONE_OR_MORE] = ()
    load_centre: Point | None = None
    rated_load: Mass = UNKNOWN
    heaped_volume: Volume = UNKNOWN
    bite_area: Area = UNKNOWN
    lids: Whole | None = None
    opening_tip: Length = UNKNOWN
    opening_throat: Length = UNKNOWN
    actuation: Literal["hydraulic", "electric", "curl", "none"] | None = None
    lid_hold: LidHold | None = None
    hydraulics: Hydraulics | None = None
    electrics: Electrics | None = None
    jaw: Jaw | None = None
    tine_spacing: Length = UNKNOWN
    step_height: SomeLength = UNKNOWN
    rollback_reach: SomeLength = UNKNOWN
    price: Money = UNKNOWN
    list_price: Money = UNKNOWN
    cost: Money = UNKNOWN
    valid_from: Day = ""
    valid_to: Day = ""
    prices: tuple[DatedPrice, ...] = ()
    lead_days: Days = UNKNOWN
    stock: Whole | None = None
    place: str = ""
    serial: str = ""
    condition: str = ""
    shipping: Shipping | None = None

    def contradictions(self) -> Iterator[Contradiction]:
        """Lids against the kind of actuation; times that end before they begin."""
        yield from backwards("", self)
        for place, one in enumerate(self.prices):
            yield from backwards(f"prices[{place}].", one)
        if self.lids is not None and self.lids > 2:
            yield Contradiction("lids", f"{self.lids}", "0, 1 or 2")
        if self.lids and self.actuation == "none":
            yield Contradiction("actuation", f"none, with {self.lids} lids", "hydraulic, electric or curl")


class SeenElsewhere(Attachment):
    """What the caller found somewhere else; it becomes a candidate with its reasons."""

    where: str = ""
    shipping_included: bool | None = None
    says: str = ""
