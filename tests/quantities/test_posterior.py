"""A quantity after readings against closed forms and a general-purpose library; picking samples by weight."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import integrate, stats

from handfast.quantities.estimate import HALF_WIDTH_SDS, Estimate
from handfast.quantities.posterior import (
    Posterior,
    deviates_by_rank,
    effective_size,
    factor_given,
    joint_log,
    surprise,
    systematic,
    weights_from,
)

U = (np.arange(4096) + 0.5) / 4096


def test_a_normal_prior_and_a_normal_reading_give_the_closed_form() -> None:
    """Precisions add up (Raiffa and Schlaifer, chapter 11): N(1000, 50²) read as 1060 ± 30 is N(1044.1, 25.7²)."""
    prior = Estimate.about(1000.0, HALF_WIDTH_SDS * 50.0)
    drawn = Posterior(prior, ((1060.0, 30.0),)).draw(U)
    precision = 1 / 50**2 + 1 / 30**2
    mean, sd = (1000 / 50**2 + 1060 / 30**2) / precision, precision**-0.5
    assert (round(mean, 1), round(sd, 1)) == (1044.1, 25.7)
    assert drawn.mean() == pytest.approx(mean, abs=0.05)  # the prior is cut at three of its deviations
    assert drawn.std() == pytest.approx(sd, rel=0.005)
    cut = stats.truncnorm((850 - mean) / sd, (1150 - mean) / sd, mean, sd)
    assert drawn == pytest.approx(cut.ppf(U), abs=0.02)


@pytest.mark.parametrize("read, sd", [(2.0, 0.3), (1.0, 0.5), (3.4, 0.2), (2.0, 50.0), (1.7, 0.001)])
def test_a_range_becomes_a_truncated_normal(read: float, sd: float) -> None:
    """scipy.stats.truncnorm is the oracle, readings beyond the range's ends among them."""
    drawn = Posterior(Estimate.between(1.0, 3.0), ((read, sd),)).draw(U)
    expected = stats.truncnorm((1.0 - read) / sd, (3.0 - read) / sd, read, sd).ppf(U)
    assert drawn == pytest.approx(expected, abs=2e-5)


@pytest.mark.parametrize("read, sd", [(1.5, 0.4), (2.6, 0.1), (0.9, 0.2)])
def test_a_triangle_times_a_normal_by_quadrature(read: float, sd: float) -> None:
    """Quantiles put back into the distribution function that scipy integrates."""
    low, likely, high = 1.0, 1.4, 3.0
    triangle = stats.triang((likely - low) / (high - low), low, high - low)

    def dense(x: float) -> float:
        return float(triangle.pdf(x) * stats.norm.pdf(read, x, sd))

    places = [p for p in (likely, min(max(read, low), high)) if low < p < high]
    whole = integrate.quad(dense, low, high, points=places, limit=200)[0]
    drawn = Posterior(Estimate.triangular(low, likely, high), ((read, sd),)).draw(np.array([0.1, 0.5, 0.9]))
    for share, value in zip((0.1, 0.5, 0.9), drawn, strict=True):
        inside = [p for p in places if p < value]
        assert integrate.quad(dense, low, value, points=inside, limit=200)[0] / whole == pytest.approx(share, abs=2e-4)


def test_two_readings_are_one_reading_of_their_weighted_mean() -> None:
    prior = Estimate.between(0.0, 100.0)
    two = Posterior(prior, ((40.0, 3.0), (46.0, 6.0))).draw(U)
    precision = 1 / 9 + 1 / 36
    one = Posterior(prior, (((40 / 9 + 46 / 36) / precision, precision**-0.5),)).draw(U)
    assert two == pytest.approx(one, abs=1e-4)


def test_a_reading_that_errs_without_end_changes_nothing() -> None:
    prior = Estimate.triangular(1.0, 2.0, 4.0)
    assert Posterior(prior, ((2.5, 1e9),)).draw(U) == pytest.approx(prior.draw(U), abs=1e-4)


def test_a_shared_factor_given_its_followers_by_regression() -> None:
    """The conditional normal distribution by the matrix formula (Anderson, theorem 2.5.1)."""
    weight, mean, spread, seen = 0.8, 0.4, 0.6, np.array([0.9, -0.2, 1.1])
    cov = (weight * spread) ** 2 + (1 - weight**2) * np.eye(3)
    gain = np.linalg.solve(cov, np.full(3, weight * spread**2))
    centre, sd = factor_given([np.array([z]) for z in seen], weight, mean, spread)
    assert centre[0] == pytest.approx(mean + gain @ (seen - weight * mean))
    assert sd == pytest.approx(np.sqrt(spread**2 - gain @ np.full(3, weight * spread**2)))


def test_followers_together_against_the_multivariate_normal() -> None:
    weight, mean, spread = 0.8, 0.4, 0.6
    cov = (weight * spread) ** 2 + (1 - weight**2) * np.eye(2)
    alone = stats.norm(weight * mean, np.sqrt(cov[0, 0]))
    together = stats.multivariate_normal([weight * mean] * 2, cov)
    z = np.random.default_rng(1).normal(size=(2, 50))
    expected = together.logpdf(z.T) - alone.logpdf(z).sum(axis=0)
    found = joint_log(list(z), weight, mean, spread)
    assert found - found[0] == pytest.approx(expected - expected[0], abs=1e-9)


@given(st.lists(st.floats(0, 1), min_size=1, max_size=60).filter(lambda w: sum(w) > 1e-6), st.integers(1, 200))
def test_systematic_picks_each_as_often_as_its_weight(raw: list[float], count: int) -> None:
    weights = np.array(raw) / sum(raw)
    picked = np.bincount(systematic(weights, count), minlength=len(weights))
    assert picked.sum() == count
    assert (np.abs(picked - count * weights) < 1.0 + 1e-6).all()


def test_effective_size_of_equal_and_of_single_weights() -> None:
    assert effective_size(np.full(8, 1 / 8)) == 8.0
    assert effective_size([1.0, 0.0]) == 1.0


def test_weights_of_logs_and_of_nothing_possible() -> None:
    assert weights_from([np.log(3.0), 0.0]).tolist() == pytest.approx([0.75, 0.25])
    assert weights_from([-np.inf, -np.inf]).tolist() == [0.5, 0.5]


def test_ranks_are_even_and_keep_the_order() -> None:
    assert deviates_by_rank([5.0, 1.0, 5.0]).tolist() == pytest.approx([3 / 6, 1 / 6, 5 / 6])


def test_surprise_is_the_two_sided_tail() -> None:
    """One value known for sure: the tail of the normal distribution itself."""
    assert surprise(np.array([0.0]), 1.96, 1.0) == pytest.approx(2 * stats.norm.sf(1.96), rel=1e-9)
