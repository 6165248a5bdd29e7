"""A loader's linkage guessed from its spec sheet: a class linkage scaled until the sheet's figures are met."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from handfast.physics.linkage import level_path
from handfast.physics.linkage_force import Cylinder, Weights, breakout
from handfast.physics.linkage_plane import Plane
from handfast.physics.linkage_pose import LinkagePoints
from handfast.quantities.arrays import Array
from handfast.quantities.tables import table

PRIOR = 1e-3
MOST_STEPS = 60  # after which a sheet that no linkage meets is met as well as it was
FURTHEST = np.array([0.3, 0.3, 0.3, 0.15, 0.15, 0.4, 0.4, 0.4, 0.3, 0.3])  # of `scaled`: beyond it no loader of a class
TOOL_END = ("tool_pivot", "tilt_base", "tilt_rod", "bellcrank_pivot", "link_bellcrank", "link_tool")
LEVER_END = ("lever_pivot", "level_rod")


class Loader(NamedTuple):
    """A whole linkage: pins, weights, both cylinder sets, relief pressure [Pa] and the flow that lifts [m³/s]."""

    points: LinkagePoints
    weights: Weights
    lift: Cylinder
    tilt: Cylinder
    pressure: float
    flow: float


class Sheet(NamedTuple):
    """Figures of a spec sheet, nan where none: heights, pin x from the rear axle [m], ratings [kg], time [s]."""

    pin_height_max: float = np.nan
    pin_height_down: float = np.nan
    pin_x_down: float = np.nan
    pin_x_level: float = np.nan
    pin_x_up: float = np.nan
    lift_at_pin: float = np.nan
    lift_at_500: float = np.nan
    breakout_at_pin: float = np.nan
    curl_at_500: float = np.nan
    raise_time: float = np.nan


# How near a printed figure is to what the oil and the pins would give (practice): places are measured; ratings are
# rounded and taken with worn pumps; a sheet's time has the valve's throttling in it, so it only ever is a hint.
SPREAD = Sheet(0.01, 0.01, 0.01, 0.01, 0.01, 0.03, 0.03, 0.10, 0.10, 0.40)


class Fitted(NamedTuple):
    """The scaled linkage, what it reaches, and how far that is off the sheet (relative, nan where not asked)."""

    loader: Loader
    reached: Sheet
    residual: Sheet


def class_loader(machine_class: str, kind: str) -> Loader:
    """The reference linkage of a class: invented, typical, never a maker's.

    Args:
        machine_class: subcompact, compact_small, compact_large or utility.
        kind: direct, bellcrank or levelling.

    Returns:
        `Loader` in SI.

    Raises:
        KeyError: no such class or kind.

    Source:
        The table of class linkages.

    >>> round(float(class_loader("compact_large", "direct").points.arm_pivot.imag), 3)
    1.42
    """
    rows = [r for r in table("class_linkages.csv") if (r["class"], r["kind"]) == (machine_class, kind)]
    value = {row["quantity"]: float(row["value"]) for row in rows}

    def at(name: str) -> Plane:
        return np.asarray(complex(value[f"{name}.x"], value[f"{name}.z"]))

    points = LinkagePoints(**{n: at(n) for n in LinkagePoints._fields if f"{n}.x" in value})
    lift, tilt = (Cylinder(*(value[f"{side}.{f}"] for f in Cylinder._fields)) for side in ("lift", "tilt"))
    weights = Weights(value["arm.mass"], at("arm.cg"), value["quick_attach.mass"], at("quick_attach.cg"))
    return Loader(points, weights, lift, tilt, value["relief_pressure"], value["flow"])


def sheet_of(loader: Loader) -> Sheet:
    """The figures that a sheet of this linkage would print, its weights counted.

    Args:
        loader: the whole linkage.

    Returns:
        `Sheet`: heights and reach [m], ratings with the tool level [kg], time [s].

    Source:
        Level path at both ends of the lift stroke; breakout with the arms down.

    >>> round(sheet_of(class_loader("compact_large", "direct")).pin_height_max, 2)
    2.74
    """
    points, pivot = loader.points, loader.points.arm_pivot
    ends = np.array([loader.lift.retracted, loader.lift.extended], float)
    held = (points, loader.weights, loader.lift, loader.tilt, loader.pressure)
    at_pin, at_500 = (level_path(*held, np.asarray(ahead + 0j), ends) for ahead in (0.0, 0.5))
    low = breakout(*held, ends[0])
    arm = points.arm_pivot + np.abs(points.tool_pivot - pivot)
    swept = float(np.pi / 4 * np.asarray(loader.lift.bore) ** 2 * np.asarray(loader.lift.number) * (ends[1] - ends[0]))
    return Sheet(
        float(at_pin.pin_z[1]),
        float(at_pin.pin_z[0]),
        float(at_pin.pin_x[0]),
        float(arm.real),
        float(at_pin.pin_x[1]),
        float(at_pin.lift_limited[1]),
        float(at_500.lift_limited[1]),
        float(low.at_pin),
        float(low.curl_at_500),
        swept / loader.flow,
    )


def scaled(loader: Loader, by: Array) -> Loader:
    """A linkage stretched by ten small numbers, all 0 = unchanged.

    Args:
        loader: the linkage to start from.
        by: shape (10,): pivot x and z, arm length, lift base x and z, lift rod radius (all in arm lengths or their
            logarithm), turn of the arms down and up [rad], logarithms of lift and tilt bore.

    Returns:
        `Loader` whose lift stroke spans those turns.

    Source:
        Own parametrisation: every pin of the tool end moves along with the tool pivot.

    >>> same = scaled(class_loader("utility", "direct"), np.zeros(10))
    >>> abs(float(same.lift.retracted) - float(class_loader("utility", "direct").lift.retracted)) < 1e-3
    True
    """
    old, pivot = loader.points, loader.points.arm_pivot
    arm = old.tool_pivot - pivot
    long = np.abs(arm)
    moved = np.asarray(long * complex(by[0], by[1]))
    tool = moved + arm * np.expm1(by[2])
    pins = {name: place + moved for name, place in old._asdict().items() if place is not None}
    pins |= {n: getattr(old, n) + tool for n in (*TOOL_END, *LEVER_END) if n in pins}
    pins["lift_base"] = pins["lift_base"] + long * complex(by[3], by[4])
    pins["lift_rod"] = pins["arm_pivot"] + (old.lift_rod - pivot) * np.exp(by[5])
    points = LinkagePoints(**pins)
    low, high = _ends(loader, by[6]), _ends(loader, by[7], raised=True)
    swung = (points.lift_rod - points.arm_pivot) * np.exp(1j * np.array([low, high]))
    ends = np.abs(points.arm_pivot + swung - points.lift_base)
    lift = loader.lift._replace(bore=loader.lift.bore * np.exp(by[8]), rod=loader.lift.rod * np.exp(by[8]))
    lift = lift._replace(retracted=ends[0], extended=ends[1])
    tilt = loader.tilt._replace(bore=loader.tilt.bore * np.exp(by[9]), rod=loader.tilt.rod * np.exp(by[9]))
    centre = pins["arm_pivot"] + (loader.weights.arm_cg - pivot) * np.exp(by[2])
    return loader._replace(points=points, weights=loader.weights._replace(arm_cg=centre), lift=lift, tilt=tilt)


def fit(loader: Loader, sheet: Sheet) -> Fitted:
    """Scale a class linkage so that it meets the figures of a spec sheet in least squares.

    Args:
        loader: where to start, `class_loader`, with the weights, pressure and flow of the machine where known.
        sheet: the figures to meet; nan where the sheet has none, at least one known.

    Returns:
        `Fitted`; a computed linkage, to draw with and to reach with: its residuals stand beside it.

    Raises:
        ValueError: the sheet holds no figure.

    Source:
        Least squares on relative deviations, each by how near its figure is held to be (practice), with a weak
        pull towards the class linkage.

    >>> start = class_loader("compact_large", "direct")
    >>> found = fit(start, Sheet(pin_height_max=2.6, lift_at_pin=900.0))
    >>> bool(abs(found.residual.pin_height_max) < 1e-3), bool(abs(found.residual.lift_at_pin) < 1e-3)
    (True, True)
    """
    from scipy.optimize import least_squares

    wanted = np.array(sheet, float)
    known = np.isfinite(wanted)
    weight = min(SPREAD) / np.array(SPREAD)[known]
    if not known.any():
        raise ValueError("a sheet without a figure gives no linkage")

    def misses(by: Array) -> Array:
        off = np.array(sheet_of(scaled(loader, by)), float)[known] / wanted[known] - 1.0
        return np.concatenate([weight * np.nan_to_num(off, nan=1.0), PRIOR * by])

    solved = least_squares(
        misses, np.zeros(10), bounds=(-FURTHEST, FURTHEST), x_scale=0.1, ftol=1e-6, xtol=1e-6, max_nfev=MOST_STEPS
    )
    best = scaled(loader, np.asarray(solved.x, float))
    reached = sheet_of(best)
    residual = np.where(known, np.array(reached, float) / wanted - 1.0, np.nan)
    return Fitted(best, reached, Sheet(*(float(v) for v in residual)))


def _ends(loader: Loader, more: float, raised: bool = False) -> float:
    """Turn of the arms from the reference pose at an end of the class linkage's lift stroke, and a little more."""
    points = loader.points
    length = loader.lift.extended if raised else loader.lift.retracted
    crank, line = points.lift_rod - points.arm_pivot, points.lift_base - points.arm_pivot
    cosine = (np.abs(crank) ** 2 + np.abs(line) ** 2 - np.asarray(length, float) ** 2) / (
        2 * np.abs(crank) * np.abs(line)
    )
    hand = np.sign((line.conj() * crank).imag)
    return float(np.angle(line * np.exp(1j * hand * np.arccos(cosine)) / crank)) + float(more)
