"""First roll over all headings for the slope picture: travelling low and raised, with what the axle's stop adds."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from handfast.advice.result import SlopeCurve
from handfast.outfits.bench import TRAVEL, TRAVEL_HEIGHT, Bench
from handfast.outfits.masses import combined
from handfast.physics.balance import Item
from handfast.physics.slope import Body, Lines, body_without_axle, combine, first_roll, worst_heading
from handfast.physics.swing import second_phase
from handfast.quantities.arrays import Array, ArrayLike, middle, row_quantiles

HEADINGS = 37  # from straight downhill to straight uphill; the other side is its mirror image
TITLES = {"travelling": "load low", "needed_height": "load at the height asked", "full_height": "load at full height"}
MEASURES = ("rear_track", "front_pivot_height", "front_track", "front_axle_swing")


def slope_curves(bench: Bench) -> tuple[tuple[SlopeCurve, ...], ...]:
    """The slope curves of every way of hanging, ballast and liquid on, at the medians of what is not known.

    Args:
        bench: outfits with their ballast.

    Returns:
        For each row of `bench.hung_once` the curves travelling and raised; none where a figure is not known.

    Source: `physics.slope.first_roll`, `physics.swing.second_phase`.

    Example:
        >>> from handfast.outfits.example import bench
        >>> [curve.title for curve in slope_curves(bench())[0]]
        ['load low', 'load at full height']
    """
    once = bench.hung_once
    rows, asked = len(once.outfits), np.isfinite(once.needed_height).all()
    if not all(once.draws.known(name) for name in MEASURES[:2]):
        return ((),) * rows
    high = np.minimum(once.needed_height, once.frame.height_max) if asked else once.frame.height_max
    heights = [np.array([TRAVEL_HEIGHT]), high]
    poses = ("travelling", "needed_height" if asked else "full_height")
    whole = [_medians(combined(once.items(TRAVEL, height=at)), rows) for at in heights]
    stacked = Item(*(np.concatenate(parts) for parts in zip(*whole, strict=True)))
    found = _reckoned(once, stacked)
    pins = [_median(at, rows)[:, 0] for at in heights]
    made = [_curve(found, k * rows + row, poses[k], float(pins[k][row])) for row in range(rows) for k in range(2)]
    return tuple(tuple(one for one in made[2 * row : 2 * row + 2] if one is not None) for row in range(rows))


def _median(values: ArrayLike, rows: int) -> Array:
    """Median of each row of samples as a column."""
    table = np.atleast_2d(np.asarray(values, dtype=np.float64))
    return np.broadcast_to(row_quantiles(table, (0.5,)).T, (rows, 1))


def _medians(body: Body, rows: int) -> Item:
    return Item(*(_median(part, rows) for part in (body.mass, body.x, body.z)))


def _reckoned(once: Bench, whole: Item) -> tuple[Array, Array, Array, Array]:
    """First roll and where it goes over for good, (bodies, headings); the worst heading and its angle, (bodies, 1)."""
    d, span = once.draws, middle(once.frame.wheelbase)
    axle = tuple(middle(part) for part in once.front_axle)
    track, up, fore, swing = (middle(d[name]) for name in MEASURES)
    body = body_without_axle(whole.mass, whole.x, whole.z, *axle)
    machine = combine([whole.mass], [whole.x], [0.0], [whole.z])
    turns = np.linspace(0.0, np.pi, HEADINGS)
    lines = first_roll(turns, body, span, track, up, machine)
    front = combine([axle[0]], [axle[1]], [0.0], [axle[2]])
    stop = second_phase(turns, body, front, span, track, fore, up, swing)
    return (lines.least, _over(lines, stop), *worst_heading(body, span, track, up, machine))


def _over(lines: Lines, stop: Array) -> Array:
    """Slope at which it goes over for good: the stop helps about the side lines, never in pitch."""
    side = np.maximum(np.fmin(lines.right, lines.left), stop)
    return np.asarray(np.minimum(side, np.fmin(lines.front, lines.rear)))


def _curve(found: Sequence[Array], row: int, pose: str, pin: float) -> SlopeCurve | None:
    first, over, heading, angle = (part[row] for part in found)
    if np.isnan(first).any() or np.isnan(heading).any() or np.isnan(angle).any():
        return None
    return SlopeCurve(
        pose=pose,
        title=TITLES[pose],
        pin_height=pin,
        headings=tuple(np.linspace(0.0, np.pi, HEADINGS).tolist()),
        first_roll=tuple(first.tolist()),
        to_the_stop=() if np.isnan(over).any() else tuple(over.tolist()),
        worst_heading=float(heading[0]),
        worst=float(angle[0]),
    )
