"""What a dealer sets for an offer: its ways, what may be chosen, who takes the weight behind, the terms."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from handfast.advice.result import Axles, CostLine, OutfitAdvice
from handfast.documents.bill import Bill, bill_of
from handfast.machines.settings import ACCEPTED, DECLINED, LEAST_SHARE

BARE, OFFERED = "loaded_furthest_bare", "loaded_furthest"
FRONT = ("balance.front_axle", "balance.front_tyres")
MOST_WAYS = 3


@dataclass(frozen=True)
class Option:
    """Something that the customer takes or leaves, at a price before tax."""

    id: str
    what: str
    low: float
    likely: float
    high: float
    group: str
    """The lines of the bill that it stands for; "spare" stands for none and is added."""
    chosen: bool = True

    @property
    def added(self) -> bool:
        """Whether it comes on top of what costing reckoned."""
        return self.group == "spare"

    @property
    def line(self) -> CostLine:
        """Its line on the bill."""
        return CostLine(self.what, self.group, True, self.low, self.likely, self.high, "sheet")


@dataclass(frozen=True)
class Way:
    """One outfit of an offer, in the dealer's words."""

    outfit: str
    name: str = ""
    options: tuple[Option, ...] = ()


@dataclass(frozen=True)
class Acceptance:
    """Who accepted an offer, or declined it, how and when, and the digest of what was shown."""

    became: str
    name: str
    how: str
    on: str
    digest: str


@dataclass(frozen=True)
class Terms:
    """What a dealer sets for a quotation."""

    customer: str = ""
    state: str = "draft"
    deposit: Decimal = Decimal(0)
    """Share of the total paid with the order."""
    restocking: Decimal = Decimal(0)
    """Share of the price of unused goods that is kept back where they come back."""
    lead: str = "From stock within a week of the order; what is built to order as its maker confirms."
    freight: str = "Carriage to the dealer as listed; the driver brings it to the tail of the truck."
    labour: str = "Fitting in the dealer's shop at the hours listed; hours beyond the ceiling are not charged."
    returns: tuple[str, ...] = (
        "Ask before anything is sent back; what was made or cut to order, and what has been fitted, stays sold.",
        "Where the dealer picked wrong, the dealer pays carriage both ways.",
    )
    warranty: str = "As the makers give it; defects, not wear or misuse. A change to the outfit ends it."
    not_included: tuple[str, ...] = (
        "Repair of what is found worn or broken on the tractor.",
        "A roll bar or belt where the tractor has none.",
        "Concrete, sand or water for weights that are filled at home.",
        "Permits, and work on the ground or gates.",
    )
    ballast: Literal["open", "accepted", "declined"] = "open"
    ballast_by: str = ""
    ballast_on: str = ""
    seen_by: str = ""
    second: str = ""
    """The second named person of the house, who confirmed an offer of parts only."""
    second_on: str = ""
    least_share: float = LEAST_SHARE
    """Share on the rear axle below which declined weight makes it an offer of parts only."""
    reached: str = ""
    """Where the dealer is reached, in one line."""
    accepted: str = ACCEPTED
    declined: str = DECLINED
    ways: tuple[Way, ...] = ()
    said: str = ""
    """What the dealer tells the customer beside the figures."""
    acceptance: Acceptance | None = None


def way_of(terms: Terms, one: OutfitAdvice) -> Way:
    """How an outfit is offered; plain where nothing was set."""
    return next((way for way in terms.ways if way.outfit == one.id), Way(one.id))


def pose(one: OutfitAdvice, name: str) -> Axles | None:
    """The axle loads of a pose."""
    return next((a for a in one.axles if a.pose == name), None)


def low_bare(one: OutfitAdvice, terms: Terms) -> bool:
    """Whether the rear axle carries less than is asked while nothing hangs behind."""
    bare = pose(one, BARE)
    return bare is not None and bare.rear_share < terms.least_share


def past_rating_bare(one: OutfitAdvice) -> bool:
    """Whether front axle or front tyres carry more than their rating while nothing hangs behind."""
    bare = pose(one, BARE)
    ratings = [c.capacity.p50 for c in one.checks if c.id in FRONT and c.capacity is not None]
    return bare is not None and any(bare.front > rating for rating in ratings)


def parts_only(one: OutfitAdvice, terms: Terms) -> bool:
    """Whether the weight behind was declined where the rear axle would carry less than the written rule asks.

    So it is, too, where the front axle or its tyres would carry more than their rating.
    """
    return terms.ballast == "declined" and (low_bare(one, terms) or past_rating_bare(one))


def without(one: OutfitAdvice, terms: Terms) -> Collection[str]:
    """Groups of lines that are not part of what is offered."""
    left = {o.group for o in way_of(terms, one).options if not o.chosen and not o.added}
    return left | ({"ballast"} if terms.ballast == "declined" else set())


def offered_bill(one: OutfitAdvice, terms: Terms) -> Bill:
    """The bill of an outfit as it is offered: options taken or left, weight behind taken or declined."""
    more = [o.line for o in way_of(terms, one).options if o.chosen and o.added]
    return bill_of(one, parts_only(one, terms), without(one, terms), more)
