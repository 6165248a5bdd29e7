"""The verbs of the API on inquiries: list, take, read, change, answer, ask, find."""

from __future__ import annotations

import tomllib
from dataclasses import asdict
from typing import Any
from urllib.parse import quote

from handfast.advice.as_json import to_json
from handfast.advice.requests import Request, requests_of
from handfast.counter import calls, finding, letters, seen
from handfast.counter import verbs as counter
from handfast.counter.calls import NOTHING
from handfast.counter.house import settings
from handfast.machines.faults import Faults
from handfast.machines.inquiry import Inquiry
from handfast.machines.reading import read_held, read_inquiry
from handfast.store.change_rows import Change
from handfast.store.inquiry_rows import InquiryRow
from handfast.store.tables import STATES
from handfast.web.answers_back import message
from handfast.web.api_body import FILE, JSON, TOML
from handfast.web.api_models import StateGiven
from handfast.web.api_problem import Problem, of_stale
from handfast.web.api_verb import MOST_NUMBER, UNITS, VERSION, Answer, Given, Param, Verb, number
from handfast.web.pages_questions import outside

AT = "/api/inquiries/{number}"
NUMBER = number("inquiry")
OUTFIT = Param("outfit", "Id of the outfit, as the advice names it.", in_path=True, needed=True, example="none")
LIMIT = Param("limit", "How many are told at most.", "integer", most=500, default=100)
BEFORE = Param("before", "Only those with a smaller number.", "integer", default=MOST_NUMBER)
WORDS = Param("words", "Words that all must be held, or words that begin so.", needed=True, example="oak")
STATE = Param("state", "Only those that stand there.", choices=STATES)


def text_in(given: Given) -> str:
    """The inquiry's text of a body; raises Faults, those against the shelf among them."""
    assert given.body is not None
    text = given.body.toml(empty=NOTHING)
    if given.body.is_json:
        given.body.record(Inquiry)
    try:
        read_held(text, FILE, counter.shelf(given.workspace))
    except Faults as error:
        raise given.body.placed(error) from None
    return text


def listed(given: Given, rows: list[InquiryRow]) -> dict[str, Any]:
    """A page of inquiries with the address of the next."""
    asked = {name: given.said[name] for name in ("state", "words") if given.said.get(name)}
    rest = [row for row in rows if row.number < given["before"]]
    shown = rest[: given["limit"]]
    more = {**asked, "limit": given["limit"], "before": shown[-1].number} if len(rest) > len(shown) else None
    path = "/api/search" if "words" in asked else "/api/inquiries"
    following = f"{path}?{'&'.join(f'{name}={quote(str(value))}' for name, value in more.items())}" if more else None
    return {"inquiries": [_short(row) for row in shown], "count": len(rows), "next": following}


def _short(row: InquiryRow) -> dict[str, Any]:
    return {name: value for name, value in asdict(row).items() if name != "text"}


def _list(given: Given) -> Any:
    state = given.said.get("state")
    return listed(given, [row for row in counter.inquiries(given.workspace) if state in (None, row.state)])


def _search(given: Given) -> Any:
    found = set(finding.find(given.workspace, given["words"]))
    return listed(given, [row for row in counter.inquiries(given.workspace) if row.number in found])


def told(given: Given, number: int) -> dict[str, Any]:
    """One inquiry as it rests."""
    version, row = seen.inquiry_seen(given.workspace, number)
    try:
        record = read_inquiry(row.text, "inquiry").plain()
    except Faults:
        record = None
    return {**asdict(row), "version": version, "record": record}


def _read(given: Given) -> Any:
    return told(given, given["number"])


def _take(given: Given) -> Any:
    made = counter.new_inquiry(given.workspace, text_in(given), FILE)
    return Answer(told(given, made), {"location": f"/api/inquiries/{made}"})


def _change(given: Given) -> Any:
    number, text = given["number"], text_in(given)
    try:
        seen.change_seen(given.workspace, number, text, given["version"], FILE)
    except seen.StaleInquiryError as stale:
        before = seen.inquiry_then(given.workspace, number, given["version"])
        stood = seen.state_then(given.workspace, number, given["version"])
        was = {**tomllib.loads(before or ""), "state": stood}
        now = {**tomllib.loads(stale.now.text), "state": stale.now.state}
        raise of_stale(stale.version, was, now, tomllib.loads(text)) from None
    return told(given, number)


def _move(given: Given) -> Any:
    try:
        seen.move_seen(given.workspace, given["number"], given.record.state, given["version"])
    except seen.StaleInquiryError as stale:
        was = {"state": seen.state_then(given.workspace, given["number"], given["version"])}
        raise of_stale(stale.version, was, {"state": stale.now.state}, {"state": given.record.state}) from None
    return told(given, given["number"])


def _advice(given: Given) -> Any:
    inquiry = read_inquiry(counter.inquiry(given.workspace, given["number"]).text, "inquiry")
    return to_json(given.desk.answer(given["number"], inquiry, given["units"]))


def _outfit(given: Given) -> Any:
    one = next((each for each in _advice(given)["outfits"] if each["id"] == given["outfit"]), None)
    if one is None:
        raise Problem("not-there", f"No outfit of that id answers inquiry {given['number']}; its advice names them.")
    return one


def _try(given: Given) -> Any:
    text = text_in(given)
    with given.desk.reckons:
        return to_json(counter.try_answer(given.workspace, text, read_inquiry(text, FILE).seed, given["units"]))


def changes_told(changes: list[Change]) -> dict[str, Any]:
    """Changes as they are told, those given."""
    return {"changes": [{name: value for name, value in asdict(one).items() if name != "key"} for one in changes]}


def _history(given: Given) -> Any:
    return changes_told(calls.history(given.workspace, given["number"])[::-1])


def _requests(given: Given) -> tuple[Request, ...]:
    row = counter.inquiry(given.workspace, given["number"])
    advice = given.desk.answer(given["number"], read_inquiry(row.text, "inquiry"), "us")
    return requests_of(advice.ask_next)


def _questions(given: Given) -> Any:
    requests = _requests(given)
    text = message(requests, settings(given.workspace).name, given["number"]) if requests else ""
    return {"requests": [asdict(one) for one in requests], "message": text}


def _link(given: Given) -> Any:
    away, requests = outside(given.workspace), _requests(given)
    if not away:
        raise Problem("not-now", "The settings name no address under which customers reach this program.")
    if not requests:
        raise Problem("not-now", "There is nothing to ask.")
    secret, row = letters.send_questions(given.workspace, given["number"], requests)
    told = {"link": f"{away}/a/{secret}", "expires": row.expires, "requests": [asdict(one) for one in requests]}
    return Answer(told)


BOTH = (JSON, TOML)


def verbs(example: dict[str, Any], text: str) -> list[Verb]:
    """The verbs on inquiries, their bodies shown by an example."""
    body: dict[str, Any] = {
        "takes": Inquiry,
        "media": BOTH,
        "reads_itself": True,
        "example": example,
        "example_text": text,
    }

    return [
        Verb("GET", "/api/inquiries", "list_inquiries", "Inquiries",
             "Lists the inquiries, newest first.", "read", _list,
             "InquiryList", (STATE, LIMIT, BEFORE)),
        Verb("POST", "/api/inquiries", "take_inquiry", "Inquiries", "Takes a new inquiry.", "inquire", _take,
             "InquiryTold", status=201, **body),
        Verb("GET", "/api/search", "search", "Inquiries", "Finds the inquiries that hold words.", "read", _search,
             "InquiryList", (WORDS, LIMIT, BEFORE)),
        Verb("GET", AT, "read_inquiry", "Inquiries", "Reads one inquiry, with its version.", "read", _read,
             "InquiryTold", (NUMBER,)),
        Verb("PUT", AT, "change_inquiry", "Inquiries", "Replaces the text of an inquiry that was seen at a version.",
             "inquire", _change, "InquiryTold", (NUMBER, VERSION), refusals=(409,), **body),
        Verb("PUT", AT + "/state", "move_inquiry", "Inquiries", "Moves an inquiry to another state.", "inquire", _move,
             "InquiryTold", (NUMBER, VERSION), StateGiven, refusals=(409,), example={"state": "waiting on caller"}),
        Verb("GET", AT + "/history", "inquiry_history", "Inquiries", "Tells everything that was changed, newest first.",
             "read", _history, "ChangeList", (NUMBER,)),
        Verb("GET", AT + "/advice", "advice", "Advice", "Answers an inquiry: ranked outfits with their reasons.",
             "read", _advice, "Advice", (NUMBER, UNITS), refusals=(422,)),
        Verb("GET", AT + "/outfits/{outfit}", "outfit", "Advice", "Tells one outfit of the answer.", "read", _outfit,
             "Advice.OutfitAdvice", (NUMBER, OUTFIT, UNITS), refusals=(422,)),
        Verb("POST", "/api/advise", "advise", "Advice", "Answers an inquiry that is not stored.", "read", _try,
             "Advice", (UNITS,), **body),
        Verb("GET", AT + "/requests", "requests", "Questions out", "Tells what would be asked of the customer now.",
             "read", _questions, "RequestList", (NUMBER,), refusals=(422,)),
        Verb("POST", AT + "/requests", "send_requests", "Questions out", "Makes a private link with the questions.",
             "inquire", _link, "LinkTold", (NUMBER,), status=201, refusals=(409, 422)),
    ]  # fmt: skip
