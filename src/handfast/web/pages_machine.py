"""A tractor of the shelf: the linkage that the sheet points to, and what a measured one says beside it."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from handfast.machines.tractor import Machine
from handfast.physics.linkage_fit import Sheet, sheet_of
from handfast.quantities.showing import show
from handfast.reckoning.fitted import as_rated, both, figures, fit_gaps, guess
from handfast.reckoning.lift import linkage_gaps, linkage_of
from handfast.reckoning.linkage import notes

NAMES = {
    "pin_height_max": "Pins at full height",
    "pin_height_down": "Pins, arms down",
    "pin_x_down": "Pins ahead of the rear axle, arms down",
    "pin_x_level": "The same, pins level with the arm pivot",
    "pin_x_up": "The same, full height",
    "lift_at_pin": "Lift at the pins, full height",
    "lift_at_500": "Lift 500 mm ahead, full height",
    "breakout_at_pin": "Breakout at the pins",
    "curl_at_500": "Breakout by curling, 500 mm ahead",
    "raise_time": "Time to raise",
}
WORDS = {"pinned": "four pins", "direct": "tilt cylinder straight to the tool plate", "levelling": "self-levelling"}


@dataclass(frozen=True)
class FitRow:
    """A figure of the sheet, what the computed and the measured linkage give, and how far off each is."""

    name: str
    sheet: str
    computed: str
    computed_off: str
    measured: str = ""
    measured_off: str = ""


@dataclass(frozen=True)
class HeightRow:
    """At a pin height: sheet alone, measured linkage and the difference, at the pins and 500 mm ahead."""

    height: str
    cells: tuple[str, ...]


@dataclass(frozen=True)
class LinkagePart:
    """Everything said of a machine's linkage."""

    kind: str
    rows: tuple[FitRow, ...]
    heights: tuple[HeightRow, ...]
    notes: tuple[str, ...]
    measured: bool


@lru_cache(maxsize=256)
def _linkage(record: str, system: str) -> LinkagePart | None:
    """By the record's text: a fit takes long enough to be kept, whatever else on the shelf is changed."""
    machine = Machine.model_validate_json(record)
    if any(True for _ in fit_gaps(machine)):
        return None
    made = guess(machine)
    own = machine.loader.linkage is not None and not any(True for _ in linkage_gaps(machine))
    measured = sheet_of(as_rated(linkage_of(machine), machine.loader)) if own else None
    return LinkagePart(
        WORDS.get(made.kind, made.kind),
        tuple(_rows(figures(made.asked, made.found), made.asked, measured, system)),
        tuple(_height(row, system) for row in both(machine)),
        tuple(notes(made)),
        own,
    )


def _rows(computed: list[dict[str, object]], asked: Sheet, measured: Sheet | None, system: str) -> list[FitRow]:
    beside = {row["figure"]: row for row in figures(asked, measured)} if measured is not None else {}
    found = []
    for row in computed:
        name = str(row["figure"])
        sheet, reached = (_figure(row[part], str(row["unit"]), system) for part in ("sheet", "reached"))
        other = beside.get(name)
        more = ("", "") if other is None else (_figure(other["reached"], str(row["unit"]), system), _off(other))
        found.append(FitRow(NAMES[name], sheet, reached, _off(row), *more))
    return found


def _figure(value: object, unit: str, system: str) -> str:
    if not isinstance(value, float):
        return "none"
    return show(value, {"kg": "mass", "m": "length", "s": "time"}[unit], system)


def _off(row: dict[str, object]) -> str:
    """A residual in words: nothing, or so many per cent more or less than the sheet."""
    residual = row["residual"]
    if not isinstance(residual, float):
        return ""
    return "met" if abs(residual) < 0.0005 else f"{100 * abs(residual):.1f} % {'more' if residual > 0 else 'less'}"


def _height(row: dict[str, float | None], system: str) -> HeightRow:
    parts = ("sheet", "linkage", "difference")
    values = [row[f"{at}_{part}"] for at in ("at_pin", "at_500") for part in parts]
    cells = ("not known" if value is None else show(value, "mass", system) for value in values)
    return HeightRow(_figure(row["pin_z"], "m", system), tuple(cells))


def linkage_part(record: Machine, system: str) -> LinkagePart | None:
    """What the sheet and measured pins say of a machine's linkage; None where there is nothing to compute from.

    Args:
        record: the machine.
        system: us or metric.

    Returns:
        The part of its page.
    """
    own = record.model_copy(update={"id": "", "name": "", "notes": "", "serial": ""})
    return _linkage(own.model_dump_json(exclude_defaults=True), system)
