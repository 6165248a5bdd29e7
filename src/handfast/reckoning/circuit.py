"""`reckon circuit`: how fast a lid closes and opens in cold, warm and hot oil."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from pydantic import Field

from handfast.machines.circuit import Circuit, Fluid, LinePiece
from handfast.machines.fields import Record
from handfast.machines.reading import read_model
from handfast.machines.tractor import Machine
from handfast.physics import hydraulics as hy
from handfast.physics.circuit import Element, Fitting, Hose, RatedPoint, Stroke, close_open
from handfast.quantities.arrays import Array
from handfast.quantities.tables import table
from handfast.reckoning.needs import plain_number, require, value_of

ICE = 273.15
TEMPERATURES = (263.15, 313.15, 353.15)
DENSITY_15 = 872.0
"""Density of a mineral hydraulic oil at 15 °C [kg/m³] where none is given, typical."""

LIMITS = {"pressure": 6.0, "return": 3.0}
"""Speeds in pressure and return lines [m/s], common practice."""

UNITS = {
    "temperature": "°C",
    "viscosity": "m²/s",
    "density": "kg/m³",
    "supply_flow": "m³/s",
    "return_flow": "m³/s",
    "supply_drop": "Pa",
    "return_drop": "Pa",
    "pump_pressure": "Pa",
    "time": "s",
    "heat": "W",
    "velocity": "m/s",
    "bore": "m",
    "stall_force": "N",
    "blocked_rod_pressure": "Pa",
}


class CircuitFile(Record):
    """A machine's pump and relief, an oil, and a circuit."""

    machine: Machine = Field(default_factory=Machine)
    fluid: Fluid = Field(default_factory=Fluid)
    circuit: Circuit = Field(default_factory=Circuit)


def reckon_circuit(text: str, file: str) -> dict[str, Any]:
    """Times, flows, drops and velocities of a circuit at each temperature.

    Args:
        text: The file's TOML text.
        file: Its name, for the faults.

    Returns:
        Result as plain data: runs by temperature, stall forces, greatest velocities.

    Raises:
        Faults: Everything that is wrong with the text.

    Source: as `close_open`.

    >>> reckon_circuit(EXAMPLE, "c.toml")["runs"][1]["close"]["relief_open"]
    False
    """
    given = read_model(CircuitFile, text, file)
    _complete(given, file)
    return circuit_result(given)


def _complete(given: CircuitFile, file: str) -> None:
    machine, circuit = given.machine, given.circuit
    flow = machine.implement_flow if machine.pump_flow.is_unknown else machine.pump_flow
    require(
        file,
        {
            "machine.pump_flow": (flow, "a flow such as 6 gpm"),
            "machine.relief_pressure": (machine.relief_pressure, "a pressure such as 2400 psi"),
            "circuit.cylinders": (circuit.cylinders or None, "how many cylinders, 1 or more"),
            "circuit.bore": (circuit.bore, "a length such as 2 in"),
            "circuit.rod": (circuit.rod, "a length such as 1 1/8 in"),
            "circuit.stroke": (circuit.stroke, "a length such as 8 in"),
        },
    )


def circuit_result(given: CircuitFile) -> dict[str, Any]:
    """The answer to a complete circuit file.

    Args:
        given: The file's record, nothing needed missing.

    Returns:
        Result as plain data.

    Source: as `close_open`.

    >>> given = read_model(CircuitFile, EXAMPLE, "c.toml")
    >>> round(circuit_result(given)["stall_force"])
    27949
    """
    circuit = given.circuit
    kelvin = np.array([value_of(t) for t in circuit.temperatures] or TEMPERATURES)
    viscosity, density = oil_at(given.fluid, kelvin)
    shut, up = _strokes(given, viscosity, density)
    runs = []
    for row, temperature in enumerate(kelvin):
        run = {
            "temperature": round(float(temperature) - ICE, 9),
            "viscosity": float(viscosity[row]),
            "density": float(density[row]),
            "extrapolated": bool(temperature < ICE),
            "close": _plain(shut, row, given, "load_close", circuit.close == "extend"),
            "open": _plain(up, row, given, "load_open", circuit.close != "extend"),
        }
        runs.append({**run, "velocities": _velocities(circuit, shut, up, row)})
    return {"runs": runs, **_standing(given), "velocities": _greatest(runs), "units": UNITS}


def oil_at(fluid: Fluid, kelvin: Array) -> tuple[Array, Array]:
    """Viscosity and density at the temperatures; ISO VG 46 where nothing is given.

    Args:
        fluid: The oil's record.
        kelvin: Temperatures [K].

    Returns:
        Kinematic viscosity [m²/s], density [kg/m³].

    Source: as `viscosity_d341`, `density`.

    >>> round(float(oil_at(Fluid(), np.array([313.15]))[0][0]) * 1e6)
    46
    """
    usual = next(row for row in table("viscosity.csv") if row["oil"].startswith("ISO VG 46"))
    warm = value_of(fluid.viscosity_40, float(usual["kv40_cSt"]) * 1e-6)
    hot = value_of(fluid.viscosity_100, float(usual["kv100_cSt"]) * 1e-6)
    return hy.viscosity_d341(kelvin, warm, hot), hy.density(kelvin, value_of(fluid.density_15, DENSITY_15))


def line_of(pieces: Sequence[LinePiece]) -> list[Element]:
    """A line's pieces as the solver takes them.

    Args:
        pieces: Records of hoses, couplers, valves and fittings.

    Returns:
        The elements in the same order.

    Source: hard lines count as hoses, valves as couplers known by a rated point.

    >>> line_of([LinePiece.model_validate({"kind": "hose", "bore": 0.01, "length": 2.0})])
    [Hose(bore=0.01, length=2.0)]
    """
    line: list[Element] = []
    for piece in pieces:
        if piece.kind in ("hose", "hard_line"):
            line += [Hose(value_of(piece.bore), value_of(piece.length))] * piece.count
        elif piece.kind == "fitting":
            line.append(Fitting(value_of(piece.bore), value_of(piece.k), piece.count))
        else:
            line.append(RatedPoint(value_of(piece.rated_flow), value_of(piece.rated_drop), piece.count))
    return line


def pump_flow_of(machine: Machine) -> float:
    """Flow that a machine offers its implements.

    Args:
        machine: The machine's record.

    Returns:
        Flow [m³/s].

    Source: as `available_flow`.

    >>> round(pump_flow_of(Machine(pump_flow="20 L/min", steering_flow="5 L/min")) * 6e4, 6)
    15.0
    """
    ratio = value_of(machine.working_speed) / value_of(machine.rated_speed)
    share = 1.0 if np.isnan(ratio) else ratio
    stated = value_of(machine.implement_flow)
    return float(hy.available_flow(value_of(machine.pump_flow), share, value_of(machine.steering_flow, 0.0), stated))


def _strokes(given: CircuitFile, viscosity: Array, density: Array) -> tuple[Stroke, Stroke]:
    circuit = given.circuit
    return close_open(
        value_of(circuit.bore),
        value_of(circuit.rod),
        value_of(circuit.stroke),
        circuit.cylinders or 1,
        value_of(circuit.load_close, 0.0),
        value_of(circuit.load_open, 0.0),
        pump_flow_of(given.machine),
        value_of(given.machine.relief_pressure),
        line_of(circuit.supply),
        line_of(circuit.return_),
        viscosity,
        density,
        close_extends=circuit.close == "extend",
    )


def _plain(stroke: Stroke, row: int, given: CircuitFile, load: str, extends: bool) -> dict[str, Any]:
    """One stroke at one temperature."""
    names = ("supply_flow", "return_flow", "supply_drop", "return_drop", "pump_pressure")
    result: dict[str, Any] = {name: float(getattr(stroke, name)[row]) for name in names}
    open_, time = bool(stroke.relief_open[row]), float(stroke.time[row])
    circuit, machine = given.circuit, given.machine
    area = hy.bore_area(value_of(circuit.bore)) if extends else hy.rod_side_area(*_bore_and_rod(circuit))
    speed = result["supply_flow"] / (float(area) * (circuit.cylinders or 1))
    felt = value_of(machine.relief_pressure) if open_ else result["pump_pressure"]
    lost = float(hy.heat(pump_flow_of(machine), felt, value_of(getattr(circuit, load), 0.0), speed))
    return {**result, "relief_open": open_, "stalled": bool(np.isnan(time)), "time": plain_number(time), "heat": lost}


def _bore_and_rod(circuit: Circuit) -> tuple[float, float]:
    return value_of(circuit.bore), value_of(circuit.rod)


def _standing(given: CircuitFile) -> dict[str, float]:
    """Forces at relief with the piston standing, and what a shut rod port would feel."""
    bore, rod = _bore_and_rod(given.circuit)
    relief, count = value_of(given.machine.relief_pressure), given.circuit.cylinders or 1
    push = float(hy.stall_force(relief, bore, rod, count))
    pull = float(hy.stall_force(relief, bore, rod, count, extending=False))
    close, open_ = (push, pull) if given.circuit.close == "extend" else (pull, push)
    blocked = float(hy.blocked_rod_pressure(relief, bore, rod))
    return {
        "stall_force": close,
        "stall_force_close": close,
        "stall_force_open": open_,
        "blocked_rod_pressure": blocked,
    }


def _velocities(circuit: Circuit, shut: Stroke, up: Stroke, row: int) -> list[dict[str, Any]]:
    """Speed in every bore of the lines, either stroke; a line that feeds one stroke takes the other's oil back."""
    found = []
    for stroke, run, out, back in (
        ("close", shut, circuit.supply, circuit.return_),
        ("open", up, circuit.return_, circuit.supply),
    ):
        for side, flow, pieces in (("pressure", run.supply_flow, out), ("return", run.return_flow, back)):
            for piece in pieces:
                if not piece.bore.is_unknown:
                    speed = float(hy.velocity(flow[row], piece.bore.value))
                    entry = {"stroke": stroke, "side": side, "kind": piece.kind, "bore": piece.bore.value}
                    found.append({**entry, "velocity": speed, "limit": LIMITS[side]})
    return found


def _greatest(runs: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """The greatest speed at each place over all temperatures."""
    return [
        max(same, key=lambda v: float(v["velocity"])) for same in zip(*(r["velocities"] for r in runs), strict=True)
    ]


EXAMPLE = """
[machine]
pump_flow = "5 gpm"
relief_pressure = "2000 psi"
[circuit]
cylinders = 1
bore = "2 in"
rod = "1.25 in"
stroke = "8 in"
"""
