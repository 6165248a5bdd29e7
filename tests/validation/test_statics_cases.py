"""Textbook cases of tractor statics and the counterweight formula that loader manuals print."""

from __future__ import annotations

import numpy as np
import pytest

from handfast.physics.balance import axles, counterweight, share, three_supports

POUND = 0.45359237


def test_konaka_two_axles() -> None:
    """Konaka, vector mechanics of tractors, 2-1: 800 kgf, 80 cm ahead of the rear, 100 cm behind the front axle."""
    front, rear = axles([800.0], [0.80], 1.80)
    assert float(rear) == pytest.approx(444.4, abs=0.05)
    assert float(front) == pytest.approx(355.6, abs=0.05)


def test_konaka_three_wheels() -> None:
    """Konaka, section 2: three-wheel tractor, 1000 kg, a 50, l 160, f 20, m 100 cm: 312.5, 543.75, 143.75 kg."""
    got = three_supports(1000.0, 0.50, 0.20, 1.60, 1.00)
    assert [float(v) for v in got] == pytest.approx([312.5, 543.75, 143.75], rel=1e-12)


def test_beer_and_johnston_loader_tractor() -> None:
    """Beer and Johnston, Statics, ch. 4, recalled distances: each rear wheel 325 lb, each front wheel 1175 lb;
    the edition with a 2400 lb tractor: 425 and 1225 lb."""
    front, rear = axles([[2100.0, 2400.0], 900.0], [20.0, 60.0 + 50.0], 60.0)
    assert (rear / 2).tolist() == pytest.approx([325.0, 425.0], rel=1e-12)
    assert (front / 2).tolist() == pytest.approx([1175.0, 1225.0], rel=1e-12)


def test_two_masses_on_two_supports() -> None:
    """mathix.co, wheel reactions: 8400 N at 2/3 m and 3600 N at 1 m, supports 2 m apart: 7400 and 4600 N."""
    far, near = axles([8400.0, 3600.0], [2.0 / 3.0, 1.0], 2.0)
    assert [float(near), float(far)] == pytest.approx([7400.0, 4600.0], rel=1e-12)


def test_weight_split_gives_the_wheelbase() -> None:
    """Penn State Extension: centre of gravity 2 ft ahead of the rear axle at 30/70 means a wheelbase of 80 in."""
    front, rear = axles([1.0], [24.0], 80.0)
    assert [float(front), float(rear)] == pytest.approx([0.30, 0.70], rel=1e-12)


def test_ballasting_guide_split() -> None:
    """Trade-press ballasting guide: 180 hp at 130 lb/hp, 35/65: 23,400 lb, 8,190 front, 15,210 rear."""
    front, rear = axles([180.0 * 130.0], [0.35 * 100.0], 100.0)
    assert [float(front), float(rear)] == pytest.approx([8190.0, 15210.0], rel=1e-12)


def printed(g1: float, g: float, n: float, b: float, l1: float, l2: float) -> float:
    """EN 12525+A2:2010 as two loader manuals print it: M = [5·N·b + l2·(P + N − 5·G)] / [5·(l1 + l2) − l2]."""
    return (5.0 * n * b + l2 * (g1 + g + n - 5.0 * g)) / (5.0 * (l1 + l2) - l2)


def test_counterweight_as_printed() -> None:
    """A numeric case by moments: 179.21 kg gives 647.84 kg = 20.000 % of 3239.2 kg; without 397.89 kg."""
    got = float(counterweight(820.0, 1240.0, 1000.0, 1.60, 0.75, 1.90))
    assert got == pytest.approx(179.21, abs=0.005)
    bare = axles([2060.0, 1000.0], [820.0 * 1.90 / 2060.0, 1.90 + 1.60], 1.90)
    held = axles([2060.0, 1000.0, got], [820.0 * 1.90 / 2060.0, 1.90 + 1.60, -0.75], 1.90)
    assert float(bare.rear) == pytest.approx(397.89, abs=0.005)
    assert float(held.rear) == pytest.approx(647.84, abs=0.005)
    assert float(share(held.rear, sum(held))) == pytest.approx(0.20, abs=1e-12)
    assert float(counterweight(820.0, 1240.0, 1000.0, 1.60, 1.15, 1.90)) == pytest.approx(152.0, abs=0.5)


def test_counterweight_against_the_printed_form() -> None:
    """500 random sets: the printed form where it is positive, 0 where it is not."""
    rng = np.random.default_rng(12525)
    low, high = [300.0, 300.0, 50.0, 0.5, 0.5, 1.2], [3000.0, 4000.0, 2500.0, 2.5, 2.0, 2.8]
    rows = rng.uniform(low, high, (500, 6))
    got = counterweight(*rows.T, 0.20)
    want = np.array([max(printed(*row), 0.0) for row in rows])
    assert np.count_nonzero(want == 0.0) > 20
    assert got == pytest.approx(want, rel=1e-12, abs=1e-9)


def template(tl: float, tv: float, th: float, gv: float, gh: float, a: float, b: float, cd: float) -> dict[str, float]:
    """The ballast template of implement manuals: loads TL, TV, TH empty, implements GV front and GH rear."""
    total = gv + tl + gh
    front = (gv * (a + b) + tv * b - gh * cd) / b
    return {"front": front, "total": total, "rear": total - front}


def test_implement_template() -> None:
    """Template found alike in five implement manuals (+TV·b; one printing has −TV·b and fails by moments)."""
    rng = np.random.default_rng(8)
    for tv, th, gv, gh, a, b, cd in rng.uniform(
        [400, 500, 0, 0, 0.4, 1.2, 0.8], [2000, 3000, 900, 900, 1.8, 2.8, 2.2], (50, 7)
    ):
        want = template(tv + th, tv, th, gv, gh, a, b, cd)
        front, rear = axles([tv, th, gv, gh], [b, 0.0, b + a, -cd], b)
        assert [float(front), float(rear)] == pytest.approx([want["front"], want["rear"]], rel=1e-12)
        least = (gv * a - th * b + 0.45 * (tv + th) * b) / (b + cd)
        if least > 0:
            rear = axles([tv, th, gv, least], [b, 0.0, b + a, -cd], b).rear
            assert float(rear) == pytest.approx(0.45 * (tv + th), rel=1e-12)
