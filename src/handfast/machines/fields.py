"""The building stones of records: quantity fields that read what people write, points, and the frozen base."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Annotated, Any, ClassVar, NamedTuple

from pydantic import (
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    GetCoreSchemaHandler,
    GetJsonSchemaHandler,
    ValidationInfo,
    WithJsonSchema,
    model_validator,
)
from pydantic_core import CoreSchema, PydanticCustomError, core_schema

from handfast.quantities.amounts import QuantityError, expected_of
from handfast.quantities.estimate import UNKNOWN as UNKNOWN
from handfast.quantities.estimate import Estimate
from handfast.quantities.reading import UNKNOWN_WORDS, read_quantity
from handfast.quantities.units import si_symbol

DEFAULT_LOCALE = "en_US"


class Contradiction(NamedTuple):
    """Two entries of one record that can't both be true."""

    place: str
    found: str
    expected: str


# Beyond these [SI] nothing on a farm was measured: a slip of the keyboard, or of the unit.
MOST = {
    "mass": 1e6, "load": 1e6, "length": 1e5, "area": 1e6, "volume": 1e6, "density": 3e4, "pressure": 1e9, "flow": 10.0,
    "power": 1e8, "speed": 1e3, "rotation": 1e5, "voltage": 1e4, "current": 1e5, "force": 1e8, "torque": 1e8,
    "temperature": 2e3, "count": 1e7, "money": 1e9, "hours": 1e6, "days": 1e5,
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Quantity:
    """Marks a field as a quantity of a dimension, with the least and the greatest value that is possible."""

    dimension: str
    least: float | None = 0.0
    open_end: bool = True  # the least value itself is impossible
    most: float | None = None  # where the dimension's own bound is too wide

    def read(self, given: object, info: ValidationInfo) -> Estimate:
        """Read the field, or refuse it with what was found and what is expected."""
        locale = (info.context or {}).get("locale", DEFAULT_LOCALE)
        try:
            estimate = read_quantity(given, self.dimension, locale)
        except QuantityError as error:
            raise _refusal(error.found, error.expected) from None
        if self.least is not None and not estimate.is_unknown:
            below = estimate.least <= self.least if self.open_end else estimate.least < self.least
            if below:
                bound = f"more than {self.least:g}" if self.open_end else f"{self.least:g} or more"
                found = estimate.text or f"{estimate.value:g}"
                raise _refusal(found, f"{expected_of(self.dimension)}, {bound} in all its spread")
        self._not_too_large(estimate)
        origin = (info.context or {}).get("origin")
        if origin and not estimate.is_unknown and not (isinstance(given, Mapping) and "origin" in given):
            return estimate.with_origin(origin)
        return estimate

    def _not_too_large(self, estimate: Estimate) -> None:
        most = self.most or MOST.get(self.dimension)
        if most is None or estimate.is_unknown or max(abs(estimate.least), abs(estimate.greatest)) <= most:
            return
        bound = f"at most {most:,.0f} {si_symbol(self.dimension)}".rstrip()
        raise _refusal(estimate.text or f"{estimate.value:g}", f"{expected_of(self.dimension)}, {bound}")

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
            "description": expected_of(self.dimension),
            "x-dimension": self.dimension,
            "x-si-unit": si_symbol(self.dimension),
        }


def _refusal(found: str, expected: str) -> PydanticCustomError:
    return PydanticCustomError("quantity", "{found}; {expected}", {"found": found, "expected": expected})


Mass = Annotated[Estimate, Quantity("mass")]
SomeMass = Annotated[Estimate, Quantity("mass", open_end=False)]  # may be none at all
Load = Annotated[Estimate, Quantity("load")]  # a rating, printed as a mass or as a force
Length = Annotated[Estimate, Quantity("length")]
SomeLength = Annotated[Estimate, Quantity("length", open_end=False)]
Thickness = Annotated[Estimate, Quantity("length", most=4.0)]  # of a log, a stone, a bale: feet for inches is a slip
PieceLength = Annotated[Estimate, Quantity("length", most=1000.0)]
Coordinate = Annotated[Estimate, Quantity("length", least=None)]
Area = Annotated[Estimate, Quantity("area")]
Volume = Annotated[Estimate, Quantity("volume")]
Density = Annotated[Estimate, Quantity("density")]
Pressure = Annotated[Estimate, Quantity("pressure")]
Flow = Annotated[Estimate, Quantity("flow")]
SomeFlow = Annotated[Estimate, Quantity("flow", open_end=False)]
Angle = Annotated[Estimate, Quantity("angle", open_end=False)]
Turn = Annotated[Estimate, Quantity("angle", least=None)]
Slope = Annotated[Estimate, Quantity("slope", open_end=False)]
Power = Annotated[Estimate, Quantity("power")]
Speed = Annotated[Estimate, Quantity("speed")]
Rotation = Annotated[Estimate, Quantity("rotation")]
Time = Annotated[Estimate, Quantity("time")]
Hours = Annotated[Estimate, Quantity("hours", open_end=False)]
Days = Annotated[Estimate, Quantity("days", open_end=False)]
Voltage = Annotated[Estimate, Quantity("voltage")]
Current = Annotated[Estimate, Quantity("current")]
SomeCurrent = Annotated[Estimate, Quantity("current", open_end=False)]
Charge = Annotated[Estimate, Quantity("charge")]
Force = Annotated[Estimate, Quantity("force")]
AnyForce = Annotated[Estimate, Quantity("force", least=None)]
Torque = Annotated[Estimate, Quantity("torque")]
Temperature = Annotated[Estimate, Quantity("temperature")]
Viscosity = Annotated[Estimate, Quantity("viscosity")]
Share = Annotated[Estimate, Quantity("share", open_end=False)]
Money = Annotated[Estimate, Quantity("money", open_end=False)]
Number = Annotated[Estimate, Quantity("count", open_end=False)]


def _whole(given: object) -> object:
    """A count is a number, never a yes or no."""
    if isinstance(given, bool):
        raise _refusal("true or false", "a whole number such as 2")
    return given


def _supplied(given: object) -> object:
    """A yes to "are hoses supplied" means the pair of them."""
    return {True: 2, False: 0}[given] if isinstance(given, bool) else given


@dataclass(frozen=True, slots=True)
class OneOrMore:
    """Marks a list that may also be written as its one entry."""

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        """Make a list of one."""
        return core_schema.no_info_before_validator_function(
            lambda given: given if isinstance(given, list | tuple) else [given], handler(source)
        )

    def __get_pydantic_json_schema__(self, schema: CoreSchema, handler: GetJsonSchemaHandler) -> dict[str, Any]:
        """The list, or an entry of it."""
        found = dict(handler(schema))
        return {"anyOf": [found, found.get("items", {})]}


def _not_too_many(given: object) -> object:
    """Refuse a flood before each of its pieces is read."""
    if isinstance(given, list | tuple) and len(given) > LONGEST_LIST:
        raise _refusal(f"a list of {len(given)}", f"at most {LONGEST_LIST} entries")
    return given


def _not_too_much(given: object) -> object:
    """Lines of work are a caller's, not a catalogue's: each is reckoned with every outfit."""
    if isinstance(given, list | tuple) and len(given) > MOST_WORK:
        raise _refusal(f"a list of {len(given)}", f"at most {MOST_WORK} lines of work")
    return given


def _not_too_often(given: object) -> object:
    """Each measurement draws the samples anew."""
    if isinstance(given, list | tuple) and len(given) > MOST_READINGS:
        raise _refusal(f"a list of {len(given)}", f"at most {MOST_READINGS} measurements")
    return given


Gauge = Annotated[str, WithJsonSchema({"anyOf": [{"type": "string"}, {"type": "integer"}]})]
LONGEST_LIST = 500
MOST_WORK = 12
MOST_READINGS = 24
MANY = BeforeValidator(_not_too_many)
FEW = BeforeValidator(_not_too_much)
FEW_READINGS = BeforeValidator(_not_too_often)
Whole = Annotated[int, Field(ge=0, le=1_000_000), BeforeValidator(_whole)]
_Counted = Annotated[int, Field(ge=0, le=1000)]
Supplied = Annotated[_Counted, BeforeValidator(_supplied, json_schema_input_type=_Counted | bool)]
ONE_OR_MORE = OneOrMore()


class Record(BaseModel):
    """A frozen record: unknown entries are refused, `unknown` stands for nothing."""

    model_config = ConfigDict(
        extra="forbid",
        frozen=True,
        allow_inf_nan=False,
        validate_by_name=True,
        validate_by_alias=True,
        serialize_by_alias=True,
        str_strip_whitespace=True,
        str_max_length=10_000,
    )

    written_also: ClassVar[tuple[dict[str, Any], ...]] = ()  # JSON Schema of the short forms that are read too

    @classmethod
    def __get_pydantic_json_schema__(cls, schema: CoreSchema, handler: GetJsonSchemaHandler) -> dict[str, Any]:
        """The table, or one of its short forms."""
        found = handler.resolve_ref_schema(handler(schema))
        if cls.written_also:
            body = dict(found)
            found.clear()
            found["anyOf"] = [body, *cls.written_also]
        return found

    @model_validator(mode="before")
    @classmethod
    def _leave_out_unknown(cls, given: Any) -> Any:
        """Drop entries that say "unknown" where nothing is the default."""
        if not isinstance(given, Mapping):
            return given
        empty = {f.alias or name for name, f in cls.model_fields.items() if f.default is None}
        return {key: value for key, value in given.items() if not (key in empty and _says_unknown(value))}

    def contradictions(self) -> Iterator[Contradiction]:
        """Entries of this record that can't both be true, those of records within it left to them."""
        return iter(())

    def plain(self) -> dict[str, Any]:
        """The record as JSON keeps it, without what is not known; `model_validate` reads it back equal."""
        return self.model_dump(mode="json", exclude_defaults=True)


def _says_unknown(value: object) -> bool:
    return isinstance(value, str) and value.strip().lower() in UNKNOWN_WORDS - {""}


class Point(Record):
    """A point in a side view; written `[x, z]`."""

    written_also: ClassVar[tuple[dict[str, Any], ...]] = (
        {
            "type": "array",
            "minItems": 2,
            "maxItems": 2,
            "items": {"anyOf": [{"type": "number"}, {"type": "string"}, {"x-quantity": True}]},
        },
    )

    x: Coordinate
    z: Coordinate

    @model_validator(mode="before")
    @classmethod
    def _from_pair(cls, given: Any) -> Any:
        """Read `[x, z]`."""
        if isinstance(given, Mapping | Point):
            return given
        if isinstance(given, list | tuple) and len(given) == 2:
            return {"x": given[0], "z": given[1]}
        count = f"a list of {len(given)}" if isinstance(given, list | tuple) else f'"{given}"'
        raise _refusal(count, "a point [x, z], two lengths")

    @property
    def is_known(self) -> bool:
        """Whether both coordinates are single values."""
        return self.x.is_known and self.z.is_known


Polyline = Annotated[tuple[Point, ...], MANY]


def distance(a: Point | None, b: Point | None) -> float | None:
    """Distance between two points, None unless all four coordinates are known.

    Args:
        a: point [m].
        b: point [m].

    Returns:
        distance [m].

    >>> distance(Point(x=0, z=0), Point(x=3, z=4))
    5.0
    """
    if a is None or b is None or not (a.is_known and b.is_known):
        return None
    return math.hypot(a.x.value - b.x.value, a.z.value - b.z.value)


def show_pair(estimate: Estimate, dimension: str) -> str:
    """An entry as it was read, for sentences about two entries."""
    return estimate.text or f"{estimate.value:.6g} {si_symbol(dimension)}"


def above(larger: Estimate, limit: Estimate) -> bool:
    """Whether every value of one quantity lies above every value of another; False when one is unknown."""
    return not larger.is_unknown and not limit.is_unknown and larger.least > limit.greatest
