"""One outfit over every pose: pin height by tool angle, all checks that a pose changes, and which of them governs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from handfast.outfits.bench import TRAVEL_HEIGHT, Bench
from handfast.outfits.check_balance import FRONT_SHARE, SLOPE_FACTOR, STOP
from handfast.outfits.pose_figures import Figures, figures_of
from handfast.outfits.pose_linkage import Held, held_by
from handfast.physics.balance import Axles, Item, axles, hold_on_slope, posed, share
from handfast.physics.lift import ahead_at_angle, carried_one, pin_x, rating_at_height
from handfast.physics.slope import Body, body_without_axle, combine, least_first_roll
from handfast.quantities.arrays import Array, ArrayLike

Pair = tuple[ArrayLike, ArrayLike]  # demand, capacity
LIFT, CURL, REAR, FRONT, HOLD, SLOPE = (
    "lift.full_height",
    "lift.curl",
    "balance.rear_share_loaded",
    "balance.front_share_empty",
    "balance.slope_hold",
    "slope.side",
)
RATED = ("balance.front_axle", "balance.rear_axle", "balance.front_tyres", "balance.rear_tyres")
POSE_CHECKS = (LIFT, CURL, REAR, FRONT, *RATED, HOLD, SLOPE)


@dataclass(frozen=True)
class PoseMap:
    """Figures over (heights, curls); NaN where the arms or the measured linkage have no such pose."""

    heights: Array  # of the pins [m], shape (n,)
    curls: Array  # tool angle from level, curled back positive [rad], shape (m,)
    demand: Array  # (checks, n, m), each in its check's unit, in the order of POSE_CHECKS
    capacity: Array  # (checks, n, m); NaN where the check is not decidable
    payload: Array  # kg that lift and curl leave for the load
    by_linkage: NDArray[np.bool_]  # where the measured linkage lifts less than the sheet says
    loaded: Axles  # kg, load on, at rest
    empty: Axles  # kg, no load
    first_roll: Array  # rad, load on, worst heading
    governs: NDArray[np.intp]  # place in POSE_CHECKS of the check nearest its limit; -1 where there is no pose

    def of(self, check_id: str) -> tuple[Array, Array]:
        """Demand and capacity of one check over the poses."""
        at = POSE_CHECKS.index(check_id)
        return self.demand[at], self.capacity[at]

    @property
    def holds(self) -> NDArray[np.bool_]:
        """Poses there are in which every decidable check holds."""
        short = self.capacity - self.demand < -1e-9 * np.abs(self.capacity)
        return np.asarray(~short.any(axis=0) & (self.governs >= 0))


def pose_map(bench: Bench, row: int, heights: ArrayLike, curls: ArrayLike) -> PoseMap:
    """All checks that a pose changes over pin heights and tool angles, at the medians of what is not known.

    Args:
        bench: outfits with what is added to them.
        row: which of them.
        heights: of the pins [m], shape (n,).
        curls: tool angles from level, curled back positive [rad], shape (m,).

    Returns:
        `PoseMap`. Axles and tyres see the outfit loaded and empty, with the bump factor where the pins stand no
        higher than in travelling. The sheet's curl moment holds where it was given; only a linkage knows the rest.

    Source: the same functions of `physics` that the checks call.

    Example:
        >>> from handfast.outfits.example import bench
        >>> pose_map(bench(), 0, [0.4, 1.8], [0.0]).payload.round(1).tolist()
        [[215.4], [215.4]]
    """
    f = figures_of(bench, row)
    high, turn = np.asarray(heights, dtype=np.float64)[:, None], np.asarray(curls, dtype=np.float64)
    with np.errstate(invalid="ignore", divide="ignore"):
        held = held_by(f, high, turn)
        pose = _Pose(f, high, turn, held)
        pairs = [*pose.lifts(), *pose.balances(), pose.grips(), (f.limits.slope, SLOPE_FACTOR * pose.first_roll)]
        demand, capacity = (np.stack([pose.spread(pair[k]) for pair in pairs]) for k in (0, 1))
        left, by_linkage = pose.payload()
    return PoseMap(
        heights=high[:, 0],
        curls=turn,
        demand=demand,
        capacity=capacity,
        payload=pose.spread(left),
        by_linkage=by_linkage,
        loaded=Axles(*map(pose.spread, pose.loaded)),
        empty=Axles(*map(pose.spread, pose.empty)),
        first_roll=pose.spread(pose.first_roll),
        governs=_governing(demand, capacity, pose.nowhere),
    )


def _governing(demand: Array, capacity: Array, nowhere: NDArray[np.bool_]) -> NDArray[np.intp]:
    """The decidable check with the least capacity for what is asked."""
    ratio = np.where(demand > 0.0, capacity / np.where(demand > 0.0, demand, 1.0), np.inf)
    ratio = np.where(np.isnan(ratio), np.inf, ratio)
    return np.where(nowhere, -1, ratio.argmin(axis=0)).astype(np.intp)


class _Pose:
    """The outfit in all poses at once: heights down, tool angles across."""

    def __init__(self, figures: Figures, high: Array, turn: Array, held: Held | None) -> None:
        f = self.f = figures
        self.high, self.held = high, held
        lowest = min(float(f.pivot.height_down), TRAVEL_HEIGHT)
        reached = (high <= f.height_max + 1e-9) & (high >= lowest - 1e-9)
        self.pin = (np.where(reached, pin_x(f.pivot, high), np.nan), high)
        coupler, *hung = (_turned(item, turn) for item in (f.coupler, *f.hung))
        self.hung, self.piece = (coupler, *hung), _turned(f.piece, turn)
        self.nowhere = np.isnan(self.pin[0] + 0.0 * turn + (0.0 if held is None else held.tilt))
        rating, self.slope = self._rated()
        self.sheet = rating + carried_one(f.rating.credit, self.slope, f.rating.credit_ahead)
        empty = self._items(self.hung, 1.0)
        load = Item(f.piece.mass, self.pin[0] + np.asarray(self.piece.x), high + np.asarray(self.piece.z))
        self.empty, self.loaded = self._axles(empty), self._axles([*empty, load])
        every = [*empty, load]
        self.whole = combine([i.mass for i in every], [i.x for i in every], [0.0] * len(every), [i.z for i in every])
        self.first_roll = self._first_roll()

    def spread(self, values: ArrayLike) -> Array:
        """Values over every pose, NaN where there is none."""
        return np.where(self.nowhere, np.nan, values)

    def _rated(self) -> tuple[Array, Array]:
        f, r = self.f, self.f.rating
        if r.self_levelling:
            return np.asarray(r.pin + 0.0 * self.high), np.zeros(1)
        return rating_at_height(r.pin, r.slope, r.pin_1500, r.at_500_1500, self.high, f.pivot, f.height_max)

    def _items(self, carried: Sequence[Item], bump: ArrayLike) -> list[Item]:
        f = self.f
        down = (pin_x(f.pivot, f.pivot.height_down), f.pivot.height_down)
        mass, x, z = (np.asarray(part, dtype=np.float64) for part in f.coupler)
        off = Item(-mass, down[0] + x, down[1] + z)  # it rested there in the ready state
        place = ((f.pivot.x, f.pivot.z), down, self.pin)
        return posed(f.ready, f.arms, Item(0.0, 0.0, 0.0), *place, carried, (*f.fixed, off), bump)

    def _axles(self, items: Sequence[Item]) -> Axles:
        return axles([i.mass for i in items], [i.x for i in items], self.f.wheelbase)

    def _first_roll(self) -> Array:
        f, axle = self.f, self.f.front_axle
        body: Body = body_without_axle(self.whole.mass, self.whole.x, self.whole.z, axle.mass, axle.x, axle.z)
        return least_first_roll(body, f.wheelbase, f.rear_track, f.front_pivot, self.whole)

    def lifts(self) -> tuple[tuple[Array, Array], tuple[Array, Array]]:
        """Lift and curl, each asked and there."""
        inside = self.hung[1:] if self.f.rating.contains_coupler else self.hung
        dead = np.asarray(sum(carried_one(i.mass, self.slope, i.x) for i in inside))
        own = np.asarray(sum(np.multiply(i.mass, i.x) for i in inside))
        mass, ahead = np.asarray(self.piece.mass), np.asarray(self.piece.x)
        lift, curl = self.sheet, np.asarray(self.f.rating.curl_moment)
        if self.held is not None:
            lift = np.minimum(lift, dead + carried_one(self.held.lift, self.slope, ahead))
            curl = np.fmin(curl, own + self.held.curl * np.maximum(ahead, 0.0))
        return (dead + carried_one(mass, self.slope, ahead), lift), (own + mass * ahead, curl)

    def payload(self) -> tuple[Array, NDArray[np.bool_]]:
        """What lift and curl leave for the load [kg]; where the linkage lifts less than the sheet."""
        (asked, lift), (turned, curl) = self.lifts()
        mass, ahead = np.asarray(self.piece.mass), np.asarray(self.piece.x)
        left = mass + (lift - asked) / carried_one(1.0, self.slope, ahead)
        spare = np.where(ahead > 0.0, mass + (curl - turned) / np.where(ahead > 0.0, ahead, 1.0), np.inf)
        return np.fmin(left, spare), np.asarray((lift < self.sheet) & ~self.nowhere)

    def balances(self) -> list[Pair]:
        """Shares of rear and front axle, then axles and tyres against their ratings."""
        limits = self.f.limits
        bump = np.where(self.high <= TRAVEL_HEIGHT + 1e-9, self.f.bump, 1.0)
        felt = self._axles(self._items((*self.hung, self.piece), bump))
        front, rear = (np.maximum(a, b) for a, b in zip(felt, self.empty, strict=True))
        shares: list[Pair] = [
            (STOP, share(self.loaded.rear, self.loaded.front + self.loaded.rear)),
            (FRONT_SHARE, share(self.empty.front, self.empty.front + self.empty.rear)),
        ]
        pairs = ((front, limits.front_axle), (rear, limits.rear_axle))
        return [*shares, *pairs, (front, limits.front_tyres), (rear, limits.rear_tyres)]

    def grips(self) -> Pair:
        """Pull of the site's slope and the grip of the braked wheels, nose down [N]."""
        f, whole = self.f, self.whole
        return hold_on_slope(whole.mass, whole.x, whole.z, f.wheelbase, f.limits.slope, all_wheels=f.all_wheels)


def _turned(item: Item, turn: Array) -> Item:
    """A mass on the tool, from the pin, with the tool at its angles."""
    up = np.asarray(item.x) * np.sin(turn) + np.asarray(item.z) * np.cos(turn)
    return Item(item.mass, ahead_at_angle(item.x, item.z, turn), up)
