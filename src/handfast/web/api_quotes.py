"""The verbs of the API on quotes and promises."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import asdict
from typing import Any, ParamSpec, TypeVar

from handfast.counter import calls, quoting
from handfast.counter import verbs as counter
from handfast.counter.answering import Given as Heard
from handfast.counter.answering import take_answer
from handfast.counter.offering import Said, Wanted
from handfast.counter.quote_states import RefusedError
from handfast.counter.roles import who_may
from handfast.counter.terms import Chosen
from handfast.machines.reading import read_inquiry
from handfast.store.quote_rows import QuoteRow
from handfast.web.api_inquiries import AT, BEFORE, LIMIT, NUMBER
from handfast.web.api_models import AnswerGiven, PromiseGiven, PromiseMarked, QuoteAsked, QuoteMoved
from handfast.web.api_problem import Problem
from handfast.web.api_verb import Answer, Given, Param, Verb, number
from handfast.web.pages_quotes import AFTER

P = ParamSpec("P")
T = TypeVar("T")
QUOTE = number("quote")
AT_VERSION = Param("version", "One of its versions; else the newest.", "integer")
SEEN = Param("version", "The version that was seen; an older one is refused (409).", "integer", needed=True, example=1)
OF_INQUIRY = Param("inquiry", "Only those of one inquiry.", "integer")


def short(row: QuoteRow) -> dict[str, Any]:
    """A quote as a list tells it."""
    names = ("number", "inquiry", "outfit", "created", "version")
    title = str(json.loads(row.json)["outfit"].get("title", row.outfit))
    return {**{name: getattr(row, name) for name in names}, "state": quoting.state_of(row), "title": title}


def told(row: QuoteRow) -> dict[str, Any]:
    """A quote with all that was kept with it."""
    return {**short(row), "note": row.note, "kept": json.loads(row.json)}


def _list(given: Given) -> Any:
    rows = counter.quotes(given.workspace, given.said.get("inquiry"))
    rest = [row for row in rows if row.number < given["before"]]
    shown = rest[: given["limit"]]
    following = None
    if len(rest) > len(shown):
        of = f"inquiry={given['inquiry']}&" if given.said.get("inquiry") else ""
        following = f"/api/quotes?{of}limit={given['limit']}&before={shown[-1].number}"
    return {"quotes": [short(row) for row in shown], "count": len(rows), "next": following}


def _read(given: Given) -> Any:
    return told(quoting.quote_at(given.workspace, given["number"], given.said.get("version")))


def _versions(given: Given) -> Any:
    rows = quoting.versions(given.workspace, given["number"])
    told: list[dict[str, Any]] = []
    for before, row in zip((None, *rows), rows, strict=False):
        changed = [] if before is None else [asdict(one) for one in quoting.difference(before, row)]
        names = ("version", "created", "who", "note", "sent")
        told.append({**{name: getattr(row, name) for name in names}, "difference": changed})
    return {"versions": told}


def _wanted(given: Given, inquiry: int) -> list[Wanted]:
    """The outfits asked for; a Problem where the inquiry's answer has no such."""
    text = counter.inquiry(given.workspace, inquiry).text
    known = {one.id for one in given.desk.answer(inquiry, read_inquiry(text, "inquiry"), "us").outfits}
    for one in given.record.outfits:
        if one not in known:
            raise Problem("not-there", f"No outfit of that id answers inquiry {inquiry}; its advice names them.")
    return [Wanted(one) for one in given.record.outfits]


def _said(given: Given) -> Said:
    return Said(given.record.customer, given.record.words, note=given.record.note)


def _quote(given: Given) -> Any:
    number = given["number"]
    wanted = _wanted(given, number)
    seed = read_inquiry(counter.inquiry(given.workspace, number).text, "inquiry").seed
    row = counter.offer(given.workspace, number, wanted, seed, _said(given))
    return Answer(told(row), {"location": f"/api/quotes/{row.number}"})


def _requote(given: Given) -> Any:
    number = given["number"]
    inquiry = quoting.quote_at(given.workspace, number).inquiry
    wanted = _wanted(given, inquiry)
    seed = read_inquiry(counter.inquiry(given.workspace, inquiry).text, "inquiry").seed
    with_reason = refused_as_problem(quoting.requote)
    row = with_reason(given.workspace, number, wanted, _said(given), seed, given["version"])
    return Answer(told(row), {"location": f"/api/quotes/{number}"})


def _move(given: Given) -> Any:
    if given.record.state not in AFTER and not given.quotes:
        raise Problem("may-not", f"To send or withdraw a quote is for: {', '.join(who_may('quote'))}.")
    return told(refused_as_problem(quoting.move)(given.workspace, given["number"], given.record.state))


def _answer(given: Given) -> Any:
    asked = given.record
    options = None if asked.options is None else frozenset(asked.options)
    chosen = Chosen(asked.outfit, options, asked.ballast, asked.name)
    heard = Heard(given["version"], asked.became, asked.how, chosen)
    return told(refused_as_problem(take_answer)(given.workspace, given["number"], heard))


def refused_as_problem(verb: Callable[P, T]) -> Callable[P, T]:
    """A verb whose refusals are told as problems, in its own sentence."""

    def told_so(*args: P.args, **named: P.kwargs) -> T:
        try:
            return verb(*args, **named)
        except RefusedError as error:
            raise Problem("not-now", str(error)) from None

    return told_so


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


ANSWER = {"became": "accepted", "how": "spoken", "name": "A. Rowan", "ballast": "accepted"}
PROMISE = {"who": "we", "what": "ring back with the freight", "by": "2026-03-06"}


def verbs() -> list[Verb]:
    """The verbs on quotes and promises."""
    return [
        Verb("POST", AT + "/quotes", "quote", "Quotes", "Numbers an offer of up to three outfits and keeps it.",
             "quote", _quote, "QuoteTold", (NUMBER,), QuoteAsked, status=201, example={"outfits": ["none"]}),
        Verb("GET", "/api/quotes", "list_quotes", "Quotes", "Lists the quotes, newest first.", "read", _list,
             "QuoteList", (OF_INQUIRY, LIMIT, BEFORE)),
        Verb("GET", "/api/quotes/{number}", "read_quote", "Quotes", "Reads one quote as it was offered.", "read", _read,
             "QuoteTold", (QUOTE, AT_VERSION)),
        Verb("GET", "/api/quotes/{number}/versions", "quote_versions", "Quotes",
             "Tells the versions of a quote, and what each changed.", "read", _versions, "VersionList", (QUOTE,)),
        Verb("POST", "/api/quotes/{number}/versions", "requote", "Quotes", "Makes a quote anew, as its next version.",
             "quote", _requote, "QuoteTold", (QUOTE, SEEN), QuoteAsked, status=201, refusals=(409,),
             example={"outfits": ["none"], "note": "with the smaller grapple"}),
        Verb("PUT", "/api/quotes/{number}/state", "move_quote", "Quotes", "Moves a quote to another state.", "care",
             _move, "QuoteTold", (QUOTE,), QuoteMoved, refusals=(409,), example={"state": "sent"}),
        Verb("POST", "/api/quotes/{number}/answer", "answer_quote", "Quotes",
             "Keeps that an offer was accepted or declined.", "quote", _answer, "QuoteTold", (QUOTE, SEEN),
             AnswerGiven, refusals=(409,), example=ANSWER),
        Verb("GET", "/api/promises", "list_promises", "Promises", "Lists who has to do what by when.", "read",
             _promises, "PromiseList", (OF_INQUIRY,)),
        Verb("POST", AT + "/promises", "promise", "Promises", "Keeps who has to do what by when.", "inquire", _promise,
             "PromiseTold", (NUMBER,), PromiseGiven, status=201, example=PROMISE),
        Verb("PUT", "/api/promises/{number}", "keep_promise", "Promises", "Marks a promise as kept, or as open again.",
             "inquire", _mark, "PromiseTold", (number("promise"),), PromiseMarked, example={"done": True}),
    ]  # fmt: skip
