"""`reckon cable` against a maker's actuator example and a wiring code, and its faults."""

from __future__ import annotations

import json

import pytest

from handfast.machines.faults import Faults
from handfast.reckoning.cable import EXAMPLE, reckon_cable


def test_actuator_and_cable_worked_by_hand():
    """hydraulic_checks.csv E4 (7.0 A at 150 lbf) and E3 (14 AWG at 75 °C is 3.07 Ω per 1000 ft, NEC)."""
    text = EXAMPLE.replace('"10"', "14").replace('"40 °C"', '"75 °C"')
    result = reckon_cable(text, "cable.toml")
    assert result["current"] == pytest.approx(7.0, abs=0.01)
    assert result["drop"] == pytest.approx(7.0 * 3.07 * 24 / 1000, rel=2e-3)
    assert result["drop_share"] == pytest.approx(result["drop"] / 12.6)
    assert result["at_motor"] == pytest.approx(12.6 - result["drop"])
    assert result["fuse"] == 10.0
    assert result["fuse_protects"] is True
    assert json.loads(json.dumps(result, allow_nan=False)) == result


def test_a_thin_cable_does_not_bear_its_fuse():
    """E5: fuse ≥ 1.25 I and ≤ what the cable bears; 20 A asks a 25 A fuse, 18 AWG bears less than half of it."""
    text = EXAMPLE.replace('"10"', '"18"').replace('"150 lbf"', '"800 lbf"')
    result = reckon_cable(text, "cable.toml")
    assert result["current"] == pytest.approx(20.0)
    assert result["fuse"] == 25.0
    assert result["fuse_protects"] is False


def test_stated_current_stands_in_for_the_line():
    text = '[cable]\ngauge = 8\nlength = "10 ft"\n[electrics]\ncurrent = "30 A"\n'
    assert reckon_cable(text, "cable.toml")["drop"] == pytest.approx(30 * 0.6282 * 20 / 1000, rel=1e-3)  # awg.csv


def test_gauge_outside_the_ampacity_table_is_left_open():
    result = reckon_cable(EXAMPLE.replace('"10"', '"22"'), "cable.toml")
    assert (result["ampacity"], result["fuse_protects"]) == (None, None)


def test_faults_are_named_at_once():
    with pytest.raises(Faults) as caught:
        reckon_cable("[cable]\n", "cable.toml")
    assert {f.place for f in caught.value.faults} >= {"cable.gauge", "cable.length", "electrics.full_current"}
    with pytest.raises(Faults) as caught:
        reckon_cable(EXAMPLE.replace('"10"', '"thick"'), "cable.toml")
    assert [f.place for f in caught.value.faults] == ["cable.gauge"]
