"""A quantity in a form: its text and where it comes from, and back without loss."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import Any

from handfast.quantities.amounts import QuantityError
from handfast.quantities.estimate import ORIGINS, Estimate
from handfast.quantities.reading import UNKNOWN_WORDS, read_quantity
from handfast.quantities.units import find_unit, si_symbol
from handfast.web.record_fields import Slot

# a number, or several as people put them, and no unit anywhere
BARE = re.compile(r"(?i)(?:\d|[\s.,/±+~≈–-]|about|around|roughly|approx\.?|circa|between|from|to|and|likely)+")
DONT_KNOW = "unknown"


def with_unit(text: str, unit: str) -> str:
    """A text whose numbers carry the unit of the field's label where they carry none.

    >>> with_unit("about 850", "lb"), with_unit("850 kg", "lb"), with_unit("60 to 90, likely 80", "in")
    ('about 850 lb', '850 kg', '60 in to 90 in, likely 80 in')
    """
    text = text.strip()
    if not unit or not re.search(r"\d", text) or not BARE.fullmatch(text):
        return text
    if "likely" not in text.lower():
        return f"{text} {unit}"
    return re.sub(r"(\d[\d.,/ ]*\d|\d)", lambda found: f"{found[1]} {unit}", text)


def text_of(value: Any, slot: Slot) -> str:
    """What a field shows of a quantity's plain data.

    Args:
        value: as a record's plain data or a file holds it: a text, a number in SI, a table.
        slot: the field.

    Returns:
        A text that reads back as the same quantity; empty where nothing is known.
    """
    if value is None:
        return ""
    if isinstance(value, str):
        return "" if value.strip().lower() in UNKNOWN_WORDS else value
    try:
        known = read_quantity(value, slot.dimension)
    except QuantityError:
        return str(value.get("value", "") if isinstance(value, Mapping) else value)
    if known.is_unknown:
        return DONT_KNOW if slot.place.endswith((".x", ".z")) else ""
    return next(text for text in _texts(known, slot) if _same(text, known, slot))


def origin_of(value: Any, otherwise: str) -> str:
    """Where a quantity's plain data come from."""
    if value is None:
        return otherwise
    origin = value.get("origin", "stated") if isinstance(value, Mapping) else "stated"
    return origin if origin in ORIGINS else otherwise


def _texts(known: Estimate, slot: Slot) -> Iterator[str]:
    """Texts for a quantity: as it was written, in the field's unit, in SI to the last digit."""
    yield known.text
    for unit in (slot.unit, si_symbol(slot.dimension)):
        for digits in (6, 9, 12, 15, 17):
            yield _written(known, slot.dimension, unit, digits)
    yield known.text or f"{known.value!r}"


def _written(known: Estimate, dimension: str, unit: str, digits: int) -> str:
    found = find_unit(unit, dimension) if unit else None
    factor, offset = (found.factor, found.offset) if found is not None else (1.0, 0.0)

    def said(value: float) -> str:
        return f"{value / factor - offset:.{digits}g} {unit}".strip()

    if known.is_known:
        return said(known.likely)
    if known.kind == "range":
        return f"{said(known.low)} to {said(known.high)}"
    if known.kind == "triangular":
        return f"{said(known.low)} to {said(known.high)}, likely {said(known.likely)}"
    return f"{said(known.likely)} ± {(known.high - known.likely) / factor:.{digits}g} {unit}".strip()


def _same(text: str, known: Estimate, slot: Slot) -> bool:
    """Whether a text reads as a quantity."""
    try:
        read = read_quantity(with_unit(text, slot.unit), slot.dimension)
    except QuantityError:
        return False
    return (read.kind, read.low, read.likely, read.high) == (known.kind, known.low, known.likely, known.high)


def data_of(text: str, origin: str, slot: Slot) -> Any:
    """A filled-in quantity as plain data; None where it says that it isn't known."""
    if origin == DONT_KNOW or text.strip().lower() in UNKNOWN_WORDS:
        return DONT_KNOW if text.strip() and slot.place.endswith((".x", ".z")) else None
    written = with_unit(text, slot.unit)
    return written if origin == "stated" or origin not in ORIGINS else {"value": written, "origin": origin}
