"""How many pieces there are, and how much of what is loose."""

from __future__ import annotations

import re

from handfast.mail.amounts import Amount
from handfast.mail.found import Found
from handfast.mail.letter import Letter
from handfast.mail.quantities import quantity
from handfast.mail.work_mentions import Mention

EACH_TIME = re.compile(
    r"[a-z ]{0,14}\b(?:a day|per day|a week|per week|at a time|per load|per trip|an hour|a year|per year|each year|every (?:day|year|week)|a month|high|wide|deep|per acre)\b"
)


_PIECES = re.compile(
    r" (?:or so )?(?:(?P<any>of (?:them|em|'em)|total|altogether|in all|pieces)|(?P<logs>trees)|(?P<brush>piles))\b(?! (?:of|high|wide|per|a day))"
)


def _kind_of(noun: re.Match[str], named: list[Mention], kinds: list[str], at: int) -> str:
    """The kind of work that "of them", "trees" and "piles" are, named a little before."""
    before = [each for each in named if each.end <= at and at - each.end < 150]
    for group in ("logs", "brush"):
        if noun[group]:
            return (
                group if group in kinds and any(each.kind == group and each.start - at < 50 for each in named) else ""
            )
    if before and re.search(
        r"\b(?:levers?|remotes?|pins?|outlets?|tractors?|hoses?|lines|pairs?|hooks?|couplers?)\b",
        noun.string[before[-1].end : at],
    ):
        return ""
    return before[-1].kind if before and (len(kinds) == 1 or at - before[-1].end < 70) else ""


def _numbered(letter: Letter, one: Amount) -> bool:
    """A number that is a name's or a place's."""
    return (
        re.search(
            r"(?:[a-z]x|[x/.#$-]|\b(?:model|no\.?|number|hwy|route|by|the) ?)$",
            letter.low[max(0, one.start - 7) : one.start],
        )
        is not None
    )


def counted(letter: Letter, named: list[Mention], kinds: list[str], one: Amount) -> Found | None:
    """A number of pieces, where a bare number stands before the word for them."""
    if one.dimension != "count" or one.low != int(one.low) or one.low < 2:
        return None
    near = [each for each in named if one.end <= each.start <= one.end + 44]
    noun = _PIECES.match(letter.low, one.end)
    kind = _kind_of(noun, named, kinds, one.start) if noun else ""
    if kind and not EACH_TIME.match(letter.low, noun.end() if noun else 0) and not _numbered(letter, one):
        return quantity(letter, f"work[{kinds.index(kind)}].count", one, "a number of pieces")
    if re.match(r" (?:to|in|per) (?:a|each|the) ", letter.low[one.end : one.end + 8]) or re.match(
        r" each\b", letter.low[one.end : one.end + 6]
    ):
        return None
    if not near and re.match(r" or so[ ]*(?:[,.;\n]|$)", letter.low[one.end : one.end + 9]):
        close = [each for each in named if 0 <= one.start - each.end <= 9 and "," in letter.low[each.end : one.start]]
        if close:
            return quantity(letter, f"work[{kinds.index(close[0].kind)}].count", one, "a number of pieces")
    if not near or EACH_TIME.match(letter.low, near[0].end):
        return None
    between = letter.low[one.end : near[0].start]
    inner = [each for each in letter.amounts if one.end <= each.start < near[0].start]
    for each in reversed(inner):
        if each.dimension == "count":
            return None
        between = between[: each.start - one.end] + between[each.end - one.end :]
    between = re.sub(
        r"^ (?:or so|or thereabouts|more or less|odd)\b|\b(?:piles?|loads?|stacks?|rows?|heaps?) of\b", "", between
    )
    if not re.fullmatch(
        r"(?:[ -]+(?!(?:of|x|by|to|or|and|on|in|with|has|have|for|i|is|at|hp|acres?|move|moving|lift|pick|year|times?|percent|tires?|pins?|remotes?|levers?|string|point|wheel|functions?)\b)[a-z'-]+){0,4}[ -]*",
        between,
    ):
        return None
    if _numbered(letter, one) or re.search(
        r"\b(?:between|bundles? of) (?:about )?$", letter.low[max(0, one.start - 18) : one.start]
    ):
        return None
    return quantity(letter, f"work[{kinds.index(near[0].kind)}].count", one, "a number of pieces")


def volume(letter: Letter, named: list[Mention], kinds: list[str], one: Amount) -> Found | None:
    """A volume of wood or of loose stuff."""
    kind = "logs" if one.unit == "cord" else "loose"
    if (
        one.unit == "gal"
        or kind not in kinds
        or re.match(r"[ ]*(?:a|per|each|bucket)\b", letter.after(one.end, 8))
        or EACH_TIME.match(letter.low, one.end)
    ):
        return None
    near = [each for each in named if each.kind == kind and abs(each.start - one.end) < 60]
    return (
        quantity(letter, f"work[{kinds.index(kind)}].volume", one, "a volume of what is to be moved") if near else None
    )
