"""Quotes in versions: made anew, compared, moved along, the weight behind answered. One transaction each."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import asdict
from datetime import UTC, datetime
from typing import Any

from sqlalchemy import Connection

from handfast.counter import verbs as counter
from handfast.counter.offering import Answered, Said, Wanted
from handfast.counter.quote_states import RefusedError, refuse_anew, refuse_move, state_now
from handfast.counter.terms import advice_of, offer_terms, shown_of, terms_of, ways_of
from handfast.counter.verbs import Workspace
from handfast.documents.offer_difference import Difference, differences
from handfast.documents.offer_terms import parts_only
from handfast.store import quote_rows
from handfast.store.database import reading, writing
from handfast.store.quote_rows import QuoteRow

NAME_MOST = 80


def today() -> str:
    """The day in UTC, as rows hold it."""
    return datetime.now(UTC).date().isoformat()


def quote_at(workspace: Workspace, number: int, version: int | None = None) -> QuoteRow:
    """A quote's newest version, or another one. KeyError: there is none."""
    with reading(workspace.engine) as connection:
        return quote_rows.quote_row(connection, number, version)


def versions(workspace: Workspace, number: int) -> list[QuoteRow]:
    """Every version of a quote, oldest first. KeyError: no such quote."""
    with reading(workspace.engine) as connection:
        found = quote_rows.version_rows(connection, number)
    if not found:
        raise KeyError(number)
    return found


def state_of(row: QuoteRow, day: str = "") -> str:
    """Where a quote stands on a day, today if none is named."""
    return state_now(row.state, terms_of(row).valid_until, day or today())


def difference(before: QuoteRow, after: QuoteRow, system: str = "us") -> list[Difference]:
    """What a version says that the one before did not, and the other way round."""
    return differences(shown_of(before, system), shown_of(after, system))


def requote(
    workspace: Workspace, number: int, wanted: Sequence[Wanted], said: Said, seed: int = 1, seen: int | None = None
) -> QuoteRow:
    """Make a quote anew, reckoned as things stand now, as its next version.

    KeyError: no such quote or outfit. Faults: no offer can be made of it. RefusedError: it was ordered, or somebody
    made it anew since version `seen`.
    """
    before = quote_at(workspace, number)
    kept = counter.made_offer(workspace, before.inquiry, wanted, seed, said)
    shelf = counter.shelf(workspace)
    with writing(workspace.engine) as connection:
        row = _anew(connection, number, before.version if seen is None else seen)
        kept["terms"] = counter.terms_on(connection, shelf)
        return _put(workspace, connection, row, kept, said.note)


def wanted_of(row: QuoteRow) -> list[Wanted]:
    """What a version offers, as it would be asked for again."""
    return [Wanted(w.outfit, w.name, frozenset(o.id for o in w.options if o.chosen)) for w in ways_of(row)]


def said_of(row: QuoteRow) -> Said:
    """What a version says, as it would be said again."""
    offer = json.loads(row.json).get("offer", {})
    left = offer.get("not_included")
    ballast = Answered(**offer.get("ballast", {}))
    return Said(offer.get("customer", ""), offer.get("said", ""), None if left is None else tuple(left), ballast)


def _anew(connection: Connection, number: int, seen: int) -> QuoteRow:
    row = quote_rows.quote_row(connection, number)
    refuse_anew(number, state_of(row))
    if row.version != seen:
        raise RefusedError(f"Quote {number} was made anew as version {row.version} meanwhile; look at that first.")
    return row


def _put(workspace: Workspace, connection: Connection, row: QuoteRow, kept: dict[str, Any], note: str) -> QuoteRow:
    outfit, text = kept["outfit"]["id"], json.dumps(kept, ensure_ascii=False, allow_nan=False)
    fresh = quote_rows.add_version(connection, row.number, outfit, text, note[:300], workspace.who)
    counter.follow(connection, row.inquiry, workspace.who)
    return fresh


def move(workspace: Workspace, number: int, state: str) -> QuoteRow:
    """Move a quote to another state; RefusedError says why it can't be. KeyError: no such quote."""
    if state in ("accepted", "declined"):
        raise RefusedError("An offer is accepted or declined in somebody's name, not by a move.")
    with writing(workspace.engine) as connection:
        row = quote_rows.quote_row(connection, number)
        refuse_move(number, state_of(row), state)
        if state == "sent" and is_parts_only(row) and not json.loads(row.answer).get("second"):
            raise RefusedError(
                f"Quote {number} is of parts only: a second named person of the house confirms it before it is sent."
            )
        quote_rows.change_quote_state(connection, number, state, workspace.who)
        counter.follow(connection, row.inquiry, workspace.who)
        return quote_rows.quote_row(connection, number)


def is_parts_only(row: QuoteRow) -> bool:
    """Whether the weight behind was declined where one of the outfits can't do without."""
    terms, advice = offer_terms(row), advice_of(row)
    return any(parts_only(advice.outfit(way.outfit), terms) for way in terms.ways)


def answer_ballast(workspace: Workspace, number: int, answer: str, by: str, taken_by: str) -> QuoteRow:
    """Keep who accepted or declined the weight behind, and who of the house took it down.

    Accepted, it stands beside the version; declined, or accepted after it had been declined, makes a version of its
    own with nothing else changed. RefusedError: a name is missing, or the quote can't be changed any more.
    """
    told = Answered(answer, _name(by, "who said so"), today(), _name(taken_by, "who of the house took it down"))
    with writing(workspace.engine) as connection:
        row = quote_rows.quote_row(connection, number)
        return keep_ballast(workspace, connection, row, told)


def keep_ballast(workspace: Workspace, connection: Connection, row: QuoteRow, told: Answered) -> QuoteRow:
    """The same within a transaction that is open."""
    if told.answer not in ("accepted", "declined"):
        raise RefusedError("The weight behind is accepted or declined.")
    refuse_anew(row.number, state_of(row))
    if row.state == "accepted":
        raise RefusedError(f"Quote {row.number} is accepted as it stands; make it anew to change the weight behind.")
    if told.answer == "accepted" and offer_terms(row).ballast != "declined":
        return _beside(workspace, connection, row, asdict(told))
    kept = json.loads(row.json)
    offer = kept.get("offer") or {"ways": _plain_ways(row)}
    kept["offer"] = {**offer, "ballast": asdict(told)}
    return _put(workspace, connection, row, kept, f"Weight behind {told.answer} by {told.by}")


def _plain_ways(row: QuoteRow) -> list[dict[str, Any]]:
    return [{"outfit": way.outfit, "name": "", "options": []} for way in ways_of(row)]


def _beside(workspace: Workspace, connection: Connection, row: QuoteRow, told: dict[str, Any]) -> QuoteRow:
    answer = json.dumps({**json.loads(row.answer), **told}, ensure_ascii=False)
    quote_rows.change_answer(connection, row.number, answer, workspace.who)
    return quote_rows.quote_row(connection, row.number)


def confirm_parts_only(workspace: Workspace, number: int, second: str) -> QuoteRow:
    """Keep the second named person of the house, who confirms an offer of parts only before it is sent.

    RefusedError: it is no such offer, or the name is missing or that of who took the answer, made the offer, or
    declined.
    """
    name = _name(second, "the second person")
    with writing(workspace.engine) as connection:
        row = quote_rows.quote_row(connection, number)
        if row.state != "draft" or not is_parts_only(row):
            raise RefusedError(f"Quote {number} waits for no second person.")
        told = json.loads(row.json).get("offer", {}).get("ballast", {})
        if _same(name) in {_same(told.get("taken_by", "")), _same(told.get("by", "")), _same(row.who)}:
            raise RefusedError("The second person is another one than who made the offer, took the answer or declined.")
        return _beside(workspace, connection, row, {"second": name, "second_on": today()})


def _name(text: str, what: str) -> str:
    name = " ".join(text.split())[:NAME_MOST]
    if not name:
        raise RefusedError(f"A name is missing: {what}.")
    return name


def _same(name: str) -> str:
    return " ".join(name.casefold().split())
