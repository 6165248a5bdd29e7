"""Ballast: sets of pieces laid along an array axis, what each does to the axles, and the cheapest that holds."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import product

import numpy as np
from numpy.typing import NDArray

from handfast.physics.balance import Axles
from handfast.quantities.arrays import Array, ArrayLike


def sets(count_max: Sequence[int], at_hitch: Sequence[bool], limit: int = 500) -> NDArray[np.int64]:
    """Every set of pieces that a shelf allows, the empty set first.

    Args:
        count_max: how many of each piece there are.
        at_hitch: true for pieces that need the hitch, of which one at most can hang there.
        limit: greatest number of sets that is laid out.

    Returns:
        Counts, one row a set, one column a piece.

    Raises:
        ValueError: there are more sets than the limit.

    Source: enumeration; one three-point hitch carries one piece.

    >>> sets([1, 1, 2], [True, True, False]).tolist()
    [[0, 0, 0], [0, 0, 1], [0, 0, 2], [0, 1, 0], [0, 1, 1], [0, 1, 2], [1, 0, 0], [1, 0, 1], [1, 0, 2]]
    """
    free = [n for n, hangs in zip(count_max, at_hitch, strict=True) if not hangs]
    hooks = [k for k, hangs in enumerate(at_hitch) if hangs and count_max[k] > 0]
    many = (1 + len(hooks)) * int(np.prod([n + 1 for n in free], dtype=object))
    if many > limit:
        raise ValueError(f"{many} sets of ballast are more than {limit}")
    loose = np.array(list(product(*(range(n + 1) for n in free))), dtype=np.int64)
    rows = np.zeros((1 + len(hooks), len(loose), len(count_max)), dtype=np.int64)
    rows[:, :, [k for k, hangs in enumerate(at_hitch) if not hangs]] = loose
    for place, hook in enumerate(reversed(hooks), start=1):
        rows[place, :, hook] = 1
    return rows.reshape(-1, len(count_max))


def totals(counts: ArrayLike, masses: ArrayLike, behinds: ArrayLike) -> tuple[Array, Array]:
    """Mass of each set and its moment behind the rear axle.

    Args:
        counts: (…, pieces) how many of each piece [1].
        masses: (pieces,) mass of each [kg].
        behinds: (pieces,) its centre of gravity behind the rear axle [m], ahead of it negative.

    Returns:
        (mass [kg], moment [kg·m]), the pieces' axis summed.

    Source: moments.

    >>> [v.tolist() for v in totals([[0, 0], [1, 2]], [200.0, 40.0], [1.4, 0.0])]
    [[0.0, 280.0], [0.0, 280.0]]
    """
    number, mass = np.asarray(counts, dtype=np.float64), np.asarray(masses, dtype=np.float64)
    return (number * mass).sum(axis=-1), (number * (mass * np.asarray(behinds, dtype=np.float64))).sum(axis=-1)


def with_ballast(loads: Axles, mass: ArrayLike, moment: ArrayLike, wheelbase: ArrayLike) -> Axles:
    """Axle masses once ballast is on.

    Args:
        loads: axle masses without it [kg].
        mass: of the ballast [kg].
        moment: of the ballast behind the rear axle [kg·m].
        wheelbase: rear axle to front axle [m].

    Returns:
        Axles of the common shape [kg].

    Source: moments; weight at the wheels has no moment and so takes nothing off the front axle.

    >>> [float(v) for v in with_ballast(Axles(900.0, 300.0), 200.0, 240.0, 1.6)]
    [750.0, 650.0]
    """
    shift = np.asarray(moment, dtype=np.float64) / np.asarray(wheelbase, dtype=np.float64)
    return Axles(loads.front - shift, loads.rear + np.asarray(mass, dtype=np.float64) + shift)


def useful_mass(mass: ArrayLike, behind: ArrayLike, wheelbase: ArrayLike, rear_share: ArrayLike = 0.20) -> Array:
    """What a piece adds to the rear axle beyond the share that its own mass asks for.

    Args:
        mass: of the piece [kg].
        behind: its centre of gravity behind the rear axle [m].
        wheelbase: rear axle to front axle [m].
        rear_share: share of the whole asked on the rear axle [1].

    Returns:
        mass · (1 + behind/wheelbase − share) [kg]; its price over this is money per useful kilogram.

    Source: the counterweight formula, whose denominator this is.

    >>> round(float(useful_mass(200.0, 1.2, 1.6, 0.20)), 6)
    310.0
    """
    lever = 1.0 + np.asarray(behind, dtype=np.float64) / np.asarray(wheelbase, dtype=np.float64)
    return np.asarray(mass, dtype=np.float64) * (lever - np.asarray(rear_share, dtype=np.float64))


def front_relief(mass: ArrayLike, behind: ArrayLike, wheelbase: ArrayLike) -> Array:
    """What a piece takes off the front axle.

    Args:
        mass: of the piece [kg].
        behind: its centre of gravity behind the rear axle [m].
        wheelbase: rear axle to front axle [m].

    Returns:
        mass · behind/wheelbase [kg]: 0 for wheel weights and liquid in rear tyres.

    Source: moments.

    >>> front_relief(200.0, [0.0, 1.2], 1.5).tolist()
    [0.0, 160.0]
    """
    lever = np.asarray(behind, dtype=np.float64) / np.asarray(wheelbase, dtype=np.float64)
    return np.asarray(mass, dtype=np.float64) * lever


def cheapest(price: ArrayLike, held: ArrayLike, threshold: float = 0.90, mass: ArrayLike = 0.0) -> NDArray[np.int64]:
    """Index of the cheapest set whose checks hold often enough.

    Args:
        price: (…, sets) price of each set [money].
        held: (…, sets) share of the samples in which all checks hold together [1].
        threshold: least share that counts as holding [1].
        mass: (…, sets) decides between equal prices, the lighter first [kg].

    Returns:
        Index along the sets' axis, −1 where no set holds; of equal ones the first.

    Source: enumeration.

    >>> cheapest([0.0, 80.0, 50.0], [[0.2, 1.0, 1.0], [0.1, 0.2, 0.3]]).tolist()
    [2, -1]
    """
    good = np.asarray(held, dtype=np.float64) >= threshold - 1e-12
    cost, good, weight = np.broadcast_arrays(np.asarray(price, dtype=np.float64), good, np.asarray(mass, np.float64))
    cost = np.where(good, cost, np.inf)
    least = cost.min(axis=-1, keepdims=True)
    weight = np.where(good & (cost <= least + 1e-9 * np.abs(least)), weight, np.inf)
    return np.where(good.any(axis=-1), weight.argmin(axis=-1), -1).astype(np.int64)
