"""The house's terms as a quote keeps them: what is changed later changes no offer that was made."""

from __future__ import annotations

import json
from datetime import date, timedelta
from decimal import Decimal
from typing import Any, NamedTuple

from handfast.advice.from_json import from_json
from handfast.machines.price_book import PriceBook
from handfast.machines.settings import Settings
from handfast.store.quote_rows import QuoteRow


class KeptTerms(NamedTuple):
    """Until when a quote holds, its deposit as a share, and the house as it was then."""

    valid_until: str
    deposit: Decimal
    house: Settings


def terms_now(house: Settings, book: PriceBook, made: date) -> dict[str, Any]:
    """What a quote made on a day keeps of the house's terms."""
    until = "" if book.valid_days is None else (made + timedelta(days=book.valid_days)).isoformat()
    deposit = "" if book.deposit.is_unknown else f"{book.deposit.value:.6g}"
    return {"valid_until": until, "deposit": deposit, "house": house.plain()}


def terms_of(row: QuoteRow) -> KeptTerms:
    """The terms that a quote was made on; plain ones where it kept none."""
    kept = json.loads(row.json).get("terms", {})
    deposit = Decimal(kept.get("deposit") or 0)
    return KeptTerms(str(kept.get("valid_until", "")), deposit, Settings.model_validate(kept.get("house", {})))


def printed(row: QuoteRow, system: str, paper: str | None = None) -> bytes:
    """A quote on paper as it was offered, on the terms that it was made on; equal arguments give equal bytes."""
    from handfast.documents.quotation import Terms, quotation

    kept = terms_of(row)
    house = kept.house
    terms = Terms(
        deposit=kept.deposit,
        least_share=house.ballast_share.value,
        reached=house.reached,
        accepted=house.accepted,
        declined=house.declined,
    )
    return quotation(
        from_json(json.loads(row.json)["advice"]),
        row.outfit,
        number=str(row.number),
        made=row.created[:10],
        valid_until=kept.valid_until,
        terms=terms,
        paper=paper or house.paper,
        system=system,
        dealer=house.name,
        demo=house.invented,
    )
