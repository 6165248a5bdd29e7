"""Papers, the shelf, settings, what Handfast is."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import Any
from urllib.parse import quote

from starlette.requests import Request
from starlette.responses import JSONResponse, RedirectResponse, Response

from handfast.counter import aftercare
from handfast.counter import verbs as counter
from handfast.data.release import TABLES, VERSION
from handfast.documents.kinds import KINDS
from handfast.machines.attachment import Attachment
from handfast.machines.fields import Record
from handfast.machines.outcome import MISFIT
from handfast.machines.part import Part
from handfast.machines.shelf import Shelf
from handfast.machines.tractor import CLASSES, Machine
from handfast.quantities.estimate import Estimate
from handfast.quantities.money import show_money
from handfast.quantities.showing import show_estimate
from handfast.store.quote_rows import QuoteRow
from handfast.web.desk import INKS, UNITS, desk_of, form_of, number_in, off_loop, page, units_of
from handfast.web.pages_inquiry import when
from handfast.web.pages_outfit import pdf

Cells = tuple[str, ...]


@dataclass(frozen=True)
class Table:
    """One list of the shelf."""

    id: str
    title: str
    heads: Cells
    right: frozenset[int]
    rows: tuple[Cells, ...]
    at: Cells = ()  # the address of each row's own page, where it has one


def _said(estimate: Estimate, dimension: str, system: str) -> str:
    return "" if estimate.is_unknown else show_estimate(estimate, dimension, system)


def _price(estimate: Estimate, currency: str) -> str:
    return "" if estimate.is_unknown else show_money(estimate.value, currency)


def _words(text: str | None) -> str:
    return (text or "").replace("_", " ")


def _machine(machine: Machine, system: str) -> Cells:
    outlets = f"{machine.front_functions or 0} front, {machine.rear_remotes or 0} rear"
    return (
        machine.name or machine.id,
        CLASSES.get(machine.class_ or "", ""),
        _said(machine.engine_power, "power", system),
        _said(machine.mass, "mass", system),
        _said(machine.loader.lift_at_pin, "load", system),
        _words(machine.quick_attach),
        outlets,
    )


def _attachment(tool: Attachment, system: str, currency: str) -> Cells:
    return (
        tool.name or tool.id,
        _words(tool.kind),
        _said(tool.width, "length", system),
        _said(tool.mass, "mass", system),
        ", ".join(map(_words, tool.interfaces)),
        {"hydraulic": "oil", "electric": "electric", "curl": "the curl"}.get(tool.actuation or "", "no lid"),
        _price(tool.price, currency),
    )


def _part(part: Part, system: str, currency: str) -> Cells:
    return (part.name or part.id, _said(part.mass, "mass", system), _price(part.price, currency))


def _tables(shelf: Shelf, system: str, find: str) -> list[Table]:
    currency, wanted = shelf.price_book.currency, find.casefold()

    def kept(rows: list[Cells]) -> tuple[Cells, ...]:
        return tuple(row for row in rows if not wanted or wanted in " ".join(row).casefold())

    tractors = [(_machine(m, system), f"/shelf/machines/{quote(m.id, safe='')}") for m in shelf.machines.values()]
    tractors = [(row, at) for row, at in tractors if kept([row])]
    tools = kept([_attachment(a, system, currency) for a in shelf.attachments.values()])
    heads = ("Tractor", "Class", "Power", "Mass, loader on", "Lift at the pins", "Bucket hangs on", "Outlets to spare")
    found = [Table("machines", "Tractors", heads, frozenset((2, 3, 4)), *_apart(tractors))]
    heads = ("Attachment", "Kind", "Width", "Mass", "Hangs on", "Lid moved by", "Price")
    found.append(Table("attachments", "Attachments", heads, frozenset((2, 3, 6)), tools))
    kinds = dict.fromkeys(part.kind for part in shelf.parts.values())
    for kind in kinds:
        rows = kept([_part(p, system, currency) for p in shelf.parts.values() if p.kind == kind])
        name = _words(str(kind)).capitalize()
        found.append(Table(f"part-{kind}", name, ("Part", "Mass", "Price"), frozenset((1, 2)), rows))
    return [table for table in found if table.rows]


def _apart(rows: list[tuple[Cells, str]]) -> tuple[tuple[Cells, ...], Cells]:
    return tuple(row for row, _ in rows), tuple(at for _, at in rows)


async def shelf_page(request: Request) -> Response:
    """Everything on the shelf, readable."""
    desk, system = desk_of(request), units_of(request)
    find = request.query_params.get("find", "").strip()[:200]
    shelf = await off_loop(counter.shelf, desk.workspace)
    tables = await off_loop(_tables, shelf, system, find)
    counts = (len(shelf.machines), len(shelf.attachments), len(shelf.parts))
    return page(request, "shelf.html", tables=tables, counts=counts, find=find, notes=_notes(shelf))


def _notes(shelf: Shelf) -> str:
    book: Record = shelf.price_book
    return str(getattr(book, "notes", ""))


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
    return {**shown, "became": became, "reasons": MISFIT}


async def quote_pdf(request: Request) -> Response:
    """One quote on paper, as it was offered."""
    row, system = (await _quote(request)).row, units_of(request)

    def made() -> bytes:
        from handfast.documents.quotation import quotation

        advice = counter.offered(row)
        return quotation(advice, row.outfit, number=str(row.number), made=row.created[:10], system=system)

    return pdf(await off_loop(made), f"quote-{row.number}.pdf")


async def about_page(request: Request) -> Response:
    """What Handfast is, what it rests on, and its keys."""
    return page(request, "about.html")


async def settings(request: Request) -> Response:
    """Units, ink and bare keys, kept in the browser."""
    given = await form_of(request)
    back = given.get("back", "/")
    if not back.startswith("/") or back.startswith(("//", "/\\")) or any(c < " " for c in back):
        back = "/"
    response = RedirectResponse(back, 303)
    for name, allowed in (("units", UNITS), ("ink", INKS), ("keys", ("on", "off"))):
        if given.get(name) in allowed:
            response.set_cookie(name, given[name], max_age=31_536_000, samesite="lax", path="/", httponly=True)
    return response


async def health(request: Request) -> Response:
    """Whether the workspace answers."""
    found = await off_loop(counter.inquiries, desk_of(request).workspace)
    return JSONResponse({"state": "well", "version": VERSION, "tables": TABLES, "inquiries": len(found)})
