"""The array types that every handbook function speaks."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike as ArrayLike
from numpy.typing import NDArray

Array = NDArray[np.float64]
FEW = 2  # quantiles up to which looking for them is quicker than putting all in order


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
    if np.isnan(flat).any():
        return (float("nan"),) * len(shares)
    places = tuple(share * (flat.size - 1) for share in shares)
    order = _ordered(flat, places)
    return tuple(_between(order, place) for place in places)


def _ordered(values: Array, places: tuple[float, ...]) -> Array:
    """Samples along the last axis with those on both sides of each place where they belong in the order."""
    if len(places) > FEW:
        return np.sort(values, axis=-1)
    return np.partition(values, _neighbours(places, values.shape[-1]), axis=-1)


@lru_cache(maxsize=256)
def _neighbours(places: tuple[float, ...], size: int) -> list[int]:
    """The order statistics on both sides of each place."""
    low = [int(place) for place in places]
    return sorted({*low, *(min(one + 1, size - 1) for one in low)})


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
    table = np.asarray(values, dtype=np.float64)
    size = table.shape[1]
    if size == 1:
        return np.repeat(table.T, len(shares), axis=0)
    places = np.asarray(shares, dtype=np.float64) * (size - 1)
    order = _ordered(table, tuple(places.tolist()))
    low = places.astype(np.intp)
    high, part = np.minimum(low + 1, size - 1), (places - low)[:, None]
    below, above = order[:, low].T, order[:, high].T
    with np.errstate(invalid="ignore"):
        between = np.where((part == 0.0) | (below == above), below, below + part * (above - below))
    return np.where(np.isnan(table).any(axis=1), np.nan, between)


def summed(terms: Iterable[ArrayLike]) -> Array:
    """Sum of arrays that broadcast, the narrow ones first so that few additions are wide.

    Args:
        terms: arrays of any shapes that broadcast.

    Returns:
        Their sum; 0 for none.

    >>> summed([[[1.0], [2.0]], 3.0, [1.0, 1.0]]).tolist()
    [[5.0, 5.0], [6.0, 6.0]]
    """
    total: Array = np.zeros(())
    for term in sorted((np.asarray(one, dtype=np.float64) for one in terms), key=np.size):
        total = total + term
    return total


def known_or_zero(values: Array) -> Array:
    """Samples with nothing where nothing is known.

    Args:
        values: samples, any shape.

    Returns:
        The same, 0 in place of NaN.

    >>> known_or_zero(np.array([2.0, np.nan])).tolist()
    [2.0, 0.0]
    """
    return np.where(np.isfinite(values), values, 0.0)


def some_rows(values: Array, rows: NDArray[np.intp]) -> Array:
    """Some rows of values that may be the same for all rows.

    Args:
        values: shape (rows, samples); anything else stands for every row.
        rows: which.

    Returns:
        Those rows, or the values as they are.

    >>> some_rows(np.array([[1.0], [2.0]]), np.array([1])).tolist()
    [[2.0]]
    """
    return values[rows] if np.ndim(values) > 1 and len(values) > 1 else values
