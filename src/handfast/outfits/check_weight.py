"""The checks of mounting, lift, curl, balance and slope over outfits: demand and capacity, NaN where not decidable."""

from __future__ import annotations

import numpy as np

from handfast.outfits.bench import Bench
from handfast.outfits.check_shape import lowest_when_dumped
from handfast.physics.lift import curl_moment
from handfast.quantities.arrays import Array, known_or_zero

Pair = tuple[Array, Array]  # demand, capacity; NaN where not decidable
CURL_AT = 0.5  # m ahead of the pin
BY_DUMP = ("loose", "rock", "brush", "root_raking")


def _yes(bench: Bench, values: Array) -> Pair:
    return np.ones((1, 1)), np.asarray(values, dtype=np.float64)


def _asked(values: Array, asked: bool) -> Array:
    return values if asked else np.full_like(np.asarray(values, dtype=np.float64), np.nan)


def mount_route(bench: Bench) -> Pair:
    """1 where a way to hang it exists on this loader and is rated for what it carries.

    Args:
        bench: the outfits.

    Returns:
        (demand, capacity) over outfits and samples.

    Example:
        >>> from handfast.outfits.checks import check
        >>> check("mount.route").unit
        '1'
    """
    names, at = bench.ways.interfaces
    has = np.vstack(np.broadcast_arrays(*(bench.draws.picked("quick_attach", name) for name in names)))[at]
    carries = bench.tools["mass"] + known_or_zero(bench.load.mass) <= bench.ways.rating
    return _yes(bench, has * np.where(carries, 1.0, 0.0))


def width(bench: Bench) -> Pair:
    """Width of the attachment against the gate [m].

    Args:
        bench: the outfits.

    Returns:
        (demand, capacity) over outfits and samples.

    Example:
        >>> from handfast.outfits.checks import check
        >>> check("mount.width").unit
        'm'
    """
    return bench.tools["width"], bench.draws["site.gate"]


def full_height(bench: Bench) -> Pair:
    """Σ m(1 + λd) against the rating at the pins, full height [kg].

    Args:
        bench: the outfits.

    Returns:
        (demand, capacity) over outfits and samples.

    Example:
        >>> from handfast.outfits.checks import check
        >>> check("lift.full_height").unit
        'kg'
    """
    return bench.demand_at(bench.frame.height_max)


def needed_height(bench: Bench) -> Pair:
    """The same at the pin height that the side asked for needs [kg]; 0 where the arms do not reach.

    Args:
        bench: the outfits.

    Returns:
        (demand, capacity) over outfits and samples.

    Example:
        >>> from handfast.outfits.checks import check
        >>> check("lift.needed_height").unit
        'kg'
    """
    height = bench.needed_height
    demand, capacity = bench.demand_at(np.minimum(height, bench.frame.height_max))
    reach = height <= bench.frame.height_max
    asked = np.isfinite(height)
    return np.where(asked, demand, np.nan), np.where(asked, np.where(reach, capacity, 0.0), np.nan)


def curl(bench: Bench) -> Pair:
    """Σ m·d against the published curl moment [kg·m].

    Args:
        bench: the outfits.

    Returns:
        (demand, capacity) over outfits and samples.

    Example:
        >>> from handfast.outfits.checks import check
        >>> check("lift.curl").unit
        'kg.m'
    """
    mass, ahead = bench.credit
    sheet = curl_moment(bench.draws["loader.curl_at_500"], CURL_AT) + mass * ahead
    if bench.links is None:
        return bench.moment((*bench.hung, bench.piece)), sheet
    needed, top = bench.needed_height, bench.frame.height_max
    to = np.where(np.isfinite(needed), np.minimum(needed, top), top)
    held = bench.moment(bench.hung) + bench.links.least_curl(to) * np.asarray(bench.piece.x)
    return bench.moment((*bench.hung, bench.piece)), np.fmin(sheet, held)


def attachment_rating(bench: Bench) -> Pair:
    """Load against what the attachment is rated for [kg].

    Args:
        bench: the outfits.

    Returns:
        (demand, capacity) over outfits and samples.

    Example:
        >>> from handfast.outfits.checks import check
        >>> check("lift.attachment_rating").unit
        'kg'
    """
    return np.asarray(bench.piece.mass), bench.tools["rated_load"]


def dump_height(bench: Bench) -> Pair:
    """Side and room against the lowest point when dumped [m]; asked only for work that is tipped out.

    Args:
        bench: the outfits.

    Returns:
        (demand, capacity) over outfits and samples.

    Example:
        >>> from handfast.outfits.checks import check
        >>> check("lift.dump_height").unit
        'm'
    """
    asked = bench.inquiry.work[0].kind in BY_DUMP if bench.inquiry.work else False
    if not asked:
        return np.full((1, 1), np.nan), np.full((1, 1), np.nan)
    return bench.draws["site.lift_to"] + 0.15, lowest_when_dumped(bench)


def budget(bench: Bench) -> Pair:
    """The bill is added after the checks, so nothing is compared here; `advise` fills it in.

    Args:
        bench: the outfits.

    Returns:
        (demand, capacity) over outfits and samples.

    Example:
        >>> from handfast.outfits.checks import check
        >>> check("cost.budget").unit
        'money'
    """
    return np.full((1, 1), np.nan), np.full((1, 1), np.nan)
