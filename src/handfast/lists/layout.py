"""The columns of sheets that go out, and what a record says in each: written so that our own reading takes it back."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from handfast.lists.cells import MODELS, RUNS, options
from handfast.lists.grid import Cell, is_empty, shown
from handfast.lists.headers import fields_of
from handfast.quantities.tables import table
from handfast.quantities.units import from_si

READING = "for reading only"  # in the first row of a sheet that is not read back
EXAMPLE = "example:"  # begins the id of a template's example row
UNITS = {
    "us": {"length": "in", "mass": "lb", "pressure": "psi", "flow": "gpm", "volume": "ft3", "power": "hp"},
    "metric": {"length": "mm", "mass": "kg", "pressure": "bar", "flow": "L/min", "volume": "L", "power": "kW"},
}
NUMBERS = ("length", "mass", "pressure", "flow", "volume", "power", "hours", "days", "share", "money", "whole")


@dataclass(frozen=True)
class Column:
    """A column that goes out: the place in the record, its header with its unit, what it means."""

    place: str
    header: str
    dimension: str
    unit: str
    note: str
    example: str

    @property
    def is_number(self) -> bool:
        """Whether its cells are numbers."""
        return self.dimension in NUMBERS


@cache
def columns_out(kind: str, system: str, currency: str) -> tuple[Column, ...]:
    """The columns of a kind of record, in the order of its sheet.

    >>> [one.header for one in columns_out("price", "us", "USD")][:3]
    ['Item no', 'Price (USD)', 'Supplier list price (USD)']
    """
    dimensions = {one.place: one.dimension for one in fields_of("attachment" if kind == "price" else kind)}
    found = []
    for row in table("list_columns.csv"):
        if row["kind"] == kind:
            dimension = dimensions[row["place"]]
            unit = {"money": currency, "share": "%"}.get(dimension) or UNITS[system].get(dimension, "")
            header = f"{row['header']} ({unit})" if unit else row["header"]
            found.append(Column(row["place"], header, dimension, unit, row["note"], row["example"]))
    return tuple(found)


def at_place(record: Mapping[str, Any], place: str) -> Any:
    """What a plain record holds at a place; None where it holds nothing there.

    >>> at_place({"shipping": {"mass": 3}}, "shipping.mass"), at_place({}, "a.b")
    (3, None)
    """
    found: Any = record
    for step in place.split("."):
        found = found.get(step) if isinstance(found, Mapping) else None
    return found


def said(record: Mapping[str, Any], column: Column) -> str | float | None:
    """What a plain record says in a column: a number in the column's unit, or words; None where nothing is known.

    >>> mass = Column("mass", "Weight (lb)", "mass", "lb", "", "")
    >>> said({"mass": {"value": 45.359237}}, mass), said({}, mass)
    (100.0, None)
    """
    value = at_place(record, column.place)
    if isinstance(value, Mapping):
        likely = value.get("likely", value.get("value"))
        if likely is None and "low" in value:
            likely = (value["low"] + value["high"]) / 2
        if not isinstance(likely, int | float):
            return None
        return figure(likely, column)
    if isinstance(value, list):
        return "; ".join(map(_end, value)) if column.dimension == "ends" else ", ".join(map(_word, value))
    if value is None or isinstance(value, int | float):
        return None if value is None else float(value)
    return _word(value) if column.dimension in ("kind", "interface", "actuation", "choice", "class") else str(value)


def figure(value: float, column: Column) -> float:
    """A figure of a record in the unit of its column, to twelve digits."""
    shown = value if column.dimension in ("money", "hours", "days") or not column.unit else from_si(value, column.unit)
    return float(f"{shown:.12g}")


def _word(value: object) -> str:
    return str(value).replace("_", " ")


def _end(value: object) -> str:
    if isinstance(value, Mapping):
        return f"{value.get('family')} {value.get('size')} {value.get('gender')}"
    return str(value)


def choices_of(kind: str, column: Column) -> tuple[str, ...]:
    """The words that a column may hold; none where it is free.

    >>> choices_of("attachment", Column("actuation", "", "actuation", "", "", ""))
    ('hydraulic', 'electric', 'curl', 'none')
    """
    if column.dimension == "interface":
        rows = (row for row in table("list_words.csv") if row["asked"] == "interface")
        return tuple(dict.fromkeys(_word(row["meaning"]) for row in rows))
    if column.dimension not in ("kind", "actuation", "choice", "class"):
        return ()
    return tuple(map(_word, options(MODELS[kind], column.place)))


def guarded(text: str) -> str:
    """Text that no spreadsheet takes for a formula: with an apostrophe before it where it would.

    >>> guarded("=1+1"), guarded("'=1"), guarded("-12 V"), guarded("'tis")
    ("'=1+1", "''=1", "'-12 V", "'tis")
    """
    return f"'{text}" if RUNS.match(text) else text


def is_said(cell: Cell, record: Mapping[str, Any], column: Column) -> bool:
    """Whether a cell stands as this program wrote it for a record, so that nobody has changed it.

    >>> mass = Column("mass", "", "mass", "lb", "", "")
    >>> is_said("100", {"mass": {"value": 45.359237}}, mass), is_said(101.0, {"mass": {"value": 45.359237}}, mass)
    (True, False)
    """
    told = said(record, column)
    if told is None or is_empty(cell):
        return is_empty(cell) and (told is None or not str(told).strip())
    if isinstance(told, float):
        try:
            return f"{float(shown(cell)):.12g}" == f"{told:.12g}"
        except ValueError:
            return False
    return _plain(shown(cell)) in (_plain(told), _plain(guarded(told)))


def _plain(text: str) -> str:
    """Text without what sheets do to line ends, tabs and signs that can't be printed."""
    return " ".join("".join(one if one.isprintable() else " " for one in text).split())
