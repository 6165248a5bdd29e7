"""The strict reader of quantities: what people write, in their units, becomes an Estimate in SI."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from functools import lru_cache
from typing import Any

from handfast.quantities.amounts import LARGEST, Amount, QuantityError, expected_of, quoted, read_amount, tidy
from handfast.quantities.estimate import ORIGINS, Estimate
from handfast.quantities.locales import NumberStyle, number_style
from handfast.quantities.units import si_symbol

__all__ = ["ABOUT_SHARE", "UNKNOWN_WORDS", "QuantityError", "read_quantity"]

ABOUT_SHARE = 0.10  # "about" means give or take a tenth
UNKNOWN_WORDS = frozenset(
    ("", "unknown", "not known", "don't know", "?", "-", "--", "n/a", "na", "none given", "call", "tbd")
)

_FLAT = frozenset(("flat", "level", "none", "dead flat", "dead level"))  # ground that people call so
_LONGEST = 200  # no quantity needs more characters than this
_ABOUT = re.compile(r"(?:about|approximately|approx\.?|around|roughly|circa|ca\.?|~|≈)\s*(?P<rest>.*)", re.IGNORECASE)
_PLUS_MINUS = re.compile(r"\s*(?:±|\+\s*/\s*-|\+-)\s*")
_TO = re.compile(r"\s+(?:to|and|bis)\s+|\s*\.\.+\s*", re.IGNORECASE)
_LIKELY = re.compile(r"(?P<ends>.*\S)\s*,?\s*\blikely\s+(?P<likely>.+)", re.IGNORECASE)
_BETWEEN = re.compile(r"(?:between|from)\s+", re.IGNORECASE)
_KEYS = ("value", "spread", "low", "likely", "high", "origin", "text")
# one number and one unit: nothing of a range or a spread
_PLAIN = re.compile(r"-?\d+(?:[.,]\d+)*(?: \d+/\d+)? ?[A-Za-z%°][A-Za-z°]*[23]?(?:/[A-Za-z]+[23]?)?")
_BARE_FRACTIONS = ("count", "share", "money", "hours", "days")
_TURN = 2 * math.pi


def read_quantity(given: object, dimension: str, locale: str = "en_US") -> Estimate:
    """Read a quantity as it stands in a file, a form or a list.

    Args:
        given: text, a number (kept in the SI unit), or a table of value or low/likely/high with origin.
        dimension: name of a dimension, such as "length" or "slope".
        locale: whose way to write numbers is used.

    Returns:
        what is known of it, in SI, with the echo of how it was read in `text`.

    Raises:
        QuantityError: it can't be read, and says what was found and what is expected.

    >>> round(read_quantity("5'6\\"", "length").value, 4), read_quantity("800 to 900 lb", "mass").kind
    (1.6764, 'range')
    """
    if isinstance(given, Estimate):
        return given
    if isinstance(given, Mapping):
        return _read_table(given, dimension, locale)
    if isinstance(given, bool) or given is None or not isinstance(given, str | int | float):
        raise QuantityError(_named(given), expected_of(dimension))
    if isinstance(given, str):
        return _read_text(given, dimension, number_style(locale))
    return _checked(_from_number(given, dimension), dimension, str(given))


def _named(given: object) -> str:
    """What was found, in a reader's words."""
    words = {bool: "true or false", type(None): "nothing", list: "a list", dict: "a table"}
    return words.get(type(given), quoted(str(given)))


def _from_number(given: float, dimension: str) -> Estimate:
    try:
        number = float(given)
    except OverflowError:
        number = math.inf
    if not abs(number) < LARGEST:
        raise QuantityError(f"{number:g}", f"{expected_of(dimension)}, a finite number")
    return Estimate.known(number, text=_written(Amount(number, None, ""), dimension))


def _written(amount: Amount, dimension: str) -> str:
    """Echo of a number without unit."""
    return amount.echo or f"{amount.number:.12g} {si_symbol(dimension)}".strip()


@lru_cache(maxsize=8192)  # a shelf says "0.1 h" and "2 in" hundreds of times
def _read_text(text: str, dimension: str, style: NumberStyle) -> Estimate:
    if len(text) > _LONGEST:
        raise QuantityError(quoted(text), expected_of(dimension))
    plain = tidy(text)
    if plain.lower() in UNKNOWN_WORDS:
        return Estimate.unknown()
    if dimension == "slope" and plain.lower() in _FLAT:
        return Estimate.known(0.0, text="flat")
    if not _PLAIN.fullmatch(plain):
        for read in (_read_likely, _read_about, _read_plus_minus, _read_range):
            estimate = read(plain, dimension, style)
            if estimate is not None:
                return _checked(estimate, dimension, text)
    amount = _united(read_amount(plain, dimension, style), dimension, plain)
    return _checked(Estimate.known(amount.si(dimension), text=amount.echo), dimension, text)


def _united(amount: Amount, dimension: str, text: str) -> Amount:
    """Refuse a slope without a unit, where per cent and degrees differ by nearly two, and a fraction of metres."""
    if amount.unit is None and dimension == "slope":
        raise QuantityError(quoted(text), "per cent or degrees beside it: 30 % is 16.7 deg")
    if amount.unit is None and "/" in text and dimension not in _BARE_FRACTIONS:
        raise QuantityError(quoted(text), f"a unit behind the fraction; a bare number is {si_symbol(dimension)}")
    return amount


def _read_likely(text: str, dimension: str, style: NumberStyle) -> Estimate | None:
    """Low to high, likely so much: the three points of a price or a guess."""
    match = _LIKELY.fullmatch(text)
    if match is None:
        return None
    ends = _read_range(match["ends"].rstrip(", "), dimension, style)
    likely = read_amount(match["likely"], dimension, style)
    if ends is None:
        raise QuantityError(quoted(text), "two ends before the likely value, as in 60 to 125, likely 85")
    value = _united(likely, dimension, text).si(dimension)
    if not ends.low <= value <= ends.high:
        raise QuantityError(quoted(text), "a likely value between the two ends")
    return Estimate.triangular(ends.low, value, ends.high, text=f"{ends.text}, likely {likely.echo}")


def _read_about(text: str, dimension: str, style: NumberStyle) -> Estimate | None:
    match = _ABOUT.fullmatch(text)
    if match is None:
        return None
    amount = _united(read_amount(match["rest"], dimension, style), dimension, text)
    middle, spread = amount.si(dimension), abs(amount.difference(dimension)) * ABOUT_SHARE
    if dimension == "slope":
        spread = abs(middle) * ABOUT_SHARE
    return Estimate.about(middle, spread, text=f"about {amount.echo}")


def _read_plus_minus(text: str, dimension: str, style: NumberStyle) -> Estimate | None:
    parts = _PLUS_MINUS.split(text)
    if len(parts) != 2 or not all(parts):
        return None
    spread = read_amount(parts[1], dimension, style) if not _is_share(parts[1], dimension) else None
    middle = _like(read_amount(parts[0], dimension, style), spread)
    _united(middle, dimension, text)
    value = middle.si(dimension)
    if spread is None:
        share = read_amount(parts[1], "share", style)
        width, echo = abs(middle.difference(dimension)) * share.si("share"), share.echo
    else:
        spread = _like(spread, middle)
        width, echo = spread.difference(dimension), spread.echo
        if dimension == "slope":
            width = spread.si(dimension)
    if width < 0:
        raise QuantityError(quoted(text), "a spread of zero or more behind ±")
    return Estimate.about(value, width, text=f"{middle.echo} ± {echo}")


def _is_share(text: str, dimension: str) -> bool:
    return text.endswith("%") and dimension not in ("share", "slope")


def _like(amount: Amount, other: Amount | None) -> Amount:
    """A number without unit takes the unit of the number beside it."""
    if amount.unit is not None or other is None or other.unit is None:
        return amount
    return Amount(amount.number, other.unit, f"{amount.number:.12g} {other.unit.symbol}", amount.currency)


def _read_range(text: str, dimension: str, style: NumberStyle) -> Estimate | None:
    body = _BETWEEN.sub("", text, count=1) if _BETWEEN.match(text) else text
    parts = _TO.split(body)
    if len(parts) == 2 and all(parts):
        return _range(parts[0], parts[1], dimension, style)
    if len(parts) != 1 or body != text or _reads(text, dimension, style):
        return None
    found = []
    for place in re.finditer(r"(?<=\S)\s*-\s*(?=\S)", text):
        left, right = text[: place.start()], text[place.end() :]
        if _reads(left, dimension, style) and _reads(right, dimension, style):
            found.append((left, right))
    if len(found) != 1:
        return None
    return _range(*found[0], dimension, style)


def _reads(text: str, dimension: str, style: NumberStyle) -> bool:
    try:
        read_amount(text, dimension, style)
    except QuantityError:
        return False
    return True


def _range(left: str, right: str, dimension: str, style: NumberStyle) -> Estimate:
    high = read_amount(right, dimension, style)
    low = _like(read_amount(left, dimension, style), high)
    for end in (low, high):
        _united(end, dimension, f"{left} to {right}")
    if high.unit is None and low.unit is not None:
        raise QuantityError(quoted(f"{left} to {right}"), "a unit behind the second number too")
    ends = low.si(dimension), high.si(dimension)
    if ends[0] > ends[1]:
        raise QuantityError(quoted(f"{left} to {right}"), "the smaller number first")
    return Estimate.between(*ends, text=f"{low.echo} to {high.echo}")


def _checked(estimate: Estimate, dimension: str, text: str) -> Estimate:
    """Refuse an angle beyond a full turn and a slope beyond the vertical: degrees taken for radians."""
    limit = {"angle": _TURN, "slope": math.pi / 2}.get(dimension)
    if not all(math.isfinite(end) for end in (estimate.low, estimate.high)):
        if estimate.is_unknown:
            return estimate
        raise QuantityError(quoted(text), f"{expected_of(dimension)}, a finite number")
    if limit is not None and max(abs(estimate.low), abs(estimate.high)) > limit:
        bound = "less than upright, 90 deg" if dimension == "slope" else "at most a full turn"
        raise QuantityError(quoted(text), f"{expected_of(dimension)}, {bound}; a bare number is radians")
    return estimate


def _read_table(given: Mapping[str, Any], dimension: str, locale: str) -> Estimate:
    strange = [key for key in given if key not in _KEYS]
    if strange:
        raise QuantityError(f"the entry {quoted(str(strange[0]))}", f"entries among {', '.join(_KEYS)}")
    origin = given.get("origin", "stated")
    if origin not in ORIGINS:
        raise QuantityError(f"the origin {quoted(str(origin))}", f"an origin among {', '.join(ORIGINS)}")
    estimate = _table_value(given, dimension, locale)
    text = str(given.get("text", estimate.text))[:_LONGEST]
    kind = (estimate.kind, estimate.low, estimate.likely, estimate.high)
    return _checked(Estimate(*kind, origin=origin, text=text), dimension, str(dict(given)))


def _table_value(given: Mapping[str, Any], dimension: str, locale: str) -> Estimate:
    keys = set(given) - {"origin", "text"}
    if keys == {"value"}:
        if isinstance(given["value"], Mapping):
            raise QuantityError("a table within a table", expected_of(dimension))
        return read_quantity(given["value"], dimension, locale)
    if keys not in ({"value", "spread"}, {"low", "high"}, {"low", "likely", "high"}):
        found = ", ".join(sorted(keys)) or "neither"
        raise QuantityError(found, "either value, value and spread, low and high, or low, likely and high")
    parts = {key: _single(given[key], dimension, locale) for key in sorted(keys)}
    low, high = parts.get("low"), parts.get("high")
    if low is None or high is None:
        spread = parts["spread"].value
        if spread < 0:
            raise QuantityError(f"a spread of {spread:g}", "a spread of zero or more")
        return Estimate.about(parts["value"].value, spread)
    likely = parts.get("likely")
    order = [low.value, *([likely.value] if likely else []), high.value]
    if order != sorted(order):
        raise QuantityError(" / ".join(f"{v:.6g}" for v in order), "low, likely and high in rising order")
    text = f"{low.text} to {high.text}"
    if likely is None:
        return Estimate.between(low.value, high.value, text=text)
    return Estimate.triangular(low.value, likely.value, high.value, text=f"{text}, likely {likely.text}")


def _single(given: object, dimension: str, locale: str) -> Estimate:
    estimate = read_quantity(given, dimension, locale)
    if not estimate.is_known:
        raise QuantityError(_named(given), f"one value: {expected_of(dimension)}")
    return estimate
