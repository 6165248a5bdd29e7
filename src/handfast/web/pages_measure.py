"""Measurements of an inquiry: what each settled, how to take one, and the form that takes it in."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from markupsafe import Markup
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from handfast.counter import verbs as counter
from handfast.counter.seen import rewrite
from handfast.drawings.measure_pictures import measure_picture
from handfast.machines.faults import Fault, Faults
from handfast.machines.measurement import ways
from handfast.machines.reading import read_inquiry
from handfast.web.desk import Desk, desk_of, form_of, number_in, off_loop, page, units_of
from handfast.web.form import checked, data_of, sentence
from handfast.web.measuring import ENTRIES, entry_of, measuring, standing, ways_for, with_entry, without_entry

READS = {
    "mass": "such as 3,600 lb or 1640 kg",
    "length": "such as 5 ft 3 in or 160 cm",
    "slope": "such as 8 deg or 14 %",
    "pressure": "such as 2,450 psi or 170 bar",
    "time": "such as 4.2 s",
    "count": "a whole number",
    "seen": "pinned, universal plate, or hook and pin",
}


async def measure_page(request: Request) -> Response:
    """The measurements of an inquiry, and the form for another."""
    given = {"what": request.query_params.get("what", "")}
    context = await off_loop(_context, desk_of(request), number_in(request), units_of(request), given, {}, [])
    return page(request, "measure.html", **context)


def _context(
    desk: Desk, number: int, system: str, given: Mapping[str, str], faults: Mapping[str, str], rest: list[str]
) -> dict[str, Any]:
    row = counter.inquiry(desk.workspace, number)
    inquiry = read_inquiry(row.text, "inquiry")
    advice = desk.answer(number, inquiry, system)
    chosen = ways().get(given.get("what", ""))
    return {
        "row": row,
        "measuring": measuring(advice, inquiry, system),
        "callers": ways_for("caller"),
        "workshop": ways_for("workshop"),
        "given": given,
        "faults": faults,
        "rest": rest,
        "chosen": chosen,
        "reads": READS,
        "drawn": lambda kind: Markup(measure_picture(kind)),
    }


async def take_measurement(request: Request) -> Response:
    """Take in a reading; 422 with the form as it was where something is wrong."""
    desk, number = desk_of(request), number_in(request)
    given = dict(await form_of(request))
    try:
        await off_loop(_store, desk, number, lambda text: with_entry(text, entry_of(given)))
    except Faults as found:
        at, rest = _at_entries(found.faults)
        context = await off_loop(_context, desk, number, units_of(request), given, at, rest)
        return page(request, "measure.html", 422, **context)
    return RedirectResponse(f"/inquiries/{number}/measure", 303)


def _at_entries(faults: list[Fault]) -> tuple[dict[str, str], list[str]]:
    """Faults by the field of the form they stand at, and the others."""
    at: dict[str, str] = {}
    rest = []
    for fault in faults:
        last = fault.place.rpartition(".")[2]
        name = "value" if last == "seen" else last
        if fault.place.startswith("measurement[") and name in ENTRIES:
            at.setdefault(name, sentence(fault))
        else:
            rest.append(str(fault))
    return at, rest


async def change_measurement(request: Request) -> Response:
    """Take a reading out, or let it stand in place of what was known."""
    desk, number = desk_of(request), number_in(request)
    place: int = request.path_params["place"]
    given = await form_of(request)
    change: Callable[[str, int], str] | None = {"out": without_entry, "stand": standing}.get(given.get("do", ""))
    if change is None:
        raise HTTPException(422, "A reading is taken out, or stands.")
    try:
        await off_loop(_changed, desk, number, place, change)
    except Faults as found:
        context = await off_loop(_context, desk, number, units_of(request), {}, {}, [str(one) for one in found.faults])
        return page(request, "measure.html", 422, **context)
    return RedirectResponse(f"/inquiries/{number}/measure", 303)


def _changed(desk: Desk, number: int, place: int, change: Callable[[str, int], str]) -> None:
    held = data_of(counter.inquiry(desk.workspace, number).text).get("measurement", ())
    if place >= len(held):
        raise HTTPException(404, "There is no such reading.")
    _store(desk, number, lambda text: change(text, place))


def _store(desk: Desk, number: int, change: Callable[[str], str]) -> None:
    """Change an inquiry's text. Raises Faults, nothing stored, where it can't be so."""

    def changed(before: str) -> str:
        text = change(before)
        checked(text, counter.shelf(desk.workspace))
        return text

    rewrite(desk.workspace, number, changed, "inquiry")
