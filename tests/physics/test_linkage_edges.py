"""Edges of the linkage: figures by hand on a plain square linkage, what is not there, and no warning of numpy."""

from __future__ import annotations

import numpy as np
import pytest

from handfast.physics import linkage, linkage_height
from handfast.physics.linkage_fit import Sheet as FitSheet
from handfast.physics.linkage_fit import class_loader, fit, scaled, sheet_of
from handfast.physics.linkage_force import Cylinder, Weights, breakout, curl_limited, lift_limited, lump, push_pull
from handfast.physics.linkage_plane import point
from handfast.physics.linkage_pose import LinkagePoints, places, pose, reference_lengths, tilt_for_angle
from handfast.physics.linkage_reaction import pin_forces

G = 9.80665
PINS = LinkagePoints(*(point(x, z) for x, z in [(0, 1), (0, 0), (0.4, 0.6), (2, 1), (1, 1), (2, 1.5)]))
NONE = Weights(0.0, point(0, 0), 0.0, point(0, 0))
UP, OVER = Cylinder(0.05, 0.03, 2, 0.5, 0.9), Cylinder(0.05, 0.03, 2, 0.9, 1.4)
LIFT, TILT = (float(v) for v in reference_lengths(PINS))
KINDS = ("direct", "bellcrank", "levelling")


def test_push_and_pull_are_pressure_on_bore_and_ring() -> None:
    """By hand: 2 cylinders, 10 MPa, bore 80 mm, rod 40 mm: 2·10⁷·π/4·0.0064 and 0.0048 N."""
    push, pull = push_pull(Cylinder(0.08, 0.04, 2, 0.5, 0.9), 1e7)
    assert float(push) == pytest.approx(2e7 * np.pi / 4 * 0.0064) and float(pull) == pytest.approx(
        2e7 * np.pi / 4 * 0.0048
    )


def test_lumps_are_row_by_row_and_nothing_is_nowhere() -> None:
    """First moments of each row; a row without mass gives 0 and no warning; a whole of one kilogram is one kilogram."""
    masses = [[1.0, 3.0], [0.25, 0.75], [0.0, 0.0]]
    with np.errstate(all="raise"):
        total, centre = lump(masses, np.array([1.0 + 2.0j, 5.0 - 2.0j]))
    assert total.tolist() == [4.0, 1.0, 0.0]
    assert centre.tolist() == [4.0 - 1.0j, 4.0 - 1.0j, 0j]
    assert centre.dtype == np.complex128


def test_cylinder_straight_under_the_load_holds_by_the_law_of_the_lever() -> None:
    """Moments about the arm pivot: push times the rod's distance from it is weight times the load's."""
    at = pose(PINS, LIFT, TILT)
    rod = PINS.lift_rod - PINS.lift_base
    arm = abs((np.conj(rod) * (PINS.arm_pivot - PINS.lift_base)).imag) / LIFT
    for ahead in (0.0, 0.5, -0.3):
        mass = float(lift_limited(PINS, at, NONE, point(ahead, 0.2), 40000.0, 20000.0))
        assert mass * G * (2.0 + ahead) == pytest.approx(40000.0 * arm, rel=1e-12)
    tilt = PINS.tilt_rod - PINS.tilt_base
    lever = abs((np.conj(tilt) * (PINS.tool_pivot - PINS.tilt_base)).imag) / TILT
    pulled = float(curl_limited(PINS, at, NONE, point(0.5, 0.0), 40000.0, 20000.0))
    pushed = float(curl_limited(PINS, at, NONE, point(-0.5, 0.0), 40000.0, 20000.0))
    assert pulled * G * 0.5 == pytest.approx(20000.0 * lever, rel=1e-12)
    assert pushed * G * 0.5 == pytest.approx(40000.0 * lever, rel=1e-12)


def test_load_over_the_pin_is_no_business_of_the_tilt_and_warns_of_nothing() -> None:
    at = pose(PINS, LIFT, TILT)
    with np.errstate(all="raise", under="ignore"):
        assert np.isnan(curl_limited(PINS, at, NONE, point(0.0, 0.4), 40000.0, 20000.0))
        assert np.isnan(curl_limited(PINS, at, NONE, point(0.0, 0.0), 40000.0, 20000.0))
        heavy = Weights(0.0, point(0, 0), 1e9, point(0.3, 0.0))
        assert np.isnan(curl_limited(PINS, at, heavy, point(0.5, 0.0), 40000.0, 20000.0))
        assert np.isnan(pose(PINS, [0.01, 9.0], TILT).tool).all()
        assert np.isnan(tilt_for_angle(PINS, [0.01, 9.0])).all()
    light = float(curl_limited(PINS, at, NONE, point(0.5, 0.0), 4.0, 4.0))
    assert 0.0 < light < 1.0


def test_dead_centre_has_no_finite_push_and_warns_of_nothing() -> None:
    """A rod in line with its crank holds no moment: endless push for a load ahead, none that is known for none."""
    one, dead = np.asarray(1.0 + 0j), PINS._replace(tilt_rod=point(3, 1))
    at = pose(PINS, LIFT, TILT)._replace(arm=one, lever=one, crank=one, tool=one, pin=PINS.tool_pivot)
    with np.errstate(divide="raise", invalid="ignore"):
        assert not np.isfinite(pin_forces(dead, at, NONE, point(0.5, 0.0), 100.0).tilt)
    with np.errstate(divide="raise", invalid="raise"):
        assert np.isnan(pin_forces(dead, at, NONE, point(0.0, 0.0), 100.0).tilt)


def test_breakout_is_by_the_limits_at_pin_and_half_a_metre_ahead() -> None:
    """Definition of the ratings: at the pin itself and 500 mm ahead of it at its height, tool level."""
    made = class_loader("compact_large", "bellcrank")
    low = made.lift.retracted
    got = breakout(made.points, made.weights, made.lift, made.tilt, made.pressure, low)
    at = pose(made.points, low, tilt_for_angle(made.points, low, 0.0, made.tilt.retracted, made.tilt.extended))
    assert float(np.angle(at.tool)) == pytest.approx(0.0, abs=1e-9)
    for mass, ahead in ((got.at_pin, 0.0), (got.at_500, 0.5)):
        held = pin_forces(made.points, at, made.weights, point(ahead, 0.0), mass)
        assert float(held.lift) == pytest.approx(float(push_pull(made.lift, made.pressure)[0]), rel=1e-9)
    held = pin_forces(made.points, at, made.weights, point(0.5, 0.0), got.curl_at_500)
    limits = push_pull(made.tilt, made.pressure)
    assert min(abs(float(held.tilt) - float(limits[0])), abs(float(held.tilt) + float(limits[1]))) < 1e-3
    stopped = breakout(PINS, NONE, UP, OVER._replace(extended=1.0), 16e6, LIFT)
    assert np.isnan(stopped.at_pin) and np.isnan(stopped.curl_at_500)


@pytest.mark.parametrize("kind", KINDS)
def test_forces_on_the_arms_balance(kind: str) -> None:
    """Sum of all forces and of their moments about the origin on the arms is nought; missing pins carry nothing."""
    made = class_loader("utility", kind)
    points, load = made.points, point(0.6, 0.2)
    at = pose(
        points, 0.5 * (made.lift.retracted + made.lift.extended), 0.4 * made.tilt.retracted + 0.6 * made.tilt.extended
    )
    here, held = places(points, at), pin_forces(points, at, made.weights, load, 350.0)
    along = (here["lift_rod"] - here["lift_base"]) / abs(here["lift_rod"] - here["lift_base"])
    centre = points.arm_pivot + (made.weights.arm_cg - points.arm_pivot) * at.arm
    forces = [(here["lift_rod"], held.lift * along), (centre, -1j * G * np.asarray(made.weights.arm_mass))]
    forces += [(here[name], getattr(held, name)) for name in ("tool_pivot", "arm_pivot")]
    for name in ("bellcrank_pivot", "lever_pivot"):
        if name in here:
            forces.append((here[name], getattr(held, name)))
        else:
            assert complex(getattr(held, name)) == 0j
    if "lever_pivot" not in here:
        forces.append((here["tilt_base"], held.tilt_base))
    assert abs(sum(force for _, force in forces)) < 1e-6 * abs(held.lift)
    assert abs(sum((np.conj(place) * force).imag for place, force in forces)) < 1e-6 * abs(held.lift)
    assert (float(held.link) == 0.0) == ("bellcrank_pivot" not in here)
    assert (float(held.level_rod) == 0.0) == ("lever_pivot" not in here)
    if "bellcrank_pivot" in here:
        rod = (here["link_tool"] - here["link_bellcrank"]) / abs(here["link_tool"] - here["link_bellcrank"])
        carried = G * (np.asarray(made.weights.tool_mass) + 350.0)
        on_plate = held.link * rod - held.tool_pivot - 1j * carried
        assert abs(on_plate) < 1e-6 * abs(held.link)


@pytest.mark.parametrize("kind", KINDS)
def test_dead_centre_and_offset_by_the_sine_of_the_angle_at_each_crank(kind: str) -> None:
    """Transmission angle from the law of sines at every rod of the kind, and the offset as twice area over length."""
    made = class_loader("compact_small", kind)
    at = pose(made.points, linkage.stroke(made.lift, 4)[:, None], linkage.stroke(made.tilt, 3))
    here = places(made.points, at)
    rods = [("arm_pivot", "lift_rod", "lift_base")]
    rods += [("tool_pivot", "tilt_rod", "tilt_base")] if "link_tool" not in here else []
    if "link_tool" in here:
        rods += [("bellcrank_pivot", "tilt_rod", "tilt_base"), ("tool_pivot", "link_tool", "link_bellcrank")]
    rods += [("lever_pivot", "level_rod", "level_chassis")] if "level_rod" in here else []
    sines, offsets = [], []
    for pivot, end, far in rods:
        crank, rod = here[pivot] - here[end], here[far] - here[end]
        sine = np.abs(np.sin(np.angle(rod / crank)))
        sines.append(np.broadcast_to(sine, at.tool.shape))
        offsets.append(sines[-1] * np.abs(crank))
    assert linkage.least_leverage(made.points, at) == pytest.approx(np.min(sines, axis=0), rel=1e-9)
    assert linkage.least_offset(made.points, at) == pytest.approx(np.min(offsets, axis=0), rel=1e-9)


def test_stroke_ends_belong_to_it_and_beyond_there_is_nothing() -> None:
    ends = linkage.stroke(UP, 5)
    assert ends.tolist() == pytest.approx([0.5, 0.6, 0.7, 0.8, 0.9])
    lengths = [[0.5 - 1e-6], [0.5], [LIFT], [0.9], [0.9 + 1e-6]]
    got = linkage.capacity_map(PINS, NONE, UP, OVER, 16e6, point(0.5, 0.0), lengths, [0.9, TILT, 1.5])
    for field in (got.pin_x, got.pin_z, got.angle, got.capacity):
        inside = np.zeros((5, 3), dtype=bool)
        inside[1:4, :2] = True
        if field is got.pin_x or field is got.pin_z:
            inside[1:4, 2] = True
        assert not np.isfinite(field[~inside]).any()
    assert np.isfinite(got.pin_z[1:4]).all() and np.isfinite(got.angle[2, 1])
    assert float(got.pin_z[2, 1]) == pytest.approx(1.0) and float(got.pin_x[2, 1]) == pytest.approx(2.0)
    path = linkage.level_path(PINS, NONE, UP, OVER._replace(extended=1.0), 16e6, point(0.5, 0.0), [LIFT])
    assert np.isnan(path.capacity).all()
    for tilt in (OVER._replace(extended=TILT), OVER._replace(retracted=TILT, extended=2.0)):
        path = linkage.level_path(PINS, NONE, UP, tilt, 16e6, point(0.5, 0.0), [LIFT])
        assert np.isfinite(path.angle).all(), "an end of the stroke belongs to it"
    assert np.isnan(tilt_for_angle(PINS, LIFT, 0.0, TILT + 1e-6, 9.0))
    assert np.isnan(tilt_for_angle(PINS, LIFT, 0.0, 0.0, TILT - 1e-6))
    assert float(tilt_for_angle(PINS, LIFT)) == pytest.approx(TILT)


@pytest.mark.parametrize("side", [1.0, -1.0])
def test_linkage_too_weak_for_its_own_weights_says_so(side: float) -> None:
    """By moments: the tool side's weight half a metre ahead of the pin or behind it, against the tilt cylinders."""
    push, pull = (float(v) for v in push_pull(OVER, 16e6))
    tilt = PINS.tilt_rod - PINS.tilt_base
    lever = abs((np.conj(tilt) * (PINS.tool_pivot - PINS.tilt_base)).imag) / TILT
    most = (pull if side > 0 else push) * lever / (G * 0.5)
    strong = UP._replace(bore=0.5)
    for share, held in ((0.999, 1.0), (1.001, 0.0)):
        own = Weights(0.0, point(0, 0), share * most, point(0.5 * side, 0.0))
        got = linkage.capacity_map(PINS, own, strong, OVER, 16e6, point(0.5, 0.0), LIFT, TILT)
        assert float(got.holds_itself) == held
    rod = PINS.lift_rod - PINS.lift_base
    arm = abs((np.conj(rod) * (PINS.arm_pivot - PINS.lift_base)).imag) / LIFT
    most = (float(push_pull(UP, 16e6)[0]) if side > 0 else float(push_pull(UP, 16e6)[1])) * arm / (G * 1.0)
    for share, held in ((0.999, 1.0), (1.001, 0.0)):
        own = Weights(share * most, point(side, 1.0), 0.0, point(0, 0))
        got = linkage.capacity_map(PINS, own, UP, OVER, 16e6, point(0.5, 0.0), LIFT, TILT)
        assert float(got.holds_itself) == held


@pytest.mark.parametrize("kind", KINDS)
def test_length_for_a_height_puts_the_pin_there(kind: str) -> None:
    """Round trip: the height of the pin over the stroke gives the stroke back; beyond the arms' reach nothing does."""
    made = class_loader("utility", kind)
    lengths = linkage.stroke(made.lift, 7)
    heights = pose(made.points, lengths, made.tilt.retracted).pin.imag
    with np.errstate(all="raise", under="ignore"):
        assert linkage_height.lift_length_at(made.points, heights) == pytest.approx(lengths, rel=1e-9)
        assert np.isnan(linkage_height.lift_length_at(made.points, [9.0, -9.0])).all()


def test_sheet_figures_each_by_its_own_definition() -> None:
    """Volume over flow for the time; level with the pivot the arm lies flat; the other end of the stroke is the top."""
    made = class_loader("utility", "direct")
    sheet = sheet_of(made)
    low, high = float(made.lift.retracted), float(made.lift.extended)
    oil = np.pi / 4 * float(made.lift.bore) ** 2 * float(made.lift.number) * (high - low)
    assert sheet.raise_time == pytest.approx(oil / made.flow)
    arm = made.points.tool_pivot - made.points.arm_pivot
    assert sheet.pin_x_level == pytest.approx(float(made.points.arm_pivot.real + abs(arm)))
    for length, x, z in ((low, sheet.pin_x_down, sheet.pin_height_down), (high, sheet.pin_x_up, sheet.pin_height_max)):
        pin = complex(pose(made.points, length, made.tilt.retracted).pin)
        assert (x, z) == pytest.approx((pin.real, pin.imag))
        assert abs(pin - complex(made.points.arm_pivot)) == pytest.approx(abs(arm))
    at = pose(made.points, high, tilt_for_angle(made.points, high, 0.0, made.tilt.retracted, made.tilt.extended))
    most = float(push_pull(made.lift, made.pressure)[0])
    for mass, ahead in ((sheet.lift_at_pin, 0.0), (sheet.lift_at_500, 0.5)):
        held = pin_forces(made.points, at, made.weights, point(ahead, 0.0), mass)
        assert float(held.lift) == pytest.approx(most, rel=1e-9)
    first = breakout(made.points, made.weights, made.lift, made.tilt, made.pressure, low)
    assert (sheet.breakout_at_pin, sheet.curl_at_500) == (float(first.at_pin), float(first.curl_at_500))


def test_each_of_the_ten_numbers_moves_what_it_names() -> None:
    """Similar triangles and plain shifts, one number at a time; the rest stays where it was."""
    made = class_loader("compact_large", "levelling")
    old, arm = made.points, made.points.tool_pivot - made.points.arm_pivot
    long = abs(complex(arm))

    def one(k: int, by: float) -> tuple[LinkagePoints, Cylinder, Cylinder]:
        numbers = np.zeros(10)
        numbers[k] = by
        got = scaled(made, numbers)
        return got.points, got.lift, got.tilt

    for k, shift in ((0, 0.05), (1, 0.05j)):
        points = one(k, 0.05)[0]
        for name in ("arm_pivot", "tool_pivot", "lift_rod", "lift_base", "lever_pivot", "level_rod", "tilt_rod"):
            assert complex(getattr(points, name) - getattr(old, name)) == pytest.approx(long * shift), name
        assert complex(points.level_chassis - old.level_chassis) == pytest.approx(long * shift)
    for k, shift in ((3, 0.05), (4, 0.05j)):
        points = one(k, 0.05)[0]
        assert complex(points.lift_base - old.lift_base) == pytest.approx(long * shift)
        assert complex(points.lift_rod) == pytest.approx(complex(old.lift_rod))
    points = one(5, np.log(1.2))[0]
    assert complex(points.lift_rod - old.arm_pivot) == pytest.approx(complex(1.2 * (old.lift_rod - old.arm_pivot)))
    for k, end in ((6, "retracted"), (7, "extended")):
        points, lift, _ = one(k, 0.1)
        turned = pose(points, float(getattr(lift, end)), made.tilt.retracted).arm
        before = pose(old, float(getattr(made.lift, end)), made.tilt.retracted).arm
        assert float(np.angle(turned / before)) == pytest.approx(0.1, abs=1e-9)
        other = {"retracted": "extended", "extended": "retracted"}[end]
        assert float(getattr(lift, other)) == pytest.approx(float(getattr(made.lift, other)), rel=1e-9)
    lift, tilt = one(8, np.log(1.1))[1], one(9, np.log(1.1))[2]
    for wide, was in ((lift, made.lift), (tilt, made.tilt)):
        assert float(wide.bore) == pytest.approx(1.1 * float(was.bore))
        assert float(wide.rod) == pytest.approx(1.1 * float(was.rod))
    assert one(8, 0.1)[2] == made.tilt and float(one(9, 0.1)[1].bore) == pytest.approx(float(made.lift.bore))


def test_fit_returns_the_linkage_whose_sheet_it_shows() -> None:
    start = class_loader("utility", "direct")
    wanted = sheet_of(start)
    found = fit(start, FitSheet(pin_height_max=wanted.pin_height_max * 1.02))
    assert sheet_of(found.loader) == found.reached
    assert found.residual.pin_height_max == pytest.approx(
        found.reached.pin_height_max / (wanted.pin_height_max * 1.02) - 1
    )
    with pytest.raises(ValueError, match=r"^a sheet without a figure gives no linkage$"):
        fit(start, FitSheet())
