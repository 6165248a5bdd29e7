"""Who writes and from where, by a letter's opening words, by its last words, and by what stands beside the name."""

from __future__ import annotations

import re
from collections.abc import Iterator

from handfast.mail.cleaning import plain
from handfast.mail.found import Found
from handfast.mail.letter import Letter
from handfast.mail.rules_signed import NOT_NAMES

_CAP = r"[A-ZÀ-Þ][a-zß-ÿ’']{1,15}(?:-[A-ZÀ-Þ][a-zß-ÿ’']{1,15})?"
_FULL = rf"{_CAP}(?: (?:[A-ZÀ-Þ]\.|{_CAP})){{0,2}}"
_GREETS = r"(?:(?:[Hh]ey|[Hh]i|HI|[Hh]ello|HELLO|[Hh]owdy|[Gg]ood (?:morning|afternoon|evening|day)|[Gg]reetings|[Yy]o)(?: (?:there|all|folks|guys|again|ya'?ll))?[,.!:]* *)"
_OPENS = re.compile(
    rf"(?:^|\n) *{_GREETS}?(?:[Ii]t[’']?s(?: me)?,?|[Tt]his is|[Ii][’']?m|[Ii] am|[Mm]y name is|[Nn]ame[’']?s|[Nn]ame is) (?P<name>{_FULL})(?= (?:from|out|over|up|down|here|in|at|with|again|and|calling|writing)\b|[,.!;\n])"
    rf"|(?:^|\n|[.!?] +){_GREETS}?(?P<here>{_FULL})(?: again)? here\b"
    rf"|(?:^|\n) *{_GREETS}(?P<plain>{_CAP} {_CAP}), (?={_CAP}(?: {_CAP}){{0,2}}\.)"
    rf"|\b[Cc]ontact(?: person| name)?(?: is|:) (?P<contact>{_FULL})(?=[,.\n(]| at\b|$)"
)
_LOW = re.compile(
    r"(?:^|\n) *(?:(?:hey|hi|hello|howdy)(?: there| guys| folks)?[,.!]* *)?(?:it'?s(?: me(?: again)?,?)?|this is|my name is|name'?s|name is|im|i'm) (?P<name>[a-z]{3,12}(?: [a-z]{3,14})?) (?:from|out (?:by|at|in|near|past)|over (?:by|at|in)|up (?:by|at|in)|down (?:by|at|in)|here|again|the)\b"
)
_CALL_ME = re.compile(r"\bcall me (?P<name>[a-z]{3,10}(?: [a-z]{3,12})?)[ ,]+(?:at )?(?:\(?\d{3}|\d{7})")
_WATER = re.compile(
    r"\b(?:out|over|up|down)(?: here)? (?:by|near|past|on|at) (?P<town>[a-z]{3,12}(?: [a-z]{3,12})? (?:pond|creek|ridge|fork|hill|hollow|lake|river|valley|corners?|crossing|bend|gap|ferry|falls|springs?|mills?))\b"
)
_ENDS = re.compile(
    r"\b(?:thanks|thx|ty|cheers|regards|ta|tks|thank you|thank u|bless you|god bless)(?: alot| a lot| so much| again| much| in advance| a bunch)?[,.!]* +(?P<low>[a-z][a-z]{2,12}(?: [a-z][a-z]{0,14})?|[a-z]{2} [a-z]{3,14})[ .]*$"
)
_BEFORE_PHONE = re.compile(
    rf"[.!?] +(?P<name>{_CAP}(?: {_CAP}){{1,2}}),? (?:phone|cell|tel|ph|at|call|number|mobile)[ :.]*(?:is |me )?(?:at )?\(?\d{{3}}[^.!?]*$"
)
_FROM_TOWN = re.compile(
    r"(?:^|[.!?] +|\n *)(?P<name>[a-z]{3,12}(?: [a-z]{2,14})?)(?:,| from| in| of| at| out of| over in) (?P<town>[a-z]+(?: [a-z]+)?)[ .]*$"
)
_AFTER_PHONE = re.compile(
    rf"\d{{3}}[-. ]\d{{4}}(?: (?:after|before|any|evenings?|mornings?|nights?|days?|anytime|cell|home|most|weekends?|six|five|seven|dark|supper|work|time|\d)\b)*[ ,.—–-]*(?:ask for )?(?P<name>{_CAP}(?: {_CAP}){{0,2}})[ .]*$"
)
_CAPS_END = re.compile(
    r"[.!?] +(?P<name>[A-ZÀ-Þ]{3,12} [A-ZÀ-Þ]{3,14})[ ,]*(?:\(?\d{3}\)?[-. ])?(?:\d{3}[-. ]\d{4})?[ .]*$"
)
_ROWED = re.compile(
    rf"[.!?] +(?P<name>{_CAP}(?: {_CAP}){{0,2}}) ?(?:/|·|\||—|–) ?(?:[A-ZÀ-Þ]|\(?\d{{3}})[^.?!\n]{{2,70}}$"
)
_NOT_WHO = frozenset(
    "much again bunch advance lots ton tons kindly sir buddy friend man dude bud to for all very looking hoping interested trying thinking wondering calling writing getting running just not still also afraid sure glad sorry based located new back retired ready happy after about in at the a my for to on from going done tired working clearing selling buying again pictured attached time been been nice great".split()
)


def opened(letter: Letter, taken: frozenset[str]) -> tuple[int, str] | None:
    """The name that a letter opens with, or that somebody is asked for by; None where there is none.

    >>> opened(Letter("Hey its Dwayne Pruitt out by the creek."), frozenset())
    (8, 'Dwayne Pruitt')
    """
    body = letter.shown
    for match in _OPENS.finditer(body):
        group = next(key for key, value in match.groupdict().items() if value)
        if _who(match[group], taken) and not letter.foreign(match.start(group)):
            return match.start(group), match[group]
    low = _LOW.search(letter.low) or _CALL_ME.search(letter.low)
    if low and _who(low["name"], taken):
        return low.start("name"), letter.raw[low.start("name") : low.end("name")]
    return None


def closed(letter: Letter, taken: frozenset[str]) -> tuple[int, str] | None:
    """The name that the last words are, behind thanks or a number or in capitals."""
    body = letter.shown.rstrip()
    line = body.rfind("\n") + 1
    last = body[line:]
    for pattern, group in ((_AFTER_PHONE, "name"), (_BEFORE_PHONE, "name"), (_CAPS_END, "name"), (_ROWED, "name")):
        match = pattern.search(last)
        if match and _who(match[group], taken):
            return line + match.start(group), match[group]
    from_town = _FROM_TOWN.search(plain(last))
    if (
        from_town
        and _who(from_town["name"], frozenset())
        and all(word in taken for word in re.findall(r"[a-z]{3,}", from_town["town"]))
    ):
        start = line + from_town.start("name")
        return start, body[start : start + len(from_town["name"])]
    dashed = re.search(r"[.?!] +[-~–—] ?(?P<name>[a-z]{3,12})[ .]*$", last)
    if dashed and _who(dashed["name"], taken):
        return line + dashed.start("name"), dashed["name"]
    dashed = re.search(r"\d{4} ?[-~–—] ?(?P<name>[a-z]{3,12})[ .]*$", last)
    if dashed and _who(dashed["name"], taken):
        return line + dashed.start("name"), dashed["name"]
    thanked = _ENDS.search(last[-60:].lower())
    if thanked and _who(thanked["low"], taken):
        start = line + max(0, len(last) - 60) + thanked.start("low")
        return start, body[start : start + len(thanked["low"])]
    return None


def _who(name: str, taken: frozenset[str]) -> bool:
    parts = re.findall(r"[a-zß-ÿ’']+", name.lower())
    return bool(parts) and not any(part in NOT_NAMES or part in taken or part in _NOT_WHO for part in parts)


_STREET = r"(?:(?:\d{1,5} [A-ZÀ-Þ][A-Za-z’' ]{2,24}|(?:RR|Route|Rt\.?|Hwy|County Road|CR|Box|P\.?O\.? Box) ?#? ?\d{1,5}|[A-ZÀ-Þ][a-zß-ÿ’']+(?: [A-ZÀ-Þ][a-zß-ÿ’']+)? (?:Road|Rd\.?|Lane|Ln\.?|Street|St\.?|Drive|Dr\.?|Avenue|Ave\.?|Hill Road|Pike|Way))[,;]? *\n? *)"
_TOWN = rf"(?P<town>{_CAP}(?: {_CAP}){{0,2}})"
_BESIDE = re.compile(
    rf"(?: *(?:[,;·|/(—–]|-(?= )) *| (?:in|of|from|near|at) ){_STREET}?{_TOWN}\)?(?= *(?:[,;·|/(—–\n]|\.? *$|\. *\n|\d|\+))"
)
_BELOW = re.compile(
    rf" *[,.]? *\n+ *{_STREET}?{_TOWN}(?:, [A-ZÀ-Þ]{{2}})?[ .]*(?=\n|$|[,·|] *(?:\(?\d|[Tt]el|[Cc]ell|[Pp]h))"
)
_OUT_BY = re.compile(
    rf"\b(?:[Oo]ut|[Oo]ver|[Uu]p|[Dd]own|back)(?: here)? (?:by|near|past|toward|towards|around|on) {_TOWN}|\b(?:[Oo]utside(?: of)?|[Jj]ust (?:north|south|east|west) of|acres (?:near|in|outside)|land (?:near|in)) (?P<near>{_CAP}(?: {_CAP}){{0,2}})(?! (?:Road|Rd|Lane|Street|Hwy|Highway|tractor|dealer))"
)
_NO_TOWN = frozenset(
    """nurseries stables kennels trees dairies llc inc farm farms ranch estate estates landscaping logging services service company co masonry seeds hay nursery sawmill orchard orchards
    tree trees excavating contracting owner manager operator procurement purchasing clerk foreman department village county city town state
    vineyard vineyards dairy stables builders construction equipment supply sons brothers bros partners holdings acres church school club camp
    aunt uncle cousin brother sister mother father nephew niece
    sr jr iii esq retired mr mrs ms mom dad grandpa grandma sent get cell phone tel mobile email thanks regards cheers ps please call text
    president director secretary treasurer chief supervisor superintendent captain pastor reverend firewood lumber timber milling mill garden
    gardens homestead veteran christmas property properties management maintenance grounds parks park works public board trustee""".split()
)


def beside(letter: Letter, at: int, name: str, taken: frozenset[str]) -> tuple[int, str] | None:
    """The place beside or below a name that stands near a letter's end."""
    body = letter.shown
    after = at + len(name)
    if len(body[after:].strip()) > 160:
        return None
    for pattern in (_BESIDE, _BELOW):
        match = pattern.match(body, after)
        if match and _is_town(match["town"], taken):
            return match.start("town"), match["town"]
    return None


def out_by(letter: Letter, taken: frozenset[str]) -> Iterator[tuple[int, str]]:
    """Places that the writer is out by."""
    for match in _OUT_BY.finditer(letter.shown):
        group = "town" if match["town"] else "near"
        if _is_town(match[group], taken) and not letter.foreign(match.start()):
            yield match.start(group), match[group]
    for match in _WATER.finditer(letter.low):
        if not letter.foreign(match.start()) and not re.match(r"(?:the|my|our|a|this|that|an)\b", match["town"]):
            yield match.start("town"), letter.raw[match.start("town") : match.end("town")]


def _is_town(town: str, taken: frozenset[str]) -> bool:
    parts = re.findall(r"[a-zß-ÿ’']+", town.lower())
    return bool(parts) and not any(
        part
        in NOT_NAMES
        - {
            "hill",
            "valley",
            "oak",
            "maple",
            "ash",
            "pine",
            "flat",
            "box",
            "gate",
            "level",
            "road",
            "birch",
            "cherry",
            "beech",
            "cedar",
            "elm",
            "hickory",
            "locust",
            "poplar",
            "spruce",
            "walnut",
            "willow",
            "fir",
            "summer",
            "winter",
            "spring",
            "mine",
            "rocks",
        }
        or part in _NO_TOWN
        or part in taken
        for part in parts
    )


def found_place(start: int, town: str, why: str) -> Found:
    """A place as a fact."""
    return Found("caller.place", town, town, start, start + len(town), True, why)
