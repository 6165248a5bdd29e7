"""The normal distribution without scipy: its share below a value, and the value at a share."""

from __future__ import annotations

import math

import numpy as np

from handfast.quantities.arrays import Array, ArrayLike

# Wichura's rational approximations (algorithm AS 241, routine PPND16), numerator and denominator, highest power first.
_MIDDLE = (
    (2509.0809287301226727, 33430.575583588128105, 67265.770927008700853, 45921.953931549871457,
     13731.693765509461125, 1971.5909503065514427, 133.14166789178437745, 3.387132872796366608),
    (5226.495278852545925, 28729.085735721942674, 39307.89580009271061, 21213.794301586595867,
     5394.1960214247511077, 687.1870074920579083, 42.313330701600911252, 1.0),
)  # fmt: skip
_NEAR_TAIL = (
    (7.7454501427834140764e-4, 0.0227238449892691845833, 0.24178072517745061177, 1.27045825245236838258,
     3.64784832476320460504, 5.7694972214606914055, 4.6303378461565452959, 1.42343711074968357734),
    (1.05075007164441684324e-9, 5.475938084995344946e-4, 0.0151986665636164571966, 0.14810397642748007459,
     0.68976733498510000455, 1.6763848301838038494, 2.05319162663775882187, 1.0),
)  # fmt: skip
_FAR_TAIL = (
    (2.01033439929228813265e-7, 2.71155556874348757815e-5, 0.0012426609473880784386, 0.026532189526576123093,
     0.29656057182850489123, 1.7848265399172913358, 5.4637849111641143699, 6.6579046435011037772),
    (2.04426310338993978564e-15, 1.4215117583164458887e-7, 1.8463183175100546818e-5, 7.868691311456132591e-4,
     0.0148753612908506148525, 0.13692988092273580531, 0.59983220655588793769, 1.0),
)  # fmt: skip


# Cody's rational approximations of the error function: near nought, in the middle and in the tail.
_NEAR = (
    (0.185777706184603153, 3.16112374387056560, 113.864154151050156, 377.485237685302021, 3209.37758913846947),
    (1.0, 23.6012909523441209, 244.024637934444173, 1282.61652607737228, 2844.23683343917062),
)
_BETWEEN = (
    (2.15311535474403846e-8, 0.564188496988670089, 8.88314979438837594, 66.1191906371416295, 298.635138197400131,
     881.952221241769090, 1712.04761263407058, 2051.07837782607147, 1230.33935479799725),
    (1.0, 15.7449261107098347, 117.693950891312499, 537.181101862009858, 1621.38957456669019,
     3290.79923573345963, 4362.61909014324716, 3439.36767414372164, 1230.33935480374942),
)  # fmt: skip
_BEYOND = (
    (0.0163153871373020978, 0.305326634961232344, 0.360344899949804439, 0.125781726111229246,
     0.0160837851487422766, 6.58749161529837803e-4),
    (1.0, 2.56852019228982242, 1.87295284992346047, 0.527905102951428412, 0.0605183413124413191,
     2.33520497626869185e-3),
)  # fmt: skip
NEAR, BEYOND = 0.46875, 4.0  # where one approximation hands over to the next


def normal_share(z: ArrayLike) -> Array:
    """Share of the standard normal distribution below `z`.

    Args:
        z: standard deviations from the mean [1], any shape.

    Returns:
        share [1], shape of `z`.

    Source: definition by the complementary error function; W. J. Cody, Rational Chebyshev approximations for the
        error function, Mathematics of Computation 23 (1969).

    >>> float(normal_share(0.0))
    0.5
    """
    x = np.asarray(z, dtype=np.float64) / -math.sqrt(2)
    size = np.abs(x)
    small = np.minimum(size, NEAR)
    near = 1.0 - np.copysign(small, x) * _ratio(_NEAR, small * small)
    outer = np.exp(-size * size) * np.where(size <= BEYOND, _ratio(_BETWEEN, np.minimum(size, BEYOND)), _tail(size))
    return np.asarray(0.5 * np.where(size <= NEAR, near, np.where(x < 0.0, 2.0 - outer, outer)))


def _tail(size: Array) -> Array:
    """erfc(x) exp(x²) beyond four."""
    large = np.maximum(size, BEYOND)
    square = 1.0 / (large * large)
    return np.asarray((1.0 / math.sqrt(math.pi) - square * _ratio(_BEYOND, square)) / large)


def normal_quantile(share: ArrayLike) -> Array:
    """Value below which a share of the standard normal distribution lies.

    Args:
        share: share [1], any shape, strictly between 0 and 1.

    Returns:
        standard deviations from the mean [1], shape of `share`.

    Source: M. J. Wichura, Algorithm AS 241, Applied Statistics 37 (1988).

    >>> round(float(normal_quantile(0.975)), 6)
    1.959964
    """
    p = np.asarray(share, dtype=np.float64)
    q = p - 0.5
    middle = np.abs(q) <= 0.425
    r = 0.180625 - np.where(middle, q, 0.0) ** 2
    centre = np.where(middle, q, 0.0) * _ratio(_MIDDLE, r)
    tail = np.sqrt(-np.log(np.where(middle, 0.5, np.minimum(p, 1 - p))))
    outer = np.where(tail <= 5, _ratio(_NEAR_TAIL, tail - 1.6), _ratio(_FAR_TAIL, tail - 5))
    return np.where(middle, centre, np.copysign(outer, q))


def _ratio(coefficients: tuple[tuple[float, ...], tuple[float, ...]], x: Array) -> Array:
    """Quotient of two polynomials."""
    above, below = coefficients
    return np.asarray(np.polyval(above, x) / np.polyval(below, x), dtype=np.float64)
