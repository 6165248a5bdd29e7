"""First roll against two independent oracles: a linear program over contact forces and a rigid-body simulator.

The linear program knows nothing of lines: it asks whether wheel forces within their friction exist that
keep the body and its front axle at rest, and takes the steepest slope at which they do.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
import pytest
from scipy.optimize import linprog, minimize_scalar

from handfast.physics.balance import hold_on_slope
from handfast.physics.slope import Body, body_without_axle, combine, first_roll, worst_first_roll
from handfast.physics.swing import second_phase

COUNT = 24


class Tractor(NamedTuple):
    """A random but plausible machine."""

    wheelbase: float
    rear_track: float
    front_track: float
    pivot: float
    axle_mass: float
    axle_height: float
    body: Body
    whole: Body


def tractor(seed: int, axle_at_pivot: bool = False) -> Tractor:
    """A machine from bare to loaded high, its centre of gravity 30-58 % of the wheelbase ahead of the rear axle."""
    rng = np.random.default_rng(seed)
    span = rng.uniform(1.3, 2.4)
    track = span * rng.uniform(0.6, 0.85)
    pivot = span * rng.uniform(0.18, 0.28)
    mass, axle = rng.uniform(900.0, 6000.0), rng.uniform(0.05, 0.12)
    radius = pivot if axle_at_pivot else pivot * rng.uniform(0.7, 1.1)
    x, y = span * rng.uniform(0.30, 0.58), track * rng.uniform(-0.04, 0.04)
    height = span * rng.uniform(0.38, 0.60)
    body = body_without_axle(mass, x, height, mass * axle, span, radius, y)
    whole = combine([mass], [x], [y], [height])
    return Tractor(span, track, track * rng.uniform(0.85, 1.0), pivot, mass * axle, radius, body, whole)


def steepest(
    t: Tractor, heading: float, hinge: bool, rolling: bool, held: tuple[int, ...] = (), mu: float = 0.0
) -> float:
    """Steepest slope [rad] with an equilibrium. Unknowns: tangent, 4 contacts × 3, pivot force, pivot couple."""
    half, fore, span = t.rear_track / 2, t.front_track / 2, t.wheelbase
    contacts = np.array([[0, -half, 0], [0, half, 0], [span, -fore, 0], [span, fore, 0]])
    pivot, mu = np.array([span, 0, t.pivot]), mu or 0.95 * span / t.pivot
    scale = float(t.whole.mass)
    parts = [(float(t.body.mass) / scale, np.array([float(v) for v in t.body[1:]]), (0, 1), 1.0)]
    parts.append((t.axle_mass / scale, np.array([span, 0, t.axle_height]), (2, 3), -1.0))
    down = np.array([np.cos(heading), -np.sin(heading), 0.0])
    a, b = np.zeros((12, 19)), np.zeros(12)
    for row, (mass, cg, own, sign) in zip((0, 6), parts, strict=True):
        a[row : row + 3, 0], a[row + 3 : row + 6, 0] = mass * down, np.cross(cg, mass * down)
        b[row + 2] = mass
        b[row + 3 : row + 6] = -np.cross(cg, [0.0, 0.0, -mass])
        for axis, unit in enumerate(np.eye(3)):
            for c in own:
                a[row : row + 3, 1 + 3 * c + axis] = unit
                a[row + 3 : row + 6, 1 + 3 * c + axis] = np.cross(contacts[c], unit)
            a[row : row + 3, 13 + axis] = sign * unit
            a[row + 3 : row + 6, 13 + axis] = sign * np.cross(pivot, unit)
            a[row + 3 : row + 6, 16 + axis] = sign * unit
    bounds: list[tuple[float | None, float | None]] = [(0, None)]
    for c in range(4):
        bounds += [(0, 0) if rolling and c > 1 else (None, None), (None, None), (0, None)]
    bounds += [(None, None)] * 3 + [(0, 0), *([(None, None) if hinge else (0, 0)] * 2)]
    cone = []
    for c in range(4):
        for axis in (0, 1):
            for sign in (1.0, -1.0):
                line = np.zeros(19)
                line[1 + 3 * c + axis], line[3 + 3 * c] = sign, -mu
                if c not in held:
                    cone.append(line)
    cost = np.zeros(19)
    cost[0] = -1.0
    got = linprog(cost, np.array(cone), np.zeros(len(cone)), a, b, bounds, method="highs")
    assert got.status == 0, got.message
    return float(np.arctan(got.x[0]))


@pytest.mark.parametrize("seed", range(COUNT))
def test_across_the_slope(seed: int) -> None:
    """Headings 60 to 120 degrees, point pivot, friction below wheelbase / pivot height: the side lines govern."""
    t = tractor(seed)
    for heading in np.radians([60.0, 75.0, 90.0, 105.0, 120.0, 240.0, 270.0, 300.0]):
        lines = first_roll(heading, t.body, t.wheelbase, t.rear_track, t.pivot, t.whole)
        if float(lines.least) < float(np.fmin(lines.front, lines.rear)):
            assert float(lines.least) == pytest.approx(steepest(t, heading, hinge=False, rolling=False), abs=1e-6)


@pytest.mark.parametrize("seed", range(COUNT))
def test_nose_uphill(seed: int) -> None:
    """Heading 180 degrees: the whole machine, axle included, about the rear contact line."""
    t = tractor(seed)
    limit = first_roll(np.pi, t.body, t.wheelbase, t.rear_track, t.pivot, t.whole).least
    assert float(limit) == pytest.approx(steepest(t, np.pi, hinge=True, rolling=True), abs=1e-6)


@pytest.mark.parametrize("seed", range(COUNT))
def test_nose_downhill(seed: int) -> None:
    """Headings 0 to 20 degrees, four contacts, rolling front wheels.

    Rolling front wheels and rear wheels about to lift cannot stop a machine from sliding, which is
    another check; so what is kept from sliding is said: both rear wheels for the front line, the rear
    wheel on the line for a side line. The axle's own mass stands at pivot height: no couple in the pin.
    """
    t = tractor(seed, axle_at_pivot=True)
    for heading in np.radians([0.0, 5.0, 10.0, 20.0, 340.0, 350.0]):
        lines = first_roll(heading, t.body, t.wheelbase, t.rear_track, t.pivot, t.whole)
        assert float(lines.front) == pytest.approx(steepest(t, heading, True, True, (0, 1)), abs=1e-6)
        side, wheel = min((float(lines.right), 0), (float(lines.left), 1))
        if side < float(lines.front):
            assert side == pytest.approx(steepest(t, heading, True, True, (wheel,)), abs=1e-6)


@pytest.mark.parametrize("seed", range(COUNT))
def test_holding_nose_down(seed: int) -> None:
    """Slopes up to 20 degrees: the friction at which braked rear wheels just hold, front wheels rolling."""
    t = tractor(seed)
    for slope in np.radians([2.0, 5.0, 10.0, 15.0, 20.0]):
        hold = hold_on_slope(t.whole.mass, t.whole.x, t.whole.z, t.wheelbase, slope, 1.0)
        mu = float(hold.demand / hold.capacity)
        assert 0.0 < mu < t.wheelbase / t.pivot
        assert steepest(t, 0.0, hinge=True, rolling=True, mu=mu) == pytest.approx(slope, abs=1e-6)


@pytest.mark.parametrize(("share", "over"), [(0.40, 1.28), (0.55, 1.52), (0.70, 2.01)])
def test_the_swinging_axle_matters(share: float, over: float) -> None:
    """Leaving the swing out overstates by 28, 52, 101 % at x/L = 0.40, 0.55, 0.70 (hand figures).

    Rigid means no swing before the stop. The proportions (front track 93 % of the rear, pivot at 0.525 of the
    height) were found from the first two figures; the third then has no freedom left.
    """
    body, none = combine([1000.0], [share], [0.0], [0.40]), combine([1e-9], [1.0], [0.0], [0.2])
    first = first_roll(np.pi / 2, body, 1.0, 0.7, 0.21).least
    rigid = second_phase(np.pi / 2, body, none, 1.0, 0.7, 0.651, 0.21, 0.0)
    assert float(np.tan(rigid) / np.tan(first)) == pytest.approx(over, abs=0.006)


@pytest.mark.parametrize("seed", range(COUNT))
def test_worst_heading_is_the_least_over_all(seed: int) -> None:
    """The closed form is never above any heading and is reached by a fine search (golden section by scipy)."""
    t = tractor(seed)
    at = np.linspace(0.0, 2 * np.pi, 3601)
    args = (t.body, t.wheelbase, t.rear_track, t.pivot, t.whole)
    found = first_roll(at, *args).least
    worst = float(worst_first_roll(*args).least)
    near = float(at[np.argmin(found)])
    fine = minimize_scalar(
        lambda h: float(first_roll(h, *args).least), bounds=(near - 0.01, near + 0.01), method="bounded"
    )
    assert np.all(found >= worst - 1e-12)
    assert worst == pytest.approx(min(float(fine.fun), float(found.min())), abs=1e-8)


def simulated(t: Tractor, heading: float, guess: float) -> float:
    """Slope at which the uphill rear wheel leaves the ground in a slow ramp; the front is a point at pivot height."""
    import mujoco

    half, r = t.rear_track / 2, 0.02
    b = [float(v) for v in t.body]
    balls = "".join(
        f'<geom name="{n}" type="sphere" size="{r}" pos="{x} {y} {z + r}" mass="0"/>'
        for n, x, y, z in (("right", 0, -half, 0), ("left", 0, half, 0), ("front", t.wheelbase, 0, t.pivot))
    )
    inertia = 0.2 * b[0]
    model = mujoco.MjModel.from_xml_string(f"""<mujoco>
    <option timestep="0.002" integrator="implicitfast" cone="elliptic"/>
    <default><geom friction="2.5 0 0" condim="3" solref="0.005 1" solimp="0.99 0.999 0.0001"/></default><worldbody>
    <geom name="ground" type="box" size="0.5 9 0.5" pos="0 0 -0.5"/>
    <geom name="post" type="box" size="0.5 9 0.05" pos="{t.wheelbase} 0 {t.pivot - 0.05}"/>
    <body><freejoint/>{balls}<inertial pos="{b[1]} {b[2]} {b[3]}" mass="{b[0]}"
    diaginertia="{inertia} {inertia} {inertia}"/></body></worldbody></mujoco>""")
    return slow_ramp(model, heading, guess, (model.geom("left" if np.sin(heading) > 0 else "right").id,), r)


def slow_ramp(model: Any, heading: float, guess: float, uphill: tuple[int, ...], r: float) -> float:
    """Slope at which all the uphill contacts have left the ground; nan where they never do."""
    import mujoco

    data, low = mujoco.MjData(model), guess - np.radians(0.6)
    steps, settle = 4000, 1000
    for step in range(settle + steps):
        slope = low * min(step / (0.8 * settle), 1.0) + np.radians(1.2) * max(step - settle, 0) / steps
        down = np.array([np.cos(heading), -np.sin(heading)]) * np.sin(slope)
        model.opt.gravity[:] = 9.80665 * np.array([down[0], down[1], -np.cos(slope)])
        mujoco.mj_step(model, data)
        if step > settle and min(data.geom_xpos[wheel][2] for wheel in uphill) - r > 5e-5:
            return float(slope)
    return float("nan")


@pytest.mark.parametrize("seed", range(20))
def test_rigid_body_simulator(seed: int) -> None:
    """Within 0.1 degree of a rigid-body simulation (mujoco) of the body on two wheels and a point at pivot height."""
    t, seen = tractor(seed), 0
    for heading in np.radians([60.0, 75.0, 90.0, 105.0, 120.0]):
        lines = first_roll(heading, t.body, t.wheelbase, t.rear_track, t.pivot, t.body)
        limit = float(lines.right)
        if limit < float(np.fmin(lines.front, lines.rear)):  # no axle hangs on the simulated point to hold it down
            seen += 1
            assert np.degrees(simulated(t, heading, limit)) == pytest.approx(np.degrees(limit), abs=0.1), heading
    assert seen >= 3


def over_an_end(t: Tractor, heading: float, guess: float) -> float:
    """Slope at which the uphill axle leaves the ground: the whole machine, stiff, on four contacts (mujoco)."""
    import mujoco

    half, r, w = t.rear_track / 2, 0.02, [float(v) for v in t.whole]
    wheels = [(0.0, -half), (0.0, half), (t.wheelbase, -0.9 * half), (t.wheelbase, 0.9 * half)]
    balls = "".join(f'<geom type="sphere" size="{r}" pos="{x} {y} {r}" mass="0"/>' for x, y in wheels)
    inertia = 0.2 * w[0]
    model = mujoco.MjModel.from_xml_string(f"""<mujoco>
    <option timestep="0.002" integrator="implicitfast" cone="elliptic"/>
    <default><geom friction="2.5 0 0" condim="3" solref="0.005 1" solimp="0.99 0.999 0.0001"/></default><worldbody>
    <geom type="box" size="9 9 0.5" pos="0 0 -0.5"/>
    <body><freejoint/>{balls}<inertial pos="{w[1]} {w[2]} {w[3]}" mass="{w[0]}"
    diaginertia="{inertia} {inertia} {inertia}"/></body></worldbody></mujoco>""")
    return slow_ramp(model, heading, guess, (1, 2) if np.cos(heading) > 0 else (3, 4), r)  # the ground is shape 0


@pytest.mark.parametrize("seed", range(20))
def test_rigid_body_simulator_over_an_end(seed: int) -> None:
    """Straight uphill, and nose down 0 to 20 degrees, within 0.1 degree (mujoco).

    What keeps the wheels from sliding is their friction; whether it does is another check.
    """
    t = tractor(seed)
    for heading in np.radians([180.0, 0.0, 10.0, 20.0]):
        lines = first_roll(heading, t.body, t.wheelbase, t.rear_track, t.pivot, t.whole)
        limit = float(lines.rear if np.cos(heading) < 0 else lines.front)
        if limit < np.radians(60.0):  # steeper slopes need more grip than the simulated ground has
            assert np.degrees(over_an_end(t, heading, limit)) == pytest.approx(np.degrees(limit), abs=0.1), heading
