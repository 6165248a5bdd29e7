"""The type of what goes in never decides what comes out: single precision, objects and decimals reckon like doubles.

Every figure below is an eighth or a sixteenth, so that single precision holds it exactly and both ways must agree.
"""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from typing import Any

import numpy as np
import pytest

from handfast.physics import (
    balance,
    ballast,
    circuit,
    clearance,
    closure,
    electrics,
    grip,
    hydraulics,
    jaw,
    jaw_touch,
    job,
    lift,
    linkage,
    linkage_force,
    linkage_height,
    linkage_plane,
    linkage_pose,
    linkage_reaction,
    load,
    picks,
    slope,
    swing,
    tyres,
    viscosity_index,
    volume,
    wire,
)
from handfast.physics.balance import Axles, Item
from handfast.physics.linkage_force import Cylinder, Weights
from handfast.physics.linkage_pose import LinkagePoints

PIVOT = lift.Pivot(np.array(1.25), np.array(1.5), np.array(2.0), np.array(0.25))
JAW = jaw.make_jaw([[0, 0], [0.75, 0]], [[0.125, 0.5], [0.75, 0.25]], [0, 0.5], [0.125, 0.875], [0.25, 0.5], 0.25, 0.5)
SWING = jaw.swing(JAW)
PINS = LinkagePoints(
    *(linkage_plane.point(x, z) for x, z in [(0, 1), (0, 0), (0.375, 0.625), (2, 1), (1, 1), (2, 1.5)])
)
UP, OVER = Cylinder(0.0625, 0.03125, 2, 0.5, 1.0), Cylinder(0.0625, 0.03125, 2, 0.75, 1.5)
HEAVY = Weights(125.0, linkage_plane.point(1, 1), 50.0, linkage_plane.point(0.25, 0.125))
HERE = linkage_plane.point(0.5, 0.0)
AT = linkage_pose.pose(PINS, 0.75, 1.125)
LIDS = ([-0.75, -1.0], [1.0, 0.0], [0.0, 1.0])
BODY = slope.combine([1000.0], [0.75], [0.0], [0.75])
AXLE = slope.combine([128.0], [1.75], [0.0], [0.375])
LINE = [circuit.Hose(0.0125, 4.0)]


class Plain(float):
    """A figure that stays a plain float: where only floats and doubles are promised."""


def stroke_of(*figures: Any) -> tuple[Any, ...]:
    """A stroke with every plain figure given, lines included."""
    bore, length, rated, drop, k, *rest, viscosity, density = figures
    line = [circuit.Hose(bore, length), circuit.RatedPoint(rated, drop, 2), circuit.Fitting(bore, k, 3)]
    return circuit.solve_stroke(*rest, line, line, viscosity, density)[:5]


CALLS: list[tuple[Callable[..., Any], tuple[Any, ...]]] = [
    (balance.axles, ([1000.0, 250.0], [0.5, 2.5], 1.75)),
    (balance.share, (250.0, 1000.0)),
    (balance.arms_centre, ((0.5, 1.0), (2.0, 0.25))),
    (balance.counterweight, (750.0, 1250.0, 1000.0, 1.5, 0.75, 1.75, 0.25)),
    (balance.tipping_load, (600.0, 1.25, 1.75)),
    (balance.hitch_capacity, (1134.0, 1.25)),
    (balance.hold_on_slope, (1500.0, 0.875, 0.75, 1.625, 0.125, 0.5)),
    (balance.braking, (Axles(Plain(900.0), Plain(600.0)), 1500.0, 0.75, 1.75, 0.25)),
    (balance.three_supports, (1000.0, 0.5, 0.25, 1.625, 1.25)),
    (balance.off_centre_moment, (400.0, 1.25)),
    (
        lambda *a: [v for i in balance.posed(Item(*a[:3]), a[3], Item(*a[4:7]), *a[7:])[1:] for v in i],
        (1000.0, 0.75, 0.5, 100.0, 40.0, 0.125, 0.25, (0.75, 1.0), (2.0, 0.25), (2.25, 1.0)),
    ),
    (ballast.totals, ([[1, 2]], [200.0, 40.0], [1.5, 0.25])),
    (ballast.with_ballast, (Axles(Plain(900.0), Plain(300.0)), 200.0, 240.0, 1.625)),
    (ballast.useful_mass, (200.0, 1.25, 1.625, 0.25)),
    (ballast.front_relief, (200.0, 1.25, 1.625)),
    (lambda h: linkage_height.lift_length_at(PINS, h), ([1.0, 1.5],)),
    (lambda *a: circuit.line_drop(a[0], [circuit.Hose(*a[1:3])], *a[3:]), (2**-12, Plain(2**-7), 2.0, 2**-15, 860.0)),
    (
        stroke_of,
        (Plain(2**-7), 4.0, 2**-11, 1e5, 0.75, 2**-9, 2**-10, 0.25, 6000.0, 2**-11, [16e6, 4e6], 2**-15, 860.0),
    ),
    (
        lambda *a: circuit.close_open(*a[:8], LINE, LINE, *a[8:])[0][:5],
        (0.0625, 0.03125, 0.25, 2, 6000.0, 1500.0, 2**-11, 16e6, 2**-15, 860.0),
    ),
    (clearance.placed, ([[0.5, 0.25]], 2.0, 1.0, 0.125, 0.25, 0.375)),
    (clearance.dump_lowest_point, (1.875, 0.125, 0.25, [[0, 0], [0.625, 0]], 0.75)),
    (clearance.gap_to_hood, ([[2.5, 0.5], [2.25, 2.0]], 2.0, 1.25, 0.25)),
    (clearance.gap_to_wheel, ([[2.5, 0.0], [2.5, 1.0]], 2.0, 0.25)),
    (closure.slip_share, (*LIDS, 0.25)),
    (closure.slip_toward, (*LIDS, 0.25, [0.0, 1.0])),
    (closure.sum_of_normals, LIDS),
    (electrics.cable_resistance, (8.0, 4.0, 348.0)),
    (electrics.voltage_drop, (10.0, 8.0, 4.0, 348.0)),
    (electrics.area_needed, (10.0, 5.0, 0.375, 2**-26)),
    (electrics.actuator_current, (150.0, 400.0, 12.0, 4.0)),
    (electrics.actuator_speed, (500.0, 1000.0, 2**-7, 2**-6, 0.875)),
    (electrics.stroke_time, (0.25, 2**-7)),
    (electrics.day_charge, (20.0, 16.0, 100.0)),
    (electrics.charge_on_hand, (36000.0, 20.0, 15.0, 3600.0)),
    (electrics.strokes_per_hour, (20.0, 15.0, 18.0, 10.0)),
    (grip.cylinder_force, (2e6, 0.0625, 0.03125, Plain(2), False)),
    (lambda *a: grip.closing_moment(JAW, *a, SWING), (Plain(0.125), 1000.0, 750.0)),
    (lambda *a: grip.grip(JAW, *a)[1:5], (0.5, 0.375, 20000.0, 15000.0, 1000.0, [0.0, 0.25])),
    (grip.bundle_gaps, ([0.375, 0.25, 0.25, 0.125], [0, 0, 1, 1])),
    (lambda *a: grip.curl_driven(JAW, *a), ([-0.125, 0.125], 0.25)),
    (hydraulics.viscosity_d341, (353.0, 2**-15, 2**-17)),
    (hydraulics.density, (313.0, 872.0)),
    (hydraulics.friction_factor, ([500.0, 100000.0],)),
    (hydraulics.velocity, (2**-12, 2**-7)),
    (hydraulics.reynolds_number, (2**-12, 2**-7, 2**-15)),
    (hydraulics.hose_drop, (2**-12, Plain(2**-7), 3.0, 2**-15, 860.0)),
    (hydraulics.rated_point_drop, (2**-12, 2**-11, 1e5, 2)),
    (hydraulics.fitting_drop, (2**-12, 2**-7, 0.75, 2, 860.0)),
    (hydraulics.rod_side_area, (0.0625, 0.03125)),
    (hydraulics.stall_force, (5e6, 0.0625, 0.03125, 2, False)),
    (hydraulics.blocked_rod_pressure, (2e6, 0.0625, 0.03125)),
    (hydraulics.available_flow, (2**-11, Plain(0.75), 2**-14, [np.nan, 2**-12])),
    (hydraulics.heat, (2**-11, 1e7, 20000.0, 0.125)),
    (jaw.lid_length, (Plain(0.25), [0, 0], [0.375, 0.5], [0.375, 0])),
    (jaw.lid_angle, (0.5, [0, 0], [0.375, 0.5], [0.375, 0], [0.25, 0.5])),
    (jaw.lid_leverage, (Plain(0.25), [0, 0], [0.375, 0.5], [0.375, 0])),
    (jaw.make_jaw, ([[0.75, 0], [0, 0]], [[0.125, 0.5], [0.75, 0.25]], [0, 0.5], [0.125, 0.875], [0.25, 0.5])),
    (lambda a: jaw.tip_opening(JAW, a), (Plain(0.25),)),
    (lambda *a: jaw.touch(JAW, *a, SWING), (0.25, 0.25, 0.25)),
    (jaw.turned, ([0.5, 0.25], [0.125, 0.25], Plain(0.25))),
    (jaw_touch.distance_to_line, (0.5, 0.25, [[0, 0], [1, 0.5]])),
    (jaw_touch.seated, ([[0, 0], [0.625, 0.125]], [0.125, 0.25])),
    (job.travel_time, (64.0, 1.5, 2.0)),
    (job.cycle_time, (70.0, 30.0, 20.0, 8.0, 6.0, 15.0, 2.0)),
    (job.loads_needed, (28.0, 0.75)),
    (job.recovery_factor, ([0.0, 0.125], 10.0)),
    (job.repair_to_date, (10000.0, 2000.0, 2**-7, 1.75)),
    (job.break_even_amount, (600.0, 25.0, 85.0)),
    (lift.rating_slope, (1043.0, 771.0)),
    (lift.capacity, (1043.0, 0.75, 0.5)),
    (lift.carried, ([100.0, 50.0], 0.75, [0.25, 0.375])),
    (lift.carried_one, (100.0, 0.75, 0.25)),
    (lift.payload, (400.0, 0.75, 100.0, 0.375)),
    (lift.ahead_at_angle, (0.625, 0.25, 0.375)),
    (lift.curl_moment, (1225.0, 0.5)),
    (lift.pivot_from_sheet, (0.6875, 0.875, 1.25, 0.75, 2.6875, 0.25, 1.875, [False, True])),
    (lift.pivot_plausible, ([0.25, 0.875],)),
    (lambda h: lift.pin_x(PIVOT, h), (1.75,)),
    (
        lambda *a: lift.rating_at_height(*a[:5], PIVOT, a[5]),
        (1043.0, 0.6875, 1408.0, 1116.0, [1.25, 2.0, 2.5], 2.6875),
    ),
    (linkage_plane.point, (1.0, 2.0)),
    (linkage_force.push_pull, (UP, 16e6)),
    (lambda m: linkage_force.lump(m, np.array([0.25, 0.5 + 0.25j])), ([100.0, 300.0],)),
    (lambda *a: linkage_force.weight_rates(PINS, AT, Weights(a[0], HEAVY.arm_cg, a[1], HEAVY.tool_cg)), (125.0, 50.0)),
    (lambda *a: linkage_force.lift_limited(PINS, AT, HEAVY, HERE, *a), (Plain(40000.0), 20000.0)),
    (lambda *a: linkage_force.curl_limited(PINS, AT, HEAVY, HERE, *a), (Plain(40000.0), 20000.0)),
    (lambda *a: linkage_force.breakout(PINS, HEAVY, *a), (UP, OVER, 16e6, 0.75)),
    (
        lambda *a: linkage.capacity_map(PINS, HEAVY, *a[:3], HERE, *a[3:]),
        (UP, OVER, 16e6, [[0.625], [0.75]], [1.0, 1.125]),
    ),
    (lambda *a: linkage.level_path(PINS, HEAVY, *a[:3], HERE, a[3]), (UP, OVER, 16e6, [0.625, 0.75])),
    (lambda *a: linkage_pose.pose(PINS, *a), (0.75, 1.125)),
    (lambda *a: linkage_pose.tilt_for_angle(PINS, *a), (0.75, 0.125, 0.5, 1.5)),
    (
        lambda *a: linkage_reaction.pin_forces(PINS, AT, Weights(a[0], HEAVY.arm_cg, a[1], HEAVY.tool_cg), HERE, a[2]),
        (125.0, 50.0, 300.0),
    ),
    (load.green_density, (0.5, 0.75)),
    (load.bundle_mass, (0.125, 2.0, 900.0, 10)),
    (load.largest_stone, (170.0, 2600.0, 0.5, 1.25)),
    (lambda *a: load.seat("logs", *a), (0.375, [[0, 0], [0.625, 0.125]], 0.625, 0.25)),
    (lambda *a: load.seat("pallets", a[0], None, *a[1:]), (0.375, 0.625, 0.25)),
    (picks.pick_at, (240.0, 0.75, 0.875)),
    (picks.largest_stone_seated, (240.0, 0.75, 0.5, 2600.0, 1.5, 1.25)),
    (picks.half_foot_down, (2.5,)),
    (slope.combine, ([100.0, 300.0], [0.0, 4.0], [0.0, 0.375], [1.0, 2.0])),
    (slope.body_without_axle, (1000.0, 0.75, 0.625, 125.0, 1.5, 0.375, 0.125)),
    (lambda *a: slope.first_roll(a[0], BODY, *a[1:], BODY), (1.5, 1.625, 1.25, 0.375)),
    (lambda *a: slope.worst_first_roll(BODY, *a, BODY), (1.625, 1.25, 0.375)),
    (lambda *a: slope.least_first_roll(BODY, *a, BODY), (1.625, 1.25, 0.375)),
    (slope.turning, (0.375, 2.0, 4.0)),
    (lambda *a: swing.second_phase(a[0], BODY, AXLE, *a[1:]), (1.5, 1.75, 1.25, 1.125, 0.375, 0.125)),
    (swing.turned, ((0.125, 1.0, 0.25), (2.0, 0.5, 0.25), 0.125)),
    (tyres.load_of_index, ([100, 121],)),
    (tyres.index_for_load, ([800.0, 801.0],)),
    (tyres.load_at_pressure, (1000.0, 1e5, 2e5)),
    (tyres.calcium_chloride_density, ([100.0, 250.0],)),
    (tyres.fill_mass, (0.375, 1180.0)),
    (viscosity_index.viscosity_index, (2**-13, 2**-16)),
    (volume.neiloid_volume, (0.25, 0.375, 5.0)),
    (volume.newton_volume, (0.25, 0.3125, 0.375, 5.0)),
    (volume.pile_volume, (2.0, 3.0, 1.25)),
    (wire.wire_area, (8.0,)),
    (wire.copper_resistivity, (348.0,)),
]  # fmt: skip


def typed(given: Any, kind: Any) -> Any:
    """The same figures in arrays of a type; records and pairs kept."""
    if isinstance(given, bool | Plain):
        return given
    if isinstance(given, tuple):
        each = [typed(v, kind) for v in given]
        return type(given)(*each) if hasattr(given, "_fields") else tuple(each)
    if isinstance(given, list) and given and isinstance(given[0], bool):
        return np.array(given)
    figures = np.atleast_1d(np.asarray(given, dtype=np.float64))
    return np.vectorize(Decimal, otypes=[object])(figures) if kind is Decimal else figures.astype(kind)


def parts(got: Any) -> list[Any]:
    return list(got) if isinstance(got, tuple | list) else [got]


@pytest.mark.parametrize("kind", [np.float32, object, Decimal], ids=["single", "object", "decimal"])
@pytest.mark.parametrize("call", CALLS, ids=[f"{n}-{f.__name__}" for n, (f, _) in enumerate(CALLS)])
def test_any_type_reckons_like_doubles(call: tuple[Callable[..., Any], tuple[Any, ...]], kind: Any) -> None:
    function, arguments = call
    double = parts(function(*typed(arguments, np.float64)))
    for want, got in zip(double, parts(function(*typed(arguments, kind))), strict=True):
        assert np.asarray(got).dtype in (np.float64, np.complex128)
        assert np.asarray(got) == pytest.approx(np.asarray(want), rel=1e-12, abs=1e-12, nan_ok=True)
