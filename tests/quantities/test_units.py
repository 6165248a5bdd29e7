"""Every unit against pint, a general unit library, and against the definitions of the units themselves."""

from __future__ import annotations

import pint
import pytest

from handfast.quantities.units import ALSO, BY_DIMENSION, DIMENSIONS, UNITS, Unit, find_unit, from_si, si_symbol, to_si

# How pint spells what it spells otherwise.
AS_PINT = {
    "m2": "m**2", "cm2": "cm**2", "mm2": "mm**2", "in2": "inch**2", "ft2": "ft**2", "yd2": "yard**2", "ha": "hectare",
    "m3": "m**3", "in3": "inch**3", "ft3": "ft**3", "yd3": "yard**3", "gal": "gallon", "qt": "quart",
    "cord": "128 * ft**3", "1/m": "1/m", "1/mm": "1/mm", "1/ft": "1/ft", "1/in": "1/inch",
    "in": "inch", "yd": "yard", "mi": "mile", "short ton": "short_ton", "t": "metric_ton",
    "kg/m3": "kg/m**3", "t/m3": "metric_ton/m**3", "g/cm3": "g/cm**3", "lb/ft3": "lb/ft**3", "lb/yd3": "lb/yard**3",
    "lb/gal": "lb/gallon", "m3/s": "m**3/s", "m3/h": "m**3/hour", "gpm": "gallon/min", "arcmin": "arcminute",
    "hp": "horsepower", "PS": "metric_horsepower", "in/s": "inch/s", "rpm": "rpm", "rev/s": "revolution/s",
    "d": "day", "h": "hour", "A·s": "A*s", "A·h": "A*hour", "A·min": "A*min", "W·h": "W*hour", "kW·h": "kW*hour",
    "ft·lbf": "ft*lbf", "N·m": "N*m", "kN·m": "kN*m", "lbf·ft": "lbf*ft", "lbf·in": "lbf*inch", "kg·m": "kg*m",
    "lb·ft": "lb*ft", "lb·in": "lb*inch", "m2/s": "m**2/s", "cSt": "centistokes", "St": "stokes", "%": "percent",
    "‰": "permille", "km/h": "km/hour", "1": "dimensionless",
}  # fmt: skip
SI = {
    "length": "m", "area": "m**2", "volume": "m**3", "mass": "kg", "density": "kg/m**3", "pressure": "Pa",
    "flow": "m**3/s", "angle": "rad", "slope": "rad", "power": "W", "speed": "m/s", "rotation": "rpm", "time": "s",
    "voltage": "V", "current": "A", "charge": "A*s", "energy": "J", "force": "N", "torque": "N*m", "moment": "kg*m",
    "viscosity": "m**2/s", "share": "dimensionless", "count": "dimensionless", "money": "dimensionless",
    "hours": "hour", "days": "day", "per_length": "1/m",
}  # fmt: skip
ALL = sorted(
    {unit for table in BY_DIMENSION.values() for unit in table.values()}, key=lambda u: (u.dimension, u.symbol)
)
registry = pint.UnitRegistry()


@pytest.mark.parametrize("unit", ALL, ids=lambda unit: f"{unit.dimension}-{unit.symbol}")
def test_every_factor_is_pints(unit: Unit) -> None:
    if unit.dimension == "temperature":
        name = {"K": "kelvin", "°C": "degC", "°F": "degF"}[unit.symbol]
        for number in (-40.0, 0.0, 37.0, 212.0):
            expected = registry.Quantity(number, name).to("kelvin").magnitude
            assert to_si(number, unit) == pytest.approx(expected, rel=1e-12)
        return
    name = AS_PINT.get(unit.symbol, unit.symbol)
    if unit.dimension == "load":  # a rating printed as a force: the mass that weighs so much
        expected = (registry(name) / registry.Quantity(1.0, "standard_gravity")).to("kg").magnitude
    else:
        expected = registry(name).to(SI[unit.dimension]).magnitude
    assert unit.factor == pytest.approx(expected, rel=1e-12)
    assert unit.offset == 0.0


def test_definitions_hold_to_the_last_digit() -> None:
    # International yard and pound agreement 1959; US gallon of 231 cubic inches; CODATA standard gravity.
    assert to_si(1, "in") == 0.0254
    assert to_si(1, "ft") == 0.3048
    assert to_si(1, "lb") == 0.45359237
    assert to_si(1, "gal") == pytest.approx(3.785411784e-3, rel=1e-15)
    assert to_si(1, "lbf") == pytest.approx(4.4482216152605, rel=1e-15)
    assert to_si(1, "hp") == pytest.approx(745.69987158227022, rel=1e-15)
    assert to_si(1, "PS") == pytest.approx(735.49875, rel=1e-15)
    assert to_si(2000, "lb") == pytest.approx(to_si(1, "ton"), rel=1e-15)


@pytest.mark.parametrize("unit", ALL, ids=lambda unit: f"{unit.dimension}-{unit.symbol}")
def test_there_and_back(unit: Unit) -> None:
    assert from_si(to_si(17.25, unit), unit) == pytest.approx(17.25, rel=1e-12)


def test_every_dimension_keeps_its_numbers_in_a_unit_of_factor_one() -> None:
    for dimension in DIMENSIONS:
        symbol = si_symbol(dimension)
        if symbol:
            found = find_unit(symbol, dimension)
            assert found is not None
            assert (found.factor, found.offset) == (1.0, 0.0)


@pytest.mark.parametrize(
    ("spelling", "dimension", "symbol"),
    [
        ("LBS", "mass", "lb"),
        ("lb.", "mass", "lb"),
        ("PSI", "pressure", "psi"),
        ("GPM", "flow", "gpm"),
        ("US gal/min", "flow", "gpm"),
        ("l/min", "flow", "L/min"),
        ("sq. ft.", "area", "ft2"),
        ("cubic yards", "volume", "yd3"),
        ("m³", "volume", "m3"),
        ("m^3", "volume", "m3"),
        ("kg per m3", "density", "kg/m3"),
        ("ft-lb", "torque", "lbf·ft"),
        ("ft.lb", "moment", "lb·ft"),
        ("kg.m", "moment", "kg·m"),
        ("C", "temperature", "°C"),
        ("°F", "temperature", "°F"),
        ('"', "length", "in"),
        ("'", "length", "ft"),
    ],
)
def test_spellings_of_the_trade(spelling: str, dimension: str, symbol: str) -> None:
    found = find_unit(spelling, dimension)
    assert found is not None
    assert found.symbol == symbol


@pytest.mark.parametrize("spelling", ["mpa", "MPA", "Mm", "kG", "S", "H", "furlong", "", "1", "mw"])
def test_what_could_mean_something_else_is_no_unit(spelling: str) -> None:
    assert find_unit(spelling) is None


def test_no_spelling_has_two_meanings_within_reach_of_one_quantity() -> None:
    twice = {"lb·ft", "ft·lb", "lbs·ft", "ft·lbs", "lbft", "ftlb", "ftlbs", "lb·in", "in·lb", "lbs·in", "in·lbs"}
    twice |= {"lbf·ft", "ft·lbf"}
    seen: dict[str, str] = {}
    for dimension, table in BY_DIMENSION.items():
        if dimension in ALSO:
            continue
        for spelling in table:
            if spelling in seen and spelling not in twice:
                raise AssertionError(f"{spelling!r} is of {seen[spelling]} and of {dimension}")
            seen[spelling] = dimension
    assert set(UNITS) == set(seen)
