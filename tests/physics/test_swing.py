"""The second phase against scipy's rotations and a static reckoning of the machine at its stop."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from handfast.physics.slope import combine, first_roll
from handfast.physics.swing import second_phase, turned


def test_turned_is_a_rotation() -> None:
    """scipy's rotation vectors give the same point, 100 random lines."""
    rng = np.random.default_rng(3)
    for _ in range(100):
        point, line, play = rng.normal(size=3), rng.uniform(0.2, 2.0, 3), rng.uniform(0.0, 0.4)
        unit = line / np.linalg.norm(line)
        want = Rotation.from_rotvec(unit * play / unit[0]).apply(point)
        assert [float(v) for v in turned(tuple(point), tuple(line), play)] == pytest.approx(want.tolist(), abs=1e-12)


@pytest.mark.parametrize("heading", [1.0, np.pi / 2, 2.0, 4.2, 5.0])
def test_machine_at_its_stop_stands_until_the_uphill_wheels_lift(heading: float) -> None:
    """At the angle found the weight's line meets the line of the downhill contacts; a little less and it does not."""
    span, track, fore, up, play = 1.6, 1.2, 1.1, 0.4, 0.15
    body, axle = combine([900.0], [0.7], [0.03], [0.75]), combine([100.0], [1.6], [0.0], [0.35])
    found = []
    for side in (-1.0, 1.0):
        rear, front = np.array([0.0, side * track / 2, 0.0]), np.array([span, side * fore / 2, 0.0])
        line = np.array([span, 0.0, up]) - rear
        turn = Rotation.from_rotvec(-side * line / np.linalg.norm(line) * play * np.linalg.norm(line) / line[0])
        cg = rear + turn.apply(np.array([0.7, 0.03, 0.75]) - rear)
        whole = (900.0 * cg + 100.0 * np.array([1.6, 0.0, 0.35])) / 1000.0
        slopes = np.linspace(0.0, np.pi / 2, 200001)
        weight = np.array([np.cos(heading) * np.sin(slopes), -np.sin(heading) * np.sin(slopes), -np.cos(slopes)]).T
        moment = -side * (np.cross(whole - rear, weight) @ (front - rear))
        over = slopes[moment >= 0.0]
        found.append(over[0] if len(over) else np.pi / 2)
    got = float(second_phase(heading, body, axle, span, track, fore, up, play))
    assert got == pytest.approx(min(found), abs=1e-5)


def test_a_stop_helps_only_as_far_as_the_body_has_not_leaned() -> None:
    """More swing leaves less; a machine without swing stands as a rigid one, above its first roll."""
    body, axle = combine([900.0], [0.7], [0.0], [0.75]), combine([100.0], [1.6], [0.0], [0.35])
    plays = np.radians([0.0, 4.0, 8.0, 12.0, 16.0])
    left = second_phase(np.pi / 2, body, axle, 1.6, 1.2, 1.1, 0.4, plays)
    assert np.all(np.diff(left) < 0.0)
    assert left[0] > first_roll(np.pi / 2, body, 1.6, 1.2, 0.4).least
