"""The four lists of the shelf: found by words, sorted by a column, what is retired set apart."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from math import inf
from typing import Any
from urllib.parse import quote

from handfast.machines.attachment import Attachment
from handfast.machines.part import Part
from handfast.machines.tractor import CLASSES, Machine
from handfast.outfits.outliers import outliers
from handfast.quantities.estimate import Estimate
from handfast.quantities.money import show_money
from handfast.quantities.showing import show_estimate


@dataclass(frozen=True)
class Column:
    """One column: its name, whether it holds figures."""

    key: str
    title: str
    right: bool = False


@dataclass(frozen=True)
class Row:
    """One record in a list: its cells, what each is sorted by, its page."""

    cells: tuple[str, ...]
    by: tuple[Any, ...]
    address: str
    asked: int = 0  # figures that are asked about


@dataclass(frozen=True)
class Sorted:
    """A list of the shelf as it is shown."""

    id: str
    title: str
    folder: str
    columns: tuple[Column, ...]
    rows: tuple[Row, ...]
    retired: tuple[Row, ...]
    sort: str = ""
    down: bool = False

    @property
    def count(self) -> int:
        """How many there are."""
        return len(self.rows)

    def turn(self, column: Column) -> str:
        """The word for a column's order that its heading leads to."""
        return "down" if self.sort == column.key and not self.down else "up"


Cell = tuple[str, Any]
MACHINES = (
    Column("name", "Tractor"),
    Column("class", "Class"),
    Column("power", "Power", True),
    Column("mass", "Mass, loader on", True),
    Column("lift", "Lift at the pins", True),
    Column("hangs", "Bucket hangs on"),
    Column("outlets", "Outlets to spare"),
)
ATTACHMENTS = (
    Column("name", "Attachment"),
    Column("kind", "Kind"),
    Column("width", "Width", True),
    Column("mass", "Mass", True),
    Column("hangs", "Hangs on"),
    Column("lid", "Lid moved by"),
    Column("stock", "Stock", True),
    Column("price", "Price", True),
)
PARTS = (
    Column("name", "Part"),
    Column("kind", "Kind"),
    Column("mass", "Mass", True),
    Column("lead", "Lead", True),
    Column("stock", "Stock", True),
    Column("price", "Price", True),
)
BALLAST = (
    Column("name", "Weight"),
    Column("at", "Goes on"),
    Column("mass", "Mass", True),
    Column("stock", "Stock", True),
    Column("price", "Price", True),
)
LID = {"hydraulic": "oil", "electric": "electric", "curl": "the curl"}


def _words(text: str | None) -> Cell:
    said = (text or "").replace("_", " ")
    return said, said.casefold()


def _amount(known: Estimate, dimension: str, system: str) -> Cell:
    if known.is_unknown:
        return "", inf
    return show_estimate(known, dimension, system), known.value


def _price(known: Estimate, currency: str) -> Cell:
    return ("", inf) if known.is_unknown else (show_money(known.value, currency), known.value)


def _count(count: int | None) -> Cell:
    return ("", inf) if count is None else (str(count), count)


def _name(record: Machine | Attachment | Part) -> Cell:
    name = record.name or record.id
    return name, name.casefold()


def _machine(one: Machine, system: str, _currency: str) -> list[Cell]:
    front, rear = one.front_functions or 0, one.rear_remotes or 0
    return [
        _name(one),
        (CLASSES.get(one.class_ or "", ""), list(CLASSES).index(one.class_) if one.class_ else inf),
        _amount(one.engine_power, "power", system),
        _amount(one.mass, "mass", system),
        _amount(one.loader.lift_at_pin, "load", system),
        _words(one.quick_attach),
        (f"{front} front, {rear} rear", (front, rear)),
    ]


def _attachment(one: Attachment, system: str, currency: str) -> list[Cell]:
    lid = LID.get(one.actuation or "", "no lid")
    return [
        _name(one),
        _words(one.kind),
        _amount(one.width, "length", system),
        _amount(one.mass, "mass", system),
        _words(", ".join(one.interfaces)),
        (lid, lid),
        _count(one.stock),
        _price(one.price, currency),
    ]


def _part(one: Part, system: str, currency: str) -> list[Cell]:
    return [
        _name(one),
        _words(one.kind),
        _amount(one.mass, "mass", system),
        _amount(one.lead_days, "days", system),
        _count(one.stock),
        _price(one.price, currency),
    ]


def _ballast(one: Part, system: str, currency: str) -> list[Cell]:
    weight = _amount(one.mass, "mass", system)
    return [_name(one), _words(one.at), weight, _count(one.stock), _price(one.price, currency)]


Cells = Callable[[Any, str, str], list[Cell]]
LISTS: tuple[tuple[str, str, str, tuple[Column, ...], Cells], ...] = (
    ("machines", "Tractors", "machines", MACHINES, _machine),
    ("attachments", "Attachments", "attachments", ATTACHMENTS, _attachment),
    ("parts", "Parts", "parts", PARTS, _part),
    ("ballast", "Ballast", "parts", BALLAST, _ballast),
)
Held = Iterable[tuple[Machine | Attachment | Part, bool]]


def lists_of(records: Held, system: str, currency: str, find: str, only: str, sort: str, down: bool) -> list[Sorted]:
    """The lists of the shelf.

    Args:
        records: every record, and whether it is retired.
        system: us or metric.
        currency: of the prices.
        find: words that a row must hold, each somewhere.
        only: the list that is asked for; empty: all.
        sort: list and column, such as "parts.price"; empty: as they stand.
        down: largest first.

    Returns:
        The lists that hold something, in their order.
    """
    kept: dict[str, tuple[list[Row], list[Row]]] = {name: ([], []) for name, *_ in LISTS}
    wanted = find.casefold().split()
    made = {name: (folder, cells) for name, _, folder, _, cells in LISTS}
    for record, retired in records:
        name = _list_of(record)
        folder, cells = made[name]
        cells_of = cells(record, system, currency)
        texts, by = tuple(text for text, _ in cells_of), tuple(by for _, by in cells_of)
        asked = 0 if isinstance(record, Part) else len(outliers(record, system))
        row = Row(texts, by, f"/shelf/{folder}/{quote(record.id, safe='')}", asked)
        text = " ".join((record.id, *row.cells)).casefold()
        if all(word in text for word in wanted):
            kept[name][retired].append(row)
    found = []
    for name, title, folder, columns, _ in LISTS:
        rows, retired_rows = kept[name]
        key = sort.removeprefix(f"{name}.") if sort.startswith(f"{name}.") else ""
        if (rows or retired_rows) and only in ("", name):
            ordered = _in_order(rows, columns, key, down)
            found.append(Sorted(name, title, folder, columns, ordered, tuple(retired_rows), key, down))
    return found


def _list_of(record: Machine | Attachment | Part) -> str:
    if isinstance(record, Machine):
        return "machines"
    if isinstance(record, Attachment):
        return "attachments"
    return "ballast" if record.kind == "ballast" else "parts"


def _in_order(rows: list[Row], columns: tuple[Column, ...], key: str, down: bool) -> tuple[Row, ...]:
    """Rows by a column; what is not known comes last either way."""
    place = next((k for k, column in enumerate(columns) if column.key == key), None)
    if place is None:
        return tuple(rows)
    known = [row for row in rows if row.cells[place]]
    rest = [row for row in rows if not row.cells[place]]
    return (*sorted(known, key=lambda row: row.by[place], reverse=down), *rest)
