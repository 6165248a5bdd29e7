"""What is to be done: the pieces, the place, what hangs behind."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal

from handfast.machines.fields import (
    UNKNOWN,
    Contradiction,
    Density,
    Length,
    Mass,
    Number,
    PieceLength,
    Point,
    Record,
    Share,
    Slope,
    SomeLength,
    SomeMass,
    Temperature,
    Thickness,
    Volume,
    show_pair,
)

WorkKind = Literal[
    "logs",
    "bundle",
    "brush",
    "rock",
    "round_bales",
    "square_bales",
    "pallets",
    "loose",
    "root_raking",
    "stumps",
    "free",
]
BehindKind = Literal[
    "ballast_box",
    "drum",
    "box_blade",
    "rotary_cutter",
    "finish_mower",
    "flail_mower",
    "backhoe",
    "tiller",
    "rake",
    "plough",
    "splitter",
    "winch",
    "carry_all",
    "roller",
    "snow_blower",
    "suitcase_weights",
    "none",
]


class Work(Record):
    """One kind of piece and how many; one piece is the load."""

    kind: WorkKind
    material: str = ""
    species: str = ""
    diameter: Thickness = UNKNOWN
    length: PieceLength = UNKNOWN
    width: PieceLength = UNKNOWN
    height: PieceLength = UNKNOWN
    mass: Mass = UNKNOWN
    density: Density = UNKNOWN
    volume: Volume = UNKNOWN
    packing: Share = UNKNOWN
    fill: Share = UNKNOWN
    count: Number = UNKNOWN
    cg: Point | None = None
    notes: str = ""


class Site(Record):
    """Where the work is."""

    slope: Slope = UNKNOWN
    gate: Length = UNKNOWN
    haul_distance: SomeLength = UNKNOWN
    lift_to: SomeLength = UNKNOWN
    temperature: Temperature = UNKNOWN
    notes: str = ""


class Behind(Record):
    """What hangs on the hitch now."""

    kind: BehindKind | None = None
    mass: SomeMass = UNKNOWN
    behind: SomeLength = UNKNOWN
    height: SomeLength = UNKNOWN
    notes: str = ""

    def contradictions(self) -> Iterator[Contradiction]:
        """Nothing weighs nothing."""
        if self.kind == "none" and not self.mass.is_unknown and self.mass.least > 0.0:
            yield Contradiction(
                "mass", show_pair(self.mass, "mass"), "no mass, since the kind says that nothing hangs there"
            )
