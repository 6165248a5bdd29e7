"""The checks of shape and grip over outfits: opening, hold, clearance, height when dumped, off-centre load."""

from __future__ import annotations

import numpy as np

from handfast.outfits.bench import Bench
from handfast.outfits.clearing import gaps
from handfast.outfits.gripping import slip_loads
from handfast.outfits.tools import floor_points
from handfast.physics.balance import off_centre_moment
from handfast.physics.clearance import dump_lowest_point
from handfast.physics.grip import GRAVITY
from handfast.quantities.arrays import Array

ROOM = 1.2  # opening over diameter (practice)
SURE = 1.5  # grip over weight (practice)
GAP = 0.05  # m that must stay free
FRICTION = 0.5  # steel tines on bark or stone, edges biting (practice, no source)

Pair = tuple[Array, Array]


def opening(bench: Bench) -> Pair:
    """1.2 times the diameter against the lesser of the known openings [m]; only for lids.

    Args:
        bench: the outfits.

    Returns:
        (demand, capacity) over outfits and samples.

    Example:
        >>> from handfast.outfits.checks import check
        >>> check("grip.opening").unit
        'm'
    """
    tip, throat = bench.tools["opening_tip"], bench.tools["opening_throat"]
    return ROOM * bench.load.diameter * bench.ways.lidded, np.fmin(tip, throat)


def off_centre(bench: Bench) -> Pair:
    """Moment of half the load on one outer tine [N·m]; the arms' limit is not known, so nothing is compared.

    Args:
        bench: the outfits.

    Returns:
        (demand, capacity) over outfits and samples.

    Example:
        >>> from handfast.outfits.checks import check
        >>> check("balance.off_centre").unit
        'N.m'
    """
    moment = off_centre_moment(bench.piece.mass, bench.tools["width"])
    return moment, np.full((1, 1), np.nan)


def lowest_when_dumped(bench: Bench) -> Array:
    """Lowest point of the floor at full height, dumped [m]; NaN without floor or dump angle.

    Args:
        bench: the outfits.

    Returns:
        Shape (outfits, 1 or samples).

    Source: `physics.clearance.dump_lowest_point`.

    Example:
        >>> from handfast.outfits.example import bench
        >>> bool((lowest_when_dumped(bench()) < bench().frame.height_max).all())
        True
    """
    height, angle = bench.frame.height_max, bench.draws["loader.dump_angle"]
    alike = bench.ways.once(("floors",), lambda: _floors(bench))
    return dump_lowest_point(height, bench.plane_x, -bench.plane_z, alike, angle)


def _floors(bench: Bench) -> Array:
    """The floors of all attachments, shape (outfits, points, 2)."""
    floors = [floor_points(one.attachment) for one in bench.outfits]
    most = max((len(one) for one in floors if one is not None), default=1)
    return np.stack([np.full((most, 2), np.nan) if one is None else _lengthened(one, most) for one in floors])


def _lengthened(floor: Array, points: int) -> Array:
    """A floor with its last point said again, so that all floors have as many points."""
    return np.concatenate([floor, np.repeat(floor[-1:], points - len(floor), axis=0)])


def hold(bench: Bench) -> Pair:
    """1.5 times the weight against the slip load [N]; NaN where the jaw is not drawn.

    Args:
        bench: the outfits.

    Returns:
        (demand, capacity) over outfits and samples.

    Example:
        >>> from handfast.outfits.checks import check
        >>> check("grip.hold").unit
        'N'
    """
    return SURE * GRAVITY * bench.load.mass * bench.ways.lidded, slip_loads(bench, FRICTION)


def least_gap(bench: Bench) -> Pair:
    """0.05 m against the least gap over the curl range [m]; NaN where the curl range is not known.

    Args:
        bench: the outfits.

    Returns:
        (demand, capacity) over outfits and samples.

    Example:
        >>> from handfast.outfits.checks import check
        >>> check("mount.clearance").unit
        'm'
    """
    return np.full((1, 1), GAP), gaps(bench)
