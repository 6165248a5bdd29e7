"""Hose lengths of outfits against a linkage worked out in plain complex numbers."""

from __future__ import annotations

import cmath
import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from handfast.machines.attachment import Attachment
from handfast.machines.inquiry import Inquiry
from handfast.machines.part import Part
from handfast.machines.reading import demo_inquiries, demo_shelf
from handfast.machines.shelf import Shelf
from handfast.machines.tractor import Machine
from handfast.outfits.hose_plan import LINKAGE, ROUGHLY, hose_plan_of
from handfast.outfits.lay import lay
from handfast.outfits.learnt import AS_BUILT
from handfast.outfits.line_shelf import LINE_PARTS
from handfast.outfits.mounting import MountRoute
from handfast.outfits.outfit import Outfit
from handfast.outfits.powering import PowerRoute

FRONT = PowerRoute("front_outlets")
PLATE = MountRoute("direct", "universal_plate", "universal_plate")
ALONG, ABOVE, BESIDE, ENDS = 0.85, 0.10, 0.08, 0.10
BENDS = {"3/8": 0.13, "1/2": 0.18}  # EN 853, least bend radius [m]


def drums() -> Shelf:
    """Nothing but hose by length, its ends, couplers and adapters: every hose is made to measure."""
    parts = demo_shelf().parts.items()
    return Shelf(parts={k: p for k, p in parts if p.kind in LINE_PARTS and not (p.kind == "hose" and p.ends)})


def random_loader(rng: np.random.Generator) -> dict[str, complex | float]:
    """A loader without bellcrank, its pins about those of a sub-compact, up to half as large again [m]."""
    size = rng.uniform(0.95, 1.5)

    def near(x: float, z: float) -> complex:
        return size * complex(x + rng.uniform(-0.02, 0.02), z + rng.uniform(-0.02, 0.02))

    pins = {
        "arm_pivot": near(0.86, 1.09), "tool_pivot": near(2.127, 0.25), "lift_base": near(0.784, 0.452),
        "lift_rod": near(1.231, 0.825), "tilt_base": near(1.663, 0.678), "tilt_rod": near(2.114, 0.401),
    }  # fmt: skip
    lift, tilt = abs(pins["lift_rod"] - pins["lift_base"]), abs(pins["tilt_rod"] - pins["tilt_base"])
    lengths = {"l0": lift, "l1": lift * rng.uniform(1.5, 1.7), "t0": tilt * 0.93, "t1": tilt * rng.uniform(1.2, 1.4)}
    return {**pins, **lengths, "size": size}


def machine_of(m: dict[str, Any]) -> Machine:
    pins = {k: [m[k].real, m[k].imag] for k in
            ("arm_pivot", "tool_pivot", "lift_base", "lift_rod", "tilt_base", "tilt_rod")}  # fmt: skip
    cylinder = {"bore": 0.04, "rod": 0.02, "count": 2}
    linkage = {
        "pins": pins, "lift": {**cylinder, "retracted": m["l0"], "extended": m["l1"]},
        "tilt": {**cylinder, "retracted": m["t0"], "extended": m["t1"]},
    }  # fmt: skip
    loader = {"linkage": linkage, "plane_ahead": m["ahead"], "plane_drop": m["drop"]}
    front = {"front": "coupler_flat 1/2 female"}
    return Machine(**{"class": "compact_small", "relief_pressure": "170 bar", "ports": front, "loader": loader})


def tool_of(m: dict[str, Any]) -> Attachment:
    jaw = {
        "lid_pivot": [m["hinge"].real, m["hinge"].imag], "cylinder_base": [m["base"].real, m["base"].imag],
        "cylinder_rod": [m["rod"].real, m["rod"].imag], "retracted": m["c0"], "extended": m["c1"],
    }  # fmt: skip
    oil = {"bore": "2 in", "rod": "1 in", "stroke": "8 in", "ports": "flare37 -6 male"}
    return Attachment(id="tool", kind="root_grapple", lids=1, actuation="hydraulic", jaw=jaw, hydraulics=oil)


def with_tool(m: dict[str, Any], rng: np.random.Generator) -> dict[str, Any]:
    """A lid whose cylinder is drawn at its longest, shut."""
    base, hinge = complex(rng.uniform(0.05, 0.2), 0.05), complex(rng.uniform(0.2, 0.3), rng.uniform(0.45, 0.55))
    rod = hinge + complex(-0.08, rng.uniform(0.12, 0.2))
    long = abs(rod - base)
    more = {"ahead": rng.uniform(0.03, 0.15), "drop": rng.uniform(0.05, 0.25)}
    return {**m, "base": base, "hinge": hinge, "rod": rod, "c1": long, "c0": long * rng.uniform(0.72, 0.85), **more}


def meet(pivot: complex, crank: complex, far: complex, length: float) -> complex:
    """Turn of a crank (its end drawn at pivot + crank) that puts its end so far from a point; side as drawn."""
    line = far - pivot
    cosine = (abs(crank) ** 2 + abs(line) ** 2 - length**2) / (2 * abs(crank) * abs(line))
    if abs(cosine) > 1:
        return complex(math.nan, math.nan)
    return cmath.exp(1j * math.acos(cosine))


def turn(pivot: complex, drawn: complex, far_drawn: complex, far: complex, length: float) -> complex:
    crank = drawn - pivot
    side = 1.0 if ((far_drawn - pivot).conjugate() * crank).imag > 0 else -1.0
    opened = meet(pivot, crank, far, length)
    along = (far - pivot) / abs(far - pivot)
    return along * (opened if side > 0 else opened.conjugate()) * abs(crank) / crank


def distances(m: dict[str, Any], lifts: int, tilts: int, lids: int) -> list[float]:
    """Clamp to port over the sweep, without the program's help."""
    found, ports = [], []
    for k in range(lids):
        long = m["c0"] + (m["c1"] - m["c0"]) * k / (lids - 1)
        lid = turn(m["hinge"], m["rod"], m["base"], m["base"], long)
        way = m["hinge"] + (m["rod"] - m["hinge"]) * lid - m["base"]
        ports.append(m["base"] + BESIDE * way / abs(way))
    for i in range(lifts):
        arm = turn(m["arm_pivot"], m["lift_rod"], m["lift_base"], m["lift_base"],
                   m["l0"] + (m["l1"] - m["l0"]) * i / (lifts - 1))  # fmt: skip
        pin = m["arm_pivot"] + (m["tool_pivot"] - m["arm_pivot"]) * arm
        boom = pin - m["arm_pivot"]
        clamp = m["arm_pivot"] + ALONG * boom + 1j * ABOVE * boom / abs(boom)
        hung = m["arm_pivot"] + (m["tilt_base"] - m["arm_pivot"]) * arm
        for j in range(tilts):
            long = m["t0"] + (m["t1"] - m["t0"]) * j / (tilts - 1)
            tool = turn(pin, pin + m["tilt_rod"] - m["tool_pivot"], pin + m["tilt_base"] - m["tool_pivot"], hung, long)
            for port in ports:
                place = pin + (m["ahead"] + port.real + 1j * (port.imag - m["drop"])) * tool
                if not cmath.isnan(place):
                    found.append(abs(place - clamp))
    return found


def test_fifty_random_linkages_are_reached_at_every_pose_and_not_wastefully() -> None:
    """100 × 60 poses and the lid: shortened by 4 % the hose still reaches; what is bought over what is needed,
    longest/0.96 + ends + two quarter turns at the hose's own bend radius, stays below 50 mm or a tenth."""
    rng = np.random.default_rng(4)
    shelf, over, poses = drums(), [], 0
    for _ in range(50):
        m = with_tool(random_loader(rng), rng)
        plan = hose_plan_of(Outfit(tool_of(m), PLATE, FRONT), Inquiry(machine=machine_of(m)), shelf)
        truth = distances(m, 100, 60, 5)
        poses = max(poses, len(truth))
        assert len(plan.hoses) == 2
        for hose in plan.hoses:
            bend = BENDS["1/2" if "1/2" in hose.name else "3/8"]
            needed = max(truth) / 0.96 + ENDS + 2 * (math.pi / 2 - 1) * bend
            assert hose.basis == LINKAGE
            assert hose.ordered == hose.made
            assert hose.ordered >= needed - 1e-6
            assert all((hose.ordered - ENDS) * 0.96 >= d for d in truth)
            assert hose.ordered - needed < max(0.05, 0.10 * needed)
            assert hose.longest is not None
            assert hose.longest.apart == pytest.approx(max(truth), abs=1e-6)
            assert hose.shortest is not None
            assert hose.shortest.apart == pytest.approx(min(truth), abs=1e-6)
            over.append(hose.ordered - needed)
    assert poses == 30_000
    assert max(over) < 0.026  # the step that hoses are made to


def test_worst_poses_are_places_of_the_linkage() -> None:
    rng = np.random.default_rng(5)
    m = with_tool(random_loader(rng), rng)
    plan = hose_plan_of(Outfit(tool_of(m), PLATE, FRONT), Inquiry(machine=machine_of(m)), drums())
    assert plan.pivot == pytest.approx((m["arm_pivot"].real, m["arm_pivot"].imag))
    for at in (plan.tagged("A1").longest, plan.tagged("A1").shortest):
        assert at is not None
        assert math.dist(at.clamp, at.port) == pytest.approx(at.apart)
        assert abs(complex(*at.pin) - m["arm_pivot"]) == pytest.approx(abs(m["tool_pivot"] - m["arm_pivot"]))
    with pytest.raises(KeyError):
        plan.tagged("A9")


def without_linkage() -> tuple[Outfit, Inquiry]:
    rng = np.random.default_rng(6)
    m = with_tool(random_loader(rng), rng)
    machine = machine_of(m)
    bare = machine.model_copy(update={"loader": machine.loader.model_copy(update={"linkage": None})})
    return Outfit(tool_of(m), PLATE, FRONT), Inquiry(machine=bare)


def test_rough_measures_get_a_wider_allowance_and_say_so() -> None:
    """0.6 m from the couplers to the ports, a tenth and 0.1 m more: 0.76/0.96 + 0.1 + 2 × 0.571 × 0.13 = 1.040 m."""
    plan = hose_plan_of(*without_linkage(), drums())
    hose = plan.tagged("A1")
    assert "3/8" in hose.name
    assert (hose.basis, plan.path, hose.longest) == (ROUGHLY, None, None)
    assert hose.needed == pytest.approx(0.76 / 0.96 + 0.1 + 2 * (math.pi / 2 - 1) * 0.13)
    assert any("string" in text for text in hose.warnings)


def test_a_length_measured_on_the_machine_wins() -> None:
    outfit, inquiry = without_linkage()
    plan = hose_plan_of(outfit, inquiry, drums(), as_built={"A1": 1.31})
    assert (plan.tagged("A1").basis, plan.tagged("B1").basis) == (AS_BUILT, ROUGHLY)
    assert plan.tagged("A1").needed == 1.31
    assert plan.tagged("A1").made == pytest.approx(1.325)
    assert not plan.tagged("A1").warnings


def ready(length: str) -> Shelf:
    parts = {k: p for k, p in drums().parts.items() if p.kind in ("adapter", "coupler")}
    says: dict[str, Any] = {"ends": ["flare37 -6 female"] * 2, "bore": "9.5 mm", "pressure_max": "330 bar"}
    return Shelf(
        parts={**parts, "h": Part(kind="hose", name="Hose", length=length, price="9", bend_radius="130 mm", **says)}
    )


def test_a_hose_that_is_much_too_long_says_how_long_it_could_be() -> None:
    plan = hose_plan_of(*without_linkage(), ready("2 m"), system="metric")
    (long,) = plan.tagged("A1").warnings[:1]
    assert "longer than it needs" in long
    assert "1.05 m" in long
    assert plan.tagged("A1").ordered == 2.0


def test_a_hose_that_is_too_short_says_where_it_pulls_out() -> None:
    rng = np.random.default_rng(8)
    m = with_tool(random_loader(rng), rng)
    outfit, inquiry = Outfit(tool_of(m), PLATE, FRONT), Inquiry(machine=machine_of(m))
    fitting = hose_plan_of(outfit, inquiry, ready("3 m")).tagged("A1")
    plan = hose_plan_of(outfit, inquiry, ready("3 m"), as_built={"A1": 3.2})
    short = plan.tagged("A1").warnings[0]
    assert "Too short" in short
    assert "pulls out with the pins at" in short
    assert not any("Too short" in text for text in fitting.warnings)


def test_a_slack_hose_that_bows_too_tightly_is_named() -> None:
    """Twice as long as the ends are apart it bows to about a quarter of its length: a 130 mm bend is pinched by it."""
    rng = np.random.default_rng(9)
    m = with_tool(random_loader(rng), rng)
    plan = hose_plan_of(Outfit(tool_of(m), PLATE, FRONT), Inquiry(machine=machine_of(m)), drums())
    hose = plan.tagged("A1")
    assert hose.shortest is not None
    free = (hose.ordered - ENDS) * 1.02
    angle = free / hose.slack_radius  # the arc's whole angle
    assert 2 * hose.slack_radius * math.sin(angle / 2) == pytest.approx(hose.shortest.apart, rel=1e-6)
    assert hose.pinched == (hose.slack_radius < 0.13)
    assert any("bows" in text for text in hose.warnings) == hose.pinched
    wider = replace(hose, bend_radius=hose.slack_radius - 0.001)
    assert not wider.pinched


def test_no_hose_of_the_eight_callers_is_too_short() -> None:
    shelf, seen = demo_shelf(), 0
    for inquiry in demo_inquiries().values():
        resolved = inquiry.resolve(shelf)
        done = set()
        for outfit in lay(resolved, shelf, 1).candidates.outfits:
            if (outfit.attachment.id, outfit.power.route) in done:
                continue
            done.add((outfit.attachment.id, outfit.power.route))
            for hose in hose_plan_of(outfit, resolved, shelf).hoses:
                seen += 1
                assert not any("Too short" in text for text in hose.warnings), (outfit.id, hose)
                assert bool(hose.brought_by) == math.isnan(hose.ordered)
    assert seen > 200
