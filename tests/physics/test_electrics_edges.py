"""Edges of wire and actuator: gauges as written, what stands still, the last row of a table."""

from __future__ import annotations

import numpy as np
import pytest

from handfast.physics import electrics, wire
from handfast.quantities.tables import table


@pytest.mark.parametrize("text", ["8", "AWG 8", "8 AWG", "awg8", "#8", " # 8 awg"])
def test_gauge_as_people_write_it(text: str) -> None:
    assert wire.gauge_number(text) == 8


def test_aught_gauges_count_down() -> None:
    """ASTM B258: 1/0 is 0, 4/0 is −3, and each is 92^(1/39) thicker."""
    numbers = [wire.gauge_number(text) for text in ("1/0", "2/0 AWG", "awg 4/0")]
    assert numbers == [0, -1, -3]
    for text in ("", "x", "/0", "8.5", "a/0"):
        with pytest.raises(ValueError, match="no wire gauge"):
            wire.gauge_number(text)


def test_what_stands_still_has_no_time_and_gives_no_warning() -> None:
    with np.errstate(all="raise"):
        got = electrics.stroke_time(0.3, [0.0, 0.02, -0.01])
    assert np.isnan(got[[0, 2]]).all() and got[1] == pytest.approx(15.0)


def test_smallest_gauge_at_its_own_area_and_beyond_the_table() -> None:
    """Source: the least areas of vehicle cable in awg.csv: each area is met by its own gauge."""
    for row in table("awg.csv"):
        area = float(row["sae_min_area_mm2"] or row["area_mm2"]) * 1e-6
        assert electrics.smallest_gauge(area) == row["awg"]
        assert electrics.smallest_gauge(area * 1.001) != row["awg"]
    assert electrics.smallest_gauge(1.0) == ""


def test_fuse_at_exactly_a_quarter_more_and_beyond_the_table() -> None:
    """Blade fuse practice: a 25 A fuse carries 20 A all day, and not a milliampere more."""
    assert electrics.fuse_size(20.0) == 25.0
    assert electrics.fuse_size(20.001) == 30.0
    assert np.isnan(electrics.fuse_size(1e6)) and np.isnan(electrics.ampacity("40"))


def test_warm_copper_loses_more_voltage() -> None:
    """Ohm's law with copper's own 0.393 % a kelvin (International Annealed Copper Standard)."""
    cold, warm = (float(electrics.voltage_drop(10.0, 10, 4.0, t)) for t in (293.15, 343.15))
    assert warm / cold == pytest.approx(1.0 + 0.00393 * 50.0, rel=1e-9)
    assert float(electrics.voltage_drop(10.0, 10, 4.0)) == cold


def test_warm_air_takes_from_the_current() -> None:
    """Heat grows with the square: at half the rise that is left, the current times √½; cool air gives nothing back."""
    row = next(r for r in table("ampacity.csv") if r["awg"] == "8")
    hot, base = float(row["insulation_C"]) + 273.15, float(row["ambient_C"]) + 273.15
    full = float(row["current_A"])
    assert electrics.ampacity("8", base) == pytest.approx(full)
    assert electrics.ampacity("8", 0.5 * (hot + base)) == pytest.approx(full * 0.5**0.5)
    assert electrics.ampacity("8", base - 30.0) == pytest.approx(full)
    assert electrics.ampacity("8", hot + 10.0) == 0.0


def test_charge_balance_over_an_hour() -> None:
    """What strokes_per_hour strokes draw is what the alternator spares; an alternator that is short spares none."""
    number = float(electrics.strokes_per_hour(30.0, 18.0, 16.0, 9.0))
    assert float(electrics.day_charge(16.0, 9.0, number)) == pytest.approx((30.0 - 18.0) * 3600.0)
    assert float(electrics.charge_on_hand(0.0, 30.0, 18.0, 3600.0)) == pytest.approx((30.0 - 18.0) * 3600.0)
    assert float(electrics.strokes_per_hour(10.0, 18.0, 16.0, 9.0)) == 0.0
