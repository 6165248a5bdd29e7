"""A linkage fitted to a machine's spec sheet, and sheet and measured linkage beside one another."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, NamedTuple

import numpy as np

from handfast.machines.fields import Contradiction
from handfast.machines.loader import Loader as LoaderRecord
from handfast.machines.tractor import Machine
from handfast.physics.lift import capacity, pivot_from_sheet, rating_at_height, rating_slope
from handfast.physics.linkage import level_path, stroke
from handfast.physics.linkage_fit import Fitted, Loader, Sheet, class_loader, fit
from handfast.physics.linkage_force import lump
from handfast.physics.linkage_pose import places, pose, reference_lengths, tilt_for_angle
from handfast.quantities.arrays import ArrayLike
from handfast.quantities.estimate import Estimate
from handfast.reckoning.lift import linkage_gaps, linkage_of
from handfast.reckoning.needs import plain_number

CLASSES = "subcompact, compact_small, compact_large or utility"
UNIT = {"raise_time": "s"} | dict.fromkeys(("lift_at_pin", "lift_at_500", "breakout_at_pin", "curl_at_500"), "kg")
ROWS = 7


class Guess(NamedTuple):
    """A linkage computed from a sheet, and what was taken for want of a figure."""

    machine_class: str
    kind: str
    asked: Sheet
    found: Fitted
    taken: tuple[str, ...]

    @property
    def off(self) -> tuple[str, float]:
        """The figure that is missed by most, and by how much of itself."""
        misses = {n: v for n, v in self.found.residual._asdict().items() if not np.isnan(v)}
        worst = max(misses, key=lambda name: abs(misses[name]))
        return worst, misses[worst]


def fit_gaps(machine: Machine) -> Iterator[Contradiction]:
    """What a machine's record lacks for a linkage to be fitted to its sheet.

    Args:
        machine: the record.

    Returns:
        One contradiction for each.

    >>> [each.place for each in fit_gaps(Machine())]
    ['machine.class', 'machine.loader.pin_height_max']
    """
    if machine.class_ is None:
        yield Contradiction("machine.class", "nothing", CLASSES)
    if machine.wheelbase.is_unknown and not all(e.is_unknown for e in _reaches(machine.loader)):
        yield Contradiction("machine.wheelbase", "nothing", "a length such as 55 in, since pin_ahead counts from it")
    if not np.isfinite(np.array(printed(machine))).any():
        yield Contradiction("machine.loader.pin_height_max", "nothing", "at least one figure of the loader's sheet")


def _reaches(loader: LoaderRecord) -> tuple[Estimate, ...]:
    return loader.pin_ahead.down, loader.pin_ahead.level, loader.pin_ahead.up


def printed(machine: Machine) -> Sheet:
    """The figures of a machine's sheet that a linkage can be fitted to, nan where there is none.

    Args:
        machine: the record.

    Returns:
        `Sheet` in SI.

    >>> printed(Machine(loader={"lift_at_pin": "900 kg"})).lift_at_pin
    900.0
    """
    loader = machine.loader
    base = machine.wheelbase.value
    down, level, up = (base + each.value for each in _reaches(loader))
    rest = (getattr(loader, name).value for name in Sheet._fields[5:])
    return Sheet(loader.pin_height_max.value, loader.pin_height_down.value, down, level, up, *rest)


def guess(machine: Machine, kind: str | None = None) -> Guess:
    """The linkage that a machine's sheet points to: a class linkage scaled until it meets the figures.

    Args:
        machine: one of which `fit_gaps` finds nothing missing.
        kind: direct, bellcrank or levelling; by default levelling where the record says so, else direct.

    Returns:
        `Guess`; computed, to draw and to reach with.

    Source: `physics.linkage_fit.fit`; a sheet cannot tell a bellcrank from a tilt cylinder straight to the tool.

    >>> made = guess(Machine(**{"class": "utility"}, loader={"pin_height_max": "3.2 m", "lift_at_pin": "1500 kg"}))
    >>> made.kind, bool(abs(made.off[1]) < 1e-3)
    ('direct', True)
    """
    kind = kind or ("levelling" if machine.loader.self_levelling else "direct")
    start, taken = _started(machine, class_loader(str(machine.class_), kind))
    asked = printed(machine)
    return Guess(str(machine.class_), kind, asked, fit(start, asked), taken)


def _started(machine: Machine, start: Loader) -> tuple[Loader, tuple[str, ...]]:
    """The class linkage with the machine's own weights, pressure and flow, and what stayed the class's."""
    loader, taken = machine.loader, []
    arms, flow = loader.arms_mass.value, machine.implement_flow.value
    flow = machine.pump_flow.value - np.nan_to_num(machine.steering_flow.value) if np.isnan(flow) else flow
    pressure = np.fmin(machine.relief_pressure.value, machine.port_relief.value)
    if np.isnan(arms):
        taken.append("arms_mass")
    if np.isnan(flow):
        taken.append("pump_flow")
    if np.isnan(pressure):
        taken.append("relief_pressure")
    weights = start.weights if np.isnan(arms) else start.weights._replace(arm_mass=arms)
    started = start._replace(
        weights=weights,
        flow=start.flow if np.isnan(flow) else float(flow),
        pressure=start.pressure if np.isnan(pressure) else float(pressure),
    )
    return as_rated(started, loader), tuple(taken)


def as_rated(made: Loader, loader: LoaderRecord) -> Loader:
    """A linkage with those masses on the tool plate that the printed ratings contain.

    Args:
        made: the linkage.
        loader: the record, which says what the ratings contain.

    Returns:
        The linkage; nothing hangs on it where the ratings are with nothing.

    >>> bare = as_rated(class_loader("utility", "direct"), LoaderRecord(ratings_with="nothing"))
    >>> float(bare.weights.tool_mass)
    0.0
    """
    if loader.ratings_with in (None, "nothing"):
        return made._replace(weights=made.weights._replace(tool_mass=0.0, tool_cg=np.asarray(0j)))
    quick = loader.quick_attach_mass.value
    own = made.weights.tool_mass if np.isnan(quick) else quick
    masses, places = [_plain(own)], [complex(made.weights.tool_cg)]
    if loader.ratings_with == "bucket" and not loader.ratings_with_mass.is_unknown:
        ahead = loader.ratings_with_ahead.value
        masses.append(loader.ratings_with_mass.value)
        places.append(complex(0.0 if np.isnan(ahead) else ahead))
    total, middle = lump(masses, np.array(places))
    return made._replace(weights=made.weights._replace(tool_mass=total, tool_cg=middle))


def both(machine: Machine, rows: int = ROWS) -> list[dict[str, float | None]]:
    """What the sheet alone and the measured linkage answer at the same pin heights, masses that the ratings contain on.

    Args:
        machine: with ratings and a whole linkage.
        rows: pin heights, from the arms down to full height.

    Returns:
        Rows of pin height [m]; sheet, linkage and their difference at the pin and 500 mm ahead [kg].

    >>> both(Machine())
    []
    """
    if machine.loader.linkage is None or any(True for _ in linkage_gaps(machine)):
        return []
    made, loader = as_rated(linkage_of(machine), machine.loader), machine.loader
    lengths = stroke(made.lift, rows)
    held = (made.points, made.weights, made.lift, made.tilt, made.pressure)
    pin = pose(made.points, lengths, reference_lengths(made.points)[1]).pin
    slope = np.where(bool(loader.self_levelling), 0.0, rating_slope(loader.lift_at_pin.value, loader.lift_at_500.value))
    down, level, up = (each.value for each in _reaches(loader))
    top, lowest, base = loader.pin_height_max.value, loader.pin_height_down.value, machine.wheelbase.value
    pivot = pivot_from_sheet(slope, down, level, up, top, lowest, base, bool(loader.self_levelling))
    low = (loader.lift_at_pin_1500.value, loader.lift_at_500_1500.value)
    rated, fall = rating_at_height(loader.lift_at_pin.value, slope, *low, pin.imag, pivot, top)
    found = []
    for ahead in (0.0, 0.5):
        by_pins = level_path(*held, np.asarray(ahead + 0j), lengths).lift_limited
        found.append((capacity(rated, fall, ahead), by_pins))
    return [_beside(float(pin.imag[k]), [(s[k], p[k]) for s, p in found]) for k in range(rows)]


def _beside(height: float, pairs: list[tuple[float, float]]) -> dict[str, float | None]:
    row: dict[str, float | None] = {"pin_z": height}
    for name, (by_sheet, by_pins) in zip(("at_pin", "at_500"), pairs, strict=True):
        row |= {
            f"{name}_sheet": plain_number(float(by_sheet)),
            f"{name}_linkage": plain_number(float(by_pins)),
            f"{name}_difference": plain_number(float(by_pins - by_sheet)),
        }
    return row


def figures(asked: Sheet, found: Fitted | Sheet) -> list[dict[str, Any]]:
    """Each figure of the sheet beside what a linkage gives, and how far off that is.

    Args:
        asked: the sheet.
        found: what was fitted, or the figures of a measured linkage.

    Returns:
        Rows of figure, sheet, reached and residual (share of the sheet's); SI.

    >>> figures(Sheet(lift_at_pin=900.0), Sheet(lift_at_pin=909.0))[0]["residual"]
    0.01
    """
    reached = found if isinstance(found, Sheet) else found.reached
    rows = []
    for name, want, got in zip(Sheet._fields, asked, reached, strict=True):
        if not np.isnan(want):
            off = plain_number(round(got / want - 1.0, 9))
            unit = UNIT.get(name, "m")
            rows.append({"figure": name, "sheet": want, "reached": plain_number(got), "residual": off, "unit": unit})
    return rows


def record_of(made: Loader) -> dict[str, Any]:
    """A linkage as the entries of `machine.loader.linkage`, so that another file can hold it.

    Args:
        made: the linkage.

    Returns:
        pins in the middle of the lift with the tool level, lift, tilt and arm; SI.

    >>> record_of(class_loader("utility", "direct"))["lift"]["count"]
    2
    """
    made = _within_stroke(made)
    pins = {n: [float(p.real), float(p.imag)] for n, p in made.points._asdict().items() if p is not None}
    sides = {
        side: {
            "bore": _plain(one.bore),
            "rod": _plain(one.rod),
            "count": round(_plain(one.number)),
            "retracted": _plain(one.retracted),
            "extended": _plain(one.extended),
        }
        for side, one in (("lift", made.lift), ("tilt", made.tilt))
    }
    centre = complex(made.weights.arm_cg)
    return {"pins": pins, **sides, "arm": {"mass": _plain(made.weights.arm_mass), "cg": [centre.real, centre.imag]}}


def _within_stroke(made: Loader) -> Loader:
    """The same linkage with its pins given in the middle of its lift, tool level: a pose that it can stand in."""
    length = stroke(made.lift, 3)[1]
    level = tilt_for_angle(made.points, length, 0.0, made.tilt.retracted, made.tilt.extended)
    at = pose(made.points, length, level)
    if np.isnan(level):
        return made
    moved = places(made.points, at)
    points = made.points._replace(**{n: moved[n] for n in made.points._fields if n in moved})
    centre = made.points.arm_pivot + (made.weights.arm_cg - made.points.arm_pivot) * at.arm
    return made._replace(points=points, weights=made.weights._replace(arm_cg=centre))


def _plain(value: ArrayLike) -> float:
    return float(np.asarray(value, dtype=np.float64))
