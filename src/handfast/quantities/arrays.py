"""The array types that every handbook function speaks."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike as ArrayLike
from numpy.typing import NDArray

Array = NDArray[np.float64]


def quantiles(values: ArrayLike, shares: Sequence[float]) -> tuple[float, ...]:
    """Quantiles of a handful of samples, quickly.

    Args:
        values: samples, any shape, taken as one list.
        shares: which, 0 to 1.

    Returns:
        One value a share; infinite samples keep their place in the order.

    Source: linear between the order statistics (Hyndman and Fan, type 7).

    >>> quantiles([1.0, 2.0, 3.0], (0.25, 0.5))
    (1.5, 2.0)
    """
    flat = np.ravel(np.asarray(values, dtype=np.float64))
    if flat.size == 1:
        return (float(flat[0]),) * len(shares)
    first = float(flat[0])
    if first == flat[-1] and first == flat.min() and first == flat.max():
        return (first,) * len(shares)
    order = np.sort(flat)
    if np.isnan(order[-1]):
        return (float("nan"),) * len(shares)
    return tuple(_between(order, share * (len(order) - 1)) for share in shares)


def _between(order: Array, place: float) -> float:
    low = int(place)
    high, part = min(low + 1, len(order) - 1), place - low
    if part == 0.0 or order[low] == order[high]:
        return float(order[low])
    return float(order[low] + part * (order[high] - order[low]))


def row_of(values: ArrayLike, row: int) -> Array:
    """One row of values that may be the same for all rows.

    Args:
        values: shape (rows or 1, samples).
        row: which.

    Returns:
        Samples of that row.

    Example:
        >>> row_of([[1.0], [2.0]], 1).tolist()
        [2.0]
    """
    table = np.atleast_2d(np.asarray(values, dtype=np.float64))
    one: Array = table[row] if len(table) > 1 else table[0]
    return one


def quantile(values: ArrayLike, share: float) -> float:
    """One quantile of a handful of samples.

    Args:
        values: samples, any shape, taken as one list.
        share: which, 0 to 1.

    Returns:
        The value; NaN where a sample is.

    >>> quantile([1.0, 2.0, 3.0], 0.75)
    2.5
    """
    return quantiles(values, (share,))[0]


def middle(values: ArrayLike) -> float:
    """The median of a handful of samples.

    Args:
        values: samples, any shape, taken as one list.

    Returns:
        The value; NaN where a sample is.

    >>> middle([3.0, 1.0, 2.0])
    2.0
    """
    return quantiles(values, (0.5,))[0]


def row_quantiles(values: ArrayLike, shares: Sequence[float]) -> Array:
    """Quantiles of every row.

    Args:
        values: shape (rows, samples).
        shares: which, 0 to 1.

    Returns:
        Shape (shares, rows); NaN in rows where a sample is.

    >>> row_quantiles([[1.0, 2.0, 3.0], [4.0, 4.0, 4.0]], (0.5,)).tolist()
    [[2.0, 4.0]]
    """
    order = np.sort(np.asarray(values, dtype=np.float64), axis=1)
    places = np.asarray(shares, dtype=np.float64) * (order.shape[1] - 1)
    low = places.astype(np.intp)
    high, part = np.minimum(low + 1, order.shape[1] - 1), (places - low)[:, None]
    below, above = order[:, low].T, order[:, high].T
    with np.errstate(invalid="ignore"):
        between = np.where((part == 0.0) | (below == above), below, below + part * (above - below))
    return np.where(np.isnan(order[:, -1]), np.nan, between)
