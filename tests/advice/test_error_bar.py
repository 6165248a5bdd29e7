"""The bar beside a share: replicates by hand, a floor of one sample, and only the samples that are presumed."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from handfast.advice.error_bar import share_error


def flags(hits: list[int]) -> np.ndarray:
    return np.concatenate([np.arange(128) < n for n in hits])


def test_all_samples_given_is_student_over_the_eight_means() -> None:
    holds = flags([100, 90, 110, 95, 105, 99, 101, 92])
    means = holds.reshape(8, -1).mean(axis=1)
    low, high = stats.t.interval(0.95, 7, loc=means.mean(), scale=stats.sem(means))
    by_hand = np.hypot((high - low) / 2.0, 1 / 1024)
    assert share_error(holds, np.ones(1024, dtype=bool)) == pytest.approx(by_hand, rel=2e-4)


def test_what_no_sample_met_may_still_be_there() -> None:
    every = np.ones(1024, dtype=bool)
    assert share_error(every, every) == 1 / 1024
    assert share_error(~every, flags([16] * 8)) == 1 / 128


def test_what_is_not_presumed_does_not_count() -> None:
    given = flags([30, 40, 35, 31, 39, 28, 44, 33])
    rng = np.random.default_rng(3)
    holds = rng.random(1024) < 0.7
    assert share_error(holds, given) == share_error(holds & given, given) == share_error(holds | ~given, given)


def test_certainty_has_no_bar() -> None:
    one = np.ones(1, dtype=bool)
    assert share_error(one, one) == 0.0
    assert share_error(one, ~one) == 0.0
