"""Liquid in the tyres and weights on the wheels, against moments reckoned by hand and the printed charts.

Sources: the liquid-ballast chart (16.9-30: 73 US gallons a tyre), the table of fluids, the load index table
(index 146: 3,000 kg), moments about the axles.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from handfast.machines.reading import read_inquiry
from handfast.machines.shelf import Shelf
from handfast.outfits.assess import assess
from handfast.outfits.ballast import ballast_sets
from handfast.outfits.bench import EMPTY, TRAVEL, Bench
from handfast.outfits.checks import check
from handfast.outfits.lay import lay

CHECKED = Path(__file__).parents[1] / "validation" / "checked"
TEXT = (CHECKED / "q07.toml").read_text()
STATED = 'tyre_fill = { volume = 0.38, fluid = "calcium chloride", density = 1180 }'
GALLON = 3.785411784e-3  # m³, exact
DRY = TEXT.replace(STATED, "")


def bench(entry: str, text: str = TEXT) -> Bench:
    """The bale tractor with another entry in the place of its tyre fill."""
    return lay(read_inquiry(text.replace(STATED, entry)).resolve(Shelf()), Shelf(), 1).benches[0]


def shift(entry: str, text: str = TEXT) -> tuple[float, float]:
    """What an entry adds to the front and to the rear axle, middle of the samples [kg]."""
    dry, wet = bench("", DRY).axles(EMPTY), bench(entry, text).axles(EMPTY)
    return tuple(float(np.median(b) - np.median(a)) for a, b in zip(dry, wet, strict=True))  # type: ignore[return-value]


@pytest.mark.parametrize(
    ("entry", "front", "rear"),
    [
        ("tyre_fill = { volume = 0.38, density = 1180 }", 0.0, 448.4),  # 0.38 · 1180
        ("front_tyre_fill = { volume = 0.1, density = 1200 }", 120.0, 0.0),
        ('wheel_weights = "240 kg"', 0.0, 240.0),
        ('front_tyre_fill = { volume = "26 gal", density = 1000 }\nwheel_weights = 100', 26 * GALLON * 1000, 100.0),
        ('tyre_fill = { volume = 0.38, density = 1180 }\nwith = ["tyre_fill"]', 0.0, 0.0),
        ('wheel_weights = 240\nwith = ["wheel_weights"]', 0.0, 0.0),
    ],
)
def test_each_stands_over_its_own_axle(entry: str, front: float, rear: float) -> None:
    """Weight at a wheel loads its own axle alone; what the weighed mass holds already adds nothing."""
    assert shift(entry) == pytest.approx((front, rear), abs=1e-9)


SIZED = TEXT.replace("rear_tyre = {", 'rear_tyre = { size = "16.9-30",')


@pytest.mark.parametrize(
    ("fluid", "least", "likely", "most"),
    [("calcium chloride", 1180, 1207, 1300), ("washer fluid", 905, 911, 970), ("beet juice", 1270, 1318, 1330)],
)
def test_a_fluid_by_its_name_alone(fluid: str, least: float, likely: float, most: float) -> None:
    """Two tyres of 73 gallons by the chart, a tenth either way at 1.96 standard deviations, cut at three."""
    made = bench(f'tyre_fill = {{ fluid = "{fluid}" }}', SIZED)
    mass = made.draws["tyre_fill.volume"] * made.draws["tyre_fill.density"]
    chart = 2 * 73 * GALLON
    assert chart * least * 0.847 - 1 <= mass.min() and mass.max() <= chart * most * 1.154 + 1
    assert np.median(mass) == pytest.approx(chart * (least + likely + most) / 3, rel=0.02)
    assert made.draws.origin("tyre_fill.density") == made.draws.origin("tyre_fill.volume") == "typical"


def test_filled_is_about_a_full_chart_of_any_liquid() -> None:
    """The word alone: the chart's volume and every liquid in use, washer fluid 905 to beet 1,330 kg/m³."""
    made = bench('tyre_fill = "filled"', SIZED)
    density = made.draws["tyre_fill.density"]
    assert density.size == made.draws.size > 1
    assert 905 <= density.min() < 960 and 1270 < density.max() <= 1330
    assert np.median(made.draws["tyre_fill.volume"]) == pytest.approx(2 * 73 * GALLON, rel=0.005)


def test_filled_tyres_of_no_known_size_are_typical_of_the_class() -> None:
    """A utility tractor: between two tyres 13.6-28 (43 gal) and two 18.4-34 (100 gal) of the chart."""
    made = bench('tyre_fill = "filled"')
    volume = made.draws["tyre_fill.volume"] / GALLON
    assert volume.min() >= 86 and volume.max() <= 200
    assert "tyre_fill.volume" not in bench("", DRY).draws.values


def test_liquid_in_the_front_tyres_does_not_roll_with_the_body() -> None:
    """It goes into the axle, not the body: about the side lines nothing changes (here the least of all lines)."""
    dry, wet = bench("", DRY), bench("front_tyre_fill = { volume = 0.1, density = 1200 }")
    height = np.array([0.4])
    assert wet.front_axle.mass == pytest.approx(dry.front_axle.mass + 120.0)
    assert wet.first_roll(height) == pytest.approx(dry.first_roll(height), abs=1e-12)


def test_liquid_behind_keeps_it_up_longer() -> None:
    """Low weight between the rear wheels: q07 with its fill rolls later than without."""
    height = np.array([3.0])
    assert (bench(STATED).first_roll(height) > bench("", DRY).first_roll(height) + 0.01).all()
    assert bench(STATED).items(TRAVEL)[-4].z[0] == 0.762


def test_a_load_index_is_a_rating() -> None:
    """Index 146 carries 3,000 kg each: two rear tyres 6,000 kg."""
    text = TEXT.replace('load_each = "3357 kg"', "load_index = 146")
    found = assess(bench(STATED, text), [check("balance.rear_tyres")]).findings[0]
    assert found.decided.all() and found.capacity == pytest.approx(6000.0)


def test_tyres_that_are_full_are_not_filled_again() -> None:
    from handfast.machines.part import Part

    liquid = Part(id="beet", kind="ballast", at="tyres", mass="350 kg", price=600)
    assert [one.mass for one in ballast_sets([liquid], np.nan)] == [0.0, 350.0]
    assert [one.mass for one in ballast_sets([liquid], np.nan, filled=True)] == [0.0]


def test_braking_moves_weight_to_the_front_by_height_over_wheelbase() -> None:
    """m·a·h/(g·L) by hand with a = 2 m/s²; the sum stays."""
    made = bench(STATED)
    items = made.items(TRAVEL)
    mass, moment = sum(i.mass for i in items), sum(i.mass * i.z for i in items)
    rest, braked = made.axles(TRAVEL), made.braked()
    assert braked.front - rest.front == pytest.approx(moment * 2.0 / 9.80665 / 2.235, rel=1e-12)
    assert braked.front + braked.rear == pytest.approx(mass, rel=1e-12)


def test_the_bump_stands_in_the_basis_of_what_it_touches() -> None:
    for name in ("front_axle", "rear_axle", "front_tyres", "rear_tyres"):
        assert "counts {bump:g} times" in check(f"balance.{name}").basis
