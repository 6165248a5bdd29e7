"""The bill of one outfit: every line low, likely, high, with what people forget marked as hidden."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from math import isnan

from handfast.costing.freight import freight_lines, town_of
from handfast.costing.lines import GOODS as GOODS
from handfast.costing.lines import Line as Line
from handfast.costing.sundries import sundry_lines
from handfast.machines.attachment import Attachment
from handfast.machines.inquiry import Inquiry
from handfast.machines.part import Part
from handfast.machines.shelf import Shelf
from handfast.outfits.ballast import BallastSet
from handfast.outfits.bench import Join
from handfast.outfits.learnt import dated, learnt
from handfast.outfits.outfit import Outfit
from handfast.outfits.parts_list import route_lines
from handfast.quantities.estimate import Estimate

WORK, CARRIAGE, TAX = "labour", "freight", "tax"
RECKONED_HOURS, MEASURED_HOURS = (0.85, 1.35), (0.9, 1.15)  # share of the hours at least and at most (practice)
GROUP_OF = {"quick_attach_kit": "mount", "adapter_plate": "mount", "valve_kit": "power"}


Section = tuple[Line, ...]
Key = tuple[object, ...]


def price_lines(
    outfit: Outfit,
    ballast: BallastSet | None,
    join: Join | None,
    inquiry: Inquiry,
    shelf: Shelf,
) -> list[Line]:
    """Every line of an outfit's bill before tax.

    Args:
        outfit: the outfit.
        ballast: what is added behind; None adds nothing.
        join: hoses and fittings; None when not reckoned.
        inquiry: who asks, where, who fits it.
        shelf: prices.

    Returns:
        Lines in the order of a bill.

    Source: the shelf's prices and the dealer's price book.

    Example:
        >>> from handfast.outfits.example import bench, inquiry
        >>> price_lines(bench().outfits[0], None, None, inquiry(), Shelf())  # nothing in the example has a price
        []
    """
    return [line for section in sections(outfit, ballast, join, inquiry, shelf, {}) for line in section]


def sections(
    outfit: Outfit,
    ballast: BallastSet | None,
    join: Join | None,
    inquiry: Inquiry,
    shelf: Shelf,
    kept: dict[Key, Section],
) -> list[Section]:
    """The same in sections; outfits of one inquiry that share a section get the very same one.

    Args:
        outfit: as in `price_lines`.
        ballast: as in `price_lines`.
        join: as in `price_lines`.
        inquiry: as in `price_lines`.
        shelf: as in `price_lines`.
        kept: sections made so far for this inquiry and shelf; what is new is added.

    Returns:
        Sections in the order of a bill.

    Example:
        >>> from handfast.outfits.example import bench, inquiry
        >>> [len(one) for one in sections(bench().outfits[0], None, None, inquiry(), Shelf(), {})]
        [0, 0, 0, 0, 0, 0, 0, 0]
    """
    sent, power = outfit.attachment, outfit.power
    listed = route_lines(outfit, shelf)  # the very same for routes that are alike
    hours = _hours_known(outfit, ballast, inquiry, shelf)
    makers: dict[Key, Callable[[], Iterable[Line]]] = {
        ("attachment", id(sent)): lambda: [_attachment_line(outfit)],
        ("mount", *map(id, outfit.mount.parts)): lambda: map(_part_line, outfit.mount.parts),
        ("power", id(power)): lambda: map(_part_line, power.parts),
        ("join", id(join)): lambda: _join_lines(join),
        ("ballast", id(ballast)): lambda: _ballast_lines(ballast, shelf),
        ("sundries", id(listed)): lambda: sundry_lines(listed),
        ("carriage", id(sent)): lambda: _carriage_lines(sent, inquiry, shelf),
        ("labour", *hours): lambda: _labour_line(*hours, inquiry, shelf),
    }
    for key, make in makers.items():
        if key not in kept:
            kept[key] = tuple(line for line in make() if not line.price.is_unknown)
    return [kept[key] for key in makers]


def _carriage_lines(sent: Attachment, inquiry: Inquiry, shelf: Shelf) -> list[Line]:
    prices = freight_lines(sent, inquiry.caller, shelf.price_book)
    return [Line(what, CARRIAGE, CARRIAGE, True, price) for what, price in prices]


def _attachment_line(outfit: Outfit) -> Line:
    return Line(outfit.name, "attachment", GOODS, False, outfit.attachment.price)


def _part_line(part: Part) -> Line:
    return Line(part.name or part.id, GROUP_OF.get(part.kind, "parts"), GOODS, True, part.price)


def _join_lines(join: Join | None) -> list[Line]:
    if join is None or not join.complete or join.price <= 0:
        return []
    what = "Hoses, couplers and fittings"
    return [Line(what, "join", GOODS, True, Estimate.triangular(0.95 * join.price, join.price, 1.15 * join.price))]


def _ballast_lines(ballast: BallastSet | None, shelf: Shelf) -> list[Line]:
    lines = []
    for piece in ballast.pieces if ballast is not None else ():
        part = shelf.parts.get(piece.part)
        price = part.price.scaled(piece.count) if part is not None else piece_band(piece.mass, piece.price, shelf)
        lines.append(Line(piece.title, "ballast", GOODS, True, price))
    pins = next((line for line in shelf.price_book.line if "hitch" in line.id), None)
    if pins is not None and any(p.at == "hitch" for p in (ballast.pieces if ballast else ())):
        lines.append(Line(pins.name or pins.id, "ballast", GOODS, True, pins.price))
    return lines


def piece_band(mass: float, price: float, shelf: Shelf) -> Estimate:
    """Price band of a counterweight that is not on the shelf.

    Args:
        mass: of the piece [kg].
        price: what the choice reckoned with [money].
        shelf: with the price book's money per kilogram, where it has one.

    Returns:
        Triangular estimate of origin "typical".

    Source: money per kilogram of cast weights (common practice, no source).

    Example:
        >>> piece_band(100.0, 300.0, Shelf()).high
        390.0
    """
    rate = shelf.price_book.counterweight_per_kg
    if not rate.is_unknown:
        return rate.scaled(mass)
    return Estimate.triangular(0.7 * price, price, 1.3 * price, origin="typical")


def shop_hours(outfit: Outfit, ballast: BallastSet | None, shelf: Shelf) -> float:
    """Hours in the shop: kits as the parts say, else the route's custom, and setting up.

    Args:
        outfit: the outfit.
        ballast: what is added behind.
        shelf: parts and price book.

    Returns:
        Hours.

    Source: hours of the parts; power_routes.csv (common practice, no source).

    Example:
        >>> from handfast.outfits.example import bench
        >>> shop_hours(bench().outfits[0], None, Shelf())  # from the front outlets: half an hour of the table
        0.5
    """
    return _hours(outfit, ballast, shelf, "shop_hours", outfit.power.words.shop_hours)


def own_hours(outfit: Outfit, ballast: BallastSet | None, shelf: Shelf) -> float:
    """Hours for an owner who fits it at home.

    Args:
        outfit: the outfit.
        ballast: what is added behind.
        shelf: parts and price book.

    Returns:
        Hours.

    Source: as `shop_hours`.

    Example:
        >>> from handfast.outfits.example import bench
        >>> own_hours(bench().outfits[0], None, Shelf())
        0.5
    """
    return _hours(outfit, ballast, shelf, "own_hours", outfit.power.words.own_hours)


def _hours(outfit: Outfit, ballast: BallastSet | None, shelf: Shelf, name: str, custom: float) -> float:
    pieces = ballast.pieces if ballast is not None else ()
    parts = [*outfit.mount.parts, *(shelf.parts[p.part] for p in pieces if p.part in shelf.parts)]
    total = sum(_known(getattr(part, name), _known(part.hours, 0.0)) for part in parts)
    kit = [_known(getattr(part, name), custom) for part in outfit.power.parts]
    return total + (sum(kit) if kit else custom) + _known(shelf.price_book.set_up_hours, 0.0)


def _known(estimate: Estimate, otherwise: float) -> float:
    return otherwise if estimate.is_unknown else estimate.value


def _hours_known(outfit: Outfit, ballast: BallastSet | None, inquiry: Inquiry, shelf: Shelf) -> tuple[float, str]:
    """Hours in the shop, and how they are known where this kit was fitted to this machine before."""
    past = learnt(shelf, inquiry.machine, outfit.attachment.id, outfit.power.route)
    if past is None or past.built is None or isnan(past.hours):
        return shop_hours(outfit, ballast, shelf), ""
    return past.hours, dated(past.built.made)


def _labour_line(hours: float, measured: str, inquiry: Inquiry, shelf: Shelf) -> list[Line]:
    book, field = shelf.price_book, inquiry.wishes.fitted_at == "field"
    rate = book.field_rate if field and not book.field_rate.is_unknown else book.labour_rate
    if inquiry.wishes.own_work or rate.is_unknown:
        return []
    least, most = MEASURED_HOURS if measured else RECKONED_HOURS
    low, likely, high = least * hours * rate.low, hours * rate.likely, most * hours * rate.high
    words = f"{'Fitting at the customer' if field else 'Fitting'}, {hours:.1f} h {measured}".rstrip()
    lines = [Line(words, WORK, WORK, True, Estimate.triangular(low, likely, high))]
    town = town_of(inquiry.caller, book)
    if field and town is not None and not (town.distance.is_unknown or book.travel_per_km.is_unknown):
        both_ways = book.travel_per_km.scaled(2.0 * town.distance.value / 1000.0)
        lines.append(Line("Travel there and back", WORK, WORK, True, both_ways))
    return lines


def tax_share(inquiry: Inquiry, shelf: Shelf) -> float:
    """Tax on goods where the caller lives.

    Args:
        inquiry: who asks.
        shelf: with the price book.

    Returns:
        Share.

    Source: the dealer's price book.

    Example:
        >>> tax_share(Inquiry(), Shelf())
        0.0
    """
    town = town_of(inquiry.caller, shelf.price_book)
    share = town.tax if town is not None and not town.tax.is_unknown else shelf.price_book.tax
    return _known(share, 0.0)


def discount_share(shelf: Shelf) -> float:
    """Discount on goods, before tax.

    Args:
        shelf: with the price book.

    Returns:
        Share.

    Source: the dealer's price book.

    Example:
        >>> discount_share(Shelf())
        0.0
    """
    return _known(shelf.price_book.discount, 0.0)
