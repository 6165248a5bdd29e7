"""A price book is never read as another currency's; codes are those of ISO 4217."""

from __future__ import annotations

import pytest
from babel import Locale

from handfast.machines.faults import Faults
from handfast.machines.price_book import PriceBook
from handfast.machines.reading import demo_shelf, read_held, read_inquiry
from handfast.machines.shelf import Shelf
from handfast.quantities.currencies import CODES, is_currency

EURO_SHELF = Shelf(price_book=PriceBook(currency="EUR", labour_rate=85.0))


def test_codes_are_those_that_a_general_library_knows() -> None:
    """Source: CLDR's currency names as babel carries them; codes it does not name as money are refused."""
    known = set(Locale("en").currencies)
    assert not CODES - known
    assert {"USD", "EUR", "CAD", "GBP", "CHF", "JPY"} <= CODES
    assert not any(is_currency(code) for code in ("XYZ", "XTS", "XAU", "ABC", "usd", ""))


def test_an_unknown_code_is_a_fault_with_its_place() -> None:
    with pytest.raises(Faults) as caught:
        read_inquiry('title = "x"\ncurrency = "XYZ"\n')
    assert str(caught.value.faults[0]).startswith('Line 2, currency: found "XYZ"; expected a currency of ISO 4217')


def test_a_shelf_priced_in_dollars_refuses_euros() -> None:
    """The dealer's book is in USD: its figures must not come out with EUR behind them."""
    with pytest.raises(Faults) as caught:
        read_held('title = "x"\ncurrency = "EUR"\n[machine]\nrecord = "thimble-24"\n', "a.toml", demo_shelf())
    fault = caught.value.faults[0]
    assert (fault.line, fault.place, fault.found) == (2, "currency", "EUR")
    assert "USD" in fault.expected


def test_a_shelf_without_prices_takes_any_currency() -> None:
    assert read_inquiry('currency = "EUR"').resolve(Shelf()).currency == "EUR"


def test_an_inquiry_that_names_no_currency_takes_the_shelfs() -> None:
    assert read_inquiry('title = "x"').resolve(EURO_SHELF).currency == "EUR"
    with pytest.raises(Faults) as caught:
        read_inquiry('[wishes]\nbudget = "$2600"').resolve(EURO_SHELF)
    assert caught.value.faults[0].place == "wishes.budget"
