"""One outfit of a bench as single figures: the medians that a map over poses is reckoned with."""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

import numpy as np

from handfast.outfits.bench import Bench
from handfast.outfits.check_weight import CURL_AT
from handfast.physics.balance import Item
from handfast.physics.lift import Pivot, curl_moment
from handfast.physics.linkage_fit import Loader
from handfast.quantities.arrays import ArrayLike, middle, row_of
from handfast.reckoning.lift import linkage_gaps, linkage_of


class Rating(NamedTuple):
    """The sheet's pair at full height and at 1.5 m, its curl moment, and the credit of a bucket that is off."""

    pin: float
    slope: float
    pin_1500: float
    at_500_1500: float
    curl_moment: float
    credit: float
    credit_ahead: float
    contains_coupler: bool
    self_levelling: bool


class Limits(NamedTuple):
    """What axles and tyres bear [kg], what the site's slope is [rad]; NaN where not known."""

    front_axle: float
    rear_axle: float
    front_tyres: float
    rear_tyres: float
    slope: float


class Figures(NamedTuple):
    """Medians of one outfit; items from the pin, tool level, `fixed` in the tractor frame."""

    ready: Item
    arms: float
    coupler: Item
    hung: tuple[Item, ...]
    piece: Item
    fixed: tuple[Item, ...]
    pivot: Pivot
    height_max: float
    wheelbase: float
    front_axle: Item
    rear_track: float
    front_pivot: float
    all_wheels: bool
    rating: Rating
    limits: Limits
    linkage: Loader | None
    bump: float


def figures_of(bench: Bench, row: int) -> Figures:
    """The medians of an outfit, ballast and liquid on.

    Args:
        bench: outfits with what is added to them.
        row: which of them.

    Returns:
        `Figures`; exact where every fact is known.

    Example:
        >>> from handfast.outfits.example import bench
        >>> round(figures_of(bench(), 0).wheelbase, 3)
        1.397
    """
    once, hung, d = bench.hung_once, int(bench.hanging[row]), bench.draws

    def one(values: ArrayLike) -> float:
        return middle(row_of(values, hung))

    def item(some: Item) -> Item:
        return Item(*(one(part) for part in some))

    machine, frame = bench.inquiry.machine, once.frame
    added = tuple(Item(a.mass, a.x, a.z) for a in once.added)
    measured = machine.loader.linkage is not None and not any(True for _ in linkage_gaps(machine))
    return Figures(
        ready=item(once.ready),
        arms=one(frame.arms_mass),
        coupler=item(once.coupler),
        hung=(item(once.kit), item(once.tool)),
        piece=item(once.piece),
        fixed=tuple(item(each) for each in (*once.fixed, *added)),
        pivot=Pivot(*(np.asarray(one(part)) for part in frame.pivot)),
        height_max=one(frame.height_max),
        wheelbase=one(frame.wheelbase),
        front_axle=item(once.front_axle),
        rear_track=middle(d["rear_track"]),
        front_pivot=middle(d["front_pivot_height"]),
        all_wheels=bool(machine.four_wheel_drive),
        rating=_rating(once, one),
        limits=_limits(bench),
        linkage=linkage_of(machine) if measured else None,
        bump=bench.bump,
    )


def _rating(once: Bench, one: Callable[[ArrayLike], float]) -> Rating:
    d, frame = once.draws, once.frame
    mass, ahead = once.credit
    return Rating(
        pin=one(frame.pin_rating),
        slope=one(frame.slope),
        pin_1500=middle(d["loader.lift_at_pin_1500"]),
        at_500_1500=middle(d["loader.lift_at_500_1500"]),
        curl_moment=one(curl_moment(d["loader.curl_at_500"], CURL_AT) + mass * ahead),
        credit=one(mass),
        credit_ahead=one(ahead),
        contains_coupler=frame.ratings_with in ("quick_attach", "bucket"),
        self_levelling=frame.self_levelling,
    )


def _limits(bench: Bench) -> Limits:
    d, machine = bench.draws, bench.inquiry.machine
    sides = {"front": machine.front_tyre, "rear": machine.rear_tyre}
    tyres = {k: (2 if t.count is None else t.count) * middle(d[f"{k}_tyre.load_each"]) for k, t in sides.items()}
    axles = (middle(d["front_axle_rating"]), middle(d["rear_axle_rating"]))
    return Limits(*axles, tyres["front"], tyres["rear"], middle(d["site.slope"]) if d.known("site.slope") else np.nan)
