"""What is said as a text message: at most 480 characters, whole sentences, the condition and the caution always in."""

from __future__ import annotations

import re
from collections.abc import Sequence

from handfast.advice.result import Advice
from handfast.language.telling import tell

MOST = 480  # characters: three parts of a text message
APART = re.compile(r"(?<=[.?!])\s+(?=[A-Z“])")
MONEY = re.compile(r"[$€£]|\b(?:USD|EUR|GBP|CAD|AUD)\b|\b(?:price|costs?|bill|budget|cheap\w*|dollars?)\b", re.I)
RING = "Not settled yet: we ring you before anything is ordered."


def sentences(text: str) -> list[str]:
    """A text in its sentences.

    >>> sentences("It holds if 250 lb hangs behind. Not more than $3,200.")
    ['It holds if 250 lb hangs behind.', 'Not more than $3,200.']
    """
    return [one for one in APART.split(text.strip()) if one]


def without_money(text: str) -> str:
    """A text without the sentences that tell of money.

    >>> without_money("It holds if 250 lb hangs behind. Not more than $3,200.")
    'It holds if 250 lb hangs behind.'
    """
    return " ".join(one for one in sentences(text) if not MONEY.search(one))


def text_message(advice: Advice) -> str:
    """The answer as a text message, never kinder than the verdict.

    Args:
        advice: the answer.

    Returns:
        at most 480 characters: what can be said, its conditions and the first caution; what else there is room for.
    """
    if not advice.outfits:
        return _fitted([], [advice.say_now, RING])
    best = advice.outfits[0]
    said = sentences(advice.say_now)
    caution = advice.cautions[:1]
    must = [one for one in said[1:] if one.startswith(("It holds if", "Mind that", "Does not fit", "Nearest"))]
    told = " ".join([said[0], *must])
    conditions = best.conditions[:1] if best.verdict != "does not fit" else ()
    must += [f"Only if {one.text}." for one in conditions if one.text not in told]
    rest = [one for one in said[1:] if one not in must]
    whole = [said[0], *must, *caution]
    if long(whole) <= MOST:
        return _fitted([one for one in whole if one not in caution], rest, list(caution))
    short = [f"{best.title}: {best.verdict_text}", *(f"Only if {one.text}." for one in conditions), *caution]
    return _fitted([], short) if long(short) <= MOST else _fitted([], [*caution, RING])


def long(said: Sequence[str]) -> int:
    """How many characters sentences have in the language that is being told.

    >>> long(["one", "two"])
    7
    """
    return len(" ".join(map(tell, said)))


def _fitted(must: list[str], more: list[str], last: list[str] | None = None) -> str:
    """Sentences that must stand, then others as far as there is room, then those that end it."""
    last = last or []
    kept = list(must)
    for one in more:
        if long([*kept, one, *last]) <= MOST:
            kept.append(one)
    return " ".join(map(tell, [*kept, *last]))
