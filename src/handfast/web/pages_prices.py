"""How prices stand: open offers at the prices of today, the shelf's prices, costs and margins."""

from __future__ import annotations

from decimal import Decimal
from math import isnan
from typing import Any

from starlette.requests import Request
from starlette.responses import Response

from handfast.counter import prices
from handfast.counter import verbs as counter
from handfast.counter.prices import Standing, Touched
from handfast.quantities.estimate import Estimate
from handfast.quantities.money import show_money
from handfast.store.shelf_records import THE_ONE
from handfast.web.desk import Desk, desk_of, off_loop, page

FOLDERS = {"attachment": "attachments", "part": "parts"}
SHOWN = 500


async def prices_page(request: Request) -> Response:
    """Open offers and the shelf's prices."""
    return page(request, "prices.html", **await off_loop(_context, desk_of(request)))


def _context(desk: Desk) -> dict[str, Any]:
    shelf, today = counter.shelf(desk.workspace), prices.quotes_today(desk.workspace)
    currency = shelf.price_book.currency
    standing = prices.standings(shelf, counter.price_day())
    said = [_standing(one, currency) for one in standing]
    return {
        "offers": [offer_row(one) for one in today],
        "moved": sum(one.more != 0 for one in today),
        "told": [one for one in said if one["remarks"]],
        "rest": [one for one in said if not one["remarks"]][:SHOWN],
        "rules": len(shelf.price_book.margin),
        "book": THE_ONE,
    }


def _standing(one: Standing, currency: str) -> dict[str, Any]:
    def said(price: Estimate) -> str:
        return "" if price.is_unknown else show_money(price.value, currency, cents=True)

    return {
        "address": f"/shelf/{FOLDERS[one.kind]}/{one.id}",
        "name": one.name or one.id,
        "supplier": one.supplier,
        "price": said(one.price) or "not known",
        "cost": said(one.cost),
        "margin": "" if isnan(one.margin) else f"{100 * one.margin:.0f} %",
        "until": one.valid_to,
        "remarks": one.remarks,
    }


def offer_row(one: Touched) -> dict[str, Any]:
    """An open offer with what prices do to it, as it is shown."""
    more = one.more
    return {
        "number": one.number,
        "inquiry": one.inquiry,
        "state": one.state,
        "title": one.title,
        "offered": show_money(one.offered, one.currency, cents=True),
        "after": "not on the shelf any more" if one.after is None else show_money(one.after, one.currency, cents=True),
        "more": "" if more is None else _signed(more, one.currency),
    }


def _signed(more: Decimal, currency: str) -> str:
    if more == 0:
        return "no change"
    amount = show_money(abs(more), currency, cents=True)
    return f"{amount} more" if more > 0 else f"{amount} less"
