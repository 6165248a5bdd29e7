"""Words, figures and the title block that the papers share."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from handfast.advice.result import Advice, CheckResult, OutfitAdvice
from handfast.advice.wording import figure
from handfast.data.release import TABLES, VERSION
from handfast.drawings.letters import CUT, plain
from handfast.drawings.marks_small import VERDICT_WORDS, dagger, tally, tally_count, verdict_mark
from handfast.language.telling import tell
from handfast.machines.settings import INVENTED

DEALER = INVENTED
"""The invented dealer of the demonstration."""
VERDICTS = {
    "fits": "fits",
    "fits with conditions": "fits_if",
    "does not fit": "does_not_fit",
    "not enough known": "not_enough_known",
}
FOOT = 0.3048
RECKONED = f"Handfast {VERSION}, tables {TABLES}"


@dataclass(frozen=True)
class Stamp:
    """What the dealer writes on a paper."""

    made: str = ""
    number: str = ""
    issue: str = "1"
    dealer: str = DEALER
    by: str = ""
    seen_by: str = ""
    state: str = "draft"
    demo: bool = True


def verdict_of(one: OutfitAdvice) -> str:
    """The verdict's short name, as marks are drawn by."""
    return VERDICTS.get(one.verdict, "not_enough_known")


def verdict_words(one: OutfitAdvice) -> tuple[str, str]:
    """The verdict's word, and the sentence that goes on from it."""
    word, sentence = VERDICT_WORDS[verdict_of(one)], plain(one.verdict_text, 220)
    if sentence.startswith(word):
        rest = sentence[len(word) :]
        point = rest[:1] if rest[:1] in (".", ",", ":") else ""
        return word + point, rest[len(point) :].strip()
    return word + ":", sentence


def in_ten(held: float) -> str:
    """How sure, in tenths, rounded down.

    >>> in_ten(0.97), in_ten(1.0)
    ('9 in 10', '10 in 10')
    """
    return f"{tally_count(held)} in 10"


def picture(svg: str, alt: str) -> dict[str, str]:
    """A drawing with the words that stand for it."""
    return {"svg": svg, "alt": plain(alt)}


def marks(one: OutfitAdvice) -> dict[str, dict[str, str]]:
    """The small marks of a paper."""
    found = {name: picture(verdict_mark(name, "print"), word) for name, word in VERDICT_WORDS.items()}
    found["verdict"] = found[verdict_of(one)]
    held = one.held if math.isfinite(one.held) else 0.0
    found["tally"] = picture(tally(held, "print"), in_ten(held))
    found["dagger"] = picture(dagger("print"), "not in the price people see")
    return found


def mark_of(check: CheckResult, held: float, each_safety: float, never: float) -> str:
    """Which square a decided check bears."""
    share = check.held or 0.0
    if share >= (each_safety if check.safety else held):
        return "fits"
    return "does_not_fit" if share <= never else "fits_if"


def written(check: CheckResult, value: float | None, system: str) -> str:
    """A check's figure, empty where there is none."""
    if value is None or math.isnan(value):
        return ""
    if check.unit == "m/s" and system == "us" and math.isfinite(value):
        return f"{value / FOOT:.1f} ft/s"
    return figure(value, check.unit, system)


def facts_count(advice: Advice) -> str:
    """How many facts are sure, about and not known."""
    count = {name: sum(f.certainty == name for f in advice.facts) for name in ("sure", "about", "not known")}
    return f"{count['sure']} sure, {count['about']} about, {count['not known']} not known"


def in_short(text: str, most: int) -> str:
    """A text as paper takes it, where it is too long cut off after a whole word.

    >>> in_short("one two three", 9), in_short("one two", 9), in_short("1234567890", 5)
    ('one two…', 'one two', '1234…')
    """
    cut = plain(text, most)
    if cut == plain(text):
        return cut
    whole = cut.removesuffix(CUT).rpartition(" ")[0].rstrip(" ,;:")
    return f"{whole}{CUT}" if len(whole) > most // 2 else cut


def block_row(*cells: tuple[str, str, float]) -> dict[str, Any]:
    """One row of a title block: label, text and share of the width of each cell."""
    return {
        "widths": [wide for _, _, wide in cells],
        "cells": [[label, in_short(tell(text), int(58 * wide))] for label, text, wide in cells],
    }


def title_block(
    advice: Advice, one: OutfitAdvice, stamp: Stamp, sheet: str, of: str, scale: str
) -> list[dict[str, Any]]:
    """The title block's two rows; `of` is "1 of 1", or empty where the press counts the pages."""
    numbered = f"{stamp.number}, {stamp.issue}" if stamp.number else ""
    hands = ", ".join(text for text in (stamp.made, stamp.by, stamp.seen_by) if text)
    return [
        block_row(
            ("Dealer", stamp.dealer, 1.5),
            ("Sheet", sheet, 0.7),
            ("Number, issue", numbered, 0.9),
            ("Sheet", of, 0.5),
            ("State", stamp.state, 0.6),
        ),
        block_row(
            ("Outfit", one.title, 1.9),
            ("Facts", facts_count(advice), 1.1),
            ("Scale, units", scale, 0.9),
            ("Date, made by, seen by", hands, 0.9),
            ("Reckoned with", RECKONED, 1.05),
        ),
    ]


def plain_block(stamp: Stamp, sheet: str, units: str) -> list[dict[str, Any]]:
    """A title block of two rows that says nothing of an outfit or a caller: for papers that leave the house."""
    numbered = f"{stamp.number}, {stamp.issue}" if stamp.number else ""
    hands = ", ".join(text for text in (stamp.made, stamp.by, stamp.seen_by) if text)
    return [
        block_row(
            ("Dealer", stamp.dealer, 2.0), ("Sheet", sheet, 1.2), ("Sheet", "", 0.5), ("State", stamp.state, 0.6)
        ),
        block_row(
            ("Number, issue", numbered, 1.2),
            ("Scale, units", units, 0.9),
            ("Date, made by, seen by", hands, 1.1),
            ("Reckoned with", RECKONED, 1.1),
        ),
    ]


def listed(items: Sequence[str]) -> str:
    """Words in a row.

    >>> listed(["a", "b"])
    'a, b'
    """
    return ", ".join(items)
