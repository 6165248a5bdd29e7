"""A record as TOML text that reads back as the same record."""

from __future__ import annotations

from collections.abc import Mapping
from copy import deepcopy
from typing import Any

from pydantic import BaseModel

from handfast.quantities.amounts import QuantityError
from handfast.quantities.reading import read_quantity
from handfast.web.form import steps, value_at
from handfast.web.record_fields import Slot, blocks
from handfast.web.record_form import slots_of
from handfast.web.toml_write import toml_text


def text_of_record(model: type[BaseModel], data: Mapping[str, Any]) -> str:
    """A record's plain data as TOML, each quantity as it was written where that says the same.

    Args:
        model: the record.
        data: what it holds.

    Returns:
        TOML text.
    """
    shorter = deepcopy(dict(data))
    for slot in slots_of(blocks(model, data, "us", {})):
        name = str(steps(slot.place)[-1])
        above = value_at(shorter, slot.place.rpartition(".")[0]) if "." in slot.place else shorter
        value = above.get(name) if isinstance(above, dict) else None
        if slot.kind == "quantity" and isinstance(value, Mapping):
            above[name] = _short(value, slot)
    return toml_text(shorter) if shorter else ""


def _short(value: Mapping[str, Any], slot: Slot) -> Any:
    """A quantity's table as its text, with its origin where that is not simply stated."""
    text = value.get("text", "")
    try:
        same = read_quantity({"value": text, "origin": value.get("origin", "stated")}, slot.dimension)
        if not text or same != read_quantity(value, slot.dimension):
            return dict(value)
    except QuantityError:
        return dict(value)
    origin = value.get("origin", "stated")
    return text if origin == "stated" else {"value": text, "origin": origin}
