"""A quote as its page shows it: the offer of one version, its versions with their differences, what can be done now."""

from __future__ import annotations

import json
from collections import OrderedDict
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, TypeVar

from starlette.exceptions import HTTPException

from handfast.counter import aftercare, answering, quoting
from handfast.counter import verbs as counter
from handfast.counter.answering import Given
from handfast.counter.quote_states import ANEW, MOVES, RefusedError, state_now
from handfast.counter.terms import Chosen, advice_of, kept_hoses, offer_terms, shown_of, ways_of
from handfast.counter.verbs import Workspace
from handfast.documents.kinds import KINDS
from handfast.documents.offer_difference import Difference
from handfast.documents.offer_terms import offered_bill
from handfast.documents.reply import Reply, message_text, read_reply
from handfast.machines.outcome import MISFIT
from handfast.quantities.money import show_money
from handfast.store.quote_rows import QuoteRow

LONGEST, TEXT_MOST = 300, 4000
LINES_MOST, KEPT_MOST = 100, 20_000  # quotes on the list at once; versions of which the list remembers what it says
COUNTED = ("No", "One", "Two", "Three")
T = TypeVar("T")
SAYS = {
    "draft": "A draft: it has not gone to the customer yet.",
    "sent": "Sent; it waits for the customer's yes or no.",
    "accepted": "Accepted. The parts can be ordered.",
    "declined": "Declined. It can be made anew.",
    "expired": "Expired: its last day is past and nobody answered. It can be made anew.",
    "ordered": "Ordered. It waits to be delivered.",
    "delivered": "Delivered.",
    "returned": "Returned.",
    "withdrawn": "Withdrawn.",
}
ACTS = {
    "sent": "Mark as sent",
    "ordered": "Mark as ordered",
    "delivered": "Mark as delivered",
    "returned": "Mark as returned",
    "withdrawn": "Withdraw the quote",
}


@dataclass(frozen=True)
class Line:
    """A quote on the list."""

    row: QuoteRow
    state: str
    customer: str
    title: str
    until: str
    total: str


def lines(workspace: Workspace, find: str, state: str) -> tuple[list[Line], dict[str, int]]:
    """The newest quotes that hold all words looked for, of one state or of all; and how many there are of each."""
    found, counted = [], dict.fromkeys(MOVES, 0)
    words = find.casefold().split()
    for row in counter.quotes(workspace):
        told = _told(workspace, row)
        text = f"{row.number} {told.customer} {told.title} {told.about}".casefold()
        if all(word in text for word in words):
            now = state_now(row.state, told.until, quoting.today())
            counted[now] += 1
            if state in ("", now):
                found.append((row, now))
    return [_line(workspace, row, now) for row, now in found[:LINES_MOST]], counted


@dataclass(frozen=True)
class Told:
    """What the list says of a version: it never changes."""

    customer: str
    title: str
    about: str
    until: str


_TOLD: OrderedDict[tuple[str, ...], Told] = OrderedDict()
_CEILINGS: OrderedDict[tuple[str, ...], str] = OrderedDict()


def _told(workspace: Workspace, row: QuoteRow) -> Told:
    return _kept(_TOLD, workspace, row, lambda: _read(json.loads(row.json)))


def _read(kept: dict[str, Any]) -> Told:
    offer = kept.get("offer", {})
    facts = kept.get("advice", {}).get("facts", ())
    place = next((one["text"] for one in facts if one["path"] == "caller.place"), "")
    ways = len(offer.get("ways", ()))
    title = f"{COUNTED[ways]} ways to do it" if ways > 1 else kept["outfit"]["title"]
    until = str(kept.get("terms", {}).get("valid_until", ""))
    return Told(offer.get("customer") or place, title, kept.get("title", ""), until)


def _line(workspace: Workspace, row: QuoteRow, state: str) -> Line:
    told = _told(workspace, row)
    total = _kept(_CEILINGS, workspace, row, lambda: _ceiling(row))
    return Line(row, state, told.customer, told.title, told.until, total)


def _ceiling(row: QuoteRow) -> str:
    terms, advice = offer_terms(row), advice_of(row)
    if len(terms.ways) > 1:
        return ""
    bill = offered_bill(advice.outfit(terms.ways[0].outfit), terms)
    return show_money(bill.ceiling, bill.currency, cents=True)


def _kept(cache: OrderedDict[tuple[str, ...], T], workspace: Workspace, row: QuoteRow, read: Callable[[], T]) -> T:
    """What was read of a version once."""
    key = (str(workspace.home), str(row.number), str(row.version), row.created, row.answer)
    if key not in cache:
        cache[key] = read()
        while len(cache) > KEPT_MOST:
            cache.popitem(last=False)
    return cache[key]


@dataclass(frozen=True)
class Version:
    """A version on a quote's page: what it changed, and how it was answered."""

    row: QuoteRow
    changes: tuple[Difference, ...]
    answers: tuple[Any, ...]


def context(workspace: Workspace, number: int, system: str, version: int | None = None, **more: Any) -> dict[str, Any]:
    """What a quote's page shows. KeyError: no such quote or version."""
    newest = quoting.quote_at(workspace, number)
    row = newest if version is None else quoting.quote_at(workspace, number, version)
    state = quoting.state_of(newest)
    done = answering.answered(workspace, row)
    shown = shown_of(row, system, done)
    live, parts = row.version == newest.version, quoting.is_parts_only(row)
    confirmed = bool(json.loads(row.answer or "{}").get("second"))
    held, heard = parts and not confirmed, aftercare.outcomes(workspace)
    return {
        "row": row,
        "newest": newest,
        "live": live,
        "state": state,
        "says": SAYS[state],
        "shown": shown,
        "kept": json.loads(row.json),
        "hoses": kept_hoses(row),
        "acceptance": done.acceptance,
        "versions": _versions(workspace, number, system),
        "parts": parts,
        "confirmed": confirmed,
        "moves": [(one, ACTS[one]) for one in MOVES[state] if one in ACTS and not (held and one == "sent")]
        if live
        else [],
        "anew": state in ANEW and live,
        "asks": live and any(way["ballast"]["ask"] for way in shown["ways"]) and state in ANEW and state != "accepted",
        "open": any(way["ballast"]["ask"] and way["ballast"]["answer"] == "open" for way in shown["ways"]),
        "links": answering.links_of(workspace, number),
        "link_open": answering.link_open,
        "message": message_text(shown, number, row.version, more.get("link", "")),
        "became": next((outcome for quote, outcome in heard if quote.number == number), None),
        "reasons": MISFIT,
        "kinds": KINDS,
        "link": "",
        "pasted": "",
        "reply": None,
        "refused": "",
        **more,
    }


def _versions(workspace: Workspace, number: int, system: str) -> list[Version]:
    rows, answers = quoting.versions(workspace, number), answering.answers_to(workspace, number)
    before: list[QuoteRow | None] = [None, *rows[:-1]]
    return [
        Version(
            row,
            tuple(quoting.difference(old, row, system)) if old is not None else (),
            tuple(one for one in answers if one.version == row.version),
        )
        for old, row in zip(before, rows, strict=True)
    ][::-1]


def chosen_in(row: QuoteRow, given: Mapping[str, str]) -> Chosen:
    """A choice from a form: `way` counts from 1, `o-1-fitting` is an option of it, `opts` says that they were shown."""
    ways = ways_of(row)
    named = given.get("way", "") or ("1" if len(ways) == 1 else "")
    place = int(named) if named.isascii() and named.isdigit() and len(named) < 3 else 0
    way = ways[place - 1] if 0 < place <= len(ways) else None
    options = None
    if way is not None and given.get("opts"):
        options = frozenset(one.id for one in way.options if given.get(f"o-{place}-{one.id}") == "yes")
    return Chosen(way.outfit if way else "", options, given.get("ballast", ""), given.get("name", "").strip())


def reply_given(row: QuoteRow, text: str) -> tuple[Reply, Given]:
    """A pasted reply, and the answer that it gives to a quote; RefusedError where it gives none."""
    reply = read_reply(text)
    asks = list(reply.asks)
    if reply.quote not in (None, row.number):
        asks.append(f"It is about quote {reply.quote}, not {row.number}.")
    if asks:
        raise RefusedError(" ".join(asks))
    ways = ways_of(row)
    place = reply.way or (1 if len(ways) == 1 else 0)
    way = ways[place - 1] if 0 < place <= len(ways) else None
    options = None
    if way is not None and (reply.taken or reply.left):
        before = {one.id for one in way.options if one.chosen}
        options = frozenset((before | set(reply.taken)) - set(reply.left))
    chosen = Chosen(way.outfit if way else "", options, reply.ballast, reply.name)
    return reply, Given(reply.version or 0, reply.became, "reply", chosen)


def version_in(given: Mapping[str, str]) -> int:
    """The version that a form was drawn from; 422 where it names none."""
    text = given.get("version", "")
    if not text.isascii() or not text.isdigit() or len(text) > 6:
        raise HTTPException(422, "The form names no version.")
    return int(text)
