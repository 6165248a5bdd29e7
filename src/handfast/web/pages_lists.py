"""Suppliers' lists: brought in, looked at cell by cell, taken whole, undone whole."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from starlette.datastructures import UploadFile
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from handfast.counter import lists, prices
from handfast.lists.grid import ListError, letter
from handfast.lists.proposal import Row
from handfast.web.desk import Desk, desk_of, form_of, number_in, off_loop, page, token_holds
from handfast.web.pages_inquiry import when
from handfast.web.pages_prices import offer_row

SHOWN = 200  # rows of one state on the page; the rest is counted
TOLD = {
    "add": ("New", "would be put on the shelf"),
    "change": ("Changed", "are on the shelf and would change"),
    "same": ("The same", "are on the shelf as they stand"),
    "ask": ("Waiting for an answer", "stay out until the question above is answered"),
    "refuse": ("Refused", "stay out: something in them can't be taken"),
    "pass": ("Passed over", "are no records, or stand in the list twice"),
}


def _shown(row: Row) -> dict[str, Any]:
    return {
        "number": row.number,
        "id": row.id,
        "name": row.record.get("name", ""),
        "changes": [f"{place}: {before or 'nothing'} → {after or 'nothing'}" for place, before, after in row.changes],
        "why": [str(one) for one in row.why],
    }


def _context(desk: Desk, number: int) -> dict[str, Any]:
    looked = lists.look_at_list(desk.workspace, number)
    proposal = looked.proposal
    counted = proposal.counted()
    groups = []
    for state, (title, what) in TOLD.items():
        rows = list(proposal.rows(state))
        if rows:
            groups.append(
                {
                    "state": state,
                    "title": title,
                    "what": what,
                    "count": len(rows),
                    "rows": [_shown(r) for r in rows[:SHOWN]],
                }
            )
    touched = prices.touched_by_list(desk.workspace, proposal) if looked.row.state != "taken" else []
    return {
        "row": looked.row,
        "touched": [offer_row(one) for one in touched],
        "when": when,
        "counted": counted,
        "questions": proposal.questions,
        "notes": proposal.notes,
        "tables": [_columns(table) for table in proposal.tables],
        "groups": groups,
        "shown": SHOWN,
    }


def _columns(table: Any) -> dict[str, Any]:
    told = [
        (letter(at), one.header, one.field.place if one.field else "", one.unit) for at, one in enumerate(table.columns)
    ]
    return {
        "sheet": table.sheet,
        "header_row": table.header_row,
        "kind": table.kind,
        "columns": [one for one in told if one[1]],
    }


async def lists_page(request: Request) -> Response:
    """Every list that came in, and the way to bring one."""
    desk = desk_of(request)
    rows = await off_loop(lists.lists_so_far, desk.workspace)
    return page(request, "lists.html", rows=rows, when=when, fault="", supplier="")


async def bring(request: Request) -> Response:
    """Take a file in; nothing reaches the shelf yet."""
    desk = desk_of(request)
    form = await request.form(max_files=1, max_fields=4)
    token_holds(request, str(form.get("token", "")))
    file, supplier = form.get("file"), str(form.get("supplier", "")).strip()
    fault = "Choose a file: CSV, XLSX, XLS or ODS."
    if isinstance(file, UploadFile) and file.filename:
        name = file.filename.replace("\\", "/").rsplit("/", 1)[-1]
        try:
            number = await off_loop(lists.bring_list, desk.workspace, name, await file.read(), supplier)
            return RedirectResponse(f"/lists/{number}", 303)
        except ListError as error:
            fault = str(error)
    rows = await off_loop(lists.lists_so_far, desk.workspace)
    return page(request, "lists.html", 422, rows=rows, when=when, fault=fault, supplier=supplier)


async def list_page(request: Request) -> Response:
    """What a list would do to the shelf."""
    return page(request, "list.html", **await off_loop(_context, desk_of(request), number_in(request)))


async def act(request: Request) -> Response:
    """Answer a list's questions, take it, undo it."""
    desk, number, given = desk_of(request), number_in(request), await form_of(request)
    verbs = {"answer": _answer, "take": _take, "undo": _undo}
    verb = verbs.get(given.get("act", ""))
    if verb is None:
        raise HTTPException(422, "Nothing was done: that is no act of this page.")
    try:
        await off_loop(verb, desk, number, given)
    except ListError as error:
        return page(request, "error.html", 422, title="Not done", said=str(error))
    return RedirectResponse(f"/lists/{number}", 303)


def _answer(desk: Desk, number: int, given: Mapping[str, str]) -> None:
    asked = lists.look_at_list(desk.workspace, number).proposal.questions
    answers = {one.key: given[f"q-{at}"] for at, one in enumerate(asked) if f"q-{at}" in given}
    lists.answer_list(desk.workspace, number, answers)


def _take(desk: Desk, number: int, _given: Mapping[str, str]) -> None:
    lists.take_list(desk.workspace, number)


def _undo(desk: Desk, number: int, _given: Mapping[str, str]) -> None:
    lists.undo_list(desk.workspace, number)
