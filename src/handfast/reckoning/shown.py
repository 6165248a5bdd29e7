"""A result of one chapter in words: what a name is measured in, cells with their units, rows laid flat."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

from handfast.quantities.showing import show, show_number
from handfast.quantities.units import to_si

# The unit that stands beside a figure in the results, and the dimension it is shown in.
DIMENSIONS = {
    "kg": "mass",
    "m": "length",
    "m²": "area",
    "m³": "volume",
    "rad": "angle",
    "N": "force",
    "Pa": "pressure",
    "m³/s": "flow",
    "m²/s": "viscosity",
    "kg/m³": "density",
    "W": "power",
    "A": "current",
    "V": "voltage",
    "share": "share",
    "kg·m": "moment",
    "kg.m": "moment",
    "N.m": "torque",
}

# What a name in a result is measured in; a name that is not here is a plain number or word.
UNITS = {
    "kg": "front_axle rear_axle counterweight tipping_load capacity lift_limited curl_limited mass rated useful at_pin "
    "at_500 curl_at_500 at_pin_sheet at_pin_linkage at_pin_difference at_500_sheet at_500_linkage at_500_difference",
    "m": "opening_tip opening_throat largest smallest diameter hitch_behind bore",
    "m fine": "pin_x pin_z lift_length tilt_length length cg rod retracted extended arm_pivot lift_base lift_rod "
    "tool_pivot tilt_base tilt_rod bellcrank_pivot link_bellcrank link_tool level_chassis level_rod lever_pivot",
    "rad": "heading lid_angle",
    "slope": "angle front_line rear_line right left",
    "N": "contact_force slip_load slip_along weight push pull tip_force stall_force stall_force_close "
    "stall_force_open force",
    "Pa": "supply_drop return_drop pump_pressure blocked_rod_pressure pressure",
    "m³/s": "supply_flow return_flow",
    "m²/s": "viscosity",
    "m/s": "velocities velocity limit",
    "s": "time",
    "A": "current fuse ampacity",
    "V": "drop at_motor",
    "°C": "temperature",
    "W": "heat",
    "kg/m³": "density",
    "share": "residual furthest_off_by asked_share rear_share drop_share probability braking",
    "money": "cost price total joint_cost",
    "money/kg": "price_per_useful",
}
UNIT_OF = {name: unit for unit, names in UNITS.items() for name in names.split()}
CALLED = {
    "at_pin": "at the pin",
    "at_500": "500 mm ahead",
    "curl_at_500": "by curling, 500 mm ahead",
    "measured": "the measured linkage beside the sheet",
    "both": "lift over height: sheet alone, measured linkage, difference",
    "linkage": "the computed linkage",
    "pin_z": "pin height",
    "at_pin_sheet": "pin: sheet",
    "at_pin_linkage": "linkage",
    "at_pin_difference": "more",
    "at_500_sheet": "500 mm: sheet",
    "at_500_linkage": "linkage",
    "at_500_difference": "more",
}
BESIDE = {"percent": "angle"}  # said again by another cell of the same row
WIDEST = 9  # columns of a table on a page; a wider one is turned
STEEPEST = 1.55  # rad: beyond it per cent say nothing


def figure(value: float, unit: str, units: str) -> str:
    """A figure in the units asked for."""
    if unit in ("s", ""):
        return f"{value:.3g} {unit}".strip()
    dimension = DIMENSIONS.get(unit)
    return show(value, dimension, units) if dimension else f"{value:.4g} {unit}"


def flat(row: dict[str, Any]) -> dict[str, Any]:
    """A row whose nested groups stand beside one another: `close.time`."""
    laid: dict[str, Any] = {}
    for name, value in row.items():
        if isinstance(value, dict):
            laid.update({f"{name}.{inner}": one for inner, one in flat(value).items()})
        else:
            laid[name] = value
    return laid


def once(row: dict[str, Any]) -> dict[str, Any]:
    """A row without what another of its cells says too."""
    return {name: value for name, value in row.items() if BESIDE.get(name) not in row}


def cell(name: str, value: Any, units: str, row_unit: str = "") -> str:
    """What stands in a result under a name, with its unit."""
    if value is None:
        return "none"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, dict):
        return ", ".join(f"{words(inner)} {cell(inner, one, units)}" for inner, one in value.items())
    if isinstance(value, list):
        return ", ".join(cell(name, one, units) for one in value) or "none"
    if isinstance(value, int | float):
        return _number(value, _unit(name.rpartition(".")[2], value, row_unit), units)
    return str(value).replace("_", " ") if name in ("why", "figure", "furthest_off") else str(value)


def _unit(name: str, value: float, row_unit: str) -> str:
    """The name's own unit; in a row that says its unit, that of its figures, counts apart."""
    if row_unit and not isinstance(value, int) and UNIT_OF.get(name, "kg") == "kg":
        return row_unit
    return UNIT_OF.get(name, "")


def _number(value: float, unit: str, units: str) -> str:
    if unit == "slope":
        both = f" ({show(value, 'slope')})" if value < STEEPEST else ""
        return show(value, "angle") + both
    if unit == "m fine":
        return show(value, "length", units, 1 if units == "us" else None)
    if unit == "money":
        return show_number(value, 2)
    if unit == "money/kg":
        each = "lb" if units == "us" else "kg"
        return f"{show_number(value * to_si(1.0, each), 2)} per {each}"
    return figure(value, unit, units)


def words(name: str) -> str:
    """A name in words."""
    return CALLED.get(name) or name.replace("_", " ").replace(".", " ")


def is_table(value: Any) -> bool:
    """Whether a value is a list of rows."""
    return isinstance(value, list) and bool(value) and all(isinstance(row, dict) for row in value)


@dataclass(frozen=True)
class Block:
    """A part of a result: its title, single figures by name, or a table."""

    title: str
    single: tuple[tuple[str, str], ...]
    heads: tuple[str, ...] = ()
    rows: tuple[tuple[str, ...], ...] = ()
    deep: bool = False  # what one row of a table holds in a table of its own


def blocks(result: dict[str, Any], units: str, above: str = "") -> Iterator[Block]:
    """A result in parts, what is single first, then each list as a table.

    >>> next(blocks({"cost": 380.0, "units": {}}, "us")).single
    (('cost', '380.00'),)
    """
    shown = {name: value for name, value in result.items() if name != "units" and value not in ([], {})}
    single = once({n: v for n, v in shown.items() if not is_table(v) and not isinstance(v, dict)})
    if single:
        yield Block(above.strip(), tuple((words(name), cell(name, value, units)) for name, value in single.items()))
    for name, value in shown.items():
        title = f"{above}{words(name)}"
        if isinstance(value, dict):
            yield from blocks(value, units, f"{title} ")
        elif is_table(value):
            yield from _table(value, units, title)


def _table(rows: list[dict[str, Any]], units: str, title: str) -> Iterator[Block]:
    tables = [{name: value for name, value in row.items() if is_table(value)} for row in rows]
    laid = [once(flat({n: v for n, v in row.items() if not is_table(v) and v != []})) for row in rows]
    names = [name for name in dict.fromkeys(name for row in laid for name in row) if name != "unit"]
    body = [[cell(name, row.get(name), units, str(row.get("unit", ""))) for name in names] for row in laid]
    heads = [words(name) for name in names]
    if len(names) > WIDEST and len(rows) > 1:  # each row becomes a column, under its first figure
        turned = zip(heads[1:], *(row[1:] for row in body), strict=True)
        yield Block(title, (), (heads[0], *(row[0] for row in body)), tuple(tuple(row) for row in turned))
    elif any(tables):
        yield from (Block(title, tuple(zip(heads, row, strict=True))) for row in body)
    else:
        yield Block(title, (), tuple(heads), tuple(tuple(row) for row in body))
    for row, inner in zip(body, tables, strict=True):
        for name, value in inner.items():
            deeper = _table(value, units, f"{words(name)}, {heads[0]} {row[0]}")
            yield from (replace(one, deep=len(rows) > 1) for one in deeper)
