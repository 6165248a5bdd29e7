"""From a row's cells to a record, held against the shelf: added, changed, the same, asked or refused."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from pydantic import ValidationError

from handfast.lists.cells import MODELS, Reading, Refused, entry_of
from handfast.lists.columns import ask_about
from handfast.lists.grid import Cell, Grid, is_empty, letter, shown
from handfast.lists.headers import Match, certain_places
from handfast.lists.layout import EXAMPLE, Column, at_place, is_said
from handfast.lists.proposal import Asking, Row, Why
from handfast.machines.fields import Record
from handfast.machines.shelf import Shelf

BOOK = "price_book"
PRICES = {"price", "list_price", "cost", "valid_from", "valid_to"}
BESIDE_PRICES = {"id", "name", "supplier", "stock", "lead_days", "notes"}
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
            return self._told("ask", at, self._id(cells), {}, "a hidden row", "a word whether it counts")
        try:
            kind, base = self._whole(cells)
        except ValueError:
            return self._told(
                "refuse", at, self._id(cells), {}, "a whole record that was changed", "it as it was written"
            )
        entries, why, asked = self._entries(at, cells, base)
        key = BOOK if kind == BOOK else str(entries.get("id") or (base or {}).get("id") or self._slug(entries))
        words = " ".join(filter(None, map(shown, cells)))
        if key.casefold().startswith(EXAMPLE):
            return self._told("pass", at, key, {}, "the example of a template", "rows of your own")
        if not key and self._id_is_asked():
            return self._told("ask", at, "", entries, words[:60], "which column is the id")
        if not key or (len(entries) <= 2 and base is None and ASIDE.search(words)):
            return self._told("pass", at, key, {}, words[:60] or "nothing", "an id or a name")
        if why:
            return Row(at + 1, "ask" if asked else "refuse", kind, key, entries, why=tuple(why))
        if base is None and self._prices_alone:
            there = [one for one in ("attachment", "part") if key in known_of(one, self.shelf)]
            if not there:
                expected = "an id that is there, or a column that says what kind it is"
                return self._told("refuse", at, key, entries, f"no {key} on the shelf", expected)
            kind = there[0]
        return held(at, kind, key, entries, self.shelf, self.supplier, base)

    def _told(self, state: str, at: int, key: str, entries: dict[str, Any], found: str, expected: str) -> Row:
        """A row that becomes no record, and why."""
        return Row(at + 1, state, self.kind, key, entries, why=(Why(f"row {at + 1}", found, expected),))

    def _slug(self, entries: Mapping[str, Any]) -> str:
        return slug(str(entries.get("name", "")))

    @cached_property
    def _prices_alone(self) -> bool:
        """Whether the list has prices for what is on the shelf, and says nothing of what its rows are."""
        places = certain_places(self.columns)
        return bool(places & PRICES) and places <= PRICES | BESIDE_PRICES

    def _whole(self, cells: list[Cell]) -> tuple[str, dict[str, Any] | None]:
        """The kind of the row's record, and the record that this program wrote into the row; ValueError: broken."""
        at = next((at for at, one in self.readings.items() if one.field.dimension == "record"), len(cells))
        if at >= len(cells) or is_empty(cells[at]):
            return self.kind, None
        found = json.loads(shown(cells[at]))
        if not isinstance(found, dict) or found.get("kind") not in MODELS or not isinstance(found.get("record"), dict):
            raise ValueError
        return found["kind"], found["record"]

    def _id_is_asked(self) -> bool:
        return any({"id", "name"} & set(one.choices) and not one.answer for one in self.asking.questions.values())

    def _id(self, cells: list[Cell]) -> str:
        at = next((at for at, one in self.readings.items() if one.field.place == "id"), len(cells))
        return shown(cells[at]).strip() if at < len(cells) else ""

    def _entries(
        self, at: int, cells: list[Cell], base: Mapping[str, Any] | None
    ) -> tuple[dict[str, Any], list[Why], bool]:
        """What the cells say beyond the whole record, what is wrong with them, and whether a question would mend it."""
        entries: dict[str, Any] = {}
        why: list[Why] = []
        asks: list[bool] = []
        for column, reading in self.readings.items():
            cell = cells[column] if column < len(cells) else None
            if reading.field.dimension == "record" or (base is not None and is_said(cell, base, _column(reading))):
                continue
            entry = None if is_empty(cell) else entry_of(cell, reading)
            if isinstance(entry, Refused):
                why.append(Why(f"{letter(column)}{at + 1}", entry.found, entry.expected))
                asks.append(bool(entry.ask))
                if entry.ask:
                    header = self.columns[column].header
                    ask_about(entry, self.grid, column, header, reading, self.asking)
            elif entry is not None or base is not None:
                entries[reading.field.place] = entry
        return entries, why, bool(asks) and all(asks)


def slug(name: str) -> str:
    """An id from a name, where a list has none.

    >>> slug("Root Grapple, 60 in")
    'root-grapple-60-in'
    """
    return re.sub(r"[^a-z0-9]+", "-", name.casefold()).strip("-")[:60]


def _column(reading: Reading) -> Column:
    return Column(reading.field.place, "", reading.field.dimension, reading.unit, "", "")


def known_of(kind: str, shelf: Shelf) -> Mapping[str, Record]:
    """The records of a kind on the shelf, by id; a price book that says nothing is none."""
    book = {BOOK: shelf.price_book} if shelf.price_book.plain() else {}
    found: dict[str, Mapping[str, Record]] = {
        "attachment": shelf.attachments, "part": shelf.parts, "machine": shelf.machines, BOOK: book,
    }  # fmt: skip
    return found[kind]


def held(
    at: int,
    kind: str,
    key: str,
    entries: dict[str, Any],
    shelf: Shelf,
    supplier: str,
    base: dict[str, Any] | None = None,
) -> Row:
    """A good row held against the shelf: what its record would be, and what that changes.

    Where the row has a whole record, its entries are what was changed beside it.
    """
    known = known_of(kind, shelf)
    before: dict[str, Any] = known[key].plain() if key in known else {}
    ground = before if base is None else base
    named = (
        {"supplier": supplier} if supplier and base is None and kind != "machine" and "supplier" not in ground else {}
    )
    own = {} if kind == BOOK else {"id": key}
    data = laid_over(ground, {**named, **(entries if base is not None else dated(ground, entries)), **own})
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
    if base is not None:  # to the letter, echoes of readings too, but for what was changed beside it
        plain = laid_over(base, {place: at_place(plain, place) for place in entries})
    return Row(at + 1, ("change" if changes else "same") if before else "add", kind, key, plain, changes)


def dated(before: Mapping[str, Any], entries: Mapping[str, Any]) -> dict[str, Any]:
    """Entries of which a price that begins on a day stands beside the one there is, in place of one of the same day.

    >>> dated({"price": 10}, {"price": 12, "valid_from": "2027-01-01"})
    {'prices': [{'price': 12, 'valid_from': '2027-01-01'}]}
    >>> dated({}, {"price": 12, "valid_from": "2027-01-01"})
    {'price': 12, 'valid_from': '2027-01-01'}
    """
    begins = entries.get("valid_from")
    if not begins or "price" not in before or before.get("valid_from", "") == begins:
        return dict(entries)
    rest = {place: value for place, value in entries.items() if place not in PRICES}
    later = {place: value for place, value in entries.items() if place in PRICES}
    others = [one for one in before.get("prices", ()) if one.get("valid_from") != begins]
    return {**rest, "prices": sorted([*others, later], key=lambda one: str(one.get("valid_from", "")))}


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
        if value is None:
            at.pop(last, None)
        else:
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
