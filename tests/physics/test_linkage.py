"""What statics and geometry demand of every linkage, on the twelve class linkages."""

from __future__ import annotations

import numpy as np
import pytest

from handfast.physics import lift as sheet_lift
from handfast.physics.linkage import capacity_map, least_leverage, level_path, stroke
from handfast.physics.linkage_fit import Loader, class_loader
from handfast.physics.linkage_force import Weights, breakout, lift_limited, lump, push_pull, rise_rates, weight_rates
from handfast.physics.linkage_plane import cross, dot, point
from handfast.physics.linkage_pose import LinkagePoints, places, pose, reference_lengths, tilt_for_angle
from handfast.physics.linkage_reaction import PinForces, pin_forces

G = 9.80665
CLASSES = ("subcompact", "compact_small", "compact_large", "utility")
KINDS = ("direct", "bellcrank", "levelling")
LOAD = point(0.6, 0.15)
HEAVY = Weights(200.0, point(2.0, 1.4), 150.0, point(0.3, 0.1))


@pytest.fixture(params=[(c, k) for c in CLASSES for k in KINDS], ids="-".join)
def loader(request: pytest.FixtureRequest) -> Loader:
    return class_loader(*request.param)


def grid(loader: Loader, n: int, m: int) -> tuple[np.ndarray, np.ndarray]:
    return stroke(loader.lift, n)[:, None], stroke(loader.tilt, m)


def test_reference_lengths_give_the_measured_pins(loader: Loader) -> None:
    """The branch is that of the reference pose: there every pin stands where it was measured."""
    points = loader.points
    here = places(points, pose(points, *reference_lengths(points)))
    for name, place in here.items():
        assert np.allclose(place, getattr(points, name), atol=1e-12), name


def test_rods_and_bodies_keep_their_lengths(loader: Loader) -> None:
    """Rigid bodies: distances between pins of one body, and along each rod, are the same at every pose."""
    points, at = loader.points, pose(loader.points, *grid(loader, 7, 5))
    here = places(points, at)
    rigid = [("arm_pivot", "tool_pivot"), ("arm_pivot", "lift_rod")]
    rigid += [("link_tool", "link_bellcrank"), ("tool_pivot", "link_tool"), ("bellcrank_pivot", "tilt_rod")]
    rigid += [("level_rod", "level_chassis"), ("lever_pivot", "tilt_base"), ("lever_pivot", "tool_pivot")]
    for a, b in rigid:
        if a in here and b in here:
            assert np.allclose(np.abs(here[a] - here[b]), np.abs(getattr(points, a) - getattr(points, b)), atol=1e-12)
    tilt = np.abs(here["tilt_rod"] - here["tilt_base"])
    assert np.allclose(tilt, grid(loader, 7, 5)[1], atol=1e-12)


def test_work_of_a_cylinder_is_the_rise_of_the_weights(loader: Loader) -> None:
    """Conservation: ∫F ds = g Σ m Δz, by Gauss-Legendre quadrature along the stroke."""
    nodes, share = np.polynomial.legendre.leggauss(40)
    for moved in (0, 1):
        lengths = [np.asarray(0.5 * (c.retracted + c.extended)) for c in (loader.lift, loader.tilt)]
        low, high = (loader.lift, loader.tilt)[moved].retracted, (loader.lift, loader.tilt)[moved].extended
        lengths[moved] = 0.5 * (low + high) + 0.5 * (high - low) * nodes
        at = pose(loader.points, *lengths)
        force = G * weight_rates(loader.points, at, HEAVY)[moved]
        work = float(np.sum(force * share) * 0.5 * (high - low))
        lengths[moved] = np.array([low, high])
        assert work == pytest.approx(potential(loader.points, *lengths), rel=1e-9)


def potential(points: LinkagePoints, lift: np.ndarray, tilt: np.ndarray) -> float:
    at = pose(points, lift, tilt)
    arm = points.arm_pivot + (HEAVY.arm_cg - points.arm_pivot) * at.arm
    z = HEAVY.arm_mass * arm.imag + HEAVY.tool_mass * (at.pin + HEAVY.tool_cg * at.tool).imag
    return float(G * (z[1] - z[0]))


def test_moments_about_the_pins_give_the_cylinder_forces_of_virtual_work(loader: Loader) -> None:
    at = pose(loader.points, *grid(loader, 6, 5))
    held = pin_forces(loader.points, at, HEAVY, LOAD, 300.0)
    for found, own, rise in zip(
        (held.lift, held.tilt),
        weight_rates(loader.points, at, HEAVY),
        rise_rates(loader.points, at, LOAD),
        strict=True,
    ):
        work = G * (own + 300.0 * rise)
        assert np.allclose(found, work, rtol=0, atol=1e-9 * np.abs(work).max())


def test_pin_forces_close_over_the_whole_loader(loader: Loader) -> None:
    """Newton: chassis forces (arm pivot, lift cylinder, levelling rod) carry all the weight and its moment."""
    at = pose(loader.points, *grid(loader, 6, 5))
    held, here = pin_forces(loader.points, at, HEAVY, LOAD, 300.0), places(loader.points, at)
    forces = from_chassis(held, here)
    total = sum(force for force, _ in forces)
    weight = G * (HEAVY.arm_mass + HEAVY.tool_mass + 300.0)
    assert np.allclose(total, 1j * weight, atol=1e-6 * weight)
    arm = loader.points.arm_pivot + (HEAVY.arm_cg - loader.points.arm_pivot) * at.arm
    x = HEAVY.arm_mass * arm.real + HEAVY.tool_mass * (at.pin + HEAVY.tool_cg * at.tool).real
    x = x + 300.0 * (at.pin + LOAD * at.tool).real
    assert np.allclose(sum(cross(where, force) for force, where in forces), G * x, atol=1e-6 * weight)


def from_chassis(held: PinForces, here: dict[str, np.ndarray]) -> list[tuple[np.ndarray, np.ndarray]]:
    """(force, place) of everything that the chassis exerts."""
    along = here["lift_rod"] - here["lift_base"]
    forces = [(held.arm_pivot, here["arm_pivot"]), (held.lift * along / np.abs(along), here["lift_base"])]
    if "level_rod" in here:
        along = here["level_rod"] - here["level_chassis"]
        forces.append((held.level_rod * along / np.abs(along), here["level_chassis"]))
    return forces


def test_level_tilt_length_puts_the_tool_level(loader: Loader) -> None:
    for angle in (0.0, 0.2, -0.3):
        lengths = stroke(loader.lift, 9)
        tilt = tilt_for_angle(loader.points, lengths, angle, loader.tilt.retracted, loader.tilt.extended)
        turned = np.angle(pose(loader.points, lengths, tilt).tool)
        assert np.isfinite(tilt).sum() >= 5
        assert np.allclose(turned[np.isfinite(tilt)], angle, atol=1e-12)


def test_whatever_tilt_length_is_found_holds_that_angle_on_the_measured_branch(loader: Loader) -> None:
    """All round the circle: a length that is given leads back to the angle asked, everything else is nan."""
    angles = np.linspace(-np.pi, np.pi, 721)[:-1]
    lengths = stroke(loader.lift, 3)[:, None]
    tilt = tilt_for_angle(loader.points, lengths, angles)
    found = np.isfinite(tilt)
    assert found.any() and not found.all()
    back = pose(loader.points, lengths, tilt).tool
    assert np.abs(back - np.exp(1j * angles))[found].max() < 1e-6


def test_beyond_stroke_and_reach_there_is_no_answer(loader: Loader) -> None:
    lift = np.array([loader.lift.retracted - 0.01, loader.lift.extended + 0.01])
    held = (loader.points, loader.weights, loader.lift, loader.tilt, loader.pressure, LOAD)
    out = capacity_map(*held, lift, reference_lengths(loader.points)[1])
    assert np.isnan(out.capacity).all() and np.isnan(out.pin_x).all() and np.isnan(out.pin_z).all()
    assert np.isnan(level_path(*held, lift).capacity).all()
    assert np.isnan(pose(loader.points, 9.0, 0.7).pin.real)


def test_sheet_and_linkage_agree_where_both_exist() -> None:
    """With nothing but the load on the arms, a rigid arm at one tilt length holds one moment: λ = 1/a."""
    for kind in ("direct", "bellcrank"):
        made = class_loader("compact_large", kind)
        held = (made.points, Weights(0.0, point(0, 0), 0.0, point(0, 0)), made.lift, made.tilt, made.pressure)
        at_pin, at_500 = (level_path(*held, point(d, 0.0), made.lift.extended).lift_limited for d in (0.0, 0.5))
        slope = sheet_lift.rating_slope(at_pin, at_500)
        pin_x = float(level_path(*held, LOAD, made.lift.extended).pin_x)
        assert float(1.0 / slope) == pytest.approx(pin_x - float(made.points.arm_pivot.real), rel=1e-9)


def test_self_levelling_lifts_nearly_the_same_at_any_distance() -> None:
    """Its levelling rod carries the couple; a parallelogram would make it exact."""
    made = class_loader("utility", "levelling")
    held = (made.points, made.weights, made.lift, made.tilt, made.pressure)
    near, far = (level_path(*held, point(d, 0.0), stroke(made.lift, 5)).lift_limited for d in (0.0, 0.8))
    assert np.allclose(far, near, rtol=0.03)
    at = pose(made.points, stroke(made.lift, 5), reference_lengths(made.points)[1])
    assert np.abs(np.angle(at.tool)).max() < np.radians(3.0)


def test_true_parallelograms_keep_the_tool_level() -> None:
    """Two parallelograms in series (plane geometry): level at every height with one tilt length."""
    pins = [point(x, z) for x, z in [(1, 1.5), (0.9, 0.6), (1.5, 1.2), (2.6, 0.6), (1.8, 1.25), (2.6, 0.8)]]
    lever = point(1.8, 1.05)
    points = LinkagePoints(*pins, level_chassis=point(0.98, 1.7), level_rod=lever + (-0.02 + 0.2j), lever_pivot=lever)
    lengths = np.linspace(0.8, 1.1, 7)
    at = pose(points, lengths, reference_lengths(points)[1])
    assert np.abs(at.tool - 1.0).max() < 1e-12
    assert np.abs(at.tool_by_lift).max() < 1e-9


def test_breakout_is_the_level_limit_with_the_arms_down(loader: Loader) -> None:
    held = (loader.points, loader.weights, loader.lift, loader.tilt, loader.pressure)
    low = breakout(*held, loader.lift.retracted)
    path = level_path(*held, point(0.5, 0.0), loader.lift.retracted)
    assert float(low.at_500) == float(path.lift_limited) and float(low.curl_at_500) == float(path.curl_limited)
    assert float(low.at_pin) > float(low.at_500)


def test_the_loads_work_chooses_the_piston_side() -> None:
    """A load ahead pulls the curl cylinder of a plate held from above, one far behind the pin pushes it."""
    made = class_loader("compact_large", "direct")
    none = Weights(0.0, point(0, 0), 0.0, point(0, 0))
    at = pose(made.points, *reference_lengths(made.points))
    arm = float(np.abs(cross(made.points.tilt_rod - made.points.tool_pivot, unit(made))))
    push, pull = push_pull(made.tilt, made.pressure)
    level = (made.points, none, made.lift, made.tilt, made.pressure)
    for d, force in ((0.5, pull), (-0.5, push)):
        found = capacity_map(*level, point(d, 0.0), *reference_lengths(made.points)).curl_limited
        assert float(found) == pytest.approx(float(force) * arm / (0.5 * G), rel=1e-9)
    straight_above = capacity_map(*level, point(0.0, 0.4), *reference_lengths(made.points))
    assert np.isnan(straight_above.curl_limited) and straight_above.lift_governs == 1.0
    assert float(least_leverage(made.points, at)) > 0.4


def unit(made: Loader) -> np.ndarray:
    along = made.points.tilt_rod - made.points.tilt_base
    return np.asarray(along / np.abs(along))


def test_weights_beyond_the_cylinders_leave_no_load() -> None:
    made = class_loader("subcompact", "direct")
    heavy = Weights(0.0, point(0, 0), 5000.0, point(0.3, 0.0))
    at = pose(made.points, *reference_lengths(made.points))
    assert np.isnan(lift_limited(made.points, at, heavy, LOAD, *push_pull(made.lift, made.pressure)))


def test_scalar_equals_array(loader: Loader) -> None:
    """Each pose by itself is the pose within the map; several loads and several linkages are further axes."""
    held = (loader.points, loader.weights, loader.lift, loader.tilt, loader.pressure)
    lengths = grid(loader, 4, 3)
    many = capacity_map(*held, LOAD, *lengths)
    for i, j in np.ndindex(4, 3):
        one = capacity_map(*held, LOAD, float(lengths[0][i, 0]), float(lengths[1][j]))
        assert all(np.allclose(a, b[i, j], rtol=1e-13, equal_nan=True) for a, b in zip(one, many, strict=True))
    stacked = LinkagePoints(*(None if p is None else np.stack([p, p]) for p in loader.points))
    path = level_path(stacked, *held[1:], LOAD, stroke(loader.lift, 5)[:, None])
    alone = level_path(*held, LOAD, stroke(loader.lift, 5))
    assert np.allclose(path.capacity, alone.capacity[:, None], rtol=1e-13, equal_nan=True)


def test_lumped_masses_weigh_as_the_single_ones(loader: Loader) -> None:
    at = pose(loader.points, *reference_lengths(loader.points))
    hung = [(80.0, point(0.06, -0.04)), (210.0, point(0.4, 0.2))]
    total, centre = lump([m for m, _ in hung], np.array([complex(p) for _, p in hung]))
    both = weight_rates(loader.points, at, Weights(0.0, point(0, 0), total, centre))
    each = [weight_rates(loader.points, at, Weights(0.0, point(0, 0), m, p)) for m, p in hung]
    assert np.allclose(both, np.sum(each, axis=0), rtol=1e-12)


def test_plane_products() -> None:
    assert float(dot(point(1, 2), point(3, 4))) == 11.0 and float(cross(point(1, 0), point(0, 2))) == 2.0
