"""Papers, what Handfast is."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import Any

from starlette.requests import Request
from starlette.responses import JSONResponse, Response

from handfast.counter import aftercare
from handfast.counter import verbs as counter
from handfast.counter.terms import printed, terms_of
from handfast.data.release import TABLES, VERSION
from handfast.documents.bill import bill_of
from handfast.documents.kinds import KINDS
from handfast.machines.outcome import MISFIT
from handfast.store.quote_rows import QuoteRow
from handfast.web.desk import desk_of, number_in, off_loop, on_paper, page, units_of
from handfast.web.pages_inquiry import when
from handfast.web.pages_outfit import pdf
from handfast.web.paper_size import page_of


@dataclass(frozen=True)
class Paper:
    """A quote as it is shown."""

    row: QuoteRow
    kept: dict[str, Any]
    when: str

    @property
    def outfit(self) -> dict[str, Any]:
        """The outfit as it was offered."""
        found: dict[str, Any] = self.kept["outfit"]
        return found


def _paper(row: QuoteRow) -> Paper:
    return Paper(row, json.loads(row.json), when(row.created))


def _papers(request: Request) -> list[Paper]:
    return [_paper(row) for row in counter.quotes(desk_of(request).workspace)]


async def quotes_page(request: Request) -> Response:
    """Every quote, newest first."""
    return page(request, "quotes.html", papers=await off_loop(_papers, request))


async def _quote(request: Request) -> Paper:
    number = number_in(request)
    papers = await off_loop(_papers, request)
    found = next((paper for paper in papers if paper.row.number == number), None)
    if found is None:
        raise KeyError(number)
    return found


async def quote_page(request: Request) -> Response:
    """One quote as it was offered."""
    return page(request, "quote.html", **await quote_context(request))


async def quote_context(request: Request) -> dict[str, Any]:
    """What a quote's page shows: the offer as it was made, and what became of it."""
    paper = await _quote(request)
    heard = await off_loop(aftercare.outcomes, desk_of(request).workspace)
    became = next((outcome for quote, outcome in heard if quote.number == paper.row.number), None)
    shown = {"paper": paper, "outfit": paper.outfit, "cost": paper.outfit["cost"], "kinds": KINDS}
    shown["bill"] = bill_of(counter.offered(paper.row).outfits[0])
    return {**shown, "became": became, "reasons": MISFIT}


async def quote_pdf(request: Request) -> Response:
    """One quote on paper, as it was offered."""
    row, system = (await _quote(request)).row, units_of(request)
    sheet = page_of(request, terms_of(row).house.paper)
    return pdf(await on_paper(request, printed, row, system, sheet), f"quote-{row.number}.pdf")


async def about_page(request: Request) -> Response:
    """What Handfast is, what it rests on, and its keys."""
    return page(request, "about.html")


async def health(request: Request) -> Response:
    """Whether the workspace answers."""
    found = await off_loop(counter.inquiries, desk_of(request).workspace)
    return JSONResponse({"state": "well", "version": VERSION, "tables": TABLES, "inquiries": len(found)})
