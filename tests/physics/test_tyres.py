"""Tyre tables against their standard, against arithmetic within the sources, and against each other."""

from __future__ import annotations

import numpy as np
import pytest

from handfast.physics import tyres
from handfast.quantities.tables import table

GALLON = 3.785411784e-3
POUND = 0.45359237


def test_load_index_against_preferred_numbers() -> None:
    """ISO 4223-1 spaces the index as preferred numbers: 80 steps are a factor of ten, 20 is 80 kg, rounded."""
    index = np.arange(20.0, 181.0)
    want = 80.0 * 10.0 ** ((index - 20.0) / 80.0)
    assert tyres.load_of_index(index) == pytest.approx(want, rel=0.02)
    assert np.all(np.diff(tyres.load_of_index(index)) > 0.0)


def test_well_known_load_indices() -> None:
    """From tyre walls and every public table: 88 is 560 kg, 91 615 kg, 100 800 kg, 120 1400 kg, 150 3350 kg."""
    assert tyres.load_of_index([88, 91, 100, 120, 150]).tolist() == [560.0, 615.0, 800.0, 1400.0, 3350.0]
    assert np.isnan(tyres.load_of_index([19, 181, 88.5])).all()


def test_index_for_load_is_the_inverse() -> None:
    index = np.arange(20.0, 181.0)
    assert tyres.index_for_load(tyres.load_of_index(index)).tolist() == index.tolist()
    assert tyres.load_of_index(tyres.index_for_load(1401.0)) >= 1401.0
    assert np.isnan(tyres.index_for_load(8000.1))


def test_speed_symbols() -> None:
    """A8 is 40 km/h and B 50 km/h on tractor tyres (operator manual); each step of A is 5 km/h."""
    assert [round(tyres.speed_of_symbol(f"a{n}") * 3.6, 9) for n in range(1, 9)] == [5.0 * n for n in range(1, 9)]
    assert tyres.speed_of_symbol("B") * 3.6 == pytest.approx(50.0)
    with pytest.raises(KeyError):
        tyres.speed_of_symbol("ZZ")


def test_fill_volumes_hang_together() -> None:
    """Gallons, litres and pounds of water of the chart say the same, to its rounding to half a gallon and a pound."""
    rows = table("tyre_liquid_fill.csv")
    assert len(rows) == 69
    for row in rows:
        litres = float(row["litres"])
        assert litres == pytest.approx(float(row["water_us_gal"]) * GALLON * 1e3, abs=0.06)
        assert float(row["water_lb"]) * POUND == pytest.approx(litres * 0.998, rel=0.035)
        assert tyres.fill_volume(row["tyre"]) == pytest.approx(litres * 1e-3)


def test_fill_volume_reads_sizes_as_written() -> None:
    assert tyres.fill_volume("16.9R30") == tyres.fill_volume(" 16.9 - 30 6PR") == tyres.fill_volume("16.9x30") > 0.27
    assert tyres.fill_volume("14L-16.1") != tyres.fill_volume("14.9-24")
    assert np.isnan(tyres.fill_volume("26x12-12"))


def test_liquids_in_pounds_per_gallon() -> None:
    """Trade figures: water 8.35, beet-based 11.0, washer fluid 7.6, calcium chloride 10.9 lb/gal (0.6 kg/l)."""
    per_gallon = GALLON / POUND
    assert tyres.fluid_density("water").likely * per_gallon == pytest.approx(8.35, abs=0.03)
    assert tyres.fluid_density("Beet-based liquid").likely * per_gallon == pytest.approx(11.0, abs=0.01)
    assert tyres.fluid_density("windshield washer").likely * per_gallon == pytest.approx(7.6, abs=0.01)
    assert float(tyres.calcium_chloride_density(600.0)) * per_gallon == pytest.approx(10.9, abs=0.06)
    for row in table("fluids.csv"):
        spread = tyres.fluid_density(row["fluid"])
        assert spread.low <= spread.likely <= spread.high
    with pytest.raises(KeyError):
        tyres.fluid_density("gravel")


def test_salt_swells_the_water() -> None:
    """3.5 lb of salt in a gallon of water makes it 20 % heavier, not 42 %; mass over swollen volume agrees."""
    salt = 3.5 * POUND / GALLON
    assert salt / 998.0 == pytest.approx(0.42, abs=0.005)
    assert float(tyres.calcium_chloride_density(salt)) / 1000.0 == pytest.approx(1.20, abs=0.012)
    for row in table("calcium_chloride.csv"):
        per_litre = float(row["salt_kg_per_litre_water"])
        balance = 1000.0 * (1.0 + per_litre) / (1.0 + 1e-3 * float(row["swell_cc_per_litre"]))
        assert float(tyres.calcium_chloride_density(1e3 * per_litre)) == pytest.approx(balance, rel=0.018)
    assert np.isnan(tyres.calcium_chloride_density([-1.0, 601.0])).all()


def test_a_rear_pair_filled() -> None:
    """By hand: two 14.9-24 with 47 gal of water each weigh 2 × 392 lb."""
    got = float(tyres.fill_mass(2.0 * tyres.fill_volume("14.9-24"), 998.0))
    assert got / POUND == pytest.approx(2.0 * 392.0, abs=3.0)


def test_under_inflation_never_carries_more() -> None:
    """Half the pressure carries two thirds; the whole range falls with pressure and ends at the rating and at 0."""
    got = tyres.load_at_pressure(1500.0, np.linspace(0.0, 3e5, 31), 2.4e5)
    assert got[0] == 0.0
    assert got[-1] == 1500.0
    assert np.all(np.diff(got) >= 0.0)
    assert float(tyres.load_at_pressure(1500.0, 1.2e5, 2.4e5)) == pytest.approx(1000.0, rel=0.01)
