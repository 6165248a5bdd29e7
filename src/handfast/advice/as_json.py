"""The advice as the JSON that the command line and the web API hand out."""

from __future__ import annotations

from dataclasses import fields, is_dataclass
from functools import cache
from math import isfinite
from typing import Any

from handfast.advice.result import Advice


def to_json(advice: Advice) -> dict[str, Any]:
    """The advice as plain dictionaries and lists, figures SI; anything not finite becomes null.

    Args:
        advice: the answer of `advise`.

    Returns:
        A dictionary that `json.dumps` takes with `allow_nan=False`; "measured" only where something was.

    Example:
        >>> from handfast.outfits.example import inquiry
        >>> from handfast.advice.advise import advise
        >>> from handfast.machines.shelf import Shelf
        >>> to_json(advise(inquiry(), Shelf()))["outfits"][0]["verdict"]
        'fits'
    """
    plain: dict[str, Any] = _plain(advice, {})
    if advice.measured is None:
        del plain["measured"]
    return plain


def _plain(value: Any, made: dict[int, Any]) -> Any:
    """One value; a record that stands in several places is turned once."""
    kind = type(value)
    if kind is str or kind is int or kind is bool or value is None:
        return value
    if isinstance(value, float):
        return value if isfinite(value) else None
    if isinstance(value, dict):
        return {key: _plain(item, made) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(item, made) for item in value]
    if not is_dataclass(kind):
        return value
    if id(value) not in made:
        made[id(value)] = {name: _plain(getattr(value, name), made) for name in _names(kind)}
    return made[id(value)]


@cache
def _names(kind: type) -> tuple[str, ...]:
    return tuple(one.name for one in fields(kind))
