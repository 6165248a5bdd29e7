"""Distributions against scipy.stats, a general library of them."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import special, stats

from handfast.quantities.estimate import Estimate
from handfast.quantities.normal import normal_quantile, normal_share

U = np.concatenate([[1e-12, 1e-6], np.linspace(0.001, 0.999, 997), [1 - 1e-6, 1 - 1e-12]])


def test_about_is_a_normal_distribution_cut_at_three_standard_deviations() -> None:
    oracle = stats.truncnorm(-3, 3, loc=40.0, scale=4.0 / 1.96)
    assert Estimate.about(40.0, 4.0).draw(U) == pytest.approx(oracle.ppf(U), rel=1e-9)


def test_range_is_uniform() -> None:
    assert Estimate.between(800.0, 900.0).draw(U) == pytest.approx(stats.uniform(800, 100).ppf(U), rel=1e-12)


@pytest.mark.parametrize("likely", [2.0, 3.5, 7.0])
def test_three_points_are_triangular(likely: float) -> None:
    oracle = stats.triang((likely - 2) / 5, loc=2, scale=5)
    assert Estimate.triangular(2.0, likely, 7.0).draw(U) == pytest.approx(oracle.ppf(U), rel=1e-9)


def test_known_has_no_axes_and_unknown_is_no_number() -> None:
    assert Estimate.known(3.0).draw(U).shape == ()
    assert float(Estimate.known(3.0).draw(U)) == 3.0
    assert math.isnan(float(Estimate.unknown().draw(U)))


@pytest.mark.parametrize("given", [Estimate.about(40, 4), Estimate.between(1, 2), Estimate.triangular(1, 2, 4)])
def test_scalar_is_the_array_of_length_one(given: Estimate) -> None:
    assert [float(given.draw(float(u))) for u in U[::50]] == given.draw(U[::50]).tolist()


def test_the_normal_quantile_is_that_of_scipy() -> None:
    shares = np.concatenate([np.logspace(-300, -1, 400), U])
    assert normal_quantile(shares) == pytest.approx(special.ndtri(shares), rel=1e-13, abs=1e-13)
    z = np.linspace(-8, 8, 201)
    assert normal_share(z) == pytest.approx(special.ndtr(z), rel=1e-12)


def test_scaling_scales_every_value_drawn() -> None:
    for given in (Estimate.about(40, 4), Estimate.between(1, 2), Estimate.triangular(1, 2, 4), Estimate.known(2)):
        assert given.scaled(2.5).draw(U) == pytest.approx(2.5 * given.draw(U), rel=1e-12)
    assert Estimate.between(1, 2).scaled(-1).low == -2


def test_unknowns_are_equal_and_different_origins_are_not() -> None:
    assert Estimate.unknown() == Estimate.unknown()
    assert hash(Estimate.unknown()) == hash(Estimate.unknown())
    assert Estimate.known(1.0, "weighed") != Estimate.known(1.0, "sheet")


@pytest.mark.parametrize(
    "wrong", [("known", 2, 1, 3), ("range", 1, math.nan, 2), ("range", -math.inf, 0, 1), ("odd", 1, 1, 1)]
)
def test_what_no_reading_can_give_is_a_fault_of_the_program(wrong: tuple[str, float, float, float]) -> None:
    with pytest.raises(ValueError, match="estimate"):
        Estimate(*wrong)
