"""Wire, fuse and actuator against the fluids library, a wiring code and worked examples."""

from __future__ import annotations

import csv
from pathlib import Path

import fluids
import numpy as np
import pytest

from handfast.physics import electrics as el
from handfast.physics import wire
from handfast.quantities.tables import table

REFERENCE = Path(__file__).parents[1] / "validation" / "reference"
CIRCULAR_MIL = np.pi / 4 * 0.0000254**2
SMALL_CRAFT = 10.75 * CIRCULAR_MIL / 0.3048
"""The 10.75 Ω·cmil/ft of the small-craft rule (ABYC E-11) as a resistivity [Ω·m]."""


def test_gauges_against_the_fluids_library():
    """Oracle: fluids 1.3 wire gauge table, printed to four figures of an inch."""
    for gauge in range(1, 23):
        theirs = fluids.t_from_gauge(gauge, SI=True, schedule="AWG")
        assert float(wire.wire_diameter(gauge)) == pytest.approx(theirs, rel=3e-3)


def test_resistance_against_a_wiring_code():
    """NEC chapter 9 table 8 at 75 °C, solid 14 to 8 AWG, as kept in awg.csv (column seen).

    Larger wires of that table are stranded and stand 1.9 to 2.3 % higher.
    """
    solid = stranded = 0
    for row in table("awg.csv"):
        if not row["nec_t8_ohm_per_kft"]:
            continue
        number = wire.gauge_number(row["awg"])
        ours = float(el.cable_resistance(number, 304.8 / 2, 348.15))
        printed = float(row["nec_t8_ohm_per_kft"])
        if number >= 8:
            solid += 1
            assert ours == pytest.approx(printed, rel=5e-3)
        else:
            stranded += 1
            assert 1.018 < printed / ours < 1.024
    assert (solid, stranded) == (4, 9)


@pytest.mark.parametrize(
    ("feet", "share", "mils"),
    [(21, 0.03, 6271), (21, 0.10, 1881), (25, 0.03, 7465), (25, 0.10, 2240), (20, 0.03, 5972)],
)
def test_circular_mils_of_the_small_craft_rule(feet: float, share: float, mils: float):
    """hydraulic_checks.csv E2 to E2e: 10.75 I L/E with the length there and back."""
    area = el.area_needed(10.0, feet * 0.3048 / 2, share * 12.0, SMALL_CRAFT)
    assert float(area) / CIRCULAR_MIL == pytest.approx(mils, abs=1.0)


@pytest.mark.parametrize(("feet", "share", "gauge"), [(21, 0.03, "10"), (21, 0.10, "16"), (20, 0.03, "10")])
def test_gauge_of_a_printed_wiring_table(feet: float, share: float, gauge: str):
    """ABYC E-11 tables as printed (hydraulic_checks.csv E1, E2 note): 10 A at 12 V, 3 % and 10 %."""
    assert el.smallest_gauge(float(el.area_needed(10.0, feet * 0.3048 / 2, share * 12.0, SMALL_CRAFT))) == gauge


def test_no_gauge_thick_enough():
    assert el.smallest_gauge(1e-3) == ""


def test_drop_is_current_times_resistance_there_and_back():
    """Hand: 30 A over 10 ft of 8 AWG one way at 20 °C, 0.6282 Ω per 1000 ft (awg.csv): 0.3769 V."""
    assert float(el.voltage_drop(30.0, 8, 3.048)) == pytest.approx(30 * 0.6282 * 20 / 1000, rel=1e-3)


def test_actuator_of_a_makers_example():
    """hydraulic_checks.csv E4, seen: 4 A idle, 12 A at 400 lbf, so 7.0 A at 150 lbf."""
    assert float(el.actuator_current(150.0, 400.0, 12.0, 4.0)) == pytest.approx(7.0, abs=0.01)


def test_actuator_slows_with_force_and_with_lost_volts():
    """Ends of the direct-current line, by hand."""
    speed = el.actuator_speed([0.0, 1000.0, 5000.0], 1000.0, 0.010, 0.014)
    assert speed == pytest.approx([0.014, 0.010, 0.0])
    assert float(el.actuator_speed(0.0, 1000.0, 0.010, 0.014, 0.9)) == pytest.approx(0.0126)
    times = el.stroke_time(0.2, speed)
    assert times[:2] == pytest.approx([0.2 / 0.014, 20.0])
    assert np.isnan(times[2])


@pytest.mark.parametrize(("amperes", "fuse"), [(8.0, 10.0), (8.1, 15.0), (24.0, 30.0), (24.1, 35.0), (33.0, 50.0)])
def test_fuse_carries_a_quarter_more(amperes: float, fuse: float):
    """hydraulic_checks.csv E5: fuse ≥ 1.25 I; the ratings themselves are those of blade fuses (ISO 8820-3)."""
    assert el.fuse_size(amperes) == fuse


def test_no_fuse_is_that_large():
    assert np.isnan(el.fuse_size(500.0))


def test_ampacity_falls_with_gauge_and_hot_air():
    """Heat balance: none is left where the air is as hot as the insulation; thicker carries more."""
    sizes = [el.ampacity(g) for g in ("18", "14", "10", "8", "6", "2", "1/0", "4/0")]
    assert sizes == sorted(sizes)
    assert len(set(sizes)) == len(sizes)
    assert el.ampacity("8", 273.15 + 75 - 45 / 4) == pytest.approx(el.ampacity("8") / 2)
    assert el.ampacity("8", 353.15) == 0.0
    assert el.ampacity("8", 253.15) == el.ampacity("8")
    assert np.isnan(el.ampacity("22"))


@pytest.mark.parametrize("text", ["", "eight", "8.5", "-2", "/0"])
def test_words_that_are_no_gauge(text: str):
    with pytest.raises(ValueError, match="no wire gauge"):
        wire.gauge_number(text)


def test_charge_of_a_day():
    """Balance by hand: 60 strokes of 16 s at 18 A; 20 A less 15 A over two hours and a tenth of a 50 A·h battery."""
    assert float(el.day_charge(18.0, 16.0, 60.0)) == 17280.0
    assert float(el.charge_on_hand(18000.0, 20.0, 15.0, 7200.0)) == 54000.0
    assert float(el.strokes_per_hour(20.0, 15.0, 18.0, 16.0)) == pytest.approx(62.5)
    assert float(el.strokes_per_hour(12.0, 15.0, 18.0, 16.0)) == 0.0


def test_printed_resistances_of_the_gauge_table():
    """awg.csv, ASTM B258 with IACS copper, reckoned elsewhere and rounded to four figures."""
    for row in table("awg.csv"):
        ours = float(el.cable_resistance(wire.gauge_number(row["awg"]), 0.5)) * 1e3
        assert ours == pytest.approx(float(row["r20_mohm_per_m_solid"]), rel=4e-4)


def test_reference_rows_used_here_are_there():
    with (REFERENCE / "hydraulic_checks.csv").open(encoding="utf-8", newline="") as file:
        values = {row["id"]: row["value"] for row in csv.DictReader(file)}
    assert (values["E2"], values["E4"], values["E3"]) == ("6271", "7.0", "3.07")


def test_a_gauge_of_just_the_area_is_thick_enough():
    """awg.csv: vehicle cable of 10 gauge has at least 4.734 mm²."""
    assert el.smallest_gauge(4.734e-6) == "10"
    assert el.smallest_gauge(4.7341e-6) == "8"
