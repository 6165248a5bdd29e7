"""Text that comes from people, made ready for paper: what no lettering shows, and what misleads, is taken out."""

from __future__ import annotations

import unicodedata
from bisect import bisect_right

# Code points that the shipped lettering, or one of the faces that the press brings along, can show; first and last.
_SHOWN = (
    (0x20, 0x7E), (0xA0, 0xAC), (0xAE, 0x377), (0x37A, 0x37F), (0x384, 0x38A), (0x38C, 0x38C), (0x38E, 0x3A1),
    (0x3A3, 0x484), (0x487, 0x4FF), (0x531, 0x556), (0x559, 0x58A), (0x591, 0x5C7), (0x5D0, 0x5EA), (0x5EF, 0x5F4),
    (0x60C, 0x60C), (0x61B, 0x61B), (0x61F, 0x61F), (0x621, 0x63A), (0x640, 0x64A), (0x660, 0x66D), (0x67E, 0x67E),
    (0x686, 0x686), (0x698, 0x698), (0x6A9, 0x6A9), (0x6AF, 0x6AF), (0x6CC, 0x6CC), (0x6F0, 0x6F9), (0x10D0, 0x10FF),
    (0x1E00, 0x1EFF), (0x2000, 0x200A), (0x2010, 0x2027), (0x202F, 0x2040), (0x2044, 0x2052), (0x2070, 0x2071),
    (0x2074, 0x208E), (0x20A0, 0x20C0), (0x2122, 0x2122), (0x2126, 0x2126), (0x2153, 0x215F), (0x2190, 0x21FF),
    (0x2200, 0x22FF), (0x2300, 0x2300), (0x25A0, 0x25FF),
)  # fmt: skip
_FIRST = [first for first, _ in _SHOWN]

NOT_SHOWN = "□"
"""Stands for a character that no lettering has, so that a reader sees that something stood there."""
CUT = "…"
SOFT = "\u200b"  # a place where a line may break, without a mark
LONGEST = 24  # letters in a row before such a place is put in


def shown(character: str) -> bool:
    """Whether the lettering has a character.

    >>> shown("ö"), shown("中")
    (True, False)
    """
    code = ord(character)
    at = bisect_right(_FIRST, code) - 1
    return at >= 0 and code <= _SHOWN[at][1]


def plain(text: str, most: int | None = None) -> str:
    """A caller's or shelf's text as paper takes it.

    Control characters and marks that turn the direction of reading go, white space becomes one blank, what no
    lettering has becomes a hollow square, and long runs without a blank get places to break.

    Args:
        text: anything.
        most: characters kept; the rest is cut off with an ellipsis.

    Returns:
        Text, still plain: it is never read as markup.

    >>> plain("a\\x00b\\u202e  c", 3), plain("log 12 in")
    ('ab…', 'log 12 in')
    """
    marks = "".join(c for c in text if c.isspace() or unicodedata.category(c) not in ("Cc", "Cf", "Cs", "Co", "Cn"))
    kept = list(" ".join(unicodedata.normalize("NFC", marks).split()))
    if most is not None and len(kept) > most:
        kept = [*kept[: most - 1], CUT]
    return _breakable("".join(c if shown(c) else NOT_SHOWN for c in kept))


def paragraphs(text: str, most: int | None = None) -> list[str]:
    """The paragraphs of a longer text, each as `plain` gives it; empty ones left out.

    >>> paragraphs("one\\n\\ntwo  words")
    ['one', 'two words']
    """
    return [one for one in (plain(line, most) for line in text.splitlines()) if one]


def _breakable(text: str) -> str:
    words = []
    for word in text.split(" "):
        parts = [word[k : k + LONGEST] for k in range(0, len(word), LONGEST)]
        words.append(SOFT.join(parts))
    return " ".join(words)
