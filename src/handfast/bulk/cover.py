"""What to stock: the fewest attachments that serve a share of the machines around, with the bound that proves it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from handfast.quantities.arrays import Array

Flags = NDArray[np.bool_]


@dataclass(frozen=True)
class Stock:
    """A set of attachments: their places, the weight they serve, the least cost any set could have, its own cost."""

    chosen: tuple[int, ...]
    served: float
    servable: float
    cost: float
    bound: float

    @property
    def gap(self) -> float:
        """How far above the bound the cost can be at most, as a share."""
        return 0.0 if self.cost <= 0 else max(0.0, (self.cost - self.bound) / self.cost)


@dataclass(frozen=True)
class Next:
    """An attachment and how much more weight is served with it."""

    attachment: int
    more: float


def smallest_stock(
    fits: Flags, counts: Array, share: float, costs: Array | None = None, seconds: float = 20.0
) -> Stock:
    """The fewest (or the cheapest) attachments that serve a share of the machines that can be served at all.

    Args:
        fits: which attachment serves which machine, shape (attachments, machines).
        counts: how many there are of each machine [1], shape (machines,).
        share: of the machines that any attachment serves [1].
        costs: what each attachment costs; all alike where not given.
        seconds: the longest it may search [s].

    Returns:
        `Stock`; nothing chosen where nothing can be served.

    Raises:
        ValueError: the share is not within 0 and 1.

    Source: partial set cover as a mixed-integer program; the bound is the solver's.

    Example:
        >>> two = np.array([[True, True, False], [False, False, True], [True, False, False]])
        >>> smallest_stock(two, np.ones(3), 1.0).chosen
        (0, 1)
    """
    if not 0.0 <= share <= 1.0:
        raise ValueError("a share from 0 to 1")
    each = np.ones(len(fits)) if costs is None else np.asarray(costs, dtype=np.float64)
    reached = fits.any(axis=0)
    servable = float(counts[reached].sum())
    if servable == 0.0 or share == 0.0:
        return Stock((), 0.0, servable, 0.0, 0.0)
    classes, weights = _merged(fits[:, reached], counts[reached])
    chosen, bound = _solved(classes, weights, share * servable, each, seconds)
    served = float(weights[classes[list(chosen)].any(axis=0)].sum())
    return Stock(chosen, served, servable, float(each[list(chosen)].sum()), bound)


def _merged(fits: Flags, counts: Array) -> tuple[Flags, Array]:
    """Machines that the same attachments serve, as one."""
    columns, at = np.unique(fits, axis=1, return_inverse=True)
    weights = np.bincount(at.ravel(), weights=counts, minlength=columns.shape[1])
    return np.asarray(columns, dtype=np.bool_), np.asarray(weights, dtype=np.float64)


def _solved(fits: Flags, weights: Array, wanted: float, costs: Array, seconds: float) -> tuple[tuple[int, ...], float]:
    from scipy.optimize import Bounds, LinearConstraint, milp
    from scipy.sparse import csr_array, hstack, identity

    tools, classes = fits.shape
    served = hstack([-csr_array(fits.T.astype(np.float64)), identity(classes)], format="csr")  # y ≤ Σ x
    enough = csr_array(np.concatenate([np.zeros(tools), weights])[None, :])
    slack = 1e-9 * max(wanted, 1.0)
    rules = [LinearConstraint(served, -np.inf, 0.0), LinearConstraint(enough, wanted - slack, np.inf)]
    whole = np.concatenate([np.ones(tools), np.zeros(classes)])
    aim = np.concatenate([costs, np.zeros(classes)])
    limits: Any = {"time_limit": seconds, "mip_rel_gap": 0.0}
    found = milp(aim, constraints=rules, integrality=whole, bounds=Bounds(0.0, 1.0), options=limits)
    if found.x is None:
        everything = tuple(np.nonzero(fits.any(axis=1))[0].tolist())
        return everything, 0.0
    chosen = tuple(np.nonzero(found.x[:tools] > 0.5)[0].tolist())
    return chosen, float(found.mip_dual_bound)


def what_next(fits: Flags, counts: Array, have: Sequence[int], most: int = 5) -> tuple[Next, ...]:
    """What to add to a stock, each the one that serves most of what is not served yet.

    Args:
        fits: as in `smallest_stock`.
        counts: as in `smallest_stock`.
        have: places of what is in stock.
        most: how many at most.

    Returns:
        Those that serve any more, in order.

    Source: greedy cover.

    Example:
        >>> fits = np.array([[True, False, False], [False, True, True]])
        >>> what_next(fits, np.ones(3), (0,))
        (Next(attachment=1, more=2.0),)
    """
    open_ones = ~fits[list(have)].any(axis=0) if len(have) else np.ones(fits.shape[1], dtype=bool)
    found: list[Next] = []
    while len(found) < most:
        more = fits[:, open_ones] @ counts[open_ones]
        best = int(np.argmax(more)) if len(more) else 0
        if not len(more) or more[best] <= 0.0:
            break
        found.append(Next(best, float(more[best])))
        open_ones &= ~fits[best]
    return tuple(found)


def needed_by_nobody(fits: Flags) -> tuple[int, ...]:
    """Attachments that serve no machine at all.

    Args:
        fits: as in `smallest_stock`.

    Returns:
        Their places.

    Example:
        >>> needed_by_nobody(np.array([[False, False], [True, False]]))
        (0,)
    """
    return tuple(np.nonzero(~fits.any(axis=1))[0].tolist())
