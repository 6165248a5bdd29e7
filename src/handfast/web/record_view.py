"""A record as it is read: every value with how sure it is and where it comes from; its history, field by field."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from pydantic import BaseModel

from handfast.quantities.estimate import Estimate
from handfast.quantities.money import show_money
from handfast.quantities.reading import read_quantity
from handfast.quantities.showing import show
from handfast.store.change_rows import Change
from handfast.web.record_fields import Block, Slot, blocks
from handfast.web.record_form import HOW, at, at_top, labels_of, shown, slots_of, values_of

MOST_DIFFERENCES = 40
HEADED = ("name", "notes")  # they stand at the head of the page
FAR, MILE = 1000.0, 1609.344  # m
SMALL = 100.0  # a price below it is shown to the cent


@dataclass(frozen=True)
class Line:
    """One value as it is shown."""

    label: str
    text: str
    state: str = ""  # sure or about, for a quantity
    origin: str = ""
    term: str = ""
    own: bool = False  # words that somebody wrote


@dataclass(frozen=True)
class Group:
    """Values that stand together, and the names of those that are not known."""

    title: str
    lines: tuple[Line, ...]
    unknown: tuple[str, ...]
    heads: tuple[tuple[str, bool], ...] = ()  # of a list's table, and whether a column holds figures
    rows: tuple[tuple[Line | None, ...], ...] = ()


@dataclass(frozen=True)
class Difference:
    """One field before and after."""

    label: str
    before: str
    after: str
    mine: str = ""


@dataclass(frozen=True)
class Event:
    """One change of a record."""

    at: str
    who: str
    what: str
    differences: tuple[Difference, ...]
    more: int = 0


def groups_of(model: type[BaseModel], data: Mapping[str, Any], system: str, currency: str) -> list[Group]:
    """Everything that a record says, in its groups.

    Args:
        model: the record.
        data: what it holds, as plain data.
        system: us or metric.
        currency: of its prices.

    Returns:
        Groups with at least one value, or with fields that are not known.
    """
    made = []
    for block in blocks(model, data, system, {}):
        lines, unknown = [], []
        for slot in (one for one in block.slots if one.place not in HEADED):
            line = _line(slot, at(data, slot.place), system, currency)
            if line is not None:
                lines.append(line)
            elif slot.kind != "there" and not block.more:
                unknown.append(slot.label)
        if block.more and lines:
            made.append(_table(block, data, system, currency))
        elif not block.more:
            made.append(Group(block.title, tuple(lines), tuple(unknown)))
    return made


def _table(block: Block, data: Mapping[str, Any], system: str, currency: str) -> Group:
    """A list as a table: columns that hold nothing at all are left out."""
    rows = [[_line(slot, at(data, slot.place), system, currency) for slot in row] for row in block.rows]
    rows = [row for row in rows if any(row)]
    held = [k for k in range(block.columns) if any(row[k] for row in rows)]
    first = block.rows[0]
    heads = tuple((first[k].column, first[k].kind == "quantity") for k in held)
    lines = tuple(line for row in rows for line in row if line is not None)
    return Group(block.title, lines, (), heads, tuple(tuple(row[k] for k in held) for row in rows))


def _line(slot: Slot, value: Any, system: str, currency: str) -> Line | None:
    """A value as a line; None where nothing is known."""
    if value is None and slot.default and at_top(slot):
        value = slot.default
    if value is None or slot.kind == "there":
        return None
    if slot.kind != "quantity":
        text = shown(value, slot)
        if slot.kind == "list" or slot.listed:
            text = text.replace("_", " ")
        if slot.options:
            text = dict(slot.options).get(text, text)
        return Line(slot.label, text, term=slot.term, own=slot.kind in ("text", "area", "list")) if text else None
    known = read_quantity(value, slot.dimension)
    if known.is_unknown:
        return None
    state = "sure" if known.is_known else "about"
    return Line(slot.label, said(known, slot.dimension, system, currency), state, known.origin, slot.term)


def said(known: Estimate, dimension: str, system: str, currency: str) -> str:
    """A quantity in words and figures; a price in its currency."""
    if known.is_unknown:
        return "not known"
    low, likely, high = (_figure(one, dimension, system, currency) for one in (known.low, known.likely, known.high))
    if known.is_known:
        return likely
    if known.kind == "about":
        return f"about {likely} ({low} to {high})"
    return f"{low} to {high}" + (f", likely {likely}" if known.kind == "triangular" else "")


def _figure(value: float, dimension: str, system: str, currency: str) -> str:
    """One figure as a dealer says it: prices in their currency, ways in miles, short times in minutes."""
    if dimension == "money":
        return show_money(value, currency, cents=abs(value) < SMALL and value != round(value))
    if dimension == "length" and value >= FAR:
        return f"{value / MILE:.0f} mi" if system == "us" else f"{value / FAR:.0f} km"
    if dimension == "hours" and 0 < value < 1:
        return f"{60 * value:.0f} min"
    return show(value, dimension, system)


def differences(
    model: type[BaseModel],
    before: Mapping[str, Any],
    after: Mapping[str, Any],
    system: str = "us",
    mine: Mapping[str, Any] | None = None,
) -> list[Difference]:
    """The fields that differ between two states of a record; with what is `mine` in them, where that is asked."""
    drawn = [blocks(model, data, system, {}) for data in (before, after)]
    labels = {**labels_of(drawn[0]), **labels_of(drawn[1])}
    told = [_told(each, data) for each, data in zip(drawn, (before, after), strict=True)]
    own = _told(drawn[1], mine) if mine is not None else {}
    return [
        Difference(label, told[0].get(place, ""), told[1].get(place, ""), own.get(place, ""))
        for place, label in labels.items()
        if told[0].get(place, "") != told[1].get(place, "")
    ]


def _told(drawn: list[Block], data: Mapping[str, Any]) -> dict[str, str]:
    """What each field says, with its origin where that is not simply stated."""
    values = values_of(drawn, data, "stated")
    told = {}
    for slot in slots_of(drawn):
        text, how = values[slot.place], values.get(HOW + slot.place, "stated")
        told[slot.place] = f"{text} ({how})" if text and how != "stated" else text
    return told


def events_of(model: type[BaseModel], changes: Iterable[Change]) -> list[Event]:
    """The history of a record, newest first, each change with the fields that it touched."""
    listed = list(changes)
    made = []
    for place, change in enumerate(listed):
        before, after = (json.loads(text) if text else None for text in (change.before, change.after))
        found = differences(model, before, after) if before is not None and after is not None else []
        what = _what(before, after, is_first=place == len(listed) - 1)
        more = max(len(found) - MOST_DIFFERENCES, 0)
        made.append(Event(change.at, change.who, what, tuple(found[:MOST_DIFFERENCES]), more))
    return made


def _what(before: object, after: object, is_first: bool) -> str:
    """What a change did, in a word."""
    if after is None:
        return "retired"
    if before is None:
        return "added" if is_first else "brought back"
    return "changed"
