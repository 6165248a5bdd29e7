"""Edges of jaw, touch, closure and grip: hand figures on square jaws, order of points, reasons, no warnings."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import brentq

from handfast.physics import closure, grip, jaw
from handfast.physics.jaw_touch import distance_to_line, first_touch, seated

LIDS = ([-0.6, -0.8], [1.0, 0.0], [0.0, 1.0])
FLAT = [[0.0, 0.0], [0.8, 0.0]]


def made(lid: list[list[float]] | None = None, floor: list[list[float]] | None = None, **ends: float) -> jaw.Jaw:
    """A grapple whose drawn pose is shut: base behind and above the pivot, rod pin before it."""
    stroke = {"retracted": 0.25, "extended": float(np.hypot(0.1, 0.4))} | ends
    return jaw.make_jaw(floor or FLAT, lid or [[0.05, 0.5], [0.8, 0.2]], [0, 0.5], [0.1, 0.9], [0.2, 0.5], **stroke)


def mirrored(one: jaw.Jaw) -> jaw.Jaw:
    """The same lid cylinder hung below the pivot's height, so that it shuts by pulling."""
    return one._replace(base=np.array([0.1, 0.1]), retracted=float(np.hypot(0.1, 0.4)), extended=0.58)


def test_points_are_put_in_order_whichever_way_they_are_drawn() -> None:
    floor, lid = [[0.7, 0.1], [0.3, 0.0], [0.0, 0.2]], [[0.7, 0.1], [0.4, 0.6], [0.1, 0.5]]
    one = jaw.make_jaw(floor, lid, [0, 0.5], [0.1, 0.9], [0.2, 0.5])
    other = jaw.make_jaw(floor[::-1], lid[::-1], [0, 0.5], [0.1, 0.9], [0.2, 0.5])
    for jaw_of in (one, other):
        assert jaw_of.floor.tolist() == floor[::-1] and jaw_of.lid.tolist() == lid[::-1]
        assert jaw_of.pivot.tolist() == [0, 0.5]
    upright = jaw.make_jaw([[0.0, 0.3], [0.0, 0.0]], [[0.0, 0.9], [0.0, 0.1]], [0, 0.5], [0.1, 0.9], [0.2, 0.5])
    assert upright.floor.tolist() == [[0.0, 0.3], [0.0, 0.0]] and upright.lid.tolist() == [[0.0, 0.9], [0.0, 0.1]]
    bulged = jaw.make_jaw([[0.0, 0.3], [0.9, 0.0], [0.7, 0.1]], lid, [0, 0.5], [0.1, 0.9], [0.2, 0.5])
    assert bulged.floor[0].tolist() == [0.0, 0.3]
    across = jaw.make_jaw(FLAT, [[0.3, 0.5], [0.0, 0.9]], [0, 0.5], [0.1, 0.9], [0.2, 0.5])
    assert across.lid[0].tolist() == [0.3, 0.5]


def test_only_the_ends_of_a_line_decide_its_order() -> None:
    """Floor by how far forward its ends are, lid by how far from the pivot; what lies between them says nothing."""
    rest = ([0, 0.5], [0.1, 0.9], [0.2, 0.5])
    floors = [
        [[0.0, 0.3], [0.9, 0.0], [0.7, 0.1]],
        [[0.0, 0.5], [0.1, 0.2], [0.2, 0.0]],
        [[0.0, 0.3], [-0.1, 0.1], [0.7, 0.0]],
    ]
    lids = [
        [[-0.1, 0.6], [0.4, 0.9], [0.9, 0.2]],
        [[0.1, 0.5], [1.5, 0.9], [0.8, 0.2]],
        [[0.6, 0.5], [0.1, 0.4], [1.2, 0.2]],
    ]
    for floor in floors:
        for lid in lids:
            for given in ((floor, lid), (floor[::-1], lid), (floor, lid[::-1]), (floor[::-1], lid[::-1])):
                one = jaw.make_jaw(*given, *rest)
                assert one.floor.tolist() == floor and one.lid.tolist() == lid
                assert one.pivot.tolist() == [0, 0.5] and one.base.tolist() == [0.1, 0.9]


def test_tips_apart_by_pythagoras() -> None:
    one = made(lid=[[0.05, 0.5], [0.4, 0.6], [0.8, 0.2]], floor=[[0.0, 0.3], [0.1, 0.0], [0.7, 0.05]])
    assert float(jaw.tip_opening(one, 0.0)) == pytest.approx(np.hypot(0.1, 0.15))
    turned = complex(0, 0.5) + (0.8 - 0.3j) * np.exp(0.7j)
    assert float(jaw.tip_opening(one, 0.7)) == pytest.approx(abs(turned - (0.7 + 0.05j)))


def test_angle_of_a_length_and_length_of_an_angle_are_inverse() -> None:
    """Round trip over the branch of the drawn pose; circles that just touch still meet, further ones do not."""
    pins = ([0, 0.5], [0.1, 0.9], [0.2, 0.5])
    apart, arm = float(np.hypot(0.1, 0.4)), 0.2
    lengths = np.linspace(apart - arm + 1e-6, apart + arm - 1e-6, 9)
    angles = jaw.lid_angle(lengths, *pins)
    assert jaw.lid_length(angles, *pins) == pytest.approx(lengths, rel=1e-9)
    assert np.isfinite(jaw.lid_angle([apart + arm, apart - arm], *pins)).all()
    with np.errstate(all="raise", under="ignore"):
        assert np.isnan(jaw.lid_angle([apart + arm + 1e-6, apart - arm - 1e-6, 9.0], *pins)).all()
    assert np.abs(angles).max() <= np.pi


def test_branch_is_that_of_the_drawn_base() -> None:
    """A base that has swung to the other side of the lid's arm leaves the lid on its own branch."""
    pins = ([0.0, 0.0], [0.3, -0.05], [0.3, 0.0])
    drawn = [0.3, 0.05]
    free, kept = (float(jaw.lid_angle(0.3, *pins, base)) for base in (None, drawn))
    assert free != pytest.approx(kept)
    for angle in (free, kept):
        assert float(jaw.lid_length(angle, *pins)) == pytest.approx(0.3)
    line = np.array([0.3, -0.05])
    for angle, base in ((free, line), (kept, np.array(drawn))):
        tip = 0.3 * np.array([np.cos(angle), np.sin(angle)])
        assert np.sign(line[0] * tip[1] - line[1] * tip[0]) == np.sign(base[0] * 0.0 - base[1] * 0.3)


def test_side_of_the_lid_by_the_sign_of_the_turn() -> None:
    one = made()
    shut = (jaw.lid_side(one, np.array(x), np.array(z), 0.0, 1.0) for x, z in ((0.4, 0.1), (0.4, 0.8), (-0.4, 0.6)))
    assert [bool(v) for v in shut] == [True, False, True]
    for x, z in ((0.3, 0.2), (0.5, 0.7), (-0.2, 0.9), (0.1, -0.4)):
        here = bool(jaw.lid_side(one, np.array(x), np.array(z), 0.3, 1.0))
        chord = (one.lid[-1] - one.pivot) @ np.array([1, 1j]) * np.exp(0.3j)
        assert here == bool(((np.conj(chord) * complex(x, z - 0.5)).imag) < 0.0)
        assert here != bool(jaw.lid_side(one, np.array(x), np.array(z), 0.3, -1.0))


def test_swing_of_both_ways() -> None:
    """Shut is the drawn pose at the long end of the stroke; a cylinder below the lid turns it the other way."""
    one = jaw.swing(made())
    assert one.shut == pytest.approx(0.0, abs=1e-9) and one.way == 1.0 and one.open > 0.5
    below = jaw.make_jaw(
        FLAT, [[0.05, 0.5], [0.8, 0.2]], [0, 0.5], [0.1, 0.1], [0.2, 0.5], 0.25, float(np.hypot(0.1, 0.4))
    )
    other = jaw.swing(below)
    assert other.way == -1.0 and other.open == pytest.approx(-one.open) and other.shut == pytest.approx(0.0, abs=1e-9)
    nothing = jaw.swing(made(retracted=5.0, extended=6.0))
    assert np.isnan(nothing.open) and nothing.way == 1.0


def test_throat_is_where_the_piece_stops_fitting() -> None:
    """The circle in the corner of plate and floor that touches the open lid: found by root search on its distance."""
    one = made(retracted=0.35)
    turn = jaw.swing(one)
    lid = jaw.turned(one.lid, one.pivot, turn.open)

    def room(diameter: float) -> float:
        return float(distance_to_line(diameter / 2, diameter / 2, lid)) - diameter / 2

    assert room(0.05) > 0.0 > room(1.6)
    assert jaw.throat_opening(one) == pytest.approx(brentq(room, 0.05, 1.6), abs=1e-6)
    wide = made(retracted=0.22, lid=[[0.05, 0.5], [0.1, 0.5]], floor=[[0.0, 0.0], [0.3, 0.0]])
    assert jaw.throat_opening(wide) == pytest.approx(0.6, abs=1e-6), "no further than the tips carry it"
    assert jaw.throat_opening(made(retracted=5.0, extended=6.0)) == 0.0


def test_seat_said_is_seat_used() -> None:
    one = made()
    assert bool(jaw.fits_open(one, 0.3))
    assert not bool(jaw.fits_open(one, 0.3, None, (np.array(0.9), np.array(0.15))))
    assert not bool(jaw.fits_open(one, 0.3, jaw.swing(one), (np.array(0.2), np.array(3.0))))


@pytest.mark.parametrize("radius", [0.05, 0.1, 0.2, 0.4])
def test_seat_in_a_valley_and_on_two_corners(radius: float) -> None:
    """By hand: a right-angled valley holds the middle r·√2 over its bottom; over a notch the two corners hold it."""
    valley = [[0.2, 1.0], [1.2, 0.0], [2.2, 1.0]]
    x, z, first, second = seated(valley, radius)
    assert (float(x), float(z)) == pytest.approx((1.2, radius * 2.0**0.5))
    assert sorted([first.tolist(), second.tolist()]) == [
        pytest.approx([-(0.5**0.5), 0.5**0.5]),
        pytest.approx([0.5**0.5] * 2),
    ]
    notch = [[0.5, 1.0], [0.9, 0.0], [1.0, -2.0], [1.1, 0.0], [1.5, 1.0]]
    if radius > 0.15:
        x, z, first, second = seated(notch, radius)
        slope = np.hypot(0.4, 1.0)
        rise = radius * slope / 0.4 - 0.1 * 2.5
        corners = (radius**2 - 0.1**2) ** 0.5
        assert float(x) == pytest.approx(1.0)
        assert float(z) == pytest.approx(max(rise, corners))
        assert np.hypot(*first) == pytest.approx(1.0) and np.hypot(*second) == pytest.approx(1.0)
        assert first[0] * second[0] < 0.0 and first[1] == pytest.approx(second[1])


def test_seat_on_two_corners_by_pythagoras() -> None:
    """A stone over a slot 0.2 wide at the bottom of a valley: its middle stands over the slot's."""
    radius = np.array([0.11, 0.125])
    x, z, first, second = seated([[0.0, 1.0], [0.9, 0.0], [1.0, -2.0], [1.1, 0.0], [2.0, 1.0]], radius)
    assert x == pytest.approx(np.ones(2))
    assert z == pytest.approx((radius**2 - 0.01) ** 0.5)
    for push, side in ((first, 1.0), (second, -1.0)):
        assert push[:, 0] == pytest.approx(side * 0.1 / radius)
        assert push[:, 1] == pytest.approx(z / radius)


def test_touch_by_a_flat_lid_a_tip_and_none() -> None:
    """By hand about a pivot at the origin: a face meets the circle by the sine rule, a tip by the law of cosines."""
    lid, pivot = np.array([[0.0, 0.0], [1.0, 0.0]]), np.zeros(2)
    angle, push, arm = first_touch(lid, pivot, (-1.5, 1.5, 1.0), (0.5, -0.5, 0.2))
    far = 0.5**0.5
    want = -np.pi / 4 + np.arcsin(0.2 / far)
    assert float(angle) == pytest.approx(want)
    assert push.tolist() == pytest.approx([np.sin(want), -np.cos(want)])
    assert float(arm) == pytest.approx((far**2 - 0.2**2) ** 0.5)
    angle, push, arm = first_touch(lid, pivot, (-1.5, 1.5, 1.0), (0.0, -1.1, 0.3))
    want = -np.pi / 2 + np.arccos((1.1**2 + 1.0 - 0.09) / 2.2)
    tip = np.array([np.cos(want), np.sin(want)])
    assert float(angle) == pytest.approx(want)
    assert push.tolist() == pytest.approx(((np.array([0.0, -1.1]) - tip) / 0.3).tolist())
    assert float(arm) == pytest.approx(abs(tip[0] * push[1] - tip[1] * push[0]))
    for circle in ((0.0, -1.4, 0.3), (0.5, 0.5, 0.1)):
        missed = first_touch(lid, pivot, (-1.5, 0.3, 1.0), circle)
        assert all(np.isnan(v).all() for v in missed), circle
    other = first_touch(lid, pivot, (1.5, -1.5, -1.0), (0.5, 0.5, 0.2))
    assert float(other[0]) == pytest.approx(np.pi / 4 - np.arcsin(0.2 / far))


def test_sum_of_normals_by_solving_for_the_others() -> None:
    """Equilibrium: what the two others push so that the three sum to nought; 2 where they would have to pull."""
    rng = np.random.default_rng(8)
    turns = rng.uniform(0.0, 2.0 * np.pi, (60, 3))
    ways = np.stack([np.cos(turns), np.sin(turns)], axis=-1)
    got = closure.sum_of_normals(ways[:, 0], ways[:, 1], ways[:, 2])
    for k, (lid, first, second) in enumerate(ways):
        forces = np.linalg.solve(np.column_stack([first, second]), -lid)
        assert got[k] == pytest.approx(1.0 + forces.sum() if (forces >= 0.0).all() else 2.0, rel=1e-9)
    assert float(closure.sum_of_normals([0.0, -1.0], [0.0, 1.0], [0.0, 1.0])) == 2.0


def test_many_grips_are_each_their_own() -> None:
    """A grip that does not close takes nothing from the one beside it, and nothing warns."""
    lids = np.array([[-0.6, -0.8], [0.6, 0.8], [-0.8, -0.6]])
    with np.errstate(all="raise", under="ignore"):
        together = closure.slip_toward(lids, [1.0, 0.0], [0.0, 1.0], 0.1, [0.0, 1.0])
        share = closure.slip_share(lids, [1.0, 0.0], [0.0, 1.0], 0.1)
    for k, lid in enumerate(lids):
        assert together[k] == pytest.approx(float(closure.slip_toward(lid, [1.0, 0.0], [0.0, 1.0], 0.1, [0.0, 1.0])))
        assert share[k] == pytest.approx(float(closure.slip_share(lid, [1.0, 0.0], [0.0, 1.0], 0.1)))
    assert together[1] == 0.0 and together[0] > 0.0


def test_without_friction_a_load_up_is_held_by_the_lid_alone() -> None:
    """Equilibrium: up, the lid's own 0.8; to the front its 0.6; down and back the frame gives without end."""
    for way, want in (([0.0, 1.0], 0.8), ([1.0, 0.0], 0.6), ([0.0, -1.0], np.inf), ([-1.0, 0.0], np.inf)):
        assert float(closure.slip_toward(*LIDS, 0.0, way)) == pytest.approx(want)


def test_every_reason_by_its_piece() -> None:
    """Nothing seated, wider than the open lid, thinner than the shut one, too slippery, too heavy, held."""
    one = made(lid=[[0.05, 0.5], [0.8, 0.2]])
    word = lambda d, mu, weight=0.0: str(grip.grip(one, d, mu, 20e3, 15e3, weight, (2.5,)).reason)  # noqa: E731
    assert word(0.5, 0.4) == "holds"
    assert word(np.nan, 0.4) == "no_seat"
    assert word(3.0, 0.4) == "too_large"
    assert word(0.05, 0.4) == "too_small"
    assert word(0.5, 0.4, 1e9) == "too_heavy"
    assert word(0.5, 0.0) == "slides"


def test_what_is_not_met_has_no_force() -> None:
    got = grip.grip(made(), [0.05, 0.5, 3.0], 0.4, 20e3, 15e3)
    assert got.holds.tolist() == [False, True, False]
    for field in (got.contact_force, got.slip_load, got.slip_along):
        assert field[0] == field[2] == 0.0 and field[1] > 0.0
    assert np.isnan(got.lid_angle[[0, 2]]).all() and got.lid_angle[1] > 0.0
    light = grip.grip(made(), 0.5, 0.4, 1.0, 1.0)
    assert bool(light.holds), "no weight asked: closure alone"


def test_weight_is_held_up_to_the_least_over_the_angles() -> None:
    """Equilibrium through the closure of the same contacts, weight straight down as seen from the turned tool."""
    one, mu = made(), 0.3
    turn = jaw.swing(one)
    x, z, first, second = seated(one.floor, 0.25)
    angle, lid, arm = jaw.touch(one, x, z, 0.25, turn)
    force = float(grip.closing_moment(one, angle, 20e3, 15e3, turn) / arm)
    angles = (2.0, 2.6, 3.1)
    most = force * min(float(closure.slip_toward(lid, first, second, mu, [-np.sin(a), -np.cos(a)])) for a in angles)
    assert np.isfinite(most)
    for share, holds in ((0.999, True), (1.001, False)):
        assert bool(grip.grip(one, 0.5, mu, 20e3, 15e3, share * most, angles).holds) == holds
    assert bool(grip.grip(one, 0.5, mu, 20e3, 15e3, 1e7, (0.0,)).holds) == np.isinf(
        float(closure.slip_toward(lid, first, second, mu, [0.0, -1.0]))
    )
    along = mu * force * float(closure.sum_of_normals(lid, first, second))
    assert float(grip.grip(one, 0.5, mu, 20e3, 15e3).slip_along) == pytest.approx(along)


@pytest.mark.parametrize("mirror", [False, True])
def test_lid_shuts_by_pushing_or_by_pulling(mirror: bool) -> None:
    """The shut end of the stroke is the longer one where it pushes; moment is force times change of length."""
    one = mirrored(made()) if mirror else made()
    turn = jaw.swing(one)
    shut, wide = (float(jaw.lid_length(a, one.pivot, one.base, one.rod)) for a in (turn.shut, turn.open))
    assert grip.closes_by_extending(one) == grip.closes_by_extending(one, turn) == (shut > wide)
    middle, step = 0.5 * (turn.shut + turn.open), 1e-6
    ends = [float(jaw.lid_length(middle + s, one.pivot, one.base, one.rod)) for s in (-step, step)]
    force = 900.0 if shut > wide else 500.0
    assert float(grip.closing_moment(one, middle, 900.0, 500.0, turn)) == pytest.approx(
        force * abs(ends[1] - ends[0]) / (2 * step), rel=1e-6
    )


def test_bundles_row_by_row() -> None:
    gaps = grip.bundle_gaps([[0.3, 0.2, 0.1], [0.1, 0.1, 0.4]], [0, 0, 1])
    assert gaps == pytest.approx(np.array([[0.0, 0.1, 0.0], [0.0, 0.0, 0.0]]))
    assert grip.bundle_gaps([[0.3, 0.2, 0.1], [0.1, 0.1, 0.4]], [0, 0, 0]) == pytest.approx(
        np.array([[0.0, 0.1, 0.2], [0.3, 0.3, 0.0]])
    )


def test_curl_driven_lid_keeps_its_link_and_its_branch() -> None:
    """Rigid link: its length is the drawn one at every tool angle; the rate is the slope of the angle."""
    one = made()
    tool = np.array([-0.1, 0.1])
    angles = np.linspace(-0.6, 0.6, 25)
    lid, rate = grip.curl_driven(one, tool, angles)
    base = jaw.turned(np.broadcast_to(one.base, (25, 2)), tool, -angles)
    pin = jaw.turned(np.broadcast_to(one.rod, (25, 2)), one.pivot, lid)
    known = np.isfinite(lid)
    assert known.sum() > 10
    assert np.hypot(*(pin - base)[known].T) == pytest.approx(float(np.hypot(*(one.rod - one.base))), rel=1e-9)
    near = [grip.curl_driven(one, tool, angles + s)[0] for s in (-1e-6, 1e-6)]
    assert rate[known] == pytest.approx(((near[1] - near[0]) / 2e-6)[known], rel=1e-4)
    near_line = one._replace(base=np.array([0.2 + 0.3, 0.5 + 1e-3]))
    lid, _ = grip.curl_driven(near_line, np.array([0.0, 0.5]), np.array([0.0, 0.01, -0.01]))
    assert np.nanmax(np.abs(lid)) < 0.2, "the link does not flip to the other side"


def test_piece_range_ends_where_holding_ends_on_a_plain_jaw() -> None:
    """Just inside either end it holds, just beyond it does not (or the tips or the tines are the end)."""
    one = made(lid=[[0.05, 0.5], [0.8, 0.2]])
    small, large = grip.piece_range(one, 0.4, 20e3, 15e3)
    assert 0.0 < small < large
    holds = lambda d: bool(grip.grip(one, d, 0.4, 20e3, 15e3).holds)  # noqa: E731
    assert holds(small) and holds(large) and not holds(small - 1e-5)
    most = min(float(jaw.tip_opening(one, jaw.swing(one).open)), 2 * 0.8)
    assert large <= most + 1e-12 and (not holds(large + 1e-5) or large == pytest.approx(most))
    assert np.isnan(grip.piece_range(one, 0.0, 20e3, 15e3)).all()
    narrow = made(lid=[[0.05, 0.5], [0.8, 0.2]], retracted=0.35)
    assert (
        grip.piece_range(narrow, 0.4, 20e3, 15e3)[1] <= float(jaw.tip_opening(narrow, jaw.swing(narrow).open)) + 1e-12
    )
