"""The verbs of the API on quotes and promises."""

from __future__ import annotations

import json
from dataclasses import asdict
from typing import Any

from handfast.counter import calls
from handfast.counter import verbs as counter
from handfast.machines.reading import read_inquiry
from handfast.store.quote_rows import QuoteRow
from handfast.web.api_inquiries import AT, BEFORE, LIMIT, NUMBER
from handfast.web.api_models import PromiseGiven, PromiseMarked, QuoteAsked
from handfast.web.api_problem import Problem
from handfast.web.api_verb import Answer, Given, Param, Verb, number

OF_INQUIRY = Param("inquiry", "Only those of one inquiry.", "integer")


def short(row: QuoteRow) -> dict[str, Any]:
    """A quote as a list tells it."""
    names = ("number", "inquiry", "outfit", "state", "created")
    title = str(json.loads(row.json)["outfit"].get("title", row.outfit))
    return {**{name: getattr(row, name) for name in names}, "title": title}


def told(row: QuoteRow) -> dict[str, Any]:
    """A quote with all that was kept with it."""
    return {**short(row), "kept": json.loads(row.json)}


def _list(given: Given) -> Any:
    rows = counter.quotes(given.workspace, given.said.get("inquiry"))
    rest = [row for row in rows if row.number < given["before"]]
    shown = rest[: given["limit"]]
    following = None
    if len(rest) > len(shown):
        of = f"inquiry={given['inquiry']}&" if given.said.get("inquiry") else ""
        following = f"/api/quotes?{of}limit={given['limit']}&before={shown[-1].number}"
    return {"quotes": [short(row) for row in shown], "count": len(rows), "next": following}


def row_of(given: Given) -> QuoteRow:
    """The quote of an address. KeyError: there is none."""
    found = next((row for row in counter.quotes(given.workspace) if row.number == given["number"]), None)
    if found is None:
        raise KeyError(given["number"])
    return found


def _read(given: Given) -> Any:
    return told(row_of(given))


def _quote(given: Given) -> Any:
    inquiry = read_inquiry(counter.inquiry(given.workspace, given["number"]).text, "inquiry")
    wanted = given.record.outfit
    advice = given.desk.answer(given["number"], inquiry, "us")
    if wanted not in {one.id for one in advice.outfits}:
        raise Problem("not-there", f"No outfit of that id answers inquiry {given['number']}; its advice names them.")
    row = counter.quote(given.workspace, given["number"], wanted, inquiry.seed)
    return Answer(told(row), {"location": f"/api/quotes/{row.number}"})


def _promises(given: Given) -> Any:
    return {"promises": [asdict(one) for one in calls.promises(given.workspace, given.said.get("inquiry"))]}


def _one_promise(given: Given, number: int) -> Any:
    return asdict(next(one for one in calls.promises(given.workspace) if one.number == number))


def _promise(given: Given) -> Any:
    asked = given.record
    made = calls.promise(given.workspace, given["number"], asked.who, asked.what, asked.by)
    return Answer(_one_promise(given, made))


def _mark(given: Given) -> Any:
    calls.keep_promise(given.workspace, given["number"], given.record.done)
    return _one_promise(given, given["number"])


PROMISE = {"who": "we", "what": "ring back with the freight", "by": "2026-03-06"}


def verbs() -> list[Verb]:
    """The verbs on quotes and promises."""
    return [
        Verb("POST", AT + "/quotes", "quote", "Quotes",
             "Numbers an offer of one outfit and keeps it as it was reckoned.",
             "quote", _quote, "QuoteTold", (NUMBER,), QuoteAsked, status=201, example={"outfit": "none"}),
        Verb("GET", "/api/quotes", "list_quotes", "Quotes", "Lists the quotes, newest first.", "read", _list,
             "QuoteList", (OF_INQUIRY, LIMIT, BEFORE)),
        Verb("GET", "/api/quotes/{number}", "read_quote", "Quotes", "Reads one quote as it was offered.", "read", _read,
             "QuoteTold", (number("quote"),)),
        Verb("GET", "/api/promises", "list_promises", "Promises", "Lists who has to do what by when.", "read",
             _promises, "PromiseList", (OF_INQUIRY,)),
        Verb("POST", AT + "/promises", "promise", "Promises", "Keeps who has to do what by when.", "inquire", _promise,
             "PromiseTold", (NUMBER,), PromiseGiven, status=201, example=PROMISE),
        Verb("PUT", "/api/promises/{number}", "keep_promise", "Promises", "Marks a promise as kept, or as open again.",
             "inquire", _mark, "PromiseTold", (number("promise"),), PromiseMarked, example={"done": True}),
    ]  # fmt: skip
