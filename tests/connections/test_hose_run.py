"""Hose lengths: they reach at every pose, are not much too long, and bows are known circles."""

from __future__ import annotations

import cmath
import math

import numpy as np
import pytest

from handfast.connections.hose_run import (
    arm_point,
    bow_radius,
    carried_point,
    length_needed,
    plan_hose,
    reach,
    rough_longest,
    sold_length,
    turn_allowance,
)


def machine(rng: np.random.Generator) -> dict[str, float]:
    """Arm, tool plate, clamp and port of a random loader [m, rad]."""
    return {
        "arm": rng.uniform(1.2, 2.4), "low": rng.uniform(-0.7, -0.3), "high": rng.uniform(0.5, 0.9),
        "dump": rng.uniform(-1.2, -0.6), "back": rng.uniform(0.4, 0.9), "along": rng.uniform(0.5, 0.9),
        "above": rng.uniform(0.0, 0.2), "ahead": rng.uniform(0.05, 0.5), "rise": rng.uniform(0.1, 0.6),
        "ends": rng.uniform(0.06, 0.15), "bend": rng.uniform(0.1, 0.24),
    }  # fmt: skip


def plain_distances(m: dict[str, float], lifts: int, curls: int) -> list[float]:
    """Distances clamp to port in plain complex numbers."""
    found = []
    for i in range(lifts):
        turn = cmath.exp(1j * (m["low"] + (m["high"] - m["low"]) * i / (lifts - 1)))
        clamp = (m["along"] * m["arm"] + 1j * m["above"]) * turn
        for j in range(curls):
            tool = cmath.exp(1j * (m["dump"] + (m["back"] - m["dump"]) * j / (curls - 1)))
            found.append(abs(m["arm"] * turn + (m["ahead"] + 1j * m["rise"]) * tool - clamp))
    return found


def test_fifty_random_loaders_are_reached_at_every_pose_and_not_wastefully():
    """Plane geometry in complex numbers as the oracle; the bought length is shortened by 4 % of its free part."""
    rng = np.random.default_rng(50)
    for _ in range(50):
        m = machine(rng)
        lift = np.linspace(m["low"], m["high"], 40)[:, None]
        curl = np.linspace(m["dump"], m["back"], 30)[None, :]
        pin_x, pin_z = m["arm"] * np.cos(lift), m["arm"] * np.sin(lift)
        clamp = arm_point(0.0, 0.0, pin_x, pin_z, m["along"], m["above"])
        port = carried_point(pin_x, pin_z, curl, m["ahead"], m["rise"])
        got = reach(*clamp, *port)
        plan = plan_hose(got.longest, got.shortest, m["ends"], m["bend"])
        truth = plain_distances(m, 100, 60)
        assert float(plan.bought) >= max(truth) / 0.96 + m["ends"] - 1e-3
        under_pressure = (float(plan.bought) - m["ends"]) * 0.96
        assert all(under_pressure >= d for d in truth)
        needed = max(truth) / 0.96 + m["ends"] + (math.pi / 2 - 1) * m["bend"]
        assert float(plan.bought) - needed < max(0.05, 0.10 * needed)
        assert float(got.shortest) == pytest.approx(min(truth), abs=0.02)


def test_a_quarter_turn_costs_its_arc_less_its_gain():
    """A quarter circle of 100 mm is 157.1 mm long and gains 100 mm along the line."""
    assert float(turn_allowance(0.1, 2)) == pytest.approx(2 * 0.05708, abs=1e-5)


def test_pressure_shortens_by_four_in_a_hundred():
    """SAE J517: −4 %. 1.2 m is bridged by 1.25 m."""
    assert float(length_needed(1.2, 0.0, 0.0)) == pytest.approx(1.25)


@pytest.mark.parametrize(("angle", "radius"), [(math.pi, 0.3), (math.pi / 2, 1.0), (1.5 * math.pi, 0.2)])
def test_bow_of_known_circles(angle: float, radius: float):
    """Arc r·φ over the chord 2 r sin(φ/2)."""
    assert float(bow_radius(radius * angle, 2 * radius * math.sin(angle / 2))) == pytest.approx(radius, rel=1e-9)


def test_a_straight_hose_has_no_bow_and_a_folded_one_is_pinched():
    assert float(bow_radius(1.0, 1.0)) == math.inf
    loose = plan_hose(1.5, [1.4, 0.05], 0.1, 0.3)
    assert loose.pinched.tolist() == [False, True]
    assert float(loose.slack_radius[1]) == pytest.approx((float(loose.bought) - 0.1) * 1.02 / (2 * math.pi), rel=0.05)


def test_rough_measures_get_a_wider_allowance():
    """The longest of the four, a tenth and 0.1 m more, so longer than from the same distance known by motion."""
    measured = [1.1, 1.5, math.nan, 1.3]
    assert float(rough_longest(measured)) == pytest.approx(1.75)
    assert plan_hose(rough_longest(measured), 1.1, 0.1, 0.2).bought > plan_hose(1.5, 1.1, 0.1, 0.2).bought


def test_sold_lengths_step_up_only():
    for needed in np.linspace(0.3, 4, 200):
        sold = float(sold_length(needed))
        assert needed <= sold + 1e-9 < needed + 0.025 + 1e-9
    assert float(sold_length(1.4)) == pytest.approx(1.4)


def test_poses_out_of_reach_are_left_aside():
    got = reach(0.0, 0.0, [math.nan, 2.0, 1.0], [0.0, 0.0, 0.0])
    assert (float(got.shortest), float(got.longest)) == (1.0, 2.0)
    assert (got.shortest_at, got.longest_at) == (2, 1)
