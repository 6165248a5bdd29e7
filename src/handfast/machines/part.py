"""Parts and how their ends are named."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Annotated, Any, ClassVar, Literal

from pydantic import model_validator

from handfast.machines.fields import (
    ONE_OR_MORE,
    UNKNOWN,
    Contradiction,
    Coordinate,
    Current,
    Days,
    Density,
    Flow,
    Gauge,
    Hours,
    Length,
    Mass,
    Money,
    Point,
    Pressure,
    Record,
    SomeLength,
    SomeMass,
    Torque,
    Turn,
    Volume,
    Whole,
    _refusal,
)
from handfast.machines.prices import DatedPrice, Day, backwards

PartKind = Literal[
    "hose",
    "hose_end",
    "hose_assembly",
    "adapter",
    "coupler",
    "hard_line",
    "valve_kit",
    "quick_attach_kit",
    "adapter_plate",
    "ballast",
    "cable",
    "fuse",
    "oil",
    "guard",
]
PowerRoute = Literal[
    "third_function",
    "diverter",
    "rear_remote_forward",
    "mid_outlet",
    "separate_pump",
    "electric",
    "curl",
    "manual",
]
Centre = Literal["open", "closed", "load_sensing"]


class Connection(Record):
    """One end that meets another; written `flare37 -8 male` or as a table."""

    written_also: ClassVar[tuple[dict[str, Any], ...]] = ({"type": "string"},)

    family: str
    size: str
    gender: Literal["male", "female"]

    @model_validator(mode="before")
    @classmethod
    def _from_words(cls, given: Any) -> Any:
        """Read family, size and gender in one text."""
        if not isinstance(given, str):
            return given
        match = re.fullmatch(r"\s*(?P<family>\S+)\s+(?P<size>\S.*?)\s+(?P<gender>male|female)\s*", given, re.I)
        if match is None:
            raise _refusal(f'"{given[:60]}"', "family, size and gender such as flare37 -8 male")
        return {"family": match["family"].lower(), "size": match["size"], "gender": match["gender"].lower()}

    def __str__(self) -> str:
        """As it is written."""
        return f"{self.family} {self.size} {self.gender}"


class Part(Record):
    """Anything sold beside an attachment."""

    id: str = ""
    kind: PartKind
    name: str = ""
    notes: str = ""
    serves: tuple[str, ...] = ()
    price: Money = UNKNOWN
    list_price: Money = UNKNOWN
    cost: Money = UNKNOWN
    valid_from: Day = ""
    valid_to: Day = ""
    prices: tuple[DatedPrice, ...] = ()
    stock: Whole | None = None
    lead_days: Days = UNKNOWN
    place: str = ""
    supplier: str = ""
    own_number: str = ""
    mass: SomeMass = UNKNOWN
    hours: Hours = UNKNOWN
    own_hours: Hours = UNKNOWN
    shop_hours: Hours = UNKNOWN
    pressure_max: Pressure = UNKNOWN
    bore: Length = UNKNOWN
    ends: tuple[Connection, ...] = ()
    torque: Torque = UNKNOWN
    # quick attach kits and adapter plates
    from_interface: str = ""
    to_interface: str = ""
    forward: Coordinate = UNKNOWN
    vertical: Coordinate = UNKNOWN
    tilt: Turn = UNKNOWN
    rated_load: Mass = UNKNOWN
    cg: Point | None = None
    fits_class: Annotated[tuple[str, ...], ONE_OR_MORE] = ()
    # valve kits
    power_route: PowerRoute | None = None
    centre: Annotated[tuple[Centre, ...], ONE_OR_MORE] = ()
    needs: tuple[str, ...] = ()
    supplies: tuple[str, ...] = ()
    flow_rated: Flow = UNKNOWN
    pressure_drop: Pressure = UNKNOWN
    tank_port_rating: Pressure = UNKNOWN
    pilot_check: bool | None = None
    # hoses and hard lines
    hose_type: str = ""
    edition: str = ""
    length: Length = UNKNOWN
    bend_radius: Length = UNKNOWN
    hose_size: str = ""  # of the hose that a crimped end goes on, or of hose sold by length: a dash size
    # ballast
    at: Literal["hitch", "rear_wheels", "tyres", "front_rack", "rack"] | None = None
    behind: SomeLength = UNKNOWN
    height: SomeLength = UNKNOWN
    count_max: Whole | None = None
    volume: Volume = UNKNOWN
    fluid: str = ""
    density: Density = UNKNOWN
    # cable and fuse
    gauge: Gauge = ""
    current: Current = UNKNOWN

    @model_validator(mode="before")
    @classmethod
    def _gauge_as_text(cls, given: Any) -> Any:
        """A wire gauge may be written as a number."""
        if isinstance(given, dict) and isinstance(given.get("gauge"), int) and not isinstance(given["gauge"], bool):
            return {**given, "gauge": str(given["gauge"])}
        return given

    def contradictions(self) -> Iterator[Contradiction]:
        """A part of a line has an end at either side; a tee has three."""
        yield from backwards("", self)
        for place, one in enumerate(self.prices):
            yield from backwards(f"prices[{place}].", one)
        allowed = (0, 2, 3) if self.kind == "adapter" else (0, 2)
        if self.kind in ("adapter", "hose_assembly", "coupler") and len(self.ends) not in allowed:
            yield Contradiction("ends", f"{len(self.ends)} ends", f"two ends of a {self.kind}")
