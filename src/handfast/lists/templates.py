"""Templates to fill in: headers with their units, one marked example, words to choose from, a sheet of notes."""

from __future__ import annotations

from handfast.lists.layout import Column, choices_of, columns_out
from handfast.lists.sheets import Sheet, as_csv, as_xlsx

KINDS = {"machines": "machine", "attachments": "attachment", "parts": "part", "prices": "price"}
FORMATS = ("xlsx", "csv")


def template_sheet(name: str, system: str, currency: str) -> Sheet:
    """The sheet of a template.

    >>> template_sheet("prices", "us", "USD").rows[0][:2]
    ['example: fernclaw-60', 2290.0]
    """
    kind = KINDS[name]
    columns = columns_out(kind, system, currency)
    words = {at: choices_of(kind, one) for at, one in enumerate(columns)}
    return Sheet(
        name.capitalize(),
        [one.header for one in columns],
        [[_example(one, system) for one in columns]],
        notes=[one.note for one in columns],
        choices={at: found for at, found in words.items() if found},
        example=True,
    )


def _example(column: Column, system: str) -> str | float | None:
    """The example's figure; the table has US ones, a metric sheet has them rounded."""
    if not column.example:
        return None
    if not column.is_number:
        return column.example
    value = float(column.example)
    us = {
        "length": 25.4,
        "mass": 0.45359237,
        "pressure": 0.0689476,
        "flow": 3.785412,
        "volume": 28.31685,
        "power": 0.7457,
    }
    return value if system == "us" or column.dimension not in us else float(f"{value * us[column.dimension]:.3g}")


def template(name: str, form: str, system: str, currency: str) -> bytes:
    """A template as a file.

    Args:
        name: machines, attachments, parts or prices.
        form: xlsx or csv.
        system: us or metric.
        currency: of the shelf's prices.

    Returns:
        The file.

    >>> template("prices", "csv", "us", "USD").splitlines()[0]
    b'Item no,Price (USD),Supplier list price (USD),Cost (USD),Price from,Price until,Supplier'
    """
    sheet = template_sheet(name, system, currency)
    return as_csv(sheet) if form == "csv" else as_xlsx([sheet, notes_sheet(sheet)])


def notes_sheet(sheet: Sheet) -> Sheet:
    """What every column means, and what it may hold."""
    rows: list[list[str | float | None]] = [
        [header, note, ", ".join(sheet.choices.get(at, ()))]
        for at, (header, note) in enumerate(zip(sheet.headers, sheet.notes, strict=True))
    ]
    rows.append(
        ["Every column but the first", "Empty is not known. The example's row is passed over; so is an empty one.", ""]
    )
    return Sheet("Notes", ["Column", "What it means", "Words that it may hold"], rows, reading=True)
