"""`reckon slope` against the printed broadside formula and hand figures."""

from __future__ import annotations

import json
from math import atan, degrees, hypot, pi, radians

import pytest

from handfast.machines.faults import Faults
from handfast.reckoning.slope import reckon_slope

BODY = """
[body]
mass = "1632 kg"
cg = ["35.1 in", 0, "28 in"]
wheelbase = "65 in"
rear_track = "46 in"
front_pivot_height = "14 in"
"""
AXLE = '[axle]\nmass = "150 kg"\ncg = ["65 in", 0, "12 in"]\n'


def broadside(span: float, track: float, x: float, h: float, up: float) -> float:
    """tan φ = [L·T/2 − x·T/2] / (L·h − x·h_p)."""
    return atan((span * track / 2 - x * track / 2) / (span * h - x * up))


def test_hand_figure_of_a_bare_tractor() -> None:
    """Hand figure for a 3600 lb machine, 65 in wheelbase, 46 in track, whole machine taken as body: 27.4 degrees."""
    got = reckon_slope(BODY + '[slope]\nheadings = ["90 deg", 4.71238898038469]\n')
    assert degrees(got["tips"][0]["angle"]) == pytest.approx(27.4, abs=0.05)
    assert got["tips"][0]["angle"] == pytest.approx(broadside(65.0, 46.0, 35.1, 28.0, 14.0), rel=1e-12)
    assert got["tips"][1]["angle"] == pytest.approx(got["tips"][0]["angle"], rel=1e-9)
    assert [tip["governs"] for tip in got["tips"]] == ["right", "left"]
    assert got["front_line"] is None
    assert got["tips"][0]["front_line"] is None
    json.dumps(got, allow_nan=False)


def test_worst_heading_is_nose_slightly_downhill() -> None:
    """By hand: tan φ is least along the horizontal part of c: (T/2·(h − h_p), L·h − x·h_p)."""
    got = reckon_slope(BODY)["worst"]
    along, across = 23.0 * (28.0 - 14.0), 65.0 * 28.0 - 35.1 * 14.0
    assert got["angle"] == pytest.approx(atan(23.0 * (65.0 - 35.1) / hypot(along, across)), rel=1e-12)
    assert got["heading"] == pytest.approx(pi / 2 - atan(along / across), rel=1e-12)
    assert got["angle"] < broadside(65.0, 46.0, 35.1, 28.0, 14.0)


def test_whole_machine_about_the_front_wheels() -> None:
    """Nose down the axle counts and the pivot is no corner: tan φ = (L − x)/h of the whole machine."""
    got = reckon_slope(BODY + AXLE + '[slope]\nheadings = ["0 deg", "180 deg"]\n')
    x = (1632.0 * 35.1 + 150.0 * 65.0) / 1782.0
    h = (1632.0 * 28.0 + 150.0 * 12.0) / 1782.0
    assert got["front_line"] == pytest.approx(atan((65.0 - x) / h), rel=1e-12)
    assert got["tips"][0]["angle"] == pytest.approx(atan((65.0 - x) / h), rel=1e-12)
    assert got["tips"][1]["angle"] == pytest.approx(atan(x / h), rel=1e-12)
    assert [tip["governs"] for tip in got["tips"]] == ["front", "rear"]


def test_leaning_body_tips_at_rest() -> None:
    got = reckon_slope(
        BODY.replace('["35.1 in", 0, "28 in"]', '["60 in", "-3 in", "28 in"]') + "[slope]\nheadings = [1.57]\n"
    )
    assert got["tips"][0]["angle"] == 0.0
    assert got["worst"]["angle"] == 0.0


def test_second_phase_and_turning_stand_beside() -> None:
    text = BODY.replace("[body]", '[body]\nfront_track = "44 in"\nfront_axle_swing = "9 deg"') + AXLE
    tip = reckon_slope(text + '[slope]\nheadings = ["90 deg"]\nspeed = "2 m/s"\nradius = "5 m"\n')["tips"][0]
    rigid = reckon_slope(text.replace("9 deg", "0 deg") + '[slope]\nheadings = ["90 deg"]\n')["tips"][0]
    assert tip["angle"] == rigid["angle"]
    assert tip["second_phase"] < rigid["second_phase"]
    # By hand at rest at the stop: 9.80665 sin φ + v²/R = 9.80665 cos φ tan(limit).
    assert degrees(tip["angle"] - tip["turning"]) == pytest.approx(degrees(0.8 / 9.80665), abs=0.6)
    assert tip["turning"] < tip["angle"]


def test_headings_in_the_order_asked() -> None:
    got = reckon_slope(BODY + '[slope]\nheadings = ["120 deg", 0.5, "75 deg"]\n')
    assert [tip["heading"] for tip in got["tips"]] == pytest.approx([radians(120.0), 0.5, radians(75.0)])


def test_faults_are_named_together() -> None:
    with pytest.raises(Faults) as caught:
        reckon_slope('[body]\nmass = "heavy"\ncg = [1, 2, 3, 4]\nwheelbase = 1.6\nrear_track = 1.2\n')
    assert {f.place for f in caught.value.faults} == {"body.mass", "body.cg", "body.front_pivot_height"}
    with pytest.raises(Faults) as caught:
        reckon_slope(BODY.replace('"65 in"', '"unknown"') + '[slope]\nheadings = ["unknown"]\n')
    assert {f.place for f in caught.value.faults} == {"body.wheelbase", "slope.headings[0]"}
