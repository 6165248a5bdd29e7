"""English in, the other language out: whole phrases first, then phrases with slots, then what stands in a row."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache, lru_cache

from handfast.language.figures import ID, has_words, quantity
from handfast.language.names import Names, shown_again
from handfast.language.patterns import Index, kind_of
from handfast.language.phrase_file import Phrase, phrases_of

LANGUAGES = {"en": "English", "es": "Español"}
"""The languages that pages and papers speak, each by its own name."""
POINTS, MARKS = " \t\n·.,;:", " \t\n·.,;:()[]“”\"*–—…!?¿¡†→←↑↓+&=/'"
JOINTS = (" · ", "; ", ": ", ", and ", ", ", " and ", " or ", " (", " / ", "\n", " – ")
SENTENCE = re.compile(r"(?<=[.?!]) ")
KEPT, MOST_JOINTS = 40_000, 5
UNIT = "unit "  # a line `unit ft || pies` names a unit


@dataclass(frozen=True)
class Said:
    """A text in the other language, and what of it was not found in the book."""

    text: str
    missing: tuple[str, ...] = ()

    @property
    def lost(self) -> int:
        """How many letters were not found."""
        return sum(map(len, self.missing))


class Book:
    """The phrases of one language."""

    def __init__(self, phrases: list[Phrase]) -> None:
        self.units = {one.english[len(UNIT) :]: one.other for one in phrases if one.english.startswith(UNIT)}
        phrases = [_bare(one) for one in phrases if not one.english.startswith(UNIT)]
        self.whole = {one.english: one.other for one in phrases if not one.slots}
        self.joints = {joint: self.whole.get(joint.strip(" "), joint.strip(" ")) for joint in JOINTS}
        self.index = Index(one for one in phrases if one.slots)
        self.read = lru_cache(maxsize=KEPT)(self._read)
        self._part = lru_cache(maxsize=KEPT)(self._understood)

    def _read(self, text: str) -> Said:
        """A text in the other language; white space and marks at its edges stay."""
        if not has_words(text):
            return Said(text)
        inner = " ".join(text.split())
        before = text[: len(text) - len(text.lstrip())]
        after = text[len(text.rstrip()) :]
        found = self._part(inner)
        return Said(before + found.text + after, found.missing)

    def _understood(self, text: str) -> Said:
        tries: list[Said] = []
        for way in (self._exactly, self._within_marks, self._as_it_stands, self._turned, self._in_a_row, self._loosely):
            tries += way(text)
            if tries and not tries[-1].missing:
                return tries[-1]
        best = min(tries, key=lambda one: one.lost)
        return Said(text, (text,)) if best.lost and best.lost >= sum(c.isalpha() for c in text) else best

    def _exactly(self, text: str) -> list[Said]:
        """The text as one phrase without slots, as a figure with its unit, or without words."""
        known = self.whole.get(text, self.units.get(text)) if has_words(text) else text
        known = quantity(text, self.units) if known is None else known
        known = text if known is None and ID.fullmatch(text) else known
        return [] if known is None else [Said(known)]

    def _within_marks(self, text: str) -> list[Said]:
        """What stands between the marks at a text's edges."""
        core = text.strip(POINTS)
        core = text.strip(MARKS) if core == text else core
        if not core or core == text:
            return []
        at, inner = text.index(core), self._part(core)
        return [Said(text[:at] + inner.text + text[at + len(core) :], inner.missing)]

    def _turned(self, text: str) -> list[Said]:
        """The text with its first letter small, or large."""
        other = text[:1].swapcase()
        if text[:2].isupper() or other == text[:1]:
            return []
        [said] = self._exactly(other + text[1:]) or self._as_it_stands(other + text[1:])
        first = said.text[:1].upper() if text[:1].isupper() else said.text[:1].lower()
        return [Said(first + said.text[1:], said.missing)]

    def _as_it_stands(self, text: str) -> list[Said]:
        """The text as a phrase with slots that has enough words of its own."""
        return [self._by_pattern(text, loose=False)]

    def _loosely(self, text: str) -> list[Said]:
        """The text as a phrase of few words and slots that take anything: looked for last."""
        return [self._by_pattern(text, loose=True)]

    def _by_pattern(self, text: str, loose: bool) -> Said:
        best = Said(text, (text,))
        for pattern in self.index.near(text):
            slots = pattern.slots(text) if pattern.loose == loose else None
            if slots is None:
                continue
            filled = {k: self._part(v) if kind_of(k) in ("", "q") else Said(v) for k, v in slots.items()}
            missing = tuple(one for said in filled.values() for one in said.missing)
            said = Said(pattern.said({k: v.text for k, v in filled.items()}), missing)
            if said.lost < best.lost:
                best = said
            if not missing:
                break
        return best

    def _in_a_row(self, text: str) -> list[Said]:
        """The text as phrases in a row: sentences, lists, what stands in brackets."""
        found = []
        sentences = SENTENCE.split(text)
        if len(sentences) > 1:
            told = [self._part(one) for one in sentences]
            found.append(Said(" ".join(one.text for one in told), tuple(m for one in told for m in one.missing)))
            if not found[0].missing:
                return found
        for joint in JOINTS:
            for parts in _ways(text, joint):
                told = [self._part(part) for part in parts]
                missing = tuple(one for part in told for one in part.missing)
                found.append(Said(self._joined(joint, [part.text for part in told]), missing))
                if not missing:
                    return found
        return found

    def _joined(self, joint: str, parts: list[str]) -> str:
        core = joint.strip(" ")
        other = self.whole.get(core, core) if has_words(joint) else core
        other = f" {other}" if core.startswith(",") and not other.startswith(",") else other
        return joint.replace(core, other).join(parts)


def _bare(phrase: Phrase) -> Phrase:
    """A sentence without its full stop, so that it is found in the middle of a text too."""
    if phrase.english.endswith(".") and phrase.other.endswith("."):
        return Phrase(phrase.english[:-1], phrase.other[:-1], phrase.at)
    return phrase


def _ways(text: str, joint: str) -> Iterator[list[str]]:
    """A text taken apart: at every joint, then at one joint alone."""
    parts = text.split(joint)
    if len(parts) > 1:
        yield parts
    for k in range(1, len(parts)) if 2 < len(parts) <= MOST_JOINTS else ():
        yield [joint.join(parts[:k]), joint.join(parts[k:])]


class Speaker:
    """A book read for somebody's records: their names stay as they are."""

    def __init__(self, book: Book, names: Names | None = None) -> None:
        self.book, self.names = book, names or Names(())
        self.read = lru_cache(maxsize=KEPT)(self._read)

    def _read(self, text: str) -> Said:
        """A text in the other language, and what of it the book does not know."""
        hidden, names = self.names.hide(text)
        said = self.book.read(hidden)
        return Said(shown_again(said.text, names), said.missing) if names else said

    def __call__(self, text: str) -> str:
        """A text in the other language; what the book does not know stays as it is."""
        return self.read(text).text


def everywhere(text: str) -> tuple[str, ...]:
    """A text in every language, English first.

    >>> everywhere("Two levers")
    ('Two levers', 'Dos palancas')
    """
    books = (book_of(language) for language in LANGUAGES)
    return (text, *(book.read(text).text for book in books if book is not None))


@cache
def book_of(language: str) -> Book | None:
    """The book of a language; None where it is the one that the program speaks by itself.

    >>> book_of("en") is None
    True
    """
    return None if language == "en" or language not in LANGUAGES else Book(phrases_of(language))
