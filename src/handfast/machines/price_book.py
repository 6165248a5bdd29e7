"""The dealer's own rates: labour, freight, tax, ownership."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated

from pydantic import AfterValidator, Field
from pydantic_core import PydanticCustomError

from handfast.machines.fields import (
    UNKNOWN,
    Contradiction,
    Density,
    Hours,
    Mass,
    Money,
    Number,
    Quantity,
    Record,
    Share,
    SomeLength,
    Whole,
)
from handfast.machines.prices import DatedRates, Day, MarginRule, backwards
from handfast.quantities.amounts import quoted
from handfast.quantities.currencies import is_currency


def _in_use(code: str) -> str:
    """A code that the standard gives to a currency."""
    if is_currency(code):
        return code
    words = {"found": quoted(code), "expected": "a currency of ISO 4217, such as USD or EUR"}
    raise PydanticCustomError("quantity", "{found}; {expected}", words)


Currency = Annotated[str, Field(pattern=r"^[A-Z]{3}$"), AfterValidator(_in_use)]


class FreightRate(Record):
    """What a shipment up to a mass costs into a zone: a base, and so much a kilogram; any class unless one is named."""

    zone: str
    freight_class: str = ""
    up_to: Mass = UNKNOWN
    base: Money = UNKNOWN
    per_kg: Money = UNKNOWN
    least: Money = UNKNOWN
    valid_from: Day = ""
    valid_to: Day = ""


class Town(Record):
    """A place that is served: its freight zone, how far the dealer's own lorry goes, its tax."""

    name: str
    zone: str = ""
    distance: SomeLength = UNKNOWN
    tax: Share = UNKNOWN


class FluidPrice(Record):
    """Liquid ballast put into a tyre."""

    id: str
    name: str = ""
    density: Density = UNKNOWN
    per_m3: Money = UNKNOWN


class PriceLine(Record):
    """A small thing with a price that no part record carries, such as hitch pins."""

    id: str
    name: str = ""
    price: Money = UNKNOWN
    hours: Hours = UNKNOWN


class PriceBook(Record):
    """Rates in one currency; labour is money an hour, freight extras money a shipment."""

    id: str = ""
    name: str = ""
    notes: str = ""
    currency: Currency = "USD"
    valid_days: Whole | None = None
    valid_from: Day = ""
    valid_to: Day = ""
    labour_rate: Money = UNKNOWN
    field_rate: Money = UNKNOWN
    travel_per_km: Money = UNKNOWN
    set_up_hours: Hours = UNKNOWN
    hours_per_joint: Hours = UNKNOWN
    joint_cost: Money = UNKNOWN
    freight: tuple[FreightRate, ...] = ()
    town: tuple[Town, ...] = ()
    terminal_pickup: Money = UNKNOWN
    lift_gate: Money = UNKNOWN
    by_hand: Money = UNKNOWN
    residential: Money = UNKNOWN
    limited_access: Money = UNKNOWN
    appointment: Money = UNKNOWN
    redelivery: Money = UNKNOWN
    fuel_share: Share = UNKNOWN
    delivery_per_km: Money = UNKNOWN
    delivery_least: Money = UNKNOWN
    tax: Share = UNKNOWN
    discount: Share = UNKNOWN
    deposit: Share = UNKNOWN
    restocking: Share = UNKNOWN
    margin: tuple[MarginRule, ...] = ()
    rates: tuple[DatedRates, ...] = ()
    counterweight_per_kg: Money = UNKNOWN
    oil_per_m3: Money = UNKNOWN
    fluid: tuple[FluidPrice, ...] = ()
    line: tuple[PriceLine, ...] = ()
    hire_per_day: Money = UNKNOWN
    hire_with_tractor_per_day: Money = UNKNOWN
    driver_per_hour: Money = UNKNOWN
    fuel_per_m3: Money = UNKNOWN
    interest: Share = UNKNOWN
    life_years: Number = UNKNOWN
    resale: Share = UNKNOWN
    repair: Share = UNKNOWN

    def contradictions(self) -> Iterator[Contradiction]:
        """A share of a price is no more than the price."""
        for name in ("tax", "discount", "deposit", "restocking", "resale"):
            share = getattr(self, name)
            if not share.is_unknown and share.greatest > 1:
                yield Contradiction(name, share.text or f"{share.value:g}", "a share of at most 100 %")
        dated = [("", self), *((f"freight[{i}].", one) for i, one in enumerate(self.freight))]
        dated += [(f"rates[{i}].", one) for i, one in enumerate(self.rates)]
        for place, one in dated:
            yield from backwards(place, one)
        for i, rule in enumerate(self.margin):
            if not rule.least_margin.is_unknown and rule.least_margin.greatest >= 1:
                yield Contradiction(f"margin[{i}].least_margin", rule.least_margin.text, "a share below 100 %")

    @property
    def priced(self) -> bool:
        """Whether it holds any amount of money."""
        for name, field in type(self).model_fields.items():
            held = getattr(self, name)
            money = any(isinstance(mark, Quantity) and mark.dimension == "money" for mark in field.metadata)
            if (money and not held.is_unknown) or (isinstance(held, tuple) and held):
                return True
        return False
