"""The result of one chapter as a page of text: what is single first, then each list as a table."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from handfast.cli.page import columns, heading
from handfast.reckoning.shown import cell, flat, is_table, once, words


def reckoning_page(result: dict[str, Any], units: str) -> str:
    """A result of `reckon` as text."""
    return "\n".join(_lines(result, units, "")).lstrip("\n") + "\n"


def _lines(result: dict[str, Any], units: str, above: str) -> Iterator[str]:
    shown = {name: value for name, value in result.items() if name != "units" and value not in ([], {})}
    single = {name: value for name, value in shown.items() if not is_table(value) and not isinstance(value, dict)}
    single = once(single)
    yield from columns([[words(name), cell(name, value, units)] for name, value in single.items()])
    for name, value in shown.items():
        title = f"{above}{words(name)}"
        if isinstance(value, dict):
            yield from heading(title)
            yield from _lines(value, units, f"{title} ")
        elif is_table(value):
            yield from heading(title)
            yield from _table(value, units, f"{title} ")


def _table(rows: list[dict[str, Any]], units: str, above: str) -> Iterator[str]:
    if any(is_table(value) for row in rows for value in row.values()):
        for number, row in enumerate(rows, 1):
            yield from [""] * (number > 1)
            yield from _lines(row, units, f"{above}{number}: ")
        return
    laid = [once(flat(row)) for row in rows]
    names = [name for name in dict.fromkeys(name for row in laid for name in row) if name != "unit"]
    body = [[cell(name, row.get(name), units, str(row.get("unit", ""))) for name in names] for row in laid]
    yield from columns([[words(name) for name in names], *body], right=range(len(names)))
