"""Figures far outside their class: held to the rows of class_typical.csv, read here by themselves."""

from __future__ import annotations

import pytest

from handfast.machines.attachment import Attachment
from handfast.machines.tractor import Machine
from handfast.outfits.outliers import outliers
from handfast.quantities.tables import table

INCH = 0.0254  # m, by definition


def row(kind: str, quantity: str) -> dict[str, str]:
    return next(r for r in table("class_typical.csv") if (r["class"], r["quantity"]) == (kind, quantity))


def machine(**facts: object) -> Machine:
    return Machine.model_validate({"class": "compact_small", **facts})


def test_the_bounds_are_three_quarters_of_the_least_and_a_third_above_the_greatest() -> None:
    """Practice: 0.75 of the least, 1.30 of the greatest of the class (decided with the class notes)."""
    low, high = (float(row("compact_small", "wheelbase")[end]) for end in ("low", "high"))
    for inches, odd in ((0.74 * low, True), (0.76 * low, False), (1.29 * high, False), (1.31 * high, True)):
        found = outliers(machine(wheelbase=inches * INCH))
        assert [one.place for one in found] == (["wheelbase"] if odd else []), inches


def test_each_says_place_found_expected_and_way_out() -> None:
    (one,) = outliers(machine(loader={"pin_height_max": "95 ft"}))
    assert one.place == "loader.pin_height_max"
    assert one.found == "95 ft"
    assert one.expected == "7 ft 6 in to 8 ft 4 in, usual of a compact small tractor"  # 90 and 100 in by the table
    assert "unit" in one.way_out


def test_a_spread_that_reaches_the_band_is_not_asked_about() -> None:
    assert outliers(machine(wheelbase="60 to 200 in")) == ()
    assert len(outliers(machine(wheelbase="150 to 200 in"))) == 1


@pytest.mark.parametrize("record", [Machine(wheelbase="55 ft"), Attachment(bite_area="90 m2")])
def test_without_a_class_or_kind_nothing_is_asked(record: Machine | Attachment) -> None:
    assert outliers(record) == ()


def test_an_attachment_is_held_to_its_kind() -> None:
    given = Attachment(kind="root_grapple", load_centre=["80 in", "10 in"], cg=["14 in", "8 in"])
    assert [one.place for one in outliers(given)] == ["load_centre.x"]


def test_metric_says_the_same_in_metric() -> None:
    (one,) = outliers(machine(wheelbase="4 m"), "metric")
    assert one.found == "4.00 m" and "1.52 m to 1.73 m" in one.expected  # 60 and 68 in by the table
