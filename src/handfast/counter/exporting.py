"""The verbs that hand everything out as sheets: what comes back reads as the very same records."""

from __future__ import annotations

import io
import json
import zipfile
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from handfast.counter import house, verbs
from handfast.counter.terms import offer_terms
from handfast.counter.verbs import Workspace
from handfast.documents.offer_terms import offered_bill
from handfast.lists.headers import WHOLE
from handfast.lists.layout import Column, columns_out, said
from handfast.lists.sheets import CELL_MOST, Cell, Sheet, as_csv, as_xlsx
from handfast.lists.templates import template
from handfast.store.database import reading
from handfast.store.shelf_records import THE_ONE
from handfast.store.shelf_rows import records

SHEETS = {"machine": "Machines", "attachment": "Attachments", "part": "Parts", THE_ONE: "Price book"}
RATES = {
    "freight": (
        "Freight",
        (
            Column("zone", "Zone", "text", "", "", ""), Column("freight_class", "Class", "text", "", "", ""),
            Column("up_to", "Up to", "mass", "mass", "", ""), Column("base", "Base", "money", "money", "", ""),
            Column("per_kg", "A kilogram", "money", "money", "", ""),
            Column("least", "Least", "money", "money", "", ""),
            Column("valid_from", "From", "text", "", "", ""), Column("valid_to", "Until", "text", "", "", ""),
        ),
    ),
    "town": (
        "Towns",
        (
            Column("name", "Town", "text", "", "", ""), Column("zone", "Zone", "text", "", "", ""),
            Column("distance", "Distance", "length", "way", "", ""), Column("tax", "Tax", "share", "%", "", ""),
        ),
    ),
    "line": (
        "Small things",
        (
            Column("id", "Id", "text", "", "", ""), Column("name", "Name", "text", "", "", ""),
            Column("price", "Price", "money", "money", "", ""), Column("hours", "Hours", "hours", "", "", ""),
        ),
    ),
}  # fmt: skip
UNITS = {"us": {"mass": "lb", "way": "mi"}, "metric": {"mass": "kg", "way": "km"}}


def sheets_of(workspace: Workspace, system: str = "us") -> list[Sheet]:
    """Everything in a workspace as sheets: records that are read back, and what is for reading only."""
    with reading(workspace.engine) as connection:
        rows = records(connection)
    there = [(kind, json.loads(text)) for kind, _, text, out in rows if not out]
    book: dict[str, Any] = next((one for kind, one in there if kind == THE_ONE), {})
    currency = str(book.get("currency", "USD"))
    found = [
        _records(title, kind, [one for told, one in there if told == kind], system, currency)
        for kind, title in SHEETS.items()
    ]
    found += _rates(book, system, currency)
    retired = [(kind, key, text) for kind, key, text, out in rows if out]
    found.append(Sheet("Retired", ["Kind", "Item no", "Record"], [list(one) for one in retired], reading=True))
    return [*found, _quotes(workspace), *_others(workspace)]


def _records(title: str, kind: str, plain: Sequence[Mapping[str, Any]], system: str, currency: str) -> Sheet:
    columns = columns_out(kind, system, currency)
    rows: list[list[Cell]] = [
        [*(said(one, column) for column in columns), json.dumps({"kind": kind, "record": one}, ensure_ascii=False)]
        for one in plain
    ]
    return Sheet(title, [*(one.header for one in columns), WHOLE], rows)


def _rates(book: Mapping[str, Any], system: str, currency: str) -> Iterator[Sheet]:
    """The price book's tables, for reading: they come back within the book's whole record."""
    for place, (title, columns) in RATES.items():
        units = {**UNITS[system], "money": currency, "%": "%"}
        shown = [Column(c.place, c.header, c.dimension, units.get(c.unit, ""), "", "") for c in columns]
        headers = [f"{c.header} ({c.unit})" if c.unit else c.header for c in shown]
        rows = [[said(one, column) for column in shown] for one in book.get(place, ())]
        yield Sheet(title, headers, rows, reading=True)


def _quotes(workspace: Workspace) -> Sheet:
    """Every offer with its sums as they were offered."""
    headers = ["Quote", "Inquiry", "Outfit", "State", "Made", "Currency", "Before tax", "Tax", "Total", "Not more than"]
    rows: list[list[Cell]] = []
    for row in reversed(verbs.quotes(workspace)):
        for one in verbs.offered(row).outfits:
            bill = offered_bill(one, offer_terms(row))
            sums = [float(amount) for amount in (bill.before_tax, bill.tax, bill.total, bill.ceiling)]
            told: list[Cell] = [float(row.number), float(row.inquiry), one.title, row.state, row.created, bill.currency]
            rows.append([*told, *sums])
    return Sheet("Quotes", headers, rows, reading=True)


def _others(workspace: Workspace) -> Iterator[Sheet]:
    """Inquiries, calls, promises and what came after a sale; a long entry stands in the archive alone."""
    for name, rows in verbs.export(workspace).items():
        if name in ("shelf", "quotes") or not isinstance(rows, list):
            continue
        headers = list(dict.fromkeys(key for row in rows for key in row))
        cells = [[_cell(row.get(key)) for key in headers] for row in rows]
        yield Sheet(name.replace("_", " ").capitalize(), headers, cells, reading=True)


def _cell(value: Any) -> Cell:
    if value is None or isinstance(value, str):
        text = value or ""
    elif isinstance(value, int | float):
        return float(value)
    else:
        text = json.dumps(value, ensure_ascii=False)
    return text if len(text) <= CELL_MOST else "too long for a cell: it stands in the archive"


def export_xlsx(workspace: Workspace, system: str = "us") -> bytes:
    """Everything as one workbook. ListError: a record is longer than a cell can be."""
    return as_xlsx(sheets_of(workspace, system))


def export_csv(workspace: Workspace, system: str = "us") -> dict[str, bytes]:
    """Everything as text files by their names."""
    return {f"{one.name.lower().replace(' ', '_')}.csv": as_csv(one) for one in sheets_of(workspace, system)}


def export_csv_packed(workspace: Workspace, system: str = "us") -> bytes:
    """The text files in one packed file; equal content gives equal bytes."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as packed:
        for name, data in export_csv(workspace, system).items():
            packed.writestr(zipfile.ZipInfo(name), data, zipfile.ZIP_DEFLATED)
    return out.getvalue()


def template_for(workspace: Workspace, name: str, form: str, system: str = "") -> bytes:
    """A template to fill in, in the house's units and currency unless others are asked for. KeyError: no such one."""
    units = system or house.settings(workspace).units
    return template(name, form, units, verbs.shelf(workspace).price_book.currency)
