"""Text on a terminal: columns, wrapped paragraphs, figures with their units."""

from __future__ import annotations

import shutil
import sys
import textwrap
from collections.abc import Iterable, Sequence

from handfast.advice.result import Ballast, Band, Cost
from handfast.language.telling import tell
from handfast.quantities.money import show_money
from handfast.reckoning.shown import figure as figure


def width() -> int:
    """How many columns there are: the terminal's within reason, 100 where the page goes to a file."""
    if not sys.stdout.isatty():
        return 100
    return max(60, min(120, shutil.get_terminal_size().columns))


def heading(text: str) -> list[str]:
    """A heading with an empty line above it."""
    text = tell(text)
    return ["", text, "-" * len(text)]


def paragraph(text: str, indent: str = "  ", first: str | None = None) -> list[str]:
    """A paragraph wrapped to the page."""
    return textwrap.wrap(
        tell(text), width(), initial_indent=indent if first is None else first, subsequent_indent=indent
    )


def columns(rows: Iterable[Sequence[str]], right: Iterable[int] = (), indent: str = "  ") -> list[str]:
    """Rows in columns as wide as their widest cell; `right` names the columns set to the right."""
    table = [[tell(cell) for cell in row] for row in rows]
    if not table:
        return []
    widths = [max(len(row[at]) for row in table) for at in range(len(table[0]))]
    side = set(right)
    lines = []
    for row in table:
        cells = [
            cell.rjust(wide) if at in side else cell.ljust(wide)
            for at, (cell, wide) in enumerate(zip(row, widths, strict=True))
        ]
        lines.append((indent + "  ".join(cells)).rstrip())
    return lines


def labelled(rows: Sequence[tuple[str, str]], indent: str = "  ") -> list[str]:
    """Labels on the left, what belongs to them wrapped on the right."""
    rows = [(tell(label), text) for label, text in rows]
    wide = max((len(label) for label, _ in rows), default=0)
    rest = indent + " " * (wide + 2)
    return [line for label, text in rows for line in paragraph(text, rest, f"{indent}{label.ljust(wide)}  ")]


def band(value: Band | None, unit: str, units: str) -> str:
    """The middle of a figure, and its spread where there is one."""
    if value is None:
        return "not known"
    middle = figure(value.p50, unit, units)
    low, high = figure(value.p10, unit, units), figure(value.p90, unit, units)
    return middle if low == high else f"{middle} ({low} to {high})"


def price(value: float, currency: str) -> str:
    """An amount of money to the whole unit."""
    return show_money(value, currency)


def about_load(text: str) -> str:
    """What is said of the load, standing by itself."""
    return text.removeprefix("and ")


def behind(ballast: Ballast, units: str) -> str:
    """What must hang behind, with the pieces chosen for it."""
    pieces = [f"{piece.count} × {piece.title}" for piece in ballast.chosen]
    rest = [ballast.note] if ballast.note else []
    if not pieces and ballast.needed > 0:
        pieces = [f"{figure(ballast.needed, 'kg', units)} at the hitch"]
    return "; ".join([*pieces, *rest]) or "nothing more is needed"


def tally(held: float | None) -> str:
    """How sure, in tenths; never rounded to certainty either way."""
    if held is None:
        return "not decidable yet"
    if held in (0.0, 1.0):
        return "sure" if held else "never"
    tenths = min(9, int(held * 10))
    return f"{tenths} in 10" if tenths else "less than 1 in 10"


def total(cost: Cost) -> str:
    """The bill in one phrase; no total where the attachment's own price is not known."""
    if not cost.whole:
        return f"no total: the attachment's own price is not known; all else {price(cost.p50, cost.currency)}"
    return f"{price(cost.p50, cost.currency)}, not more than {price(cost.ceiling, cost.currency)}"
