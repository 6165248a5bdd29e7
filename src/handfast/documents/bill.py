"""An outfit's bill in exact money: likely figures to the cent, tax, total and the ceiling."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from handfast.advice.result import CostLine, OutfitAdvice
from handfast.drawings.letters import plain
from handfast.quantities.money import money, rounded_up

TAX, NOT_GOODS = "tax", ("labour", "freight", "tax")
PARTS_ONLY_DROPS = ("labour", "ballast")


@dataclass(frozen=True)
class BillLine:
    """One line of a bill."""

    what: str
    group: str
    amount: Decimal


@dataclass(frozen=True)
class Bill:
    """Lines before tax, tax, total, what it will not exceed; the total is the sum of the rounded lines."""

    lines: tuple[BillLine, ...]
    before_tax: Decimal
    tax_words: str
    tax: Decimal
    total: Decimal
    ceiling: Decimal
    currency: str


def bill_of(one: OutfitAdvice, parts_only: bool = False) -> Bill:
    """The bill of an outfit.

    Args:
        one: the outfit.
        parts_only: without what hangs behind and without fitting; tax falls with the goods, and the ceiling is then
            the sum of the highest figures, rounded up to a round fifty.

    Returns:
        `Bill`.

    >>> from handfast.advice.example import outfit
    >>> bill_of(outfit()).total  # the example names no prices
    Decimal('0.00')
    """
    kept = [c for c in one.cost.lines if c.group != TAX and not (parts_only and c.group in PARTS_ONLY_DROPS)]
    lines = tuple(BillLine(plain(c.what, 160), c.group, money(c.likely)) for c in kept)
    taxes = [c for c in one.cost.lines if c.group == TAX]
    left, goods = _goods(kept), _goods(one.cost.lines)
    tax = sum((money(Decimal(str(c.likely)) * left / (goods or 1)) for c in taxes), Decimal(0))
    before = sum((line.amount for line in lines), Decimal(0))
    total = before + tax
    most = sum(c.high for c in kept) + sum(c.high for c in taxes)
    ceiling = rounded_up(most) if parts_only else money(one.cost.ceiling)
    words = plain("; ".join(c.what for c in taxes), 160)
    return Bill(lines, money(before), words, money(tax), money(total), max(ceiling, total), one.cost.currency)


def _goods(lines: Sequence[CostLine]) -> Decimal:
    """What tax is paid on."""
    return sum((Decimal(str(c.likely)) for c in lines if c.group not in NOT_GOODS), Decimal(0))


def deposit_of(bill: Bill, share: Decimal) -> Decimal:
    """The deposit: a share of the total, to the cent.

    >>> deposit_of(Bill((), Decimal(0), "", Decimal(0), Decimal("99.99"), Decimal(100), "USD"), Decimal("0.25"))
    Decimal('25.00')
    """
    return money(bill.total * share)
