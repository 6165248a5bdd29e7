"""What an owner asks of the counter over a span: stages, quotes, promises, weight declined, misfits, margin, speed."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from handfast.advice.order import order_for
from handfast.counter import verbs
from handfast.counter.aftercare import kit_of
from handfast.counter.aftercare import today as day_today
from handfast.counter.answering import answered
from handfast.counter.number_counts import (
    LATER,
    NOT_YET,
    WITHIN,
    Count,
    Margin,
    Numbers,
    Row,
    Share,
    Span,
    Times,
    hours_between,
    how_long,
    middle,
)
from handfast.counter.terms import offer_terms, terms_of
from handfast.counter.verbs import Workspace, offered
from handfast.machines.faults import Faults
from handfast.machines.outcome import Outcome
from handfast.outfits.fitting import Fitting
from handfast.outfits.ordering import OrderLine
from handfast.store import call_rows, change_rows, inquiry_rows, outcome_rows, quote_rows
from handfast.store.call_rows import PromiseRow
from handfast.store.database import reading
from handfast.store.inquiry_rows import InquiryRow
from handfast.store.quote_rows import QuoteRow
from handfast.store.tables import STATES

ORDERED = ("ordered", "delivered", "returned", "as built")
OPEN = ("draft", "sent")
HOLDS = ("fits", "fits with conditions")
OURS = ("we", "the shop")
BECAME = ("ordered", "accepted", "declined", "expired", "withdrawn", "open")
KEPT = ("kept in time", "kept late", "overdue", "not due yet")
DAY = 24.0  # h
NOTHING = "nothing on the shelf hangs on it or does the work"
UNSURE = "not enough was known to say"


@dataclass(frozen=True)
class History:
    """Everything that is counted from, read in one transaction; `was` is each state that a row was ever in."""

    inquiries: tuple[InquiryRow, ...]
    quotes: tuple[QuoteRow, ...]
    promises: tuple[PromiseRow, ...]
    outcomes: Mapping[int, Outcome]
    was: Mapping[tuple[str, str], frozenset[str]]


def numbers(workspace: Workspace, span: Span, today: str = "") -> Numbers:
    """Every number of a span, as things stand today (the day in UTC where none is named)."""
    day = today or day_today()
    whole = _history(workspace)
    came = [one for one in whole.inquiries if one.created in span]
    made = [one for one in whole.quotes if begun(one) in span]
    became = {one.number: became_of(one, whole, day) for one in made}
    due = [one for one in whole.promises if one.who in OURS]
    return Numbers(
        span,
        len(came),
        _count(STATES, [(one.state, one.number) for one in came]),
        _reached(came, whole),
        _quotes(became),
        _promises([one for one in due if one.by and one.by in span], day),
        _undated([one for one in due if not one.by and one.created in span]),
        _ballast(workspace, made),
        _misfits(workspace, came),
        _margin(workspace, [one for one in made if became[one.number] == "ordered"]),
        _times(came, whole.quotes),
    )


def _history(workspace: Workspace) -> History:
    with reading(workspace.engine) as connection:
        was: dict[tuple[str, str], set[str]] = {}
        for table, key, state in change_rows.states_noted(connection):
            was.setdefault((table, key), set()).add(state)
        return History(
            tuple(inquiry_rows.inquiry_rows(connection)),
            tuple(quote_rows.quote_rows(connection)),
            tuple(call_rows.promise_rows(connection)),
            {row.quote: row.outcome for row in outcome_rows.outcome_rows(connection)},
            {place: frozenset(states) for place, states in was.items()},
        )


def begun(row: QuoteRow) -> str:
    """When a quote got its number."""
    return row.begun or row.created


def became_of(row: QuoteRow, whole: History, today: str) -> str:
    """What became of a quote: ordered, accepted, declined, expired, withdrawn or open.

    Ordered counts for good where it was delivered or came back since, not where it was withdrawn. Where nobody moved
    the quotes of an inquiry, and it was ordered or fitted itself, its newest quote is the one that was ordered.
    """
    if row.state == "withdrawn":
        return row.state
    states = whole.was.get(("quotes", str(row.number)), frozenset()) | {row.state}
    if states & set(ORDERED) or row.number in whole.outcomes or row.number == _by_inquiry(row.inquiry, whole):
        return "ordered"
    if row.state in OPEN:
        until = terms_of(row).valid_until
        return "expired" if until and today > until else "open"
    return row.state if row.state in BECAME else "open"


def _by_inquiry(number: int, whole: History) -> int | None:
    """The quote that an inquiry's own state says was ordered, where no quote of it was ever moved."""
    here = [one for one in whole.quotes if one.inquiry == number]
    if not here or any(one.state != "draft" or one.number in whole.outcomes for one in here):
        return None
    states = whole.was.get(("inquiries", str(number)), frozenset())
    states |= {one.state for one in whole.inquiries if one.number == number}
    return max(one.number for one in here) if states & {"ordered", "fitted"} else None


def _count(names: Iterable[str], found: Sequence[tuple[str, int]], of: int | None = None) -> Count:
    """Lines in the order of their names, each with the numbers that are counted in it."""
    rows = [Row(name, len(here), tuple(here)) for name in names for here in [[n for was, n in found if was == name]]]
    return Count(len(found) if of is None else of, tuple(rows))


def _reached(came: Sequence[InquiryRow], whole: History) -> Count:
    """How many of the inquiries were ever in each stage."""
    ever = {one.number: whole.was.get(("inquiries", str(one.number)), frozenset()) | {one.state} for one in came}
    found = [(state, number) for number, states in ever.items() for state in STATES if state in states | {"asked"}]
    return _count(STATES, found, len(came))


def _quotes(became: Mapping[int, str]) -> Count:
    count = _count(BECAME, [(was, number) for number, was in became.items()])
    settled = len(became) - sum(was in ("open", "accepted") for was in became.values())
    ordered = sum(was == "ordered" for was in became.values())
    return Count(count.of, count.rows, Share(ordered, settled), count.of - settled)


def _promises(due: Sequence[PromiseRow], today: str) -> Count:
    """What we promised for a day within the span: kept in time is out of those whose day has come."""
    found = [(kept_how(one, today), one.inquiry) for one in due]
    count = _count(KEPT, found)
    ahead = sum(was == "not due yet" for was, _ in found)
    return Count(count.of, count.rows, Share(sum(w == "kept in time" for w, _ in found), count.of - ahead), ahead)


def kept_how(one: PromiseRow, today: str) -> str:
    """Whether a promise with a day was kept in time, by the clock of the house."""
    if one.done is None:
        return "overdue" if one.by[:10] < today else "not due yet"
    at = datetime.fromisoformat(one.done).astimezone().strftime("%Y-%m-%dT%H:%M")
    return "kept in time" if at[: len(one.by)] <= one.by else "kept late"


def _undated(found: Sequence[PromiseRow]) -> Count:
    return _count(("kept", "open"), [("open" if one.done is None else "kept", one.inquiry) for one in found])


def _ballast(workspace: Workspace, made: Sequence[QuoteRow]) -> Count:
    """Of quotes that ask for weight behind, what was answered."""
    found = [(answer_of(workspace, row), row.number) for row in made if asks_weight(json.loads(row.json))]
    count = _count(("accepted", "declined", "not answered"), found)
    answers = [was for was, _ in found if was != "not answered"]
    return Count(count.of, count.rows, Share(answers.count("declined"), len(answers)), len(found) - len(answers))


def asks_weight(kept: Mapping[str, Any]) -> bool:
    """Whether an offer as it was kept asks for weight behind beyond what hangs there."""
    ballast = kept["outfit"]["ballast"]
    return bool(ballast["chosen"]) or float(ballast["needed"] or 0) > 0


def answer_of(workspace: Workspace, row: QuoteRow) -> str:
    """What was said of a quote's weight behind, to us or by its link."""
    answer = offer_terms(row, answered(workspace, row)).ballast
    return answer if answer in ("accepted", "declined") else "not answered"


def _misfits(workspace: Workspace, came: Sequence[InquiryRow]) -> Count:
    """Inquiries whose newest answer holds nothing that fits, by what stops the nearest; `beside` was never reckoned."""
    found, reckoned = [], 0
    for one in came:
        with reading(workspace.engine) as connection:
            text = inquiry_rows.newest_advice(connection, one.number)
        reckoned += text is not None
        reason = "" if text is None else stopped_by(json.loads(text))
        found += [(reason, one.number)] if reason else []
    often = Counter(reason for reason, _ in found)
    names = sorted(often, key=lambda name: (-often[name], name))
    return Count(reckoned, _count(names, found).rows, Share(len(found), reckoned), len(came) - reckoned)


def stopped_by(answer: Mapping[str, Any]) -> str:
    """What stops the nearest outfit of an answer in which nothing fits; empty where something does."""
    outfits = answer["outfits"]
    if any(one["verdict"] in HOLDS for one in outfits):
        return ""
    if not outfits:
        return NOTHING
    nearest = outfits[0]
    if nearest["verdict"] == "not enough known":
        return UNSURE
    titles = {one["id"]: one["title"] for one in nearest["checks"]}
    return str(titles.get(nearest["governs"], NOTHING))


@dataclass(frozen=True)
class Goods:
    """A line of goods: its price, its cost where that is on file, and whether it has a record that could hold one."""

    price: float
    cost: float | None
    recorded: bool


def _margin(workspace: Workspace, ordered: Sequence[QuoteRow]) -> Margin:
    """What is left of the goods of these quotes, at the prices and costs on the shelf."""
    currency = verbs.shelf(workspace).price_book.currency
    every: list[Goods] = []
    known = foreign = gone = 0
    for row in ordered:
        if json.loads(row.json).get("currency", currency) != currency:
            foreign += 1
            continue
        try:
            lines = _goods(workspace, row)
        except (KeyError, Faults):
            gone += 1
            continue
        every += lines
        known += bool(lines) and all(one.cost is not None for one in lines if one.recorded)
    both = [(one.price, one.cost) for one in every if one.cost is not None]
    goods, price, cost = sum(one.price for one in every), sum(p for p, _ in both), sum(c for _, c in both)
    return Margin(len(ordered), known, goods, price, cost, currency, foreign, gone)


def _goods(workspace: Workspace, row: QuoteRow) -> list[Goods]:
    """The goods of a quote line by line: what comes along, or has no price, is none."""
    kit = kit_of(workspace, row.number)
    order = order_for(offered(row).outfit(row.outfit), Fitting(kit.outfit, kit.inquiry, kit.shelf))
    return [
        Goods(one.line.price.value, _cost(one), one.part is not None)
        for one in order.lines
        if not one.line.brought_by and not one.line.price.is_unknown and one.line.price.value > 0
    ]


def _cost(one: OrderLine) -> float | None:
    """The cost of a line: of its price the share that the cost on the record is of the record's price."""
    part = one.part
    if part is None or part.cost.is_unknown or part.price.is_unknown or part.price.value <= 0:
        return None
    return one.line.price.value * part.cost.value / part.price.value


def _times(came: Sequence[InquiryRow], quotes: Sequence[QuoteRow]) -> Times:
    """From an inquiry to its first quote."""
    first: dict[int, str] = {}
    for one in sorted(quotes, key=begun):
        first.setdefault(one.inquiry, begun(one))
    hours = {one.number: hours_between(one.created, first[one.number]) for one in came if one.number in first}
    found = [(how_long(hours[one.number]) if one.number in hours else NOT_YET, one.number) for one in came]
    names = [*(name for name, _ in WITHIN), LATER, NOT_YET]
    count = _count(names, found)
    quick = sum(one <= DAY for one in hours.values())
    return Times(Count(count.of, count.rows, Share(quick, count.of)), middle(list(hours.values())))
