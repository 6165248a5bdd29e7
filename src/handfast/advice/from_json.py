"""The advice read back from its JSON: an offer is printed as it was made, whatever has changed since."""

from __future__ import annotations

from dataclasses import MISSING, Field, fields, is_dataclass
from functools import cache
from math import nan
from types import UnionType
from typing import Any, Union, get_args, get_origin, get_type_hints

from handfast.advice.result import Advice


def from_json(plain: dict[str, Any]) -> Advice:
    """The advice of `to_json`'s dictionary; a null where a figure belongs becomes "not a number" again.

    Args:
        plain: as `to_json` gives it.

    Returns:
        `Advice`.

    Raises:
        KeyError: an entry is missing that has no default.

    Example:
        >>> from handfast.advice.example import answer, outfit
        >>> from handfast.advice.as_json import to_json
        >>> from_json(to_json(answer())).outfits[0].id == outfit().id
        True
    """
    advice: Advice = _built(Advice, plain)
    return advice


@cache
def _hints(kind: type) -> dict[str, Any]:
    return get_type_hints(kind)


def _built(hint: Any, value: Any) -> Any:
    origin, inner = get_origin(hint), get_args(hint)
    if origin in (Union, UnionType):
        return None if value is None else _built(next(one for one in inner if one is not type(None)), value)
    if origin is tuple:
        each = inner[0] if len(inner) == 2 and inner[1] is Ellipsis else None
        kinds = [each] * len(value) if each is not None else inner
        return tuple(_built(kind, one) for kind, one in zip(kinds, value, strict=True))
    if origin is dict:
        return {key: _built(inner[1], one) for key, one in value.items()}
    if is_dataclass(hint) and isinstance(hint, type):
        hints = _hints(hint)
        there = [one for one in fields(hint) if one.name in value or _has_no_default(one)]
        return hint(**{one.name: _built(hints[one.name], value[one.name]) for one in there})
    return (nan if value is None else float(value)) if hint is float else value


def _has_no_default(one: Field[Any]) -> bool:
    return one.default is MISSING and one.default_factory is MISSING
