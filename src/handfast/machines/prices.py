"""Prices that hold for a time, and how a selling price follows from a cost."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence
from datetime import date
from typing import Annotated, Any

from pydantic import BeforeValidator

from handfast.machines.fields import UNKNOWN, Contradiction, Money, Record, Share, _refusal
from handfast.quantities.amounts import quoted
from handfast.quantities.estimate import Estimate


def _iso_day(given: object) -> object:
    """A day of the calendar as year-month-day, or nothing."""
    if isinstance(given, date):
        return given.isoformat()[:10]
    text = given.strip() if isinstance(given, str) else given
    if text == "" or given is None:
        return ""
    try:
        if isinstance(text, str) and re.fullmatch(r"\d{4}-\d\d-\d\d", text):
            return date.fromisoformat(text).isoformat()
    except ValueError:
        pass
    raise _refusal(quoted(str(given)), "a day such as 2026-01-31")


Day = Annotated[str, BeforeValidator(_iso_day)]


class DatedPrice(Record):
    """What a thing costs for a time: from a day on, up to and with another; an open end has no day."""

    valid_from: Day = ""
    valid_to: Day = ""
    price: Money = UNKNOWN
    list_price: Money = UNKNOWN
    cost: Money = UNKNOWN
    supplier: str = ""


class MarginRule(Record):
    """How a cost becomes a price: of a kind, of a supplier, of both, or of everything where neither is named."""

    kind: str = ""
    supplier: str = ""
    markup: Share = UNKNOWN  # on the cost
    off_list: Share = UNKNOWN  # off the supplier's list price
    least_margin: Share = UNKNOWN  # of the price
    round_to: Money = UNKNOWN  # prices are whole multiples of it, rounded up


class DatedRates(Record):
    """Rates of the price book that hold for a time in place of its own; what is not named stays."""

    valid_from: Day = ""
    valid_to: Day = ""
    labour_rate: Money = UNKNOWN
    field_rate: Money = UNKNOWN
    travel_per_km: Money = UNKNOWN
    lift_gate: Money = UNKNOWN
    residential: Money = UNKNOWN
    limited_access: Money = UNKNOWN
    fuel_share: Share = UNKNOWN
    tax: Share = UNKNOWN
    discount: Share = UNKNOWN
    deposit: Share = UNKNOWN
    restocking: Share = UNKNOWN


def backwards(place: str, one: Any) -> Iterator[Contradiction]:
    """A time that ends before it begins."""
    if one.valid_from and one.valid_to and one.valid_to < one.valid_from:
        yield Contradiction(f"{place}valid_to", one.valid_to, f"a day not before {one.valid_from}")


def holds_on(day: str, valid_from: str, valid_to: str) -> bool:
    """Whether a price holds on a day; both ends count.

    >>> holds_on("2026-03-31", "2026-01-01", "2026-03-31"), holds_on("2026-04-01", "", "2026-03-31")
    (True, False)
    """
    return (not valid_from or valid_from <= day) and (not valid_to or day <= valid_to)


def rule_of(kind: str, supplier: str, rules: Sequence[MarginRule]) -> MarginRule | None:
    """The rule that suits best: both named, then the supplier, then the kind, then neither.

    >>> rules = MarginRule(markup=0.3), MarginRule(kind="hose", markup=0.5), MarginRule(supplier="Thimble", markup=0.4)
    >>> [rule_of(*asked, rules).markup.value for asked in (("hose", ""), ("hose", "thimble"), ("oil", ""))]
    [0.5, 0.4, 0.3]
    """
    given = kind.casefold(), supplier.casefold().strip()
    fitting = [
        one
        for one in rules
        if one.kind.casefold().replace(" ", "_") in ("", given[0]) and one.supplier.casefold().strip() in ("", given[1])
    ]
    return max(fitting, key=lambda one: (bool(one.supplier), bool(one.kind)), default=None)


def sold_at(cost: Estimate, list_price: Estimate, rule: MarginRule) -> Estimate:
    """What a rule makes of a cost: marked up, or off the list; never below the least margin; rounded up to a step.

    Args:
        cost: to the dealer.
        list_price: the supplier's own.
        rule: the rule.

    Returns:
        The price, of origin "computed"; unknown where the rule has nothing to start from.

    >>> rule = MarginRule(markup=0.25, least_margin=0.3, round_to=5)
    >>> sold_at(Estimate.known(100), UNKNOWN, rule).value  # 125 would leave 20 %; 100 / 0.7 = 142.86, up to 145
    145.0
    """
    ends = [_sold_at(*each, rule) for each in zip(_ends(cost), _ends(list_price), strict=True)]
    if any(math.isnan(one) for one in ends):
        return UNKNOWN
    low, likely, high = sorted(ends)
    return Estimate.triangular(low, likely, high, origin="computed")


def _ends(one: Estimate) -> tuple[float, float, float]:
    return one.low, one.likely, one.high


def _sold_at(cost: float, listed: float, rule: MarginRule) -> float:
    least = cost / (1.0 - rule.least_margin.value) if rule.least_margin.value < 1.0 else math.nan
    ways = (cost * (1.0 + rule.markup.value), listed * (1.0 - rule.off_list.value))
    found = next((one for one in ways if not math.isnan(one)), math.nan)
    found = max(one for one in (found, least) if not math.isnan(one)) if found == found or least == least else math.nan
    step = rule.round_to.value
    return math.ceil(found / step - 1e-9) * step if step > 0 and not math.isnan(found) else found


def margin(price: Estimate, cost: Estimate) -> float:
    """What is left of a price once the cost is paid, as a share of the price; NaN where either is not known.

    >>> margin(Estimate.known(200), Estimate.known(150))
    0.25
    """
    return 1.0 - cost.value / price.value if price.value > 0 else math.nan
