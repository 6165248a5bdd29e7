"""From a form to the inquiry's TOML text and back: only what was changed is written anew."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from copy import deepcopy
from itertools import pairwise
from typing import Any

from handfast.machines.faults import NO_ENTRY, Fault
from handfast.machines.inquiry import Inquiry
from handfast.machines.reading import read_held
from handfast.machines.shelf import Shelf
from handfast.web.fields import Field, field_at, groups
from handfast.web.toml_write import toml_text

STEP = re.compile(r"([^.\[\]]+)|\[(\d+)\]")
CONTROL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f]")
MOST_WORK = 8


def data_of(text: str) -> dict[str, Any]:
    """An inquiry's text as plain data; the text has been read before, so that it is TOML."""
    return tomllib.loads(text)


def steps(place: str) -> list[str | int]:
    """A place as steps.

    >>> steps("work[0].mass")
    ['work', 0, 'mass']
    """
    return [name or int(index) for name, index in STEP.findall(place)]


def value_at(data: Any, place: str) -> Any:
    """What stands at a place of plain data; None where nothing does."""
    for step in steps(place):
        if isinstance(step, int):
            data = data[step] if isinstance(data, list) and step < len(data) else None
        else:
            data = data.get(step) if isinstance(data, Mapping) else None
    return data


def shown(data: Mapping[str, Any], field: Field, shelf: Shelf) -> str:
    """What a field shows of the data."""
    value = value_at(data, field.place)
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, Mapping):
        return str(value["value"]) if "value" in value else ("filled" if field.place == "machine.tyre_fill" else "")
    if isinstance(value, list):
        return ", ".join(str(each) for each in value)
    return _name_of(field, str(value), shelf)


def _records(field: Field, shelf: Shelf) -> Mapping[str, Any]:
    if field.listed == "machines":
        return shelf.machines
    return shelf.attachments if field.listed == "attachments" else {}


def _name_of(field: Field, value: str, shelf: Shelf) -> str:
    record = _records(field, shelf).get(value)
    return (record.name or value) if record is not None else value


def _meant(field: Field, text: str, shelf: Shelf) -> Any:
    """What a filled-in text means for the record."""
    records = _records(field, shelf)
    if records:
        plain = " ".join(text.split()).casefold()
        named = [key for key, one in records.items() if plain in (key.casefold(), one.name.casefold())]
        return named[0] if len(named) == 1 else text
    if field.kind == "yes_no":
        return {"yes": True, "no": False}.get(text, text)
    if field.kind == "whole" and text.isascii() and text.isdigit() and len(text) < 10:
        return int(text)
    if field.listed == "interfaces":
        names = [part.strip().replace(" ", "_") for part in text.split(",") if part.strip()]
        return names if field.place.endswith("interfaces") else names[0] if names else text
    return text


def filled_in(base: Mapping[str, Any], given: Mapping[str, str], shelf: Shelf) -> dict[str, Any]:
    """Data with a form's fields laid over it; fields that the form did not hold stay as they are.

    Args:
        base: the data before.
        given: texts by place.
        shelf: the shelf whose names may be used.

    Returns:
        New data; the base is left alone.
    """
    data = deepcopy(dict(base))
    for place, raw in given.items():
        field = field_at(place)
        if field is None:
            continue
        text = CONTROL.sub("", raw.replace("\r\n", "\n")).strip()
        if text == shown(base, field, shelf).strip():
            continue
        if text:
            _put(data, steps(place), _meant(field, text, shelf))
        else:
            _take(data, steps(place))
    return _without_empty(data)


def put_in(data: dict[str, Any], place: str, value: Any) -> None:
    """Put a value at a place of plain data, making what leads there."""
    _put(data, steps(place), value)


def _put(data: Any, path: list[str | int], value: Any) -> None:
    for step, following in pairwise(path):
        fresh: Any = [] if isinstance(following, int) else {}
        if isinstance(step, int):
            while len(data) <= step:
                data.append({})
            data = data[step]
        else:
            held = data.get(step)
            if not isinstance(held, dict | list):
                data[step] = fresh
            data = data[step]
    data[path[-1]] = value


def _take(data: Any, path: list[str | int]) -> None:
    for step in path[:-1]:
        if isinstance(step, int):
            if not isinstance(data, list) or step >= len(data):
                return
            data = data[step]
        else:
            data = data.get(step) if isinstance(data, dict) else None
    if isinstance(data, dict):
        data.pop(path[-1], None)


def _without_empty(data: dict[str, Any]) -> dict[str, Any]:
    kept: dict[str, Any] = {}
    for key, value in data.items():
        if isinstance(value, list) and any(isinstance(each, dict) for each in value):
            value = [each for each in value if each]
        if value not in ({}, [], ""):
            kept[key] = value
    return kept


def text_of_form(base: str, given: Mapping[str, str], shelf: Shelf) -> str:
    """The inquiry's text with a form laid over it; word for word the same where nothing was changed."""
    return text_of_data(base, filled_in(data_of(base) if base else {}, given, shelf))


def text_of_data(base: str, after: Mapping[str, Any]) -> str:
    """The inquiry's text with other data; word for word the same where nothing was changed."""
    if base and after == data_of(base):
        return base
    head = "".join(line + "\n" for line in _heading(base))
    return head + toml_text(after)


def _heading(text: str) -> list[str]:
    """The remarks that stand above everything."""
    kept: list[str] = []
    for line in text.splitlines():
        if not line.startswith("#"):
            break
        kept.append(line)
    return kept


def checked(text: str, shelf: Shelf, file: str = "inquiry") -> Inquiry:
    """The inquiry, read and held against the shelf. Raises Faults: everything that is wrong with it."""
    return read_held(text, file, shelf)


def values_of(data: Mapping[str, Any], shelf: Shelf) -> dict[str, str]:
    """What every field of the form shows of the data."""
    return {field.place: shown(data, field, shelf) for group in groups(work_lines(data)) for field in group.fields}


def work_lines(data: Mapping[str, Any]) -> int:
    """How many lines of work the form shows: those there are and one more."""
    there = data.get("work")
    return min(max(2, len(there) + 1 if isinstance(there, list) else 2), MOST_WORK)


def sentence(fault: Fault) -> str:
    """A fault as it stands at its field: the place is the field's own label."""
    if fault.found.startswith(NO_ENTRY):
        return str(fault)
    end = "" if fault.expected.endswith(("?", ".")) else "."
    return f"Found {fault.found}; expected {fault.expected}{end}"


def at_fields(faults: list[Fault], places: set[str]) -> tuple[dict[str, list[str]], list[Fault]]:
    """Faults by the field they stand at, and those that no field shows."""
    by_place: dict[str, list[str]] = {}
    rest: list[Fault] = []
    for fault in faults:
        if fault.place in places:
            by_place.setdefault(fault.place, []).append(sentence(fault))
        else:
            rest.append(fault)
    return by_place, rest
