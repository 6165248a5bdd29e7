"""Clearance against the checked inquiry and dense points; dump height by hand."""

from __future__ import annotations

import itertools
import json
from pathlib import Path

import numpy as np
import pytest

from handfast.physics import clearance, jaw

CHECKED = Path(__file__).parents[1] / "validation" / "checked"
SNOW_BUCKET = {"ahead": 0.102, "drop": 0.127, "floor": [[0.0, 0.0], [0.559, 0.0]]}


def test_lowest_point_of_the_checked_inquiry() -> None:
    """Source: tests/validation/checked/q19.expected.json, reckoned by moments elsewhere."""
    figures = json.loads((CHECKED / "q19.expected.json").read_text(encoding="utf-8"))["figures"]
    low = clearance.dump_lowest_point(
        1.842, SNOW_BUCKET["ahead"], SNOW_BUCKET["drop"], SNOW_BUCKET["floor"], np.radians(42.0)
    )
    assert float(low) == pytest.approx(figures["dump.lowest_point"]["value"], rel=1e-9)


def test_straight_down_the_floor_hangs_by_its_length() -> None:
    low = clearance.dump_lowest_point(2.0, 0.1, 0.2, [[0.0, 0.0], [0.6, 0.0]], np.pi / 2)
    assert float(low) == pytest.approx(2.0 - 0.7)


def dense(points: np.ndarray, count: int = 4001) -> np.ndarray:
    share = np.linspace(0.0, 1.0, count)[:, None]
    return np.concatenate([a + share * (b - a) for a, b in itertools.pairwise(points)])


@pytest.mark.parametrize("seed", range(40))
def test_gaps_equal_those_of_dense_points(seed: int) -> None:
    rng = np.random.default_rng(seed)
    line = np.column_stack([rng.uniform(1.0 if seed % 2 else 1.8, 3.5, 4), rng.uniform(-0.3, 2.5, 4)])
    cloud = dense(line)
    wheel, radius, front, top = 1.4, 0.33, 1.9, 1.25
    by_wheel = (np.hypot(cloud[:, 0] - wheel, cloud[:, 1] - radius) - radius).min()
    assert by_wheel - 1e-3 <= float(clearance.gap_to_wheel(line, wheel, radius)) <= by_wheel + 1e-9
    inside = (cloud[:, 0] < front) & (cloud[:, 1] < top) & (cloud[:, 1] > 0.0)
    over = np.maximum(cloud[:, 1] - top, -cloud[:, 1])
    away = np.hypot(np.maximum(cloud[:, 0] - front, 0.0), np.maximum(over, 0.0))
    depth = np.minimum(front - cloud[:, 0], -over)
    by_hood = np.where(inside, -depth, away).min()
    assert by_hood - 1e-3 <= float(clearance.gap_to_hood(line, front, top)) <= by_hood + 1e-9


def test_curl_range_as_an_axis_and_the_least_of_it() -> None:
    angles = np.linspace(-0.7, 0.7, 29)
    outline = np.array([[0.0, 0.0], [0.0, 0.6], [0.5, 0.6]])
    pins = np.linspace(0.4, 2.0, 5)[:, None]
    args = ((0.1, 0.2), angles, (1.75, 1.2), (1.4, 0.33))
    together = clearance.curl_gap(outline, (2.0, pins), *args)
    assert together.shape == (5, 29)
    for row, col in ((0, 0), (2, 14), (4, 28)):
        one = clearance.curl_gap(outline, (2.0, pins[row, 0]), (0.1, 0.2), angles[col], (1.75, 1.2), (1.4, 0.33))
        assert float(one) == together[row, col]


def test_pushing_the_hood_forward_never_gives_more_room() -> None:
    outline = np.array([[0.0, 0.0], [0.0, 0.6]])
    gaps = clearance.curl_gap(outline, (2.0, 0.9), (0.1, 0.2), 0.4, (np.linspace(1.2, 2.2, 30), 1.2), (1.4, 0.33))
    assert np.all(np.diff(gaps) <= 1e-9)


def test_outline_keeps_its_shape_when_placed() -> None:
    made = jaw.make_jaw([[0, 0], [0.6, 0]], [[0.1, 0.5], [0.6, 0.1]], [0, 0.5], [0.1, 0.9], [0.2, 0.5])
    before = clearance.outline(made, 0.4)
    after = clearance.placed(before, 2.1, 1.3, 0.1, 0.2, 0.6)
    assert np.allclose(np.hypot(*np.diff(before, axis=0).T), np.hypot(*np.diff(after, axis=0).T))
    assert np.allclose(clearance.outline(made)[:2], made.floor[::-1])
