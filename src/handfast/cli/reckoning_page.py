"""The result of one chapter as a page of text: what is single first, then each list as a table."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from handfast.cli.page import columns, figure, heading

# What a name in a result is measured in; a name that is not here is a plain number or word.
UNITS = {
    "kg": "front_axle rear_axle counterweight tipping_load capacity lift_limited curl_limited mass rated",
    "m": "pin_x pin_z lift_length tilt_length opening_tip opening_throat largest diameter slip_along length cg "
    "hitch_behind bore",
    "rad": "angle heading lid_angle",
    "N": "contact_force slip_load stall_force stall_force_close stall_force_open force",
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
    "share": "asked_share rear_share drop_share probability",
}
UNIT_OF = {name: unit for unit, names in UNITS.items() for name in names.split()}


def reckoning_page(result: dict[str, Any], units: str) -> str:
    """A result of `reckon` as text."""
    return "\n".join(_lines(result, units, "")).lstrip("\n") + "\n"


def _lines(result: dict[str, Any], units: str, above: str) -> Iterator[str]:
    shown = {name: value for name, value in result.items() if name != "units" and value not in ([], {})}
    single = {name: value for name, value in shown.items() if not _is_table(value) and not isinstance(value, dict)}
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
    flat = [_flat(row) for row in rows]
    names = list(dict.fromkeys(name for row in flat for name in row))
    body = [[_cell(name, row.get(name), units) for name in names] for row in flat]
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


def _cell(name: str, value: Any, units: str) -> str:
    if value is None:
        return "none"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, dict):
        return ", ".join(f"{_words(inner)} {_cell(inner, one, units)}" for inner, one in value.items())
    if isinstance(value, list):
        return ", ".join(_cell(name, one, units) for one in value) or "none"
    if isinstance(value, int | float):
        return figure(value, UNIT_OF.get(name.rpartition(".")[2], ""), units)
    return str(value)


def _words(name: str) -> str:
    return name.replace("_", " ").replace(".", " ")


def _is_table(value: Any) -> bool:
    return isinstance(value, list) and bool(value) and all(isinstance(row, dict) for row in value)
