"""How fast a lid moves: every different lid and line of the outfits, once."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from handfast.outfits.bench import Bench
from handfast.outfits.draws import Draws
from handfast.outfits.outfit import Outfit
from handfast.physics import electrics, hydraulics
from handfast.physics.circuit import Element, Fitting, Hose, RatedPoint, Stroke, close_open
from handfast.quantities.arrays import Array
from handfast.quantities.units import to_si

FEW = 64  # samples that advisory circuit figures are reckoned on
LINE_BORE = 0.0095  # m, a 3/8 in hose: what the route's lines are reckoned with until hoses are chosen
COUPLER_FLOW, COUPLER_DROP = 12.0, 1.2e5  # gpm, Pa: a 1/2 in flat-face coupler's rated point (typical)
VG46 = (46e-6, 6.762e-6, 872.0)  # m²/s at 40 and 100 °C, kg/m³ at 15 °C (ISO 3448 grade, VI 100)
OIL_ROUTES = ("front_outlets", "third_function", "diverter", "rear_remote_forward", "mid_outlet", "separate_pump")


@dataclass(frozen=True)
class LidMotion:
    """What an oil-worked lid does at one temperature, one row an outfit; NaN rows where there is no oil."""

    rows: NDArray[np.intp]
    close: Stroke
    open: Stroke


def closing_time(bench: Bench, temperature: float) -> Array:
    """Time of the closing stroke [s], shape (outfits, few samples); NaN without power, infinite when stalled.

    Args:
        bench: the outfits.
        temperature: of the oil [°C].

    Returns:
        Array.

    Source: `physics.circuit`.

    Example:
        >>> from handfast.outfits.example import bench
        >>> bool(np.isnan(closing_time(bench(), 40.0)).all())  # no cylinder in the example
        True
    """
    motion = lid_motion(bench, temperature)
    oil = np.full((len(bench.outfits), motion.close.time.shape[-1] if motion.rows.size else 1), np.nan)
    if motion.rows.size:
        oil[motion.rows] = np.where(np.isnan(motion.close.time), np.inf, motion.close.time)
    strokes, speeds = bench.tools["electrics.stroke"], bench.tools["electrics.speed"]
    slow = bench.per_outfit([1.0 if o.power.route == "electric" else np.nan for o in bench.outfits])
    seconds = electrics.stroke_time(strokes, speeds)[:, :1] * slow
    return np.where(np.isnan(oil), seconds, oil)


def lid_motion(bench: Bench, temperature: float) -> LidMotion:
    """Close and open of every oil-worked lid whose cylinder is known.

    Args:
        bench: the outfits.
        temperature: of the oil [°C].

    Returns:
        `LidMotion` for those rows.

    Source: `physics.circuit.close_open`.

    Example:
        >>> from handfast.outfits.example import bench
        >>> lid_motion(bench(), 40.0).rows.size
        0
    """
    known = np.isfinite(bench.tools["hydraulics.bore"][:, 0] * bench.tools["hydraulics.stroke"][:, 0])
    oil = np.array([o.power.route in OIL_ROUTES for o in bench.outfits], dtype=bool)
    rows = np.nonzero(known & oil)[0]
    if not rows.size or not bench.draws.known("pump_flow") or not bench.draws.known("relief_pressure"):
        empty = np.zeros(0, dtype=np.intp)
        nothing = np.zeros((0, 1))
        stroke = Stroke(nothing, nothing, nothing, nothing, nothing, nothing.astype(bool), nothing)
        return LidMotion(empty, stroke, stroke)
    return LidMotion(rows, *_strokes(bench, rows, to_si(temperature, "°C")))


def _strokes(bench: Bench, rows: NDArray[np.intp], kelvin: float) -> tuple[Stroke, Stroke]:
    names = ("bore", "rod", "stroke")
    columns = [bench.tools[f"hydraulics.{name}"][rows, 0] for name in names]
    columns.append(np.array([_cylinders(bench.outfits[i]) for i in rows]))
    columns.append(np.array([bench.outfits[i].power.words.line for i in rows]))
    alike, back = np.unique(np.nan_to_num(np.stack(columns, axis=1)), axis=0, return_inverse=True)
    shut, up = _of_alike(bench, alike, kelvin)
    at = np.ravel(back)
    return _spread(shut, at), _spread(up, at)


def _spread(stroke: Stroke, at: NDArray[np.intp]) -> Stroke:
    """One row for each outfit, from one row for each different lid."""
    supply, back, out, home, felt, open_, seconds = stroke
    return Stroke(supply[at], back[at], out[at], home[at], felt[at], open_[at], seconds[at])


def _of_alike(bench: Bench, alike: Array, kelvin: float) -> tuple[Stroke, Stroke]:
    """Close and open of each different lid and line, once."""
    bore, rods, stroke, count, lines = (alike[:, k : k + 1] for k in range(5))
    v40, v100, rho = VG46
    viscosity = hydraulics.viscosity_d341(kelvin, v40, v100)
    line: list[Element] = [
        Hose(LINE_BORE, lines),
        RatedPoint(to_si(COUPLER_FLOW, "gpm"), COUPLER_DROP, 2.0),
        Fitting(LINE_BORE, 1.3, 4.0),
    ]
    supply_flow, relief = flow_on_offer(bench.draws)[:FEW], bench.draws["relief_pressure"][:FEW]
    rod = np.where(rods > 0, rods, 0.5 * bore)
    return close_open(
        bore, rod, stroke, count, 0.0, 0.0, supply_flow, relief, line, line, viscosity,
        hydraulics.density(kelvin, rho),
    )  # fmt: skip


def _cylinders(outfit: Outfit) -> float:
    described = outfit.attachment.hydraulics
    return float((described.cylinders if described is not None else None) or max(outfit.attachment.lids or 1, 1))


def flow_on_offer(draws: Draws) -> Array:
    """Flow at the valve [m³/s]: the implement's where given, else the pump's at speed less the steering's.

    Args:
        draws: samples of the machine.

    Returns:
        Array over samples.

    Source: pump flow in proportion to speed.

    Example:
        >>> float(flow_on_offer(Draws({"pump_flow": np.array([3e-4])}, {}, (), np.zeros((1, 0)), 1))[0])
        0.0003
    """
    speed = draws["working_speed"] / draws["rated_speed"]
    share = np.where(np.isfinite(speed), speed, 1.0)
    steering = np.where(np.isfinite(draws["steering_flow"]), draws["steering_flow"], 0.0)
    own = draws["implement_flow"]
    return np.where(np.isfinite(own), own, np.maximum(draws["pump_flow"] * share - steering, 0.0))
