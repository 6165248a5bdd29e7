"""Money: exact decimals, one currency at a time."""

from __future__ import annotations

import re
from decimal import ROUND_CEILING, ROUND_HALF_UP, Decimal

CENT = Decimal("0.01")

_SIGNS = {"€": "EUR", "£": "GBP", "US$": "USD", "C$": "CAD", "CA$": "CAD", "A$": "AUD", "NZ$": "NZD"}
_DOLLARS = ("USD", "CAD", "AUD", "NZD")
_CODES = (*_DOLLARS, "EUR", "GBP", "CHF", "SEK", "NOK", "DKK", "PLN", "CZK", "HUF", "JPY", "MXN", "ZAR", "INR")
CURRENCIES = _CODES
_MARK = rf"(?:US\$|CA?\$|A\$|NZ\$|[$€£]|\b(?:{'|'.join(_CODES)})\b)"
_AROUND = re.compile(rf"(?P<before>{_MARK})?\s*(?P<number>.*?)\s*(?P<after>{_MARK})?", re.IGNORECASE | re.DOTALL)


def split_currency(text: str) -> tuple[str, str]:
    """Part a price into its currency mark and its number.

    Args:
        text: one price as somebody wrote it.

    Returns:
        currency code ("$" where it may be any dollar, empty where none stands), and the rest.

    >>> split_currency("$1,599"), split_currency("1.599 €")
    (('$', '1,599'), ('EUR', '1.599'))
    """
    match = _AROUND.fullmatch(text.strip())
    if match is None or (match["before"] and match["after"]):
        return "", text
    mark = (match["before"] or match["after"] or "").upper()
    sign, number = re.fullmatch(r"(-?)\s*(.*)", match["number"], re.DOTALL).groups()  # type: ignore[union-attr]
    return _SIGNS.get(mark, mark), sign + number


def currency_of(text: str) -> str:
    """The currency that a price as read carries.

    Args:
        text: the echo of a price, or any text with one price in it.

    Returns:
        currency code, "$" for some dollar, or empty.

    >>> currency_of("1599 EUR"), currency_of("1250 to 1400")
    ('EUR', '')
    """
    mark = re.search(_MARK, text)
    return _SIGNS.get(mark[0], mark[0]) if mark else ""


def same_currency(mark: str, currency: str) -> bool:
    """Whether a price's mark can mean this currency.

    Args:
        mark: what `currency_of` gave.
        currency: currency code of the inquiry or price book.

    Returns:
        True for no mark, the same code, or a dollar sign where the currency is a dollar.

    >>> same_currency("$", "CAD"), same_currency("EUR", "USD")
    (True, False)
    """
    return mark in ("", currency) or (mark == "$" and currency in _DOLLARS)


def money(value: float | int | str | Decimal) -> Decimal:
    """An amount of money to the cent, halves away from zero.

    Args:
        value: amount in currency units.

    Returns:
        amount with two decimals.

    >>> money(2.345), money("19.995")
    (Decimal('2.35'), Decimal('20.00'))
    """
    return Decimal(str(value)).quantize(CENT, rounding=ROUND_HALF_UP)


def rounded_up(value: float | Decimal, step: int = 50) -> Decimal:
    """The next multiple of a step, never less than the amount.

    Args:
        value: amount in currency units.
        step: step in currency units.

    Returns:
        whole multiple of `step`.

    >>> rounded_up(2290.01), rounded_up(2300)
    (Decimal('2300'), Decimal('2300'))
    """
    steps = (Decimal(str(value)) / step).to_integral_value(rounding=ROUND_CEILING)
    return steps * step


def show_money(value: float | Decimal, currency: str = "USD", cents: bool = False) -> str:
    """An amount of money as it is printed.

    Args:
        value: amount in currency units.
        currency: currency code.
        cents: whether the cents are shown.

    Returns:
        text such as "$1,599" or "1,599 EUR".

    >>> show_money(1599), show_money(-12.5, "EUR", cents=True)
    ('$1,599', '-12.50 EUR')
    """
    exact = money(value) if cents else Decimal(str(value)).quantize(Decimal(1), rounding=ROUND_HALF_UP)
    number = f"{abs(exact):,}"
    sign = "-" if exact < 0 else ""
    return f"{sign}${number}" if currency == "USD" else f"{sign}{number} {currency}"
