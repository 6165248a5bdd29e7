"""`reckon balance` against moments by hand and the counterweight formula of loader manuals."""

from __future__ import annotations

import json

import pytest

from handfast.machines.faults import Faults
from handfast.reckoning.balance import reckon_balance

MANUAL = """
[machine]
mass = "2060 kg"
front_axle_mass = "820 kg"
rear_axle_mass = "1240 kg"
wheelbase = "1.90 m"
front_axle_rating = "2600 kg"
front_tyre = { load_index = 120, count = 2 }
[front]
mass = "1000 kg"
ahead = "1.60 m"
[balance]
rear_share = 0.20
hitch_behind = "0.75 m"
"""


def test_case_of_the_printed_formula() -> None:
    """EN 12525+A2 in loader manuals, numeric case by moments: rear 397.89 kg, counterweight 179.21 kg."""
    got = reckon_balance(MANUAL)
    assert got["rear_axle"] == pytest.approx(397.89, abs=0.005)
    assert got["front_axle"] == pytest.approx(3060.0 - 397.89, abs=0.005)
    assert got["counterweight"] == pytest.approx(179.21, abs=0.005)
    assert got["tipping_load"] == pytest.approx(1240.0 * 1.90 / 1.60, rel=1e-12)
    json.dumps(got, allow_nan=False)


def test_with_the_counterweight_on_nothing_more_is_asked() -> None:
    """The piece found, hung where it was asked for, gives the share; further back, 152 kg do (same source)."""
    got = reckon_balance(MANUAL + '[[ballast]]\nmass = "179.21 kg"\nbehind = "0.75 m"\n')
    assert got["rear_share"] == pytest.approx(0.20, abs=5e-6)
    assert got["counterweight"] == pytest.approx(0.0, abs=0.01)
    far = reckon_balance(MANUAL.replace('"0.75 m"', '"1.15 m"'))
    assert far["counterweight"] == pytest.approx(152.0, abs=0.5)


def test_limits_of_the_machine() -> None:
    """Load index 120 is 1400 kg a tyre (ISO 4223-1); the front carries 2662 kg."""
    checks = {c["id"]: c for c in reckon_balance(MANUAL)["checks"]}
    assert checks["balance.front_axle"]["margin"] == pytest.approx(2600.0 - 2662.105, abs=0.01)
    assert checks["balance.front_tyres"]["capacity"] == 2800.0
    assert set(checks) == {"balance.front_axle", "balance.front_tyres"}


def test_tipping_load_tips() -> None:
    """The tipping load in place of the load leaves nothing on the rear axle; ballast raises it."""
    tip = reckon_balance(MANUAL)["tipping_load"]
    got = reckon_balance(MANUAL.replace('"1000 kg"', str(tip)))
    assert got["rear_axle"] == pytest.approx(0.0, abs=1e-9)
    assert reckon_balance(MANUAL + "[[ballast]]\nmass = 300\nbehind = 1.2\n")["tipping_load"] > tip


def test_liquid_and_wheel_weights_count_and_sit_at_the_axle() -> None:
    """By hand: 0.38 m³ at 1180 kg/m³ is 448.4 kg, all of it behind; twice 75 gal of water in 18.4-24 is 566.7 kg."""
    base = reckon_balance(MANUAL)
    filled = reckon_balance(
        MANUAL.replace("[front]", "tyre_fill = { volume = 0.38, density = 1180 }\nwheel_weights = 80\n[front]")
    )
    assert filled["rear_axle"] - base["rear_axle"] == pytest.approx(448.4 + 80.0, rel=1e-12)
    assert filled["front_axle"] == base["front_axle"]
    by_size = MANUAL.replace("[front]", 'tyre_fill = { fluid = "water" }\nrear_tyre = { size = "18.4-24" }\n[front]')
    assert reckon_balance(by_size)["rear_axle"] - base["rear_axle"] == pytest.approx(2 * 0.2839 * 998.0, rel=1e-9)
    unknown = reckon_balance(MANUAL.replace("[front]", 'tyre_fill = "filled"\n[front]'))
    assert unknown["rear_axle"] == base["rear_axle"]
    assert "tyre_fill" in unknown["notes"][0]


def test_nothing_in_front_and_no_place_behind() -> None:
    """Without a load nothing can be said about tipping; without a place for it no counterweight is named."""
    text = '[machine]\nfront_axle_mass = "500 kg"\nrear_axle_mass = "100 kg"\nwheelbase = 1.5\n'
    got = reckon_balance(text + "[front]\nmass = 200\nahead = 1\n")
    assert got["counterweight"] is None
    assert reckon_balance(text)["tipping_load"] is None
    assert reckon_balance(text)["rear_share"] == pytest.approx(100.0 / 600.0)


def test_every_fault_at_once() -> None:
    with pytest.raises(Faults) as caught:
        reckon_balance("[machine]\nmass = 900\nwheelbas = 1.5\n[front]\nmass = 100\n[[ballast]]\nmass = '20 miles'\n")
    places = {fault.place for fault in caught.value.faults}
    assert {"machine.wheelbas", "ballast[0].mass"} <= places
    with pytest.raises(Faults) as caught:
        reckon_balance("[machine]\nmass = 900\n[front]\nmass = 100\n[[ballast]]\nmass = 20\n")
    places = {fault.place for fault in caught.value.faults}
    assert places == {"machine.wheelbase", "machine.front_axle_mass", "front.ahead", "ballast[0].behind"}


def test_over_a_bump_and_braking() -> None:
    """Moments by hand: 1000 kg 1.6 m ahead of a front axle 1.9 m ahead of the rear one; m·a·h/L while braking."""
    got = reckon_balance(MANUAL)
    assert (got["travelling"]["bump"], got["travelling"]["origin"], got["braking"]) == (1.5, "practice", None)
    assert got["travelling"]["front_axle"] == pytest.approx(820.0 + 1.5 * 1000.0 * (1.9 + 1.6) / 1.9, rel=1e-12)
    assert got["travelling"]["rear_axle"] == pytest.approx(1240.0 - 1.5 * 1000.0 * 1.6 / 1.9, rel=1e-12)
    text = MANUAL.replace("[front]", 'cg_height = "0.7 m"\n[front]\nheight = "0.4 m"')
    stated = reckon_balance(text + '[travel]\nbump = 2\nbraking = "30 %"\n')
    assert stated["travelling"]["rear_axle"] == pytest.approx(1240.0 - 2.0 * 1000.0 * 1.6 / 1.9, rel=1e-12)
    moved = 0.30 * (2060.0 * 0.7 + 1000.0 * 0.4) / 1.9
    assert stated["braking"]["front_axle"] == pytest.approx(stated["front_axle"] + moved, rel=1e-12)
    assert stated["braking"]["rear_axle"] == pytest.approx(stated["rear_axle"] - moved, rel=1e-12)
    assert stated["braking"]["origin"] == "stated"
    usual = reckon_balance(text)["braking"]
    assert usual["braking"] == pytest.approx(2.0 / 9.80665, rel=1e-12)
    with pytest.raises(Faults, match=r"travel\.bump"):
        reckon_balance(MANUAL + "[travel]\nbump = 0.2\n")
