"""Paste the e-mail: the letter marked up beside the facts found in it, what is still open, a draft reply."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from handfast.advice.result import Question
from handfast.counter import verbs as counter
from handfast.documents.words import DEALER
from handfast.machines.faults import Faults
from handfast.machines.reading import read_inquiry
from handfast.mail.drafting import draft_reply
from handfast.mail.found import Found
from handfast.mail.read import Reading, TooLongError
from handfast.mail.wording import called, said
from handfast.web.desk import Desk, desk_of, form_of, number_in, off_loop, page, units_of
from handfast.web.form import checked
from handfast.web.mail_in import cleaned, inquiry_text, read_pasted, segments, store_letter


def routes(inquiry: str) -> list[Route]:
    """Addresses of these pages: for a new inquiry, and below an inquiry's own address."""
    return [
        Route(at + "/paste", work, methods=methods)
        for at in ("/inquiries", inquiry)
        for work, methods in ((paste_page, ["GET"]), (act, ["POST"]))
    ]


def _number(request: Request) -> int | None:
    return number_in(request) if "number" in request.path_params else None


async def paste_page(request: Request) -> Response:
    """The box to paste into."""
    number = _number(request)
    row = await off_loop(counter.inquiry, desk_of(request).workspace, number) if number is not None else None
    return page(request, "mail.html", **_empty(row))


def _empty(row: Any, **more: Any) -> dict[str, Any]:
    blank: dict[str, Any] = {
        "text": "",
        "reading": None,
        "segments": [],
        "ticked": set(),
        "open": [],
        "reply": "",
        "faults": [],
        "refused": "",
    }
    return {**blank, "row": row, "called": called, "said": said, **more}


async def act(request: Request) -> Response:
    """Read a pasted letter, draft anew with what is ticked, or take what is ticked."""
    desk, number, given = desk_of(request), _number(request), await form_of(request)
    row = await off_loop(counter.inquiry, desk.workspace, number) if number is not None else None
    text = cleaned(given.get("text", ""))
    try:
        reading = await off_loop(lambda: read_pasted(text, counter.shelf(desk.workspace)))
    except TooLongError as long:
        return page(request, "mail.html", 422, **_empty(row, refused=str(long)))
    what = given.get("act", "")
    if what not in ("read", "draft", "take"):
        raise HTTPException(422, "Nothing was done: that is no act of this page.")
    ticked = _sure(reading) if what == "read" else _ticked(reading, given)
    faults: list[str] = []
    if what == "take":
        try:
            kept = await off_loop(store_letter, desk.workspace, number, _chosen(reading, ticked), text)
            return RedirectResponse(f"/inquiries/{kept}", 303)
        except Faults as wrong:
            faults = [str(one) for one in wrong.faults]
    context = await off_loop(_context, desk, row, reading, ticked, units_of(request))
    return page(request, "mail.html", 422 if faults else 200, **{**context, "faults": faults or context["faults"]})


def _sure(reading: Reading) -> set[int]:
    return {place for place, one in enumerate(reading.facts) if one.sure}


def _ticked(reading: Reading, given: Mapping[str, str]) -> set[int]:
    return {place for place in range(len(reading.facts)) if given.get(f"take-{place}") == "yes"}


def _chosen(reading: Reading, ticked: set[int]) -> list[Found]:
    return [one for place, one in enumerate(reading.facts) if place in ticked]


def _context(desk: Desk, row: Any, reading: Reading, ticked: set[int], units: str) -> dict[str, Any]:
    chosen = _chosen(reading, ticked)
    questions, faults = _questions(desk, row.text if row is not None else "", chosen, reading.text, units)
    shown = {
        "text": reading.text,
        "reading": reading,
        "segments": segments(reading),
        "ticked": ticked,
        "faults": faults,
    }
    return _empty(row, **shown, open=questions, reply="" if faults else draft_reply(chosen, questions, DEALER, units))


def _questions(
    desk: Desk, before: str, chosen: Sequence[Found], text: str, units: str
) -> tuple[list[Question], list[str]]:
    """What is still worth asking once the chosen facts are in; or what contradicts itself in them."""
    after = inquiry_text(before, chosen, text)
    try:
        checked(after, counter.shelf(desk.workspace))
        with desk.reckons:
            seed = read_inquiry(after, "letter").seed
            return list(counter.try_answer(desk.workspace, after, seed, units).ask_next), []
    except Faults as wrong:
        return [], [str(one) for one in wrong.faults]
