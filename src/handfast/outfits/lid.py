"""How fast a lid moves: every different lid and line of the outfits, once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from handfast.outfits.bench import Bench
from handfast.outfits.draws import Draws
from handfast.outfits.oil_lines import OilLines, side_by_side, usual_line
from handfast.outfits.outfit import Outfit
from handfast.physics import electrics, hydraulics
from handfast.physics.circuit import Stroke, close_open
from handfast.quantities.arrays import Array
from handfast.quantities.units import to_si

FEW = 64  # samples that advisory circuit figures are reckoned on
HALVINGS = 30  # of the search for a flow: to a thousand-millionth
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
    if temperature not in bench.lids:
        bench.lids[temperature] = _closing(bench, temperature)
    return bench.lids[temperature]


def _closing(bench: Bench, temperature: float) -> Array:
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
    """Close and open of each different lid and line, once."""
    keys: dict[tuple[object, ...], int] = {}
    at = np.array([keys.setdefault(_key(bench, int(row)), len(keys)) for row in rows], dtype=np.intp)
    first = np.unique(at, return_index=True)[1]
    once = rows[first]
    pushing = np.array([_closes_by_pushing(bench.outfits[i]) for i in once])
    parts = [(flag, once[pushing == flag]) for flag in (True, False) if np.any(pushing == flag)]
    done = [_of_alike(bench, chosen, kelvin, flag) for flag, chosen in parts]
    back = np.argsort(np.concatenate([np.nonzero(pushing == flag)[0] for flag, _ in parts]))
    shut, up = (_spread(_stacked([pair[k] for pair in done]), back[at]) for k in (0, 1))
    return shut, up


def _key(bench: Bench, row: int) -> tuple[object, ...]:
    """What makes two lids move alike."""
    outfit = bench.outfits[row]
    join = bench.joins[row] if bench.joins else None
    lid = tuple(_or_none(bench.tools[f"hydraulics.{name}"][row, 0]) for name in ("bore", "rod", "stroke"))
    return (*lid, _cylinders(outfit), _closes_by_pushing(outfit), outfit.power.route, id(join) if join else 0)


def _or_none(value: float) -> float:
    """A number that can be compared: nothing for what is not known."""
    return 0.0 if value != value else float(value)


def _stacked(strokes: Sequence[Stroke]) -> Stroke:
    """Strokes of several kinds of lid one under the other."""
    if len(strokes) == 1:
        return strokes[0]
    return Stroke(*(np.concatenate(each) for each in zip(*strokes, strict=True)))


def _spread(stroke: Stroke, at: NDArray[np.intp]) -> Stroke:
    """One row for each outfit, from one row for each different lid."""
    supply, back, out, home, felt, open_, seconds = stroke
    return Stroke(supply[at], back[at], out[at], home[at], felt[at], open_[at], seconds[at])


def lines_of(bench: Bench, row: int) -> OilLines:
    """Both lines of an outfit's lid: the chosen pieces where a join is known, else the usual ones.

    Args:
        bench: the outfits.
        row: which.

    Returns:
        Elements of the closing and of the opening line.

    Example:
        >>> from handfast.outfits.example import bench
        >>> lines_of(bench(), 0)[0][0]
        Hose(bore=0.0095, length=1.6)
    """
    join = bench.joins[row] if bench.joins else None
    if join is not None and join.oil is not None:
        return join.oil
    usual = usual_line(bench.outfits[row].power.words.line)
    return usual, usual


def _of_alike(bench: Bench, rows: NDArray[np.intp], kelvin: float, pushes: bool) -> tuple[Stroke, Stroke]:
    bore, rods, stroke = (bench.tools[f"hydraulics.{name}"][rows, :1] for name in ("bore", "rod", "stroke"))
    count = np.array([[_cylinders(bench.outfits[i])] for i in rows])
    both = [lines_of(bench, int(row)) for row in rows]
    supply, back = (side_by_side([pair[k] for pair in both]) for k in (0, 1))
    v40, v100, rho = VG46
    viscosity = hydraulics.viscosity_d341(kelvin, v40, v100)
    flow, relief = supplied(bench, rows)
    rod = np.where(np.nan_to_num(rods) > 0, rods, 0.5 * bore)
    return close_open(
        bore, rod, stroke, count, 0.0, 0.0, flow, relief, supply, back, viscosity,
        hydraulics.density(kelvin, rho), pushes, HALVINGS,
    )  # fmt: skip


def supplied(bench: Bench, rows: NDArray[np.intp]) -> tuple[Array, Array]:
    """Flow and relief of some outfits: the tractor's, or those of a pump of its own.

    Args:
        bench: the outfits.
        rows: which.

    Returns:
        (flow [m³/s], relief [Pa]), shape (rows, few samples).

    Example:
        >>> supplied.__name__
        'supplied'
    """
    flow = np.repeat(flow_on_offer(bench.draws)[:FEW].reshape(1, -1), len(rows), axis=0)
    relief = np.repeat(bench.draws["relief_pressure"][:FEW].reshape(1, -1), len(rows), axis=0)
    wide = max(flow.shape[1], relief.shape[1])
    flow, relief = (np.broadcast_to(a, (len(rows), wide)).copy() for a in (flow, relief))
    for k, row in enumerate(rows):
        own = own_pump(bench.outfits[row])
        if own is not None:
            flow[k], relief[k] = own
    return flow, relief


def own_pump(outfit: Outfit) -> tuple[float, float] | None:
    """Flow [m³/s] and relief [Pa] of a route that has a pump of its own; None for the tractor's pump.

    Args:
        outfit: the outfit.

    Returns:
        The kit's rated flow and pressure, where it says both.

    Example:
        >>> from handfast.outfits.example_piped import piped
        >>> own_pump(piped().outfit) is None  # the tractor's pump feeds it
        True
    """
    kit = outfit.power.kit
    if outfit.power.route != "separate_pump" or kit is None:
        return None
    if kit.flow_rated.is_unknown or kit.pressure_max.is_unknown:
        return None
    return float(kit.flow_rated.value), float(kit.pressure_max.value)


def _closes_by_pushing(outfit: Outfit) -> bool:
    oil = outfit.attachment.hydraulics
    return oil is None or oil.close == "extend"


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
