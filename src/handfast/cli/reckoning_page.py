"""The result of one chapter as a page of text: what is single first, then each list as a table."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from handfast.cli.page import columns, figure, heading
from handfast.quantities.showing import show, show_number
from handfast.quantities.units import to_si

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
STEEPEST = 1.55  # rad: beyond it per cent say nothing


def reckoning_page(result: dict[str, Any], units: str) -> str:
    """A result of `reckon` as text."""
    return "\n".join(_lines(result, units, "")).lstrip("\n") + "\n"


def _lines(result: dict[str, Any], units: str, above: str) -> Iterator[str]:
    shown = {name: value for name, value in result.items() if name != "units" and value not in ([], {})}
    single = {name: value for name, value in shown.items() if not _is_table(value) and not isinstance(value, dict)}
    single = _once(single)
    yield from columns([[_words(name), _cell(name, value, units)] for name, value in single.items()])
    for name, value in shown.items():
        title = f"{above}{_words(name)}"
        if isinstance(value, dict):
            yield from heading(title)
            yield from _lines(value, units, f"{title} ")
        elif _is_table(value):
            yield from heading(title)
            yield from _table(value, units, f"{title} ")


def _table(rows: list[dict[str, Any]], units: str, above: str) -> Iterator[str]:
    if any(_is_table(value) for row in rows for value in row.values()):
        for number, row in enumerate(rows, 1):
            yield from [""] * (number > 1)
            yield from _lines(row, units, f"{above}{number}: ")
        return
    flat = [_once(_flat(row)) for row in rows]
    names = [name for name in dict.fromkeys(name for row in flat for name in row) if name != "unit"]
    body = [[_cell(name, row.get(name), units, str(row.get("unit", ""))) for name in names] for row in flat]
    yield from columns([[_words(name) for name in names], *body], right=range(len(names)))


def _flat(row: dict[str, Any]) -> dict[str, Any]:
    """A row whose nested groups stand beside one another: `close.time`."""
    flat: dict[str, Any] = {}
    for name, value in row.items():
        if isinstance(value, dict):
            flat.update({f"{name}.{inner}": one for inner, one in _flat(value).items()})
        else:
            flat[name] = value
    return flat


def _once(row: dict[str, Any]) -> dict[str, Any]:
    """A row without what another of its cells says too."""
    return {name: value for name, value in row.items() if BESIDE.get(name) not in row}


def _cell(name: str, value: Any, units: str, row_unit: str = "") -> str:
    if value is None:
        return "none"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, dict):
        return ", ".join(f"{_words(inner)} {_cell(inner, one, units)}" for inner, one in value.items())
    if isinstance(value, list):
        return ", ".join(_cell(name, one, units) for one in value) or "none"
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


def _words(name: str) -> str:
    return CALLED.get(name) or name.replace("_", " ").replace(".", " ")


def _is_table(value: Any) -> bool:
    return isinstance(value, list) and bool(value) and all(isinstance(row, dict) for row in value)
