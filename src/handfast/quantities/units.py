"""The one table of units: every spelling that is read, with its exact factor to SI."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from functools import lru_cache

G = 9.80665  # standard gravity, m/s2, exact by definition

_IN, _FT, _YD, _MILE = 0.0254, 0.3048, 0.9144, 1609.344
_LB = 0.45359237
_LBF = _LB * G
_GALLON = 231 * _IN**3
_DEG = math.pi / 180


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit: SI value = (number + offset) * factor."""

    symbol: str
    dimension: str
    factor: float
    offset: float = 0.0


# dimension: (symbol of the SI unit, then rows of symbol, factor, further spellings)
_ROWS: dict[str, tuple[tuple[str, float, str], ...]] = {
    "length": (
        ("m", 1.0, "metre metres meter meters"),
        ("mm", 1e-3, "millimetre millimetres millimeter millimeters"),
        ("cm", 1e-2, "centimetre centimetres centimeter centimeters"),
        ("km", 1e3, "kilometre kilometres kilometer kilometers"),
        ("in", _IN, '" inch inches'),
        ("ft", _FT, "' foot feet"),
        ("yd", _YD, "yard yards yds"),
        ("mi", _MILE, "mile miles"),
    ),
    "area": (
        ("m2", 1.0, "sqm squaremetre squaremetres squaremeter squaremeters"),
        ("cm2", 1e-4, "sqcm"),
        ("mm2", 1e-6, "sqmm"),
        ("ha", 1e4, "hectare hectares"),
        ("in2", _IN**2, "sqin squareinch squareinches"),
        ("ft2", _FT**2, "sqft squarefoot squarefeet"),
        ("yd2", _YD**2, "sqyd squareyard squareyards"),
    ),
    "volume": (
        ("m3", 1.0, "cum cubicmetre cubicmetres cubicmeter cubicmeters"),
        ("L", 1e-3, "l litre litres liter liters dm3"),
        ("mL", 1e-6, "ml cm3 cc"),
        ("in3", _IN**3, "cuin cubicinch cubicinches"),
        ("ft3", _FT**3, "cuft cubicfoot cubicfeet"),
        ("yd3", _YD**3, "cuyd cubicyard cubicyards"),
        ("gal", _GALLON, "gallon gallons gals usgal usgallon usgallons"),
        ("qt", _GALLON / 4, "quart quarts"),
        ("cord", 128 * _FT**3, "cords"),
    ),
    "mass": (
        ("kg", 1.0, "kgs kilogram kilograms kilo kilos"),
        ("g", 1e-3, "gram grams"),
        ("t", 1e3, "tonne tonnes metricton metrictons"),
        ("lb", _LB, "lbs pound pounds #"),
        ("oz", _LB / 16, "ounce ounces"),
        ("short ton", 2000 * _LB, "ton tons shorttons uston ustons"),
    ),
    "density": (
        ("kg/m3", 1.0, "kgm-3"),
        ("t/m3", 1e3, ""),
        ("kg/L", 1e3, "kg/l"),
        ("g/cm3", 1e3, "g/cc g/ml"),
        ("lb/ft3", _LB / _FT**3, "pcf lb/cuft lbs/ft3 lbs/cuft"),
        ("lb/yd3", _LB / _YD**3, "lb/cuyd lbs/yd3 lbs/cuyd"),
        ("lb/gal", _LB / _GALLON, "ppg lbs/gal"),
    ),
    "pressure": (
        ("Pa", 1.0, ""),
        ("kPa", 1e3, ""),
        ("MPa", 1e6, ""),
        ("bar", 1e5, "bars"),
        ("psi", _LBF / _IN**2, "psig lbf/in2 lb/in2"),
    ),
    "flow": (
        ("m3/s", 1.0, ""),
        ("m3/h", 1 / 3600, "m3/hr"),
        ("L/min", 1e-3 / 60, "l/min lpm"),
        ("L/s", 1e-3, "l/s"),
        ("mL/s", 1e-6, "ml/s cm3/s cc/s"),
        ("gpm", _GALLON / 60, "gal/min usgpm usgal/min"),
    ),
    "angle": (
        ("rad", 1.0, "radian radians"),
        ("deg", _DEG, "° degree degrees degs"),
        ("arcmin", _DEG / 60, "minofarc"),
    ),
    "power": (
        ("W", 1.0, "watt watts"),
        ("kW", 1e3, "kilowatt kilowatts"),
        ("hp", 550 * _FT * _LBF, "horsepower bhp"),
        ("PS", 75 * G, "metrichp"),
    ),
    "speed": (
        ("m/s", 1.0, ""),
        ("m/min", 1 / 60, ""),
        ("mm/s", 1e-3, ""),
        ("km/h", 1 / 3.6, "kph kmh"),
        ("ft/s", _FT, "fps"),
        ("ft/min", _FT / 60, "fpm"),
        ("in/s", _IN, "ips in/sec"),
        ("mph", _MILE / 3600, "mi/h"),
    ),
    "rotation": (("rpm", 1.0, "r/min rev/min 1/min"), ("rev/s", 60.0, "r/s rps")),
    "time": (
        ("s", 1.0, "sec secs second seconds"),
        ("min", 60.0, "mins minute minutes"),
        ("h", 3600.0, "hr hrs hour hours"),
        ("d", 86400.0, "day days"),
        ("week", 604800.0, "weeks wk wks"),
    ),
    "voltage": (("V", 1.0, "volt volts"), ("mV", 1e-3, "")),
    "current": (("A", 1.0, "amp amps ampere amperes"), ("mA", 1e-3, "")),
    "charge": (("A·s", 1.0, "As coulomb"), ("A·h", 3600.0, "Ah amphour amphours"), ("A·min", 60.0, "Amin")),
    "energy": (
        ("J", 1.0, ""),
        ("kJ", 1e3, ""),
        ("MJ", 1e6, ""),
        ("W·h", 3600.0, "Wh"),
        ("kW·h", 3.6e6, "kWh"),
        ("ft·lbf", _FT * _LBF, "lbf·ft"),
    ),
    "force": (
        ("N", 1.0, "newton newtons"),
        ("daN", 10.0, ""),
        ("kN", 1e3, ""),
        ("kgf", G, "kp"),
        ("lbf", _LBF, ""),
    ),
    "torque": (
        ("N·m", 1.0, "Nm"),
        ("kN·m", 1e3, "kNm"),
        ("lbf·ft", _LBF * _FT, "lb·ft ft·lb ft·lbf lbs·ft ft·lbs lbft ftlb ftlbs lbfft"),
        ("lbf·in", _LBF * _IN, "lb·in in·lb in·lbf lbs·in in·lbs"),
    ),
    "moment": (
        ("kg·m", 1.0, "kgm"),
        ("lb·ft", _LB * _FT, "ft·lb lbs·ft ft·lbs lbft ftlb ftlbs"),
        ("lb·in", _LB * _IN, "in·lb lbs·in in·lbs lbin inlb inlbs"),
    ),
    "temperature": (("K", 1.0, "kelvin"),),
    "viscosity": (("m2/s", 1.0, ""), ("cSt", 1e-6, "mm2/s centistokes"), ("St", 1e-4, "stokes")),
    "share": (("1", 1.0, ""), ("%", 1e-2, "percent percent. pct"), ("‰", 1e-3, "permille")),
    "count": (("1", 1.0, "x × pcs pieces piece each"),),
    "money": (("1", 1.0, ""),),
    "per_length": (("1/m", 1.0, "m-1"), ("1/mm", 1e3, ""), ("1/ft", 1 / _FT, ""), ("1/in", 1 / _IN, "")),
}

_TEMPERATURES = {
    "°C": (Unit("°C", "temperature", 1.0, 273.15), "C degC celsius degreescelsius ℃"),
    "°F": (Unit("°F", "temperature", 5 / 9, 459.67), "F degF fahrenheit degreesfahrenheit ℉"),
}

# Spellings that may also come in capitals or small letters, because nobody can mean anything else by them.
_ANY_CASE = frozenset(
    re.findall(
        r"\S+",
        "mm cm in inch inches ft foot feet yd yards lb lbs pound pounds kg kgs ton tons tonne psi bar gpm hp rpm mph "
        "gal gallon gallons deg degrees degree cst lpm pcf kpa kn lbf kw sqft cuft cuyd ft2 ft3 yd3 in2 l/min m3 m2",
    )
)

# The other dimensions in which a quantity may be given, and the unit whose number is kept.
ALSO = {"slope": "angle", "load": "mass", "hours": "time", "days": "time"}
_KEPT = {"hours": 3600.0, "days": 86400.0}


def _dimensions() -> dict[str, dict[str, Unit]]:
    """All spellings of each dimension."""
    table: dict[str, dict[str, Unit]] = {}
    for dimension, rows in _ROWS.items():
        spelled = table.setdefault(dimension, {})
        for symbol, factor, others in rows:
            unit = Unit(symbol, dimension, factor)
            for spelling in (symbol, *others.split()) if symbol != "1" else others.split():
                spelled.setdefault(plain_spelling(spelling), unit)
    for symbol, (unit, others) in _TEMPERATURES.items():
        for spelling in (symbol, *others.split()):
            table["temperature"][plain_spelling(spelling)] = unit
    table["slope"] = dict(table["angle"])
    table["load"] = table["mass"] | {k: Unit(u.symbol, "load", u.factor / G) for k, u in table["force"].items()}
    for name, kept in _KEPT.items():
        table[name] = {k: Unit(u.symbol, name, u.factor / kept) for k, u in table["time"].items()}
    return table


@lru_cache(maxsize=2048)
def plain_spelling(text: str) -> str:
    """A unit's spelling with one way to write powers, products and spaces.

    Args:
        text: unit as somebody wrote it.

    Returns:
        the spelling that the table is keyed by.

    >>> plain_spelling("sq. ft"), plain_spelling("kg / m³"), plain_spelling("lb-ft")
    ('sqft', 'kg/m3', 'lb·ft')
    """
    out = text.strip().replace("²", "2").replace("³", "3").replace("^", "").replace("**", "")
    out = re.sub(r"\s+per\s+", "/", out)
    out = re.sub(r"(?<=[A-Za-z])[*⋅•.-](?=[A-Za-z])", "·", out)
    out = out.replace("sq.", "sq").replace("cu.", "cu").replace("U.S.", "us").replace("U·S.", "us").replace("US", "us")
    return re.sub(r"\s+", "", out).rstrip(".")


BY_DIMENSION: dict[str, dict[str, Unit]] = _dimensions()
DIMENSIONS: tuple[str, ...] = tuple(BY_DIMENSION)
UNITS: dict[str, Unit] = {}
for _name in _ROWS:
    for _spelling, _each in BY_DIMENSION[_name].items():
        UNITS.setdefault(_spelling, _each)

_SI_NAMES = {"slope": "rad", "load": "kg", "hours": "h", "days": "d", "share": "", "count": "", "money": ""}


def si_symbol(dimension: str) -> str:
    """Symbol of the unit in which a bare number of this dimension is kept.

    Args:
        dimension: name of a dimension.

    Returns:
        unit symbol, empty for a share, a count or money.

    >>> si_symbol("pressure"), si_symbol("rotation"), si_symbol("share")
    ('Pa', 'rpm', '')
    """
    return _SI_NAMES[dimension] if dimension in _SI_NAMES else _ROWS[dimension][0][0]


def find_unit(spelling: str, dimension: str | None = None) -> Unit | None:
    """The unit that a spelling names, within one dimension or in any.

    Args:
        spelling: unit as somebody wrote it.
        dimension: name of a dimension, or None for any.

    Returns:
        the unit, or None when nothing is spelled so.

    >>> find_unit("LBS", "mass").symbol, find_unit("furlong")
    ('lb', None)
    """
    table = UNITS if dimension is None else BY_DIMENSION[dimension]
    plain = plain_spelling(spelling)
    if plain in table:
        return table[plain]
    small = plain.lower()
    if small in _ANY_CASE and plain in (small, small.upper(), small.capitalize()) and plain != "Mm":
        return table.get(small) or next((unit for key, unit in table.items() if key.lower() == small), None)
    return None


def _unit(unit: str | Unit) -> Unit:
    if isinstance(unit, Unit):
        return unit
    found = find_unit(unit)
    if found is None:
        raise ValueError(f"no such unit: {unit!r}")
    return found


def to_si(value: float, unit: str | Unit) -> float:
    """A number in a unit as a number in SI.

    Args:
        value: number in `unit`.
        unit: spelling or unit.

    Returns:
        number in the SI unit of the dimension.

    Raises:
        ValueError: nothing is spelled so.

    >>> to_si(10, "ft"), round(to_si(-40, "°F"), 9)
    (3.048, 233.15)
    """
    found = _unit(unit)
    return (value + found.offset) * found.factor


def from_si(value: float, unit: str | Unit) -> float:
    """A number in SI as a number in a unit.

    Args:
        value: number in the SI unit of the dimension.
        unit: spelling or unit.

    Returns:
        number in `unit`.

    Raises:
        ValueError: nothing is spelled so.

    >>> from_si(3.048, "ft")
    10.0
    """
    found = _unit(unit)
    return value / found.factor - found.offset
