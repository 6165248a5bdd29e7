"""Tables must say where they come from; money is exact."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import pytest

from handfast.quantities.money import currency_of, money, rounded_up, same_currency, show_money, split_currency
from handfast.quantities.tables import DATA, read_table, table

TABLES = sorted(path.relative_to(DATA).as_posix() for path in DATA.rglob("*.csv"))


@pytest.mark.parametrize("name", TABLES)
def test_every_table_of_the_house_names_source_and_status(name: str) -> None:
    assert table(name)


@pytest.mark.parametrize(
    ("text", "fault"),
    [
        ("a,source\n1,x\n", "needs a source column"),
        ("a,status\n1,seen\n", "needs a source column"),
        ("a,source,status\n1,,seen\n", "no source or no status"),
        ("a,source,seen_or_memory\n1,x,\n", "no source or no seen_or_memory"),
        ("a,source,status\n1,x\n", "another number of cells"),
        ("a,source,status\n1,x,seen,more\n", "another number of cells"),
    ],
)
def test_a_row_without_source_or_status_is_refused(tmp_path: Path, text: str, fault: str) -> None:
    path = tmp_path / "bad.csv"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(ValueError, match=fault):
        read_table(path)


def test_cents_are_rounded_half_up_and_binary_dust_does_not_count() -> None:
    assert money(0.1 + 0.2) == Decimal("0.30")
    assert money("2.675") == Decimal("2.68")  # a float of it would give 2.67
    assert sum(money("0.10") for _ in range(10)) == Decimal("1.00")


def test_spoken_prices_go_up_to_the_next_fifty() -> None:
    assert [rounded_up(value) for value in (2290, 2300, 2300.01, 0)] == [2300, 2300, 2350, 0]


def test_currency_marks() -> None:
    assert split_currency("US$ 12") == ("USD", "12")
    assert split_currency("12 EUR") == ("EUR", "12")
    assert split_currency("12") == ("", "12")
    assert currency_of("1250 $ to 1400 $") == "$"
    assert same_currency("$", "USD") and same_currency("$", "CAD") and not same_currency("$", "EUR")
    assert not same_currency("EUR", "USD")


def test_shown_money() -> None:
    assert show_money(Decimal("1599.5")) == "$1,600"
    assert show_money(1599, "EUR") == "1,599 EUR"
    assert show_money(-3.5, cents=True) == "-$3.50"
