"""Open facts as they were drawn, and what each sample counts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from handfast.quantities.arrays import Array

FEW = 200_000  # multiplications at a time


@dataclass(frozen=True)
class Unknown:
    """One fact as drawn: figures, or the numbers of the categories with their shares."""

    values: Array  # (samples,)
    deviate: Array | None = None  # what a figure was drawn from, as normal deviates
    shares: tuple[float, ...] = ()

    @cached_property
    def codes(self) -> NDArray[np.intp]:
        """The category in each sample."""
        return self.values.astype(np.intp)

    @cached_property
    def score(self) -> Array:
        """Figures freed of their unit."""
        spread = float(self.values.std())
        return np.asarray((self.values - self.values.mean()) / (spread if spread > 0.0 else 1.0))

    @cached_property
    def columns(self) -> Array:
        """What a straight line is drawn over: the score, or one column for each category after the first."""
        if not self.shares:
            return self.score[:, None]
        return np.asarray(self.codes[:, None] == np.arange(1, len(self.shares)), dtype=np.float64)


def weights_of(unknowns: Sequence[Unknown]) -> Array:
    """Weight of each sample, so that categories and figures together are as they were meant to be drawn.

    Args:
        unknowns: all facts.

    Returns:
        Weights (samples,), summing to one: every combination of categories that was drawn counts by its share, and
        the mean of every figure's normal deviate is nothing.

    Source: post-stratification and regression weights (Cochran, Sampling Techniques, chapters 5A and 7).

    Example:
        >>> weights_of([Unknown(np.array([0.0, 0.0, 1.0]), shares=(0.5, 0.5))]).tolist()
        [0.25, 0.25, 0.5]
    """
    size = len(unknowns[0].values)
    cell, share = np.zeros(size, dtype=np.intp), np.ones(size)
    for one in unknowns:
        if one.shares:
            cell = cell * len(one.shares) + one.codes
            share = share * np.array(one.shares)[one.codes]
    _, place, count = np.unique(cell, return_inverse=True, return_counts=True)
    weights = share / count[place]
    weights = weights / weights.sum()
    wanted = _knownmeans(unknowns)
    if not wanted:
        return np.asarray(weights)
    columns = np.column_stack([np.ones(size), *(column for column, _ in wanted)])
    off = np.array([1.0, *(mean for _, mean in wanted)]) - means(columns.T, weights)
    fit = means(inverse(products(columns * weights[:, None], columns)), off)
    return np.asarray(weights * (1.0 + means(columns, fit)))


def _knownmeans(unknowns: Sequence[Unknown]) -> list[tuple[Array, float]]:
    """What the samples should have on average: normal deviates, categories and pairs of categories."""
    wanted = [(one.deviate, 0.0) for one in unknowns if one.deviate is not None]
    flags = [[(one.codes == k, share) for k, share in enumerate(one.shares)] for one in unknowns if one.shares]
    for each, other in combinations(flags, 2):
        wanted += [((a & b).astype(np.float64), p * q) for a, p in each for b, q in other if (a & b).any()]
    if len(flags) == 1:
        wanted += [(a.astype(np.float64), p) for a, p in flags[0] if a.any()]
    return wanted


def means(rows: Array, weights: Array) -> Array:
    """Weighted sum of each row.

    Args:
        rows: (rows, samples).
        weights: (samples,).

    Returns:
        (rows,).

    Example:
        >>> means(np.array([[1.0, 3.0]]), np.array([0.5, 0.5])).tolist()
        [2.0]
    """
    return np.asarray((rows * weights).sum(axis=1))


def products(a: Array, b: Array) -> Array:
    """Sums over the samples of products of columns, (columns of a, columns of b).

    In pieces so small that the algebra library does not wake its threads: on a desk with two cores these cost more
    than they save.

    Args:
        a: (samples, columns).
        b: (samples, columns).

    Returns:
        (columns of a, columns of b).

    Example:
        >>> products(np.array([[1.0], [2.0]]), np.array([[3.0], [4.0]])).tolist()
        [[11.0]]
    """
    step = max(1, FEW // (a.shape[1] * b.shape[1]))
    whole = len(a) // step * step
    pieces = [one[:whole].reshape(-1, step, one.shape[1]) for one in (a, b)]
    return np.asarray((pieces[0].transpose(0, 2, 1) @ pieces[1]).sum(axis=0) + a[whole:].T @ b[whole:])


def inverse(gram: Array) -> Array:
    """Of sums of products, column by column; columns that say the same share what they say.

    Args:
        gram: symmetric, (columns, columns).

    Returns:
        Inverse, same shape.

    Source: elimination after Gauss and Jordan with a trace of ridge.

    Example:
        >>> inverse(np.array([[2.0, 0.0], [0.0, 4.0]])).round(6).tolist()
        [[0.5, -0.0], [-0.0, 0.25]]
    """
    scale = np.sqrt(np.maximum(np.diag(gram), 1e-300))
    left = gram / np.outer(scale, scale) + 1e-10 * np.eye(len(gram))
    for k in range(len(left)):
        pivot, row, column = left[k, k], left[k] / left[k, k], left[:, k].copy()
        left -= np.outer(column, row)
        left[k], left[:, k], left[k, k] = row, -column / pivot, 1.0 / pivot
    return np.asarray(left / np.outer(scale, scale))
