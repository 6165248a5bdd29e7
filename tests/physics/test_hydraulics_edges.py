"""Edges of oil, circuit and viscosity index: defaults, standing oil, shapes, the steps of a table."""

from __future__ import annotations

import numpy as np
import pytest

from handfast.physics import circuit, hydraulics
from handfast.physics.viscosity_index import viscosity_index

OIL = (46e-6, 860.0)


def test_whole_pump_where_nothing_is_taken() -> None:
    assert float(hydraulics.available_flow(5e-4)) == 5e-4
    assert float(hydraulics.available_flow(5e-4, 0.8)) == pytest.approx(4e-4)
    assert float(hydraulics.available_flow(5e-4, 0.1, 1e-4)) == 0.0


def test_standing_oil_gives_no_warning_and_loses_nothing() -> None:
    with np.errstate(all="raise"):
        assert float(hydraulics.hose_drop(0.0, 0.01, 2.0, *OIL)) == 0.0
        assert hydraulics.friction_factor([0.0, 640.0]).tolist() == [np.inf, 0.1]


def test_smooth_pipe_factor_solves_its_equation() -> None:
    """Prandtl and Kármán: 1/√f = 2 log10(Re √f) − 0.8 at every Reynolds number, mixed with laminar ones or not."""
    re = np.logspace(np.log10(2000.0), 8.0, 60)
    factor = hydraulics.friction_factor(re)
    assert 1.0 / np.sqrt(factor) == pytest.approx(2.0 * np.log10(re * np.sqrt(factor)) - 0.8, rel=1e-13)
    assert hydraulics.friction_factor(np.array([100.0, 5e4]))[1] == pytest.approx(
        float(hydraulics.friction_factor(5e4)), rel=1e-13
    )
    assert hydraulics.friction_factor(np.zeros(0)).shape == (0,)


def test_one_coupler_where_no_count_is_given() -> None:
    assert float(hydraulics.rated_point_drop(4e-4, 4e-4, 1e5)) == 1e5


def test_line_of_nothing_has_the_common_shape() -> None:
    got = circuit.line_drop(np.full((3, 1, 1), 1e-4), [], np.full((2, 1), 4e-5), np.full(4, 860.0))
    assert got.shape == (3, 2, 4) and not got.any()


@pytest.mark.parametrize("where", ["pump_flow", "relief", "stroke"])
def test_every_argument_may_be_the_long_one(where: str) -> None:
    """One figure as an array gives, element by element, what it gives alone."""
    line = [circuit.Hose(0.0095, 4.0)]
    given = {"pump_flow": 3e-4, "relief": 16e6, "stroke": 0.2}
    many = np.array([0.25, 0.5, 1.0]) * given[where]
    fixed = {"driven_area": 2e-3, "other_area": 1.4e-3, "load": 6000.0, "supply": line, "back": line}
    fluid = {"viscosity": 46e-6, "density": 860.0}
    together = circuit.solve_stroke(**fixed, **fluid, **{**given, where: many})
    for k, one in enumerate(many):
        alone = circuit.solve_stroke(**fixed, **fluid, **{**given, where: one})
        for whole, single in zip(together, alone, strict=True):
            assert whole.shape == (3,)
            assert float(whole[k]) == pytest.approx(float(single), rel=1e-12, nan_ok=True)


def test_stalled_stroke_gives_no_warning_and_stands_at_relief() -> None:
    line = [circuit.Hose(0.0095, 4.0)]
    with np.errstate(all="raise"):
        run = circuit.solve_stroke(2e-3, 1.4e-3, 0.2, [6e4, 100.0], 3e-4, 16e6, line, line, *OIL)
    assert np.isnan(run.time[0]) and run.time[1] == pytest.approx(0.2 * 2e-3 / 3e-4)
    assert run.pump_pressure[0] == 16e6 and bool(run.relief_open[0]) and not run.relief_open[1]


def test_pressure_at_exactly_relief_keeps_the_whole_flow() -> None:
    """Equilibrium without lines: 8 MPa on 2·10⁻³ m² is 16 kN; the relief opens above, not at, its pressure."""
    run = circuit.solve_stroke(2e-3, 1.4e-3, 0.2, 16000.0, 3e-4, 8e6, [], [], *OIL)
    assert float(run.supply_flow) == 3e-4 and not bool(run.relief_open) and float(run.pump_pressure) == 8e6


def test_two_cylinders_are_twice_the_area_both_ways() -> None:
    """Continuity: without relief, time = stroke · area · count / flow: ring π/4·(50² − 28²) mm² where it pulls."""
    line = [circuit.Hose(0.0127, 4.0)]
    full, ring = np.pi / 4 * 0.05**2, np.pi / 4 * (0.05**2 - 0.028**2)
    shut, up = circuit.close_open(0.05, 0.028, 0.2, 2, 1000.0, 500.0, 3e-4, 16e6, line, line, *OIL)
    assert float(shut.time) == pytest.approx(0.2 * 2 * full / 3e-4, rel=1e-9)
    assert float(up.time) == pytest.approx(0.2 * 2 * ring / 3e-4, rel=1e-9)
    assert float(shut.return_flow) == pytest.approx(3e-4 * ring / full, rel=1e-9)


def test_few_halvings_stop_where_they_are_told() -> None:
    """Bisection by hand: one halving tries half the pump's flow alone, on either stroke."""
    line = [circuit.Hose(0.0063, 6.0)]
    for close, load in ((True, (9000.0, 9000.0)), (False, (9000.0, 9000.0))):
        runs = circuit.close_open(0.05, 0.028, 0.2, 1, *load, 8e-4, 6e6, line, line, *OIL, close, halvings=1)
        for run in runs:
            assert float(run.supply_flow) in (0.0, 4e-4, 8e-4)
        assert any(bool(run.relief_open) for run in runs)


def test_known_viscosity_indices_and_the_step_at_two() -> None:
    """ASTM D2270: an oil at H has index 100 by either procedure, at L 0; below 2 mm²/s at 100 °C there is none."""
    got = viscosity_index([5e-6, 7e-6, 8e-6], [1.99e-6, 2.0e-6, 2.5e-6])
    assert np.isnan(got[0]) and np.isfinite(got[1:]).all()
    assert not np.isnan(viscosity_index(np.full(2, 7e-6), np.array([2.0e-6, 2.9e-6]))).any()


@pytest.mark.parametrize("y", [2.0, 3.8, 4.4, 5.0, 6.4, 7.0, 7.7, 9.0, 12.0, 15.0, 18.0, 22.0, 28.0, 40.0, 55.0, 70.0])
def test_index_hardly_jumps_where_two_fits_meet(y: float) -> None:
    """The standard's fits of L and H join: just below and at a step an oil of index near 100 stays within one."""
    for k in (8.0, 12.0):
        below, at = viscosity_index(np.array([k * y * 1e-6] * 2), np.array([y * (1.0 - 1e-9), y]) * 1e-6)
        assert y == 2.0 or abs(float(at - below)) < 2.0


def test_oil_at_both_procedures_border_is_a_hundred() -> None:
    """Where viscosity at 40 °C is H itself both procedures give 100: found by bisection, the two sides must meet."""
    for y in (4.0, 8.86, 20.0):
        low, high = y, 40.0 * y
        for _ in range(80):
            middle = 0.5 * (low + high)
            low, high = (middle, high) if float(viscosity_index(middle * 1e-6, y * 1e-6)) > 100.0 else (low, middle)
        assert float(viscosity_index(low * (1 - 1e-7) * 1e-6, y * 1e-6)) == pytest.approx(100.0, abs=1e-3)
        assert float(viscosity_index(high * (1 + 1e-7) * 1e-6, y * 1e-6)) == pytest.approx(100.0, abs=1e-3)
