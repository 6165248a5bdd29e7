"""Sheets that go out: written as a workbook or as text, so that no spreadsheet runs what somebody typed."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from handfast.lists.grid import ListError
from handfast.lists.layout import READING, guarded

CELL_MOST = 32_000  # characters that a cell of a workbook holds, with room
ROWS_CHECKED = 2_000  # rows below a template's header that offer its words
MADE = datetime(2000, 1, 1)
Cell = str | float | None


@dataclass(frozen=True)
class Sheet:
    """One sheet: its headers, its rows, what its columns mean and may hold."""

    name: str
    headers: Sequence[str]
    rows: Sequence[Sequence[Cell]]
    reading: bool = False  # not read back
    notes: Sequence[str] = ()
    choices: Mapping[int, Sequence[str]] = field(default_factory=dict)
    example: bool = False  # its first row is one

    @property
    def all_headers(self) -> list[str]:
        """The headers, with the mark of a sheet that is not read back."""
        return [*self.headers, *([READING] if self.reading else [])]


def as_csv(sheet: Sheet) -> bytes:
    """A sheet as UTF-8 without a mark, commas between, points in numbers.

    >>> as_csv(Sheet("a", ["Item no", "Weight (lb)"], [["=1+1", 2.5], ["b", None]]))
    b"Item no,Weight (lb)\\r\\n'=1+1,2.5\\r\\nb,\\r\\n"
    """
    out = io.StringIO(newline="")
    writer = csv.writer(out)
    writer.writerow([guarded(one) for one in sheet.all_headers])
    for row in sheet.rows:
        writer.writerow([_text_cell(sheet, cell) for cell in row])
    return out.getvalue().encode("utf-8", "backslashreplace")


def _text_cell(sheet: Sheet, cell: Cell) -> str:
    if cell is None:
        return ""
    return guarded(_short(sheet, cell)) if isinstance(cell, str) else f"{cell:.15g}"


def _short(sheet: Sheet, text: str) -> str:
    if len(text) > CELL_MOST:
        said = f"Sheet {sheet.name}: a record is longer than a cell can be. Export it as JSON or as an archive."
        raise ListError(said)
    return text


def as_xlsx(sheets: Iterable[Sheet]) -> bytes:
    """Sheets as one workbook; equal sheets give equal bytes.

    Raises:
        ListError: a record is longer than a cell can be.
    """
    from xlsxwriter import Workbook

    out = io.BytesIO()
    plain = {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False, "strings_to_numbers": False}
    with Workbook(out, plain) as book:
        book.set_properties({"created": MADE, "title": "Handfast"})
        looks = {
            "head": book.add_format({"bold": True, "bottom": 1, "text_wrap": True, "valign": "top"}),
            "text": book.add_format({"quote_prefix": True}),
            "example": book.add_format({"quote_prefix": True, "italic": True, "font_color": "#666666"}),
        }
        taken: set[str] = set()
        for sheet in sheets:
            _write(book.add_worksheet(_name(sheet.name, taken)), sheet, looks)
    return out.getvalue()


def _name(name: str, taken: set[str]) -> str:
    """A name that a workbook takes: short, without its own signs, used once."""
    plain = re.sub(r"[\[\]:*?/\\']", " ", name).strip()[:28] or "Sheet"
    while plain.casefold() in taken:
        plain = f"{plain[:26]} {len(taken)}"
    taken.add(plain.casefold())
    return plain


def _write(page: Any, sheet: Sheet, looks: Mapping[str, Any]) -> None:
    for at, header in enumerate(sheet.all_headers):
        page.write_string(0, at, header, looks["head"])
        page.set_column(at, at, min(max(len(header), _width(sheet, at)) + 2, 44))
    for row, cells in enumerate(sheet.rows, 1):
        look = looks["example"] if sheet.example and row == 1 else looks["text"]
        for at, cell in enumerate(cells):
            if isinstance(cell, str):
                page.write_string(row, at, _short(sheet, cell), look)
            elif cell is not None:
                page.write_number(row, at, cell, looks["example"] if sheet.example and row == 1 else None)
    for at, words in sheet.choices.items():
        page.data_validation(
            1, at, ROWS_CHECKED, at, {"validate": "list", "source": list(words), "error_type": "warning"}
        )
    for at, note in enumerate(sheet.notes):
        if note and at not in sheet.choices:
            told = {"validate": "any", "input_title": sheet.headers[at][:32], "input_message": note[:255]}
            page.data_validation(1, at, ROWS_CHECKED, at, told)
    page.freeze_panes(1, 1)
    if sheet.rows and not sheet.example:
        page.autofilter(0, 0, len(sheet.rows), max(len(sheet.all_headers) - 1, 0))


def _width(sheet: Sheet, at: int) -> int:
    return max((len(str(row[at])) for row in sheet.rows[:50] if at < len(row) and row[at] is not None), default=0)
