"""Evenly spread points for sampling: Sobol points with a seeded digital shift."""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import NDArray

from handfast.quantities.arrays import Array
from handfast.quantities.tables import table

BITS = 32
SHIFTS = 8
PER_SHIFT = 128


@cache
def _direction_numbers() -> NDArray[np.uint32]:
    """Direction numbers, shape (dimensions on file, numbers on file), scaled to 32 bits."""
    rows = table("sobol.csv")
    names = [name for name in rows[0] if name.startswith("m")]
    return np.array(
        [[int(row[name]) << (BITS - 1 - j) for j, name in enumerate(names)] for row in rows], dtype=np.uint32
    )


@cache
def base_points(dimensions: int, count: int = PER_SHIFT) -> NDArray[np.uint32]:
    """The first Sobol points as 32-bit fractions, in the order of the Gray code.

    Args:
        dimensions: number of dimensions [1], up to 256.
        count: number of points [1], a power of two up to 1024.

    Returns:
        numerators over 2**32, shape (count, dimensions); kept, so nobody may change it.

    Raises:
        ValueError: more dimensions or points than the direction numbers allow.

    Source: Sobol 1967 with the direction numbers of Joe and Kuo 2008.

    >>> (base_points(2, 4) / 2**32).tolist()
    [[0.0, 0.0], [0.5, 0.5], [0.75, 0.25], [0.25, 0.75]]
    """
    numbers = _direction_numbers()
    if not 1 <= dimensions <= numbers.shape[0] or not 1 <= count <= 1 << numbers.shape[1] or count & (count - 1):
        raise ValueError(f"no Sobol points on file for {dimensions} dimensions and {count} points")
    points = np.zeros((count, dimensions), dtype=np.uint32)
    for i in range(1, count):
        changed = ((i - 1) ^ i).bit_length() - 1  # lowest zero bit of i - 1
        points[i] = points[i - 1] ^ numbers[:dimensions, changed]
    points.flags.writeable = False
    return points


def points(dimensions: int, seed: int, shifts: int = SHIFTS, per_shift: int = PER_SHIFT) -> Array:
    """Sampling points, the same for the same seed: each block of Sobol points moved by a digital shift of its own.

    Args:
        dimensions: number of dimensions [1].
        seed: seed of the shifts.
        shifts: number of blocks [1]; the spread of their means is the error of a mean.
        per_shift: points in each block [1].

    Returns:
        points strictly between 0 and 1, shape (shifts * per_shift, dimensions), block after block. The first
        columns do not depend on how many dimensions are asked for.

    Source: Owen, randomized quasi-Monte Carlo; Cranley and Patterson's shift done digit by digit.

    >>> points(3, seed=1).shape
    (1024, 3)
    """
    base = base_points(dimensions, per_shift)
    moved = base[np.newaxis] ^ _shifts(dimensions, seed, shifts)[:, np.newaxis]
    return ((moved.astype(np.float64) + 0.5) / 2.0**BITS).reshape(shifts * per_shift, dimensions)


def _shifts(dimensions: int, seed: int, shifts: int) -> NDArray[np.uint32]:
    """One shift for each block and dimension from a counter-based generator, shape (shifts, dimensions)."""
    keys = np.random.SeedSequence(seed).generate_state(2, np.uint64)
    generator = np.random.Generator(np.random.Philox(key=keys))
    raw = generator.integers(0, 1 << BITS, size=(dimensions, shifts), dtype=np.uint64)
    return raw.T.astype(np.uint32)
