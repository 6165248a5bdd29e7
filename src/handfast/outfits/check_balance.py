"""The checks of axles, tyres, hitch and slope over outfits: demand and capacity, NaN where not decidable."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from handfast.outfits.bench import EMPTY, FURTHEST, TRAVEL, TRAVEL_HEIGHT, Bench
from handfast.outfits.masses import combined
from handfast.physics.balance import hitch_capacity, hold_on_slope, share
from handfast.quantities.arrays import Array, known_or_zero

Pair = tuple[Array, Array]
STOP, CAUTION, FRONT_SHARE = 0.20, 0.25, 0.20  # written rules for the rear axle and the front one

SLOPE_FACTOR = 0.5  # of the first roll (practice, editable): a figure to refuse by
GROSS_POSES = ((FURTHEST, 1.0), (EMPTY, 1.0), (TRAVEL, 1.0))


def rear_share(asked: float) -> Callable[[Bench], Pair]:
    """The check of the rear axle's share, loaded furthest forward.

    Args:
        asked: share that the rule asks.

    Returns:
        the function that gives demand and capacity.

    Example:
        >>> from handfast.outfits.checks import check
        >>> check("balance.rear_share_loaded").unit
        'share'
    """

    def pair(bench: Bench) -> Pair:
        front, rear = bench.axles(FURTHEST)
        return np.full((1, 1), asked), share(rear, front + rear)

    return pair


def front_share(bench: Bench) -> Pair:
    """Front axle share asked, raised and empty, against the share there is.

    Args:
        bench: the outfits.

    Returns:
        (demand, capacity) over outfits and samples.

    Example:
        >>> from handfast.outfits.checks import check
        >>> check("balance.front_share_empty").unit
        'share'
    """
    front, rear = bench.axles(EMPTY)
    return np.full((1, 1), FRONT_SHARE), share(front, front + rear)


def _greatest(bench: Bench, side: int) -> Array:
    poses = ((FURTHEST, 1.0), (EMPTY, 1.0), (TRAVEL, bench.bump))
    each = np.broadcast_arrays(*(bench.axles(pose, bump)[side] for pose, bump in poses))
    return np.asarray(np.maximum.reduce(each), dtype=np.float64)


def axle(side: int, path: str) -> Callable[[Bench], Pair]:
    """The check of one axle against its rating [kg], the greatest of the poses.

    Args:
        side: 0 front, 1 rear.
        path: of the rating.

    Returns:
        the function that gives demand and capacity.

    Example:
        >>> from handfast.outfits.checks import check
        >>> check("balance.front_axle").unit
        'kg'
    """

    def pair(bench: Bench) -> Pair:
        return _greatest(bench, side), bench.draws[path]

    return pair


def tyres(side: int, name: str) -> Callable[[Bench], Pair]:
    """The check of one axle's tyres [kg], the greatest of the poses.

    Args:
        side: 0 front, 1 rear.
        name: of the tyre record.

    Returns:
        the function that gives demand and capacity.

    Example:
        >>> from handfast.outfits.checks import check
        >>> check("balance.front_tyres").unit
        'kg'
    """

    def pair(bench: Bench) -> Pair:
        tyre = getattr(bench.inquiry.machine, name)
        count = 2 if tyre is None or tyre.count is None else tyre.count
        return _greatest(bench, side), count * bench.draws[f"{name}.load_each"]

    return pair


def hitch(bench: Bench) -> Pair:
    """What hangs on the hitch against what it lifts there [kg]; NaN where nothing hangs.

    Args:
        bench: the outfits.

    Returns:
        (demand, capacity) over outfits and samples.

    Example:
        >>> from handfast.outfits.checks import check
        >>> check("balance.hitch").unit
        'kg'
    """
    d, f = bench.draws, bench.frame
    now = known_or_zero(d["behind.mass"])
    demand, far = now, np.where(now > 0, bench.behind_x - d["hitch_behind_axle"], 0.0)
    for one in bench.added:
        demand, far = (
            demand + one.hitch,
            np.maximum(far, np.where(one.hitch > 0, one.hitch_x - d["hitch_behind_axle"], 0.0)),
        )
    if not bench.added and not now.any():
        return np.full((1, 1), np.nan), np.full((1, 1), np.nan)
    return np.where(demand > 0, demand, 0.0), hitch_capacity(d["hitch_lift_610"], far) + 0.0 * f.wheelbase


def gross(bench: Bench) -> Pair:
    """Greatest mass of the poses against the gross rating [kg].

    Args:
        bench: the outfits.

    Returns:
        (demand, capacity) over outfits and samples.

    Example:
        >>> from handfast.outfits.checks import check
        >>> check("balance.gross").unit
        'kg'
    """
    totals = [np.add(*bench.axles(pose, bump)) for pose, bump in GROSS_POSES]
    return np.maximum.reduce(np.broadcast_arrays(*totals)), bench.draws["gross_rating"]


def slope_hold(bench: Bench) -> Pair:
    """Pull of the slope against the grip of the braked wheels, nose down [N].

    Args:
        bench: the outfits.

    Returns:
        (demand, capacity) over outfits and samples.

    Example:
        >>> from handfast.outfits.checks import check
        >>> check("balance.slope_hold").unit
        'N'
    """
    if not bench.draws.known("site.slope"):
        return np.full((1, 1), np.nan), np.full((1, 1), np.nan)
    body = combined(bench.items(TRAVEL, height=np.array([TRAVEL_HEIGHT])))
    drive = bool(bench.inquiry.machine.four_wheel_drive)
    slope = bench.draws["site.slope"]
    held = hold_on_slope(body.mass, body.x, body.z, bench.frame.wheelbase, slope, all_wheels=drive)
    return held.demand, held.capacity


def slope_side(bench: Bench) -> Pair:
    """The site's slope against half of the first roll, load low and at the height asked [rad].

    Args:
        bench: the outfits.

    Returns:
        (demand, capacity) over outfits and samples.

    Example:
        >>> from handfast.outfits.checks import check
        >>> check("slope.side").unit
        'rad'
    """
    if not bench.draws.known("site.slope"):
        return np.full((1, 1), np.nan), np.full((1, 1), np.nan)
    return bench.draws["site.slope"], slope_refused(bench)


def slope_refused(bench: Bench) -> Array:
    """Half of the first roll, load low or at the height asked (full height where none is), whichever is less [rad].

    Args:
        bench: the outfits.

    Returns:
        Over outfits and samples; NaN where the machine's own shape is not known.

    Source: practice, half of the statical limit.

    Example:
        >>> from handfast.outfits.example import bench
        >>> slope_refused(bench()).ndim
        2
    """
    high = np.minimum(
        np.where(np.isfinite(bench.needed_height), bench.needed_height, bench.frame.height_max), bench.frame.height_max
    )
    low = bench.first_roll(np.array([TRAVEL_HEIGHT]))
    return np.atleast_2d(SLOPE_FACTOR * np.fmin(low, bench.first_roll(high)))
