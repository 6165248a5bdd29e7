"""A measurement that somebody took, and the table of what may be measured by whom."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, GetCoreSchemaHandler, GetJsonSchemaHandler, ValidationInfo
from pydantic_core import CoreSchema, PydanticCustomError, core_schema

from handfast.machines.fields import ONE_OR_MORE, UNKNOWN, Contradiction, Coordinate, Quantity, Record, SomeMass
from handfast.quantities.estimate import Estimate
from handfast.quantities.reading import read_quantity
from handfast.quantities.tables import table

What = Literal[
    "whole_on_scale", "front_axle_on_scale", "rear_axle_on_scale", "rear_axle_by_difference", "behind_on_scale",
    "wheelbase_by_tape", "front_track_by_tape", "rear_track_by_tape", "width_by_tape", "pin_height_down_by_tape",
    "rear_radius_by_tape", "front_radius_by_tape", "hitch_by_tape", "slope_by_phone", "gate_by_tape", "side_by_tape",
    "log_thickness_by_tape", "log_length_by_tape", "rear_couplers_counted", "front_couplers_counted",
    "valve_lines_counted", "bucket_back_by_photo", "pin_height_max_by_tape", "cg_height_by_tilting", "relief_by_gauge",
    "raise_timed", "known_mass_lifted", "known_mass_refused",
]  # fmt: skip
On = Literal["operator", "behind"]
BOUNDS = ("lifted", "refused")


@dataclass(frozen=True)
class Way:
    """One way of measuring, as the table has it."""

    id: str
    title: str
    who: str  # caller or workshop
    kind: str  # reading, category, lifted, refused
    reads: str  # dimension, or "seen" for what is only named
    error: float  # standard deviation, SI; 0 where it is a share
    error_share: float  # standard deviation as a share; of a category the share of readings that are wrong
    bears: tuple[str, ...]  # figures that it tells of, the one that is read first
    path: str  # the quantity that it reads directly, "" where it reads none
    fact: str  # the question that it answers, "" where none is asked
    burden: float
    picture: str
    how: str

    @property
    def for_caller(self) -> bool:
        """Whether a caller may be sent to do it."""
        return self.who == "caller"


@cache
def ways() -> dict[str, Way]:
    """Every way of measuring, by its id, in the order of the table.

    Returns:
        ways by id.

    >>> ways()["relief_by_gauge"].who
    'workshop'
    """
    return {row["id"]: _way(row) for row in table("measurements.csv")}


def _way(row: dict[str, str]) -> Way:
    error = read_quantity(row["error"], row["reads"]).value if row["error"] else 0.0
    share = float(row["error_share"]) if row["error_share"] else 0.0
    texts = {name: row[name] for name in ("id", "title", "who", "kind", "reads", "path", "fact", "picture", "how")}
    return Way(
        **texts, error=error, error_share=share, bears=tuple(row["bears"].split("|")), burden=float(row["burden"])
    )


@dataclass(frozen=True, slots=True)
class Read:
    """Marks what was read: a quantity of the dimension that its way of measuring reads."""

    def read(self, given: object, info: ValidationInfo) -> Estimate:
        """Read it as the way of measuring asks; nothing is read where the way is not known."""
        what = info.data.get("what")
        dimension = ways()[what].reads if what in ways() else "seen"
        if dimension == "seen":
            return UNKNOWN if isinstance(given, Estimate) or what is None else _named(given)
        return Quantity(dimension, open_end=dimension not in ("count", "slope")).read(given, info)

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        """Validate by `read`, serialize as plain JSON."""
        return core_schema.with_info_plain_validator_function(
            self.read,
            serialization=core_schema.plain_serializer_function_ser_schema(Estimate.plain, when_used="always"),
        )

    def __get_pydantic_json_schema__(self, schema: CoreSchema, handler: GetJsonSchemaHandler) -> dict[str, Any]:
        """A number in SI, a text, or a table of value and origin."""
        return {
            "anyOf": [{"type": "number"}, {"type": "string"}, {"x-quantity": True}],
            "description": "what was read, of the dimension that `what` reads",
        }


def _named(given: object) -> Estimate:
    """What is only seen has no figure."""
    words = {"found": str(given)[:40], "expected": "no figure: what was seen goes into seen"}
    raise PydanticCustomError("quantity", "{found}; {expected}", words)


def _day(given: object) -> object:
    """A date may stand bare in a file."""
    return given.isoformat() if hasattr(given, "isoformat") else given


class Measurement(Record):
    """One reading: what was measured, what it read, what stood on or hung there, by whom and when."""

    what: What
    value: Annotated[Estimate, Read()] = UNKNOWN
    seen: str = ""
    ahead: Coordinate = UNKNOWN
    carrying: SomeMass = UNKNOWN
    carrying_ahead: Coordinate = UNKNOWN
    on: Annotated[tuple[On, ...], ONE_OR_MORE] = ()
    instead: bool = False
    by: str = Field(default="", max_length=200)
    when: Annotated[str, BeforeValidator(_day)] = ""
    notes: str = ""

    @property
    def way(self) -> Way:
        """How it was measured."""
        return ways()[self.what]

    @property
    def sd(self) -> float:
        """Standard deviation of the reading [SI]: as stated with it, else the way's own."""
        spread = spread_of(self.value)
        own = self.way.error or self.way.error_share * self.value.value
        return spread if spread > 0.0 else own

    def contradictions(self) -> Iterator[Contradiction]:
        """Each way needs its reading, a known mass its distance, and no way takes what it does not use."""
        way = self.way
        if way.reads == "seen" and not self.seen:
            yield Contradiction("seen", "nothing", "what was seen, such as pinned or universal_plate")
        if way.reads != "seen" and self.value.is_unknown:
            yield Contradiction("value", "nothing", f"what it read, a {way.reads}")
        if way.reads != "seen" and self.seen:
            yield Contradiction("seen", f'"{self.seen[:40]}"', "nothing seen: this way reads a figure")
        if way.kind in BOUNDS and self.ahead.is_unknown:
            yield Contradiction("ahead", "nothing", "how far ahead of the pins the mass hung")
        if way.kind not in BOUNDS and not self.ahead.is_unknown:
            yield Contradiction("ahead", self.ahead.text or "a distance", "none: only a known mass hangs ahead")
        if self.instead and not (way.kind == "reading" and way.path):
            yield Contradiction("instead", "true", "a reading of one quantity, that can stand for what was known")
        if way.reads == "count" and not self._whole():
            yield Contradiction("value", self.value.text or f"{self.value.value:g}", "a whole number")

    def _whole(self) -> bool:
        return self.value.is_unknown or (self.value.is_known and self.value.value == round(self.value.value))


def spread_of(estimate: Estimate) -> float:
    """Standard deviation of an estimate [SI].

    Args:
        estimate: what is known.

    Returns:
        0 for a known one.

    Source: normal, half-width 1.96 standard deviations; uniform, width over √12; triangular, by its three corners.

    >>> round(spread_of(Estimate.about(10.0, 1.96)), 9)
    1.0
    """
    low, likely, high = estimate.low, estimate.likely, estimate.high
    if estimate.kind == "about":
        return (high - likely) / 1.96
    if estimate.kind == "range":
        return float((high - low) / 12.0**0.5)
    if estimate.kind == "triangular":
        squares = low**2 + likely**2 + high**2 - low * likely - low * high - likely * high
        return float((squares / 18.0) ** 0.5)
    return 0.0
