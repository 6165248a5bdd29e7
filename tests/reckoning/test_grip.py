"""`reckon grip`: its figures worked again by hand, and its faults."""

from __future__ import annotations

import json
import math

import pytest

from handfast.machines.reading import Faults
from handfast.reckoning.grip import reckon_grip

FILE = """
[attachment]
lids = 1
[attachment.hydraulics]
cylinders = 1
bore = "50 mm"
rod = "30 mm"
[attachment.jaw]
floor = [[0.0, 0.0], [0.8, 0.0]]
lid = [[0.0, 0.5], [0.8, 0.5]]
lid_pivot = [0.0, 0.5]
cylinder_base = [0.0, 0.9]
cylinder_rod = [0.3, 0.5]
retracted = 0.3
extended = 0.5
[grip]
friction = 0.4
pressure = "150 bar"
angles = ["-40 deg", 0, "30 deg"]
[[piece]]
diameter = 0.5
[[piece]]
diameter = "0.3 m"
[[piece]]
diameter = 0.5
mass = "30 t"
"""


def test_half_metre_log_under_a_level_lid_by_hand() -> None:
    """The lid lies level on the log as drawn: cylinder 3-4-5, its arm about the pivot 0.24 m, the log's 0.25 m."""
    found = reckon_grip(FILE)
    log = found["pieces"][0]
    push = 150e5 * math.pi / 4 * 0.05**2
    assert log["lid_angle"] == pytest.approx(0.0, abs=1e-9)
    assert log["contact_force"] == pytest.approx(push * 0.24 / 0.25)
    assert log["slip_along"] == pytest.approx(0.4 * 2 * log["contact_force"])
    assert log["holds"] is True and log["why"] == "holds"
    assert found["closes_by"] == "extending" and found["push"] == pytest.approx(push)


def test_opening_of_the_tips_by_hand() -> None:
    """Cosine law at 0.3 m: 0.4² + 0.3² − 2·0.4·0.3·cos φ = 0.3², so the lid has turned 90° − φ, cos φ = 2/3."""
    found = reckon_grip(FILE)
    turn = math.pi / 2 - math.acos(2 / 3)
    across = 0.8 * math.cos(turn) - 0.8
    assert found["opening_tip"] == pytest.approx(math.hypot(across, 0.5 + 0.8 * math.sin(turn)))
    assert found["stroke"][-1]["lid_angle"] == pytest.approx(turn)
    assert found["stroke"][0]["length"] == pytest.approx(0.5) and found["stroke"][-1]["length"] == pytest.approx(0.3)


def test_largest_piece_touches_the_open_lid() -> None:
    """A circle in the corner under a line through (0, 0.5) at the open angle: r = distance from its middle (r, r)."""
    found = reckon_grip(FILE)
    turn = math.pi / 2 - math.acos(2 / 3)
    radius = 0.5 * math.cos(turn) / (1 + math.cos(turn) - math.sin(turn))
    assert found["opening_throat"] == pytest.approx(2 * radius, rel=1e-6)
    assert found["smallest"] is not None and found["smallest"] <= 0.5 <= found["largest"] <= 2 * radius + 1e-6


def test_small_and_heavy_pieces_say_why() -> None:
    log, thin, heavy = reckon_grip(FILE)["pieces"]
    assert thin["holds"] is False and thin["why"] == "too_small" and thin["lid_angle"] is None
    assert heavy["holds"] is False and heavy["why"] == "too_heavy" and heavy["slip_load"] == log["slip_load"]


def test_result_is_plain_json() -> None:
    assert json.loads(json.dumps(reckon_grip(FILE), allow_nan=False))


def test_electric_lid_takes_the_actuators_force() -> None:
    text = FILE.replace('pressure = "150 bar"', "").replace("[grip]", '[attachment.electrics]\nforce = "4 kN"\n[grip]')
    assert reckon_grip(text)["pieces"][0]["contact_force"] == pytest.approx(4000 * 0.24 / 0.25)


def test_stroke_stands_in_for_a_missing_length() -> None:
    text = FILE.replace("retracted = 0.3\n", "").replace('rod = "30 mm"', 'rod = "30 mm"\nstroke = 0.2')
    assert reckon_grip(text)["opening_tip"] == pytest.approx(reckon_grip(FILE)["opening_tip"])


@pytest.mark.parametrize(
    "old, new, place",
    [
        ("friction = 0.4", "", "grip.friction"),
        ('pressure = "150 bar"', "", "grip.pressure"),
        ('bore = "50 mm"', "", "attachment.hydraulics.bore"),
        ("lid_pivot = [0.0, 0.5]", "", "attachment.jaw.lid_pivot"),
        ("retracted = 0.3", "retracted = 0.05", "attachment.jaw.retracted"),
        ("extended = 0.5", "extended = 0.9", "attachment.jaw.extended"),
        ("[[0.0, 0.0], [0.8, 0.0]]", "[[0.0, 0.0], [0.0, 0.0]]", "attachment.jaw.floor"),
        ("diameter = 0.5\n[[piece]]", 'diameter = "unknown"\n[[piece]]', "piece[0].diameter"),
        ("friction = 0.4", "fricton = 0.4", "grip.fricton"),
    ],
)
def test_faults_name_their_place(old: str, new: str, place: str) -> None:
    with pytest.raises(Faults) as caught:
        reckon_grip(FILE.replace(old, new, 1))
    assert place in [fault.place for fault in caught.value.faults]


def test_every_fault_is_named_at_once() -> None:
    text = FILE.replace("friction = 0.4", "").replace('pressure = "150 bar"', "").replace("retracted = 0.3", "")
    with pytest.raises(Faults) as caught:
        reckon_grip(text)
    assert {"grip.friction", "grip.pressure", "attachment.jaw.retracted"} <= {f.place for f in caught.value.faults}
