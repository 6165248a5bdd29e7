"""What knowing what hangs behind is worth for the choice: which outfit is best where ballast need not be sold.

Until a caller says what hangs on the hitch it counts as nothing, and ballast is put into the offer. The samples say
nothing of it, since it is no fact of the machine; so what may hang there comes from a table. What the outfit that is
best now would save is no matter of the choice: that can be asked until the offer is written.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np

from handfast.advice.odds import Judged
from handfast.advice.rank import Losses
from handfast.quantities.arrays import Array, middle
from handfast.quantities.tables import table

PATH = "behind.mass"
THREE = (("low", 0.25), ("likely", 0.5), ("high", 0.25))  # points that stand for a triangle: same mean, same spread


@dataclass(frozen=True)
class Hung:
    """What may hang behind: how often, how heavy, how far out."""

    kind: str
    share: float
    low: float  # share of the bare machine's mass
    likely: float
    high: float
    behind: float  # m behind the rear axle


@cache
def hung_kinds() -> tuple[Hung, ...]:
    """What callers have on the hitch, and how often.

    Returns:
        One row a kind; the shares sum to one.

    Source: hung_behind.csv (common practice, no source).

    Example:
        >>> round(sum(one.share for one in hung_kinds()), 6)
        1.0
    """
    rows = table("hung_behind.csv")
    names = ("share", "low", "likely", "high", "behind")
    return tuple(Hung(row["kind"], *(float(row[name]) for name in names)) for row in rows)


def worth_of_hung(judged: Judged, loss: Losses, tells: float = 1.0) -> float:
    """Expected value for the choice of being told what hangs behind, in money.

    Args:
        judged: every outfit with its checks and its ballast.
        loss: of all of them and of no sale.
        tells: share of answers that are not just a guess.

    Returns:
        Money, never negative; nothing where it is known, or where no outfit wants ballast.

    Source: mean over what may hang there of the loss of the outfit that is best now, less that of the best outfit
    then, the ballast left out of every outfit for which what hangs there is enough; moments say what is enough.

    Example:
        >>> from handfast.advice.odds import judge
        >>> from handfast.machines.shelf import Shelf
        >>> from handfast.outfits.example import laid
        >>> worth_of_hung(judge(laid(), Shelf()), Losses(np.zeros((2, 1024))))
        0.0
    """
    given, share = losses_hung(judged, loss)
    return tells * max(0.0, float((given[loss.choice] - given.min(axis=0)) @ share))


def losses_hung(judged: Judged, loss: Losses) -> tuple[Array, Array]:
    """Mean loss of each act for what may hang behind, and how often that does.

    Args:
        judged: every outfit with its checks and its ballast.
        loss: of all of them and of no sale.

    Returns:
        Pair: (acts, cases), and shares (cases,); one case where it is known, or where no outfit wants ballast.

    Example:
        >>> from handfast.advice.odds import judge
        >>> from handfast.machines.shelf import Shelf
        >>> from handfast.outfits.example import laid
        >>> losses_hung(judge(laid(), Shelf()), Losses(np.zeros((2, 1024))))[0].shape
        (2, 1)
    """
    behind = judged.bench.inquiry.behind
    if behind.kind == "none" or not behind.mass.is_unknown or not any(judged.needs_ballast):
        return loss.mean[:, None], np.ones(1)
    saved = np.array([one.fitted if one is not None else 0.0 for one in judged.sets])
    needed = np.array([one.needed for one in judged.chosen])
    heavy, share = _points(judged)
    given = np.repeat(loss.mean[:, None], len(share), axis=1)
    given[:-1] -= saved[:, None] * (heavy >= needed[:, None])
    return given, share


def _points(judged: Judged) -> tuple[Array, Array]:
    """What may hang behind, as mass on the lower links that does as much for the rear rule, and its share."""
    bench = judged.bench
    base, hitch, mass = (middle(a) for a in (bench.frame.wheelbase, bench.frame.hitch_x, bench.frame.mass))
    rule = max(one.rule for one in judged.chosen)
    arm = (1.0 - rule) * base
    found = [
        (getattr(one, name) * mass * (arm + one.behind) / (arm + hitch), part * one.share)
        for one in hung_kinds()
        for name, part in THREE
    ]
    heavy, share = np.array(found).T
    return heavy, share
