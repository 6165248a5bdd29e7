"""Numbers as people write them: figures, fractions, decimal commas, words."""

from __future__ import annotations

import re
from dataclasses import dataclass

ONES = {
    w: n
    for n, w in enumerate(
        "zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen seventeen eighteen nineteen".split()
    )
}
TENS = dict(zip("twenty thirty forty fifty sixty seventy eighty ninety".split(), range(20, 100, 10), strict=True))
ODD = {
    "fourty": 40,
    "fourtey": 40,
    "fourteen": 14,
    "forteen": 14,
    "twelv": 12,
    "twenny": 20,
    "fivteen": 15,
    "ninty": 90,
    "eigth": 8,
    "eigthy": 80,
}
SMALL = {**ONES, **TENS, **ODD}
GLYPHS = {"½": 0.5, "¼": 0.25, "¾": 0.75, "⅓": 1 / 3, "⅔": 2 / 3, "⅛": 0.125, "⅜": 0.375, "⅝": 0.625, "⅞": 0.875}
_WORD = "|".join(sorted((*SMALL, "hundred", "thousand", "dozen"), key=len, reverse=True))
WORDS = re.compile(
    rf"\b(?:half (?:a )?(?=dozen)|a (?=dozen|hundred|thousand|half))?(?:(?:{_WORD})\b(?:[ -]{{1,2}}(?:and )?(?=(?:{_WORD})\b))?){{1,8}}(?: and (?:a |one )?(?:half|quarter))?"
)
FIGURES = re.compile(
    r"(?<![\w.,/])(?<!\d[.,])(?:\d{1,3}(?:[,. ]\d{3})+(?!\d)(?:[.,]\d{1,3})?|\d{1,9}(?:[.,]\d{1,4})?|[.]\d{1,4})"
    r"(?:(?:[ -]\d{1,2}/\d{1,2}(?!\d))|/\d{1,2}(?!\d)|[ ]?[½¼¾⅓⅔⅛⅜⅝⅞])?(?: and (?:a |one )?(?:half|quarter))?(?!\d)"
    r"|[½¼¾⅓⅔⅛⅜⅝⅞]"
)
GERMAN = re.compile(r"(?<![\d,.])\d{1,3},\d{1,2}(?![\d,])\s?(?:m|cm|t|to|kg|kw|l|ha|km|meter|ps)\b")


@dataclass(frozen=True)
class Numeral:
    """A number and where it stands; whether it was written as one word or figure that may count things."""

    start: int
    end: int
    value: float
    words: bool
    raw: str


def numerals(low: str) -> list[Numeral]:
    """Every number of a plain text, in order.

    >>> [one.value for one in numerals("twenty-four horse, 2 1/2 ft, a dozen, twenty-one ninety")]
    [24.0, 2.5, 12.0, 2190.0]
    """
    german = GERMAN.search(low) is not None
    found = []
    for match in FIGURES.finditer(low):
        value = figure(match.group(), german)
        if value is not None:
            found.append(Numeral(match.start(), match.end(), value, False, match.group()))
    for match in WORDS.finditer(low):
        text = match.group().rstrip(" -")
        if re.search(r"\b(?:couple|few|several)(?: of)? $", low[max(0, match.start() - 12) : match.start()]):
            continue  # no number
        for start, end, value in worded(text):
            found.append(Numeral(match.start() + start, match.start() + end, value, True, text[start:end]))
    return sorted(found, key=lambda one: one.start)


def figure(text: str, german: bool = False) -> float | None:
    """The value of figures, None where they make none.

    >>> figure("1,250"), figure("1,5"), figure("1.250", german=True), figure("7/8"), figure("3½")
    (1250.0, 1.5, 1250.0, 0.875, 3.5)
    """
    extra = 0.0
    for words, share in (("half", 0.5), ("quarter", 0.25)):
        if text.endswith(words):
            extra, text = share, re.sub(r" and (?:a |one )?\w+$", "", text)
    if text and text[-1] in GLYPHS:
        extra, text = GLYPHS[text[-1]], text[:-1].strip()
    over = re.search(r"(?:^|[ -])(\d{1,4})/(\d{1,2})$", text)
    if over:
        if int(over[2]) == 0:
            return None
        extra, text = int(over[1]) / int(over[2]), text[: over.start()]
    if not text:
        return extra
    whole = _whole(text, german)
    return None if whole is None else whole + extra


def _whole(text: str, german: bool) -> float | None:
    """The value of figures without a fraction; None where they make none, as in "1.2/1 1/2"."""
    text = text.replace(" ", "")
    if german and re.fullmatch(r"\d{1,3}(?:\.\d{3})+(?:,\d+)?", text):
        return float(text.replace(".", "").replace(",", "."))
    if re.fullmatch(r"\d{1,3}(?:,\d{3})+(?:\.\d+)?", text):
        return float(text.replace(",", ""))
    if text.count(".") > 1:
        text = text.replace(".", "")
    try:
        return float(text.replace(",", "."))
    except ValueError:
        return None


def worded(text: str) -> list[tuple[int, int, float]]:
    """Numbers in words within a run of such words: start, end, value of each.

    >>> [value for _, _, value in worded("two hundred and fifty")], [v for _, _, v in worded("two twelve")]
    ([250.0], [2.0, 12.0])
    """
    tokens = [(m.start(), m.end(), m.group()) for m in re.finditer(r"[a-z]+", text)]
    half = 0.0
    match = re.search(r"(?:and (?:a |one )?|\ba )(half|quarter)$", text)
    if match:
        half = 0.5 if match[1] == "half" else 0.25
        tokens = [one for one in tokens if one[0] < match.start()]
    start, end = (tokens[0][0], len(text)) if tokens else (0, len(text))
    words = [word for _, _, word in tokens if word not in ("and", "a")]
    value = _spoken(words)
    if value is not None:
        return [(start, end, value + half)]
    apart = _apart([one for one in tokens if one[2] in SMALL])
    if half and apart:
        last = apart.pop()
        apart.append((last[0], end, last[2] + half))
    return apart


def _spoken(words: list[str]) -> float | None:
    """One number said in words; None where the words are several numbers side by side."""
    if words == ["half", "dozen"]:
        return 6.0
    total, group, last = 0.0, 0.0, 100.0  # last: the size of the word before within a group
    paired = False
    for word in words:
        if word == "dozen":
            return (total + group or 1.0) * 12 if word == words[-1] else None
        if word == "hundred":
            group, last = (group or 1.0) * 100, 100.0
        elif word == "thousand":
            total, group, last = total + (group or 1.0) * 1000, 0.0, 100.0
        else:
            number = float(SMALL.get(word, -1))
            if number < 0:
                return None
            if (number < 10 <= last and last % 10 == 0) or last >= 100:
                group += number
            elif number >= 10 and not paired and (group >= 10 or group in _HUNDREDS) and total == 0 and group < 100:
                group, paired = group * 100 + number, True
            else:
                return None
            last = number
    return total + group


_HUNDREDS = frozenset((9.0, 8.0, 7.0, 6.0, 5.0))  # "nine-forty" is 940; "two twelve" is two of twelve


def _apart(tokens: list[tuple[int, int, str]]) -> list[tuple[int, int, float]]:
    found: list[tuple[int, int, float]] = []
    for start, end, word in tokens:
        number = float(SMALL[word])
        if found and number < 10 and found[-1][2] >= 20 and found[-1][2] % 10 == 0 and start - found[-1][1] == 1:
            found[-1] = (found[-1][0], end, found[-1][2] + number)
        else:
            found.append((start, end, number))
    return found
