"""Balance functions against hand figures that no other file holds."""

from __future__ import annotations

from math import cos, radians, sin

import numpy as np
import pytest

from handfast.physics.balance import Axles, Item, axles, braking, counterweight, hold_on_slope, posed, tipping_load


def demo_machine(extra: list[tuple[float, float]]) -> Axles:
    """A 2300 lb machine, wheelbase 55 in, 58 % in front, as in the hand reckoning of the first demonstration call."""
    masses, xs = [2300.0 * 0.58, 2300.0 * 0.42], [55.0, 0.0]
    return axles(masses + [m for m, _ in extra], xs + [x for _, x in extra], 55.0)


def test_first_demonstration_call() -> None:
    """Hand reckoning: 190 lb 13 in and 400 lb 24 in ahead of level pins: rear 341 lb = 11.8 %, 287 lb to 25 %.

    Arm length 19.685·650/(900 − 650), pin 72 in high, pivot 43 in high and 34 in ahead of the rear axle, hitch 32 in.
    """
    arm = 19.685 * 650.0 / 250.0
    level = 34.0 + (arm**2 + 29.0**2) ** 0.5
    now = demo_machine([(190.0, level + 13.0), (400.0, level + 24.0)])
    assert float(now.rear) == pytest.approx(341.0, abs=0.5)
    assert float(now.rear / sum(now)) == pytest.approx(0.118, abs=0.0005)
    empty = demo_machine([(190.0, level + 13.0)])
    more = counterweight(empty.front, empty.rear, 400.0, level + 24.0 - 55.0, 32.0, 55.0, 0.25)
    assert float(more) == pytest.approx(287.0, abs=0.5)


def test_slope_hold_by_hand() -> None:
    """W sin β against μ·N_rear with N_rear = W·[cos β·(L − x) − sin β·h]/L; four-wheel drive: μ·W cos β."""
    w, beta = 1500.0 * 9.80665, radians(12.0)
    rear = w * (cos(beta) * (1.6 - 0.9) - sin(beta) * 0.7) / 1.6
    two, four = (hold_on_slope(1500.0, 0.9, 0.7, 1.6, beta, 0.5, every) for every in (False, True))
    assert float(two.demand) == float(four.demand) == pytest.approx(w * sin(beta), rel=1e-12)
    assert float(two.capacity) == pytest.approx(0.5 * rear, rel=1e-12)
    assert float(four.capacity) == pytest.approx(0.5 * w * cos(beta), rel=1e-12)
    assert float(hold_on_slope(1500.0, 1.7, 0.7, 1.6, beta).capacity) == 0.0


def test_braking_by_moments() -> None:
    """Inertia at the centre of gravity: 2000 kg at 0.3 g, 0.9 m high, wheelbase 1.8 m moves 300 kg forward."""
    got = braking(Axles(np.array(1100.0), np.array(900.0)), 2000.0, 0.9, 1.8, 0.3)
    assert [float(v) for v in got] == pytest.approx([1400.0, 600.0])


def test_edges_of_counterweight_and_tipping_load() -> None:
    """None where the share is there already, without end where the place can't help; nothing tips behind the axle."""
    assert float(counterweight(500.0, 900.0, 0.0, 1.0, 1.0, 1.6)) == 0.0
    assert float(counterweight(900.0, 100.0, 300.0, 1.0, -1.5, 1.6, 0.2)) == np.inf
    assert tipping_load(600.0, [-0.5, 0.0, 1.2], 1.8).tolist() == [np.inf, np.inf, 900.0]
    assert float(tipping_load(-50.0, 1.2, 1.8)) == 0.0


def test_posed_moves_only_what_moves() -> None:
    """By hand: 100 kg of arms go from x 1.4 to 1.6, 40 kg of quick attach from 2.1 to 2.5; bump adds half."""
    ready, coupler = Item(1000.0, 0.8, 0.6), Item(40.0, 0.1, -0.05)
    masses = {}
    for bump in (1.0, 1.5):
        items = posed(
            ready,
            100.0,
            coupler,
            (0.8, 1.0),
            (2.0, 0.2),
            (2.4, 1.0),
            [Item(200.0, 0.5, 0.1)],
            [Item(80.0, -1.2, 0.5)],
            bump,
        )
        masses[bump] = sum(float(np.asarray(i.mass)) for i in items)
        front = float(axles([i.mass for i in items], [i.x for i in items], 1.5).front)
        moment = 800.0 - 140.0 - 84.0 + bump * (160.0 + 100.0 + 580.0) - 96.0
        assert front == pytest.approx(moment / 1.5, rel=1e-12)
        height = sum(float(np.asarray(i.mass) * np.asarray(i.z)) for i in items)
        assert height == pytest.approx(600.0 - 60.0 - 6.0 + bump * (100.0 + 38.0 + 220.0) + 40.0, rel=1e-12)
    assert masses == pytest.approx({1.0: 1280.0, 1.5: 1450.0})
