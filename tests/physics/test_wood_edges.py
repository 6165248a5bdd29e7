"""Reading the wood tables: each figure against its own row or its source, dry wood, names that are not there."""

from __future__ import annotations

import pytest

from handfast.physics import wood
from handfast.quantities.tables import table

CUBIC_FOOT = 0.3048**3


@pytest.fixture(autouse=True)
def tables_read_anew() -> None:
    """The reading is what is tested here, so nothing may be remembered from before."""
    wood._rows.cache_clear()
    wood._trade_names.cache_clear()
    wood._materials.cache_clear()


def test_log_table_row_is_pounds_per_cubic_foot() -> None:
    """Source: Park Service green-log table, apple 55 lb/ft³, the only source; one tree from another 10 %."""
    found = wood.species("apple")
    assert found.likely == pytest.approx(55 * 0.45359237 / CUBIC_FOOT, rel=1e-12)
    assert (found.low, found.high) == pytest.approx((0.9 * found.likely, 1.1 * found.likely), rel=1e-12)
    assert "National Park Service" in found.source and ";" not in found.source.partition("Park Service")[0]


def test_species_row_carries_heartwood_and_sapwood_as_far_as_a_fifth() -> None:
    """Source: Wood Handbook table 4-1. Basswood 0.32, moisture 81 and 133 %; balsam fir 88 and 173 %: cut at 20 %."""
    found = wood.species("American basswood")
    assert found.likely == pytest.approx(657.1, abs=0.06)
    assert found.low == pytest.approx(320.0 * 1.81, rel=1e-12)
    assert found.high == pytest.approx(320.0 * 2.33, rel=1e-12)


def test_likely_of_one_row_is_the_computed_column() -> None:
    """Source: column green_density_kg_m3_computed, for species that one row alone answers to."""
    for name in ("American holly", "Oregon white oak", "western redcedar", "sugar pine", "bigleaf maple"):
        row = next(r for r in table("wood.csv") if r["species"] == name)
        found = wood.species(name)
        assert found.likely == pytest.approx(float(row["green_density_kg_m3_computed"]), abs=0.06)
        moist = [float(row[f"green_mc_{part}"]) for part in ("heartwood", "sapwood") if row[f"green_mc_{part}"]]
        ends = [1000.0 * float(row["specific_gravity_green"]) * (1.0 + m / 100.0) for m in moist] or [found.likely]
        wide = max(1.1 * found.likely, min(max(ends), 1.2 * found.likely))
        narrow = min(0.9 * found.likely, max(min(ends), 0.8 * found.likely))
        assert (found.low, found.high) == pytest.approx((narrow, wide), rel=1e-9)
        assert found.source == row["source"]


def test_dry_wood_is_the_mean_of_its_rows_and_a_tenth_either_way() -> None:
    """Source: column density_12pct_kg_m3_computed of the species table."""
    rows = {r["species"]: float(r["density_12pct_kg_m3_computed"]) for r in table("wood.csv")}
    one = wood.species("American basswood", dry=True)
    assert one[:3] == pytest.approx((0.9 * 414.4, 414.4, 1.1 * 414.4), rel=1e-12)
    assert one.source == next(r["source"] for r in table("wood.csv") if r["species"] == "American basswood")
    ash = [rows[name] for name in ("black ash", "green ash", "white ash")]
    every, mean = wood.species("ash", dry=True), sum(ash) / 3
    assert every.likely == pytest.approx(mean, rel=1e-12)
    assert (every.low, every.high) == pytest.approx((min(*ash, 0.9 * mean), max(*ash, 1.1 * mean)), rel=1e-12)
    with pytest.raises(KeyError, match="'Apple' has no dry density"):
        wood.species("Apple", dry=True)


def test_family_name_takes_in_every_member_and_its_own_row() -> None:
    """White pine is both white pines, oak all oaks of both tables, black oak the two rows by that name alone."""
    rows = {r["species"]: float(r["green_density_kg_m3_computed"]) for r in table("wood.csv")}
    pines = [rows["eastern white pine"], rows["western white pine"]]
    found = wood.species("white pine")
    assert found.likely == pytest.approx(sum(pines) / 2, abs=0.06)
    assert found.low <= min(pines) + 0.06 and found.high >= max(pines) - 0.06
    cedars = [rows["Atlantic white-cedar"], rows["northern white-cedar"]]
    assert wood.species("white cedar").likely == pytest.approx(sum(cedars) / 2, abs=0.06), (
        "no red cedar, no baldcypress"
    )
    oaks = [value for name, value in rows.items() if name.endswith("oak")]
    logs = [r for r in table("green_log_lb_per_ft.csv") if r["species"].startswith("Oak,")]
    oaks += [float(r["green_lb_per_ft3"]) * 0.45359237 / CUBIC_FOOT for r in logs]
    assert wood.species("oak").likely == pytest.approx(sum(oaks) / len(oaks), abs=0.06)
    exact = [rows["black oak"], next(float(r["green_lb_per_ft3"]) for r in logs if r["species"] == "Oak, black")]
    exact[1] *= 0.45359237 / CUBIC_FOOT
    assert wood.species("black oak").likely == pytest.approx(sum(exact) / 2, abs=0.06), "not California black oak too"
    assert wood.species("honey locust") == wood.species("Honeylocust")


def test_one_word_takes_its_own_row_and_all_that_end_in_it() -> None:
    """Chestnut has a row of its own in the log table; Beech stands there and as American beech in the species table."""
    row = next(r for r in table("wood.csv") if r["species"] == "American beech")
    logs = next(r for r in table("green_log_lb_per_ft.csv") if r["species"] == "Beech")
    two = [float(row["green_density_kg_m3_computed"]), float(logs["green_lb_per_ft3"]) * 0.45359237 / CUBIC_FOOT]
    found = wood.species("beech")
    assert found.likely == pytest.approx(sum(two) / 2, abs=0.06)
    assert row["source"] in found.source and logs["source"] in found.source
    assert len(found.source) == len(row["source"]) + len(logs["source"]) + len("; ")


def test_plural_and_words_that_only_look_plural() -> None:
    assert wood.species("baldcypress").likely == wood.species("BALDCYPRESS").likely
    assert wood.species("pecans") == wood.species("pecan")


def test_unknown_name_is_told_with_the_three_nearest() -> None:
    with pytest.raises(KeyError) as lower:
        wood.species("white ashe")
    text = lower.value.args[0]
    assert text.startswith("'white ashe' is not in the table; did you mean ") and text.endswith("?")
    names = text.partition("did you mean ")[2].rstrip("?").split(", ")
    assert len(names) == 3 and "white ash" in names
    with pytest.raises(KeyError) as upper:
        wood.species("WHITE ASHE")
    assert upper.value.args[0].partition("; ")[2] == text.partition("; ")[2]
    with pytest.raises(KeyError) as none:
        wood.species("zzqqxx")
    assert none.value.args == ("'zzqqxx' is not in the table",)


def test_half_alike_is_near_enough_to_be_named() -> None:
    """difflib's ratio of "gra" and "gravel" is 2·3/9 = 0.67, of "sand" and "sxxd" 0.5: both reach one half."""
    with pytest.raises(KeyError, match="sand"):
        wood.loose_density("sxxd")


def test_loose_material_by_any_spelling() -> None:
    row = next(r for r in table("material_density.csv") if r["material"] == "round_bales")
    want = tuple(float(row[f"{end}_kg_m3"]) for end in ("low", "likely", "high"))
    for name in ("round bales", "Round-Bales", " round_bales "):
        assert wood.loose_density(name)[:3] == want
    assert wood.loose_density("round bales").source == row["source"]


def test_names_are_sorted_whatever_their_case() -> None:
    names = wood.species_names()
    assert list(names) == sorted(names, key=str.lower)
    assert {"Apple", "tulip tree", "yellow-poplar"} <= set(names)
    assert len(set(names)) == len(names)
