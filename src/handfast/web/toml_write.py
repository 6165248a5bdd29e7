"""Plain data as TOML text that reads back as the same data."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from datetime import date, datetime, time
from typing import Any

BARE = re.compile(r"[A-Za-z0-9_-]+")
POINT = {"x", "z"}


def toml_text(data: Mapping[str, Any]) -> str:
    """TOML text of a dictionary: single entries first, then tables in their order.

    >>> toml_text({"a": 1, "b": {"c": "x"}, "d": [{"e": True}]})
    'a = 1\\n\\n[b]\\nc = "x"\\n\\n[[d]]\\ne = true\\n'
    """
    return "\n".join(_table(data, ())).strip("\n") + "\n"


def _table(data: Mapping[str, Any], path: tuple[str, ...]) -> list[str]:
    lines = [f"{_key(key)} = {_value(value)}" for key, value in data.items() if not _is_table(value)]
    for key, value in data.items():
        name = ".".join(_key(part) for part in (*path, key))
        if _is_list_of_tables(value):
            for each in value:
                lines += ["", f"[[{name}]]", *_table(each, (*path, key))]
        elif _is_table(value):
            lines += ["", f"[{name}]", *_table(value, (*path, key))]
    return lines


def _is_list_of_tables(value: Any) -> bool:
    tables = isinstance(value, list) and bool(value) and all(isinstance(each, Mapping) for each in value)
    return tables and not all(set(each) == POINT for each in value)


def _is_table(value: Any) -> bool:
    """A dictionary that gets a heading of its own; a quantity with its origin, or a point, stays on one line."""
    if _is_list_of_tables(value):
        return True
    return isinstance(value, Mapping) and not ({"value", "low"} & set(value) or set(value) == POINT)


def _key(key: str) -> str:
    return key if BARE.fullmatch(key) else _string(key)


def _string(text: str) -> str:
    """A basic string; JSON escapes all that TOML wants escaped, save the delete character."""
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")


def _value(value: Any) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return _string(value)
    if isinstance(value, datetime | date | time):
        return value.isoformat()
    if isinstance(value, Mapping):
        return "{ " + ", ".join(f"{_key(k)} = {_value(v)}" for k, v in value.items()) + " }"
    if isinstance(value, list | tuple):
        return "[" + ", ".join(_value(each) for each in value) + "]"
    return repr(value)
