"""One circuit from pump to cylinder and back: how fast the piston goes and what the pump feels."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from handfast.physics.hydraulics import (
    LAMINAR_BELOW,
    bore_area,
    fitting_drop,
    hose_drop,
    rated_point_drop,
    reynolds_number,
    rod_side_area,
)
from handfast.quantities.arrays import Array, ArrayLike

Flags = NDArray[np.bool_]

HALVINGS = 60
"""Bisection steps: the flow is found to the last digit of a double."""
ROUNDING = 1e-12
"""What a flow found in closed form is taken lower by, so that it stays below relief."""


@dataclass(frozen=True, slots=True)
class Hose:
    """A straight smooth bore, hose or hard line: bore [m] and length [m]."""

    bore: ArrayLike
    length: ArrayLike


@dataclass(frozen=True, slots=True)
class RatedPoint:
    """Couplers or valves known by their drop [Pa] at one flow [m³/s], so many in a row."""

    rated_flow: ArrayLike
    rated_drop: ArrayLike
    count: ArrayLike = 1.0


@dataclass(frozen=True, slots=True)
class Fitting:
    """Fittings of a bore [m] with a loss coefficient, so many in a row."""

    bore: ArrayLike
    k: ArrayLike
    count: ArrayLike = 1.0


Element = Hose | RatedPoint | Fitting
Line = Sequence[Element]


class Stroke(NamedTuple):
    """One stroke: flows [m³/s], drops [Pa], pressure at the pump [Pa], relief open or not, time [s] (nan: stalled)."""

    supply_flow: Array
    return_flow: Array
    supply_drop: Array
    return_drop: Array
    pump_pressure: Array
    relief_open: Flags
    time: Array


def line_drop(flow: ArrayLike, line: Line, viscosity: ArrayLike, density: ArrayLike) -> Array:
    """Pressure lost over a line of hoses, couplers and fittings in a row.

    Args:
        flow: Flow [m³/s], any shape, not negative.
        line: The elements in a row; their entries broadcast with the flow.
        viscosity: Kinematic viscosity [m²/s], broadcasts.
        density: Density [kg/m³], broadcasts.

    Returns:
        Pressure loss [Pa], broadcast shape.

    Source: losses in a row add.

    >>> round(float(line_drop(2e-4, [Hose(0.01, 2.0), RatedPoint(4e-4, 1e5)], 46e-6, 860.0)))
    89473
    """
    total = np.zeros(np.broadcast(np.asarray(flow), np.asarray(viscosity), np.asarray(density)).shape)
    for element in line:
        total = total + _element_drop(flow, element, viscosity, density)
    return np.asarray(total)


def _element_drop(flow: ArrayLike, element: Element, viscosity: ArrayLike, density: ArrayLike) -> Array:
    if isinstance(element, Hose):
        return hose_drop(flow, element.bore, element.length, viscosity, density)
    if isinstance(element, Fitting):
        return fitting_drop(flow, element.bore, element.k, element.count, density)
    return rated_point_drop(flow, element.rated_flow, element.rated_drop, element.count)


def _entries(element: Element) -> tuple[ArrayLike, ...]:
    return tuple(getattr(element, name) for name in element.__slots__)


class _Case(NamedTuple):
    """What a stroke is reckoned from: driven and other area of all cylinders, load, lines, fluid."""

    driven: Array
    other: Array
    load: Array
    supply: Line
    back: Line
    viscosity: Array
    density: Array

    def drops(self, flow: Array) -> tuple[Array, Array]:
        """Losses out to the cylinder and back from it."""
        out = line_drop(flow, self.supply, self.viscosity, self.density)
        return out, line_drop(flow * self.other / self.driven, self.back, self.viscosity, self.density)

    def pressure(self, flow: Array) -> Array:
        """What the pump feels at a flow."""
        return self.felt(*self.drops(flow))

    def felt(self, out: Array, back: Array) -> Array:
        """What the pump feels with these losses."""
        return np.asarray(out + self.load / self.driven + self.other / self.driven * back)

    def laminar(self, flow: Array) -> Flags:
        """Where a flow is laminar in every hose of both lines."""
        flags: Flags = np.ones((), dtype=bool)
        for line, share in ((self.supply, 1.0), (self.back, self.other / self.driven)):
            for hose in line:
                if isinstance(hose, Hose):
                    flags = flags & (reynolds_number(flow * share, hose.bore, self.viscosity) < LAMINAR_BELOW)
        return flags

    def rows(self, keep: Flags, shape: tuple[int, ...]) -> _Case:
        """The rows marked in keep, elements included, as flat arrays."""

        def cut(value: ArrayLike) -> Array:
            whole = np.asarray(value, float)
            return whole.ravel() if whole.size == 1 else np.broadcast_to(whole, shape)[keep]

        def line(elements: Line) -> list[Element]:
            return [type(e)(*(cut(v) for v in _entries(e))) for e in elements]

        areas = cut(self.driven), cut(self.other), cut(self.load)
        return _Case(*areas, line(self.supply), line(self.back), cut(self.viscosity), cut(self.density))


def _shape(case: _Case, *more: Array) -> tuple[int, ...]:
    entries = [np.shape(v) for line in (case.supply, case.back) for e in line for v in _entries(e)]
    fixed = [case.driven, case.other, case.load, case.viscosity, case.density, *more]
    return np.broadcast_shapes(*entries, *(v.shape for v in fixed))


def _largest_flow(case: _Case, pump_flow: Array, relief: Array, halvings: int) -> Array:
    """Largest flow that the pump can push below the relief pressure; flat arrays in, a flat array out."""
    flow, smooth = np.empty_like(pump_flow), np.broadcast_to(case.laminar(pump_flow), pump_flow.shape)
    for keep, find in ((smooth, _laminar_flow), (~smooth, partial(_halved, halvings=halvings))):
        if np.any(keep):
            flow[keep] = find(case.rows(keep, pump_flow.shape), pump_flow[keep], relief[keep])
    return flow


def _laminar_flow(case: _Case, pump_flow: Array, relief: Array) -> Array:
    """Where nothing turns turbulent up to the pump's flow the pressure is a parabola of it, through three points."""
    none, half, whole = (case.pressure(share * pump_flow) for share in (0.0, 0.5, 1.0))
    square = 2.0 * (whole - 2.0 * half + none)
    slope, left = whole - none - square, relief - none
    root = np.sqrt(np.maximum(slope**2 + 4.0 * np.maximum(square, 0.0) * left, 0.0))
    with np.errstate(divide="ignore", invalid="ignore"):
        part = 2.0 * left / (slope + root)
    return np.asarray(np.where(left > 0.0, np.minimum(part, 1.0) * (1.0 - ROUNDING), 0.0) * pump_flow)


def _halved(case: _Case, pump_flow: Array, relief: Array, halvings: int) -> Array:
    """By bisection from below: the loss jumps where the flow turns turbulent."""
    low, high = np.zeros_like(pump_flow), pump_flow.copy()
    for _ in range(halvings):
        middle = (low + high) / 2.0
        holds = case.pressure(middle) <= relief
        low, high = np.where(holds, middle, low), np.where(holds, high, middle)
    return low


def solve_stroke(
    driven_area: ArrayLike,
    other_area: ArrayLike,
    stroke: ArrayLike,
    load: ArrayLike,
    pump_flow: ArrayLike,
    relief: ArrayLike,
    supply: Line,
    back: Line,
    viscosity: ArrayLike,
    density: ArrayLike,
    halvings: int = HALVINGS,
) -> Stroke:
    """Speed of a stroke: the whole flow if the pump can push it, else the largest flow below relief.

    Args:
        driven_area: Area that the pump presses on, all cylinders together [m²], any shape.
        other_area: Area on the other side, all cylinders together [m²], broadcasts.
        stroke: Stroke [m], broadcasts.
        load: Force against the stroke, all cylinders together [N], broadcasts.
        pump_flow: Flow on offer [m³/s], broadcasts.
        relief: Relief pressure [Pa], broadcasts.
        supply: Elements from pump to cylinder; their entries broadcast.
        back: Elements from cylinder to tank; their entries broadcast.
        viscosity: Kinematic viscosity [m²/s], broadcasts.
        density: Density [kg/m³], broadcasts.
        halvings: Bisection steps; 30 find the flow to a thousand-millionth, in half the time.

    Returns:
        The stroke, each entry of broadcast shape. Stalled: no flow, pump at relief, time nan.

    Source: p = Δp_supply(Q) + F/A1 + (A2/A1) Δp_return(Q A2/A1), equilibrium of the piston. The loss jumps
    where laminar flow turns turbulent, so at the found flow the pressure may stay below relief.

    >>> run = solve_stroke(2e-3, 1.4e-3, 0.2, 6000.0, 3e-4, 16e6, [Hose(0.01, 4.0)], [Hose(0.01, 4.0)], 46e-6, 860.0)
    >>> round(float(run.time), 3), round(float(run.pump_pressure), -2), bool(run.relief_open)
    (1.333, 3288200.0, False)
    """
    areas = np.asarray(driven_area, float), np.asarray(other_area, float)
    fluid = np.asarray(viscosity, float), np.asarray(density, float)
    case = _Case(*areas, np.asarray(load, float), supply, back, *fluid)
    offered, limit, length = np.asarray(pump_flow, float), np.asarray(relief, float), np.asarray(stroke, float)
    shape = _shape(case, offered, limit, length)
    drops = case.drops(offered)
    open_ = np.broadcast_to(case.felt(*drops) > limit, shape)
    flow = np.broadcast_to(offered, shape).copy()
    if np.any(open_):
        some, limits = case.rows(open_, shape), np.broadcast_to(limit, shape)[open_]
        flow[open_] = _largest_flow(some, flow[open_], limits, halvings)
        fewer = some.drops(flow[open_])
        drops = _replaced(drops[0], open_, fewer[0]), _replaced(drops[1], open_, fewer[1])
    return _stroke_at(case, flow, drops, open_, limit, length)


def _replaced(values: Array, where: Flags, new: Array) -> Array:
    made = np.broadcast_to(values, where.shape).copy()
    made[where] = new
    return made


def _stroke_at(
    case: _Case, flow: Array, drops: tuple[Array, Array], open_: Flags, relief: Array, stroke: Array
) -> Stroke:
    out, back = drops
    pressure = case.felt(out, back)
    stalled = flow <= 0.0
    seconds = np.where(stalled, np.nan, stroke * case.driven / np.where(stalled, 1.0, flow))
    felt = np.where(stalled & open_, relief, pressure)
    parts = (flow, flow * case.other / case.driven, out, back, felt, open_, seconds)
    return Stroke(*(np.broadcast_to(v, flow.shape) for v in parts))


def close_open(
    bore: ArrayLike,
    rod: ArrayLike,
    stroke: ArrayLike,
    cylinders: ArrayLike,
    load_close: ArrayLike,
    load_open: ArrayLike,
    pump_flow: ArrayLike,
    relief: ArrayLike,
    supply_elements: Line,
    return_elements: Line,
    viscosity: ArrayLike,
    density: ArrayLike,
    close_extends: bool = True,
    halvings: int = HALVINGS,
) -> tuple[Stroke, Stroke]:
    """Closing and opening of a lid; the return line of closing is the supply line of opening.

    Args:
        bore: Cylinder bore [m], any shape.
        rod: Rod diameter [m], broadcasts.
        stroke: Stroke [m], broadcasts.
        cylinders: How many in parallel [1], broadcasts.
        load_close: Force against closing, all cylinders together [N], broadcasts.
        load_open: Force against opening, all cylinders together [N], broadcasts.
        pump_flow: Flow on offer [m³/s], broadcasts.
        relief: Relief pressure [Pa], broadcasts.
        supply_elements: Line that feeds closing; entries broadcast.
        return_elements: Line that takes the oil of closing back; entries broadcast.
        viscosity: Kinematic viscosity [m²/s], broadcasts.
        density: Density [kg/m³], broadcasts.
        close_extends: Closing pushes the rods out (usual) or pulls them in.
        halvings: Bisection steps, as in `solve_stroke`.

    Returns:
        The closing and the opening stroke.

    Source: as `solve_stroke`.

    >>> line = [Hose(0.0095, 4.0)]
    >>> shut, up = close_open(0.05, 0.028, 0.2, 1, 6000.0, 1500.0, 3e-4, 16e6, line, line, [46e-6, 1.5e-3], 860.0)
    >>> shut.time.shape, bool(shut.time[1] >= shut.time[0])
    ((2,), True)
    """
    full = bore_area(bore) * np.asarray(cylinders, float)
    ring = rod_side_area(bore, rod) * np.asarray(cylinders, float)
    push, pull = (full, ring), (ring, full)
    close, open_ = (push, pull) if close_extends else (pull, push)
    pump, out, back, oil = (pump_flow, relief), supply_elements, return_elements, (viscosity, density)
    shut = solve_stroke(*close, stroke, load_close, *pump, out, back, *oil, halvings=halvings)
    lift = solve_stroke(*open_, stroke, load_open, *pump, back, out, *oil, halvings=halvings)
    return shut, lift
