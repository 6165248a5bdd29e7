"""The customer's page behind a private link: the offer, a choice, the weight behind, a name, yes or no. No script."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from handfast.counter import answering, quoting
from handfast.counter.answering import CUSTOMER, Given, asks_ballast
from handfast.counter.house import settings
from handfast.counter.quote_states import RefusedError
from handfast.counter.terms import Chosen, ways_of
from handfast.store.quote_rows import QuoteRow
from handfast.web.desk import Desk, desk_of, drawn_page, off_loop, on_paper
from handfast.web.pages_questions import _closed, _private
from handfast.web.quote_view import chosen_in

FIELDS_MOST = 40


async def offer_page(request: Request) -> Response:
    """The offer that a private link opens, and nothing else."""
    desk, secret = desk_of(request), request.path_params["secret"]
    row = await off_loop(answering.opened_link, desk.workspace, secret)
    if row is None:
        return _closed(request, desk)
    done = answering.answered(desk.workspace, row)
    return _private(await _drawn(request, desk, row, done.chosen))


async def _drawn(
    request: Request, desk: Desk, row: QuoteRow, chosen: Chosen, status: int = 200, **more: Any
) -> Response:
    system = _units(request, desk)
    shown, digest = await on_paper(request, answering.review, row, chosen, system)
    done = answering.answered(desk.workspace, row)
    ways = ways_of(row)
    given = {
        "way": next((str(k) for k, way in enumerate(ways, 1) if way.outfit == chosen.way), ""),
        "ballast": chosen.ballast,
        "name": chosen.name,
    }
    text = desk.templates.get_template("offer_customer.html").render(
        shown=shown,
        row=row,
        state=quoting.state_of(row),
        digest=digest,
        given=given,
        asks=any(asks_ballast(row, way.outfit) for way in ways),
        acceptance=done.acceptance,
        dealer=shown["dealer"],
        **{"looked": False, "refused": "", "parts": False, **more},
    )
    return drawn_page(request, text, status)


def _units(request: Request, desk: Desk) -> str:
    asked = request.query_params.get("units", "")
    return asked if asked in ("us", "metric") else settings(desk.workspace).units


async def offer_answer(request: Request) -> Response:
    """Take the customer's answer. Where the choice changes the figures, they are shown before they can be accepted."""
    desk, secret = desk_of(request), request.path_params["secret"]
    row = await off_loop(answering.opened_link, desk.workspace, secret)
    if row is None:
        return _closed(request, desk)
    form = await request.form(max_fields=FIELDS_MOST, max_files=0)
    given = {name: value for name, value in form.items() if isinstance(value, str)}
    chosen, system = chosen_in(row, given), _units(request, desk)
    _, digest = await on_paper(request, answering.review, row, chosen, system)
    became = given.get("became", "")
    if became == "look" or (became == "accepted" and digest != given.get("shown")):
        return _private(await _drawn(request, desk, row, chosen, looked=True))
    return _private(await _taken(request, desk, row, chosen, became, given))


async def _taken(
    request: Request, desk: Desk, row: QuoteRow, chosen: Chosen, became: str, given: Mapping[str, str]
) -> Response:
    named = given.get("version", "")
    version = int(named) if named.isascii() and named.isdigit() and len(named) < 6 else row.version
    answer = Given(version, "declined" if became == "declined" else "accepted", "link", chosen)
    system = _units(request, desk)
    try:
        after = await on_paper(request, answering.take_answer, desk.workspace, row.number, answer, system, CUSTOMER)
    except RefusedError as refusal:
        return await _drawn(request, desk, row, chosen, 422, refused=str(refusal))
    if after.version != row.version:
        return await _drawn(request, desk, row, chosen, parts=True)
    return RedirectResponse(request.url.path, 303)


def offer_routes() -> list[Route]:
    """The addresses of customers."""
    return [
        Route("/a/offer/{secret}", offer_page),
        Route("/a/offer/{secret}", offer_answer, methods=["POST"]),
    ]
