"""A sheet as it stands: cells by row and column, with what a spreadsheet hides or has broken."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from typing import Any

ROWS_MOST, COLUMNS_MOST = 200_000, 400
Value = str | float | bool | date | None


class ListError(Exception):
    """A file that can't be read as a list: said in a sentence that helps."""


@dataclass(frozen=True)
class Broken:
    """A cell that broke at the sender's: an error value, or a formula that was never worked out."""

    what: str


Cell = Value | Broken


@dataclass
class Grid:
    """One sheet: its rows of cells, and what of it is hidden."""

    name: str
    rows: list[list[Cell]]
    hidden: bool = False
    hidden_rows: frozenset[int] = frozenset()  # counted from 0
    hidden_columns: frozenset[int] = frozenset()
    first_row: int = 0  # what a spreadsheet calls row 1 is 0
    merged: list[tuple[int, int, int, int]] = field(default_factory=list)  # top, left, bottom, right

    @property
    def width(self) -> int:
        """The widest row."""
        return max(map(len, self.rows), default=0)


def letter(column: int) -> str:
    """A column as a spreadsheet calls it.

    >>> letter(0), letter(25), letter(26), letter(701)
    ('A', 'Z', 'AA', 'ZZ')
    """
    text, left = "", column + 1
    while left:
        left, step = divmod(left - 1, 26)
        text = chr(65 + step) + text
    return text


def is_empty(cell: Cell) -> bool:
    """Whether a cell says nothing."""
    return cell is None or (isinstance(cell, str) and not cell.strip())


def shown(cell: Cell) -> str:
    """A cell as a person reads it.

    >>> shown(12.0), shown(2.5), shown(Broken("#REF!")), shown(None)
    ('12', '2.5', '#REF!', '')
    """
    if isinstance(cell, Broken):
        return cell.what
    if cell is None:
        return ""
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    if isinstance(cell, float):
        return f"{cell:.12g}"
    return cell.isoformat() if isinstance(cell, date) else cell


def plain_cell(value: Any) -> Cell:
    """A value of a reader as a cell; a number that is none broke at the sender's."""
    if isinstance(value, bool) or value is None:
        return value
    if isinstance(value, int | float):
        return float(value) if value == value and abs(value) != float("inf") else Broken("NaN")
    if isinstance(value, datetime):
        return value.date()
    if isinstance(value, date):
        return value
    if isinstance(value, time | timedelta):
        return str(value)
    return str(value)
