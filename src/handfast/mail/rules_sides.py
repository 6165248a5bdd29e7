"""Sizes said as "4x5" and "6 by 8 by 4"."""

from __future__ import annotations

import re
from collections.abc import Iterator

from handfast.mail.amounts import Amount
from handfast.mail.found import Found
from handfast.mail.letter import Letter
from handfast.mail.numerals import numerals
from handfast.mail.quantities import quantity
from handfast.mail.work_mentions import Mention

_BY = re.compile(
    r"(?P<a>\d{1,3}(?:\.\d)?|[a-z]+(?:-[a-z]+)?) ?(?P<ua>'|ft\.?|feet|foot|\"|in\.?|m)? ?(?:x|by) ?(?P<b>\d{1,3}(?:\.\d)?|[a-z]+(?:-[a-z]+)?) ?(?P<ub>'|ft\.?|feet|foot|\"|in\.?|m)?(?: ?(?:x|by) ?(?P<c>\d{1,3}(?:\.\d)?|[a-z]+(?:-[a-z]+)?))? ?(?P<u>'|ft\b\.?|feet|foot|m\b)?"
)


def sides(letter: Letter, named: list[Mention], kinds: list[str]) -> Iterator[Found | None]:
    """Bales said "4x5" are wide by thick; a pile said with three numbers is wide, long and high."""
    for one in named:
        near = (max(0, one.start - 34), min(len(letter.low), one.end + 30))
        if one.kind == "round_bales":
            match = re.search(
                r"\b([3-6]) ?'? ?(?:x|by) ?([3-6](?:\.5)?)\b ?'?(?: ?ft| ?foot)?[ ]*(?:[a-z]+ )?$",
                letter.low[near[0] : one.start],
            ) or re.match(r"[ ,(:]*(?:\w+ )?([3-6]) ?'? ?(?:x|by) ?([3-6](?:\.5)?)\b", letter.low[one.end : near[1]])
            if match:
                base = near[0] if match.string == letter.low[near[0] : one.start] else one.end
                for group, side in ((1, "width"), (2, "diameter")):
                    yield _told(
                        letter,
                        f"work[{kinds.index(one.kind)}].{side}",
                        match[group] + " ft",
                        base + match.start(group),
                        base + match.end(group),
                        "bales said by width and thickness",
                    )
        elif one.kind == "brush":
            yield from _pile(letter, one, kinds.index(one.kind), near)


def _pile(letter: Letter, one: Mention, place: int, near: tuple[int, int]) -> Iterator[Found | None]:
    for match in _BY.finditer(letter.low, near[0], min(len(letter.low), one.end + 70)):
        if match["c"] is None:
            continue
        values = [numerals(match[name]) for name in "abc"]
        if not all(len(each) == 1 for each in values):
            continue
        unit = "m" if match["u"] == "m" else "ft"
        for name, side, number in zip("abc", ("width", "length", "height"), values, strict=True):
            yield _told(
                letter,
                f"work[{place}].{side}",
                f"{number[0].value:g} {unit}",
                match.start(name),
                match.end(name),
                "a pile said by three sides",
            )
        return


def _told(letter: Letter, place: str, entry: str, start: int, end: int, why: str) -> Found | None:
    number, unit = entry.split(" ")
    made = Amount(start, end, "length", float(number), float(number), unit, False, start)
    return quantity(letter, place, made, why)
