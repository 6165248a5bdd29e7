"""The circuit of one outfit with the pieces that were chosen: times, flows, drops, speeds, forces, heat."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import inf, isnan

import numpy as np

from handfast.machines.circuit import Circuit, Fluid
from handfast.machines.inquiry import Inquiry
from handfast.machines.shelf import Shelf
from handfast.outfits.draws import typical
from handfast.outfits.facts import machine_class
from handfast.outfits.lid import own_pump
from handfast.outfits.line_runs import LineRun, Piece, line_runs
from handfast.outfits.oil_lines import OilLine, kit_elements, kit_line, part_elements, usual_line
from handfast.outfits.outfit import Outfit
from handfast.outfits.powering import HYDRAULIC
from handfast.physics import hydraulics as hy
from handfast.physics.circuit import Stroke, close_open
from handfast.quantities.units import to_si
from handfast.reckoning.circuit import LIMITS, line_of, oil_at, pump_flow_of
from handfast.reckoning.needs import value_of

TEMPERATURES = (-20.0, -10.0, 40.0, 80.0)  # °C
ICE = 0.0  # °C: below it the oil's law is an extrapolation
NAN = float("nan")


@dataclass(frozen=True)
class OneStroke:
    """Closing or opening at a temperature [°C]: flows [m³/s], drops and pump pressure [Pa], time [s], heat [W].

    `time` is None where the lid stalls; below 0 °C all of it is an extrapolation.
    """

    temperature: float
    extrapolated: bool
    moves: str  # close, open
    supply_flow: float
    return_flow: float
    supply_drop: float
    return_drop: float
    pump_pressure: float
    relief_open: bool
    time: float | None
    piston_speed: float
    heat: float


@dataclass(frozen=True)
class Speed:
    """Greatest speed of the oil in one hose [m/s], feeding and returning, against the custom."""

    tag: str
    bore: float
    feeding: float
    returning: float

    @property
    def too_fast(self) -> bool:
        """Whether either is above the custom."""
        return self.feeding > LIMITS["pressure"] or self.returning > LIMITS["return"]


@dataclass(frozen=True)
class CylinderSet:
    """All the lid's cylinders: how many, bore, rod, stroke [m], areas together [m²], which way they close."""

    count: int
    bore: float
    rod: float
    stroke: float
    full: float
    ring: float
    closes: str  # extend, retract


@dataclass(frozen=True)
class OutfitCircuit:
    """The circuit of an outfit: lines, cylinders, flow and relief, strokes at each temperature, what stands still."""

    runs: tuple[LineRun, ...]
    cylinders: CylinderSet
    supply: OilLine
    back: OilLine
    flow: float
    relief: float
    strokes: tuple[OneStroke, ...]
    speeds: tuple[Speed, ...]
    stall_close: float
    stall_open: float
    blocked_rod_pressure: float
    weakest: str
    weakest_pressure: float
    notes: tuple[str, ...]

    def at(self, temperature: float, moves: str) -> OneStroke:
        """The stroke at a temperature [°C]; KeyError if it was not reckoned."""
        for one in self.strokes:
            if (one.temperature, one.moves) == (temperature, moves):
                return one
        raise KeyError(temperature)


def circuit_of(
    outfit: Outfit, inquiry: Inquiry, shelf: Shelf, temperatures: Sequence[float] = TEMPERATURES
) -> OutfitCircuit | None:
    """The circuit of an outfit, reckoned at likely values with the pieces chosen for its lines.

    Args:
        outfit: the outfit.
        inquiry: resolved inquiry; its `circuit` and `fluid`, where given, win.
        shelf: hoses, couplers and fittings.
        temperatures: of the oil [°C].

    Returns:
        `OutfitCircuit`; None where no oil moves the lid or its cylinder, the flow or the relief is not known at all.

    Source: `physics.circuit.close_open`; ISO VG 46 where no oil is given.

    Example:
        >>> from handfast.outfits.example_piped import piped
        >>> found = circuit_of(piped().outfit, piped().inquiry, piped().shelf)
        >>> [(one.temperature, one.moves) for one in found.strokes][:2]
        [(-20.0, 'close'), (-20.0, 'open')]
    """
    cylinders = _cylinders(outfit, inquiry)
    if outfit.power.route not in HYDRAULIC or cylinders is None:
        return None
    flow, relief, notes = _supplied(outfit, inquiry)
    if isnan(flow) or isnan(relief):
        return None
    runs = line_runs(outfit, inquiry, shelf)
    supply, back = _lines(outfit, inquiry, runs)
    strokes = tuple(_strokes(cylinders, inquiry, (supply, back), flow, relief, temperatures))
    weakest, bears = _weakest(outfit, runs)
    push, pull = relief * cylinders.full, relief * cylinders.ring
    close, open_ = (push, pull) if cylinders.closes == "extend" else (pull, push)
    blocked = float(hy.blocked_rod_pressure(relief, cylinders.bore, cylinders.rod))
    notes += [] if runs else ["Ports not known: a 3/8 in line of the route's usual length."]
    notes += _kit_note(runs)
    return OutfitCircuit(
        runs, cylinders, supply, back, flow, relief, strokes, _speeds(runs, strokes), close, open_, blocked,
        weakest, bears, tuple(notes),
    )  # fmt: skip


def _cylinders(outfit: Outfit, inquiry: Inquiry) -> CylinderSet | None:
    """The lid's cylinders; a circuit given in the inquiry wins."""
    given, oil = inquiry.circuit or Circuit(), outfit.attachment.hydraulics
    bore, rod, stroke = (
        value_of(getattr(given, name), value_of(getattr(oil, name)) if oil is not None else NAN)
        for name in ("bore", "rod", "stroke")
    )
    if isnan(bore) or isnan(stroke):
        return None
    rod = 0.5 * bore if isnan(rod) else rod
    count = given.cylinders or (oil.cylinders if oil is not None else None) or max(outfit.attachment.lids or 1, 1)
    closes = given.close if inquiry.circuit is not None or oil is None else oil.close
    full, ring = count * float(hy.bore_area(bore)), count * float(hy.rod_side_area(bore, rod))
    return CylinderSet(count, bore, rod, stroke, full, ring, closes)


def _supplied(outfit: Outfit, inquiry: Inquiry) -> tuple[float, float, list[str]]:
    """Flow and relief, and what was taken for want of a figure."""
    own = own_pump(outfit)
    if own is not None:
        return *own, ["A pump of its own: the kit's flow and pressure."]
    machine, notes = inquiry.machine, []
    flow, relief = pump_flow_of(machine), value_of(machine.relief_pressure)
    if isnan(flow):
        flow = _typical(machine_class(machine), "pump_flow")
        notes.append("The pump's flow is typical of the class.")
    if isnan(relief):
        relief = _typical(machine_class(machine), "relief_pressure")
        notes.append("The relief pressure is typical of the class.")
    return flow, relief, notes


def _typical(group: str | None, path: str) -> float:
    return float(typical(group, path)[0].value)


def _lines(outfit: Outfit, inquiry: Inquiry, runs: Sequence[LineRun]) -> tuple[OilLine, OilLine]:
    """The lines as given, as chosen, or as usual."""
    given = inquiry.circuit
    if given is not None and (given.supply or given.return_):
        return tuple(line_of(given.supply)), tuple(line_of(given.return_))
    if not runs:
        usual = usual_line(outfit.power.words.line)
        return usual, usual
    supply, back = ((*kit_elements(outfit.power.kit), *_elements(run)) for run in runs)
    return tuple(supply), tuple(back)


def _elements(run: LineRun) -> OilLine:
    found: OilLine = ()
    for piece in run.pieces:
        if piece.part.kind == "valve_kit":
            found += kit_line(piece.length) if piece.is_hose else ()
        else:
            found += part_elements(piece.part, piece.needed if isnan(piece.length) else piece.length, piece.bore)
    return found


def _strokes(
    cylinders: CylinderSet,
    inquiry: Inquiry,
    lines: tuple[OilLine, OilLine],
    flow: float,
    relief: float,
    temperatures: Sequence[float],
) -> Iterator[OneStroke]:
    given = inquiry.circuit or Circuit()
    loads = value_of(given.load_close, 0.0), value_of(given.load_open, 0.0)
    kelvin = np.array([to_si(t, "°C") for t in temperatures])
    viscosity, density = oil_at(inquiry.fluid or Fluid(), kelvin)
    pushes = cylinders.closes == "extend"
    both = close_open(
        cylinders.bore, cylinders.rod, cylinders.stroke, cylinders.count, *loads, flow, relief, *lines, viscosity,
        density, close_extends=pushes,
    )  # fmt: skip
    areas = (cylinders.full, cylinders.ring) if pushes else (cylinders.ring, cylinders.full)
    for row, temperature in enumerate(temperatures):
        for moves, stroke, area, load in zip(("close", "open"), both, areas, loads, strict=True):
            yield _one(stroke, row, temperature, moves, (flow, relief), (area, load))


def _one(
    stroke: Stroke, row: int, temperature: float, moves: str, pump: tuple[float, float], piston: tuple[float, float]
) -> OneStroke:
    area, load = piston
    supply, back, out, home, felt, _, seconds = (float(values[row]) for values in stroke)
    open_ = bool(stroke.relief_open[row])
    lost = float(hy.heat(pump[0], pump[1] if open_ else felt, load, supply / area))
    time = None if isnan(seconds) else seconds
    cold = temperature < ICE
    return OneStroke(
        temperature, cold, moves, supply, back, out, home, felt, open_, time, supply / area, lost
    )  # fmt: skip


def _speeds(runs: Sequence[LineRun], strokes: Sequence[OneStroke]) -> tuple[Speed, ...]:
    """Line A feeds closing and takes the oil of opening back; line B the other way round."""
    found = []
    for run, feeds, returns in zip(runs, ("close", "open"), ("open", "close"), strict=False):
        out = max(one.supply_flow for one in strokes if one.moves == feeds)
        home = max(one.return_flow for one in strokes if one.moves == returns)
        for piece in run.hoses:
            if not isnan(piece.bore):
                speeds = (float(hy.velocity(q, piece.bore)) for q in (out, home))
                found.append(Speed(piece.tag, piece.bore, *speeds))
    return tuple(found)


def _weakest(outfit: Outfit, runs: Sequence[LineRun]) -> tuple[str, float]:
    """What bears least of kit, lid and lines."""
    bears = [(piece.tag or piece.name, piece.pressure_max) for run in runs for piece in run.pieces if _own(piece)]
    bears += [(part.name or part.id, value_of(part.pressure_max)) for part in outfit.power.parts]
    oil = outfit.attachment.hydraulics
    bears += [] if oil is None else [("the lid's cylinder", value_of(oil.pressure_max))]
    known = [pair for pair in bears if not isnan(pair[1])]
    return min(known, key=lambda pair: pair[1], default=("", inf))


def _own(piece: Piece) -> bool:
    """Whether a rating is the piece's own, and not that of what stands in for a thing brought along."""
    return not piece.brought_by


def _kit_note(runs: Sequence[LineRun]) -> list[str]:
    own = {piece.brought_by for run in runs for piece in run.hoses if piece.brought_by}
    return [f"The {who}'s own hoses are taken as their threads say, 3/8 in where nothing does." for who in sorted(own)]
