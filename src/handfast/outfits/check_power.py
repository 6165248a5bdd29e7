"""The checks of chapters 9 to 11 over outfits: oil, current, connections. Pairs of demand and capacity."""

from __future__ import annotations

from collections.abc import Callable
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
BRISK, BEARABLE, FAST, DROP = 6.0, 20.0, 6.0, 0.10
LINE_BORE = 0.0095  # m, a 3/8 in hose: what the route's lines are reckoned with until hoses are chosen
COUPLER_FLOW, COUPLER_DROP = 12.0, 1.2e5  # gpm, Pa: a 1/2 in flat-face coupler's rated point (typical)
VG46 = (46e-6, 6.762e-6, 872.0)  # m²/s at 40 and 100 °C, kg/m³ at 15 °C (ISO 3448 grade, VI 100)
CABLE_GAUGE, CABLE_LENGTH, SUPPLY = "8", 4.0, 12.0
OIL_ROUTES = ("front_outlets", "third_function", "diverter", "rear_remote_forward", "mid_outlet", "separate_pump")

Pair = tuple[Array, Array]


@dataclass(frozen=True)
class LidMotion:
    """What an oil-worked lid does at one temperature, one row an outfit; NaN rows where there is no oil."""

    rows: NDArray[np.intp]
    close: Stroke
    open: Stroke


def _nan(bench: Bench) -> Array:
    return np.full((len(bench.outfits), 1), np.nan)


def _column(bench: Bench, rule: Callable[[Outfit], float]) -> Array:
    return bench.per_outfit([rule(outfit) for outfit in bench.outfits])


def supply(bench: Bench) -> Pair:
    """1 where a function of the right kind moves the lid.

    Args:
        bench: the outfits.

    Returns:
        (1, 0 or 1) over outfits and samples.

    Source: circuit rules (common practice, no source).

    Example:
        >>> supply.__name__
        'supply'
    """
    rows = [_supply_row(o, bench.draws) for o in bench.outfits]
    return np.ones((1, 1)), np.vstack([np.broadcast_to(row, (bench.draws.size,)) for row in rows])


def _supply_row(outfit: Outfit, draws: Draws) -> Array:
    presumed = outfit.power.presumes
    has = np.ones(1)
    if presumed in ("front_functions", "rear_remotes") and presumed in draws.choices:
        has = 1.0 - draws.picked(presumed, "0")
    elif presumed == "power_beyond" and presumed in draws.choices:
        has = draws.picked("power_beyond", "yes")
    kits = [part for part in outfit.power.parts if part.kind == "valve_kit" and part.centre]
    if kits and "centre" in draws.choices:
        has = has * np.maximum.reduce([draws.picked("centre", str(c)) for c in kits[0].centre])
    return has


def rules(bench: Bench) -> Pair:
    """1 where the route breaks no circuit rule.

    Args:
        bench: the outfits.

    Returns:
        (demand, capacity) over outfits and samples.

    Example:
        >>> from handfast.outfits.checks import check
        >>> check("power.rules").unit
        '1'
    """
    return np.ones((1, 1)), _column(bench, lambda o: 0.0 if o.power.broken_rules else 1.0)


def hold(bench: Bench) -> Pair:
    """1 where the lid stays shut with the valve in neutral; NaN where nobody says or there is no lid.

    Args:
        bench: the outfits.

    Returns:
        (demand, capacity) over outfits and samples.

    Example:
        >>> from handfast.outfits.checks import check
        >>> check("power.hold").unit
        '1'
    """
    return np.ones((1, 1)), _column(bench, _holds)


def _holds(outfit: Outfit) -> float:
    if not outfit.attachment.lids:
        return np.nan
    if outfit.power.route in ("electric", "curl") or outfit.attachment.lid_hold in ("pilot_check", "self_locking"):
        return 1.0
    return np.nan if outfit.attachment.lid_hold is None else 0.0


def closes(temperature: float) -> Callable[[Bench], Pair]:
    """The check of closing time at a temperature [°C]: demand the time, capacity the custom.

    Args:
        temperature: of the oil [°C].

    Returns:
        the function that gives demand and capacity.

    Example:
        >>> from handfast.outfits.checks import check
        >>> check("power.time").unit
        's'
    """
    limit = BRISK if temperature > 0 else BEARABLE

    def pair(bench: Bench) -> Pair:
        seconds = closing_time(bench, temperature)
        return seconds, np.where(np.isnan(seconds), np.nan, limit)

    return pair


def closing_time(bench: Bench, temperature: float) -> Array:
    """Time of the closing stroke [s], shape (outfits, few samples); NaN without power, infinite when stalled.

    Args:
        bench: the outfits.
        temperature: of the oil [°C].

    Returns:
        Array.

    Source: `physics.circuit`.

    Example:
        >>> closing_time.__name__
        'closing_time'
    """
    motion = lid_motion(bench, temperature)
    oil = np.full((len(bench.outfits), motion.close.time.shape[-1] if motion.rows.size else 1), np.nan)
    if motion.rows.size:
        oil[motion.rows] = np.where(np.isnan(motion.close.time), np.inf, motion.close.time)
    strokes, speeds = bench.tools["electrics.stroke"], bench.tools["electrics.speed"]
    slow = _column(bench, lambda o: 1.0 if o.power.route == "electric" else np.nan)
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
        >>> lid_motion.__name__
        'lid_motion'
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


def pressure(bench: Bench) -> Pair:
    """Relief against the lowest rating of kit and lid [Pa].

    Args:
        bench: the outfits.

    Returns:
        (demand, capacity) over outfits and samples.

    Example:
        >>> from handfast.outfits.checks import check
        >>> check("power.pressure").unit
        'Pa'
    """
    kits = _column(bench, _weakest)
    lid = np.where(np.isfinite(bench.tools["hydraulics.pressure_max"]), bench.tools["hydraulics.pressure_max"], np.inf)
    oil = _column(bench, lambda o: 1.0 if o.power.route in OIL_ROUTES else np.nan)
    weakest = np.minimum(kits, lid)
    return bench.draws["relief_pressure"] * oil, np.where(np.isinf(weakest), np.nan, weakest)


def _weakest(outfit: Outfit) -> float:
    ratings = [p.pressure_max.value for p in outfit.power.parts if not p.pressure_max.is_unknown]
    return float(min(ratings, default=np.inf))


def velocity(bench: Bench) -> Pair:
    """Oil speed in the route's lines [m/s] against the custom.

    Args:
        bench: the outfits.

    Returns:
        (demand, capacity) over outfits and samples.

    Example:
        >>> from handfast.outfits.checks import check
        >>> check("power.velocity").unit
        'm/s'
    """
    oil = _column(bench, lambda o: 1.0 if o.power.route in OIL_ROUTES else np.nan)
    speed = hydraulics.velocity(flow_on_offer(bench.draws)[:FEW], LINE_BORE) * oil
    return speed, np.where(np.isnan(speed), np.nan, FAST)


def current(bench: Bench) -> Pair:
    """1.25 times the actuator's current against cable and fuse [A].

    Args:
        bench: the outfits.

    Returns:
        (demand, capacity) over outfits and samples.

    Example:
        >>> from handfast.outfits.checks import check
        >>> check("power.current").unit
        'A'
    """
    asked = 1.25 * bench.tools["electrics.current"] * _electric(bench)
    stands = electrics.ampacity(CABLE_GAUGE)
    return asked, np.where(np.isnan(asked), np.nan, stands)


def voltage(bench: Bench) -> Pair:
    """Share of the supply lost in the cable.

    Args:
        bench: the outfits.

    Returns:
        (demand, capacity) over outfits and samples.

    Example:
        >>> from handfast.outfits.checks import check
        >>> check("power.voltage").unit
        'share'
    """
    drop = electrics.voltage_drop(bench.tools["electrics.current"], float(CABLE_GAUGE), CABLE_LENGTH) / SUPPLY
    asked = drop * _electric(bench)
    return asked, np.where(np.isnan(asked), np.nan, DROP)


def _electric(bench: Bench) -> Array:
    return _column(bench, lambda o: 1.0 if o.power.route == "electric" else np.nan)


def chain(bench: Bench) -> Pair:
    """1 where both lines have a chain of fittings; NaN where a port is not known.

    Args:
        bench: the outfits.

    Returns:
        (demand, capacity) over outfits and samples.

    Example:
        >>> from handfast.outfits.checks import check
        >>> check("join.chain").unit
        '1'
    """
    found = [np.nan if join is None else float(join.complete) for join in bench.joins] if bench.joins else None
    return np.ones((1, 1)), _nan(bench) if found is None else bench.per_outfit(found)


def hose_reach(bench: Bench) -> Pair:
    """Length the path asks for against the hose bought [m]; NaN where the path is not known.

    Args:
        bench: the outfits.

    Returns:
        (demand, capacity) over outfits and samples.

    Example:
        >>> from handfast.outfits.checks import check
        >>> check("join.hose_reach").unit
        'm'
    """
    if not bench.joins:
        return _nan(bench), _nan(bench)
    needed = [np.nan if join is None else join.needed for join in bench.joins]
    bought = [np.nan if join is None else join.bought for join in bench.joins]
    return bench.per_outfit(needed), bench.per_outfit(bought)
