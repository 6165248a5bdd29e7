"""The advice as the JSON that the command line and the web API hand out."""

from __future__ import annotations

from dataclasses import asdict
from math import isfinite
from typing import Any

from handfast.advice.result import Advice


def to_json(advice: Advice) -> dict[str, Any]:
    """The advice as plain dictionaries and lists, figures SI; anything not finite becomes null.

    Args:
        advice: the answer of `advise`.

    Returns:
        A dictionary that `json.dumps` takes with `allow_nan=False`.

    Example:
        >>> from handfast.outfits.example import inquiry
        >>> from handfast.advice.advise import advise
        >>> from handfast.machines.shelf import Shelf
        >>> to_json(advise(inquiry(), Shelf()))["outfits"][0]["verdict"]
        'fits'
    """
    plain: dict[str, Any] = _plain(asdict(advice))
    return plain


def _plain(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _plain(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(item) for item in value]
    if isinstance(value, float):
        return value if isfinite(value) else None
    return value
