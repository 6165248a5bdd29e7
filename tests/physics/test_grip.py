"""Grip against linear programs over friction cones, plane geometry worked another way, and virtual work."""

from __future__ import annotations

import itertools
from typing import Any

import numpy as np
import pytest
from scipy.optimize import brentq, linprog

from handfast.physics import closure, grip, jaw
from handfast.physics.jaw_touch import distance_to_line, seated

PUSH, PULL = 20e3, 15e3


def random_jaw(rng: np.random.Generator) -> jaw.Jaw:
    """A plausible grapple: tines of 0.5 to 0.9 m that may slope and curve, lid pivot above, cylinder behind it."""
    length = rng.uniform(0.5, 0.9)
    back = rng.uniform(0.0, 0.08)
    floor = [[0.0, rng.uniform(0.1, 0.4)], [back, 0.04], [back + 0.1, 0.0], [0.6 * length, rng.uniform(-0.03, 0.03)]]
    floor = floor[rng.integers(0, 3) :] if back > 0.0 else floor
    floor.append([length, rng.uniform(0.0, 0.12)])
    pivot = np.array([rng.uniform(-0.05, 0.1), rng.uniform(0.45, 0.7)])
    crown = np.add(pivot, (0.5 * length, rng.uniform(-0.1, 0.05)))
    lid = [np.add(pivot, (0.05, 0.0)), crown, [length, rng.uniform(0.05, 0.2)]]
    base = np.add(pivot, (rng.uniform(-0.15, 0.0), rng.uniform(0.3, 0.5)))
    rod = np.add(pivot, (rng.uniform(0.15, 0.25), rng.uniform(-0.05, 0.1)))
    drawn = float(np.hypot(*(rod - base)))
    reach = float(np.hypot(*(base - pivot))) - float(np.hypot(*(rod - pivot)))
    return jaw.make_jaw(floor, lid, pivot, base, rod, max(reach * 1.03, 0.5 * drawn), drawn)


def jaws(count: int, seed: int = 11) -> list[jaw.Jaw]:
    rng = np.random.default_rng(seed)
    return [random_jaw(rng) for _ in range(count)]


def wrenches(normals: np.ndarray, friction: float) -> np.ndarray:
    """Edges of the friction cones as (force x, force z, turn over radius), round piece of radius one."""
    across = np.stack([-normals[:, 1], normals[:, 0]], axis=1)
    edges = [n + s * friction * t for n, t in zip(normals, across, strict=True) for s in (1, -1)]
    turns = [s * friction for _ in normals for s in (1, -1)]
    return np.column_stack([np.array(edges), turns])


def closes_by_program(normals: np.ndarray, friction: float) -> bool:
    """Force closure: every edge strictly in play with no resultant, and the edges span the plane's three wrenches."""
    edges = wrenches(normals, friction)
    if np.linalg.matrix_rank(edges, tol=1e-9) < 3:
        return False
    count = len(edges)
    done = linprog(
        np.r_[np.zeros(count), -1.0],
        A_ub=np.column_stack([-np.eye(count), np.ones(count)]),
        b_ub=np.zeros(count),
        A_eq=np.vstack([np.column_stack([edges.T, np.zeros(3)]), np.r_[np.ones(count), 0.0]]),
        b_eq=[0.0, 0.0, 0.0, 1.0],
        bounds=[(0, None)] * (count + 1),
    )
    return bool(done.status == 0 and -done.fun > 1e-9)


def load_by_program(normals: np.ndarray, friction: float, direction: np.ndarray) -> float:
    """Greatest load through the middle in one direction; the first contact presses with one newton, the rest answer."""
    across = np.stack([-normals[:, 1], normals[:, 0]], axis=1)
    # unknowns: normal forces of the two others, tangent forces of all three, the load
    balance = np.column_stack([normals[1:].T, across.T, direction])
    equal = np.vstack([balance, [0.0, 0.0, 1.0, 1.0, 1.0, 0.0]])
    limits = [[0, 0, 1, 0, 0, 0], [0, 0, -1, 0, 0, 0]]
    for k in (0, 1):
        for sign in (1.0, -1.0):
            row = [0.0] * 6
            row[k], row[3 + k] = -friction, sign
            limits.append(row)
    done = linprog(
        [0, 0, 0, 0, 0, -1.0],
        A_ub=limits,
        b_ub=[friction, friction, 0, 0, 0, 0],
        A_eq=equal,
        b_eq=[-normals[0, 0], -normals[0, 1], 0.0],
        bounds=[(0, None)] * 2 + [(None, None)] * 3 + [(0, None)],
    )
    return np.inf if done.status == 3 else (-done.fun if done.status == 0 else 0.0)


def contacts(made: jaw.Jaw, diameter: float) -> np.ndarray | None:
    turn = jaw.swing(made)
    x, z, first, second = seated(made.floor, diameter / 2)
    angle, lid, _ = jaw.touch(made, x, z, diameter / 2, turn)
    if not (np.isfinite(angle) and jaw.fits_open(made, diameter, turn)):
        return None
    return np.array([lid, first, second])


def pieces(count: int) -> list[tuple[jaw.Jaw, float, float, np.ndarray]]:
    rng = np.random.default_rng(5)
    found: list[tuple[jaw.Jaw, float, float, np.ndarray]] = []
    while len(found) < count:
        made, diameter, friction = random_jaw(rng), rng.uniform(0.1, 0.8), rng.uniform(0.05, 0.7)
        normals = contacts(made, diameter)
        if normals is not None:
            found.append((made, diameter, friction, normals))
    return found


def test_closure_agrees_with_a_linear_program_on_random_jaws_and_pieces() -> None:
    """Oracle: linear program over the friction cones (scipy), 200 jaws with a piece that the lid meets."""
    closed = 0
    for made, diameter, friction, normals in pieces(200):
        share = float(closure.slip_share(*normals, friction))
        if abs(share) < 1e-6:
            continue
        expected = closes_by_program(normals, friction)
        assert bool(grip.grip(made, diameter, friction, PUSH, PULL).holds) == expected
        closed += expected
    assert 30 < closed < 190


def test_slip_load_is_the_least_over_all_directions_of_a_linear_program() -> None:
    """Oracle: the greatest load by linear program in 180 directions; never below ours, and close to it at the least."""
    turns = np.linspace(-np.pi, np.pi, 180, endpoint=False)
    ways = np.stack([np.cos(turns), np.sin(turns)], axis=1)
    for _, _, friction, normals in pieces(25):
        share = float(closure.slip_share(*normals, friction))
        loads = np.array([load_by_program(normals, friction, way) for way in ways])
        if np.isinf(share):
            assert np.isinf(loads).all()
            continue
        if share == 0.0:
            assert loads.min() < 1e-7
            continue
        ours = np.array([float(closure.slip_toward(*normals, friction, way)) for way in ways])
        assert np.allclose(ours, loads, rtol=1e-6, atol=1e-7)
        assert share <= loads.min() + 1e-7 and loads.min() <= share * 1.001 + 1e-7


def test_random_contacts_close_as_the_program_says() -> None:
    rng = np.random.default_rng(8)
    for _ in range(150):
        turns = rng.uniform(-np.pi, np.pi, 3)
        normals = np.stack([np.cos(turns), np.sin(turns)], axis=1)
        friction = rng.uniform(0.02, 0.9)
        share = float(closure.slip_share(*normals, friction))
        if abs(share) > 1e-6:
            assert (share > 0.0) == closes_by_program(normals, friction)


def test_more_friction_never_holds_less() -> None:
    grades = np.linspace(0.01, 0.95, 40)
    for made, diameter, _, normals in pieces(60):
        share = closure.slip_share(normals[0], normals[1], normals[2], grades)
        assert np.all(np.diff(np.where(np.isinf(share), 1e9, share)) >= -1e-9)
        holds = grip.grip(made, diameter, grades, PUSH, PULL).holds
        assert np.all(np.diff(holds.astype(int)) >= 0)


def test_two_opposite_contacts_hold_within_the_friction_angle() -> None:
    """Source: two-finger closure: the line between the contacts lies in both friction cones (Nguyen 1988)."""
    for apart in np.radians([1.0, 20.0, 40.0, 60.0]):
        lid = np.array([np.sin(apart), -np.cos(apart)])
        grades = np.tan(apart / 2) * np.array([0.98, 1.02])
        # the second passive contact stands where it can't help: beside the first, turned by a hair
        nearly = np.array([np.sin(1e-9), np.cos(1e-9)])
        share = closure.slip_share(lid, [0.0, 1.0], nearly, grades)
        assert share[0] < 1e-6 < share[1]


def test_frictionless_corner_by_hand() -> None:
    """Lid pushes 3-4-5 into a corner: the corner answers 0.6 and 0.8, a pull of 0.6 forward empties the back plate."""
    lid, back, down = [-0.6, -0.8], [1.0, 0.0], [0.0, 1.0]
    assert float(closure.slip_share(lid, back, down, 0.0)) == pytest.approx(0.6)
    assert float(closure.sum_of_normals(lid, back, down)) == pytest.approx(2.4)


def test_sum_of_normals_across_from_the_lid() -> None:
    """A push forward and down finds no answer in back plate and floor without friction: two equal forces."""
    assert float(closure.sum_of_normals([0.3, -np.sqrt(0.91)], [1.0, 0.0], [0.0, 1.0])) == pytest.approx(2.0)


@pytest.mark.parametrize("made", jaws(12), ids=range(12))
def test_lid_angle_undoes_the_cylinder_length(made: jaw.Jaw) -> None:
    turn = jaw.swing(made)
    angles = np.linspace(turn.shut, turn.open, 9)
    pins = (made.pivot, made.base, made.rod)
    assert np.allclose(jaw.lid_angle(jaw.lid_length(angles, *pins), *pins), angles, atol=1e-7)
    middle, step = angles[1:-1], 1e-6
    slope = (jaw.lid_length(middle + step, *pins) - jaw.lid_length(middle - step, *pins)) / (2 * step)
    assert np.allclose(jaw.lid_leverage(middle, *pins), slope, atol=1e-8)


@pytest.mark.parametrize("made", jaws(20), ids=range(20))
def test_seated_piece_touches_twice_and_crosses_nothing(made: jaw.Jaw) -> None:
    radius = np.linspace(0.04, 0.45, 15)
    x, z, first, second = seated(made.floor, radius)
    steps = np.linspace(0.0, 1.0, 4001)[:, None]
    dense = np.concatenate([a + steps * (b - a) for a, b in itertools.pairwise(made.floor)])
    gap = np.hypot(dense[:, None, 0] - x, dense[:, None, 1] - z).min(axis=0) - radius
    assert np.all(gap > -1e-9) and np.all(x - radius > -1e-9)
    assert np.all(np.minimum(gap, np.inf) < 1e-3)
    for push in (first, second):
        assert np.allclose(np.hypot(push[:, 0], push[:, 1]), 1.0)
        at = np.stack([x, z], axis=1) - radius[:, None] * push
        on = np.minimum(distance_to_line(at[:, 0], at[:, 1], made.floor), np.abs(at[:, 0]))
        assert np.all(on < 1e-8)


def test_level_tines_seat_a_piece_at_half_its_diameter() -> None:
    """Definition: logs of diameter D at x = z = D/2."""
    diameter = np.array([0.1, 0.3, 0.8])
    x, z, _, _ = seated([[0.0, 0.0], [0.9, 0.0]], diameter / 2)
    assert np.allclose(x, diameter / 2) and np.allclose(z, diameter / 2)


@pytest.mark.parametrize("made", jaws(15, seed=21), ids=range(15))
def test_lid_meets_the_piece_where_a_root_search_finds_it(made: jaw.Jaw) -> None:
    """Oracle: closing step by step until the gap is gone, then brentq on the gap."""
    turn = jaw.swing(made)
    for radius in (0.15, 0.25, 0.33):
        x, z, _, _ = (v[0] for v in seated(made.floor, np.array([radius])))
        angle, push, arm = jaw.touch(made, x, z, radius, turn)

        def gap(at: float, x: Any = x, z: Any = z, radius: float = radius) -> float:
            return float(distance_to_line(x, z, jaw.turned(made.lid, made.pivot, at)) - radius)

        steps = np.linspace(turn.open, turn.shut, 1500)
        gaps = np.array([gap(at) for at in steps])
        if gaps[0] < 0.0 or not bool(jaw.lid_side(made, np.asarray(x), np.asarray(z), turn.open, turn.way)):
            continue
        if np.all(gaps > 1e-4):
            assert np.isnan(angle)
            continue
        if np.all(gaps > 0.0):
            continue
        first = int(np.argmax(gaps <= 0.0))
        found = brentq(gap, steps[first - 1], steps[first], xtol=1e-12)
        assert float(angle) == pytest.approx(found, abs=1e-6)
        inner = (gap(found + 1e-6) - gap(found - 1e-6)) / 2e-6
        assert float(arm) == pytest.approx(abs(inner), rel=1e-4)
        assert np.hypot(*push) == pytest.approx(1.0)


def test_contact_force_by_virtual_work() -> None:
    """Work of the cylinder equals work at the contact: force × change of length = contact force × change of gap."""
    for made, diameter, friction, _ in pieces(20):
        found = grip.grip(made, diameter, friction, PUSH, PULL)
        turn = jaw.swing(made)
        at = turn.way * float(found.lid_angle)
        x, z, _, _ = seated(made.floor, diameter / 2)

        def gap(angle: float, made: jaw.Jaw = made, x: Any = x, z: Any = z) -> float:
            return float(distance_to_line(x, z, jaw.turned(made.lid, made.pivot, angle)))

        step = 1e-6
        pins = (made.pivot, made.base, made.rod)
        longer = float(jaw.lid_length(at - turn.way * step, *pins) - jaw.lid_length(at + turn.way * step, *pins))
        nearer = gap(at + turn.way * step) - gap(at - turn.way * step)
        force = PUSH if longer > 0 else PULL
        assert float(found.contact_force) == pytest.approx(force * abs(longer) / nearer, rel=1e-3)


def test_lid_that_shuts_by_pulling_works_with_the_ring_area() -> None:
    """The same jaw, its cylinder pin moved below the lid: the same holds, with the pull in place of the push."""
    above = jaw.make_jaw([[0, 0], [0.6, 0]], [[0.0, 0.5], [0.6, 0.3]], [0, 0.5], [0.0, 0.9], [0.2, 0.5], 0.24, 0.45)
    below = jaw.make_jaw([[0, 0], [0.6, 0]], [[0.0, 0.5], [0.6, 0.3]], [0, 0.5], [0.0, 0.1], [0.2, 0.5], 0.445, 0.57)
    assert grip.closes_by_extending(above) and not grip.closes_by_extending(below)
    first, second = (grip.grip(made, 0.42, 0.4, PUSH, PUSH) for made in (above, below))
    assert bool(first.holds) and float(first.lid_angle) == pytest.approx(float(second.lid_angle))
    pulled = grip.grip(below, 0.42, 0.4, PUSH, PULL)
    assert float(pulled.contact_force) == pytest.approx(float(second.contact_force) * PULL / PUSH)


def test_weight_must_hold_at_every_angle() -> None:
    made = jaw.make_jaw([[0, 0], [0.6, 0]], [[0.0, 0.5], [0.6, 0.3]], [0, 0.5], [0.1, 0.9], [0.2, 0.5], 0.25, 0.42)
    turns = np.radians(np.arange(0, 360, 2))
    free = grip.grip(made, 0.45, 0.3, PUSH, PULL)
    slip = float(free.slip_load)
    assert bool(grip.grip(made, 0.45, 0.3, PUSH, PULL, weight=0.999 * slip, angles=turns).holds)
    heavy = grip.grip(made, 0.45, 0.3, PUSH, PULL, weight=1.01 * slip, angles=turns)
    assert not bool(heavy.holds) and str(heavy.reason) == "too_heavy"
    assert bool(grip.grip(made, 0.45, 0.3, PUSH, PULL, weight=1.01 * slip, angles=[0.0]).holds)


def test_piece_range_ends_where_holding_ends() -> None:
    for made in jaws(6, seed=3):
        small, large = grip.piece_range(made, 0.5, PUSH, PULL)
        if np.isnan(small):
            continue
        assert bool(grip.grip(made, small, 0.5, PUSH, PULL).holds) and bool(
            grip.grip(made, large, 0.5, PUSH, PULL).holds
        )
        top = float(jaw.tip_opening(made, jaw.swing(made).open))
        limit = min(top, 2 * float(made.floor[:, 0].max()))
        assert large >= limit * (1 - 1e-9) or not bool(grip.grip(made, large + 1e-6, 0.5, PUSH, PULL).holds)


def test_throat_is_an_inscribed_circle() -> None:
    """It touches the open lid or fills the tines: worked again by dense points on the lid."""
    for made in jaws(10, seed=31):
        throat = jaw.throat_opening(made)
        if throat == 0.0:
            continue
        lid = jaw.turned(made.lid, made.pivot, jaw.swing(made).open)
        x, z, _, _ = seated(made.floor, throat / 2)
        steps = np.linspace(0, 1, 5001)[:, None]
        dense = np.concatenate([a + steps * (b - a) for a, b in itertools.pairwise(lid)])
        gap = np.hypot(dense[:, 0] - x, dense[:, 1] - z).min() - throat / 2
        assert gap > -1e-6
        assert gap < 1e-4 or float(x) == pytest.approx(made.floor[:, 0].max(), rel=1e-3)


def test_single_lid_leaves_thin_pieces_loose_and_double_lids_do_not() -> None:
    single = grip.bundle_gaps([0.30, 0.30, 0.22, 0.22], [0, 0, 0, 0])
    assert np.allclose(single, [0.0, 0.0, 0.08, 0.08])
    assert np.allclose(grip.bundle_gaps([0.30, 0.30, 0.22, 0.22], [0, 0, 1, 1]), 0.0)


@pytest.mark.parametrize("made", jaws(8, seed=41), ids=range(8))
def test_curl_driven_lid_keeps_its_link_length_and_turns_as_its_derivative_says(made: jaw.Jaw) -> None:
    pivot = np.array([-0.1, 0.15])
    turns = np.linspace(-0.15, 0.15, 7)
    angle, ratio = grip.curl_driven(made, pivot, turns)
    pin = jaw.turned(made.rod, made.pivot, angle)
    hung = jaw.turned(made.base, pivot, -turns)
    known = np.isfinite(angle)
    assert known[3] and angle[3] == pytest.approx(0.0, abs=1e-9)
    drawn = np.hypot(*(made.rod - made.base))
    assert np.allclose(np.hypot(*(pin - hung).T)[known], drawn)
    step = 1e-6
    slope = (grip.curl_driven(made, pivot, turns + step)[0] - grip.curl_driven(made, pivot, turns - step)[0]) / (
        2 * step
    )
    assert np.allclose(ratio[known], slope[known], rtol=1e-5, atol=1e-6)


def test_two_inch_cylinder_at_two_thousand_psi() -> None:
    """Hand reckoning of the trade: a 2 in bore at 2,000 psi pushes 6,280 lbf."""
    pounds = float(grip.cylinder_force(2000 * 6894.757293, 0.0508, 0.0254)) / 4.4482216152605
    assert pounds == pytest.approx(6280, abs=5)
    assert float(grip.cylinder_force(1e7, 0.05, 0.03, 2, False)) == pytest.approx(
        1e7 * np.pi / 4 * (0.05**2 - 0.03**2) * 2
    )


def test_scalar_equals_array() -> None:
    made = jaws(3)[1]
    diameter, friction = np.linspace(0.05, 0.9, 23), np.linspace(0.1, 0.6, 23)
    together = grip.grip(made, diameter, friction, PUSH, PULL, 300.0, [0.0, 0.4, -0.6])
    for k in range(23):
        one = grip.grip(made, diameter[k], friction[k], PUSH, PULL, 300.0, [0.0, 0.4, -0.6])
        for whole, part in zip(together, one, strict=True):
            assert part.shape == () and (
                whole[k] == part or (whole.dtype.kind == "f" and np.isnan(whole[k]) and np.isnan(part))
            )
