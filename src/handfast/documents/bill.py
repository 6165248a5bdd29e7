"""An outfit's bill in exact money: likely figures to the cent, tax, total and the ceiling."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from decimal import Decimal

from handfast.advice.result import CostLine, OutfitAdvice
from handfast.drawings.letters import plain
from handfast.quantities.money import money, rounded_up

TAX, DISCOUNT, NOT_GOODS = "tax", "discount", ("labour", "freight", "tax", "discount")
PARTS_ONLY_DROPS = ("labour", "ballast")
KEPT_WHOLE = ("join", "parts")  # cut, filled or opened for this job: not taken back
SHARE = Decimal("1e-9")  # a share is read back from figures that were multiplied by it


@dataclass(frozen=True)
class BillLine:
    """One line of a bill."""

    what: str
    group: str
    amount: Decimal


@dataclass(frozen=True)
class Bill:
    """Lines before tax, tax, total, what it will not exceed.

    Each line is rounded to the cent, half a cent up; discount and tax are shares of the rounded goods, each rounded
    once; every sum is the sum of what is shown, so that paper, page and terminal add up.
    """

    lines: tuple[BillLine, ...]
    before_tax: Decimal
    tax_words: str
    tax: Decimal
    total: Decimal
    ceiling: Decimal
    currency: str


def bill_of(
    one: OutfitAdvice, parts_only: bool = False, without: Collection[str] = (), more: Sequence[CostLine] = ()
) -> Bill:
    """The bill of an outfit.

    Args:
        one: the outfit.
        parts_only: without what hangs behind and without fitting; discount and tax fall with the goods, and the
            ceiling is then the sum of the highest figures, rounded up to a round fifty.
        without: further groups of lines that are left out, in the same way.
        more: lines that are added; the ceiling rises by their highest figures.

    Returns:
        `Bill`.

    >>> from handfast.advice.example import outfit
    >>> bill_of(outfit()).total  # the example names no prices
    Decimal('0.00')
    """
    every, out = one.cost.lines, {*without, *(PARTS_ONLY_DROPS if parts_only else ())}
    kept = [c for c in every if c.group not in (TAX, DISCOUNT, *out)]
    left_out = any(c.group in out for c in every)
    kept += more
    lines = [BillLine(plain(c.what, 160), c.group, cents(c.likely)) for c in kept]
    goods = _goods(lines)
    off = [c for c in every if c.group == DISCOUNT]
    likely = sum(c.likely for c in every if c.group not in NOT_GOODS)
    lines += [BillLine(plain(c.what, 160), DISCOUNT, -money(goods * _share(-c.likely, likely))) for c in off]
    taxed = goods + sum((line.amount for line in lines if line.group == DISCOUNT), Decimal(0))
    taxes = [c for c in every if c.group == TAX]
    before_tax = likely + sum(c.likely for c in off)
    tax = sum((money(taxed * _share(c.likely, before_tax)) for c in taxes), Decimal(0))
    before = sum((line.amount for line in lines), Decimal(0))
    total = before + tax
    ceiling = _ceiling(one, [*kept, *off, *taxes], left_out or parts_only, more)
    words = plain("; ".join(c.what for c in taxes), 160)
    return Bill(tuple(lines), money(before), words, money(tax), money(total), max(ceiling, total), one.cost.currency)


def _ceiling(one: OutfitAdvice, lines: Sequence[CostLine], left_out: bool, more: Sequence[CostLine]) -> Decimal:
    """ "Not more than": never above that of the whole outfit where something of it is left out."""
    taxed = 1 + sum((c.high for c in lines if c.group == TAX), 0.0) / (sum(c.high for c in lines if _is_goods(c)) or 1)
    risen = rounded_up(one.cost.ceiling + taxed * sum(c.high for c in more)) if more else money(one.cost.ceiling)
    return min(rounded_up(sum(c.high for c in lines)), risen) if left_out else risen


def _is_goods(line: CostLine) -> bool:
    return line.group not in NOT_GOODS


def cents(value: float) -> Decimal:
    """A figure that was reckoned in floats, to the cent: half a cent that floats have lost is up all the same.

    >>> cents(4.5 * 1.15), cents(0.1 + 0.2)
    (Decimal('5.18'), Decimal('0.30'))
    """
    return money(round(value, 7))


def _goods(lines: Sequence[BillLine]) -> Decimal:
    """What discount is given on."""
    return sum((line.amount for line in lines if line.group not in NOT_GOODS), Decimal(0))


def _share(part: float, whole: float) -> Decimal:
    """The share that a part was made by."""
    return (Decimal(str(part)) / Decimal(str(whole))).quantize(SHARE) if whole else Decimal(0)


def deposit_of(bill: Bill, share: Decimal) -> Decimal:
    """The deposit: a share of the total, to the cent.

    >>> deposit_of(Bill((), Decimal(0), "", Decimal(0), Decimal("99.99"), Decimal(100), "USD"), Decimal("0.25"))
    Decimal('25.00')
    """
    return money(bill.total * share)


def restocking_of(bill: Bill, share: Decimal) -> Decimal:
    """What is kept back where everything that can go back on the shelf comes back, to the cent.

    A share of the attachment, the mount, the kit and the ballast at what was paid for them before tax; what was cut or
    filled for the job, fitting and carriage are no part of it.

    >>> goods = (BillLine("grapple", "attachment", Decimal("1000.00")), BillLine("hoses", "join", Decimal("200.00")))
    >>> restocking_of(Bill(goods, Decimal(0), "", Decimal(0), Decimal(0), Decimal(0), "USD"), Decimal("0.15"))
    Decimal('150.00')
    """
    goods = _goods(bill.lines)
    back = sum((one.amount for one in bill.lines if one.group not in (*NOT_GOODS, *KEPT_WHOLE)), Decimal(0))
    off = sum((one.amount for one in bill.lines if one.group == DISCOUNT), Decimal(0))
    return money(share * (back + off * back / goods)) if goods else Decimal("0.00")
