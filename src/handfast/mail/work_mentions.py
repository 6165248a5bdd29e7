"""Where a letter names what is to be moved."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache

from handfast.mail.letter import Letter
from handfast.mail.species import trees
from handfast.mail.topics import TOOLS, Topic, topics

_VERB = re.compile(
    r"\b(?:mov(?:e|es|ing)|pick(?:s|ing)?|lift(?:s|ing)?|haul(?:s|ing)?|clear(?:s|ing|ed)?|drag(?:s|ging)?|stack(?:s|ing)?|load(?:s|ing)?|handl(?:e|es|ing)|carry(?:ing)?|grab(?:s|bing)?|clean(?:s|ing)?|pil(?:e|es|ing)|tak(?:e|es|ing)|deal(?:s|ing)?|pull(?:s|ing)?|rak(?:e|es|ing)|skid(?:s|ding)?|feed(?:s|ing)?|unload(?:s|ing)?|dig(?:s|ging)?|remov(?:e|es|ing)|work|job|jobs|mostly|mainly|spread(?:s|ing)?|scoop(?:s|ing)?|get(?:ting)? (?:rid|out)|shift(?:s|ing)?|burn(?:s|ing)?|hoist(?:s|ing)?|cut(?:s|ting)?|buck(?:s|ing)?|want|need|use|for|lots? of|loads? of|tons of|piles? of|bunch of|some|plenty|grappl(?:e|es|ing)|gather(?:ing)?|transport(?:ing)?|push(?:ing)?|bring(?:ing)?|place|placing|build(?:ing)?|heavy|weigh\w*|biggest|each|got|throws? up|grows?|coming up|picking|covered|heave\w*)\b"
)
_HARD = frozenset(("loose", "rock", "brush", "bundle"))
_GROUND = re.compile(r"[ ]+(?:road|driveway|drive|lane|path|pad|lot|floor|pile is|ground|base)\b")
_NO_WORK = re.compile(
    r"\b(?:on|per|the shipping|ships? on|shipped on|from|by|in|near|along|behind|past|under|over|off) (?:a |the |some |my )?$"
)


@dataclass(frozen=True)
class Mention:
    """A kind of work where it is named."""

    start: int
    end: int
    kind: str


@lru_cache(maxsize=4)
def _mentions(letter: Letter) -> tuple[Mention, ...]:
    found = [
        Mention(one.start, one.end, one.name) for one in topics(letter) if one.group == "work" and _is_work(letter, one)
    ]
    found += _single_logs(letter)
    found += _timber(letter, found)
    if any(one.kind == "bundle" for one in found):
        found += [
            Mention(match.start(), match.end(), "bundle")
            for match in re.finditer(r"\b(?:posts|rails|slabs)\b(?! (?:are|is) \d+ (?:feet|ft) apart)", letter.low)
            if letter.own_wish(match.start())
            and not any(one.start < match.end() and match.start() < one.end for one in found)
        ]
    if re.search(r"\b(?:hay|bales?|straw|squares)\b", letter.low):
        found += [
            Mention(match.start(), match.end(), "round_bales")
            for match in re.finditer(r"\b(?<=\d )rounds\b|\brounds(?= (?:are|run|weigh|go))|\bround ones\b", letter.low)
            if letter.own_wish(match.start())
        ]
    return tuple(sorted(found, key=lambda one: one.start))


def mentions(letter: Letter) -> list[Mention]:
    """Kinds of work that the writer has to do, where each is named, in order."""
    return list(_mentions(letter))


_FAR = 400  # characters of a sentence on either side of a word that are looked at


def _is_work(letter: Letter, one: Topic) -> bool:
    text = letter.low[one.start : one.end]
    if not letter.own_wish(one.start) or _GROUND.match(letter.low, one.end):
        return False
    if re.search(r"\b(?:pallets?|totes?) of $", letter.low[max(0, one.start - 12) : one.start]):
        return False
    start, end = letter.sentence(one.start)
    start, end = max(start, one.start - _FAR), min(end, one.end + _FAR)
    sentence = letter.low[start:end]
    head = letter.low[max(start, one.start - 24) : one.start]
    if text in ("pallet", "stump", "rock", "stone", "poles", "timber", "bush") and not re.search(
        r"\d|\b(?:a|one|the|big|each|per|lifting|moving|picking|hauling)\b", head
    ):
        return False
    if one.name == "pallets" and re.search(
        r"\b(?:shipment|scheduled|invoice|driver will|tracking|your order)\b", sentence
    ):
        return False
    if one.name == "pallets" and re.search(
        r"\b(?:on|per|by the|shipped|delivered|comes?)(?: on)? (?:a |the )?(?:\w+ )?$", head
    ):
        return False
    if one.name in _HARD or text in ("poles", "timber"):
        if _NO_WORK.search(head) or re.search(
            r"\b(?:box|full of|filled with|weighted with|drum of|bucket of|with|barrel of)(?: of)? (?:[a-z]+ )?$", head
        ):
            return False
        others = any(
            each.group == "work" and each.name not in _HARD and start <= each.start < end for each in topics(letter)
        )
        return others or bool(_VERB.search(sentence)) or _amount_near(letter, one)
    return not re.search(r"\b(?:your|rated for|made for|says? for|for handling) (?:[a-z]+ )?$", head)


def _amount_near(letter: Letter, one: Topic) -> bool:
    return any(
        (
            one.start - 30 <= each.end <= one.start
            or (one.end <= each.start <= one.end + 56 and each.start < letter.sentence(one.start)[1])
        )
        and each.dimension in ("mass", "length", "volume")
        for each in letter.amounts
    )


def _single_logs(letter: Letter) -> list[Mention]:
    """One log counts where its size, its tree or its weight stands beside it."""
    found = []
    for match in re.finditer(r"\blog\b", letter.low):
        if re.match(TOOLS, letter.low[match.end() : match.end() + 14]) or not letter.own_wish(match.start()):
            continue
        sized = any(
            match.start() - 26 <= each.end <= match.start() and each.dimension in ("mass", "length")
            for each in letter.amounts
        )
        tree = any(match.start() - 3 <= end <= match.start() for _, end, _, _ in trees(letter))
        if re.search(r"\b(?:how (?:heavy|much)|what) (?:is|does|do|would) [^.?]*$", letter.before(match.start(), 60)):
            continue
        if sized or tree or re.match(r" (?:is|weigh|that|would be|about)", letter.low[match.end() : match.end() + 9]):
            found.append(Mention(match.start(), match.end(), "logs"))
    return found


def _two_sizes(letter: Letter, at: int) -> bool:
    """A tree with a thickness and a length behind it: "spruce, 8 inch, 12 foot"."""
    near = [one.unit for one in letter.amounts if one.dimension == "length" and at <= one.start < at + 30]
    return ("in" in near and "ft" in near) or ("cm" in near and "m" in near)


def _alone(letter: Letter, at: int) -> bool:
    """A sentence of trees alone: "Hickory and white oak.", with a thickness behind it."""
    start, end = letter.sentence(at)
    text = letter.low[start:end]
    for first, last, _, _ in trees(letter):
        if start <= first and last <= end:
            text = text.replace(letter.low[first:last], " ")
    follows = any(one.dimension == "length" and end <= one.start < end + 30 for one in letter.amounts)
    return (
        follows
        and re.fullmatch(r"(?:and|or|some|mostly|mainly|mixed|a little|few|trees?|wood|[ ,.&\n])*", text) is not None
    )


def _timber(letter: Letter, there: list[Mention]) -> list[Mention]:
    """Trees that are taken out, though nobody says "logs"."""
    found = []
    for start, end, _, plural in trees(letter):
        if not letter.own_wish(start) or any(
            one.kind in ("logs", "brush", "stumps", "loose", "bundle", "pallets")
            and abs(one.start - end) < 30
            and not (one.kind == "brush" and re.search(r"\d", letter.low[min(end, one.start) : max(end, one.start)]))
            for one in there
        ):
            continue
        first, last = letter.sentence(start)
        near = letter.low[max(first, start - 40) : min(last, end + 46)]
        sized = any(
            each.dimension == "length" and (start - 20 <= each.end <= start or end <= each.start <= end + 30)
            for each in letter.amounts
        )
        verb = re.search(
            r"\b(?:tak(?:e|ing) (?:out|down)|moving|move|lift\w*|haul\w*|skid\w*|drag\w*|cut(?:ting)?|pick\w*|logging|load\w*|handl\w*|stack\w*|carry\w*|mostly|clear\w*|cords?|(?:must|need to|have to|want to|got to) take)\b",
            letter.low[first:last],
        )
        if (
            (sized and plural)
            or re.search(r"\b(?:stand|patch|acres?|grove|row) of $", letter.low[max(0, start - 12) : start])
            or _two_sizes(letter, end)
            or re.match(r"[a-z ]{0,24}\b\d+ trees\b", letter.low[end : end + 40])
            or _alone(letter, start)
            or (verb and (sized or plural or re.match(r" (?:trees?|wood)\b", letter.low[end : end + 7])))
            or (sized and re.search(r"\b(?:thick|across|diameter|dia|through|logs?|long)\b", near))
        ):
            found.append(Mention(start, end, "logs"))
    return found
