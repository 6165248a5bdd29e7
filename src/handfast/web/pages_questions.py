"""Questions out: three requests as a message, a sheet, a page file, a private link; and what comes back."""

from __future__ import annotations

import os
import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from markupsafe import Markup
from starlette.exceptions import HTTPException
from starlette.requests import Request as Asked
from starlette.responses import JSONResponse, RedirectResponse, Response

from handfast.advice.requests import FIRST, Request, requests_of
from handfast.counter import letters
from handfast.counter import verbs as counter
from handfast.counter.house import settings
from handfast.counter.verbs import Workspace
from handfast.drawings.looking_pictures import looking_picture
from handfast.drawings.quick_attach_pictures import quick_attach_picture
from handfast.language.telling import tell
from handfast.machines.faults import Faults
from handfast.machines.reading import read_inquiry
from handfast.machines.shelf import Shelf
from handfast.store.inquiry_rows import InquiryRow
from handfast.store.letter_rows import LetterRow
from handfast.web.answers_back import Answer, answer_line, message, one_answer, read_answers
from handfast.web.asking import REPLIES
from handfast.web.desk import HERE, Desk, desk_of, drawn_page, form_of, number_in, off_loop, on_paper, page, units_of
from handfast.web.facts_in import store_answers
from handfast.web.fields import field_at
from handfast.web.pages_inquiry import when

OUTSIDE = "HANDFAST_OUTSIDE"  # the address under which customers reach this program, where the owner has set one
COUNTED = ("No question", "One question", "Two questions", "Three questions")
TO_WRITE = {"machine": "make, model, horses"}


@dataclass(frozen=True)
class Shown:
    """A request as a page shows it."""

    request: Request
    picture: Markup  # of where to look; none where each choice has its own
    choices: tuple[tuple[str, Markup], ...]
    label: str
    example: str


def outside(workspace: Workspace) -> str:
    """The address for customers, without a stroke at its end: the environment's, else the settings'; or empty."""
    return (os.environ.get(OUTSIDE, "").strip() or settings(workspace).outside_address).rstrip("/")


def shown(requests: tuple[Request, ...]) -> list[Shown]:
    """Requests with their pictures and what may be written."""
    found = []
    for one in requests:
        entry = one_answer(1, one.fact, "1 1", Shelf()).entries
        field = next(filter(None, map(field_at, entry)), None)
        example = TO_WRITE.get(one.fact, field.example if field is not None else "")
        pictures = {words: Markup(quick_attach_picture(kind)) for words, _, kind in REPLIES.get(one.fact, ()) if kind}
        choices = tuple((words, pictures.get(words, Markup())) for words in one.options)
        picture = Markup() if pictures else Markup(looking_picture(one.fact))
        found.append(Shown(one, picture, choices, field.label if field is not None else "In your words", example))
    return found


def _asked_now(desk: Desk, number: int, system: str) -> tuple[InquiryRow, tuple[Request, ...]]:
    row = counter.inquiry(desk.workspace, number)
    advice = desk.answer(number, read_inquiry(row.text, "inquiry"), system)
    return row, requests_of(advice.ask_next)


@dataclass(frozen=True)
class Back:
    """What came back to a letter, or was pasted, before it is taken."""

    letter: LetterRow | None
    answers: list[Answer]


def _backs(desk: Desk, number: int) -> list[Back]:
    shelf = counter.shelf(desk.workspace)
    return [
        Back(row, read_answers(row.answers, shelf))
        for row in letters.letters_of(desk.workspace, number)
        if row.answers and not row.taken
    ]


def _context(desk: Desk, number: int, system: str, pasted: str = "", secret: str = "") -> dict[str, Any]:
    row, requests = _asked_now(desk, number, system)
    backs, away = _backs(desk, number), outside(desk.workspace)
    answers = read_answers(pasted, counter.shelf(desk.workspace)) if pasted else []
    if pasted:
        backs.insert(0, Back(None, answers))
    return {
        "row": row,
        "requests": shown(requests),
        "first": FIRST,
        "message": tell(message(requests, settings(desk.workspace).name, number)) if requests else "",
        "letters": letters.letters_of(desk.workspace, number),
        "is_open": letters.is_open,
        "when": when,
        "backs": backs,
        "pasted": pasted,
        "read": len(answers),
        "outside": away,
        "link": f"{away}/a/{secret}" if secret else "",
        "days": letters.DAYS,
    }


async def questions_page(request: Asked) -> Response:
    """The questions that would be sent, and what came back."""
    desk, number = desk_of(request), number_in(request)
    return page(request, "questions.html", **await on_paper(request, _context, desk, number, units_of(request)))


async def act(request: Asked) -> Response:
    """Make a link, withdraw one, read pasted answers, take what came back."""
    desk, number, given = desk_of(request), number_in(request), await form_of(request)
    act = given.get("act", "")
    away: str = await off_loop(outside, desk.workspace)
    if act == "link" and away:
        return await on_paper(request, _linked, request, desk, number)
    if act == "withdraw":
        await off_loop(letters.withdraw, desk.workspace, _letter(desk, number, given).number)
    elif act == "read":
        context = await on_paper(request, _context, desk, number, units_of(request), given.get("pasted", "")[:20_000])
        return page(request, "questions.html", **context)
    elif act == "take":
        return await off_loop(_taken, request, desk, number, given)
    else:
        raise HTTPException(422, "Nothing was done: that is no act of this page.")
    return RedirectResponse(f"/inquiries/{number}/questions", 303)


def _linked(request: Asked, desk: Desk, number: int) -> Response:
    _, requests = _asked_now(desk, number, units_of(request))
    secret, _ = letters.send_questions(desk.workspace, number, requests)
    return page(request, "questions.html", **_context(desk, number, units_of(request), secret=secret))


def _letter(desk: Desk, number: int, given: Mapping[str, str]) -> LetterRow:
    named = given.get("letter", "")
    found = [one for one in letters.letters_of(desk.workspace, number) if str(one.number) == named]
    if not found:
        raise HTTPException(404, "There is no such letter.")
    return found[0]


def _taken(request: Asked, desk: Desk, number: int, given: Mapping[str, str]) -> Response:
    """Put the ticked answers into the inquiry; say what is wrong with those that can't be."""
    shelf = counter.shelf(desk.workspace)
    text = given.get("answers", "")
    letter = _letter(desk, number, given) if given.get("letter") else None
    answers = read_answers(letter.answers if letter else text, shelf)
    ticked = [one for place, one in enumerate(answers) if given.get(f"take-{place}") == "yes" and one.entries]
    try:
        store_answers(desk.workspace, number, ticked)
    except Faults as faults:
        return page(request, "error.html", 422, title="Not taken", said=" ".join(map(str, faults.faults)))
    if letter:
        letters.mark_taken(desk.workspace, letter.number)
    return RedirectResponse(f"/inquiries/{number}", 303)


async def questions_file(request: Asked) -> Response:
    """The questions as one page file that needs nothing else; `sheet` is for paper."""
    desk, number = desk_of(request), number_in(request)
    _, requests = await off_loop(_asked_now, desk, number, units_of(request))
    if not requests:
        raise HTTPException(404, "There is nothing to ask.")
    text = _customer_page(desk, requests, number, alone=True)
    name = f"questions-{number}.html"
    headers = {"content-disposition": f'attachment; filename="{name}"', "content-security-policy": "sandbox"}
    return drawn_page(request, text, headers=headers)


async def questions_sheet(request: Asked) -> Response:
    """The questions as one sheet to print."""
    desk, number = desk_of(request), number_in(request)
    _, requests = await off_loop(_asked_now, desk, number, units_of(request))
    if not requests:
        raise HTTPException(404, "There is nothing to ask.")
    return drawn_page(request, _customer_page(desk, requests, number, sheet=True))


def _customer_page(desk: Desk, requests: tuple[Request, ...], number: int, **how: Any) -> str:
    alone = bool(how.get("alone"))
    return desk.templates.get_template("questions_customer.html").render(
        requests=shown(requests),
        counted=COUNTED[len(requests)],
        dealer=settings(desk.workspace).name,
        number=number,
        first=FIRST,
        alone=alone,
        sheet=bool(how.get("sheet")),
        sent=how.get("sent", ""),
        given=how.get("given", {}),
        css=Markup(_styles()) if alone else "",
        js=Markup(_static("customer.js")) if alone else "",
    )


@lru_cache(maxsize=8)
def _static(name: str) -> str:
    return (HERE / "static" / name).read_text("utf-8")


@lru_cache(maxsize=1)
def _styles() -> str:
    """The styles for a file by itself: its lettering is what the device has."""
    tokens = re.sub(r"@font-face\{.*?\}", "", _static("tokens.css"), flags=re.S)
    return "\n".join((tokens, _static("drawing.css"), _static("customer.css")))


async def customer_page(request: Asked) -> Response:
    """The page behind a private link: the questions and nothing else."""
    desk, secret = desk_of(request), request.path_params["secret"]
    row = await off_loop(letters.opened, desk.workspace, secret)
    if row is None:
        return _closed(request, desk)
    given = {one.fact: one.words for one in read_answers(row.answers, Shelf())}
    text = _customer_page(desk, letters.requests_in(row), row.inquiry, sent=row.answered, given=given)
    return _private(drawn_page(request, text))


async def customer_answers(request: Asked) -> Response:
    """Take what the customer sends; JSON where the page's script asks."""
    desk, secret = desk_of(request), request.path_params["secret"]
    row = await off_loop(letters.opened, desk.workspace, secret)
    if row is None:
        return _closed(request, desk)
    form = await request.form(max_fields=30, max_files=0)
    given = {name: value for name, value in form.items() if isinstance(value, str)}
    lines = "\n".join(_lines(letters.requests_in(row), given))
    kept = await off_loop(letters.answer_letter, desk.workspace, secret, lines)
    if not kept:
        return _closed(request, desk)
    if "application/json" in request.headers.get("accept", ""):
        return _private(JSONResponse({"kept": True}))
    return _private(RedirectResponse(f"/a/{secret}", 303))


def _lines(requests: tuple[Request, ...], given: Mapping[str, str]) -> list[str]:
    """Answer lines from the fields of the customer's page."""
    lines = []
    for one in requests:
        parts = [given.get(f"choice-{one.number}", ""), given.get(f"words-{one.number}", "")]
        words = "; ".join(" ".join(part.split()) for part in parts if part.strip())
        if words:
            lines.append(answer_line(one.number, one.fact, words))
    return lines


def _closed(request: Asked, desk: Desk) -> Response:
    text = desk.templates.get_template("questions_closed.html").render(dealer=settings(desk.workspace).name)
    return _private(drawn_page(request, text, 404))


def _private(response: Response) -> Response:
    response.headers["referrer-policy"] = "no-referrer"
    response.headers["x-robots-tag"] = "noindex, nofollow"
    response.headers["cache-control"] = "no-store"
    return response
