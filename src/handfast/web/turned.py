"""The sheet with the screen turned to the caller: no cost, no margin, no notes, nobody else."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from markupsafe import Markup

from handfast.advice.result import Advice
from handfast.web.message import MONEY, without_money

PRIVATE = ("wishes.budget", "caller.place", "wishes.own_work")


@dataclass(frozen=True)
class TurnedRow:
    """One outfit as the caller sees it."""

    rank: int
    name: str
    note: str
    mark: Markup
    word: str
    rest: str
    lifts: str
    lifts_words: str
    lifts_band: Markup


def turned_context(context: Mapping[str, Any]) -> dict[str, Any]:
    """What of a call sheet may be seen by the caller."""
    advice: Advice = context["advice"]
    ask = context["ask"]
    return {
        "number": context["row"].number,
        "question": ask.question if ask and not MONEY.search(ask.question) else "",
        "pictures": [(one.words, one.picture) for one in ask.replies if one.picture] if ask else [],
        "facts": [(one.fact, one.line) for one in context["facts"] if one.fact.path not in PRIVATE],
        "drawing": context["drawing"],
        "say": without_money(advice.say_now),
        "nots": [one for one in advice.do_not_promise if not MONEY.search(one)],
        "cautions": [one for one in advice.cautions if not MONEY.search(one)],
        "rows": [_turned(one) for one in context["rows"][: context["shown"]]],
        "height": context["height"],
        "load": context["load"],
    }


def _turned(row: Any) -> TurnedRow:
    rest = "" if MONEY.search(row.rest) else row.rest
    return TurnedRow(row.rank, row.name, row.note, row.mark, row.word, rest, row.lifts, row.lifts_words, row.lifts_band)
