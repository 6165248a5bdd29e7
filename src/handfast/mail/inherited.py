"""Bare numbers that a word or an amount beside them gives a unit: "6 ft tall and 10 wide", "it weighs 5800"."""

from __future__ import annotations

import re
from dataclasses import replace

from handfast.mail.amounts import Amount

_SIDE = re.compile(
    r"[ -]*(?:or so )?(?:wide|long|tall|high|deep|thick|thk|across|through|in diameter|on the (?:small|big|butt|fat|large) end|at the (?:butt|stump|small end|big end))\b(?! (?:time|ago|bales?))"
)
_WEIGHS = re.compile(
    r"\b(?:weigh(?:s|ed|ing)?|tips the scales? at|scaled(?: out)? at)(?: in| it| that)?(?: at| out at)?(?: (?:about|around|roughly|maybe|close to|only|just|over|under|right at))* ?$"
)
_LIFT_AT = re.compile(r" ?(?:at|@) (?:the )?(?:(?:loader |pivot |bucket |hinge )?pins?\b|500 ?mm|50 ?cm)")
_AT_LIFT = re.compile(
    r"\b(?:at|@) (?:the )?(?:(?:loader |pivot |bucket )?pins?|500 ?mm|50 ?cm)(?: (?:ahead|out|forward|in front))?[ :,=]*(?:it's |is |about )?$"
)
_NO_WEIGHT = re.compile(
    r" ?(?:hours|hrs|dollars|bucks|\$|acres|rpm|feet|times|years|%|gallons|yards|cords|stones?\b|grand|k\b|tons?\b)"
)
NEAR = 44


def with_units(low: str, found: list[Amount]) -> list[Amount]:
    """The amounts, where a bare number takes the unit that stands beside it.

    >>> from handfast.mail.amounts import amounts
    >>> [one.entry for one in with_units("6 ft tall and 10 wide", amounts("6 ft tall and 10 wide"))]
    ['6 ft', '10 ft']
    """
    made: list[Amount] = []
    for at, one in enumerate(found):
        given = _given(low, one, found, at) if one.dimension == "count" else one
        before = made[-1] if made else None
        if (
            given is not one
            and before is not None
            and before.dimension == "count"
            and before.low < given.low
            and re.fullmatch(r" ?(?:-|to|or) ?", low[before.end : one.start])
        ):
            given = replace(given, start=before.start, low=before.low, number=before.number)
            made.pop()
        made.append(given)
    return made


def _given(low: str, one: Amount, found: list[Amount], at: int) -> Amount:
    head = low[max(0, one.start - 60) : one.start]
    if _SIDE.match(low, one.end):
        unit = _side_unit(low, one, found, at)
        return replace(one, dimension="length", unit=unit) if unit else one
    if one.low >= 100 and not _NO_WEIGHT.match(low, one.end):
        lift = _LIFT_AT.match(low, one.end) or _AT_LIFT.search(head)
        if _WEIGHS.search(head) or (lift and one.low >= 200):
            return replace(one, dimension="mass", unit=_mass_unit(found))
    return one


def _side_unit(low: str, one: Amount, found: list[Amount], at: int) -> str:
    for other in reversed(found[max(0, at - 2) : at]):
        between = low[other.end : one.start]
        if other.dimension == "length" and len(between) <= NEAR and not re.search(r"[.;\n]", between):
            return other.unit if other.unit in ("ft", "in", "m", "cm", "mm") else ""
    end = re.match(r"[ -]*(?:or so )?(?:thick|across|through|in diameter|on the|at the)", low[one.end : one.end + 24])
    return "in" if end and 3 <= one.low <= 60 and not any(each.unit in ("cm", "m") for each in found) else ""


def _mass_unit(found: list[Amount]) -> str:
    units = [one.unit for one in found if one.dimension == "mass" and one.unit in ("lb", "kg")]
    metric = any(one.unit in ("kW", "cm", "bar", "L/min") for one in found)
    return max(set(units), key=units.count) if units else "kg" if metric else "lb"
