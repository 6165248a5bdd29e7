"""Every paper of an outfit as PDF."""

from __future__ import annotations

from collections.abc import Callable

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from handfast.counter import aftercare
from handfast.counter import verbs as counter
from handfast.counter.answering import answered
from handfast.counter.house import settings
from handfast.counter.terms import offer_terms, terms_of
from handfast.documents.kinds import KINDS
from handfast.web.desk import desk_of, may_here, number_in, off_loop, on_paper, units_of
from handfast.web.pages_outfit import found_of, pdf
from handfast.web.paper_size import page_of, supplier_of


async def outfit_paper(request: Request) -> Response:
    """A paper of the outfit by its kind."""
    kind = request.path_params["kind"]
    if kind not in KINDS:
        raise HTTPException(404)
    desk, found, system = desk_of(request), await found_of(request), units_of(request)
    made, house = counter.inquiry(desk.workspace, found.number).updated[:10], settings(desk.workspace)
    sheet, supplier, costs = page_of(request, house.paper), supplier_of(request), may_here(request, "costs")

    def paper() -> bytes:
        from handfast.documents.papers import paper_of
        from handfast.documents.work_paper import Options

        options = Options(
            sheet, system, made, str(found.number), house.name, demo=house.invented, reached=house.reached,
            supplier=supplier, costs=costs, least_share=house.ballast_share.value,
        )  # fmt: skip
        return paper_of(kind, found.advice, found.outfit.id, found.inquiry, counter.shelf(desk.workspace), options)

    return pdf(await _pressed(request, paper), f"{kind}-{found.number}.pdf")


async def _pressed(request: Request, paper: Callable[[], bytes]) -> bytes:
    """A paper in the visitor's language; 422 with the reason where this outfit can't have it."""
    try:
        return await on_paper(request, paper)
    except ValueError as reason:
        words = str(reason)
        raise HTTPException(422, f"{words[:1].upper()}{words[1:]}.") from None


async def quote_paper(request: Request) -> Response:
    """A workshop paper of a quote, under the quote's number: what stands on the tags is what a comeback names."""
    kind, number = request.path_params["kind"], number_in(request)
    if kind not in KINDS:
        raise HTTPException(404)
    system = units_of(request)
    kit = await off_loop(aftercare.kit_of, desk_of(request).workspace, number)
    house = terms_of(kit.quote).house
    terms = offer_terms(kit.quote, await off_loop(answered, desk_of(request).workspace, kit.quote))
    sheet, supplier, costs = page_of(request, house.paper), supplier_of(request), may_here(request, "costs")

    def paper() -> bytes:
        from handfast.documents.papers import paper_of
        from handfast.documents.work_paper import Options

        made = kit.quote.created[:10]
        options = Options(
            sheet, system, made, f"quote {number}", house.name, demo=house.invented, reached=house.reached,
            supplier=supplier, costs=costs, least_share=house.ballast_share.value,
            ballast=terms.ballast if terms.ballast in ("accepted", "declined") else "",
            ballast_by=terms.ballast_by, ballast_on=terms.ballast_on,
        )  # fmt: skip
        return paper_of(kind, counter.offered(kit.quote), kit.quote.outfit, kit.inquiry, kit.shelf, options)

    return pdf(await _pressed(request, paper), f"{kind}-quote-{number}.pdf")
