"""The shelf at the prices of one day."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, TypeVar

from handfast.machines.attachment import Attachment
from handfast.machines.part import Part
from handfast.machines.price_book import PriceBook
from handfast.machines.prices import DatedPrice, DatedRates, holds_on, rule_of, sold_at
from handfast.machines.shelf import Shelf

Priced = TypeVar("Priced", Attachment, Part)


def price_on(record: Attachment | Part, day: str) -> DatedPrice:
    """The price of a record on a day: the one that began last; its own where none holds.

    >>> dated = (DatedPrice(valid_from="2026-07-01", price=12),)
    >>> part = Part(id="a", kind="oil", price=10, prices=dated)
    >>> price_on(part, "2026-06-30").price.value, price_on(part, "2026-07-01").price.value
    (10.0, 12.0)
    """
    own = DatedPrice.model_construct(
        valid_from=record.valid_from, valid_to=record.valid_to, price=record.price, list_price=record.list_price,
        cost=record.cost, supplier=record.supplier,
    )  # fmt: skip
    there = [one for one in (own, *record.prices) if holds_on(day, one.valid_from, one.valid_to)]
    return max(there, key=lambda one: one.valid_from, default=own)


def in_force(shelf: Shelf, day: str) -> Shelf:
    """The shelf with the prices of one day; the very same where nothing on it has a date or follows from a cost.

    Args:
        shelf: as stored.
        day: year-month-day.

    Returns:
        A shelf whose records and price book say what holds on that day.
    """
    book = book_on(shelf.price_book, day)
    changed: dict[str, Any] = {} if book is shelf.price_book else {"price_book": book}
    tools, parts = dict(_moved(shelf.attachments, book, day)), dict(_moved(shelf.parts, book, day))
    if tools:
        changed["attachments"] = {**shelf.attachments, **tools}
    if parts:
        changed["parts"] = {**shelf.parts, **parts}
    return shelf.model_copy(update=changed) if changed else shelf


def dated(shelf: Shelf) -> bool:
    """Whether a shelf's prices are other ones on other days."""
    book = shelf.price_book
    if book.rates or any(one.valid_from or one.valid_to for one in book.freight):
        return True
    return any(one.prices for records in (shelf.attachments, shelf.parts) for one in records.values())


def _moved(records: Mapping[str, Priced], book: PriceBook, day: str) -> Iterator[tuple[str, Priced]]:
    """Records whose price on a day is another than the one that they carry."""
    for key, one in records.items():
        dated = bool(one.prices)
        if not dated and not (book.margin and one.price.is_unknown):
            continue
        now = price_on(one, day)
        price, rule = now.price, rule_of(one.kind or "", now.supplier or one.supplier, book.margin)
        if price.is_unknown and rule is not None:
            price = sold_at(now.cost, now.list_price, rule)
        told: dict[str, Any] = {"price": price, "list_price": now.list_price, "cost": now.cost}
        told |= {"valid_from": now.valid_from, "valid_to": now.valid_to, "supplier": now.supplier or one.supplier}
        if any(getattr(one, name) != value for name, value in told.items()):
            yield key, one.model_copy(update=told)


def book_on(book: PriceBook, day: str) -> PriceBook:
    """The price book of one day: its dated rates in place of its own, freight rates that hold.

    >>> book = PriceBook(labour_rate=130, rates=(DatedRates(valid_from="2026-07-01", labour_rate=140),))
    >>> [book_on(book, day).labour_rate.value for day in ("2026-06-30", "2026-07-01")]
    [130.0, 140.0]
    """
    told: dict[str, Any] = {}
    names = [name for name in DatedRates.model_fields if not name.startswith("valid_")]
    for one in sorted(book.rates, key=lambda rates: rates.valid_from):
        if holds_on(day, one.valid_from, one.valid_to):
            told |= {name: getattr(one, name) for name in names if not getattr(one, name).is_unknown}
    freight = tuple(one for one in book.freight if holds_on(day, one.valid_from, one.valid_to))
    if len(freight) < len(book.freight):
        told["freight"] = freight
    return book.model_copy(update=told) if told else book
