"""What must hold of loads, jaws and jobs whatever the figures."""

from __future__ import annotations

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from handfast.physics import clearance, closure, job, load, volume
from handfast.physics.jaw_touch import seated

positive = st.floats(0.05, 5.0)
angle = st.floats(-3.1, 3.1)


def direction(turn: float) -> np.ndarray:
    return np.array([np.cos(turn), np.sin(turn)])


@given(positive, positive, positive)
def test_volume_formulas_agree_on_a_cylinder_and_keep_their_order(small: float, more: float, length: float) -> None:
    """A neiloid holds less than a cone, a cone less than a paraboloid (Smalian)."""
    large = small + more
    same = float(volume.cylinder_volume(small, length))
    assert np.isclose(float(volume.neiloid_volume(small, small, length)), same)
    assert np.isclose(float(volume.cone_volume(small, small, length)), same)
    row = [float(f(small, large, length)) for f in (volume.neiloid_volume, volume.cone_volume, volume.smalian_volume)]
    assert row[0] < row[1] < row[2]


@given(positive, positive, st.floats(100.0, 3000.0), st.floats(0.5, 4.0))
def test_mass_scales_with_density_and_the_cube_of_size(d: float, length: float, density: float, scale: float) -> None:
    mass = float(load.log_mass(d, length, density))
    assert np.isclose(float(load.log_mass(d, length, scale * density)), scale * mass)
    assert np.isclose(float(load.log_mass(scale * d, scale * length, density)), scale**3 * mass)


@given(angle, angle, angle, st.floats(0.01, 0.9), angle)
def test_closure_does_not_care_how_the_picture_is_turned_or_mirrored(
    a: float, b: float, c: float, friction: float, turn: float
) -> None:
    share = float(closure.slip_share(direction(a), direction(b), direction(c), friction))
    turned = float(closure.slip_share(direction(a + turn), direction(b + turn), direction(c + turn), friction))
    mirrored = float(closure.slip_share(direction(-a), direction(-c), direction(-b), friction))
    if np.isfinite(share) and np.isfinite(turned) and np.isfinite(mirrored):
        assert np.isclose(share, turned, rtol=1e-5, atol=1e-6) and np.isclose(share, mirrored, rtol=1e-5, atol=1e-6)


@given(angle, angle, angle, st.floats(0.01, 0.8), st.floats(0.0, 0.2))
def test_more_friction_never_resists_less(a: float, b: float, c: float, friction: float, more: float) -> None:
    contacts = (direction(a), direction(b), direction(c))
    assert (
        float(closure.slip_share(*contacts, friction + more)) >= float(closure.slip_share(*contacts, friction)) - 1e-7
    )


@given(st.floats(0.02, 0.3), st.floats(0.5, 3.0))
def test_a_jaw_drawn_larger_seats_a_larger_piece_alike(radius: float, scale: float) -> None:
    floor = np.array([[0.05, 0.5], [0.2, 0.0], [0.8, 0.05]])
    x, z, _, _ = seated(floor, radius)
    wide = seated(scale * floor, scale * radius)
    assert np.isclose(float(wide[0]), scale * float(x)) and np.isclose(float(wide[1]), scale * float(z))


@settings(max_examples=50)
@given(st.floats(0.2, 1.4), st.floats(0.0, 1.4), positive)
def test_a_higher_pin_dumps_higher_by_as_much(angle: float, ahead: float, more: float) -> None:
    floor = [[0.0, 0.0], [0.6, 0.02]]
    low = float(clearance.dump_lowest_point(2.0, ahead, 0.1, floor, angle))
    assert np.isclose(float(clearance.dump_lowest_point(2.0 + more, ahead, 0.1, floor, angle)), low + more)


@given(st.floats(100.0, 9000.0), st.floats(0.0, 0.9), st.floats(0.0, 0.2), st.integers(1, 25))
def test_owning_costs_more_at_more_interest_and_less_with_more_resale(
    price: float, share: float, interest: float, years: int
) -> None:
    cost = float(job.capital_recovery(price, share * price, interest, years))
    assert float(job.capital_recovery(price, share * price, interest + 0.01, years)) > cost
    assert float(job.capital_recovery(price, (share + 0.05) * price, interest, years)) < cost
    assert cost >= (1.0 - share) * price / years - 1e-9
