"""The name under a letter, wherever its last lines put it: by itself, beside a town or a number, behind a last sentence."""

from __future__ import annotations

import re

from handfast.mail.cleaning import plain
from handfast.mail.letter import Letter

_WORD = r"(?:[A-ZÀ-Þ](?:[a-zß-ÿ]|[’'][A-ZÀ-Þ])[a-zA-ZÀ-ÿ’']{1,16}|[A-ZÀ-Þ][a-zß-ÿ]{1,2})(?:-[A-ZÀ-Þ][a-zß-ÿ’']{1,15})?"
_TITLE = r"(?:(?:Mr|Mrs|Ms|Miss|Dr|Rev|Sgt|Capt)\.? )?"
NAME = rf"{_TITLE}(?:(?:[A-ZÀ-Þ]\.? ?){{1,2}} ?{_WORD}|{_WORD}(?: (?:[A-ZÀ-Þ]\.?|{_WORD}|[\"“(]{_WORD}[\"”)]|(?:and|&|de|van|von|der|la|Mc) {_WORD})){{0,3}})"
_PHONE = r"(?:(?:cell|phone|tel|ph|mobile|t|c|m|call(?: me)?(?: at)?|text|at)[.: ]*)?(?:\+?1[-. ]?)?(?:\(?\d{3}\)?[-. ]{1,3})?\d{3}[-. ]{1,2}\d{4}"
_GREETING = r"(?:(?:[Ww]ith )?(?:[Mm]any |[Kk]ind |[Bb]est |[Ww]arm )?(?:[Tt]hanks?(?: (?:you|again|much|so much|very much|a lot|a bunch|for [a-z ]{3,40}|in advance))?|[Tt]hank you(?: (?:again|so much|very much|kindly|for [a-z ]{3,40}|in advance))?|[Rr]egards|[Ww]ishes|[Cc]heers|[Ss]incerely|[Yy]ours(?: truly| sincerely| faithfully)?|[Rr]espectfully|[Tt]hx|[Hh]ope (?:that|this|it) helps|[Bb]est|[Tt]ake care|[Bb]less you|[Gg]od bless|[Mm]any thanks|[Tt]alk soon|[Ss]igned|[Cc]ordially|[Gg]reetings|[Bb]ye|[Mm]erci|[Gg]racias|[Dd]anke|[Ss]aludos|[Bb]est [Gg]reetings|[Kk]ind greetings|[Ll]ater))"
_LINE = re.compile(
    rf"^[ ]{{0,12}}(?:{_GREETING}[ ]{{0,3}}[,.!;:]?[ ]{{0,3}})?[-—–~/ ]*(?P<name>{NAME})(?P<rest>[ ]*(?:[,;·|/(—–-].*|{_PHONE}.*|(?:in|of|from|near|at) [A-Z].{{1,40}})?)\.?[ ]*$"
)
_PHONE_FIRST = re.compile(rf"^[ ]*{_PHONE}[ ,;·|(—–-]+(?P<name>{NAME})(?P<rest>)\)?[ ]*$")
_TAIL = re.compile(
    rf"(?:[.?!][)\"]?|[.?!]?[ ]{1, 3}[—–~-]{{1,2}}|\n)[ ]{{0,8}}(?:{_GREETING}[ ]*[,.!;:]?[ ]*)?(?:{_PHONE}[ ,.]+)?[-—–~ ]*(?P<name>{NAME})(?P<rest>[ ]*(?:[,;(—–].{{0,60}}|{_PHONE}|(?:in|of|from|near|at) [A-Z][^.]{{1,40}})?)\.?[ ]*$"
)
_NUMBER_LINE = re.compile(rf"[^\n]{{0,12}}{_PHONE}[^\n]{{0,60}}", re.I)
NOT_NAMES = frozenset(
    """thanks thank regards sent phone cell tel email the best cheers yes no please call text farm farms road tractor owner manager sales
    office mobile fax hoping looking hope let and lane route box acres ranch equipment inc llc services service company tree logging dear
    excavating landscaping nursery sawmill dairy attached see hi hello it we my sir madam folks team dealer shop you everybody everyone
    monday tuesday wednesday thursday friday saturday sunday not sure january february march april june july august september october
    november december spring summer fall winter logs log brush rocks rock stumps bales pallets silage mulch gravel hay oak maple ash pine
    pins pinned levers plate universal skid steer loader hydraulic hydraulics remotes remote rear front third function open closed centre
    center power beyond ballast backhoe cutter tiller rake splitter winch tires tyres rops belt seat four wheel drive gate slope level flat
    nothing none budget quote grapple grapples forks bucket root residential delivery dock yours truly sincerely good morning evening
    afternoon great okay ok sorry also any anything never maybe about what when where which how why can could would should will do does is
    are was have has had help price pricing asap weight weighs engine pump flow lift height wheelbase hours per year only just some most
    everything both two one three four five six seven eight nine ten mine our their his her i a an in on at to for with from if so but
    compact subcompact utility small large big tell send advise respond reply write question questions info information procurement
    purchasing maintenance department estate estates quick attach hook hooks pin mostly mainly that this these those there here they then
    pictures picture photos photo inquiry interested urgent use used using need needs want wants had get got ps re fwd subject family
    depends unknown whatever neither either cherry merci danke gracias saludos greetings birch beech hickory spruce fir cedar locust walnut poplar elm willow""".split()
)


def signed(letter: Letter, taken: frozenset[str]) -> tuple[int, str] | None:
    """The name below a letter and where it stands; `taken` are words that name tractors, makers, tools and towns.

    >>> signed(Letter("Two pins, no remotes.\\nMerritt Oxley, Quern Ferry"), frozenset())
    (22, 'Merritt Oxley')
    """
    body = letter.shown
    lines = [(one.start(), one.group()) for one in re.finditer(r"[^\n]+", body) if one.group().strip(" -—")]
    for at, line in reversed(lines[-3:] if len(lines) > 1 else []):
        for pattern in (_LINE, _PHONE_FIRST):
            match = pattern.match(line)
            if match and at > lines[0][0] and _is_name(match["name"], taken) and _beside(match["rest"]):
                return at + match.start("name"), match["name"].rstrip(" ,")
        if not (_place_like(line, taken) or _NUMBER_LINE.fullmatch(line.strip())):
            break
    for at, line in reversed(lines[-2:]):
        match = _TAIL.search(line)
        if (
            match
            and _is_name(match["name"], taken)
            and _beside(match["rest"])
            and not letter.foreign(at + match.start("name"))
        ):
            return at + match.start("name"), match["name"].rstrip(" ,")
        if not (_place_like(line, taken) or _NUMBER_LINE.fullmatch(line.strip())):
            break
    return None


def _is_name(name: str, taken: frozenset[str]) -> bool:
    parts = [
        part for part in re.findall(r"[a-zß-ÿ’']+", plain(name)) if part not in ("and", "de", "van", "von", "der", "la")
    ]
    return (
        bool(parts)
        and any(len(part) > 1 for part in parts)
        and not any(part in NOT_NAMES or part in taken for part in parts)
    )


def _beside(rest: str) -> bool:
    """Whether what stands beside a name is a place, a number, a tractor or a calling, not a sentence."""
    rest = re.sub(rf"(?i){_PHONE}", "", rest)
    rest = re.sub(r"\b(?:RR|Route|Rt|Box|Hwy|ext)\.? ?#?\d+", "", rest).strip(" ,;·|/()—–-.")
    if len(rest) > 60 or re.search(r"[?!]", rest):
        return False
    return all(
        word[0].isupper()
        or word[0].isdigit()
        or word in ("of", "on", "the", "and", "at", "in", "from", "near", "farm", "owner", "manager")
        for word in re.findall(r"\w[\w’'-]*", rest)
    )


def _place_like(line: str, taken: frozenset[str]) -> bool:
    """A last line that is a town, an address, a firm or a calling: the name may stand above it."""
    words = re.findall(r"[A-Za-z’']+", line)
    return (
        0 < len(words) <= 6
        and all(word[0].isupper() or word in ("of", "on", "the", "and", "at") for word in words)
        and not re.search(r"[.?!:][ ]*$", line)
    ) or (len(words) <= 3 and bool(words) and all(word.lower() in taken for word in words))
