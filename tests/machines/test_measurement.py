"""The record of a measurement: read with every fault named, whatever is typed."""

from __future__ import annotations

from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handfast.machines.checking import check, no_lines
from handfast.machines.faults import Faults
from handfast.machines.inquiry import Inquiry
from handfast.machines.measurement import Measurement, What, spread_of, ways
from handfast.machines.reading import read_inquiry
from handfast.machines.schema import schemas
from handfast.quantities.estimate import Estimate


def faults(text: str) -> list[str]:
    with pytest.raises(Faults) as raised:
        read_inquiry(text)
    return [str(one) for one in raised.value.faults]


def test_the_names_are_those_of_the_table() -> None:
    assert get_args(What) == tuple(ways())


def test_every_fault_is_named_at_its_line() -> None:
    found = faults(
        '[[measurement]]\nwhat = "whole_on_scale"\nvalue = "63 in"\n'
        '[[measurement]]\nwhat = "scale"\nvalue = "3 lb"\n'
        '[[measurement]]\nwhat = "known_mass_lifted"\nvalue = "900 lb"\n'
        '[[measurement]]\nwhat = "gate_by_tape"\nvalue = "7 ft"\nahead = "1 m"\nsean = "x"\n'
        '[[measurement]]\nwhat = "bucket_back_by_photo"\nvalue = 3\n'
        '[[measurement]]\nwhat = "rear_couplers_counted"\nvalue = 1.5\n'
        '[[measurement]]\nwhat = "raise_timed"\nvalue = "unknown"\n'
    )
    expected = (
        'Line 3, measurement[0].value: found "in", a unit of length',
        'Line 5, measurement[1].what: found "scale"; expected one of whole_on_scale',
        "measurement[3].sean: no such entry. Did you mean seen?",
        "measurement[4].value: found 3; expected no figure",
    )
    for start in expected:
        assert any(start in one for one in found), (start, found)
    more = faults(
        '[[measurement]]\nwhat = "known_mass_lifted"\nvalue = "900 lb"\n'
        '[[measurement]]\nwhat = "gate_by_tape"\nvalue = "7 ft"\nahead = "1 m"\n'
        '[[measurement]]\nwhat = "bucket_back_by_photo"\n'
        '[[measurement]]\nwhat = "rear_couplers_counted"\nvalue = 1.5\n'
        '[[measurement]]\nwhat = "raise_timed"\nvalue = "unknown"\n'
        '[[measurement]]\nwhat = "raise_timed"\nvalue = "4 s"\nseen = "pinned"\n'
        '[[measurement]]\nwhat = "known_mass_refused"\nvalue = "900 lb"\nahead = "1 m"\ninstead = true\n'
    )
    for place in ("[0].ahead", "[1].ahead", "[2].seen", "[3].value", "[4].value", "[5].seen", "[6].instead"):
        assert any(f"measurement{place}:" in one for one in more), (place, more)


def test_a_flood_is_refused() -> None:
    many = '[[measurement]]\nwhat = "gate_by_tape"\nvalue = "7 ft"\n' * 25
    assert any("at most 24 measurements" in one for one in faults(many))


def test_own_error_unless_one_is_stated() -> None:
    assert Measurement(what="relief_by_gauge", value="2400 psi").sd == pytest.approx(25 * 6894.757, rel=1e-6)
    assert Measurement(what="raise_timed", value="4 s").sd == pytest.approx(0.12)
    assert Measurement(what="raise_timed", value="4 s ± 0.2 s").sd == pytest.approx(0.2 / 1.96)
    assert Measurement(what="slope_by_phone", value=0.0).value.value == 0.0


def test_spread_of_each_kind() -> None:
    """Uniform: width over √12; triangular (0, 0, 1): √(1/18)."""
    assert spread_of(Estimate.between(0.0, 12.0**0.5)) == pytest.approx(1.0)
    assert spread_of(Estimate.triangular(0.0, 0.0, 1.0)) == pytest.approx((1 / 18) ** 0.5)
    assert spread_of(Estimate.known(3.0)) == 0.0


def test_the_schema_knows_measurements() -> None:
    schema = schemas()["measurement"]
    assert schema["properties"]["what"]["enum"] == list(ways())
    assert "measurement" in schemas()["inquiry"]["properties"]


def test_plain_data_reads_back_equal() -> None:
    one = Measurement(
        what="front_axle_on_scale", value="1950 lb", carrying="400 lb", on=["operator"], when="2026-11-20"
    )
    assert check(Measurement, one.model_dump(mode="json"), "again", no_lines) == one


anything = st.one_of(
    st.none(), st.booleans(), st.integers(), st.floats(), st.text(max_size=30),
    st.lists(st.text(max_size=5), max_size=3), st.dictionaries(st.text(max_size=6), st.integers(), max_size=3),
)  # fmt: skip
entries = st.fixed_dictionaries(
    {"what": st.one_of(st.sampled_from(sorted(ways())), anything)},
    optional=dict.fromkeys(("value", "seen", "ahead", "carrying", "on", "instead", "by", "when", "odd"), anything),
)


@given(st.lists(entries, max_size=3))
def test_whatever_is_typed_is_a_record_or_named_faults(given_: list[dict[str, object]]) -> None:
    try:
        found = check(Inquiry, {"measurement": given_}, "typed", no_lines)
    except Faults as refused:
        assert refused.faults
        assert all(one.expected for one in refused.faults)
    else:
        for one in found.measurement:
            assert one.way.reads == "seen" or one.sd >= 0.0
