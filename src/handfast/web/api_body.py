"""What a verb of the API is given in its body: JSON or TOML, read strictly, every fault with its place and line."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import count, islice
from math import isfinite
from typing import Any

from pydantic import BaseModel

from handfast.machines.checking import PRINTABLE, dotted, path_of
from handfast.machines.faults import Fault, Faults
from handfast.machines.reading import read_data, read_model
from handfast.machines.toml_lines import Path, line_of
from handfast.machines.toml_text import located, text_of, whole_fault
from handfast.web.toml_write import toml_text

JSON, TOML = "application/json", "application/toml"
FILE = "body"
DEEPEST = 30  # as TOML texts are read
MOST_FAULTS = 500
LARGEST_WHOLE = 2**63
_TOKEN = re.compile(r'"(?:[^"\\]|\\.)*"|[{}\[\],:]|\n|[^\s"{}\[\],:]+', re.DOTALL)
_SURROGATE = re.compile(r"[\ud800-\udfff]")


@dataclass(frozen=True)
class Refused:
    """A value that JSON text can hold and no record can."""

    found: str
    expected: str


@dataclass(frozen=True)
class Body:
    """A body as it came: its text, and its data where it is JSON."""

    text: str
    data: Any = None
    is_json: bool = False

    def record(self, model: type[BaseModel]) -> Any:
        """The body as a record; raises Faults with the lines of the body."""
        if not self.is_json:
            return read_model(model, self.text, FILE)
        try:
            return read_data(model, self._table(), FILE)
        except Faults as error:
            raise self.placed(error) from None

    def toml(self, empty: str = "") -> str:
        """The body as TOML text; `empty` stands for an empty object."""
        if not self.is_json:
            return self.text
        return toml_text(self._table()) if self.data else empty

    def placed(self, error: Faults) -> Faults:
        """Faults that were found in the body's data, with the lines where they stand in its text."""
        if not self.is_json:
            told = all(one.line or not one.place for one in error.faults)
            return error if told else located(error, self.text, FILE)
        lines = json_lines(self.text)
        return Faults(
            Fault(FILE, line_of(path_of(one.place), lines), one.place, one.found, one.expected) for one in error.faults
        )

    def _table(self) -> dict[str, Any]:
        if not isinstance(self.data, dict):
            raise whole_fault(FILE, "no object", "a JSON object of entries, { … }", 1)
        return self.data


def body_of(raw: bytes, media: str) -> Body:
    """A body from its bytes.

    Args:
        raw: as it came.
        media: its media type, JSON or TOML.

    Returns:
        The body.

    Raises:
        Faults: no text, no JSON, or values that no record holds.
    """
    if media == TOML:
        return Body(text_of(raw, FILE))
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw[: error.start].count(b"\n") + 1
        raise whole_fault(FILE, "bytes that are not UTF-8 text", "JSON in UTF-8", line) from None
    data = _loaded(text)
    refused = list(islice(_refused(data, ()), MOST_FAULTS))
    if refused:
        lines = json_lines(text)
        raise Faults(Fault(FILE, line_of(at, lines), dotted(at), one.found, one.expected) for at, one in refused)
    return Body(text, data, True)


def _loaded(text: str) -> Any:
    try:
        data = json.loads(
            text, parse_constant=_constant, parse_float=_float, parse_int=_whole, object_pairs_hook=_object
        )
    except json.JSONDecodeError as error:
        raise whole_fault(FILE, f"no JSON at column {error.colno}", f"JSON ({error.msg})", error.lineno) from None
    except RecursionError:
        raise _too_deep() from None
    if _is_deep(data):
        raise _too_deep()
    return data


def _too_deep() -> Faults:
    return whole_fault(FILE, "entries nested beyond what can be read", f"at most {DEEPEST} within each other")


def _is_deep(data: Any) -> bool:
    level = [data]
    for _ in range(DEEPEST):
        within = (list(one.values()) if isinstance(one, dict) else one for one in level if isinstance(one, dict | list))
        level = [inner for each in within for inner in each if isinstance(inner, dict | list)]
        if not level:
            return False
    return True


def _constant(word: str) -> Refused:
    return Refused(word, "a number; JSON has no such value")


def _float(word: str) -> float | Refused:
    value = float(word)
    return value if isfinite(value) else Refused(word[:60], "a number that can be held")


def _whole(word: str) -> int | Refused:
    if len(word) < 21 and -LARGEST_WHOLE <= int(word) < LARGEST_WHOLE:
        return int(word)
    return Refused(word[:60], "a whole number of at most 63 bits")


def _object(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    made: dict[str, Any] = {}
    for key, value in pairs:
        made[key] = Refused("the same name twice", "each name once") if key in made else value
    return made


def _refused(data: Any, above: Path) -> Iterator[tuple[Path, Refused]]:
    """Every value that no record holds, with its path."""
    if isinstance(data, dict):
        for key, value in data.items():
            if _SURROGATE.search(key):
                yield above, Refused("half a character in a name", PRINTABLE)
            else:
                yield from _refused(value, (*above, key))
    elif isinstance(data, list):
        for place, value in enumerate(data):
            yield from _refused(value, (*above, place))
    elif isinstance(data, Refused):
        yield above, data
    elif data is None and above:
        yield above, Refused("null", 'the entry left out, or "unknown"')
    elif isinstance(data, str) and _SURROGATE.search(data):
        yield above, Refused("half a character", PRINTABLE)


def json_lines(text: str) -> dict[Path, int]:
    """Lines of all entries of a well-formed JSON text.

    >>> json_lines('{"work": [\\n {"kind": "logs"}]}')[("work", 0, "kind")]
    2
    """
    lines: dict[Path, int] = {}
    path: list[str | int] = []
    counters: list[count[int] | None] = []
    line, key = 1, ""
    for match in _TOKEN.finditer(text):
        token = match.group()
        counter = counters[-1] if counters else None
        if token == "\n":
            line += 1
        elif token in "}]":
            path.pop()
            counters.pop()
        elif token == ",":
            path[-1] = "" if counter is None else next(counter)
        elif token == ":":
            path[-1] = json.loads(key)
            lines.setdefault(tuple(path), line)
        else:
            key = token
            if counter is not None or not path or path[-1]:
                lines.setdefault(tuple(path), line)
            if token in "{[":
                counters.append(count() if token == "[" else None)
                path.append(0 if token == "[" else "")
                next(counters[-1] or count())
    return lines
