"""Names: tractors and attachments of the shelf, tractors that are not on it."""

from __future__ import annotations

import re
from collections.abc import Iterator
from difflib import SequenceMatcher
from functools import lru_cache

from handfast.machines.shelf import Shelf
from handfast.mail.found import Found
from handfast.mail.letter import Letter
from handfast.mail.numerals import numerals

NEAR = 0.80  # share of letters alike, from which a misspelt name is taken
_WORD = re.compile(r"[a-z]{4,14}")


@lru_cache(maxsize=65536)
def alike(one: str, other: str) -> float:
    """How alike two words are, 0 to 1; the first letter or the last three must agree.

    >>> alike("thimbel", "thimble") > 0.8, alike("thing", "thimble") < 0.8
    (True, True)
    """
    if one == other:
        return 1.0
    if not (one and other) or abs(len(one) - len(other)) > 2 or (one[0] != other[0] and one[-3:] != other[-3:]):
        return 0.0
    swapped = sorted(one) == sorted(other) and one[0] == other[0]
    return 0.9 if swapped else SequenceMatcher(None, one, other, autojunk=False).ratio()


def models(shelf: Shelf) -> dict[tuple[str, str], str]:
    """Tractors of a shelf by the word and the number of their model."""
    found: dict[tuple[str, str], str] = {}
    for key, one in shelf.machines.items():
        match = re.match(r"([a-z]+)[ -]?(\d+[a-z]?)", (one.model or key).lower())
        if match and ("," not in (one.model or "") or (match[1], match[2]) not in found):
            found[(match[1], match[2])] = key
    return found


def tractors(letter: Letter, shelf: Shelf) -> Iterator[Found]:
    """Tractors of the shelf: the model's word, spelt nearly so, with its number."""
    known = models(shelf)
    words = {word for word, _ in known}
    makers = {one.maker.lower() for one in shelf.machines.values() if one.maker}
    numbers = {one.start: one for one in numerals(letter.low)}
    for match in _WORD.finditer(letter.low):
        word = _nearest(match.group(), words)
        if word is None:
            continue
        gap = re.compile(r"[ -]{0,2}(?:model )?").match(letter.low, match.end())
        at = gap.end() if gap else match.end()
        glued = re.compile(r"\d{2,3}(?![\d.,]*\d)").match(letter.low, match.end())
        number = numbers.get(at)
        value, end = (
            (number.value, number.end) if number else (float(glued.group()), glued.end()) if glued else (0.0, 0)
        )
        key = known.get((word, f"{value:g}"))
        if key and letter.own_name(match.start()):
            start = _with_maker(letter, match.start(), makers)
            sure = match.group() == word
            yield Found(
                "machine.record",
                key,
                key,
                start,
                end,
                sure,
                "the name of a tractor on the shelf" if sure else "nearly the name of a tractor on the shelf",
            )


def _nearest(word: str, words: set[str]) -> str | None:
    scored = sorted(((alike(word, one), one) for one in words), reverse=True)
    return scored[0][1] if scored and scored[0][0] >= NEAR else None


def _with_maker(letter: Letter, start: int, makers: set[str]) -> int:
    head = letter.low[max(0, start - 16) : start]
    match = re.search(r"([a-z]+) $", head)
    return start - len(match.group()) if match and _nearest(match[1], makers) else start


_TRACTOR_HEAD = r"(?:\b(?:i|we) (?:have|own|run|drive|bought|got|use)|\bi've got|\bgot|\bhave|\brunning|\bmy|\bour|\bit(?:'s| is)|\bis|\btractor ?[:=-]|\bmachine ?[:=-]|\btractor is|\btractor|\bmachine|,(?= an? )|\bis|\bon|\bfor|\bowner of|\bown|\brun|\bthis is)"
_UNKNOWN = re.compile(
    rf"(?:{_TRACTOR_HEAD} |(?:^|[\n.] ?)(?=(?:19|20)\d\d ))(?:(?:an?|the|my|our|this|used|old|older|newer|little|new|ancient|tired|trusty|vintage|small|big|orange|green|blue|red|grey|gray|yellow) ){{0,3}}(?P<year>(?:19|20)\d\d )?(?P<name>(?:[a-z][a-z'-]+ ){{1,3}}?(?:[a-z]{{0,3}}-?\d{{2,4}}[a-z]{{0,3}}))(?! ?(?:hp|h\.p|horse|lb|in\b|inch|ft|foot|\"|'|#|psi|gpm|gal|kg|hours|%|deg|acre|kw|x|-|/|amp|volt|mm|cm|percent|year|dollars|bucks|[.,]\d))\b"
)


def strange_tractors(letter: Letter, shelf: Shelf) -> Iterator[Found]:
    """A make and model that is not on the shelf: capitals and a number where a tractor is named."""
    known = models(shelf)
    words = {word for word, _ in known} | {key.split("-")[0] for key in shelf.attachments}
    for match in _UNKNOWN.finditer(letter.low):
        start, end = match.span("name")
        name = letter.raw[start:end]
        parts = name.split()
        if not letter.own_name(start) or any(not part[0].isupper() for part in parts[:-1]):
            continue
        pair = (_nearest(parts[-2].lower(), words) if len(parts[-2]) >= 4 else None, parts[-1].lower())
        if (
            pair in known
            or (pair[0] and pair[0] not in {word for word, _ in known})
            or (name.isupper() and letter.raw.isupper())
        ):
            continue
        if (
            len(parts[0]) < 3
            or parts[0].lower() in _NOT_MAKERS
            or re.match(
                r" ?(?:grapple|bucket|forks|rake|mower|splitter|trailer|truck|road|rd|street|lane)",
                letter.after(end, 14),
            )
        ):
            continue
        yield letter.fact("machine.name", name, start, end, "a make and model that is not on the shelf")


_NOT_MAKERS = frozenset(
    "the route highway road county box suite lot unit hwy rural zip po about around may june july august september october november december january february march april page item model quote order invoice inquiry catalog rops".split()
)


def attachments(letter: Letter, shelf: Shelf) -> Iterator[Found]:
    """Attachments of the shelf by the words and the number of their names."""
    found: list[Found] = []
    for key, name in _titles(tuple((key, one.name or key) for key, one in shelf.attachments.items())):
        for match in re.finditer(name, letter.low):
            if letter.own_wish(match.start()) and not any(
                one.start < match.end() and match.start() < one.end for one in found
            ):
                found.append(
                    letter.fact(
                        "attachment[0].record",
                        key,
                        match.start(),
                        match.end(),
                        "the name of an attachment on the shelf",
                    )
                )
    distinct = list(dict.fromkeys(one.value for one in sorted(found, key=lambda one: one.start)))
    for one in found:
        if one.value == distinct[0]:
            yield one


@lru_cache(maxsize=8)
def _titles(names: tuple[tuple[str, str], ...]) -> list[tuple[str, str]]:
    """Patterns for names such as "Thicketjaw 60 D", the longest first, so that the plain one does not take it."""
    found = []
    for key, _ in names:
        parts = key.split("-")
        match = re.fullmatch(r"(\d+)([a-z]?)", parts[-1])
        if match is None:
            continue
        head = "[ -]".join(re.escape(part) for part in parts[:-1])
        head = rf"{head[:-1]}{head[-1]}" if len(parts) == 2 else head
        number = rf"(?:{match[1]}|{_spoken(int(match[1]))})"
        tail = rf"[ -]?{match[2]}(?!\w)" if match[2] else r"(?![\w])(?![ -]?[a-z](?!\w))"
        found.append((key, rf"\b{head}[ -]?{number}{tail}"))
    return sorted(found, key=lambda pair: -len(pair[0]))


_ONES = "zero one two three four five six seven eight nine".split()
_TENS = "zero ten twenty thirty forty fifty sixty seventy eighty ninety".split()


def _spoken(number: int) -> str:
    return _TENS[number // 10] + (rf"[ -]{_ONES[number % 10]}" if number % 10 else "") if number >= 20 else str(number)
