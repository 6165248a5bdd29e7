"""A record as a form and back: what was not touched stays as it is kept, to the last digit."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Any

from pydantic import BaseModel

from handfast.machines.faults import Fault
from handfast.web.form import CONTROL, sentence, steps, value_at
from handfast.web.record_amounts import data_of, origin_of, text_of
from handfast.web.record_fields import MOST_ROWS, Block, Slot, blocks

HOW = "how:"  # before the place of a quantity: the name of its origin's field
INDEX = re.compile(r"\[(\d+)\]")
MORE = 5  # rows that "more rows" adds
Data = dict[str, Any]


@dataclass(frozen=True)
class Form:
    """A form as it is drawn: its groups, what stands in each field, what is wrong with it."""

    blocks: list[Block]
    values: Mapping[str, str]
    faults: Mapping[str, list[str]] = field(default_factory=dict)
    rest: tuple[Fault, ...] = ()

    @property
    def count(self) -> int:
        """How many things are to put right."""
        return sum(map(len, self.faults.values())) + len(self.rest)

    @property
    def to_mend(self) -> list[tuple[str, str]]:
        """Label and element of each field that something is wrong with, in the order of the form."""
        labels = labels_of(self.blocks)
        return [(labels[slot.place], slot.id) for slot in slots_of(self.blocks) if slot.place in self.faults]

    def opens(self, block: Block) -> bool:
        """Whether a group is shown unfolded: it holds something, or something in it is wrong."""
        return any(self.values.get(s.place) or s.place in self.faults for s in block.slots)


def shown(value: Any, slot: Slot) -> str:
    """What a field shows of plain data."""
    if slot.kind == "there":
        return "yes" if value is not None else ""
    if slot.kind == "quantity":
        return text_of(value, slot)
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list | tuple):
        return ", ".join(str(one) for one in value)
    if isinstance(value, Mapping) and {"family", "size", "gender"} <= set(value):
        return f"{value['family']} {value['size']} {value['gender']}"
    return "" if value is None else str(value)


def at(data: Any, place: str) -> Any:
    """What stands at a field's place; a point may be a pair, a list its one entry."""
    found = value_at(data, place.removesuffix("?"))
    if found is None and place.endswith((".x", ".z")):
        pair = value_at(data, place[:-2])
        if isinstance(pair, list | tuple) and len(pair) == 2:
            return pair[place.endswith(".z")]
    if found is None and place.endswith("[0]"):
        one = value_at(data, place[:-3])
        return None if isinstance(one, list | tuple) else one
    return found


def form_of_record(
    model: type[BaseModel], data: Mapping[str, Any], system: str, otherwise: str, extra: Mapping[str, int] | None = None
) -> Form:
    """A record's form, filled in.

    Args:
        model: the record.
        data: what it holds, as plain data.
        system: units of the labels: us or metric.
        otherwise: origin that an empty quantity's field stands at.
        extra: rows more of a list, by place.

    Returns:
        The form without faults.
    """
    drawn = blocks(model, data, system, extra or {})
    return Form(drawn, values_of(drawn, data, otherwise))


def values_of(drawn: list[Block], data: Mapping[str, Any], otherwise: str) -> dict[str, str]:
    """What every field of a form holds, by its name."""
    found: dict[str, str] = {}
    for slot in slots_of(drawn):
        value = at(data, slot.place)
        found[slot.place] = shown(value, slot) or (slot.default if at_top(slot) else "")
        if slot.kind == "quantity":
            found[HOW + slot.place] = origin_of(value, otherwise)
    return found


def at_top(slot: Slot) -> bool:
    """Whether a field stands in the record itself: within a record that may be missing no default is shown."""
    return "." not in slot.place and "[" not in slot.place


def slots_of(drawn: list[Block]) -> Iterator[Slot]:
    """Every field of a form."""
    return (slot for block in drawn for slot in block.slots)


def cleaned(given: Mapping[str, str]) -> dict[str, str]:
    """A form's texts without what no keyboard writes, and without gaps in its lists."""
    tidy = {name: CONTROL.sub("", text.replace("\r\n", "\n")) for name, text in given.items()}
    filled: dict[str, set[int]] = {}
    for name, text in tidy.items():
        found = INDEX.search(name)
        if found and not name.startswith(HOW) and text.strip():
            filled.setdefault(name[: found.start()], set()).add(int(found[1]))
    order = {place: {row: k for k, row in enumerate(sorted(rows))} for place, rows in filled.items()}
    kept: dict[str, str] = {}
    for name, text in tidy.items():
        found = INDEX.search(name)
        if found is None:
            kept[name] = text
            continue
        rows = order.get(name[: found.start()].removeprefix(HOW), {})
        if int(found[1]) in rows:
            kept[f"{name[: found.start()]}[{rows[int(found[1])]}]{name[found.end() :]}"] = text
    return kept


def data_from(
    model: type[BaseModel], given: Mapping[str, str], base: Mapping[str, Any], system: str, otherwise: str
) -> Data:
    """The record's plain data from a form.

    Args:
        model: the record.
        given: texts by field, as `cleaned` gives them.
        base: the record as the form was drawn from it; what was not touched is taken from it as it stands.
        system: units of the form's labels.
        otherwise: origin that an empty quantity's field stands at.

    Returns:
        Plain data for the record's own reader.
    """
    drawn = blocks(model, base, system, _rows_in(given))
    before = values_of(drawn, base, otherwise)
    data: Data = {}
    for slot in slots_of(drawn):
        text, how = given.get(slot.place, "").strip(), given.get(HOW + slot.place, otherwise)
        if text == before[slot.place].strip() and (not text or how == before.get(HOW + slot.place, how)):
            value = at(base, slot.place)
        else:
            value = _meant(text, how, slot)
        if value is not None and (slot.kind != "there" or not value_at(data, slot.place[:-1])):
            _put(data, steps(slot.place.removesuffix("?")), {} if slot.kind == "there" else value)
    return data


def _rows_in(given: Mapping[str, str]) -> dict[str, int]:
    """How many rows each list of a form holds."""
    most: dict[str, int] = {}
    for name in given:
        found = INDEX.search(name)
        if found and not name.startswith(HOW):
            place = name[: found.start()]
            most[place] = max(most.get(place, 0), min(int(found[1]) + 1, MOST_ROWS))
    return most


def _meant(text: str, how: str, slot: Slot) -> Any:
    """What a field's text means for the record; None where it says nothing."""
    if slot.kind == "quantity":
        return data_of(text, how, slot)
    if not text:
        return None
    if slot.kind == "list":
        return [part.strip() for part in text.split(",") if part.strip()]
    if slot.kind in ("yes_no", "whole", "there"):
        if text.isascii() and text.lstrip("-").isdigit() and len(text) < 10:
            return int(text)
        return {"yes": True, "no": False}.get(text.lower(), text)
    return text


def _put(data: Any, path: list[str | int], value: Any) -> None:
    """Set a value at its path; tables and lists on the way are made."""
    for step, following in pairwise(path):
        fresh: Any = [] if isinstance(following, int) else {}
        if isinstance(step, int):
            while len(data) <= step:
                data.append(fresh)
            data = data[step]
        else:
            data = data.setdefault(step, fresh)
    if isinstance(path[-1], int):
        data.append(value)
    elif not (value == {} and path[-1] in data):
        data[path[-1]] = value


def with_faults(form: Form, faults: list[Fault]) -> Form:
    """A form with each fault at its field; those that no field shows stay by themselves."""
    places = {slot.place for slot in slots_of(form.blocks)}
    by_place: dict[str, list[str]] = {}
    rest = []
    for fault in faults:
        place = field_for(fault.place, places)
        if place is None:
            rest.append(fault)
        else:
            by_place.setdefault(place, []).append(sentence(fault))
    return Form(form.blocks, form.values, by_place, tuple(rest))


def field_for(place: str, places: set[str]) -> str | None:
    """The field that shows a place: its own, or the first within it, or the one it is within."""
    if place in places or not place:
        return place or None
    within = [one for one in sorted(places) if one.startswith((f"{place}.", f"{place}[")) or one == f"{place}?"]
    around = [one for one in places if place.startswith((f"{one}.", f"{one}["))]
    return next(iter(within or around), None)


def labels_of(drawn: list[Block]) -> dict[str, str]:
    """What each field is called, with its group, for sentences beside the form."""
    return {
        slot.place: f"{block.title}: {slot.label[:1].lower()}{slot.label[1:]}"
        for block in drawn
        for slot in block.slots
    }
