"""The stroke solver against checked circuits, hand cases and its own physics put in independently."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.optimize import brentq

from handfast.physics.circuit import Fitting, Hose, Line, RatedPoint, close_open, line_drop, solve_stroke

INCH, PSI, GPM = 0.0254, 6894.757293168361, 3.785411784e-3 / 60.0


def plain_friction(re: float) -> float:
    """The friction law of the handbook, by scipy's root finder."""
    if re < 2000.0:
        return 64.0 / re
    return float(brentq(lambda f: 1 / math.sqrt(f) - 2 * math.log10(re * math.sqrt(f)) + 0.8, 1e-4, 1.0, xtol=1e-15))


def plain_drop(flow: float, line: Line, nu: float, rho: float) -> float:
    """Losses of a line, one element after the other, in plain arithmetic."""
    total = 0.0
    for e in line:
        if isinstance(e, RatedPoint):
            total += float(e.count) * float(e.rated_drop) * (flow / float(e.rated_flow)) ** 2
            continue
        v = flow / (math.pi / 4 * float(e.bore) ** 2)
        head = rho * v * v / 2
        if isinstance(e, Fitting):
            total += float(e.k) * float(e.count) * head
        elif v > 0:
            total += plain_friction(v * float(e.bore) / nu) * float(e.length) / float(e.bore) * head
    return total


def cases(count: int, seed: int):
    """Random strokes, small hoses and cold oil among them."""
    rng = np.random.default_rng(seed)
    for _ in range(count):
        bore = rng.choice([0.0064, 0.0079, 0.0095, 0.0127])
        line = [
            Hose(bore, rng.uniform(1, 8)),
            RatedPoint(45 / 6e4, rng.uniform(0.5e5, 2e5), int(rng.integers(1, 4))),
            Fitting(bore, rng.uniform(0.3, 2), int(rng.integers(1, 8))),
        ]
        area = math.pi / 4 * rng.uniform(0.03, 0.08) ** 2
        ratio = rng.uniform(0.4, 0.9)
        driven, other = (area, area * ratio) if rng.random() < 0.5 else (area * ratio, area)
        yield {
            "driven_area": driven, "other_area": other, "stroke": rng.uniform(0.1, 0.4),
            "load": rng.uniform(0, 0.6) * 16e6 * driven, "pump_flow": rng.uniform(8, 60) / 6e4,
            "relief": rng.uniform(12e6, 20e6), "supply": line, "back": line[::-1],
            "viscosity": 10 ** rng.uniform(-5.1, -2.7), "density": rng.uniform(820, 900),
        }  # fmt: skip


def test_solution_keeps_the_pressure_identity_or_stands_at_a_regime_change():
    """Equilibrium of the piston, in plain arithmetic: p = Δp_s(Q) + F/A1 + (A2/A1) Δp_r(Q A2/A1)."""
    full = relief = jumps = 0
    for c in cases(400, 11):
        run = solve_stroke(**c)
        flow, a1, a2 = float(run.supply_flow), c["driven_area"], c["other_area"]
        assert flow == pytest.approx(c["stroke"] / float(run.time) * a1, rel=1e-12)
        assert float(run.return_flow) == pytest.approx(c["stroke"] / float(run.time) * a2, rel=1e-12)

        def felt(q: float, c=c, a1=a1, a2=a2) -> float:
            out, back = (
                plain_drop(x, c[k], c["viscosity"], c["density"]) for x, k in ((q, "supply"), (q * a2 / a1, "back"))
            )
            return out + c["load"] / a1 + a2 / a1 * back

        assert float(run.pump_pressure) == pytest.approx(felt(flow), rel=1e-6)
        if not run.relief_open:
            full += 1
            assert flow == c["pump_flow"]
            assert felt(flow) <= c["relief"] * (1 + 1e-12)
        elif abs(felt(flow) / c["relief"] - 1) < 1e-6:
            relief += 1
        else:
            jumps += 1
            assert felt(flow * (1 - 1e-9)) <= c["relief"] < felt(flow * (1 + 1e-9))
    assert full > 50
    assert relief > 50
    assert jumps > 0


def test_a_longer_hose_never_closes_faster():
    counted = 0
    for c in cases(120, 12):
        hose, *rest = c["supply"]
        lengths = hose.length * np.array([1.0, 1.2, 2.0, 4.0])
        run = solve_stroke(**{**c, "supply": [Hose(hose.bore, lengths), *rest]})
        assert np.all(np.diff(run.time) >= -1e-12 * run.time[:-1])
        counted += int(run.time[-1] > run.time[0])
    assert counted > 30, "the longest hose does slow many of them"


def test_colder_oil_never_closes_faster_where_no_line_changes_regime():
    slower = kept = changed = 0
    for c in cases(200, 13):
        nu = c["viscosity"] * np.array([1.0, 1.5])
        run = solve_stroke(**{**c, "viscosity": nu, "density": c["density"] * np.array([1.0, 1.01])})
        bore = c["supply"][0].bore
        flows = np.array([run.supply_flow, run.return_flow])
        turbulent = flows / (np.pi / 4 * bore**2) * bore / nu >= 2000
        if np.any(turbulent[:, 0] != turbulent[:, 1]):
            changed += 1
            continue
        kept += 1
        slower += int(run.time[1] > run.time[0] * (1 + 1e-9))
        assert run.time[1] >= run.time[0] * (1 - 1e-12)
    assert changed > 0, "some do change regime and are left out"
    assert kept > 100
    assert slower > 30


def test_load_above_relief_stalls():
    """By hand: 20 kN on 1000 mm² asks 20 MPa, relief is 16 MPa."""
    run = solve_stroke(1e-3, 7e-4, 0.2, [20e3, 10e3], 3e-4, 16e6, [Hose(0.01, 3.0)], [Hose(0.01, 3.0)], 46e-6, 860.0)
    assert math.isnan(run.time[0])
    assert run.supply_flow[0] == 0.0
    assert run.pump_pressure[0] == 16e6
    assert run.relief_open.tolist() == [True, False]
    assert run.time[1] == pytest.approx(0.2 * 1e-3 / 3e-4)


def test_times_without_losses_of_a_grapple():
    """hydraulic_checks.csv C24: 2.0/1.25 in, 8 in stroke, 5 gpm: 1.3056 s out, 0.7956 s in; A·s/Q by hand."""
    shut, up = close_open(2 * INCH, 1.25 * INCH, 8 * INCH, 1, 0, 0, 5 * GPM, 2000 * PSI, [], [], 46e-6, 860.0)
    assert float(shut.time) == pytest.approx(1.3056, abs=1e-3)
    assert float(up.time) == pytest.approx(0.7956, abs=1e-3)


def test_two_cylinders_halve_the_speed_and_retracting_closers_swap_the_strokes():
    """Continuity by hand, no losses."""
    args = (0.05, 0.028, 0.2, np.array([1, 2]), 0, 0, 3e-4, 16e6, [], [], 46e-6, 860.0)
    shut, up = close_open(*args)
    assert shut.time[1] == pytest.approx(2 * shut.time[0])
    pulled, pushed = close_open(*args, close_extends=False)
    assert pulled.time == pytest.approx(up.time)
    assert pushed.time == pytest.approx(shut.time)


def test_return_line_of_closing_feeds_opening():
    """A choke only in the second line: closing meets it with the ring's flow, opening with the pump's."""
    choke = [RatedPoint(3e-4, 1e6)]
    shut, up = close_open(0.05, 0.028, 0.2, 1, 0, 0, 3e-4, 16e6, [], choke, 46e-6, 860.0)
    ratio = 1 - (0.028 / 0.05) ** 2
    assert float(shut.pump_pressure) == pytest.approx(1e6 * ratio**3)
    assert float(up.pump_pressure) == pytest.approx(1e6)


def test_fewer_halvings_find_nearly_the_same_flow():
    """Each halving halves the bracket: 30 of them leave 1e-9 of the pump's flow."""
    for c in cases(60, 15):
        fine, coarse = solve_stroke(**c), solve_stroke(**c, halvings=30)
        assert float(coarse.supply_flow) <= float(fine.supply_flow)
        assert float(fine.supply_flow) - float(coarse.supply_flow) <= 1.0e-9 * c["pump_flow"]


def test_scalar_equals_array():
    """A catalogue is a longer axis: every row equals the stroke reckoned alone, elements as arrays too."""
    picked = list(cases(40, 14))
    keys = ("driven_area", "other_area", "stroke", "load", "pump_flow", "relief", "viscosity", "density")
    columns = {k: np.array([c[k] for c in picked]) for k in keys}
    lines = [c["supply"] for c in picked]
    hose = Hose(np.array([e[0].bore for e in lines]), np.array([e[0].length for e in lines]))
    valve = RatedPoint(45 / 6e4, np.array([e[1].rated_drop for e in lines]), np.array([e[1].count for e in lines]))
    bends = Fitting(*(np.array([getattr(e[2], k) for e in lines]) for k in ("bore", "k", "count")))
    together = solve_stroke(**columns, supply=[hose, valve, bends], back=[bends, valve, hose])
    for i, c in enumerate(picked):
        alone = solve_stroke(**c)
        for one, many in zip(alone, together, strict=True):
            assert float(one) == pytest.approx(float(many[i]), rel=1e-12)
    assert np.any(together.relief_open)
    assert line_drop(1e-4, [], 46e-6, 860.0) == 0.0
