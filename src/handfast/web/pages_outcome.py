"""What became of a quote, and how claims and what happened go together."""

from __future__ import annotations

from typing import Any

from markupsafe import Markup
from pydantic import ValidationError
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from handfast.advice.calibration import Calibration
from handfast.counter import aftercare
from handfast.counter import verbs as counter
from handfast.drawings.calibration import CalibrationView, Spot, calibration_drawing
from handfast.machines.outcome import Outcome
from handfast.web.desk import desk_of, form_of, number_in, off_loop, page
from handfast.web.pages_quotes import quote_context

WIDE = 440.0
ENTRIES = ("became", "why", "payload", "hours", "made", "notes")
LONGEST = 300


async def say_outcome(request: Request) -> Response:
    """Keep what became of a quote; 422 with the form as it was where something is wrong."""
    desk, number = desk_of(request), number_in(request)
    form = await form_of(request)
    given = {name: form.get(name, "").strip()[:LONGEST] for name in ENTRIES}
    try:
        outcome = Outcome.model_validate({name: text for name, text in given.items() if text})
    except ValidationError as error:
        refused = {"given": given, "fault": _said(error)}
        return page(request, "quote.html", 422, **await quote_context(request), **refused)
    await off_loop(aftercare.say_outcome, desk.workspace, number, outcome)
    return RedirectResponse(f"/quotes/{number}", 303)


def _said(error: ValidationError) -> str:
    """The first fault as a sentence."""
    first = error.errors()[0]
    place = ".".join(str(one) for one in first["loc"]) or "what became of it"
    return f"{place}: {first['msg'].removeprefix('Value error, ')}"


async def calibration_page(request: Request) -> Response:
    """Of what we called nine in ten, how much held."""
    workspace = desk_of(request).workspace
    verdicts, payloads = await off_loop(aftercare.calibrations, workspace)
    heard = await off_loop(aftercare.outcomes, workspace)
    quotes = await off_loop(counter.quotes, workspace)
    return page(
        request,
        "calibration.html",
        verdicts=_told(verdicts, "held"),
        payloads=_told(payloads, "lifted at least that"),
        heard=[{"quote": quote, "outcome": outcome} for quote, outcome in heard],
        waiting=len(quotes) - len(heard),
    )


def _told(found: Calibration, claim: str) -> dict[str, Any]:
    spots = tuple(Spot(b.claimed, b.held, b.low, b.high, b.count, b.bends) for b in found.bins)
    drawn = calibration_drawing(CalibrationView(spots, claim=claim), "screen", WIDE) if spots else ""
    return {"count": found.count, "drawing": Markup(drawn), "bins": found.bins, "says": says(found), "off": found.off}


def says(found: Calibration) -> str:
    """What the picture comes to, in a sentence."""
    if not found.count:
        return "Nothing has been heard of yet."
    surest = next((one for one in reversed(found.bins) if one.claimed >= 0.9), None)
    start = (
        f"Of {surest.count} called {round(100 * surest.claimed)} in 100, {round(100 * surest.held)} in 100 held. "
        if surest is not None
        else ""
    )
    bent = [one for one in found.bins if one.bends]
    if not bent:
        return f"{start}Nothing here is further from the diagonal than chance allows."
    kinder = sum(one.count * (one.claimed - one.held) for one in bent) > 0
    return f"{start}{'Claims are kinder' if kinder else 'Claims are harsher'} than what happens: the bend is marked."
