"""Phrases with slots, found by the words that must stand in a text."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from handfast.language.figures import NUMBER
from handfast.language.phrase_file import SLOT, Phrase

LOOSE = 8  # fixed letters, blanks counted
WORD = re.compile(r"[^\W\d_]+")


@dataclass(frozen=True)
class Pattern:
    """A phrase with slots, ready to be held against a text."""

    phrase: Phrase
    regex: re.Pattern[str]
    weight: int  # letters that are fixed

    @property
    def loose(self) -> bool:
        """Whether it has so few letters of its own that it would take what is no such phrase."""
        return self.weight < LOOSE and not any(kind_of(slot) for slot in self.phrase.slots)

    def slots(self, text: str) -> dict[str, str] | None:
        """What stands in the slots; None where the text is another."""
        found = self.regex.fullmatch(text)
        slots = {} if found is None else found.groupdict()
        counted = all(DIGIT.search(text) for name, text in slots.items() if kind_of(name) == "q")
        return slots if found is not None and counted else None

    def said(self, slots: dict[str, str]) -> str:
        """The phrase in the other language with its slots filled."""
        return SLOT.sub(lambda slot: slots[slot[1]], self.phrase.other)


ANY = r"(?:(?![.?!] ).)+?"  # within one sentence
KINDS = {"n": NUMBER, "code": r"[A-Z]{1,3}\d+(?:, [A-Z]{1,3}\d+)*"}
"""What slots take whose names begin so; every other takes any words."""
SLOT_KIND = re.compile(r"(n|q|code|raw)\d*")
DIGIT = re.compile(r"\d")


def kind_of(slot: str) -> str:
    """What a slot takes: n a number alone, q words with a figure, code the tags of a drawing, raw any words.

    >>> kind_of("n2"), kind_of("code"), kind_of("raw2"), kind_of("name")
    ('n', 'code', 'raw', '')
    """
    found = SLOT_KIND.fullmatch(slot)
    return found[1] if found else ""


def pattern_of(phrase: Phrase) -> Pattern:
    """A phrase's pattern.

    >>> pattern_of(Phrase("Lifts {a} over {b}", "Levanta {a} sobre {b}")).slots("Lifts oak over wire")
    {'a': 'oak', 'b': 'wire'}
    """
    parts = SLOT.split(phrase.english)
    made, weight = [], 0
    for k, part in enumerate(parts):
        if k % 2:
            made.append(f"(?P<{part}>{KINDS.get(kind_of(part), ANY)})")
        else:
            made.append(re.escape(part))
            weight += len(part)
    return Pattern(phrase, re.compile("".join(made), re.DOTALL), weight)


class Index:
    """Patterns by a word that each must find in a text."""

    def __init__(self, phrases: Iterable[Phrase]) -> None:
        made = sorted((pattern_of(one) for one in phrases), key=lambda one: (-one.weight, one.phrase.english))
        self._rank = {id(one): k for k, one in enumerate(made)}
        counts: defaultdict[str, int] = defaultdict(int)
        words = {id(one): set(WORD.findall(" ".join(SLOT.split(one.phrase.english)[::2]))) for one in made}
        for several in words.values():
            for word in several:
                counts[word] += 1
        self._by_word: defaultdict[str, list[Pattern]] = defaultdict(list)
        for one in made:
            rarest = min(words[id(one)], key=lambda word: (counts[word], word), default="")
            self._by_word[rarest].append(one)

    def near(self, text: str) -> Iterator[Pattern]:
        """Patterns that may fit a text, those with the most fixed letters first."""
        found = [one for word in {"", *WORD.findall(text)} for one in self._by_word.get(word, ())]
        return iter(sorted(found, key=lambda one: self._rank[id(one)]))
