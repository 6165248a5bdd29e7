"""Hose and coupler tables: editions kept apart, sizes as written, proportions of the standards."""

from __future__ import annotations

import pytest

from handfast.connections.ratings import coupler_rated_point, hose_ratings
from handfast.quantities.tables import table


def test_the_edition_decides_a_rating():
    """SAE J517: 100R2AT -8 was rated 3500 psi; today's type S takes EN 853's 275 bar (hose.csv)."""
    old, new = hose_ratings("100R2AT", "1/2")
    assert old.pressure_max / 6894.757293168361 == pytest.approx(3500, rel=1e-3)
    assert new.pressure_max == pytest.approx(275e5)
    assert hose_ratings("100r2at", "-8") == (old, new)


def test_types_and_sizes_not_listed_have_no_rating():
    assert hose_ratings("2SN", "-7") == ()
    assert hose_ratings("9ZZ", "-8") == ()


def test_compact_hoses_bend_tighter_at_the_same_pressure():
    """EN 857 2SC against EN 853 2SN, the purpose of that standard."""
    for size in ("-4", "-6", "-8", "-12"):
        compact, usual = hose_ratings("2SC", size)[0], hose_ratings("2SN", size)[0]
        assert compact.bend_radius < usual.bend_radius
        assert compact.pressure_max == usual.pressure_max


def test_proof_and_burst_are_twice_and_four_times():
    """EN 853: proof 2 ×, burst 4 × the working pressure."""
    for row in table("hose.csv"):
        assert float(row["proof_bar_2x"]) == pytest.approx(2 * float(row["max_working_bar"]), rel=1e-3)
        assert float(row["min_burst_bar_4x"]) == pytest.approx(4 * float(row["max_working_bar"]), rel=1e-3)


def test_coupler_points_of_the_performance_table():
    """ISO 14541, seen: 6.3 is 12 L/min at 2.5 bar, 20 is 106 L/min at 2.2 bar."""
    assert coupler_rated_point("1/4") == pytest.approx((12 / 6e4, 2.5e5))
    assert coupler_rated_point("20") == pytest.approx((106 / 6e4, 2.2e5))
    with pytest.raises(KeyError):
        coupler_rated_point("2")
