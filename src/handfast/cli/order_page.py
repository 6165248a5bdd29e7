"""The order of an outfit in two parts and its hoses by number, as text."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import isfinite

from handfast.cli.page import columns, heading, paragraph
from handfast.outfits.hose_order import HoseOrder
from handfast.outfits.ordering import Order, OrderLine, quantity_words
from handfast.quantities.money import show_money
from handfast.quantities.showing import show

FROM = {
    "shelf": "our shelf", "small": "small parts", "send": "to send for", "find": "to be found",
    "kit": "in the kit's box", "attachment": "with the attachment", "caller": "the caller has it",
}  # fmt: skip


def order_page(order: Order, hoses: Sequence[HoseOrder], currency: str, units: str) -> str:
    """Hoses by number, what is safe to order now, what waits with the question that frees it."""
    return "\n".join(_lines(order, hoses, currency, units)) + "\n"


def _lines(order: Order, hoses: Sequence[HoseOrder], currency: str, units: str) -> Iterator[str]:
    if hoses:
        yield from heading("Hoses")
        yield from columns([_hose(one, units) for one in hoses], right=(1,))
    yield from heading("Safe to order now")
    yield from columns([_part(one, currency, units) for one in order.now], right=(0, 4))
    for asked, lines in order.waiting:
        yield from heading("Waits for one answer")
        yield from paragraph(f"{asked.question} {asked.how}")
        yield from columns([_part(one, currency, units) for one in lines], right=(0, 4))


def _hose(one: HoseOrder, units: str) -> list[str]:
    long = show(one.overall, "length", units) if isfinite(one.overall) else one.made_of
    return [one.tag, long, f"{one.number.start} to {one.number.end}"]


def _part(one: OrderLine, currency: str, units: str) -> list[str]:
    line = one.line
    free = line.brought_by or line.price.is_unknown
    price = "" if free else show_money(line.price.likely, currency)
    return [quantity_words(line, units), line.what, line.tag, FROM[one.group], price]
