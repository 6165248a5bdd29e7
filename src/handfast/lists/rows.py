"""From a row's cells to a record, held against the shelf: added, changed, the same, asked or refused."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from pydantic import ValidationError

from handfast.lists.cells import Reading, Refused, entry_of
from handfast.lists.columns import NEVER, ask_about
from handfast.lists.grid import Cell, Grid, is_empty, letter, shown
from handfast.lists.headers import Match
from handfast.lists.proposal import Asking, Row, Why
from handfast.machines.attachment import Attachment
from handfast.machines.fields import Record
from handfast.machines.part import Part
from handfast.machines.shelf import Shelf
from handfast.machines.tractor import Machine

MODELS: dict[str, type[Record]] = {"attachment": Attachment, "part": Part, "machine": Machine}
ASIDE = re.compile(r"(?i)\b(?:sub)?total\b|page \d|continued|summe|seite")


@dataclass(frozen=True)
class Reader:
    """What reading the rows of one table needs."""

    grid: Grid
    kind: str
    columns: list[Match]
    readings: dict[int, Reading]
    shelf: Shelf
    supplier: str
    asking: Asking

    def row(self, at: int) -> Row:
        """What becomes of a row."""
        cells = self.grid.rows[at]
        if at in self.grid.hidden_rows and not self.asking.hidden(
            f"{self.grid.name}!rows", f"Sheet {self.grid.name} has rows that are"
        ):
            hidden = Why(f"row {at + 1}", "a hidden row", "a word whether it counts")
            return Row(at + 1, "ask", self.kind, self._id(cells), why=(hidden,))
        entries, why, asked = self._entries(at, cells)
        key = str(entries.get("id") or slug(str(entries.get("name", ""))))
        words = " ".join(filter(None, map(shown, cells)))
        if not key and self._id_is_asked():
            return Row(
                at + 1, "ask", self.kind, "", entries, why=(Why(f"row {at + 1}", words[:60], "which column is the id"),)
            )
        if not key or (len(entries) <= 2 and ASIDE.search(words)):
            told = Why(f"row {at + 1}", words[:60] or "nothing", "an id or a name")
            return Row(at + 1, "pass", self.kind, key, why=(told,))
        if why:
            return Row(at + 1, "ask" if asked else "refuse", self.kind, key, entries, why=tuple(why))
        return held(at, self.kind, key, entries, self.shelf, self.supplier)

    def _id_is_asked(self) -> bool:
        return any({"id", "name"} & set(one.choices) and not one.answer for one in self.asking.questions.values())

    def _id(self, cells: list[Cell]) -> str:
        at = next((at for at, one in self.readings.items() if one.field.place == "id"), len(cells))
        return shown(cells[at]).strip() if at < len(cells) else ""

    def _entries(self, at: int, cells: list[Cell]) -> tuple[dict[str, Any], list[Why], bool]:
        """What the cells say, what is wrong with them, and whether a question would mend it."""
        entries: dict[str, Any] = {}
        why: list[Why] = []
        asks: list[bool] = []
        for column, reading in self.readings.items():
            cell = cells[column] if column < len(cells) else None
            entry = None if is_empty(cell) else entry_of(cell, reading)
            if isinstance(entry, Refused):
                why.append(Why(f"{letter(column)}{at + 1}", entry.found, entry.expected))
                asks.append(bool(entry.ask))
                if entry.ask:
                    header = self.columns[column].header
                    ask_about(entry, self.grid, column, header, reading, self.asking)
            elif entry is not None and reading.field.place not in NEVER:
                entries[reading.field.place] = entry
        return entries, why, bool(asks) and all(asks)


def slug(name: str) -> str:
    """An id from a name, where a list has none.

    >>> slug("Root Grapple, 60 in")
    'root-grapple-60-in'
    """
    return re.sub(r"[^a-z0-9]+", "-", name.casefold()).strip("-")[:60]


def held(at: int, kind: str, key: str, entries: dict[str, Any], shelf: Shelf, supplier: str) -> Row:
    """A good row held against the shelf: what its record would be, and what that changes."""
    known: Mapping[str, Record] = {
        "attachment": shelf.attachments, "part": shelf.parts, "machine": shelf.machines,
    }[kind]  # type: ignore[assignment]  # fmt: skip
    before: dict[str, Any] = known[key].plain() if key in known else {}
    named = {"supplier": supplier} if supplier and kind != "machine" and "supplier" not in before else {}
    data = laid_over(before, {**named, **entries, "id": key})
    if kind == "part" and "kind" not in data:
        why = Why(f"row {at + 1}", "no kind", "a column that says what kind of part it is")
        return Row(at + 1, "refuse", kind, key, entries, why=(why,))
    try:
        record = MODELS[kind].model_validate(data, context={"origin": "sheet"})
    except ValidationError as error:
        faults = [_fault(at, one) for one in error.errors(include_url=False)]
        return Row(at + 1, "refuse", kind, key, entries, why=tuple(faults))
    plain = record.plain()
    changes = tuple(differences(before, plain)) if before else ()
    return Row(at + 1, ("change" if changes else "same") if before else "add", kind, key, plain, changes)


def _fault(at: int, error: Any) -> Why:
    place = ".".join(map(str, error["loc"])) or "record"
    return Why(f"row {at + 1}, {place}", str(error.get("input", ""))[:60], str(error["msg"]))


def laid_over(before: Mapping[str, Any], entries: Mapping[str, Any]) -> dict[str, Any]:
    """A record's data with entries laid over it; what the list does not name stays.

    >>> laid_over({"price": "10", "shipping": {"mass": "5 lb"}}, {"shipping.freight_class": "85"})
    {'price': '10', 'shipping': {'mass': '5 lb', 'freight_class': '85'}}
    """
    data: dict[str, Any] = json.loads(json.dumps(before))
    for place, value in entries.items():
        at = data
        *way, last = place.split(".")
        for step in way:
            at = at.setdefault(step, {})
        at[last] = value
    return data


def differences(before: Any, after: Any, place: str = "") -> Iterator[tuple[str, str, str]]:
    """Place, before and after of everything that differs.

    >>> list(differences({"a": {"b": 1}}, {"a": {"b": 2}, "c": 3}))
    [('a.b', '1', '2'), ('c', '', '3')]
    """
    if isinstance(before, Mapping) and isinstance(after, Mapping) and not _is_quantity(before, after):
        for name in dict.fromkeys((*before, *after)):
            yield from differences(before.get(name), after.get(name), f"{place}.{name}" if place else name)
    elif before != after:
        yield place, _said(before), _said(after)


def _is_quantity(*values: Mapping[str, Any]) -> bool:
    return any("value" in one or "likely" in one for one in values)


def _said(value: Any) -> str:
    """A value as the list of differences shows it."""
    if isinstance(value, Mapping):
        return str(value.get("text") or value.get("value") or value.get("likely") or "")
    return "" if value is None else str(value)
