"""What must hang behind: the shelf's sets along an array axis, the cheapest whose checks hold."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import chain, combinations, product

import numpy as np
from numpy.typing import NDArray

from handfast.machines.part import Part
from handfast.outfits.added import Added
from handfast.outfits.bench import EMPTY, FURTHEST, TRAVEL, Bench
from handfast.outfits.check_balance import CAUTION, FRONT_SHARE, STOP
from handfast.physics.balance import hitch_capacity
from handfast.quantities.arrays import Array, row_quantiles
from handfast.quantities.units import to_si

CHUNK = 32  # sets reckoned at a time
HOLDS = 0.90  # share of samples that the chosen set must hold
FEW = 64
LABOUR = 130.0  # money an hour of putting ballast on, for the order of the sets only (practice)
STEPS = 24  # counterweights not on the shelf, up to the hitch's rating
HITCH_HEIGHT = 0.45  # m, middle of a piece on the lower links (typical)
MOST_SETS = 500
SETTING_ASIDE_PRICE = 2.6 / to_si(1.0, "lb")  # money per kg of a counterweight not on the shelf (practice)


Flags = NDArray[np.bool_]


@dataclass(frozen=True)
class Piece:
    """One piece of ballast and how many of it."""

    part: str
    title: str
    at: str
    mass: float  # kg in all
    behind: float  # m behind the rear axle; NaN = on the lower links
    height: float
    price: float
    count: int = 1
    on_shelf: bool = True
    hours: float = 0.0


@dataclass(frozen=True)
class BallastSet:
    """A set of pieces; the empty set is the first."""

    pieces: tuple[Piece, ...] = ()

    @cached_property
    def price(self) -> float:
        """Likely price of the set."""
        return sum(piece.price for piece in self.pieces)

    @cached_property
    def fitted(self) -> float:
        """What orders the sets: price, and the hours of putting it on."""
        return self.price + LABOUR * sum(piece.hours for piece in self.pieces)

    @cached_property
    def mass(self) -> float:
        """Mass of the set [kg]."""
        return float(sum(piece.mass for piece in self.pieces))


@dataclass(frozen=True)
class Chosen:
    """The set chosen for one outfit, and for which rule; None where no set holds."""

    ballast: BallastSet | None
    rule: float
    needed: float  # kg at the hitch that the rule asks


def ballast_sets(parts: Sequence[Part], hitch_rating: float, filled: bool = False) -> tuple[BallastSet, ...]:
    """Every set the shelf can make up, cheapest first, and counterweights that it does not hold.

    Args:
        parts: ballast on the shelf.
        hitch_rating: what the hitch lifts [kg]; NaN when not known.
        filled: whether the rear tyres hold liquid already, so that none can be sold.

    Returns:
        Sets by price; at most one piece on the hitch.

    Example:
        >>> ballast_sets((), float("nan"))[0].mass
        0.0
    """
    pieces = [piece for part in parts if part.kind == "ballast" for piece in _pieces(part)]
    hitch = [p for p in pieces if p.at == "hitch"] + _not_on_shelf(hitch_rating)
    wheels = [p for p in pieces if p.at == "rear_wheels"]
    tyres = [p for p in pieces if p.at == "tyres" and not filled]
    racks = [p for p in pieces if p.at == "rack"]
    groups = (hitch, wheels, tyres, racks)
    pairs = chain.from_iterable(product(*two) for two in combinations(groups, 2))  # more is not how it is sold
    made = map(BallastSet, ((), *((one,) for group in groups for one in group), *pairs))
    return tuple(sorted(made, key=lambda one: (one.fitted, one.mass))[:MOST_SETS])


def _pieces(part: Part) -> list[Piece]:
    if part.mass.is_unknown or part.price.is_unknown:
        return []
    behind = part.behind.value if not part.behind.is_unknown else np.nan
    height = part.height.value if not part.height.is_unknown else HITCH_HEIGHT
    name, hours = part.name or part.id, 0.0 if part.hours.is_unknown else part.hours.value
    return [
        Piece(
            part.id, name, str(part.at), n * part.mass.value, behind, height, n * part.price.value, n, True, n * hours
        )
        for n in _counts(part)
    ]


def _counts(part: Part) -> Sequence[int]:
    most = part.count_max or 1
    if part.at == "rear_wheels":
        return list(range(2, most + 1, 2)) or [most]
    return range(1, most + 1)


def _not_on_shelf(rating: float) -> list[Piece]:
    if not np.isfinite(rating):
        return []
    masses = np.linspace(rating / STEPS, rating, STEPS)
    step = to_si(50.0, "lb")
    rounded = sorted({float(np.floor(mass / step) * step) for mass in masses} - {0.0})
    return [
        Piece("counterweight", "counterweight on the hitch, not on the shelf", "hitch", mass, np.nan, HITCH_HEIGHT,
              mass * SETTING_ASIDE_PRICE, on_shelf=False)
        for mass in rounded
    ]  # fmt: skip


def added_of(sets: Sequence[BallastSet | None], bench: Bench) -> tuple[Added, ...]:
    """Chosen sets, one an outfit, as masses on the machine.

    Args:
        sets: one set an outfit; None adds nothing.
        bench: the outfits.

    Returns:
        One `Added` a place in the sets, arrays of shape (outfits, 1 or samples).

    Example:
        >>> from handfast.outfits.example import bench
        >>> added_of([None], bench())
        ()
    """
    place: dict[int, int] = {}
    rows = np.array([place.setdefault(id(one), len(place)) for one in sets], dtype=np.intp)
    each = list({id(one): one for one in sets}.values())
    most = max((len(one.pieces) for one in each if one is not None), default=0)
    return tuple(_place(each, k, rows, bench) for k in range(most)) + _taken_off(each, rows, bench, most)


def _place(sets: Sequence[BallastSet | None], k: int, rows: NDArray[np.intp], bench: Bench) -> Added:
    pieces = [one.pieces[k] if one is not None and k < len(one.pieces) else None for one in sets]
    column = [
        [p.mass if p else 0.0, p.behind if p else np.nan, p.height if p else 0.0, float(_hangs(p))] for p in pieces
    ]
    mass, behind, height, hangs = (np.array(c, dtype=np.float64).reshape(-1, 1) for c in zip(*column, strict=True))
    at_axle = np.array([[bool(p) and p.at in ("rear_wheels", "tyres")] for p in pieces])  # type: ignore[union-attr]
    far = np.where(np.isfinite(behind), behind, np.where(at_axle, 0.0, bench.frame.hitch_x))
    high = np.where(at_axle, bench.draws["rear_tyre.radius"], height)
    return Added(mass, -far, high, mass * hangs, far, rows)


def _hangs(piece: Piece | None) -> bool:
    return piece is not None and piece.at == "hitch"


def _taken_off(sets: Sequence[BallastSet | None], rows: NDArray[np.intp], bench: Bench, most: int) -> tuple[Added, ...]:
    """What hangs on the hitch now comes off where another piece goes on."""
    now = np.where(np.isfinite(bench.draws["behind.mass"]), bench.draws["behind.mass"], 0.0)
    if not most or not now.any():
        return ()
    off = np.array([[one is not None and any(_hangs(p) for p in one.pieces)] for one in sets])
    mass = np.where(off, -now, 0.0)
    height = np.where(np.isfinite(bench.draws["behind.height"]), bench.draws["behind.height"], HITCH_HEIGHT)
    return (Added(mass, -bench.behind_x, height, mass, bench.behind_x, rows),)


def choose(bench: Bench, sets: Sequence[BallastSet]) -> list[Chosen]:
    """The cheapest set of each outfit that holds the stricter rule, else the stop rule.

    Args:
        bench: outfits without added ballast.
        sets: by price.

    Returns:
        One `Chosen` an outfit.

    Source: axle loads by moments; rules 25 % and 20 % rear, 20 % front raised and empty.

    Example:
        >>> from handfast.outfits.example import bench
        >>> choose(bench(), ballast_sets((), float("nan")))[0].needed
        0.0
    """
    lines = _Linear(bench.hung_once)
    needed = lines.needed(CAUTION)
    strict, stop = lines.first(sets)
    each = [_chosen(sets, int(a), int(b), float(n)) for a, b, n in zip(strict, stop, needed, strict=True)]
    return [each[k] for k in bench.hanging]


def _chosen(sets: Sequence[BallastSet], strict: int, stop: int, needed: float) -> Chosen:
    if strict >= 0:
        return Chosen(sets[strict], CAUTION, needed)
    return Chosen(sets[stop] if stop >= 0 else None, STOP, needed)


class _Linear:
    """The balance of every outfit under every set: axle loads are linear in the masses added."""

    def __init__(self, bench: Bench) -> None:
        self.bench = bench
        self.wheelbase = bench.frame.wheelbase[..., :FEW]
        self.hitch_x = bench.frame.hitch_x[..., :FEW]
        self.limits = (self._limit(0), self._limit(1))
        self.poses = {
            pose: self._few(pose, bump) for pose, bump in ((FURTHEST, 1.0), (EMPTY, 1.0), (TRAVEL, bench.bump))
        }

    def _few(self, pose: str, bump: float) -> tuple[Array, Array]:
        front, rear = self.bench.axles(pose, bump)
        return np.atleast_2d(front)[:, :FEW], np.atleast_2d(rear)[:, :FEW]

    def needed(self, rule: float) -> Array:
        """Mass at the hitch that the rule asks, in nine of ten samples [kg]."""
        front, rear = self.poses[FURTHEST]
        total, far = front + rear, self.hitch_x
        mass = (rule * total - rear) * self.wheelbase / ((self.wheelbase + far) - rule * self.wheelbase)
        each = np.broadcast_to(np.maximum(mass, 0.0), (len(self.bench.outfits), np.shape(mass)[-1]))
        return np.asarray(row_quantiles(each, (HOLDS,))[0])

    def first(self, sets: Sequence[BallastSet]) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
        """For each outfit the first set that holds the stricter rule, and the stop rule; −1 where none does."""
        strict = np.full(len(self.bench.outfits), -1, dtype=np.intp)
        stop = strict.copy()
        for start in range(0, len(sets), CHUNK):
            rows = np.nonzero(strict < 0)[0]
            if not rows.size:
                break
            both = self._hold(sets[start : start + CHUNK], rows)
            for found, holds in zip((strict, stop), both, strict=True):
                new = rows[holds.any(axis=0) & (found[rows] < 0)]
                found[new] = start + holds.argmax(axis=0)[np.isin(rows, new)]
        return strict, stop

    def _hold(self, sets: Sequence[BallastSet], rows: NDArray[np.intp]) -> tuple[Flags, Flags]:
        """Shape (sets, rows) twice: the stricter and the stop rule, every other limit held, in nine of ten samples."""
        mass, moment, hitch, far = (column[:, None, :] for column in self._of(sets))
        moment = moment / self.wheelbase
        ok = self._hitch_holds(hitch, far)
        share = np.zeros(1)
        for pose, loads in self.poses.items():
            front, rear = (side[rows] if len(side) > 1 else side for side in loads)
            f, r = front - moment, rear + mass + moment
            if pose == FURTHEST:
                share = r / (f + r)
            if pose == EMPTY:
                ok = ok & (f >= FRONT_SHARE * (f + r))
            ok = ok & ~(f > self.limits[0]) & ~(r > self.limits[1])
        shape = (len(sets), len(rows), np.broadcast_shapes(ok.shape, share.shape)[-1])
        strict, stop = (np.broadcast_to(ok & (share >= rule), shape).mean(axis=2) >= HOLDS for rule in (CAUTION, STOP))
        return np.asarray(strict), np.asarray(stop)

    def _hitch_holds(self, hitch: Array, far: Array) -> Flags:
        draws = self.bench.draws
        rated = hitch_capacity(draws["hitch_lift_610"][:FEW], far - draws["hitch_behind_axle"][:FEW])
        return np.asarray(~(hitch > rated))

    def _limit(self, side: int) -> Array:
        """The lesser of axle and tyre ratings; NaN (no limit known) where neither is published."""
        axle, tyre = (("front_axle_rating", "front_tyre"), ("rear_axle_rating", "rear_tyre"))[side]
        record = getattr(self.bench.inquiry.machine, tyre)
        count = 2 if record is None or record.count is None else record.count
        return np.fmin(self.bench.draws[axle][:FEW], count * self.bench.draws[f"{tyre}.load_each"][:FEW])

    def _of(self, sets: Sequence[BallastSet]) -> tuple[Array, Array, Array, Array]:
        """Mass and moment that each set adds, what of it hangs on the hitch and how far out, (sets, few samples)."""
        most = max(len(one.pieces) for one in sets)
        mass = moment = hitch = np.zeros((len(sets), 1))
        far = np.broadcast_to(self.hitch_x, (len(sets), self.hitch_x.shape[-1]))
        for k in range(most):
            weight, at, hangs = self._column([one.pieces[k] if k < len(one.pieces) else None for one in sets])
            mass, moment, hitch = mass + weight, moment + weight * at, hitch + weight * hangs
            far = np.where(hangs > 0, np.maximum(far, at), far)
        now = self.bench.draws["behind.mass"][:FEW]
        if np.isfinite(now).all():
            off = np.where(hitch > 0, now, 0.0)
            mass, moment = mass - off, moment - off * self.bench.behind_x[..., :FEW]
        return mass, moment, hitch, far

    def _column(self, pieces: Sequence[Piece | None]) -> tuple[Array, Array, Array]:
        """Mass [kg], distance behind the rear axle [m] and whether it hangs on the hitch, one row a piece."""
        table = [(p.mass, p.behind, float(p.at == "hitch")) if p is not None else (0.0, 0.0, 0.0) for p in pieces]
        weight, behind, hangs = (np.array(column).reshape(-1, 1) for column in zip(*table, strict=True))
        at = np.where(np.isnan(behind) & (hangs > 0), self.hitch_x, np.nan_to_num(behind))
        return weight, at, hangs
