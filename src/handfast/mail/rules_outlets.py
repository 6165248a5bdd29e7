"""Spare oil: functions in front, remotes behind, outlets in the middle, lines at the loader valve."""

from __future__ import annotations

import re
from collections.abc import Iterator

from handfast.mail.found import Found
from handfast.mail.letter import Letter
from handfast.mail.numerals import numerals
from handfast.mail.rules_words import denial_start, says_there

_N = r"(?P<n>\d{1,2}|no|zero|one|two|three|four|five|six|seven|eight|a|an|single|dual|double|twin|a single|another|both|none)"
_OUTLETS: tuple[tuple[str, str, str], ...] = (
    (
        "machine.front_functions",
        r"(?:(?:third|thrd|thrid)[- ]functions?|3rd[- ]functions?|3rd func\w*|third func\w*|3rd fxn|(?:front|loader) (?:aux\w*(?: hydraulics?)?|remotes?|outlets?|spare functions?|functions?|hydraulic (?:outlets?|couplers|ports))|spare functions? (?:up |at the |on the )?(?:front|loader)|aux\w* hydraulics? (?:up |at the |on the )?(?:front|loader))(?: (?:valve|kit|hydraulics?|plumbed|installed|lines?)){0,2}",
        "words for spare oil at the front",
    ),
    (
        "machine.rear_remotes",
        r"(?:(?:sets? of |pairs? of |set |pair )?(?:rear|back|hydraulic|hyd)[- ]?(?:hydraulic |hyd\.? |aux\w* )?(?:remotes?|outlets|scvs?|spools?|aux\w*)|(?:sets? of |pairs? of )?(?:remotes?|scvs?)(?: (?:at|on|in|out) (?:the )?(?:back|rear))?|(?:sets? of |pairs? of )?(?:hydraulic )?(?:outlets|couplers|remotes) (?:at|on|in|out) (?:the )?(?:back|rear))(?: (?:valves?|outlets?))?",
        "words for remotes behind",
    ),
    (
        "machine.mid_outlets",
        r"(?:sets? of |pairs? of )?mid[- ]?(?:mount )?(?:hydraulic )?(?:outlets?|ports?|remotes?|valves?|scvs?|couplers?)",
        "words for outlets in the middle",
    ),
)
_NUMBER = {
    "no": 0,
    "none": 0,
    "zero": 0,
    "a": 1,
    "an": 1,
    "single": 1,
    "a single": 1,
    "one": 1,
    "dual": 2,
    "double": 2,
    "twin": 2,
    "two": 2,
    "three": 3,
    "four": 4,
    "five": 5,
    "six": 6,
    "seven": 7,
    "eight": 8,
    "both": 2,
}


def outlets(letter: Letter) -> Iterator[Found]:
    """Spare functions in front, remotes behind, outlets in the middle, and lines at the loader valve."""
    for place, words_, why in _OUTLETS:
        for match in re.finditer(rf"\b{words_}(?!\w)", letter.low):
            at = match.start()
            if letter.own(at) and not says_there(letter, at) and not _part_of_sale(letter, match):
                found = _outlet(letter, place, match, why)
                if found is not None:
                    yield found
    yield from _nothing_spare(letter)
    yield from _lines(letter)


def _part_of_sale(letter: Letter, match: re.Match[str]) -> bool:
    """A kit that is asked for or priced is not one that is there."""
    head, tail = letter.before(match.start(), 48), letter.after(match.end(), 34)
    return bool(
        re.search(
            r"\b(?:need|want|add|adding|install|plumb|run|fit|quote|price|cost|buy|get|order|sell|require[sd]?|put (?:in|on)|includ\w+|how much|interested in|for)(?: (?:me|us|it|on|is|for|with))?(?: (?:a|an|the|your|some|that|to|for|one|have|of))*[ ]*$",
            head,
        )
        or re.match(r"[a-z ]{0,20}\bwould (?:be (?:nice|good|great|handy|ideal|better|a)|help)\b", tail)
        or re.match(r"[ ]*(?:kits? )?(?:cost|price|would|needed|required|from you|do you|run|runs)\b", tail)
    )


_NOT_THERE = re.compile(
    r"[a-z' ]{0,26}\b(?:isn't|isnt|is not|ain't|aint|was never|not) (?:on|fitted|installed|there|plumbed|hooked|in|present)\b"
)


def _outlet(letter: Letter, place: str, match: re.Match[str], why: str) -> Found | None:
    head = letter.low[max(letter.clause(match.start())[0], match.start() - 30) : match.start()]
    number = re.search(
        rf"\b{_N}(?: (?:rear|extra|spare|sets?|pairs?|of|working|factory|hydraulic|hyd|the|double[- ]acting|front|set))*[ -]+$",
        head,
    )
    tail = letter.after(match.end(), 18)
    behind = re.match(
        r"[ ]?(?:[:=]|-|x|are|is)?[ ]?(?P<n>\d|none|zero|one|two|three|no\b)\b(?! ?(?:hp|psi|gpm|lb|ft|in|point|pt|way)|[./x]\d)",
        tail,
    )
    plural = re.search(r"(?:remotes|outlets|scvs|spools|ports|valves|couplers|functions)\b", match.group()) is not None
    start = match.start()
    if place == "machine.front_functions" and _NOT_THERE.match(letter.after(match.end(), 50)):
        value: int | None = 0
    elif letter.denied(match.start()) and (number is None or number["n"] in ("a", "an", "another", "single", "no")):
        value = 0
        start = denial_start(letter, match.start())
    elif (number is not None and number["n"] in _NUMBER) or (number is not None and number["n"].isdigit()):
        value = int(number["n"]) if number["n"].isdigit() else _NUMBER[number["n"]]
        start = match.start() - len(head) + number.start()
    elif behind is not None:
        value = int(behind["n"]) if behind["n"].isdigit() else _NUMBER.get(behind["n"], 0)
        return letter.fact(place, value, start, match.end() + behind.end(), why) if value <= 6 else None
    elif re.match(r"(?:set|pair)s? ", match.group()):
        return None
    else:
        held = re.search(
            r"\b(?:has|have|with|w/|got|got the|comes with|came with|had|plumbed|and|fitted with|includes|there's|there is|the|my|factory|already has|,|\+)[a-z' ]{0,16}$",
            head,
        )
        listed = not head.strip(" ,:") and (
            letter.low[: match.start()].rstrip()[-1:] == ","
            or re.match(r" (?:already|installed|plumbed|fitted|on it|yes)\b", tail)
        )
        value = 1 if (held or listed) and (not plural) and match.group() != "remote" else None
    if value is None or value > 6 or _couplers(match, value):
        return None
    return letter.fact(place, value, start, match.end(), why)


def _couplers(match: re.Match[str], value: int) -> bool:
    """Couplers come two to a remote, so that their number is not that of the remotes."""
    return "couplers" in match.group() and value > 0


_NOTHING = re.compile(
    r"\b(?:no|not any|don't have any|doesn't have any|zero|without) (?:extra|spare|aux\w*|additional|remote|other|front or rear|rear or front)(?: (?:hydraulics?|hyd|hydro\w*|outlets?|remotes?|functions?|lines|couplers|ports))+(?: (?:of any kind|at all|anywhere|front or (?:rear|back)))?|\bno hydraulics (?:except|other than|but|besides) (?:the )?loader\b|\bno (?:remotes?|outlets?) (?:front or (?:rear|back)|anywhere|at all|of any kind)\b|\bnothing (?:extra|spare) (?:for|in) (?:the )?hydraulics\b|\bno (?:remotes|outlets),? (?:front or (?:rear|back))"
)


def _nothing_spare(letter: Letter) -> Iterator[Found]:
    for match in _NOTHING.finditer(letter.low):
        if letter.own(match.start()):
            where = letter.after(match.end(), 30)
            front = re.match(r"[ ]*(?:up |at the |in |on the |out )?(?:front|loader)", where)
            rear = re.match(r"[ ]*(?:at the |in |on the |out )?(?:back|rear)", where)
            if not rear:
                yield letter.fact("machine.front_functions", 0, match.start(), match.end(), "words for no spare oil")
            if not front:
                yield letter.fact("machine.rear_remotes", 0, match.start(), match.end(), "words for no spare oil")


_LINES = re.compile(
    r"\b(?P<n>\d|two|three|four|five|six|seven|eight|nine)(?: (?:hydraulic|steel|metal|hard|rubber|hyd))?(?: (?:lines?|hoses?|pipes?|tubes?)(?: and (?:lines|hoses|pipes))?)(?: (?:go\w*|com\w+|run\w*|are|is|total|in all|hook\w*|connect\w*|in|total|and out))*(?: (?:at|on|into|to|in|off|from|of))(?: (?:the|my))?(?: (?:loader|joystick|control|lever|fel|hydraulic))?(?: (?:control|joystick|loader))? ?valve"
)
_LINES_2 = re.compile(
    r"\b(?:loader )?valve(?: block| body)? (?:has|with|shows|got|:)(?: \w+)? ?(?P<n>\d|four|five|six|seven|eight|nine) (?:lines?|hoses?|pipes?)"
)
_LINES_4 = re.compile(
    r"\b(?:lines|hoses|pipes)(?: (?:go\w*|com\w+|run\w*))? (?:at|into|on|to) (?:the )?(?:loader )?(?:control )?valve ?(?:[:=-]|is|are)? ?(?P<n>\d|four|five|six|seven|eight|nine)\b"
)
_LINES_3 = re.compile(
    r"\bcount(?:ed|s)? (?:the (?:lines|hoses|pipes)[^.\n]{0,40}?)?(?P<n>\d|four|five|six|seven|eight|nine)\b(?: (?:lines?|hoses?|pipes?))?(?=[^.\n]{0,40}valve|[^.\n]{0,6}$|[.,\n])"
)


def _lines(letter: Letter) -> Iterator[Found]:
    for pattern in (_LINES, _LINES_2, _LINES_4, _LINES_3):
        for match in pattern.finditer(letter.low):
            near = letter.low[max(0, match.start() - 60) : match.end() + 40]
            if pattern is _LINES_3 and not re.search(
                r"\b(?:lines?|hoses?|pipes?)\b.*\bvalve\b|\bvalve\b.*\b(?:lines?|hoses?|pipes?)\b", near, re.S
            ):
                continue
            number = numerals(match["n"])
            if number and letter.own(match.start()):
                yield letter.fact(
                    "machine.lines_at_valve",
                    int(number[0].value),
                    match.start(),
                    match.end(),
                    "a count of lines at the loader valve",
                )
                return
