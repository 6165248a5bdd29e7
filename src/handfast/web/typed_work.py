"""The work as it is typed: "60 oak logs 12 in by 8 ft, about 400 lb", its parts in any order."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cache

from handfast.physics.wood import species, species_names
from handfast.quantities.reading import QuantityError, read_quantity

KINDS = {
    "logs": r"(?:saw ?)?logs?",
    "bundle": r"bundles?",
    "brush": r"brush(?: piles?)?|slash",
    "rock": r"rocks?|stones?|boulders?",
    "round_bales": r"round bales?",
    "square_bales": r"square bales?",
    "pallets": r"pallets?",
    "loose": r"loose(?: stuff| material)?|dirt|gravel|mulch|manure",
    "root_raking": r"root raking|raking roots",
    "stumps": r"stumps?",
}
ABOUT = r"(?:(?:about|around|roughly|approximately|maybe) )?"
NUMBER = r"\d[\d,]*(?:\.\d+)?(?: ?\d+/\d+)?"
SPAN = rf"{NUMBER}(?: ?(?:to|-) ?{NUMBER})?"
INCH, FOOT = r"(?:inches|inch|in\b|\"|″)", r"(?:foot|feet|ft\b|'|′)"
LENGTH = rf"{ABOUT}{SPAN}[ -]?(?:{FOOT}(?: ?{NUMBER} ?{INCH})?|{INCH}|mm\b|cm\b|m\b|yards?\b|yd\b)"
MASS = rf"{ABOUT}{SPAN} ?(?:lbs?\b|pounds?\b|kg\b|kilos?\b|tons?\b|tonnes?\b)"
FILL = r"(?:a|an|of|the|each|some|them|and|apiece|piece|wood|green|long|thick|through|across)\b"
PARTS = (
    ("pair", re.compile(rf"({LENGTH}) ?(?:by|x|×) ?({LENGTH})", re.I)),
    ("diameter", re.compile(rf"({LENGTH}) (?:thick|through|across|diameter|in diameter|wide)\b", re.I)),
    ("length", re.compile(rf"({LENGTH}) (?:long|length|lengths)\b", re.I)),
    ("mass", re.compile(rf"({MASS})", re.I)),
    ("volume", re.compile(rf"({ABOUT}{NUMBER} ?(?:yd3|cubic yards?|m3|cubic feet|ft3))", re.I)),
    ("count", re.compile(rf"({ABOUT}\d[\d,]*)(?= )(?! ?(?:in|ft|lb|kg|cm|mm|m|foot|feet|inch)\b)", re.I)),
    ("fill", re.compile(FILL, re.I)),
)
KIND = {kind: re.compile(rf"(?:{words})\b", re.I) for kind, words in KINDS.items()}


@cache
def _species() -> tuple[tuple[str, re.Pattern[str]], ...]:
    known = set(species_names()) - {"wood"}  # wood alone names no kind
    kinds = {name.casefold().split()[-1] for name in known if " " in name and "," not in name}
    names = sorted(known | {name for name in kinds - {"tree"} if _is_wood(name)}, key=lambda name: (-len(name), name))
    return tuple((name, re.compile(rf"{re.escape(name)}\b", re.I)) for name in names)


def _is_wood(name: str) -> bool:
    """Whether a word alone, such as "oak", stands for the kinds that bear it."""
    try:
        species(name)
    except KeyError:
        return False
    return True


def work_parts(text: str) -> tuple[dict[str, str], str]:
    """What a piece of a line says of work, and its words that say nothing of it.

    >>> work_parts("red oak logs 12 in by 8 ft")
    ({'species': 'red oak', 'kind': 'logs', 'diameter': '12 in', 'length': '8 ft'}, '')
    """
    found: dict[str, str] = {}
    rest: list[str] = []
    left = text.strip()
    while left:
        taken = _next(left, found)
        if not taken:
            word, _, _ = left.partition(" ")
            rest.append(word)
            taken = len(word)
        left = left[taken:].lstrip(" :,")
    if "kind" not in found and "species" in found:
        found["kind"] = "logs"
    whole = {"kind", "length", "diameter"} & set(found) or re.search(r"\b(?:each|apiece|a piece)\b", text)
    return (found, " ".join(rest)) if whole else ({}, text)


def _next(left: str, found: dict[str, str]) -> int:
    """Take what stands first; how many characters that was, 0 where nothing is known there."""
    for name, values, taken in _readings(left):
        if name == "fill":
            return taken
        if name == "pair":
            thick, long = sorted(values, key=_metres)
            if {"diameter", "length"} & set(found):
                continue
            found.update(diameter=thick, length=long)
            return taken
        if name not in found:
            found[name] = values[0]
            return taken
    return 0


def _readings(left: str) -> Iterator[tuple[str, tuple[str, ...], int]]:
    for kind, pattern in KIND.items():
        if match := pattern.match(left):
            yield "kind", (kind,), match.end()
    for name, pattern in _species():
        if match := pattern.match(left):
            yield "species", (name,), match.end()
            break
    for name, pattern in PARTS:
        if match := pattern.match(left):
            yield name, match.groups(), match.end()


def _metres(text: str) -> float:
    try:
        return read_quantity(plain(text.replace(",", ".")), "length").value
    except QuantityError:
        return 0.0


def plain(text: str) -> str:
    """A figure as the record reads it: "8-foot" and "12 inches" in its own spelling.

    >>> plain("8-foot"), plain("about 400 pounds")
    ('8 ft', 'about 400 lb')
    """
    text = re.sub(rf"(\d)[ -]?{FOOT} ?", r"\1 ft ", text, flags=re.I).strip()
    text = re.sub(rf"(\d)[ -]?{INCH}", r"\1 in", text, flags=re.I)
    text = re.sub(r"\b(?:pounds?|lbs)\b", "lb", text, flags=re.I)
    text = re.sub(r"\bkilos?\b", "kg", text, flags=re.I)
    text = re.sub(r"\b(?:around|roughly|approximately|maybe) ", "about ", text, flags=re.I)
    return re.sub(r"(?<=[\d ])-(?=\d)", " to ", text)
