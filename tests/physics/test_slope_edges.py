"""Edges of slope, swing, tyres and clearance: lines that are not there, tips at rest, marks off the table."""

from __future__ import annotations

import numpy as np
import pytest

from handfast.physics import clearance, jaw, slope, swing, tyres
from handfast.quantities.tables import table

SPAN, TRACK, UP = 1.8, 1.3, 0.4


def test_front_line_is_unknown_without_the_whole_and_by_moments_with_it() -> None:
    """Nose straight downhill the machine tips about its front wheels where x falls outside: tan = (L − x)/z."""
    body, whole = slope.combine([1000.0], [1.2], [0.0], [0.8]), slope.combine([1100.0], [1.3], [0.0], [0.75])
    for lines in (slope.first_roll([0.0, 1.0], body, SPAN, TRACK, UP), slope.worst_first_roll(body, SPAN, TRACK, UP)):
        assert np.isnan(lines.front).all() and lines.front.shape == lines.rear.shape
        assert np.isfinite(lines.least).all()
    want = np.arctan2(SPAN - 1.3, 0.75)
    assert float(slope.first_roll(0.0, body, SPAN, TRACK, UP, whole).front) == pytest.approx(want)
    assert float(slope.worst_first_roll(body, SPAN, TRACK, UP, whole).front) == pytest.approx(want)
    turned = float(slope.first_roll(1.1, body, SPAN, TRACK, UP, whole).front)
    assert np.tan(turned) * np.cos(1.1) == pytest.approx((SPAN - 1.3) / 0.75)
    assert float(slope.first_roll(np.pi, body, SPAN, TRACK, UP, whole).rear) == pytest.approx(np.arctan2(1.3, 0.75))


def test_tips_at_rest_is_nought_and_uphill_is_a_right_angle() -> None:
    body = slope.combine([1000.0], [1.2], [0.9], [0.8])
    ahead = slope.combine([1000.0], [2.0], [0.0], [0.8])
    lines = slope.first_roll([0.5, 4.0], body, SPAN, TRACK, UP, ahead)
    assert lines.left.tolist() == [0.0, 0.0] and lines.front.tolist() == [0.0, 0.0]
    assert float(slope.first_roll(0.0, ahead, SPAN, TRACK, UP, ahead).rear) == pytest.approx(np.pi / 2)
    assert float(slope.least_first_roll(body, SPAN, TRACK, UP)) == 0.0


@pytest.mark.parametrize("at, heading", [(1.79, 0.0), (0.01, np.pi)])
def test_worst_heading_over_an_end(at: float, heading: float) -> None:
    """Nearly all the mass over one axle, a wide track: it rolls over that axle first, straight down the slope."""
    body, whole = slope.combine([1000.0], [0.9], [0.0], [0.3]), slope.combine([1000.0], [at], [0.0], [0.7])
    turn, angle = slope.worst_heading(body, SPAN, 4.0, UP, whole)
    assert float(turn) == pytest.approx(heading)
    assert np.tan(float(angle)) == pytest.approx(0.01 / 0.7)
    assert float(slope.least_first_roll(body, SPAN, 4.0, UP, whole)) == pytest.approx(float(angle))
    alone = slope.least_first_roll(slope.combine([1000.0], [0.9], [0.0], [0.3]), SPAN, 9.0, 2.0)
    assert float(alone) == pytest.approx(
        float(slope.worst_first_roll(slope.combine([1000.0], [0.9], [0.0], [0.3]), SPAN, 9.0, 2.0).least)
    )


def test_either_side_alone_decides() -> None:
    """Off the middle to either side the mirrored machine has the same least angle, less than in the middle."""
    left, right, middle = (
        float(slope.least_first_roll(slope.combine([900.0], [0.8], [y], [0.8]), SPAN, TRACK, UP))
        for y in (0.2, -0.2, 0.0)
    )
    assert left == pytest.approx(right) and left < middle


def test_machine_at_its_stop_beyond_its_wheels_goes_over_by_itself() -> None:
    """The centre outside the line of contacts at rest: nothing is left; straight uphill of the line all is."""
    axle = slope.combine([100.0], [SPAN], [0.0], [0.35])
    out = slope.combine([900.0], [0.8], [1.5], [0.8])
    with np.errstate(all="raise", under="ignore"):
        assert float(swing.second_phase(np.pi / 2, out, axle, SPAN, TRACK, 1.1, UP, 0.1)) == 0.0
        low = slope.combine([900.0], [0.8], [0.0], [0.7])
        assert float(swing.second_phase(0.0, low, axle, SPAN, TRACK, TRACK, UP, 0.0)) == pytest.approx(np.pi / 2)


def test_size_with_any_dash_and_words_that_are_no_size() -> None:
    assert tyres.fill_volume("16.9–30") == tyres.fill_volume("16.9-30") > 0.27
    assert np.isnan(tyres.fill_volume("tall")) and np.isnan(tyres.fill_volume(""))
    assert np.isnan(tyres.load_of_index([-5.0, 1e6])).all()
    with pytest.raises(KeyError, match="gravel"):
        tyres.fluid_density("gravel")
    with np.errstate(all="raise"):
        assert tyres.load_at_pressure(1000.0, [-1e4, 0.0], 2e5).tolist() == [0.0, 0.0]


def test_brine_is_straight_between_its_rows() -> None:
    """Each row of calcium_chloride.csv at its own salt, and the mean of two rows half way between."""
    rows = [
        (1e3 * float(r["salt_kg_per_litre_water"]), float(r["density_kg_m3"])) for r in table("calcium_chloride.csv")
    ]
    salts, weights = (np.array(v) for v in zip(*rows, strict=True))
    assert tyres.calcium_chloride_density(salts) == pytest.approx(weights, rel=1e-12)
    half = tyres.calcium_chloride_density(0.5 * (salts[1:] + salts[:-1]))
    assert half == pytest.approx(0.5 * (weights[1:] + weights[:-1]), rel=1e-12)


def test_pin_and_plane_each_by_their_own_axis() -> None:
    """Shifted forward by s, pin or plane, a level line has s more room to a wall; lifted, the same to a wide floor."""
    line, wall, wheel = [[0.0, 0.0], [0.0, 0.4]], (1.0, 5.0), (-9.0, 0.5)
    for pin, plane in (((2.0, 1.0), (0.1, 0.2)), ((2.5, 1.3), (0.1, 0.2)), ((2.0, 1.0), (0.6, 0.35))):
        got = clearance.curl_gap(line, pin, plane, 0.0, wall, wheel)
        assert float(got) == pytest.approx(pin[0] + plane[0] - 1.0)
    turned = clearance.placed([[0.3, 0.1]], 2.0, 1.0, 0.1, 0.2, 0.5)
    back = clearance.placed([[0.3, 0.1]], 0.0, 0.0, 0.1, 0.2, 0.0)
    assert np.hypot(*(turned[0] - [2.0, 1.0])) == pytest.approx(np.hypot(*back[0]))


def test_each_dump_angle_has_its_own_lowest_point() -> None:
    """By hand: level the floor's own height, straight down its length."""
    low = clearance.dump_lowest_point([2.0, 1.5], 0.1, 0.2, [[0.0, 0.0], [0.6, 0.0]], [[0.0], [np.pi / 2]])
    assert low == pytest.approx(np.array([[1.8, 1.3], [1.3, 0.8]]))


def test_raised_grille_leaves_room_beneath() -> None:
    """A point under a grille that starts at 0.8 m is as far from it as it is lower; deep inside, the nearest face."""
    under = clearance.gap_to_hood([[0.5, 0.3], [1.0, 0.3]], 2.0, 1.4, 0.8)
    assert float(under) == pytest.approx(0.5)
    through = clearance.gap_to_hood([[1.0, 0.0], [1.0, 3.0]], 2.0, 1.4, 0.8)
    assert float(through) == pytest.approx(-0.3)
    slanted = clearance.gap_to_hood([[1.0, 2.0], [3.0, 0.0]], 2.0, 1.4, 0.8)
    shares = np.linspace(0.0, 1.0, 200001)
    x, z = 1.0 + 2.0 * shares, 2.0 - 2.0 * shares
    depth = np.minimum(np.minimum(2.0 - x, 1.4 - z), z - 0.8)
    assert float(slanted) == pytest.approx(-depth.max(), abs=1e-5)
    rising = clearance.gap_to_hood([[1.0, 0.0], [3.0, 2.0]], 2.0, 1.4, 0.8)
    depth = np.minimum(np.minimum(2.0 - x, 1.4 - 2.0 * shares), 2.0 * shares - 0.8)
    assert float(rising) == pytest.approx(-depth.max(), abs=1e-5)


def test_a_point_is_a_line_without_length() -> None:
    with np.errstate(all="raise", under="ignore"):
        assert float(clearance.gap_to_wheel([[2.0, 0.3], [2.0, 0.3]], 1.0, 0.3)) == pytest.approx(0.7)
        assert float(clearance.gap_to_hood([[2.5, 0.3], [2.5, 0.3]], 2.0, 1.0)) == pytest.approx(0.5)


def test_outline_turns_the_lid_about_its_pivot_alone() -> None:
    made = jaw.make_jaw([[0, 0], [0.6, 0]], [[0.1, 0.5], [0.6, 0.1]], [0, 0.5], [0.1, 0.9], [0.2, 0.5])
    drawn, turned = clearance.outline(made), clearance.outline(made, np.pi / 2)
    assert np.allclose(drawn, [[0.6, 0.0], [0.0, 0.0], [0.0, 0.5], [0.1, 0.5], [0.6, 0.1]])
    assert np.allclose(turned, [[0.6, 0.0], [0.0, 0.0], [0.0, 0.5], [0.0, 0.6], [0.4, 1.1]])
