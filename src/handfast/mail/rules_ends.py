"""Spare oil by the end of the tractor: so many pairs up front, nothing on the back, none anywhere."""

from __future__ import annotations

import re
from collections.abc import Iterator

from handfast.mail.found import Found
from handfast.mail.letter import Letter

_OIL = r"(?:hydraulics?|hydrolics?|hydro(?:s|lic)?|hyd\.?|remotes?|outlets?|couplers?|couplings|functions?|ports?|lines|hookups?|hook-ups?|connections?|circuits?|scvs?|spools?|quick connects?|plugs|third function|third functions|aux|auxiliary|auxiliaries|hoses?|oil)"
_KIND = r"(?:extra|spare|aux\w*|additional|other|free|hydraulic|hyd\.?|working|factory|remote|rear|loader|quick|outside|separate|usable|live)"
_NOUN = rf"(?:{_KIND} ){{0,3}}(?:(?:sets?|pairs?) of )?(?:{_KIND} ){{0,2}}{_OIL}(?: {_OIL}){{0,3}}"
_LINK = r"(?:,? ?(?:that i can (?:see|find|tell)|i can (?:see|find)|that i know of|anywhere,|at all|of any kind|whatsoever|fitted|installed|plumbed|mounted|to speak of|to be had|available|yet|either|there))?"
_FRONT = r"(?:(?:(?:up|out|over|down) )?(?:(?:in|at|on|to|off|for|by) )?(?:the )?(?:front(?:[ -]end)?(?! (?:axle|tires?|tyres?|wheels?|end loader|weights?|or|and))|loader(?: (?:arms?|end|frame))?)|up there)"
_REAR = r"(?:back there|(?:out |round |around )?(?:(?:in|at|on|to|off) )?(?:the )?(?:back(?:[ -]end)?|rear(?:[ -]end)?)(?! (?:axle|tires?|tyres?|wheels?|weights?|blade|or|and)))"
_EITHER = r"(?:(?:in |at |on )?(?:the )?(?:(?:front|rear|back)[ ,]*(?:or|and|nor|/|&)[ ]*(?:in |at |on )?(?:the )?(?:rear|back|front)|either end|both ends|anywhere))"
_NIL = r"(?:no|none|nothing|zero|nada|zip|nil|not any|not a single|without(?: any)?|lacks?(?: any)?|(?:i |we |it |she |tractor |mine )?(?:do(?:es)?n'?t|do(?:es)? not|hasn'?t|haven'?t|has not|have not|never|ain'?t)(?: (?:have|has|had|got))*(?: (?:any|a|no|got))*)"
_COUNT = r"(?P<n>\d|one|two|three|four|a|an|single|a single|dual|double|another|both)"
_NUMBERS = {
    "one": 1,
    "a": 1,
    "an": 1,
    "single": 1,
    "a single": 1,
    "another": 1,
    "two": 2,
    "dual": 2,
    "double": 2,
    "both": 2,
    "three": 3,
    "four": 4,
}
_PAIRS = rf"(?:spare |extra |hydraulic |hyd\.? |working |free )*(?:(?:sets?|pairs?)(?! of (?!hyd|remote|outlet|coupler|quick|aux|spare|extra|line|hose))(?: of)?(?: {_KIND}){{0,3}}(?: {_OIL}){{0,3}}|functions?|circuits?|services?|remotes?|outlets|scvs?|hydraulic outlets)"
_PLACES = {"front": "machine.front_functions", "rear": "machine.rear_remotes"}
_WHERE = {"front": _FRONT, "rear": _REAR}
_NONE_THERE = {
    end: re.compile(
        rf"\b{_NIL} (?:(?P<oil>{_NOUN}|(?:extra|spare|hydraulic)(?! {_OIL}))|at all)?{_LINK} ?{where}\b(?! (?:or|and|nor)\b)"
        rf"|(?:\bthe )?{where} ?(?:remotes? ?|outlets? ?|hydraulics? ?|functions? ?)?(?:end )?(?:it |i |she |we |the tractor |tractor )?(?:has|have|got|has got|is|are|:|=|-)+ ?(?:just |only )?(?:{_NIL}|without)(?: (?P<noun>{_NOUN}|extra|spare))?\b"
    )
    for end, where in _WHERE.items()
}
_NEITHER = re.compile(
    rf"\b{_NIL} (?:(?P<oil>{_NOUN}|extra|spare) )?{_EITHER}(?! (?:axle|tires?|tyres?|weights?|wheels?))(?: {_OIL})?\b"
    rf"|\b(?:neither|no) (?:front|rear) (?:nor|or) (?:rear|front) {_NOUN}|\b{_NOUN} ?(?::|=|-|is|are) ?(?:none|nothing|zero|no)(?: at all| of any kind| whatsoever| anywhere| spare| extra| {_EITHER})\b"
)
_SO_MANY = {
    end: re.compile(
        rf"(?:(?<=[,;] )|(?<=[,;.] and )|(?<=[.] )|(?<= and )|(?<=there's )|(?<=there are )|(?<=so ))(?P<k>two|three|one|\d) {where}(?: now)?(?=[.,;\n]|$)|\b{where} {_COUNT.replace('<n>', '<d>')} double[- ]acting|\b{_COUNT} {_PAIRS},? ?(?:(?:is|are|go(?:es)?|run|come|plumbed|brought|routed|fitted|available) )?{where}\b(?! ?(?:has |is |: ?)?(?:nothing|none|no\b|zero|nil|nada|\d))"
    )
    for end, where in _WHERE.items()
}
_HAS_MANY = {
    end: re.compile(
        rf"\b{where} ?(?:end )?(?:(?:has|have|got|has got|gets|with)|[:=-])(?: just| only)? {_COUNT} (?:{_PAIRS}|{_KIND} (?:pair|set|function)s?|sets?|pairs?)\b"
        rf"|\b(?:on|at|in) {where} (?:it |she |i |we |tractor |the tractor )(?:has|have|got)(?: just| only)? (?P<m>\d|one|two|three|four) (?:{_PAIRS}|sets?|pairs?)\b"
        rf"|(?<=[.,;] ){where} (?:has|gets) (?P<q>\d|one|two|three)(?= ?[.,;\n])"
    )
    for end, where in _WHERE.items()
}
_FITTED = re.compile(
    r"\b(?:third|thrd|thrid|3rd)[- ]func(?:tion)?(?: (?:valve|kit|hydraulics?|lines?))*,? ?(?:(?::|=|-)?[ ]?(?:yes|yep|yeah|sure|present|fitted|installed|one pair|1 pair|have it|there|got it|already|is (?:on|in|there|fitted|installed|present|plumbed)|was (?:put on|installed|fitted|added)|on it|on (?:the|my) (?:loader|tractor)|from the factory|came with|works|with (?:a |the )?(?:button|switch|one pair)))\b"
)
_NOT_FITTED = re.compile(
    r"\b(?:third|thrd|thrid|3rd)[- ]func(?:tion)?(?: (?:valve|kit|hydraulics?|lines?))* ?(?::|=|-|is|was)? ?(?:no\b(?! problem)|none|nope|n/a|not (?:fitted|installed|there|present|on|yet)|missing|never (?:fitted|installed|had))"
    r"|\b(?:never (?:had|got|put|fitted|installed)|isn't|hasn't got|hasn't|haven't got|haven't|lacks|without|minus|no sign of) (?:a |any |the |no |on )?(?:third|thrd|thrid|3rd)[- ]function\b"
)
_OIL_WORD = re.compile(rf"\b(?:{_OIL}|pairs?|valves?|hoses?)\b")
_WHY = "words for spare oil at one end of the tractor"


def both_ends(letter: Letter) -> Iterator[Found]:
    """Pairs of outlets at the front and at the back, and none of them."""
    for match in _NEITHER.finditer(letter.low):
        if _said(letter, match) and (_about_oil(letter, match)):
            for place in _PLACES.values():
                yield letter.fact(place, 0, match.start(), match.end(), _WHY)
    for end, place in _PLACES.items():
        for match in _NONE_THERE[end].finditer(letter.low):
            if _said(letter, match) and _about_oil(letter, match):
                yield letter.fact(place, 0, match.start(), match.end(), _WHY)
        for match in _SO_MANY[end].finditer(letter.low):
            said = match["n"] or match["k"] or match["d"]
            count = int(said) if said.isdigit() else _NUMBERS[said]
            if match["k"] and not _about_oil(letter, match):
                continue
            if (
                (0 < count <= 4 or (match["k"] and count == 0))
                and _said(letter, match)
                and not letter.denied(match.start())
                and not _sold(letter, match)
            ):
                yield letter.fact(place, count, match.start(), match.end(), _WHY)
        for match in _HAS_MANY[end].finditer(letter.low):
            said = match["n"] or match["m"] or match["q"]
            if match["q"] and not _about_oil(letter, match):
                continue
            count = int(said) if said.isdigit() else _NUMBERS[said]
            if 0 < count <= 4 and _said(letter, match) and not letter.denied(match.start()):
                yield letter.fact(place, count, match.start(), match.end(), _WHY)
    yield from _third(letter)


def _third(letter: Letter) -> Iterator[Found]:
    for pattern, count in ((_FITTED, 1), (_NOT_FITTED, 0)):
        for match in pattern.finditer(letter.low):
            if _said(letter, match) and not (count and (letter.denied(match.start()) or _sold(letter, match))):
                yield letter.fact(_PLACES["front"], count, match.start(), match.end(), _WHY)


def _said(letter: Letter, match: re.Match[str]) -> bool:
    sentence = letter.low[slice(*letter.sentence(match.start()))]
    return letter.own(match.start()) and not re.search(
        r"\b(?:needs? (?:no|nothing)|run(?:s)? without|work(?:s)? without|can be run|is there|do you (?:have|sell)|weight|weights|ballast)\b",
        sentence,
    )


def _about_oil(letter: Letter, match: re.Match[str]) -> bool:
    """Whether a "none up front" is about oil: its own noun, or one a little before."""
    if _OIL_WORD.search(match.group()) or re.search(r"\b(?:extra|spare)\b", match.group()):
        return True
    if re.match(r" (?:for|in the way of) (?:the )?hyd", letter.low[match.end() : match.end() + 24]):
        return True
    begin = max(0, match.start() - 110)
    if re.search(r"\b(?:back|rear)\b", match.group()) and not re.search(
        r"\b(?:front|remotes?|outlets?)\b", letter.low[begin : match.end() + 40]
    ):
        begin = max(begin, letter.sentence(match.start())[0])  # nothing at the back may well be no implement
    return _OIL_WORD.search(letter.low, begin, match.start()) is not None


def _sold(letter: Letter, match: re.Match[str]) -> bool:
    """A kit that is asked for or wished."""
    head = letter.before(match.start(), 44)
    return (
        re.search(
            r"\b(?:needs?|want|wants|add|adding|install|quote|price|cost|buy|get|order|sell|requires?d?|put|how much|interested in|looking (?:for|at)|wish|like)\b[a-z' ]{0,24}$",
            head,
        )
        is not None
    )
