"""Amounts: numbers with their units, ranges, "about"; each with the characters that say it."""

from __future__ import annotations

import re
from dataclasses import dataclass

from handfast.mail.numerals import Numeral, numerals

_NOT_UNIT = r"(?![ ]+(?:the|a|an|my|our|front|back|all|total|there|this|that|stock|one|each|it|need|good|and out|case|between|by)\b)"
_END = r"(?![a-z0-9])"
# symbol that the record reads: how it is written behind a number
_SPELT: dict[str, tuple[tuple[str, str], ...]] = {
    "power": (
        (
            "hp",
            rf"(?:brake |engine |gross )?(?:h\.?p\.?{_END}|hps{_END}|bhp{_END}|hors(?:e)?[ -]?power{_END}|horspow\w*|horses?{_END}|ponies{_END})",
        ),
        ("PS", rf"(?:ps{_END}|pferd\w*)"),
        ("kW", rf"(?:kw|kilowatts?){_END}"),
    ),
    "flow": (
        ("gpm", rf"(?:u\.?s\.? )?(?:g\.?p\.?m\.?{_END}|gal(?:lon)?s?\.?[ ]?(?:/|per|a)[ ]?min(?:ute)?s?\.?{_END})"),
        ("L/min", rf"(?:l\.?p\.?m\.?{_END}|l(?:it(?:er|re)s?)?[ ]?(?:/|per|a|pro)[ ]?min(?:ute)?\.?{_END})"),
    ),
    "pressure": (
        ("psi", rf"(?:p\.?s\.?i\.?{_END}|pounds per square inch|lbs?\.? per sq\w*\.? in\w*)"),
        ("bar", rf"bars?{_END}"),
        ("MPa", rf"mpa{_END}"),
    ),
    "hours": (("h", rf"(?:hours?|hrs?\.?|h|stunden){_END}"),),
    "slope": (
        ("%", rf"(?:%|per[ ]?cent{_END}|pct\.?{_END}|prozent{_END})"),
        (
            "deg",
            rf"(?:degrees?{_END}|degs?\.?{_END}|°(?![ ]?[cf]\b)|grad{_END})(?![ ]*(?:f|c|fahrenheit|celsius|outside|out)\b)",
        ),
    ),
    "volume": (
        ("cord", rf"(?:full |face )?(?:cords?){_END}"),
        (
            "yd3",
            rf"(?:cu(?:bic)?\.?[ ]?(?:yards?|yds?)|cy|yards? of(?= (?:mulch|gravel|dirt|top|sand|stone|compost|manure|chips|wood|loam|fill|it)))\.?{_END}",
        ),
        ("ft3", rf"cu(?:bic)?\.?[ ]?(?:feet|foot|ft)\.?{_END}"),
        ("m3", rf"(?:m3|m³|cubic met(?:er|re)s?|kubikmeter|festmeter|fm){_END}"),
        ("gal", rf"gal(?:lon)?s?\.?{_END}"),
    ),
    "mass": (
        (
            "lb",
            rf"(?:#(?!\d)|lbs?\.?{_END}|lds{_END}|lb's{_END}|pounds?{_END}|punds?{_END}|pouns?{_END}|pnds?{_END}|pounders?{_END})",
        ),
        ("kg", rf"(?:kgs?\.?|kilos?|kilogram(?:me)?s?|kilogramm){_END}"),
        ("t", rf"(?:tonnes?|metric tons?|t){_END}"),
        ("short ton", rf"(?:tons?){_END}"),
    ),
    "length": (
        ("in", rf"(?:\"|''|inche?s?{_END}|inchs{_END}|ins{_END}|in\.(?![a-z])|in{_END}{_NOT_UNIT}|zoll{_END})"),
        ("ft", rf"(?:'(?![a-z'])|feet{_END}|foot{_END}|foots{_END}|footers?{_END}|ft\.?{_END}|fts{_END}|feets?{_END})"),
        ("yd", rf"(?:yards?|yds?\.?){_END}(?! of)"),
        ("mi", rf"miles?{_END}"),
        ("km", rf"(?:km|kilomet(?:er|re)s?){_END}"),
        ("mm", rf"(?:mm|millimet(?:er|re)s?){_END}"),
        ("cm", rf"(?:cm|centimet(?:er|re)s?|zentimeter){_END}"),
        ("m", rf"(?:m|met(?:er|re)s?){_END}"),
    ),
}
UNITS = [
    (dimension, symbol, re.compile(rf"[ ]?-?[ ]?(?:{spelt})"))
    for dimension, rows in _SPELT.items()
    for symbol, spelt in rows
]
MONEY_BEFORE = re.compile(r"(?:[$€£]|\b(?:usd|eur|dollars?)[ ])[ ]?$")
MONEY_AFTER = re.compile(rf"[ ]?(?:dollars?|bucks?|usd|eur(?:os?)?|[$€£]|k{_END}(?![ -]?w)|grand{_END})")
ABOUT = re.compile(
    r"(?:\b(?:about|abt|aboot|arou?nd|roughly|approx(?:imately)?\.?|appr?ox\.?|ca\.?|circa|maybe|probably|prob|somewhere (?:around|near)|close to|near(?:ly)?|almost|just (?:under|over)|a little (?:over|under)|right around|say|call it|guess(?:ing)?|i think|i'd say|up to|etwa)[ ]+|~[ ]?)(?:a |an |the |it's |is |was |at |its )?$"
)
AFTER_ABOUT = re.compile(
    r"[ ]?(?:ish\b|or so\b|or thereabouts|give or take|roughly\b|more or less|i think\b|i guess\b|i believe\b)"
)
_SEP = re.compile(r"[ ]*(?:-|to|or|\.\.+|til|thru|through|bis)[ ]*")
_AND = re.compile(r"[ ]*and[ ]*")
_BETWEEN = re.compile(r"\b(?:between|from)[ ]+$")
_BARE = re.compile(
    r"\b(?:(?:a|one)[ -]+)?(?P<unit>foot|yard|ton|mile)(?P<half>[ -]and[ -]a[ -](?:half|quarter))?(?=[ -]+(?:thick|across|through|in diam|diam|dia\b|wide|long|apiece|each|or so (?:thick|across)))"
    r"|\b(?P<share>half|quarter)(?:[ -](?:a|of a))?[ -](?P<of>ton|mile|foot|yard)\b|\b(?:a|one) (?P<one>ton|mile|foot)\b(?P<more> and a half)?"
)


@dataclass(frozen=True)
class Amount:
    """A quantity as written: its dimension, ends in its unit, what stands for it in the record."""

    start: int
    end: int
    dimension: str
    low: float
    high: float
    unit: str
    about: bool
    number: int  # where the number itself begins

    @property
    def entry(self) -> str:
        """As the record reads it."""
        unit = f" {self.unit}" if self.unit else ""
        if self.low != self.high:
            return f"{self.low:.10g} to {self.high:.10g}{unit}"
        return f"{'about ' if self.about else ''}{self.low:.10g}{unit}"


def amounts(low: str) -> list[Amount]:
    """Every amount of a plain text, in order; a bare number is of the dimension "count".

    >>> [one.entry for one in amounts("about 24 horse, 10 to 12 in, 5'6\\", foot thick")]
    ['about 24 hp', '10 to 12 in', '66 in', '1 ft']
    """
    numbers = numerals(low)
    found: list[Amount] = []
    at = 0
    while at < len(numbers):
        one, used = _amount(low, numbers, at)
        found.append(one)
        at += used
    spans = [(one.start, one.end) for one in found]
    found += [one for one in _bare(low) if not any(s < one.end and one.start < e for s, e in spans)]
    return sorted(found, key=lambda one: one.start)


def unit_at(low: str, at: int) -> tuple[str, str, int] | None:
    """The unit that stands behind a number: dimension, symbol, where it ends."""
    if at >= len(low):
        return None
    for dimension, symbol, pattern in UNITS:
        match = pattern.match(low, at)
        if match:
            return dimension, symbol, match.end()
    return None


def _amount(low: str, numbers: list[Numeral], at: int) -> tuple[Amount, int]:
    first = numbers[at]
    unit = unit_at(low, first.end)
    after = unit[2] if unit else first.end
    following = numbers[at + 1] if at + 1 < len(numbers) else None
    if unit and unit[1] == "ft" and following is not None:
        feet = _feet_inches(low, first, after, following)
        if feet is not None:
            return feet, 2
    if following is not None and _is_range(low, first, after, following):
        other = unit_at(low, following.end)
        if other and (unit is None or unit[:2] == other[:2]) and first.value < following.value:
            return _made(low, first, other, following.value, other[2]), 2
        if (
            unit is None
            and other is None
            and (_money(low, following) or _spent(low, first))
            and first.value < following.value
        ):
            return _money_amount(low, first, following), 2
    if unit is None:
        return (_money_amount(low, first, first) if _money(low, first) else _count(low, first)), 1
    return _made(low, first, unit, first.value, after), 1


def _is_range(low: str, first: Numeral, after: int, following: Numeral) -> bool:
    between = low[after : following.start]
    if len(between) > 9:
        return False
    if _SEP.fullmatch(re.sub(r"(?:about |maybe |even |\$)", "", between)):
        return True
    return bool(_AND.fullmatch(between) and _BETWEEN.search(low, max(0, first.start - 12), first.start))


def _feet_inches(low: str, first: Numeral, after: int, following: Numeral) -> Amount | None:
    gap = low[after : following.start]
    if not re.fullmatch(r"[ ]?(?:-|,|and)?[ ]?", gap) or following.value >= 12 or first.value > 60:
        return None
    unit = unit_at(low, following.end)
    bare = low[first.end : after].strip() == "'" and gap.strip() == "" and len(gap) <= 1
    bare = bare or bool(
        re.match(
            r" (?:between|wide|clear|tall|high|long|thick|across|through|deep)\b|[,.;\n]|$", low[following.end :][:9]
        )
        and gap == " "
        and not following.words
    )
    spoken = first.words and following.words and gap == " " and first.value < 12
    if (unit is None and not (bare or spoken)) or (unit is not None and unit[1] != "in"):
        return None
    end = unit[2] if unit else following.end
    inches = first.value * 12 + following.value
    about = _about(low, first.start, end)
    return Amount(first.start, end, "length", inches, inches, "in", about, first.start)


def _about(low: str, start: int, end: int) -> bool:
    before = low[max(0, start - 28) : start]
    return bool(ABOUT.search(before) or AFTER_ABOUT.match(low, end))


def _made(low: str, first: Numeral, unit: tuple[str, str, int], high: float, end: int) -> Amount:
    about = _about(low, first.start, end)
    return Amount(first.start, end, unit[0], first.value, high, unit[1], about, first.start)


def _count(low: str, one: Numeral) -> Amount:
    return Amount(one.start, one.end, "count", one.value, one.value, "", _about(low, one.start, one.end), one.start)


def _money(low: str, one: Numeral) -> bool:
    return bool(MONEY_BEFORE.search(low, max(0, one.start - 9), one.start) or MONEY_AFTER.match(low, one.end))


def _spent(low: str, one: Numeral) -> bool:
    return (
        one.value >= 300
        and re.search(
            r"\b(?:budget|spend)(?: is| of|:)?(?: about| around| between| from)? ?$",
            low[max(0, one.start - 26) : one.start],
        )
        is not None
    )


def _money_amount(low: str, first: Numeral, last: Numeral) -> Amount:
    sign = MONEY_BEFORE.search(low, max(0, first.start - 9), first.start)
    start = sign.start() if sign else first.start
    end, factor = last.end, 1.0
    for _ in range(2):
        after = MONEY_AFTER.match(low, end)
        if after:
            end = after.end()
            factor *= 1000.0 if after.group().strip() in ("k", "grand") else 1.0
    about = _about(low, start, end)
    return Amount(start, end, "money", first.value * factor, last.value * factor, "", about, first.start)


_NAMES = {"foot": ("length", "ft"), "yard": ("length", "yd"), "ton": ("mass", "short ton"), "mile": ("length", "mi")}


def _bare(low: str) -> list[Amount]:
    found = []
    for match in _BARE.finditer(low):
        name = match["unit"] or match["of"] or match["one"]
        half = match["half"] or match["more"]
        value = {"half": 0.5, "quarter": 0.25}.get(match["share"] or "", 1.0)
        value += (0.25 if half.endswith("quarter") else 0.5) if half else 0.0
        dimension, unit = _NAMES[name]
        if match["share"] and low[match.end() : match.end() + 5].startswith((" and", "-and")):
            continue
        about = _about(low, match.start(), match.end())
        found.append(Amount(match.start(), match.end(), dimension, value, value, unit, about, match.start()))
    return found
