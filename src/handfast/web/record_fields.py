"""The fields of a record's form, drawn from the record itself: place, label, kind, unit, group."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cache
from types import UnionType
from typing import Annotated, Any, Literal, NamedTuple, Union, get_args, get_origin

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from handfast.machines.fields import UNKNOWN, Point, Quantity
from handfast.machines.part import Connection
from handfast.machines.tractor import CLASSES
from handfast.quantities.estimate import Estimate
from handfast.quantities.tables import table
from handfast.web.reckoning_form import model_of

UNITS = {
    "us": {
        "length": "in", "area": "ft2", "volume": "gal", "mass": "lb", "load": "lb", "density": "lb/ft3",
        "pressure": "psi", "flow": "gpm", "power": "hp", "speed": "in/s", "force": "lbf", "torque": "lbf·ft",
    },
    "metric": {
        "length": "mm", "area": "m2", "volume": "L", "mass": "kg", "load": "kg", "density": "kg/m3",
        "pressure": "bar", "flow": "L/min", "power": "kW", "speed": "mm/s", "force": "N", "torque": "N·m",
    },
}  # fmt: skip
BOTH = {
    "angle": "deg", "slope": "%", "share": "%", "rotation": "rpm", "time": "s", "hours": "h", "days": "days",
    "voltage": "V", "current": "A", "charge": "Ah",
}  # fmt: skip
LINES = ("notes", "address", "ballast_accepted", "ballast_declined")  # written on several lines
LEFT_OUT = ("record",)  # of an inquiry, not of the shelf
MOST_ROWS = 60
SAID = {
    **CLASSES,
    "us-letter": "US letter",
    "a4": "A4",
    "us": "in, lb",
    "metric": "mm, kg",
    "browser": "as the browser",
    "en": "English",
    "es": "Spanish",
}


class Words(NamedTuple):
    """What a field is called, and the group it stands in."""

    label: str
    group: str = ""
    hint: str = ""
    term: str = ""


@dataclass(frozen=True)
class Slot:
    """One field of a form."""

    place: str
    label: str
    kind: str = "text"  # text, area, pick, yes_no, whole, list, quantity, there
    dimension: str = ""
    unit: str = ""
    hint: str = ""
    term: str = ""
    options: tuple[tuple[str, str], ...] = ()
    listed: str = ""
    default: str = ""  # what holds where nothing is said
    column: str = ""  # the label's short form in a table

    @property
    def id(self) -> str:
        """The element's id."""
        return "f-" + self.place.replace(".", "-").replace("[", "").replace("]", "")

    @property
    def marked(self) -> str:
        """The label with its unit."""
        return f"{self.label} [{pretty(self.unit)}]" if self.unit else self.label

    @property
    def headed(self) -> str:
        """A column's heading with its unit."""
        return f"{self.column} [{pretty(self.unit)}]" if self.unit else self.column


@dataclass(frozen=True)
class Block:
    """Fields that stand together; a list is a table of so many columns and may take more rows."""

    title: str
    slots: tuple[Slot, ...]
    more: str = ""
    columns: int = 0

    @property
    def rows(self) -> list[tuple[Slot, ...]]:
        """A list's fields row by row."""
        wide = self.columns or 1
        return [self.slots[at : at + wide] for at in range(0, len(self.slots), wide)]


def pretty(unit: str) -> str:
    """A unit as it is printed.

    >>> pretty("lb/ft3"), pretty("deg")
    ('lb/ft³', '°')
    """
    return {"deg": "°"}.get(unit) or (unit[:-1] + {"2": "²", "3": "³"}[unit[-1]] if unit[-1:] in "23" else unit)


def unit_of(dimension: str, system: str) -> str:
    """The unit that a form asks a dimension in; empty where a number needs none."""
    return UNITS[system].get(dimension) or BOTH.get(dimension, "")


@cache
def _words() -> dict[tuple[str, str], Words]:
    rows = table("record_words.csv")
    return {(r["record"], r["field"]): Words(r["label"], r["group"], r["hint"], r["term"]) for r in rows}


def words_of(model: type[BaseModel], name: str) -> Words:
    """What an entry of a record is called: its own words, or its name read aloud."""
    found = _words().get((model.__name__, name))
    return found or Words(name.replace("_", " ").capitalize())


def entries(model: type[BaseModel]) -> dict[str, FieldInfo]:
    """The entries of a record by the names that files use, without those that only an inquiry has."""
    named = {info.alias or name: info for name, info in model.model_fields.items()}
    return {name: info for name, info in named.items() if name not in LEFT_OUT}


def blocks(model: type[BaseModel], data: Mapping[str, Any], system: str, extra: Mapping[str, int]) -> list[Block]:
    """Every field of a record's form.

    Args:
        model: the record.
        data: what it holds, as plain data; lists are as long as it says.
        system: us or metric.
        extra: how many rows more a list shows, by its place.

    Returns:
        Groups in the order of the record, lists after the group that they stand in.
    """
    found: dict[str, list[Slot]] = {}
    inner: dict[str, list[Block]] = {}
    for name, info in entries(model).items():
        words = words_of(model, name)
        group = words.group or "Record"
        slots, within = _of(words, name, info, data.get(name), system, extra)
        found.setdefault(group, []).extend(slots)
        inner.setdefault(group, []).extend(within)
    made = []
    for group, slots in found.items():
        made += [Block(group, tuple(slots))] if slots else []
        made += inner[group]
    return made


Found = tuple[list[Slot], list[Block]]


def _of(words: Words, place: str, info: FieldInfo, value: Any, system: str, extra: Mapping[str, int]) -> Found:
    """The fields of one entry: its own, or groups of those within it."""
    mark = next((one for one in info.metadata if isinstance(one, Quantity)), None) or _quantity(info.annotation)
    if mark is not None:
        known = info.default if isinstance(info.default, Estimate) else UNKNOWN
        return [replace(_amount(words, place, mark.dimension, system), default=known.text)], []
    held = model_of(info.annotation)
    if held is None:
        default = info.default if isinstance(info.default, str) else ""
        return [replace(_plain(words, place, info.annotation), default=default)], []
    if _is_many(info.annotation):
        return _rows(words, place, held, value, system, extra)
    if held is Point:
        return list(_point(words, place, system)), []
    if held is Connection:
        return [Slot(place, words.label, hint="such as flare37 -8 male", term=words.term)], []
    return [], _nested(words, place, held, info, value, system, extra)


def _nested(
    words: Words, place: str, held: type[BaseModel], info: FieldInfo, value: Any, system: str, extra: Mapping[str, int]
) -> list[Block]:
    """A record within the record as groups of its own."""
    own: list[Slot] = []
    if info.default is None:
        own.append(Slot(f"{place}?", "Recorded, whatever is known of it", "there"))
    within: list[Block] = []
    data = value if isinstance(value, Mapping) else {}
    for name, inner in entries(held).items():
        said = words_of(held, name)
        slots, deeper = _of(said, f"{place}.{name}", inner, data.get(name), system, extra)
        own += slots
        within += [replace(one, title=f"{words.label}: {one.title[:1].lower()}{one.title[1:]}") for one in deeper]
    return [Block(words.label, tuple(own)), *within] if own else within


def _rows(words: Words, place: str, held: type[BaseModel], value: Any, system: str, extra: Mapping[str, int]) -> Found:
    """A list of records: as many rows as there are, and one more."""
    there = value if isinstance(value, list | tuple) else [] if value is None else [value]
    count = min(len(there) + extra.get(place, 1), MOST_ROWS)
    rows = [_row(words.label, f"{place}[{row}]", row + 1, held, system) for row in range(count)]
    slots = tuple(slot for row in rows for slot in row)
    return [], [Block(words.label, slots, place, len(rows[0]) if rows else 0)]


def _row(label: str, at: str, number: int, held: type[BaseModel], system: str) -> list[Slot]:
    """One row of a list of records."""
    if held is Connection:
        return [Slot(at, f"{label} {number}", hint="such as flare37 -8 male", column="family, size and gender")]
    if held is Point:
        pair = _point(Words(f"{label} {number}"), at, system)
        return [replace(one, column=said) for one, said in zip(pair, ("ahead", "up"), strict=True)]
    slots = []
    for name, info in entries(held).items():
        inner = words_of(held, name)
        said = Words(f"{label} {number}: {inner.label[:1].lower()}{inner.label[1:]}", "", inner.hint, inner.term)
        slots += [replace(one, column=inner.label) for one in _of(said, f"{at}.{name}", info, None, system, {})[0]]
    return slots


def _point(words: Words, place: str, system: str) -> Iterator[Slot]:
    for end, said in (("x", "ahead"), ("z", "up")):
        yield _amount(Words(f"{words.label}: {said}", "", words.hint, words.term), f"{place}.{end}", "length", system)


def _amount(words: Words, place: str, dimension: str, system: str) -> Slot:
    unit = unit_of(dimension, system)
    return Slot(place, words.label, "quantity", dimension, unit, words.hint, words.term)


def _plain(words: Words, place: str, annotation: Any) -> Slot:
    """The field of an entry that is no quantity."""
    kind, options = "text", _options(annotation)
    inside = set(_flat(annotation))
    if _is_many(annotation):
        return Slot(place, words.label, "list", hint=words.hint or "between commas", term=words.term)
    if bool in inside:
        kind = "yes_no"
    elif int in inside:
        kind = "whole"
    elif options:
        kind = "pick"
    elif place.rpartition(".")[2] in LINES:
        kind = "area"
    listed = "interfaces" if place in ("quick_attach", "from_interface", "to_interface") else ""
    return Slot(place, words.label, kind, "", "", words.hint, words.term, options, listed)


def _quantity(annotation: Any) -> Quantity | None:
    """The mark of a quantity within an annotation."""
    if get_origin(annotation) is Annotated:
        return next((one for one in get_args(annotation)[1:] if isinstance(one, Quantity)), None)
    return None


def _flat(annotation: Any) -> Iterator[Any]:
    """Every plain type within an annotation."""
    if get_origin(annotation) in (Union, UnionType, Annotated, tuple):
        for one in get_args(annotation):
            yield from _flat(one)
    else:
        yield annotation


def _is_many(annotation: Any) -> bool:
    origin = get_origin(annotation)
    if origin is Annotated:
        return _is_many(get_args(annotation)[0])
    if origin in (Union, UnionType):
        return any(_is_many(one) for one in get_args(annotation))
    return origin in (tuple, list)


def _options(annotation: Any) -> tuple[tuple[str, str], ...]:
    """The words that an entry may be."""
    for one in _flat(annotation):
        if get_origin(one) is Literal:
            return tuple((str(word), SAID.get(str(word), str(word).replace("_", " "))) for word in get_args(one))
    return ()
