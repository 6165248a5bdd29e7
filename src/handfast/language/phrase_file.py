"""Phrases as they are written down: English, two bars, the other language; a line each."""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

FOLDER = Path(__file__).resolve().parent.parent / "data" / "phrases"
BARS = " || "
SLOT = re.compile(r"\{([a-z]\w*)\}")


class PhraseError(ValueError):
    """A line of a phrase file that can't be taken."""


@dataclass(frozen=True)
class Phrase:
    """What is said in English, and the same in the other language, with the same slots."""

    english: str
    other: str
    at: str = ""

    @property
    def slots(self) -> tuple[str, ...]:
        """The names of its slots, as the English has them."""
        return tuple(SLOT.findall(self.english))


def read_phrases(text: str, file: str = "") -> list[Phrase]:
    """The phrases of a file's text.

    Args:
        text: lines `English || other`; empty lines and lines that begin with # are passed over.
        file: name of the file, for the faults.

    Returns:
        Phrases in the order of the lines.

    Raises:
        PhraseError: no bars, an empty side, or slots that are not the same on both sides.

    >>> read_phrases("Lifts {a} over {b} || Levanta {a} sobre {b}")[0].slots
    ('a', 'b')
    """
    found = []
    for number, line in enumerate(text.splitlines(), 1):
        if not line.strip() or line.startswith("#"):
            continue
        english, bars, other = line.partition(BARS)
        phrase = Phrase(english.strip(), other.strip(), f"{file}, line {number}")
        if not bars or not phrase.english or not phrase.other:
            raise PhraseError(f"{phrase.at}: English, two bars and the other language are expected; found {line!r}")
        if len(set(phrase.slots)) < len(phrase.slots) or sorted(phrase.slots) != sorted(SLOT.findall(phrase.other)):
            raise PhraseError(f"{phrase.at}: the slots of both sides are not the same, each once: {line!r}")
        found.append(phrase)
    return found


def phrases_of(language: str) -> list[Phrase]:
    """Every phrase of a language, file by file.

    >>> phrases_of("xx")
    []
    """
    found: list[Phrase] = []
    for path in sorted((FOLDER / language).glob("*.txt")):
        found += read_phrases(path.read_text("utf-8"), path.name)
    return found
