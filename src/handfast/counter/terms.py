"""The house's terms as a quote keeps them: what is changed later changes no offer that was made."""

from __future__ import annotations

import json
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from decimal import Decimal
from typing import Any, NamedTuple

from handfast.advice.from_json import from_json
from handfast.advice.result import Advice
from handfast.documents.offer import offer_values
from handfast.documents.offer_terms import Acceptance, Option, Terms, Way
from handfast.machines.price_book import PriceBook
from handfast.machines.settings import Settings
from handfast.store.quote_rows import REPLACED, QuoteRow


class KeptTerms(NamedTuple):
    """Until when a quote holds, deposit and restocking as shares, and the house as it was then."""

    valid_until: str
    deposit: Decimal
    house: Settings
    restocking: Decimal = Decimal(0)


@dataclass(frozen=True)
class Chosen:
    """What a customer chose: which way, which options of it, whether the weight behind is taken, in whose name."""

    way: str = ""
    options: frozenset[str] | None = None
    ballast: str = ""
    name: str = ""


@dataclass(frozen=True)
class Printed:
    """What stands on an offer beside what it was made of: what was chosen, and who answered."""

    chosen: Chosen = field(default_factory=Chosen)
    acceptance: Acceptance | None = None


def terms_now(house: Settings, book: PriceBook, made: date) -> dict[str, Any]:
    """What a quote made on a day keeps of the house's terms."""
    until = "" if book.valid_days is None else (made + timedelta(days=book.valid_days)).isoformat()
    shares = {
        name: "" if share.is_unknown else f"{share.value:.6g}"
        for name, share in (("deposit", book.deposit), ("restocking", book.restocking))
    }
    return {"valid_until": until, **shares, "house": house.plain()}


def terms_of(row: QuoteRow) -> KeptTerms:
    """The terms that a quote was made on; plain ones where it kept none."""
    kept = json.loads(row.json).get("terms", {})
    deposit, restocking = (Decimal(kept.get(name) or 0) for name in ("deposit", "restocking"))
    house = Settings.model_validate(kept.get("house", {}))
    return KeptTerms(str(kept.get("valid_until", "")), deposit, house, restocking)


def offer_terms(row: QuoteRow, printed: Printed | None = None) -> Terms:
    """All that a version sets for its offer, with what was chosen since."""
    printed, kept, offer = printed or Printed(), terms_of(row), json.loads(row.json).get("offer", {})
    house, told = kept.house, {**offer.get("ballast", {}), **json.loads(row.answer or "{}")}
    plain = Terms()
    not_included = offer.get("not_included")
    answer: Any = printed.chosen.ballast or told.get("answer", "open")
    by, on = told.get("by", ""), told.get("on", "")
    if printed.acceptance is not None and told.get("answer", "open") == "open" and answer != "open":
        by, on = printed.acceptance.name, printed.acceptance.on[:10]
    return Terms(
        customer=offer.get("customer", ""),
        state=printed.acceptance.became if row.state == REPLACED and printed.acceptance else row.state,
        deposit=kept.deposit,
        restocking=kept.restocking,
        not_included=plain.not_included if not_included is None else tuple(not_included),
        ballast=answer,
        ballast_by=by,
        ballast_on=on,
        second=told.get("second", ""),
        second_on=told.get("second_on", ""),
        least_share=house.ballast_share.value,
        reached=house.reached,
        accepted=house.accepted,
        declined=house.declined,
        ways=ways_of(row, printed.chosen),
        said=offer.get("said", ""),
        acceptance=printed.acceptance,
    )


def ways_of(row: QuoteRow, chosen: Chosen | None = None) -> tuple[Way, ...]:
    """The ways of an offer; with what was chosen, where anything was."""
    offer, chosen = json.loads(row.json).get("offer", {}), chosen or Chosen()
    found = []
    for kept in offer.get("ways", ()):
        way = Way(kept["outfit"], kept["name"], tuple(Option(**one) for one in kept["options"]))
        if way.outfit == chosen.way and chosen.options is not None:
            taken = chosen.options
            way = replace(way, options=tuple(replace(one, chosen=one.id in taken) for one in way.options))
        found.append(way)
    return tuple(found) or (Way(json.loads(row.json).get("outfit", {}).get("id", row.outfit)),)


def advice_of(row: QuoteRow) -> Advice:
    """The answer that an offer was made from, with the outfits that are offered."""
    return from_json(json.loads(row.json)["advice"])


def kept_outfit(row: QuoteRow) -> dict[str, Any]:
    """The outfit that a quote is about now, as it was offered: the first, or the one that was accepted."""
    kept = json.loads(row.json)
    found: dict[str, Any] = next(
        (o for o in kept.get("advice", {}).get("outfits", ()) if o["id"] == row.outfit), kept["outfit"]
    )
    return found


def kept_hoses(row: QuoteRow) -> list[dict[str, Any]]:
    """The hoses of that outfit as they were offered."""
    kept = json.loads(row.json)
    ways = kept.get("offer", {}).get("ways", ())
    found: list[dict[str, Any]] = next((w["hoses"] for w in ways if w["outfit"] == row.outfit), kept.get("hoses", []))
    return found


def shown_of(row: QuoteRow, system: str, printed: Printed | None = None) -> dict[str, Any]:
    """Everything that an offer says, as plain texts: what page, message and acceptance hold."""
    terms, kept, advice = offer_terms(row, printed), terms_of(row), advice_of(row)
    outfits = [advice.outfit(way.outfit) for way in terms.ways]
    said = offer_values(
        advice, outfits, terms, str(row.number), str(row.version), row.created[:10], kept.valid_until, system
    )
    return {**said, "dealer": kept.house.name, "valid_until": kept.valid_until, "currency": advice.currency}


def printed(row: QuoteRow, system: str, paper: str | None = None, answered: Printed | None = None) -> bytes:
    """A quote on paper as it was offered, on the terms that it was made on; equal arguments give equal bytes."""
    from handfast.documents.quotation import quotation

    kept = terms_of(row)
    house = kept.house
    return quotation(
        advice_of(row),
        row.outfit,
        number=str(row.number),
        issue=str(row.version),
        made=row.created[:10],
        valid_until=kept.valid_until,
        terms=offer_terms(row, answered),
        paper=paper or house.paper,
        system=system,
        dealer=house.name,
        demo=house.invented,
    )
