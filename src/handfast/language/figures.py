"""Figures with their units: the digits stay as they are, the unit's name is told in the other language."""

from __future__ import annotations

import re
from collections.abc import Mapping

NUMBER = r"[+\-−±~≤≥<>]?\s?[$€£¥]?\d[\d,]*(?:\.\d+)?(?:[/⁄]\d+)?[½¼¾⅛⅜⅝⅞]?(?:[%°′″'\"](?![\w]))?"
FIGURE = re.compile(NUMBER)
ID = re.compile(r"[\w-][\w.-]*~[\w.~-]+|[a-z]+\.[a-z_]+|--[a-z]+|[a-z]+(?:_[a-z]+)+")  # names in records and files
ODDS = re.compile(r"\d+ in \d+(?![\d,./]| ?[a-z°%])")  # nine in ten, no inches
LETTERS = re.compile(r"[^\W\d_\ue000-\uf000]{2,}")
_CODE, _REST = r"[A-Z]{1,2}\d+(?!\w)", r"[\s×–\-/()·,;:=|%°]+"
_UNIT = r"[^\W\d_]+(?:[./·²³][^\W\d_]+|[²³])*"
_PARTS = re.compile(rf"(?P<number>{NUMBER})|(?P<code>{_CODE})|(?P<unit>{_UNIT})|(?P<rest>{_REST})")


def has_words(text: str) -> bool:
    """Whether there is anything to translate in a text: two letters in a row.

    >>> has_words("1,240 m"), has_words("1,240 lb")
    (False, True)
    """
    return LETTERS.search(text) is not None


def figures_of(text: str) -> list[str]:
    """The runs of digits in a text, in order.

    >>> figures_of("1,240 lb at 1/2 in")
    ['1,240', '1', '2']
    """
    return re.findall(r"\d[\d,.]*\d|\d", text)


def quantity(text: str, units: Mapping[str, str]) -> str | None:
    """A figure with its unit in the other language; None where the text holds anything else.

    Args:
        text: such as "8 ft 6 in".
        units: each unit and joining word, and its name in the other language.

    Returns:
        The same figures; None where a word is no unit, or there is no figure.

    >>> quantity("9 in 10", {"in": "pulg"})
    >>> quantity("8 ft 6 in", {"ft": "pies", "in": "pulg"}), quantity("8 men", {}), quantity("ft", {"ft": "pies"})
    ('8 pies 6 pulg', None, None)
    """
    if ODDS.match(text):
        return None
    at, said, counted = 0, [], False
    while at < len(text):
        part = _PARTS.match(text, at)
        if part is None:
            return None
        if part["unit"] is not None:
            if part["unit"] not in units and len(part["unit"]) > 1:
                return None
            said.append(units.get(part["unit"], part["unit"]))
        else:
            said.append(part[0])
            counted = counted or part["rest"] is None
        at = part.end()
    return "".join(said) if counted else None
