"""The verbs of prices: what new ones would change in offers that are still open, and how the shelf's stand."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta
from decimal import Decimal
from math import isnan, nan

from handfast.advice.present import cost_of
from handfast.advice.result import OutfitAdvice
from handfast.costing.total import Bills
from handfast.counter import verbs
from handfast.counter.quoting import state_of
from handfast.counter.terms import offer_terms
from handfast.counter.verbs import Workspace
from handfast.documents.offer_terms import offered_bill
from handfast.lists.proposal import Proposal
from handfast.machines.attachment import Attachment
from handfast.machines.faults import Faults
from handfast.machines.in_force import book_on, in_force
from handfast.machines.part import Part
from handfast.machines.price_book import PriceBook
from handfast.machines.prices import margin, rule_of
from handfast.machines.reading import read_inquiry
from handfast.machines.shelf import Shelf
from handfast.outfits.ballast import BallastSet, Piece
from handfast.outfits.find import outfit_of
from handfast.outfits.join import Join
from handfast.outfits.lay import as_measured
from handfast.quantities.estimate import Estimate
from handfast.store.database import reading
from handfast.store.quote_rows import QuoteRow
from handfast.store.shelf_rows import load_shelf

OPEN = ("draft", "sent")  # offers that a customer can still take
EVERYWHERE = ("oil", "cable", "fuse")  # kinds of parts that many bills have without naming them
SOON = 30  # days
COUNTED = re.compile(r"(\d+) × (.+)")


@dataclass(frozen=True)
class Touched:
    """An open offer that prices change: what was offered, and its bill reckoned with the old and the new ones."""

    number: int
    inquiry: int
    state: str
    title: str
    currency: str
    offered: Decimal
    before: Decimal | None  # None: what it is made of is no longer on the shelf
    after: Decimal | None

    @property
    def more(self) -> Decimal | None:
        """How much dearer the new prices make it."""
        return None if self.before is None or self.after is None else self.after - self.before


def open_quotes(workspace: Workspace) -> list[QuoteRow]:
    """Offers that a customer can still take, newest first."""
    return [row for row in verbs.quotes(workspace) if state_of(row) in OPEN]


def open_offers(workspace: Workspace) -> list[tuple[QuoteRow, OutfitAdvice]]:
    """The outfits of the open quotes, each as it was offered; a quote may offer several."""
    return [(row, one) for row in open_quotes(workspace) for one in verbs.offered(row).outfits]


def quotes_touched(workspace: Workspace, before: Shelf, after: Shelf) -> list[Touched]:
    """The open offers whose bill the step from one shelf to the other changes, newest first.

    Only the bill is reckoned again: the offer's own outfit, ballast, hoses and hours, at other prices. The offers
    themselves keep what they say.
    """
    moved = _moved(before, after)
    if not moved and before.price_book == after.price_book:
        return []
    found = []
    for row, one in open_offers(workspace):
        if before.price_book == after.price_book and not _names(one, moved, after):
            continue
        told = _told(row, one, _total(row, one, before), _total(row, one, after))
        if told.more != 0:
            found.append(told)
    return found


def quotes_today(workspace: Workspace) -> list[Touched]:
    """Every open offer, what it says and what its bill would be at the prices of today."""
    today = verbs.shelf(workspace)
    found = []
    for row, one in open_offers(workspace):
        found.append(_told(row, one, offered_bill(one, offer_terms(row)).total, _total(row, one, today)))
    return found


def with_list(shelf: Shelf, proposal: Proposal) -> Shelf:
    """The shelf as it would be once a list was taken."""
    tools, parts = dict(shelf.attachments), dict(shelf.parts)
    for row in proposal.rows("add", "change"):
        if row.kind == "attachment":
            tools[row.id] = Attachment.model_validate(row.record)
        elif row.kind == "part":
            parts[row.id] = Part.model_validate(row.record)
    return shelf.model_copy(update={"attachments": tools, "parts": parts})


def touched_by_list(workspace: Workspace, proposal: Proposal) -> list[Touched]:
    """The open offers that a list's prices would change, and by how much."""
    with reading(workspace.engine) as connection:
        stored = load_shelf(connection)
    day = verbs.price_day()
    return quotes_touched(workspace, in_force(stored, day), in_force(with_list(stored, proposal), day))


def _told(row: QuoteRow, one: OutfitAdvice, before: Decimal | None, after: Decimal | None) -> Touched:
    offered = offered_bill(one, offer_terms(row))
    return Touched(row.number, row.inquiry, row.state, one.title, offered.currency, offered.total, before, after)


def _moved(before: Shelf, after: Shelf) -> dict[str, str]:
    """Ids whose record differs, with the kind of part that it is."""
    found: dict[str, str] = {}
    for kind in ("attachments", "parts"):
        old, new = getattr(before, kind), getattr(after, kind)
        found |= {key: (new.get(key) or old[key]).kind or "" for key in {*old, *new} if old.get(key) != new.get(key)}
    return found


def _names(one: OutfitAdvice, moved: dict[str, str], shelf: Shelf) -> bool:
    """Whether an offer's bill may hold something that moved."""
    if any(kind in EVERYWHERE for kind in moved.values()):
        return True
    named = {one.attachment, *one.mount.parts, *one.power.parts, *(piece.part for piece in one.ballast.chosen)}
    sold = {name.casefold() for name in _sold(one)}
    parts = (shelf.parts[key] for key in moved if key in shelf.parts)
    return bool(named & set(moved)) or any((part.name or part.id).casefold() in sold for part in parts)


def _sold(one: OutfitAdvice) -> dict[str, int]:
    """Hoses, couplers and fittings of an offer, by name."""
    found = (COUNTED.fullmatch(line) for line in one.connection.lines)
    return {match[2]: int(match[1]) for match in found if match}


def _total(row: QuoteRow, one: OutfitAdvice, shelf: Shelf) -> Decimal | None:
    """The bill of an offer at a shelf's prices; None where the shelf no longer has what it is made of."""
    try:
        asked = as_measured(read_inquiry(json.loads(row.json)["text"], f"inquiry {row.inquiry}").resolve(shelf.whole))
        outfit = outfit_of(one.id, asked, shelf.whole)
    except (Faults, KeyError):
        return None
    made = Bills(asked, shelf).of(outfit, _ballast(one, shelf), _join(one, shelf))
    return offered_bill(replace(one, cost=cost_of(made, one.cost.currency)), offer_terms(row)).total


def _ballast(one: OutfitAdvice, shelf: Shelf) -> BallastSet:
    """The offer's ballast; what no shelf sells keeps its share of what it cost by mass."""
    chosen = one.ballast.chosen
    mass = sum(piece.mass for piece in chosen) or 1.0
    prices = [one.ballast.cost * piece.mass / mass for piece in chosen]
    return BallastSet(
        tuple(
            Piece(p.part, p.title, p.at, p.mass, nan, nan, price, p.count, p.part in shelf.parts)
            for p, price in zip(chosen, prices, strict=True)
        )
    )


def _join(one: OutfitAdvice, shelf: Shelf) -> Join | None:
    """The offer's hoses, couplers and fittings at a shelf's prices; as offered where the shelf can't price them all."""
    sold = _sold(one)
    if not one.connection.lines or len(sold) < len(one.connection.lines):
        return Join(True, nan, nan, (), one.connection.price, "") if one.connection.lines else None
    by_name = {(part.name or part.id).casefold(): part.price for part in reversed(shelf.whole.parts.values())}
    prices = [by_name.get(name.casefold(), Estimate.unknown()).value * count for name, count in sold.items()]
    price = sum(prices)
    return Join(True, nan, nan, (), one.connection.price if isnan(price) else price, "")


@dataclass(frozen=True)
class Standing:
    """How a record's price stands on a day."""

    kind: str
    id: str
    name: str
    supplier: str
    price: Estimate
    cost: Estimate
    margin: float  # NaN where price or cost is not known
    valid_to: str
    remarks: tuple[str, ...]


RAN_OUT, RUNS_OUT, COMES = "ran out", "runs out within 30 days", "another price begins within 30 days"
THIN, RULED, NONE = "below the least margin", "from the cost, by rule", "no price"


def standings(shelf: Shelf, day: str) -> list[Standing]:
    """How every price of a shelf stands, those first about which something is to be said."""
    book = book_on(shelf.price_book, day)
    priced = in_force(shelf, day)
    found = []
    for kind, records in (("attachment", priced.attachments), ("part", priced.parts)):
        stored: Mapping[str, Attachment | Part] = shelf.attachments if kind == "attachment" else shelf.parts
        found += [_standing(kind, stored[key], one, book, day) for key, one in records.items()]
    return sorted(found, key=lambda one: (not one.remarks, one.kind, one.id))


def _standing(kind: str, stored: Attachment | Part, now: Attachment | Part, book: PriceBook, day: str) -> Standing:
    soon = (date.fromisoformat(day) + timedelta(days=SOON)).isoformat()
    rule, left = rule_of(now.kind or "", now.supplier, book.margin), margin(now.price, now.cost)
    starts = [one.valid_from for one in (stored, *stored.prices)]
    told = (
        (RAN_OUT, bool(now.valid_to) and now.valid_to < day),
        (RUNS_OUT, day <= now.valid_to <= soon),
        (COMES, any(day < start <= soon for start in starts)),
        (THIN, rule is not None and left < rule.least_margin.value - 1e-9),
        (RULED, now.price.origin == "computed" and not now.price.is_unknown),
        (NONE, now.price.is_unknown),
    )
    remarks = tuple(words for words, holds in told if holds)
    return Standing(kind, now.id, now.name, now.supplier, now.price, now.cost, left, now.valid_to, remarks)
