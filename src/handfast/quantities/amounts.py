"""One amount as people write it: `850 lb`, `2 1/2 in`, `8 ft 6 in`, `$1,599`."""

from __future__ import annotations

import difflib
import math
import re
from dataclasses import dataclass

from handfast.quantities.locales import NumberStyle, number_pattern, plain_number
from handfast.quantities.money import split_currency
from handfast.quantities.units import ALSO, BY_DIMENSION, Unit, find_unit, si_symbol

EXAMPLES = {
    "length": "40 in, 5 ft 6 in or 1.4 m", "area": "4 ft2 or 0.35 m2", "volume": "12 yd3, 50 gal or 0.38 m3",
    "mass": "850 lb or 385 kg", "load": "850 lb, 385 kg or 9.8 kN", "density": "55 lb/ft3 or 880 kg/m3",
    "pressure": "2400 psi or 165 bar", "flow": "6.6 gpm or 25 L/min", "angle": "42 deg", "slope": "10 % or 6 deg",
    "power": "24 hp or 18 kW", "speed": "4 mph or 6 km/h", "rotation": "2600 rpm", "time": "4.5 s or 2 min",
    "voltage": "12 V", "current": "25 A", "charge": "45 Ah", "energy": "2 kJ", "force": "1300 lbf or 6 kN",
    "torque": "40 lbf·ft or 55 N·m", "moment": "500 lb·ft or 70 kg·m", "temperature": "40 °C or 104 °F",
    "viscosity": "46 cSt", "share": "75 % or 0.75", "count": "60", "money": "1599 or 1250 to 1400",
    "per_length": "0.6 1/m", "hours": "1.5 h or 90 min", "days": "10 days or 2 weeks",
}  # fmt: skip

LARGEST = 1e200  # beyond it nothing was measured, and sums would leave the numbers

_BIG_AND_SMALL = {"ft": ("in", 12.0), "lb": ("oz", 16.0), "h": ("min", 60.0), "min": ("s", 60.0)}
_COMPOUND = re.compile(r"(?P<big>'|[A-Za-z]+\.?)\s*[-,]?\s*(?P<rest>\d.*)")
_VULGAR = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅓": "1/3", "⅔": "2/3", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8"}
_SIGNS = str.maketrans(
    {**dict.fromkeys("−‐‑–—", "-"), **{sign: f" {plain}" for sign, plain in _VULGAR.items()}, "⁄": "/"}
)
_FRACTION = re.compile(r"\s*/\s*(?P<below>\d+)(?![\d.,])")
_MIXED = re.compile(r"(?:\s+|\s*-\s*)(?P<above>\d+)\s*/\s*(?P<below>\d+)(?![\d.,])")


class QuantityError(ValueError):
    """What was written can't be read as the quantity; says what was found and what is expected."""

    def __init__(self, found: str, expected: str) -> None:
        super().__init__(f"found {found}; expected {expected}")
        self.found = found
        self.expected = expected


@dataclass(frozen=True, slots=True)
class Amount:
    """One number, the unit it was written in (None: no unit), and the way it was read."""

    number: float
    unit: Unit | None
    echo: str
    currency: str = ""

    def si(self, dimension: str) -> float:
        """The number in SI; a slope in per cent becomes its angle."""
        if self.unit is None:
            return self.number
        if dimension == "slope" and self.unit.symbol == "%":
            return math.atan(self.number * self.unit.factor)
        return (self.number + self.unit.offset) * self.unit.factor

    def difference(self, dimension: str) -> float:
        """The number in SI as a difference of two such quantities."""
        return self.number if self.unit is None else self.number * self.unit.factor


def expected_of(dimension: str) -> str:
    """What a reader of this dimension expects, in words.

    Args:
        dimension: name of a dimension.

    Returns:
        sentence part with examples.

    >>> expected_of("mass")
    'a mass such as 850 lb or 385 kg'
    """
    name = {
        "load": "load",
        "hours": "number of hours",
        "days": "number of days",
        "money": "price",
        "per_length": "share a length",
    }
    noun = name.get(dimension, dimension)
    return f"{'an' if noun[0] in 'aeiou' else 'a'} {noun} such as {EXAMPLES[dimension]}"


def quoted(text: str) -> str:
    """A text in quotation marks, cut when long, control characters shown as such.

    Args:
        text: whatever somebody wrote.

    Returns:
        quoted text of at most 63 characters.

    >>> quoted("850 lbq")
    '"850 lbq"'
    """
    shown = "".join(c if c.isprintable() else "\N{REPLACEMENT CHARACTER}" for c in text[:61])
    return f'"{shown[:60]}…"' if len(text) > 60 else f'"{shown}"'


def tidy(text: str) -> str:
    """The text with one way to write minus, primes, quotes, fractions and spaces.

    Args:
        text: whatever somebody wrote.

    Returns:
        tidied text.

    >>> tidy(" 5’6½” ")
    '5\\'6 1/2"'
    """
    if not text.isascii():
        text = text.translate(_SIGNS)
    text = re.sub("[’‘′ʹ]", "'", text)
    text = re.sub("[“”″]|''", '"', text)
    return re.sub(r"\s+", " ", text).strip()


def read_amount(text: str, dimension: str, style: NumberStyle) -> Amount:
    """Read one tidied amount.

    Args:
        text: one amount, tidied.
        dimension: name of a dimension.
        style: how numbers are written.

    Returns:
        the amount.

    Raises:
        QuantityError: it can't be read so.

    >>> read_amount("2 1/2 in", "length", NumberStyle(".", ",")).number
    2.5
    """
    if dimension == "money":
        currency, text = split_currency(text)
        number, rest = read_number(text, dimension, style)
        if rest:
            raise QuantityError(quoted(text), expected_of(dimension))
        if round(number, 2) != number:
            raise QuantityError(quoted(text), f"at most two digits behind the {quoted(style.decimal)} of a price")
        return Amount(number, None, f"{number:.12g} {currency}".strip(), currency)
    number, rest = read_number(text, dimension, style)
    compound = _compound(number, rest, dimension, style)
    if compound is not None:
        return compound
    if not rest:
        return Amount(number, None, f"{number:.12g} {si_symbol(dimension)}".strip())
    unit = _find(rest, dimension)
    return Amount(number, unit, f"{number:.12g} {unit.symbol}".removesuffix(" 1"))


def read_number(text: str, dimension: str, style: NumberStyle) -> tuple[float, str]:
    """Read the number at the start of a text.

    Args:
        text: tidied text.
        dimension: name of a dimension, for the words of a refusal.
        style: how numbers are written.

    Returns:
        the number, and what follows it.

    Raises:
        QuantityError: no number there, or one written in another place's way.

    >>> read_number("3/4 in", "length", NumberStyle(".", ","))
    (0.75, 'in')
    """
    sign, body = (-1.0, text[1:].lstrip()) if text.startswith("-") else (1.0, text.removeprefix("+").lstrip())
    match = number_pattern(style).match(body)
    if match is None or not (match["whole"] or match["part"]):
        raise QuantityError(quoted(text), expected_of(dimension))
    rest = body[match.end() :]
    if re.match(r"[.,'](?=\d)|[.,]$", rest) and not (rest[0] == "'" and style.group != "'"):
        raise QuantityError(quoted(text), _other_sign(text, rest[0], style, dimension))
    number = plain_number(match)
    if match["part"] is None and match["power"] is None:
        number, rest = _with_fraction(number, rest, text, dimension)
    if not abs(number) < LARGEST:
        raise QuantityError(quoted(text), "a finite number")
    return sign * number, rest.strip()


def _with_fraction(number: float, rest: str, text: str, dimension: str) -> tuple[float, str]:
    """Take in a fraction that follows a whole number, as in 2 1/2 or 3/4."""
    mixed, plain = _MIXED.match(rest), _FRACTION.match(rest)
    if mixed is None and plain is None:
        return number, rest
    below = int((mixed or plain)["below"])  # type: ignore[index]
    if below == 0 or (mixed and int(mixed["above"]) >= below):
        raise QuantityError(quoted(text), "a fraction less than one, as in 2 1/2")
    if mixed:
        return number + int(mixed["above"]) / below, rest[mixed.end() :]
    assert plain is not None
    return number / below, rest[plain.end() :]


def _other_sign(text: str, sign: str, style: NumberStyle, dimension: str) -> str:
    """What to say when a number carries the decimal or thousands sign of elsewhere."""
    name = {",": "comma", ".": "point", "'": "mark"}[sign]
    if sign != style.group:
        return f"{expected_of(dimension)}; here the decimal sign is {quoted(style.decimal)}"
    if style.decimal in text:
        return f"three digits after it: a {name} here means thousands, and the decimal sign is {quoted(style.decimal)}"
    better = re.sub(rf"(?<=\d){re.escape(sign)}(?=\d)", style.decimal, text, count=1)
    parts = re.match(r"(\d+)\D(\d+)\s*(?:ft|'|feet|foot)\.?$", better)
    also = ""
    if parts:
        inches = round(float(f"0.{parts[2]}") * 12, 2)
        also = f" or {parts[1]} ft {inches:g} in"
    return f"three digits after it: a {name} here means thousands. Write {better}{also}"


def _compound(number: float, rest: str, dimension: str, style: NumberStyle) -> Amount | None:
    """Two units in one amount, as in 8 ft 6 in; None when it is not of that kind."""
    match = _COMPOUND.fullmatch(rest)
    big = find_unit(match["big"], dimension) if match else None
    if match is None or big is None or big.symbol not in _BIG_AND_SMALL:
        return None
    small_symbol, ratio = _BIG_AND_SMALL[big.symbol]
    extra, small_text = read_number(match["rest"], dimension, style)
    if not small_text and match["big"] != "'":
        return None
    small = find_unit(small_text or small_symbol, dimension)
    if small is None or small.symbol != small_symbol:
        raise QuantityError(quoted(f"{number:g} {rest}"), expected_of(dimension))
    if number != int(number) or extra >= ratio:
        raise QuantityError(quoted(f"{number:g} {rest}"), f"whole {big.symbol} and less than {ratio:g} {small_symbol}")
    sign = math.copysign(1.0, number)
    echo = f"{number:.12g} {big.symbol} {extra:.12g} {small_symbol}"
    return Amount(sign * (abs(number) * ratio + extra), small, echo)


def _find(spelling: str, dimension: str) -> Unit:
    """The unit of the dimension, or a refusal that says what is near."""
    if dimension == "slope" and find_unit(spelling, "share") is not None:
        return BY_DIMENSION["share"]["%"]
    unit = find_unit(spelling, dimension)
    if unit is not None:
        return unit
    other = find_unit(spelling)
    if other is not None:
        kind = ALSO.get(other.dimension, other.dimension)
        raise QuantityError(f"{quoted(spelling)}, a unit of {kind}", expected_of(dimension))
    near = difflib.get_close_matches(spelling, BY_DIMENSION[dimension], n=1, cutoff=0.6)
    hint = f"; did you mean {BY_DIMENSION[dimension][near[0]].symbol}?" if near else ""
    raise QuantityError(f"{quoted(spelling)}, not a unit", expected_of(dimension) + hint)
