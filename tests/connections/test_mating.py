"""Which ends meet, by the standards' own statements."""

from __future__ import annotations

import pytest

from handfast.connections.mating import (
    End,
    families,
    interface,
    mates,
    plain_size,
    read_family,
    read_interface,
    show_connection,
)
from handfast.quantities.tables import table


def test_farm_coupler_and_series_a_are_one_interface():
    """ISO 5675: the interface is that of ISO 7241 series A, size 12.5 (couplers.csv)."""
    assert mates(End("coupler_ag", "1/2", "male"), End("coupler_a", "1/2", "female"))
    assert mates(End("coupler_a", "12.5", "male"), End("coupler_ag", "-8", "female"))
    assert not mates(End("coupler_ag", "1/2", "male"), End("coupler_b", "1/2", "female"))
    assert not mates(End("coupler_ag", "1/2", "male"), End("coupler_flat", "1/2", "female"))


@pytest.mark.parametrize(
    ("one", "other"),
    [
        (End("flare37", "-8", "male"), End("orb", "-8", "female")),  # same thread 3/4-16, another seal
        (End("npt", "1/2", "male"), End("npsm", "1/2", "female")),
        (End("bspp", "1/2", "male"), End("bspt", "1/2", "female")),
        (End("orb", "-8", "male"), End("orb", "-8", "male")),
        (End("orb", "-8", "male"), End("orb", "-6", "female")),
    ],
)
def test_look_alikes_do_not_mate(one: End, other: End):
    assert not mates(one, other)
    assert not mates(other, one)


def test_every_thread_mates_with_itself_only():
    """Every family and size of threads.csv: one mate, its own other gender."""
    ends = [End(row["family_id"], row["size"], g) for row in table("threads.csv") for g in ("male", "female")]
    for one in ends:
        mate = [other for other in ends if mates(one, other)]
        assert [(m.family, m.size) for m in mate] == [(one.family, one.size)]


@pytest.mark.parametrize(
    ("family", "written", "plain"),
    [
        ("npt", "3/4", "-12"), ("npt", "1 1/4 in", "-20"), ("bspp", "1", "-16"), ("coupler_flat", "20 mm", "-12"),
        ("coupler_a", "1", "-16"), ("m_port", "M18x1.5", "M18"), ("din24_light", "15l", "15L"), ("orb", "-8", "-8"),
    ],
)  # fmt: skip
def test_sizes_as_people_write_them(family: str, written: str, plain: str):
    """Dash sizes are sixteenths of an inch; ISO coupler sizes 12.5 and 20 are 1/2 and 3/4."""
    assert plain_size(family, written) == plain


def test_short_forms_are_understood_and_shown_as_the_standard():
    assert read_family("JIC") == "flare37"
    assert read_family("din light") == "din24_light"
    assert read_family("iso 5675") == "coupler_ag"
    shown = show_connection(End("flare37", "-8", "male"))
    assert "SAE J514" in shown
    assert "jic" not in shown.lower()


def test_breaks_are_read():
    assert read_interface("flat face 1/2") == interface("coupler_flat", "12.5")
    for text in ("", "coupler_flat", "glue 1/2"):
        with pytest.raises(ValueError, match="family and size"):
            read_interface(text)


def test_every_family_of_the_records_is_there():
    """The families by their standards' names."""
    assert set(families()) == {
        "flare37", "orb", "orfs", "npt", "nptf", "npsm", "bspp", "bspt", "m_port", "din24_light", "din24_heavy",
        "coupler_flat", "coupler_a", "coupler_b", "coupler_ag",
    }  # fmt: skip
