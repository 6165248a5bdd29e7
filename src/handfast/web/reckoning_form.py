"""A chapter's file as a form: one field for each entry that it holds or may hold, and back."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from types import UnionType
from typing import Annotated, Any, Union, get_args, get_origin

from pydantic import BaseModel

from handfast.web.form import steps, value_at
from handfast.web.toml_write import toml_text

NUMBER = re.compile(r"-?\d+(\.\d+)?([eE]-?\d+)?")
WHOLE_TABLE = 12  # a table with at most so many entries shows those that are empty too
MOST_FIELDS, MOST_TEXT, MOST_ROWS = 300, 200, 40


@dataclass
class Blank:
    """One field: its place in the file, its name in words, what stands in it."""

    place: str
    label: str
    value: str


@dataclass
class Sheet:
    """One table of the file: its place, its name in words, its fields; a list may take one more."""

    place: str
    title: str
    blanks: list[Blank] = field(default_factory=list)
    more: str = ""


def _words(name: str) -> str:
    return name.replace("_", " ").strip()


def written(value: Any) -> str:
    """A value as it stands in a field.

    >>> written(["25 in", 0]), written(True), written(0.25)
    ('[25 in, 0]', 'yes', '0.25')
    """
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list):
        return f"[{', '.join(written(one) for one in value)}]"
    return "" if value is None else str(value)


def meant(text: str) -> Any:
    """What a field's text means: a number, a list in brackets, yes or no, else the text.

    >>> meant("[25 in, 0]"), meant("yes"), meant("00123"), meant("[[0, 1], [2, 3]]")
    (['25 in', 0], True, '00123', [[0, 1], [2, 3]])
    """
    text = text.strip()
    if text.startswith("[") and text.endswith("]"):
        return [meant(part) for part in _parts(text[1:-1])]
    if NUMBER.fullmatch(text) and not re.match(r"-?0\d", text):
        return float(text) if re.search(r"[.eE]", text) else int(text)
    return {"yes": True, "no": False}.get(text, text)


def _parts(text: str) -> Iterator[str]:
    """What stands between the commas that are in no inner bracket."""
    deep, start = 0, 0
    for at, letter in enumerate(text):
        deep += (letter == "[") - (letter == "]")
        if letter == "," and deep == 0:
            yield text[start:at]
            start = at + 1
    if text[start:].strip():
        yield text[start:]


def model_of(annotation: Any) -> type[BaseModel] | None:
    """The record that an annotation holds, alone or in a list."""
    origin = get_origin(annotation)
    if origin is Annotated:
        return model_of(get_args(annotation)[0])
    if origin in (Union, UnionType, tuple, list):
        return next((found for one in get_args(annotation) if (found := model_of(one)) is not None), None)
    return annotation if isinstance(annotation, type) and issubclass(annotation, BaseModel) else None


def _entries(model: type[BaseModel] | None) -> dict[str, Any]:
    """Names of a record's entries as a file writes them, with their annotations."""
    return {} if model is None else {f.alias or name: f.annotation for name, f in model.model_fields.items()}


def sheets(model: type[BaseModel], data: Mapping[str, Any], place: str = "", title: str = "") -> Iterator[Sheet]:
    """Every table of a file with its fields, outer tables first.

    Args:
        model: the file's record.
        data: what it holds.
        place: of this table in the file.
        title: of this table.

    Returns:
        Tables that hold or may hold a field.
    """
    entries = _entries(model)
    own = Sheet(place, title or "File")
    names = dict.fromkeys([*(entries if len(entries) <= WHOLE_TABLE else ()), *data])
    inner: list[Sheet] = []
    for name in names:
        value, at = data.get(name), f"{place}.{name}" if place else name
        kind = model_of(entries.get(name))
        head = f"{title}, {_words(name)}" if title else _words(name)
        if isinstance(value, Mapping):
            inner += sheets(kind or BaseModel, value, at, head)
        elif isinstance(value, list) and value and all(isinstance(one, Mapping) for one in value):
            rows = [
                list(sheets(kind or BaseModel, one, f"{at}[{k}]", f"{head} {k + 1}")) for k, one in enumerate(value)
            ]
            inner += [sheet for row in rows for sheet in row]
            inner[-1].more = at
        elif place and (value is not None or kind is None or (issubclass(kind, BaseModel) and _is_short(kind))):
            own.blanks.append(Blank(at, _words(name), written(value)))
    if own.blanks:
        yield own
    yield from inner


def _is_short(kind: type[BaseModel]) -> bool:
    """Whether a record is written in one field: a point, a connection."""
    return bool(getattr(kind, "written_also", ()))


def data_from(given: Mapping[str, str]) -> dict[str, Any]:
    """The file's data from a form's fields; empty fields are left out.

    >>> data_from({"load[0].cg": "[25 in, 0]", "load[1].cg": "", "lift.steps": "9"})
    {'load': [{'cg': ['25 in', 0]}], 'lift': {'steps': 9}}
    """
    data: dict[str, Any] = {}
    for place, text in list(given.items())[:MOST_FIELDS]:
        path = steps(place)
        if not text.strip() or not path or any(isinstance(s, int) and s >= MOST_ROWS for s in path):
            continue
        _put(data, path, meant(text[:MOST_TEXT]))
    return {name: _packed(value) for name, value in data.items()}


def _put(data: dict[str | int, Any] | dict[str, Any], path: list[str | int], value: Any) -> None:
    here: Any = data
    for step in path[:-1]:
        here = here.setdefault(step, {})
        if not isinstance(here, dict):
            return
    here[path[-1]] = value


def _packed(value: Any) -> Any:
    """Rows by number become a list, in order and without gaps."""
    if not isinstance(value, dict):
        return value
    packed = {key: _packed(one) for key, one in value.items()}
    if packed and all(isinstance(key, int) for key in packed):
        return [packed[key] for key in sorted(packed)]
    return packed


def with_one_more(data: dict[str, Any], place: str) -> dict[str, Any]:
    """The data with an empty row added to a list, as a copy of the last one's entries."""
    rows = value_at(data, place)
    if isinstance(rows, list) and rows and len(rows) < MOST_ROWS:
        rows.append(dict.fromkeys(rows[-1], ""))
    return data


def text_from(given: Mapping[str, str]) -> str:
    """The file's text from a form's fields."""
    return toml_text(data_from(given))
