"""What customers answer to quotes: by signature, in writing, by word or by a private link. One transaction each.

An answer keeps exactly what was shown, with its digest; a version that was accepted is never changed.
"""

from __future__ import annotations

import hashlib
import json
import secrets
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from datetime import UTC, datetime, timedelta
from typing import Any

from sqlalchemy import Connection

from handfast.counter import verbs as counter
from handfast.counter.offering import Answered
from handfast.counter.quote_states import RefusedError, refuse_move
from handfast.counter.quoting import keep_ballast, state_of, today
from handfast.counter.terms import Chosen, Printed, advice_of, offer_terms, shown_of, terms_of, ways_of
from handfast.counter.verbs import Workspace
from handfast.documents.offer_terms import Acceptance, parts_only
from handfast.language import telling
from handfast.store import answer_rows, quote_rows
from handfast.store.answer_rows import AcceptanceRow, LinkRow
from handfast.store.change_rows import now
from handfast.store.database import reading, writing
from handfast.store.quote_rows import QuoteRow

DAYS = 14  # a link's life, where the offer itself names no last day
NAME_MOST = 80
CUSTOMER = "customer"


@dataclass(frozen=True)
class Given:
    """An answer to an offer: to which version, yes or no, how it came, what was chosen, what had been shown."""

    version: int
    became: str
    how: str
    chosen: Chosen
    seen: str = ""


def review(row: QuoteRow, chosen: Chosen, system: str) -> tuple[dict[str, Any], str]:
    """What an offer shows with a choice made, and its digest.

    An open answer and a yes to the weight behind show the same, so that saying yes needs no second look.
    """
    quiet = chosen.ballast if chosen.ballast == "declined" else ""
    shown = shown_of(row, system, Printed(Chosen(chosen.way, chosen.options, quiet)))
    return shown, _digest(shown)


def take_answer(workspace: Workspace, number: int, given: Given, system: str = "us", who: str = "") -> QuoteRow:
    """Keep an answer to a quote's newest version.

    Weight behind declined where an outfit can't do without makes a new version of parts only, which the dealer sends
    once a second person has confirmed it; nothing is accepted then, and the state that comes back is draft.

    KeyError: no such quote. RefusedError: why it can't be taken, in a sentence.
    """
    with writing(workspace.engine) as connection:
        row = quote_rows.quote_row(connection, number)
        chosen = _checked(row, given)
        if given.became == "accepted" and _turns_to_parts(row, chosen):
            told = Answered("declined", chosen.name, today(), workspace.who if given.how != "link" else CUSTOMER)
            return keep_ballast(workspace, connection, row, told)
        return _kept(workspace, connection, row, given, chosen, system, who or workspace.who)


def _kept(
    workspace: Workspace, connection: Connection, row: QuoteRow, given: Given, chosen: Chosen, system: str, who: str
) -> QuoteRow:
    shown = shown_of(row, system, Printed(chosen))
    whole = {"shown": shown, "chosen": _plain(chosen), "version": hashlib.sha256(row.json.encode()).hexdigest()}
    whole |= {"language": telling.now().language, "units": system}
    text = json.dumps(whole, ensure_ascii=False, sort_keys=True)
    said = (given.became, given.how, chosen.name)
    answer_rows.add_acceptance(connection, row.number, row.version, *said, text, _digest(whole), who)
    quote_rows.change_quote_state(connection, row.number, given.became, who)
    if given.became == "accepted":
        quote_rows.change_outfit(connection, row.number, chosen.way, who)
    counter.follow(connection, row.inquiry, who)
    return quote_rows.quote_row(connection, row.number)


def _checked(row: QuoteRow, given: Given) -> Chosen:
    """The choice, whole and possible; RefusedError where it is not."""
    if given.version != row.version:
        said = f"Version {given.version} of quote {row.number} was replaced by version {row.version}"
        raise RefusedError(f"{said}; only the newest is answered.")
    refuse_move(row.number, state_of(row), given.became)
    name = " ".join(given.chosen.name.split())[:NAME_MOST]
    if not name:
        raise RefusedError("A name is missing: who answers.")
    ways = {way.outfit: way for way in ways_of(row)}
    way = given.chosen.way or (next(iter(ways)) if len(ways) == 1 or given.became == "declined" else "")
    if way not in ways:
        raise RefusedError("Say which way it is to be: one of those in the offer.")
    known = {one.id for one in ways[way].options}
    before = frozenset(one.id for one in ways[way].options if one.chosen)
    taken = before if given.chosen.options is None else given.chosen.options & known
    chosen = Chosen(way, taken, given.chosen.ballast, name)
    if given.became == "accepted" and asks_ballast(row, way) and chosen.ballast not in ("accepted", "declined"):
        raise RefusedError("Say whether the weight behind is accepted or declined.")
    return chosen if asks_ballast(row, way) else Chosen(way, taken, "", name)


def asks_ballast(row: QuoteRow, way: str) -> bool:
    """Whether the weight behind of a way is still to be answered."""
    one = advice_of(row).outfit(way)
    return offer_terms(row).ballast == "open" and bool(one.ballast.needed > 0 or one.ballast.chosen)


def _turns_to_parts(row: QuoteRow, chosen: Chosen) -> bool:
    terms = offer_terms(row, Printed(chosen))
    return chosen.ballast == "declined" and parts_only(advice_of(row).outfit(chosen.way), terms)


def _plain(chosen: Chosen) -> dict[str, Any]:
    return {**asdict(chosen), "options": sorted(chosen.options or ())}


def _digest(whole: Mapping[str, Any]) -> str:
    return hashlib.sha256(json.dumps(whole, ensure_ascii=False, sort_keys=True).encode()).hexdigest()


def answers_to(workspace: Workspace, number: int | None = None) -> list[AcceptanceRow]:
    """Answers to one quote or to all, oldest first."""
    with reading(workspace.engine) as connection:
        return answer_rows.acceptance_rows(connection, number)


def answered(workspace: Workspace, row: QuoteRow) -> Printed:
    """What stands on a version because it was answered: the newest answer to it and what was chosen; or nothing."""
    found = [one for one in answers_to(workspace, row.number) if one.version == row.version]
    if not found:
        return Printed()
    last, kept = found[-1], json.loads(found[-1].shown)["chosen"]
    chosen = Chosen(kept["way"], frozenset(kept["options"]), kept["ballast"], kept["name"])
    return Printed(
        chosen, Acceptance(last.became, last.name, last.how, last.created[:16].replace("T", " "), last.digest)
    )


def holds(row: AcceptanceRow) -> bool:
    """Whether what an answer keeps is still word for word what was shown."""
    return _digest(json.loads(row.shown)) == row.digest


def make_link(workspace: Workspace, number: int) -> tuple[str, LinkRow]:
    """A private link to a quote's newest version, which has to be sent. KeyError; RefusedError: it is not sent.

    Returns:
        The link's secret, told this once, and the row.
    """
    secret = secrets.token_urlsafe(32)
    with writing(workspace.engine) as connection:
        row = quote_rows.quote_row(connection, number)
        if state_of(row) != "sent":
            raise RefusedError(f"A link opens an offer that is sent; quote {number} is {state_of(row)}.")
        last = terms_of(row).valid_until
        ends = f"{last}T23:59:59.999+00:00" if last else ""
        expires = ends or (datetime.now(UTC) + timedelta(days=DAYS)).isoformat(timespec="milliseconds")
        link = answer_rows.add_link(connection, number, row.version, _secret(secret), expires, workspace.who)
    return secret, link


def opened_link(workspace: Workspace, secret: str) -> QuoteRow | None:
    """The version that a link opens; None: there is none, or it ran out, was withdrawn, or was replaced."""
    with reading(workspace.engine) as connection:
        link = answer_rows.link_of_digest(connection, _secret(secret))
        if link is None or not link_open(link):
            return None
        row = quote_rows.quote_row(connection, link.quote)
        return row if row.version == link.version and row.state != "withdrawn" else None


def link_open(link: LinkRow) -> bool:
    """Whether a link still opens its page."""
    return not link.withdrawn and now() < link.expires


def close_link(workspace: Workspace, number: int, link: int) -> None:
    """Withdraw a link of a quote. KeyError: there is none."""
    with writing(workspace.engine) as connection:
        if answer_rows.link_row(connection, link).quote != number:
            raise KeyError(link)
        answer_rows.withdraw_link(connection, link, workspace.who)


def links_of(workspace: Workspace, number: int) -> list[LinkRow]:
    """Links to a quote, newest first."""
    with reading(workspace.engine) as connection:
        return answer_rows.link_rows(connection, number)


def _secret(secret: str) -> str:
    return hashlib.sha256(secret.encode("utf-8", "surrogatepass")).hexdigest()
