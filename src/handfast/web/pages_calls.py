"""Calls: begun with one key, held, taken up again; undo; promises; the history of an inquiry."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from handfast.counter import calls
from handfast.counter import verbs as counter
from handfast.counter.verbs import Workspace
from handfast.web.desk import desk_of, form_of, number_in, off_loop, page
from handfast.web.kept import kept
from handfast.web.pages_call import answered
from handfast.web.pages_inquiry import lists_of
from handfast.web.promised import by_when, promised
from handfast.web.strip import strip_context
from handfast.web.told import headline, told

LONGEST = 300  # characters of a promise


async def calls_page(request: Request) -> Response:
    """The calls that are open, the typing line that begins one, and what was promised."""
    workspace = desk_of(request).workspace
    context = await off_loop(strip_context, workspace)
    open_ones = [one for one in await off_loop(calls.promises, workspace) if one.done is None]
    due = promised(open_ones, datetime.now())
    lists = lists_of(await off_loop(counter.shelf, workspace))
    return page(request, "calls.html", due=due, lists=lists, **context)


async def start_call(request: Request) -> Response:
    """Begin a call: an empty inquiry; with a line, what was typed is put in."""
    workspace, given = desk_of(request).workspace, dict(await form_of(request))
    hold = _number(given.get("hold", ""))
    number = await off_loop(calls.start_call, workspace, hold)
    if given.get("line", "").strip():
        return await answered(request, number, {"line": given["line"]})
    return RedirectResponse(f"/inquiries/{number}", 303)


def _number(text: str) -> int | None:
    return int(text) if text.isascii() and text.isdigit() and len(text) < 18 else None


async def hold_call(request: Request) -> Response:
    """Put the call on hold."""
    return await _moved(request, calls.hold_call)


async def ring_off(request: Request) -> Response:
    """End the call; its inquiry stays."""
    return await _moved(request, calls.ring_off)


async def undo(request: Request) -> Response:
    """One change of the facts back."""
    return await _moved(request, calls.undo)


async def redo(request: Request) -> Response:
    """One undo back."""
    return await _moved(request, calls.redo)


async def _moved(request: Request, verb: Callable[[Workspace, int], object]) -> Response:
    number = number_in(request)
    await form_of(request)
    await off_loop(verb, desk_of(request).workspace, number)
    return RedirectResponse(f"/inquiries/{number}", 303)


async def resume_call(request: Request) -> Response:
    """Take a call up, the one on the line put on hold."""
    number, given = number_in(request), await form_of(request)
    await off_loop(calls.resume_call, desk_of(request).workspace, number, _number(given.get("hold", "")))
    return RedirectResponse(f"/inquiries/{number}", 303)


async def cannot_say(request: Request) -> Response:
    """The caller can't say what was asked: the next question comes up; without a fact, all are asked again."""
    number, given = number_in(request), await form_of(request)
    fact = given.get("fact", "")[:60] or None
    await off_loop(calls.cannot_say, desk_of(request).workspace, number, fact)
    return RedirectResponse(f"/inquiries/{number}", 303)


async def take_promise(request: Request) -> Response:
    """Keep who has to do what by when; what can't be read is said and nothing is stored."""
    number, given = number_in(request), await form_of(request)
    what, by, who = given.get("what", "").strip()[:LONGEST], given.get("by", "").strip(), given.get("who", "we")
    read = by_when(by, datetime.now()) if by else ""
    if not what or read is None or who not in calls.WHO:
        found = f'"{by[:60]}" is no day or time' if what and who in calls.WHO else "a promise says who does what"
        said = f"Not kept: {found}. Write today 12:00, tomorrow, Fri 9:30 or 2026-03-05, or leave the time empty."
        return page(request, "error.html", 422, title="Promise not kept", said=said)
    await off_loop(calls.promise, desk_of(request).workspace, number, who, what, read)
    return RedirectResponse(f"/inquiries/{number}#promised", 303)


async def promise_done(request: Request) -> Response:
    """Mark a promise as kept, or as open again."""
    given = await form_of(request)
    done, back = given.get("done") != "no", given.get("back", "")
    row = await off_loop(calls.keep_promise, desk_of(request).workspace, number_in(request), done)
    return RedirectResponse(back if back in ("/", "/calls") else f"/inquiries/{row.inquiry}#promised", 303)


async def history_page(request: Request) -> Response:
    """Who changed what, when, from what to what."""
    workspace, number = desk_of(request).workspace, number_in(request)
    log = await off_loop(calls.history, workspace, number)
    shelf = await off_loop(counter.shelf, workspace)
    row = await off_loop(counter.inquiry, workspace, number)
    if not log:
        raise HTTPException(404)
    return page(
        request, "inquiry_history.html", row=row, called=headline(row.title, row.text, shelf), entries=told(log, shelf)
    )


def call_routes() -> list[Route]:
    """The addresses of calls, promises and histories."""
    at = "/inquiries/{number:int}"
    return [
        Route("/calls", kept(calls_page)),
        Route("/calls", start_call, methods=["POST"]),
        Route(at + "/hold", hold_call, methods=["POST"]),
        Route(at + "/resume", resume_call, methods=["POST"]),
        Route(at + "/ring-off", ring_off, methods=["POST"]),
        Route(at + "/undo", undo, methods=["POST"]),
        Route(at + "/redo", redo, methods=["POST"]),
        Route(at + "/cannot-say", cannot_say, methods=["POST"]),
        Route(at + "/promises", take_promise, methods=["POST"]),
        Route("/promises/{number:int}/done", promise_done, methods=["POST"]),
        Route(at + "/history", kept(history_page)),
    ]
