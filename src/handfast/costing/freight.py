"""Freight: density, class, and the dealer's own rates."""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import cache
from math import inf, isnan, nan

import numpy as np

from handfast.machines.attachment import Attachment, SeenElsewhere
from handfast.machines.inquiry import Caller
from handfast.machines.price_book import FreightRate, PriceBook, Town
from handfast.quantities.arrays import Array, ArrayLike
from handfast.quantities.estimate import Estimate
from handfast.quantities.tables import table
from handfast.quantities.units import to_si

CRATE = 1.08  # packed mass over attachment mass where the sheet does not say (practice)
ROUNDING = 1.0 + 1e-9  # a weight break holds up to and with its last pound, whatever unit it was written in


def freight_class(mass: ArrayLike, length: ArrayLike, width: ArrayLike, height: ArrayLike) -> Array:
    """Freight class of a packed piece by its density.

    Args:
        mass: gross mass [kg], any shape.
        length: greatest length [m], broadcasts.
        width: greatest width [m], broadcasts.
        height: greatest height [m], broadcasts.

    Returns:
        Class number, NaN where anything is not known.

    Source: 13-step density scale of freight_class.csv (lb/ft³; lower bound belongs to the step).

    Example:
        >>> float(freight_class(100.0, 1.0, 1.0, 1.0))
        125.0
    """
    cubic = np.asarray(length, float) * np.asarray(width, float) * np.asarray(height, float)
    density = np.asarray(mass, float) / cubic / to_si(1.0, "lb/ft3") * (1.0 + 1e-9)  # a bound belongs to its own step
    lows, classes = _scale()
    place = np.searchsorted(lows, density, side="right") - 1
    return np.where(np.isnan(density), np.nan, classes[np.clip(place, 0, len(classes) - 1)])


@cache
def _scale() -> tuple[Array, Array]:
    rows = sorted((float(r["density_min_pcf_inclusive"]), float(r["class"])) for r in table("freight_class.csv"))
    return np.array([low for low, _ in rows]), np.array([number for _, number in rows])


def packed_mass(attachment: Attachment) -> float:
    """Mass of the attachment as packed [kg]; NaN when not known.

    Args:
        attachment: the record.

    Returns:
        Mass [kg].

    Example:
        >>> packed_mass(Attachment(mass=Estimate.known(100.0)))
        108.0
    """
    shipping = attachment.shipping
    if shipping is not None and not shipping.mass.is_unknown:
        return shipping.mass.value
    return CRATE * attachment.mass.value


def class_of(attachment: Attachment) -> float:
    """Freight class of a shipment: as its sheet says, else by its density as packed; NaN when neither is known.

    Args:
        attachment: the record.

    Returns:
        Class number.

    Source: as `freight_class`.

    Example:
        >>> from handfast.machines.attachment import Shipping
        >>> class_of(Attachment(shipping=Shipping(freight_class="92.5"))), class_of(Attachment())
        (92.5, nan)
    """
    shipping = attachment.shipping
    if shipping is None:
        return nan
    if not isnan(named := class_number(shipping.freight_class)):
        return named
    sizes = (shipping.length.value, shipping.width.value, shipping.height.value)
    return float(freight_class(packed_mass(attachment), *sizes))


def class_number(text: str) -> float:
    """The number in a class as somebody wrote it; NaN where there is none.

    Args:
        text: such as "85" or "class 92.5".

    Returns:
        Class number.

    Example:
        >>> class_number("class 92.5"), class_number("")
        (92.5, nan)
    """
    found = re.search(r"\d+(?:\.\d+)?", text)
    return float(found[0]) if found else nan


def zone_of(caller: Caller, book: PriceBook) -> str:
    """The caller's freight zone: named, or that of the town; empty when neither is known.

    Args:
        caller: who asks.
        book: the price book.

    Returns:
        Zone.

    Example:
        >>> zone_of(Caller(freight_zone="B"), PriceBook())
        'B'
    """
    if caller.freight_zone:
        return caller.freight_zone
    town = town_of(caller, book)
    return town.zone if town is not None else ""


def town_of(caller: Caller, book: PriceBook) -> Town | None:
    """The town of the caller as the price book lists it.

    Args:
        caller: who asks.
        book: the price book.

    Returns:
        Town or None.

    Example:
        >>> town_of(Caller(place="Sawpit Bend"), PriceBook()) is None
        True
    """
    wanted = caller.place.strip().lower()
    return next((town for town in book.town if town.name.strip().lower() == wanted), None)


def freight_lines(attachment: Attachment, caller: Caller, book: PriceBook) -> list[tuple[str, Estimate]]:
    """What bringing it costs: base by zone and mass, fuel, and what the place asks for.

    Args:
        attachment: what is sent.
        caller: where to, and how it is unloaded.
        book: the dealer's rates.

    Returns:
        (what, estimate) lines; empty where no rate is on file.

    Source: the dealer's price book: zone, then class, then the first weight break that holds the mass; beyond the last
        break its price a kilogram goes on.

    Example:
        >>> freight_lines(Attachment(), Caller(), PriceBook())
        []
    """
    if isinstance(attachment, SeenElsewhere) and attachment.shipping_included:
        return []
    mass = packed_mass(attachment)
    rate = _rate(mass, class_of(attachment), zone_of(caller, book), book)
    if rate is None:
        return []
    lines = [("Freight", _plus_share(_by_mass(rate, mass), book.fuel_share))]
    extras = (
        ("Lift gate", book.lift_gate, caller.unloading == "lift_gate"),
        ("Unloaded by hand", book.by_hand, caller.unloading == "by_hand" and book.by_hand.high > 0),
        ("Residential delivery", book.residential, bool(caller.residential)),
        ("Limited access", book.limited_access, bool(caller.limited_access)),
    )
    return lines + [(what, price) for what, price, wanted in extras if wanted and not price.is_unknown]


def _rate(mass: float, number: float, zone: str, book: PriceBook) -> FreightRate | None:
    rates = _of_class([r for r in book.freight if r.zone == zone] or _dearest(book), number)
    fitting = [r for r in rates if r.up_to.is_unknown or not mass > r.up_to.value * ROUNDING]
    if not fitting and rates:
        return _beyond(max(rates, key=lambda r: r.up_to.value), mass)
    return min(fitting, key=lambda r: inf if r.up_to.is_unknown else r.up_to.value, default=None)


def _of_class(rates: Sequence[FreightRate], number: float) -> list[FreightRate]:
    """The rates of this class; else those of any class; else of the next dearer one, or of the dearest there is."""
    by_class: dict[float, list[FreightRate]] = {}
    for rate in rates:
        named = class_number(rate.freight_class)
        by_class.setdefault(0.0 if isnan(named) else named, []).append(rate)
    if number in by_class or 0.0 in by_class or not by_class:
        return by_class.get(number, by_class.get(0.0, []))
    return by_class[min((one for one in by_class if one >= number), default=max(by_class))]


def _beyond(last: FreightRate, mass: float) -> FreightRate:
    """Beyond the last weight break: what that break costs a kilogram goes on."""
    more = mass / last.up_to.value
    return last.model_copy(update={"base": last.base.scaled(more), "up_to": Estimate.unknown()})


def _dearest(book: PriceBook) -> list[FreightRate]:
    """Where the zone is not known the dearest one is said, so that the ceiling holds."""
    zones = {r.zone for r in book.freight}
    worst = max(zones, key=lambda z: max(r.base.value for r in book.freight if r.zone == z), default=None)
    return [r for r in book.freight if r.zone == worst]


def _by_mass(rate: FreightRate, mass: float) -> Estimate:
    """Base and so much a kilogram, at least the least."""
    each = [] if rate.base.is_unknown else [rate.base]
    if not rate.per_kg.is_unknown and np.isfinite(mass):
        each.append(rate.per_kg.scaled(mass))
    low, likely, high = (sum(getattr(one, name) for one in each) for name in ("low", "likely", "high"))
    if not rate.least.is_unknown:
        low, likely, high = (
            max(v, getattr(rate.least, n)) for v, n in ((low, "low"), (likely, "likely"), (high, "high"))
        )
    return Estimate.triangular(low, likely, high, origin=rate.base.origin)


def _plus_share(base: Estimate, share: Estimate) -> Estimate:
    if share.is_unknown:
        return base
    low, likely, high = (getattr(base, n) * (1.0 + getattr(share, n)) for n in ("low", "likely", "high"))
    return Estimate.triangular(low, likely, high, origin=base.origin)
