"""The checks of chapters 9 to 11 over outfits: oil, current, connections. Pairs of demand and capacity."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from handfast.outfits.bench import Bench
from handfast.outfits.draws import Draws
from handfast.outfits.lid import OIL_ROUTES, closing_time, lines_of, own_pump, supplied
from handfast.outfits.oil_lines import narrowest
from handfast.outfits.outfit import Outfit
from handfast.physics import electrics, hydraulics
from handfast.quantities.arrays import Array

BRISK, BEARABLE, FAST, DROP = 6.0, 20.0, 6.0, 0.10
CABLE_GAUGE, CABLE_LENGTH, SUPPLY = "8", 4.0, 12.0

NO_PUMP = (float("nan"), float("nan"))

Pair = tuple[Array, Array]


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
        >>> from handfast.outfits.example import bench
        >>> bool((supply(bench())[1] == 1.0).all())  # a front outlet pair, an open centre
        True
    """
    keys = [(o.power.presumes, _centres(o)) for o in bench.outfits]
    place = {key: k for k, key in enumerate(dict.fromkeys(keys))}
    each = np.vstack([np.broadcast_to(_supplied_in(*key, bench.draws), (bench.draws.size,)) for key in place])
    return np.ones((1, 1)), each[[place[key] for key in keys]]


def _centres(outfit: Outfit) -> tuple[str, ...]:
    """The valve centres that the route's kit goes with; none where any will do."""
    kits = [part for part in outfit.power.parts if part.kind == "valve_kit" and part.centre]
    return tuple(str(one) for one in kits[0].centre) if kits else ()


def _supplied_in(presumed: str | None, centres: tuple[str, ...], draws: Draws) -> Array:
    has = np.ones(1)
    if presumed in ("front_functions", "rear_remotes") and presumed in draws.choices:
        has = 1.0 - draws.picked(presumed, "0")
    elif presumed == "power_beyond" and presumed in draws.choices:
        has = draws.picked("power_beyond", "yes")
    if centres and "centre" in draws.choices:
        has = has * np.maximum.reduce([draws.picked("centre", one) for one in centres])
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


def pressure(bench: Bench) -> Pair:
    """Relief against the lowest rating of kit, lid and line, or a shut rod port against its line: the scarcer of both.

    A rod port can be shut where a coupler stands in its line: one that is not home. What is sold between that coupler
    and the lid must bear p·A/a; what comes along has a rating of its own that nobody has said.

    Args:
        bench: the outfits.

    Returns:
        (demand, capacity) over outfits and samples.

    Source: pressure times area, equilibrium of the piston.

    Example:
        >>> from handfast.outfits.checks import check
        >>> check("power.pressure").unit
        'Pa'
    """
    kits = _column(bench, _weakest)
    lid = np.where(np.isfinite(bench.tools["hydraulics.pressure_max"]), bench.tools["hydraulics.pressure_max"], np.inf)
    oil = _column(bench, lambda o: 1.0 if o.power.route in OIL_ROUTES else np.nan)
    sides = np.array([_sides(bench, k) for k in range(len(bench.outfits))]).reshape(-1, 2)
    weakest = np.minimum(np.minimum(kits, lid), bench.per_outfit(sides[:, 0].tolist()))
    ratio = hydraulics.blocked_rod_pressure(1.0, bench.tools["hydraulics.bore"], bench.tools["hydraulics.rod"])
    bears = bench.per_outfit(sides[:, 1].tolist())
    by_rod = bears / ratio < weakest
    demand = _relief(bench) * (np.where(by_rod, ratio, 1.0) * oil)
    return demand, np.where(by_rod, bears, np.where(np.isinf(weakest), np.nan, weakest))


def _relief(bench: Bench) -> Array:
    """Relief pressure [Pa]: the tractor's, or that of a pump of its own."""
    own = bench.per_outfit([(own_pump(o) or NO_PUMP)[1] for o in bench.outfits])
    relief = bench.draws["relief_pressure"]
    return np.asarray(relief if np.isnan(own).all() else np.where(np.isnan(own), relief, own))


def _sides(bench: Bench, k: int) -> tuple[float, float]:
    """What is sold for an outfit's bore side and rod side bears [Pa]."""
    join, oil = bench.joins[k] if bench.joins else None, bench.outfits[k].attachment.hydraulics
    if join is None:
        return np.inf, np.inf
    closing, opening = join.bears
    return (closing, opening) if oil is None or oil.close == "extend" else (opening, closing)


def _weakest(outfit: Outfit) -> float:
    ratings = [p.pressure_max.value for p in outfit.power.parts if not p.pressure_max.is_unknown]
    return float(min(ratings, default=np.inf))


def velocity(bench: Bench) -> Pair:
    """Oil speed in the narrowest hose of the lines [m/s] against the custom.

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
    known: dict[int, float] = {}
    lines = [lines_of(bench, k) for k in range(len(bench.outfits))]
    for line in {id(line): line for pair in lines for line in pair}.values():
        known[id(line)] = narrowest(line)
    bores = bench.per_outfit([min(known[id(line)] for line in pair) for pair in lines])
    speed = hydraulics.velocity(supplied(bench, np.arange(len(bench.outfits)))[0], bores) * oil
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
