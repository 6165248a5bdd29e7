"""How far a reckoned share may be from the true one: the error bar that stands beside every probability."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from handfast.quantities.sobol import SHIFTS

T_95 = 2.365  # Student's t, 7 degrees of freedom, 95 % two-sided (standard table)


def share_error(holds: NDArray[np.bool_], given: NDArray[np.bool_]) -> float:
    """Half-width of the 95 % error bar of the share that holds among the samples that are given.

    Args:
        holds: flags (samples,), eight independent shifts one after another; one flag where nothing is uncertain.
        given: flags (samples,): which samples count.

    Returns:
        Share [1]; never less than one sample, for what no sample has met may still be there; 0 where nothing is
        uncertain.

    Source: ratio of two means with its linearised variance over replicates, Student's t (Cochran, Sampling Techniques,
    chapter 6); replicates of randomized quasi-Monte Carlo (Owen); a floor of one sample (practice).

    Example:
        >>> every = np.ones(1024, dtype=bool)
        >>> share_error(every, every) == 1 / 1024
        True
        >>> share_error(np.ones(1, dtype=bool), np.ones(1, dtype=bool))
        0.0
    """
    count = int(given.sum())
    if len(given) == 1 or not count:
        return 0.0
    hits, base = (one.reshape(SHIFTS, -1).sum(axis=1) for one in (holds & given, given))
    rest = hits - base * (hits.sum() / count)
    spread = T_95 * float(rest.std(ddof=1)) * np.sqrt(SHIFTS) / count
    return float(np.hypot(spread, 1.0 / count))
