"""`reckon circuit` against checked circuits and a textbook cylinder, and its faults."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from handfast.machines.faults import Faults
from handfast.reckoning.circuit import EXAMPLE, reckon_circuit

CHECKED = Path(__file__).parents[1] / "validation" / "checked"


@pytest.mark.parametrize("name", ["q01", "q10"])
def test_checked_circuits_to_a_millionth(name: str):
    """Two invented circuits reckoned independently, validation/checked/*.circuit.expected.json."""
    text = (CHECKED / f"{name}.circuit.toml").read_text(encoding="utf-8")
    expected = json.loads((CHECKED / f"{name}.circuit.expected.json").read_text(encoding="utf-8"))
    result = reckon_circuit(text, name)
    assert len(result["runs"]) == len(expected["runs"]) == 3
    for ours, theirs in zip(result["runs"], expected["runs"], strict=True):
        for key in ("temperature", "viscosity", "density"):
            assert ours[key] == pytest.approx(theirs[key], rel=1e-6)
        for stroke in ("close", "open"):
            for key, value in theirs[stroke].items():
                assert ours[stroke][key] == pytest.approx(value, rel=1e-6), (stroke, key)
    for key in ("stall_force_close", "stall_force_open"):
        assert result[key] == pytest.approx(expected[key], rel=1e-6)
    assert result["stall_force"] == result["stall_force_close"]


def test_result_is_plain_json_and_marks_what_is_extrapolated():
    """ASTM D341 lines are drawn through 40 and 100 °C; below 0 °C they are carried on."""
    result = reckon_circuit(EXAMPLE, "c.toml")
    assert json.loads(json.dumps(result, allow_nan=False)) == result
    assert [run["extrapolated"] for run in result["runs"]] == [True, False, False]
    assert [run["temperature"] for run in result["runs"]] == [-10.0, 40.0, 80.0]


def test_velocities_stand_against_their_limits():
    """Hand: 5 gpm = 3.155e-4 m³/s in 1/4 in is 9.96 m/s out; the ring returns it as 5 gpm × 1.641 on opening."""
    line = '\n[[circuit.supply]]\nkind = "hose"\nbore = "1/4 in"\nlength = "1 ft"\n'
    warm = reckon_circuit(EXAMPLE.replace("[circuit]", '[circuit]\ntemperatures = ["40 °C"]') + line, "c.toml")
    closing, opening = warm["runs"][0]["velocities"]
    assert (closing["stroke"], closing["side"], closing["limit"]) == ("close", "pressure", 6.0)
    assert closing["velocity"] == pytest.approx(9.961, abs=1e-3)
    assert (opening["side"], opening["limit"]) == ("return", 3.0)
    assert opening["velocity"] == pytest.approx(9.961 / (1 - 0.625**2), abs=2e-3)
    assert warm["velocities"] == [closing, opening]


def test_closing_by_retracting_swaps_the_stall_forces():
    """hydraulic_checks.csv C23: 6283.2 lbf out, 3828.8 lbf in."""
    lbf = 4.4482216152605
    result = reckon_circuit(EXAMPLE + 'close = "retract"\n', "c.toml")
    assert result["stall_force"] / lbf == pytest.approx(3828.8, abs=0.1)
    assert result["stall_force_open"] / lbf == pytest.approx(6283.2, abs=0.1)
    assert result["blocked_rod_pressure"] / 6894.757293168361 == pytest.approx(3282.1, abs=0.1)


def test_all_the_power_over_relief_turns_into_heat():
    """Energy balance by hand: stalled at relief, 5 gpm × 2000 psi is 4.35 kW and the time is nothing."""
    result = reckon_circuit(EXAMPLE + "load_close = 40000\n", "c.toml")
    close = result["runs"][1]["close"]
    assert (close["stalled"], close["time"], close["relief_open"]) == (True, None, True)
    assert close["heat"] == pytest.approx(4350, abs=5)


def test_everything_missing_is_named_at_once():
    with pytest.raises(Faults) as caught:
        reckon_circuit("[circuit]\ncylinders = 0\n", "c.toml")
    places = {fault.place for fault in caught.value.faults}
    assert {"machine.pump_flow", "machine.relief_pressure", "circuit.bore", "circuit.cylinders"} <= places


@pytest.mark.parametrize(
    ("text", "place"),
    [
        (EXAMPLE.replace('"1.25 in"', '"2.5 in"'), "circuit.rod"),
        (EXAMPLE + '[[circuit.supply]]\nkind = "hose"\nbore = "3/8 in"\n', "circuit.supply[0].length"),
        (EXAMPLE + 'stroak = "8 in"\n', "circuit.stroak"),
    ],
)
def test_faults_name_their_place(text: str, place: str):
    with pytest.raises(Faults) as caught:
        reckon_circuit(text, "c.toml")
    assert [fault.place for fault in caught.value.faults] == [place]
