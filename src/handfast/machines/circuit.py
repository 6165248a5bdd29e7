"""A hydraulic circuit written out: fluid, cylinders, and what stands in the lines."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated, Literal

from pydantic import Field

from handfast.machines.fields import (
    ONE_OR_MORE,
    UNKNOWN,
    AnyForce,
    Contradiction,
    Density,
    Flow,
    Length,
    Number,
    Pressure,
    Record,
    Temperature,
    Viscosity,
    Whole,
    above,
    show_pair,
)
from handfast.machines.loader import rod_against_bore


class Fluid(Record):
    """A hydraulic fluid by two viscosities and its density."""

    viscosity_40: Viscosity = UNKNOWN
    viscosity_100: Viscosity = UNKNOWN
    density_15: Density = UNKNOWN

    def contradictions(self) -> Iterator[Contradiction]:
        """Oil thins when it warms."""
        if above(self.viscosity_100, self.viscosity_40):
            hot, warm = (show_pair(each, "viscosity") for each in (self.viscosity_100, self.viscosity_40))
            yield Contradiction("viscosity_100", hot, f"less than at 40 °C, {warm}")


class LinePiece(Record):
    """One hose, coupler or kind of fitting in a line."""

    kind: Literal["hose", "hard_line", "coupler", "valve", "fitting"]
    bore: Length = UNKNOWN
    length: Length = UNKNOWN
    rated_flow: Flow = UNKNOWN
    rated_drop: Pressure = UNKNOWN
    k: Number = UNKNOWN
    count: Whole = 1

    def contradictions(self) -> Iterator[Contradiction]:
        """Each kind needs what its loss is reckoned from."""
        needed = {"hose": ("bore", "length"), "hard_line": ("bore", "length"), "fitting": ("bore", "k")}
        for name in needed.get(self.kind, ("rated_flow", "rated_drop")):
            if getattr(self, name).is_unknown:
                yield Contradiction(name, "nothing", f"a known {name} of a {self.kind}")


class Circuit(Record):
    """Cylinders, their loads, and the lines to and from them."""

    cylinders: Whole | None = None
    bore: Length = UNKNOWN
    rod: Length = UNKNOWN
    stroke: Length = UNKNOWN
    close: Literal["extend", "retract"] = "extend"
    load_close: AnyForce = UNKNOWN
    load_open: AnyForce = UNKNOWN
    temperatures: Annotated[tuple[Temperature, ...], ONE_OR_MORE] = ()
    supply: tuple[LinePiece, ...] = ()
    return_: tuple[LinePiece, ...] = Field(default=(), alias="return")

    def contradictions(self) -> Iterator[Contradiction]:
        """Rod against bore."""
        yield from rod_against_bore(self.rod, self.bore)
