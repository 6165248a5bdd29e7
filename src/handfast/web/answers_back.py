"""Answers that came back to questions sent out: lines of text to entries of the record, nothing lost on the way.

A line is `Q2 [quick_attach]: Two levers`: the request's number, the fact, the words; a choice and what was written
beside it stand with a semicolon between them.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

from handfast.advice.requests import Request, is_measured
from handfast.language.phrasebook import everywhere
from handfast.machines.shelf import Shelf
from handfast.web.asking import PLACES, REPLIES
from handfast.web.fields import field_at

LINE = re.compile(
    r"^[ \t>]*Q(?P<number>\d{1,2})\s*\[(?P<fact>[a-z_0-9.]{1,60})\]\s*:[ \t]*(?P<words>.*?)\s*$", re.M | re.I
)
WORDS_MOST = 400
BEHIND = {"Box blade": "box_blade", "Backhoe": "backhoe", "Ballast box": "ballast_box"}
CANNOT = ("no puedo", "can't", "can’t", "not given", "never", "no plate", "don't know")


@dataclass(frozen=True)
class Answer:
    """One answer: which request, the words as they came, the entries they make (none where they say no figure)."""

    number: int
    fact: str
    words: str
    entries: dict[str, str]

    @property
    def measured(self) -> bool:
        """Whether the customer measured it: a figure that the request sent them to a tape or a scale for."""
        return bool(self.entries) and is_measured(self.fact)

    @property
    def cannot(self) -> bool:
        """Whether it says that it can't be found out."""
        return not self.entries and self.words.casefold().startswith(CANNOT)

    @property
    def line(self) -> str:
        """The answer as a line of text."""
        return answer_line(self.number, self.fact, self.words)


def answer_line(number: int, fact: str, words: str) -> str:
    """An answer as a line of text; breaks within it become spaces.

    >>> answer_line(2, "site.gate", "about 9 ft")
    'Q2 [site.gate]: about 9 ft'
    """
    return f"Q{number} [{fact}]: {' '.join(words.split())[:WORDS_MOST]}"


def read_answers(text: str, shelf: Shelf) -> list[Answer]:
    """Every answer line of a text, in order.

    Args:
        text: a message, an e-mail, what a page handed over.
        shelf: whose tractors may be named.

    Returns:
        The answers; a line that is not one is left alone.

    >>> [one.entries for one in read_answers("Q1 [quick_attach]: two levers", Shelf())]
    [{'machine.quick_attach': 'universal_plate'}]
    """
    found = LINE.finditer(text.replace("\r\n", "\n"))
    return [one_answer(int(m["number"]), m["fact"].lower(), m["words"][:WORDS_MOST], shelf) for m in found]


def one_answer(number: int, fact: str, words: str, shelf: Shelf) -> Answer:
    """An answer with the entries that its words make."""
    entries: dict[str, str] = {}
    for part in filter(None, (piece.strip() for piece in words.split(";"))):
        entries |= _entries(fact, part, shelf)
    return Answer(number, fact, words.strip(), entries)


def _entries(fact: str, words: str, shelf: Shelf) -> dict[str, str]:
    plain = words.casefold().rstrip(".")
    for reply, entries, _ in REPLIES.get(fact, ()):
        if plain in {one.casefold() for one in everywhere(reply)}:
            return dict(entries)
    if fact == "behind.mass":
        kinds = {one.casefold(): kind for name, kind in BEHIND.items() for one in everywhere(name)}
        if plain in kinds:
            return {"behind.kind": kinds[plain]}
    if not any(character.isdigit() for character in words) and fact != "machine":
        return {}
    if fact == "machine":
        return _tractor(words, shelf)
    place = PLACES.get(fact, f"machine.{fact}")
    return {place: words} if field_at(place) is not None else {}


def _tractor(words: str, shelf: Shelf) -> dict[str, str]:
    plain = " ".join(words.split()).casefold()
    if plain.startswith(CANNOT) or plain == "class and power only":
        return {}
    known = [key for key, one in shelf.machines.items() if plain in (key.casefold(), one.name.casefold())]
    return {"machine.record": known[0]} if len(known) == 1 else {"machine.name": words}


def message(requests: Iterable[Request], dealer: str, inquiry: int) -> str:
    """The requests as a numbered text for a message."""
    lines = [
        f'{dealer}, inquiry {inquiry}. Please look, and answer by number. "Can\'t say" helps as much as any answer.'
    ]
    for one in requests:
        choices = ", ".join(
            (*one.options, *(("or write it",) if one.written else ()), one.cannot.split(":")[0].lower())
        )
        photo = " A photo is enough." if one.photo else ""
        lines.append(f"{one.number}. {one.question} {one.how}{photo} ({choices})")
    return "\n".join(lines)
