"""Sobol points against scipy's generator, and what a digital shift must keep."""

from __future__ import annotations

import subprocess
import sys

import numpy as np
import pytest
from scipy.stats import qmc

from handfast.quantities.sobol import base_points, points
from handfast.quantities.tables import DATA

SRC = DATA.parent.parent


@pytest.mark.parametrize(("dimensions", "count"), [(1, 128), (64, 128), (256, 1024)])
def test_base_points_are_scipys(dimensions: int, count: int) -> None:
    oracle = qmc.Sobol(dimensions, scramble=False, bits=32).random(count)
    assert np.array_equal(base_points(dimensions, count) / 2**32, oracle)


def test_each_block_stays_a_net_under_its_shift() -> None:
    """128 points of a digital net: each of 128 equal slices of an axis holds one, each of 8 x 16 boxes too."""
    for block in points(6, seed=11).reshape(8, 128, 6):
        for axis in range(6):
            assert np.array_equal(np.sort(np.floor(block[:, axis] * 128)), np.arange(128))
        first_two = np.floor(block[:, 0] * 8) * 16 + np.floor(block[:, 1] * 16)
        assert np.array_equal(np.sort(first_two), np.arange(128))


def test_same_seed_same_points_other_seed_others() -> None:
    assert np.array_equal(points(5, seed=3), points(5, seed=3))
    assert not np.array_equal(points(5, seed=3), points(5, seed=4))


def test_first_columns_do_not_depend_on_how_many_there_are() -> None:
    assert np.array_equal(points(5, seed=3), points(64, seed=3)[:, :5])


def test_strictly_within_the_unit_cube_and_far_better_than_chance() -> None:
    drawn = points(4, seed=1)
    assert drawn.min() > 0 and drawn.max() < 1
    # the integral of the product of 2u is 1; plain chance would miss by about 0.05 with 1024 points
    assert np.prod(2 * drawn, axis=1).mean() == pytest.approx(1.0, abs=0.01)


@pytest.mark.parametrize(("dimensions", "count"), [(257, 128), (0, 128), (5, 100), (5, 2048)])
def test_beyond_the_table_is_refused(dimensions: int, count: int) -> None:
    with pytest.raises(ValueError, match="no Sobol points"):
        base_points(dimensions, count)


def test_sampling_does_not_import_scipy() -> None:
    code = "import sys; from handfast.quantities.sobol import points; points(3, 1); sys.exit('scipy' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], check=False, env={"PYTHONPATH": str(SRC)})
    assert done.returncode == 0
