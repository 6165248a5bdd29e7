"""`reckon lift`: one file in, rows by moments out."""

from __future__ import annotations

import json
import math
from typing import Any

import numpy as np
import pytest

from handfast.machines.reading import Faults
from handfast.reckoning.lift import reckon_lift

G = 9.80665
PINS = {
    "arm_pivot": (1.2, 1.42),
    "lift_base": (1.1, 0.61),
    "lift_rod": (1.58, 1.12),
    "tool_pivot": (2.75, 0.29),
    "tilt_base": (2.17, 0.83),
    "tilt_rod": (2.73, 0.48),
}
CRANKED = {"bellcrank_pivot": (2.4, 0.58), "link_bellcrank": (2.38, 0.77), "link_tool": (2.73, 0.48)}
LEVELLED = {"level_chassis": (1.18, 1.63), "level_rod": (2.09, 0.97), "lever_pivot": (2.11, 0.755)}
HEAD = """
[machine]
relief_pressure = "186 bar"
quick_attach = "universal_plate"
[machine.loader]
quick_attach_mass = 60
quick_attach_cg = [0.06, -0.04]
plane_ahead = "102 mm"
plane_drop = "229 mm"
"""
TAIL = """
[machine.loader.linkage.lift]
bore = "51 mm"
rod = "29 mm"
count = 2
retracted = 0.7
extended = 1.213
[machine.loader.linkage.tilt]
bore = "43 mm"
rod = "24 mm"
count = 2
retracted = 0.55
extended = {extended}
[machine.loader.linkage.arm]
mass = 205
cg = [2.03, 0.98]
[attachment]
mass = "150 kg"
cg = [0.254, 0.178]
[[load]]
cg = [0.5, 0.0]
[[load]]
cg = ["700 mm", 0.2]
"""


def text(more: dict[str, Any] | None = None, extended: float = 1.1, head: str = HEAD, tail: str = TAIL) -> str:
    pins = PINS | (more or {})
    lines = [f"{name} = [{x}, {z}]" for name, (x, z) in pins.items()]
    return (
        head + "[machine.loader.linkage.pins]\n" + "\n".join(lines) + "\n" + tail.replace("{extended}", str(extended))
    )


def test_nine_rows_from_end_to_end_for_each_load() -> None:
    out = reckon_lift(text())
    assert np.allclose([load["cg"] for load in out["loads"]], [[0.5, 0.0], [0.7, 0.2]], rtol=1e-12)
    for load in out["loads"]:
        lengths = [row["lift_length"] for row in load["rows"]]
        assert np.allclose(lengths, np.linspace(0.7, 1.213, 9), atol=1e-12)
    assert json.loads(json.dumps(out, allow_nan=False)) == out
    assert len(reckon_lift(text() + "[lift]\nsteps = 4\n")["loads"][0]["rows"]) == 4


def by_moments(row: dict[str, Any], load: tuple[float, float]) -> tuple[float, float]:
    """Direct kind, tool level: the arms and the tool as one body about the arm pivot, the plate about its pin."""
    pivot, base, rod0 = (np.array(PINS[n]) for n in ("arm_pivot", "lift_base", "lift_rod"))
    pin, pin0 = np.array([row["pin_x"], row["pin_z"]]), np.array(PINS["tool_pivot"])
    turn = math.atan2(*(pin - pivot)[::-1]) - math.atan2(*(pin0 - pivot)[::-1])
    spin = np.array([[math.cos(turn), -math.sin(turn)], [math.sin(turn), math.cos(turn)]])
    rod, arm_cg = (pivot + spin @ (np.array(p) - pivot) for p in (rod0, (2.03, 0.98)))
    along = (rod - base) / np.linalg.norm(rod - base)
    assert np.linalg.norm(rod - base) == pytest.approx(row["lift_length"], abs=1e-12)
    force = 186e5 * 2 * math.pi / 4 * 0.051**2
    held = force / G * (along[1] * (rod - pivot)[0] - along[0] * (rod - pivot)[1])
    hung = [(60.0, 0.06), (150.0, 0.102 + 0.254)]
    rest = 205 * (arm_cg - pivot)[0] + sum(m * (pin - pivot)[0] + m * d for m, d in hung)
    lifts = (held - rest) / ((pin - pivot)[0] + load[0])
    plate = np.array(PINS["tilt_rod"]) - pin0
    end = pivot + spin @ (np.array(PINS["tilt_base"]) - pivot)
    line = pin + plate - end
    assert np.linalg.norm(line) == pytest.approx(row["tilt_length"], abs=1e-12)
    arm = abs(line[0] * plate[1] - line[1] * plate[0]) / np.linalg.norm(line)
    pull = 186e5 * 2 * math.pi / 4 * (0.043**2 - 0.024**2)
    return lifts, (pull * arm / G - sum(m * d for m, d in hung)) / load[0]


def test_rows_agree_with_moments_about_the_pins() -> None:
    """Free bodies by hand, for the direct kind."""
    for load in reckon_lift(text())["loads"]:
        for row in load["rows"]:
            lifts, curls = by_moments(row, load["cg"])
            assert row["lift_limited"] == pytest.approx(lifts, rel=1e-9)
            assert row["curl_limited"] == pytest.approx(curls, rel=1e-9)
            assert row["capacity"] == min(row["lift_limited"], row["curl_limited"])
            assert row["governs"] == ("lift" if lifts < curls else "curl")


@pytest.mark.parametrize(("more", "kind"), [({}, "direct"), (CRANKED, "bellcrank"), (LEVELLED, "levelling")])
def test_each_kind_is_told_by_its_pins(more: dict[str, Any], kind: str) -> None:
    pins = more | ({"tilt_base": (1.65, 1.11), "tilt_rod": (2.38, 0.79)} if kind == "bellcrank" else {})
    pins |= {"tilt_base": (2.11, 0.95)} if kind == "levelling" else {}
    out = reckon_lift(text(pins))
    assert out["kind"] == kind
    assert all(row["capacity"] > 0 for row in out["loads"][0]["rows"])


def test_null_where_the_tool_cannot_be_level() -> None:
    rows = reckon_lift(text(extended=0.8))["loads"][0]["rows"]
    barred = [row for row in rows if row["tilt_length"] is None]
    assert barred and len(barred) < len(rows)
    for row in barred:
        assert row["capacity"] is row["governs"] is row["lift_limited"] is row["curl_limited"] is None
        assert row["pin_z"] is not None


def test_published_rating_can_govern() -> None:
    """The lower of linkage and sheet: 500 kg at the pin, 370 kg at 500 mm, attachment taken off by moments."""
    rating = 'lift_at_pin = "500 kg"\nlift_at_500 = "370 kg"\nratings_with = "quick_attach"\n'
    rows = reckon_lift(text(head=HEAD + rating))["loads"][0]["rows"]
    slope = (500 / 370 - 1) / 0.5
    left = (500 - 150 * (1 + slope * 0.356)) / (1 + slope * 0.5)
    for row in rows:
        assert row["rated"] == pytest.approx(left, rel=1e-9)
        assert row["governs"] == "rated" and row["capacity"] == row["rated"]


def test_the_lower_relief_counts() -> None:
    head = HEAD.replace("quick_attach =", 'port_relief = "150 bar"\nquick_attach =')
    low, high = (reckon_lift(t)["breakout"]["at_pin"] for t in (text(head=head), text()))
    weights = (high * 150 - low * 186) / (186 - 150)
    assert low < high and weights > 0


def test_what_is_missing_is_named_at_once() -> None:
    bare = (
        '[machine]\nwheelbase = "1.8 m"\n[machine.loader.linkage.pins]\nlever_pivot = [1, 1]\n[[load]]\ncg = [0.5, 0]\n'
    )
    with pytest.raises(Faults) as caught:
        reckon_lift(bare, "bare.toml")
    places = {fault.place for fault in caught.value.faults}
    pins = {f"machine.loader.linkage.pins.{name}" for name in (*PINS, "level_chassis", "level_rod")}
    sides = {
        f"machine.loader.linkage.{side}.{part}"
        for side in ("lift", "tilt")
        for part in ("bore", "rod", "count", "retracted", "extended")
    }
    assert places == pins | sides | {"machine.relief_pressure"}


@pytest.mark.parametrize(
    ("old", "new", "place"),
    [
        ("count = 2", "count = -1", "machine.loader.linkage.lift.count"),
        ('rod = "29 mm"', 'rod = "60 mm"', "machine.loader.linkage.lift.rod"),
        ("extended = 1.213", "extended = 0.69", "machine.loader.linkage.lift.extended"),
        ("cg = [0.5, 0.0]", "cg = [0.5]", "load[0].cg"),
        ("mass = 205", "mass = nan", "machine.loader.linkage.arm.mass"),
        ('plane_ahead = "102 mm"', "", "machine.loader.plane_ahead"),
        ("cg = [0.254, 0.178]", "", "attachment.cg"),
    ],
)
def test_faults_are_named_with_their_place(old: str, new: str, place: str) -> None:
    with pytest.raises(Faults) as caught:
        reckon_lift(text().replace(old, new, 1))
    assert place in {fault.place for fault in caught.value.faults}


def test_no_load_is_a_fault() -> None:
    with pytest.raises(Faults) as caught:
        reckon_lift(text(tail=TAIL.split("[[load]]")[0]))
    assert "load" in {fault.place for fault in caught.value.faults}


def test_same_file_same_bytes() -> None:
    assert json.dumps(reckon_lift(text())) == json.dumps(reckon_lift(text()))


def test_spread_and_absent_weights_are_noted() -> None:
    out = reckon_lift(text(head=HEAD.replace('"186 bar"', '"180 to 192 bar"').replace("quick_attach_mass = 60\n", "")))
    assert any("spread" in note for note in out["notes"]) and any("quick attach" in note for note in out["notes"])
    assert reckon_lift(text())["notes"] == []
