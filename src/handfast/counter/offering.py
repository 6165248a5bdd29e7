"""What a quote keeps of an answer: one outfit or three, what may be chosen, on which terms."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import asdict, dataclass, field
from typing import Any

from handfast.advice.as_json import to_json
from handfast.advice.order import order_for
from handfast.advice.result import Advice, OutfitAdvice
from handfast.data.release import TABLES, VERSION
from handfast.documents.offer_terms import MOST_WAYS, Option
from handfast.machines.faults import Fault, Faults
from handfast.machines.inquiry import Inquiry
from handfast.machines.shelf import Shelf
from handfast.outfits.fitting import fitting_of
from handfast.outfits.kit_hoses import kit_hoses, plain_hoses

TAKEN = frozenset({"fitting", "carriage"})  # options that an offer contains unless they are left out
GROUPS = (("fitting", "labour"), ("carriage", "freight"))


@dataclass(frozen=True)
class Wanted:
    """An outfit to be offered: in which words, with which options."""

    outfit: str
    name: str = ""
    taken: frozenset[str] = TAKEN


@dataclass(frozen=True)
class Answered:
    """What was said of the weight behind: by whom, when, and who of the house took it down."""

    answer: str = "open"
    by: str = ""
    on: str = ""
    taken_by: str = ""


@dataclass(frozen=True)
class Said:
    """What a dealer says with an offer; `not_included` None: the house's own list."""

    customer: str = ""
    words: str = ""
    not_included: tuple[str, ...] | None = None
    ballast: Answered = field(default_factory=Answered)
    note: str = ""


def kept_offer(
    advice: Advice, text: str, asked: Inquiry, shelf: Shelf, wanted: Sequence[Wanted], seed: int, said: Said
) -> dict[str, Any]:
    """An offer as a quote keeps it. KeyError: no such outfit. Faults: none or too many, or one without its price."""
    if not 1 <= len(wanted) <= MOST_WAYS or len({one.outfit for one in wanted}) < len(wanted):
        found = f"{len(wanted)} outfits"
        raise Faults([Fault("quote", 0, "ways", found, "one outfit, or two or three that differ")])
    chosen = [advice.outfit(one.outfit) for one in wanted]
    faults = [_unpriced(one) for one in chosen if not one.cost.whole]
    if faults:
        raise Faults(faults)
    whole = to_json(advice)
    plain = {one["id"]: one for one in whole["outfits"]}
    outfits = [plain[one.id] for one in chosen]
    ways = [_way(one, offered, asked, shelf) for one, offered in zip(wanted, chosen, strict=True)]
    return {
        "outfit": outfits[0],
        "text": text,
        "hoses": ways[0]["hoses"],
        "advice": {**whole, "outfits": outfits},
        "title": advice.title,
        "machine": advice.machine,
        "currency": advice.currency,
        "seed": seed,
        "version": VERSION,
        "tables": TABLES,
        "offer": {
            "customer": said.customer or asked.caller.name,
            "said": said.words,
            "not_included": None if said.not_included is None else list(said.not_included),
            "ways": ways,
            "ballast": asdict(said.ballast),
        },
    }


def _unpriced(one: OutfitAdvice) -> Fault:
    expected = "the attachment's own price: without it no offer can be numbered"
    return Fault("quote", 0, f"{one.attachment or 'attachment'}, price", "nothing", expected)


def _way(wanted: Wanted, one: OutfitAdvice, asked: Inquiry, shelf: Shelf) -> dict[str, Any]:
    fitting = fitting_of(one.id, asked, shelf)
    options = [asdict(option) for option in (*_groups(one, wanted), *_spares(one, fitting, wanted))]
    hoses = plain_hoses(kit_hoses(fitting.outfit, fitting.inquiry, shelf))
    return {"outfit": one.id, "name": wanted.name, "options": options, "hoses": hoses}


def _groups(one: OutfitAdvice, wanted: Wanted) -> Iterator[Option]:
    """What costing reckoned and the customer may leave: fitting, carriage."""
    for name, group in GROUPS:
        lines = [line for line in one.cost.lines if line.group == group]
        if lines:
            low, likely, high = (sum(getattr(line, bound) for line in lines) for bound in ("low", "likely", "high"))
            what = ", ".join(line.what for line in lines)
            yield Option(name, what, low, likely, high, group, name in wanted.taken)


def _spares(one: OutfitAdvice, fitting: Any, wanted: Wanted) -> Iterator[Option]:
    """One spare of each hose that is bought, at its price on the order."""
    ordered = (each.line for each in order_for(one, fitting).lines)
    hoses = [line for line in ordered if line.item == "hose" and not line.brought_by and not line.price.is_unknown]
    if hoses:
        low, likely, high = (sum(getattr(each.price, bound) for each in hoses) for bound in ("low", "likely", "high"))
        what = f"Spare hoses, one of each: {', '.join(each.tag for each in hoses)}"
        yield Option("spare-hoses", what, low, likely, high, "spare", "spare-hoses" in wanted.taken)
