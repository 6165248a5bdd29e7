"""What must be so for every machine: scale, mirror, ballast further back, load straight up, one by one as in one go."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from handfast.physics import balance, slope, swing
from handfast.physics.balance import Axles, Item

mass = st.floats(200.0, 9000.0)
place = st.floats(0.1, 1.2)
height = st.floats(0.4, 1.6)
off = st.floats(-0.15, 0.15)
scale = st.floats(0.2, 8.0)
MACHINE = {"wheelbase": 1.8, "rear_track": 1.3, "pivot_height": 0.40}


def worst(*masses: tuple[float, float, float, float]) -> slope.Lines:
    """All lines of a body of (mass, x, y, z) and an axle of 120 kg."""
    body = slope.combine(*zip(*masses, strict=True))
    whole = slope.combine(*zip(*masses, (120.0, 1.8, 0.0, 0.38), strict=True))
    return slope.worst_first_roll(body, 1.8, 1.3, 0.40, whole)


@given(mass, place, mass, st.floats(-2.0, 4.0), scale)
def test_scaled_masses_scale_axles(m: float, x: float, load: float, at: float, k: float) -> None:
    one, other = balance.axles([m, load], [x, at], 1.8), balance.axles([k * m, k * load], [x, at], 1.8)
    assert float(other.front) == pytest.approx(k * float(one.front), rel=1e-9, abs=1e-6)
    assert float(other.rear) == pytest.approx(k * float(one.rear), rel=1e-9, abs=1e-6)


@given(mass, place, off, height, scale)
def test_scaled_masses_leave_the_angle(m: float, x: float, y: float, z: float, k: float) -> None:
    body, scaled = slope.combine([m], [x], [y], [z]), slope.combine([k * m], [x], [y], [z])
    for heading in (0.3, 1.5, 4.0):
        one, other = (slope.first_roll(heading, b, **MACHINE).least for b in (body, scaled))
        assert float(one) == pytest.approx(float(other), abs=1e-12)


@given(mass, place, off, height, st.floats(0.0, 2.0 * np.pi))
def test_mirrored_machine_swaps_sides(m: float, x: float, y: float, z: float, heading: float) -> None:
    one = slope.first_roll(heading, slope.combine([m], [x], [y], [z]), **MACHINE)
    other = slope.first_roll(-heading, slope.combine([m], [x], [-y], [z]), **MACHINE)
    assert float(one.right) == pytest.approx(float(other.left), abs=1e-9)
    assert float(one.rear) == pytest.approx(float(other.rear), abs=1e-9)


@given(mass, place, st.floats(20.0, 1500.0), st.floats(0.0, 2.0), st.floats(0.0, 1.5))
def test_ballast_further_back_never_loads_the_front_more(
    m: float, x: float, ballast: float, behind: float, more: float
) -> None:
    near, far = (balance.axles([m, ballast], [x, -b], 1.8) for b in (behind, behind + more))
    assert float(far.front) <= float(near.front)
    asked = [float(balance.counterweight(m, 0.5 * m, 0.4 * m, 1.4, b, 1.8)) for b in (behind, behind + more)]
    assert asked[1] <= asked[0] + 1e-9


@given(
    mass, place, off, height, st.floats(10.0, 2000.0), st.floats(-1.5, 3.6), st.floats(0.1, 2.5), st.floats(0.0, 1.5)
)
def test_raising_straight_up_never_helps(
    m: float, x: float, y: float, z: float, load: float, at: float, low: float, rise: float
) -> None:
    down = worst((m, x, y, z), (load, at, 0.0, low))
    up = worst((m, x, y, z), (load, at, 0.0, low + rise))
    assert float(up.least) <= float(down.least) + 1e-12


@given(mass, place, off, height, st.floats(0.0, 2.0 * np.pi))
def test_no_heading_is_worse_than_the_worst(m: float, x: float, y: float, z: float, heading: float) -> None:
    body = slope.combine([m], [x], [y], [z])
    whole = slope.combine([m, 120.0], [x, 1.8], [y, 0.0], [z, 0.38])
    args = (body, *MACHINE.values(), whole)
    turn, angle = slope.worst_heading(*args)
    assert float(slope.first_roll(heading, *args).least) >= float(angle) - 1e-12
    assert float(slope.first_roll(turn, *args).least) == pytest.approx(float(angle), abs=1e-9)
    assert float(slope.worst_first_roll(*args).least) == float(angle)
    assert float(slope.least_first_roll(*args)) == pytest.approx(float(angle), abs=1e-12)
    assert float(slope.least_first_roll(*args[:-1])) == pytest.approx(
        float(slope.worst_first_roll(*args[:-1]).least), abs=1e-12
    )


@given(st.floats(0.05, 1.2), st.floats(0.0, 6.0), st.floats(2.0, 20.0))
def test_turning_takes_away(angle: float, speed: float, radius: float) -> None:
    left = float(slope.turning(angle, speed, radius))
    assert 0.0 <= left <= angle
    if left > 0.0:
        pull = speed**2 / radius
        assert 9.80665 * np.sin(left) + pull == pytest.approx(9.80665 * np.cos(left) * np.tan(angle), rel=1e-9)


def _posed(m: Any, x: Any) -> list[Any]:
    items = balance.posed(
        Item(m, x, 0.7), 100.0, Item(40.0, 0.1, 0.0), (0.8, 1.0), (2.0, 0.2), (x + 1.5, 1.0), [Item(m, 0.4, 0.2)]
    )
    return [v for i in items for v in i]


BODY: Callable[[Any, Any], slope.Body] = lambda m, x: slope.combine([m, 300.0], [x, 0.4], [0.02, 0.0], [0.7, 1.0])  # noqa: E731
FUNCTIONS: dict[str, Callable[[Any, Any], Any]] = {
    "axles": lambda m, x: balance.axles([m, 50.0], [x, -1.0], 1.8),
    "share": balance.share,
    "arms_centre": lambda m, x: balance.arms_centre((0.5, x), (x, 1.0)),
    "posed": _posed,
    "counterweight": lambda m, x: balance.counterweight(m, 0.4 * m, 0.5 * m, x, 1.2, 1.8),
    "tipping_load": lambda m, x: balance.tipping_load(m, x - 0.5, 1.8),
    "hitch_capacity": balance.hitch_capacity,
    "hold_on_slope": lambda m, x: balance.hold_on_slope(m, x, 0.7, 1.8, 0.1, 0.5, x > 0.5),
    "braking": lambda m, x: balance.braking(Axles(m, 0.5 * m), m, x, 1.8, 0.3),
    "three_supports": lambda m, x: balance.three_supports(m, x, 0.1, 1.8, 1.2),
    "off_centre_moment": balance.off_centre_moment,
    "combine": BODY,
    "body_without_axle": lambda m, x: slope.body_without_axle(m, x, 0.7, 100.0, 1.8, 0.4),
    "first_roll": lambda m, x: slope.first_roll(x, BODY(m, x), **MACHINE)[:2],
    "worst_first_roll": lambda m, x: slope.worst_first_roll(BODY(m, x), *MACHINE.values(), BODY(m, x)),
    "least_first_roll": lambda m, x: slope.least_first_roll(BODY(m, x), *MACHINE.values(), BODY(m, x)),
    "worst_heading": lambda m, x: slope.worst_heading(BODY(m, x), **MACHINE),
    "second_phase": lambda m, x: swing.second_phase(x, BODY(m, x), BODY(m, 1.8), 1.8, 1.3, 1.2, 0.4, 0.15),
    "turned": lambda m, x: swing.turned((x, 1.0, 0.5), (1.8, 0.6, 0.4), 0.2 * x),
    "turning": lambda m, x: slope.turning(0.4, x, m / 100.0),
}


@pytest.mark.parametrize("name", FUNCTIONS)
def test_array_is_the_scalar_many_times(name: str) -> None:
    """Every function gives for an array of outfits × samples what it gives for each element."""
    rng = np.random.default_rng(5)
    m, x = rng.uniform(300.0, 4000.0, (3, 1)), rng.uniform(0.2, 1.1, (3, 7))
    got = FUNCTIONS[name](m, x)
    parts = got if isinstance(got, tuple | list) else [got]
    for row, column in np.ndindex(x.shape):
        one = FUNCTIONS[name](float(m[row, 0]), float(x[row, column]))
        singles = one if isinstance(one, tuple | list) else [one]
        for whole, single in zip(parts, singles, strict=True):
            assert float(np.broadcast_to(whole, x.shape)[row, column]) == pytest.approx(float(single), rel=1e-13, abs=0)


def test_public_functions_are_all_held() -> None:
    """The table above names every public function of both chapters."""
    made = {
        n
        for module in (balance, slope, swing)
        for n, f in vars(module).items()
        if callable(f) and not n.startswith("_")
    }
    made = {
        n
        for n in made
        if n.islower()
        and getattr(getattr(balance, n, None) or getattr(slope, n, None) or getattr(swing, n), "__module__", "")
        in ("handfast.physics.balance", "handfast.physics.slope", "handfast.physics.swing")
    }
    assert made == set(FUNCTIONS)
