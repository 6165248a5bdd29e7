"""SI numbers as a dealer reads them: US or metric units, feet and inches, no more digits than are worth reading."""

from __future__ import annotations

import math
from fractions import Fraction
from functools import partial

from handfast.quantities.estimate import Estimate
from handfast.quantities.locales import number_style
from handfast.quantities.units import BY_DIMENSION, find_unit

SYSTEMS = ("us", "metric")
FOOT, INCH = 0.3048, 0.0254

# dimension: rows of (from this many SI units on, unit, decimals), largest first; the last row takes the rest.
Row = tuple[float, str, int]
_US: dict[str, tuple[Row, ...]] = {
    "length": ((30.48, "ft", 0), (0.0, "in", 1)),
    "area": ((0.0, "ft2", 1),),
    "volume": ((27 * FOOT**3, "yd3", 1), (0.0, "ft3", 1)),
    "mass": ((4.0, "lb", 0), (0.0, "lb", 1)),
    "density": ((0.0, "lb/ft3", 1),),
    "pressure": ((1e5, "psi", 0), (0.0, "psi", 1)),
    "flow": ((0.0, "gpm", 1),),
    "power": ((7e3, "hp", 0), (0.0, "hp", 1)),
    "speed": ((0.1, "mph", 1), (0.0, "in/s", 2)),
    "force": ((50.0, "lbf", 0), (0.0, "lbf", 1)),
    "energy": ((0.0, "ft·lbf", 0),),
    "torque": ((0.0, "lbf·ft", 0),),
    "moment": ((0.0, "lb·ft", 0),),
    "temperature": ((0.0, "°F", 0),),
}
_METRIC: dict[str, tuple[Row, ...]] = {
    "length": ((100.0, "m", 0), (1.0, "m", 2), (0.0, "mm", 0)),
    "area": ((0.0, "m2", 2),),
    "volume": ((0.1, "m3", 2), (0.0, "L", 1)),
    "mass": ((4.0, "kg", 0), (0.0, "kg", 2)),
    "density": ((0.0, "kg/m3", 0),),
    "pressure": ((1e6, "bar", 0), (0.0, "bar", 2)),
    "flow": ((0.0, "L/min", 1),),
    "power": ((0.0, "kW", 1),),
    "speed": ((0.1, "km/h", 1), (0.0, "mm/s", 0)),
    "force": ((1e4, "kN", 1), (0.0, "N", 0)),
    "energy": ((1e4, "kJ", 1), (0.0, "J", 0)),
    "torque": ((0.0, "N·m", 0),),
    "moment": ((0.0, "kg·m", 0),),
    "temperature": ((0.0, "°C", 0),),
}
_BOTH: dict[str, tuple[Row, ...]] = {
    "angle": ((0.0, "°", 1),),
    "slope": ((0.0, "%", 1),),
    "share": ((0.0, "%", 1),),
    "rotation": ((0.0, "rpm", 0),),
    "time": ((7200.0, "h", 1), (120.0, "min", 1), (0.0, "s", 1)),
    "voltage": ((0.0, "V", 1),),
    "current": ((0.0, "A", 1),),
    "charge": ((0.0, "Ah", 1),),
    "viscosity": ((0.0, "cSt", 1),),
    "per_length": ((0.0, "1/m", 2),),
    "hours": ((0.0, "h", 1),),
    "days": ((0.0, "days", 0),),
    "count": ((0.0, "", 0),),
    "money": ((0.0, "", 2),),
}
_PRETTY = {"2": "²", "3": "³"}


def show(value: float, dimension: str, system: str = "us", digits: int | None = None, locale: str = "en_US") -> str:
    """An SI number in trade units.

    Args:
        value: number in the SI unit of the dimension; nan is shown as unknown.
        dimension: name of a dimension.
        system: "us" or "metric".
        digits: decimals, where the usual ones don't do; US lengths are then inches alone.
        locale: whose way to write numbers is used.

    Returns:
        number and unit; `read_quantity` reads it back within its rounding.

    >>> show(182.34, "mass"), show(182.34, "mass", "metric"), show(0.2557, "share"), show(1.3716, "length")
    ('402 lb', '182 kg', '25.6 %', '4 ft 6 in')
    """
    if not math.isfinite(value):
        return "unknown"
    if dimension == "length" and system == "us" and digits is None and 2 * FOOT <= abs(value) < 100 * FOOT:
        return show_length(value, locale=locale)
    unit, decimals = _row(value, dimension, system)
    number = _in_unit(value, dimension, unit)
    text = show_number(number, decimals if digits is None else digits, locale)
    if digits is None and unit == "in":
        text = text.removesuffix(".0").removesuffix(",0")
    return _joined(text, unit)


def _row(value: float, dimension: str, system: str) -> tuple[str, int]:
    if system not in SYSTEMS:
        raise ValueError(f"no such system of units: {system!r}")
    rows = (_US if system == "us" else _METRIC).get("mass" if dimension == "load" else dimension)
    for start, unit, decimals in rows or _BOTH[dimension]:
        if abs(value) >= start:
            return unit, decimals
    raise AssertionError("the last row of every dimension starts at zero")


def _in_unit(value: float, dimension: str, unit: str) -> float:
    """Number in a unit; a slope becomes per cent by its tangent."""
    if not unit:
        return value
    if dimension == "slope":
        return 100 * math.tan(value)
    found = find_unit(unit, dimension) or BY_DIMENSION[dimension][unit]
    return value / found.factor - found.offset


def _joined(number: str, unit: str) -> str:
    if not unit:
        return number
    pretty = unit[:-1] + _PRETTY[unit[-1]] if unit[-1] in _PRETTY else unit
    return f"{number}{pretty}" if pretty == "°" else f"{number} {pretty}"


def show_number(value: float, decimals: int = 0, locale: str = "en_US") -> str:
    """A number with thousands marked and so many decimals, never "-0".

    Args:
        value: any finite number.
        decimals: digits behind the decimal sign.
        locale: whose way to write numbers is used.

    Returns:
        text.

    >>> show_number(1250.4), show_number(-0.04, 1), show_number(1250.4, 1, "de_DE")
    ('1,250', '0.0', '1.250,4')
    """
    style = number_style(locale)
    text = f"{value:,.{decimals}f}"
    if not any(digit in "123456789" for digit in text):
        text = text.lstrip("-")
    return text.translate({ord(","): style.group, ord("."): style.decimal})


def show_length(value: float, parts: int = 1, locale: str = "en_US") -> str:
    """A length in feet and inches.

    Args:
        value: length [m].
        parts: how many parts an inch is rounded to: 1, 2, 4, 8 or 16.
        locale: whose way to write numbers is used.

    Returns:
        text such as "4 ft 6 1/2 in".

    >>> show_length(1.3716), show_length(0.2413, parts=2), show_length(3.048)
    ('4 ft 6 in', '9 1/2 in', '10 ft')
    """
    if not math.isfinite(value):
        return "unknown"
    steps = round(abs(value) / INCH * parts)
    feet, rest = divmod(steps, 12 * parts)
    whole, part = divmod(rest, parts)
    fraction = f"{Fraction(part, parts)}" if part else ""
    inches = " ".join(text for text in (str(whole) if whole or not (fraction or feet) else "", fraction) if text)
    shown = [f"{show_number(feet, 0, locale)} ft"] if feet else []
    shown += [f"{inches} in"] if (inches and inches != "0") or not feet else []
    return ("-" if value < 0 and steps else "") + " ".join(shown)


def show_estimate(estimate: Estimate, dimension: str, system: str = "us", locale: str = "en_US") -> str:
    """What is known of a quantity, in trade units.

    Args:
        estimate: the quantity.
        dimension: name of a dimension.
        system: "us" or "metric".
        locale: whose way to write numbers is used.

    Returns:
        text such as "800 lb to 900 lb".

    >>> show_estimate(Estimate.between(362.874, 408.233), "mass"), show_estimate(Estimate.unknown(), "mass")
    ('800 lb to 900 lb', 'unknown')
    """
    say = partial(show, dimension=dimension, system=system, locale=locale)
    if estimate.is_unknown or estimate.is_known:
        return say(estimate.value)
    ends = f"{say(estimate.low)} to {say(estimate.high)}"
    if say(estimate.low) == say(estimate.high):
        return f"about {say(estimate.likely)}"  # closer together than it is shown
    if estimate.kind == "range":
        return ends
    likely = say(estimate.likely)
    return f"{ends}, likely {likely}" if estimate.kind == "triangular" else f"about {likely} ({ends})"


def show_slope(value: float, locale: str = "en_US") -> str:
    """A slope both ways, because the two are mistaken for each other.

    Args:
        value: angle from level [rad].
        locale: whose way to write numbers is used.

    Returns:
        text such as "10.0 % (5.7°)".

    >>> show_slope(math.atan(0.10))
    '10.0 % (5.7°)'
    """
    return f"{show(value, 'slope', locale=locale)} ({show(value, 'angle', locale=locale)})"
