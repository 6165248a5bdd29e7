"""Quotes: the list by state, a quote with its versions, what is done to it, and making it anew."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from handfast.counter import answering, quoting
from handfast.counter import verbs as counter
from handfast.counter.answering import Given
from handfast.counter.offering import GROUPS, Said, Wanted
from handfast.counter.quote_states import MOVES, RefusedError
from handfast.counter.terms import printed, terms_of
from handfast.documents.offer_terms import MOST_WAYS, Terms
from handfast.machines.faults import Faults
from handfast.machines.reading import read_inquiry
from handfast.web.desk import Desk, desk_of, form_of, number_in, on_paper, page, units_of
from handfast.web.kept import kept
from handfast.web.pages_inquiry import when
from handfast.web.pages_outfit import pdf
from handfast.web.pages_questions import outside
from handfast.web.paper_size import page_of
from handfast.web.quote_view import LINES_MOST, LONGEST, TEXT_MOST, chosen_in, context, lines, reply_given, version_in

OPTIONS = {"fitting": "Fitting", "carriage": "Carriage", "spare-hoses": "Spare hoses"}
AT = "/quotes/{number:int}"
AFTER = ("ordered", "delivered", "returned")  # states that parts and workshop move a quote to


async def quotes_page(request: Request) -> Response:
    """Every quote, newest first; by state, and those that hold what is looked for."""
    find, state = request.query_params.get("find", "")[:80], request.query_params.get("state", "")
    state = state if state in MOVES else ""
    found, counted = await on_paper(request, lines, desk_of(request).workspace, find, state)
    shown: dict[str, Any] = {"lines": found, "counted": counted, "find": find, "state": state, "when": when}
    return page(request, "quotes.html", **shown, all=sum(counted.values()), most=LINES_MOST)


def _version_of(request: Request) -> int | None:
    text = request.query_params.get("version", "")
    return int(text) if text.isascii() and text.isdigit() and len(text) < 6 else None


async def quote_page(request: Request) -> Response:
    """One quote, its newest version or an older one."""
    desk, number, version = desk_of(request), number_in(request), _version_of(request)
    return await _drawn(request, desk, number, 200, version=version)


async def _drawn(request: Request, desk: Desk, number: int, status: int = 200, **more: Any) -> Response:
    away = outside(desk.workspace)
    shown = await on_paper(request, context, desk.workspace, number, units_of(request), **more)
    return page(request, "quote.html", status, **shown, outside=away, when=when)


async def quote_context(request: Request) -> dict[str, Any]:
    """What a quote's page shows, for a form on it that was refused."""
    desk = desk_of(request)
    shown = await on_paper(request, context, desk.workspace, number_in(request), units_of(request))
    return {**shown, "outside": outside(desk.workspace), "when": when}


async def quote_pdf(request: Request) -> Response:
    """One version of a quote on paper, as it was offered, with how it was answered."""
    desk, number, version = desk_of(request), number_in(request), _version_of(request)
    row = quoting.quote_at(desk.workspace, number, version)
    sheet, done = page_of(request, terms_of(row).house.paper), answering.answered(desk.workspace, row)
    paper = await on_paper(request, printed, row, units_of(request), sheet, done)
    return pdf(paper, f"quote-{number}-version-{row.version}.pdf")


async def act(request: Request) -> Response:
    """Do something to a quote; 422 with the page and a sentence where it can't be done."""
    desk, number, given = desk_of(request), number_in(request), await form_of(request)
    version, what, person = version_in(given), given.get("act", ""), getattr(request.state, "person", None)
    if person is not None:  # who has logged in speaks in no other name
        given = {**given, "second": person.name, "taken_by": person.name}
    try:
        if quoting.quote_at(desk.workspace, number).version != version and what not in ("close", "read"):
            raise RefusedError(f"Quote {number} was made anew meanwhile; look at the newest version first.")
        if what == "move" and (given.get("to") in AFTER) is not request.url.path.endswith("/state"):
            raise HTTPException(422, "Nothing was done: that is no act of this page.")
        if what == "link":
            return await _linked(request, desk, number)
        if what == "read":
            return await _read(request, desk, number, given)
        if what not in DOES:
            raise HTTPException(422, "Nothing was done: that is no act of this page.")
        await on_paper(request, DOES[what], desk, number, given, units_of(request))
    except RefusedError as refusal:
        back = {"refused": str(refusal), "pasted": given.get("pasted", "")[:TEXT_MOST]}
        return await _drawn(request, desk, number, 422, **back)
    return RedirectResponse(f"/quotes/{number}", 303)


async def _linked(request: Request, desk: Desk, number: int) -> Response:
    away = outside(desk.workspace)
    if not away:
        raise RefusedError("No outside address is set, so no link can be made.")
    secret, _ = answering.make_link(desk.workspace, number)
    return await _drawn(request, desk, number, link=f"{away}/a/offer/{secret}")


async def _read(request: Request, desk: Desk, number: int, given: Mapping[str, str]) -> Response:
    pasted = given.get("pasted", "")[:TEXT_MOST]
    reply, _ = reply_given(quoting.quote_at(desk.workspace, number), pasted)
    return await _drawn(request, desk, number, pasted=pasted, reply=reply)


def _move(desk: Desk, number: int, given: Mapping[str, str], _system: str) -> None:
    quoting.move(desk.workspace, number, given.get("to", ""))


def _ballast(desk: Desk, number: int, given: Mapping[str, str], _system: str) -> None:
    by, taken_by = given.get("by", ""), given.get("taken_by", "")
    quoting.answer_ballast(desk.workspace, number, given.get("ballast", ""), by, taken_by)


def _confirm(desk: Desk, number: int, given: Mapping[str, str], _system: str) -> None:
    quoting.confirm_parts_only(desk.workspace, number, given.get("second", ""))


def _answer(desk: Desk, number: int, given: Mapping[str, str], system: str) -> None:
    row = quoting.quote_at(desk.workspace, number)
    became = "declined" if given.get("became") == "declined" else "accepted"
    how = "paper" if given.get("how") == "paper" else "spoken"
    answer = Given(version_in(given), became, how, chosen_in(row, given))
    answering.take_answer(desk.workspace, number, answer, system)


def _reply(desk: Desk, number: int, given: Mapping[str, str], system: str) -> None:
    _, answer = reply_given(quoting.quote_at(desk.workspace, number), given.get("pasted", "")[:TEXT_MOST])
    answering.take_answer(desk.workspace, number, answer, system)


def _close(desk: Desk, number: int, given: Mapping[str, str], _system: str) -> None:
    text = given.get("link", "")
    answering.close_link(desk.workspace, number, int(text) if text.isascii() and text.isdigit() else 0)


DOES: Mapping[str, Callable[[Desk, int, Mapping[str, str], str], None]] = {
    "move": _move,
    "ballast": _ballast,
    "confirm": _confirm,
    "answer": _answer,
    "reply": _reply,
    "close": _close,
}


async def anew_page(request: Request) -> Response:
    """The form that makes a quote anew: up to three ways, options, words."""
    desk, number = desk_of(request), number_in(request)
    return page(request, "quote_anew.html", **await on_paper(request, _anew, desk, number, units_of(request), {}))


def _anew(desk: Desk, number: int, system: str, given: Mapping[str, str]) -> dict[str, Any]:
    row = quoting.quote_at(desk.workspace, number)
    text = counter.inquiry(desk.workspace, row.inquiry).text
    advice = desk.answer(row.inquiry, read_inquiry(text, "inquiry"), system)
    said, wanted = quoting.said_of(row), quoting.wanted_of(row)
    plain = Terms().not_included if said.not_included is None else said.not_included
    fields = {"customer": said.customer, "words": said.words, "not_included": "\n".join(plain), "note": ""}
    for place, one in enumerate(wanted, 1):
        fields |= {f"outfit-{place}": one.outfit, f"name-{place}": one.name}
        fields |= {f"take-{place}-{option}": "yes" for option in one.taken}
    return {
        "row": row,
        "places": range(1, MOST_WAYS + 1),
        "outfits": [one for one in advice.outfits if one.cost.whole],
        "options": OPTIONS,
        "usual": {name for name, _ in GROUPS},
        "ballast": said.ballast,
        "fields": {**fields, **given} if given else fields,
        "refused": "",
    }


async def make_anew(request: Request) -> Response:
    """Make the next version; 422 with the form as it was where that can't be done."""
    desk, number, given = desk_of(request), number_in(request), await form_of(request)
    try:
        await on_paper(request, _made, desk, number, given)
    except (RefusedError, Faults, KeyError) as refusal:
        told = str(refusal) if not isinstance(refusal, KeyError) else "One of the outfits is no answer any more."
        shown = await on_paper(request, _anew, desk, number, units_of(request), given)
        return page(request, "quote_anew.html", 422, **{**shown, "refused": told})
    return RedirectResponse(f"/quotes/{number}", 303)


def _made(desk: Desk, number: int, given: Mapping[str, str]) -> None:
    row = quoting.quote_at(desk.workspace, number)
    said = quoting.said_of(row)
    wanted = [
        Wanted(
            given[f"outfit-{place}"],
            " ".join(given.get(f"name-{place}", "").split())[:60],
            frozenset(one for one in OPTIONS if given.get(f"take-{place}-{one}") == "yes"),
        )
        for place in range(1, MOST_WAYS + 1)
        if given.get(f"outfit-{place}")
    ]
    left = tuple(line.strip()[:200] for line in given.get("not_included", "").splitlines() if line.strip())[:20]
    ballast = Said().ballast if given.get("ask_again") == "yes" else said.ballast
    names = {name: given.get(name, "").strip()[:LONGEST] for name in ("customer", "note")}
    fresh = Said(names["customer"], given.get("words", "").strip()[:1200], left, ballast, names["note"])
    seed = read_inquiry(counter.inquiry(desk.workspace, row.inquiry).text, "inquiry").seed
    quoting.requote(desk.workspace, number, wanted, fresh, seed, version_in(given))


def quote_routes() -> list[Route]:
    """The addresses of quotes."""
    return [
        Route("/quotes", kept(quotes_page)),
        Route("/quotes/{number:int}.pdf", quote_pdf),
        Route(AT, kept(quote_page)),
        Route(AT, act, methods=["POST"]),
        Route(AT + "/state", act, methods=["POST"]),
        Route(AT + "/anew", kept(anew_page)),
        Route(AT + "/anew", make_anew, methods=["POST"]),
    ]
