"""The place, and wishes."""

from __future__ import annotations

import re
from collections.abc import Iterator

from handfast.mail.amounts import Amount
from handfast.mail.found import Found
from handfast.mail.letter import Letter
from handfast.mail.quantities import quantity

_SLOPE = re.compile(
    r"\b(?:slopes?|sloped|sloping|hills?|hilly|hillside|bank|grade|incline|inclined|steep\w*|pitch|ditch(?:es)?|gradient|ground|grades|side ?hill|hang|downhill|uphill|rises?|terrain|fields?|pasture|meadow|orchard|vineyard|rows|lane|driveway|skid trail|woods|land|lawn|trail|road|pitches)\b"
)
_NOT_SLOPE = re.compile(
    r"\b(?:off|discount|deposit|humidity|chance|done|financ\w*|apr|of the (?:time|cost|price|wood|logs)|clay|dump|curl|roll ?back|tilt|outside|temp\w*|below|cold|weather|sure|moisture|tread|worn|interest|tip|angle of|antifreeze|mix|solution|blade|down payment|rubber|tax|full|charged)\b"
)


def site(letter: Letter) -> Iterator[Found | None]:
    """Slope, gate, height to lift to, way to carry."""
    for one in letter.amounts:
        if not letter.own(one.start) and not (_asks_for_site(letter, one) or _way_asked(letter, one)):
            continue
        if one.dimension == "slope":
            yield _slope(letter, one)
        elif one.dimension == "length" and not letter.denied(one.start, 18):
            yield _gate(letter, one) or _lift_to(letter, one) or _haul(letter, one)


def _asks_for_site(letter: Letter, one: Amount) -> bool:
    """What is asked of the outfit may well state the place: "will it go through my 9 ft gate?"."""
    return (
        not letter.foreign(one.start)
        and re.search(r"\b(?:my|our|the)\b[a-z ]{0,12}$", letter.before(one.start, 22)) is not None
        and "?" in letter.low[one.end : letter.sentence(one.start)[1]]
        and not re.search(r"\b(?:is|are|was) (?:it|that|my|the|our) [a-z ]{0,14}$", letter.before(one.start, 30))
    )


def _way_asked(letter: Letter, one: Amount) -> bool:
    """A way is told though what is asked is how to go it: "how do I get it to the mill half a mile away?"."""
    return (
        not letter.foreign(one.start)
        and not letter.supposed(one.start)
        and re.match(r"[ ]*(?:away|down|up|across|back|to the|from the|along)\b", letter.after(one.end, 12)) is not None
        and re.search(r"\b(?:is|are|was) (?:it|that|my|the|our)\b", letter.before(one.start, 60)) is None
    )


def _slope(letter: Letter, one: Amount) -> Found | None:
    start, end = letter.sentence(one.start)
    head = letter.low[max(start, one.start - 60) : one.start]
    tail = letter.low[one.end : min(end, one.end + 44)]
    if letter.denied(one.start, 20) or _NOT_SLOPE.search(
        letter.low[max(start, one.start - 24) : min(end, one.end + 16)]
    ):
        return None
    earlier = (
        letter.low[max(0, start - 50) : start]
        if re.match(
            r"\s*(?:it's|its|it is|about|maybe|i'd say|around|measured|probably|steepest|worst)", letter.low[start:end]
        )
        else ""
    )
    if not (_SLOPE.search(head) or _SLOPE.search(tail) or _SLOPE.search(earlier)):
        return None
    return quantity(letter, "site.slope", one, "per cent or degrees beside a word for a slope")


_GATE = re.compile(
    r"\b(?:gates?|gateways?|gate ?posts?|gate opening|barn ?(?:aisle |end |side |sliding )?door(?:way)?s?|shed door|doorway|garage door|gap in the (?:fence|wall)|opening (?:in|to|into) the|narrow(?:est)? (?:spot|point|place|gap)(?: between [a-z ]{3,18})?|posts are)\b"
)


def _gate(letter: Letter, one: Amount) -> Found | None:
    start, end = letter.sentence(one.start)
    head, tail = letter.low[max(start, one.start - 56) : one.start], letter.low[one.end : min(end, one.end + 40)]
    if re.match(
        r"[ -]*(?:or so )?(?:high|tall|long|away|from|past|of (?:fence|lane)|deep|off)\b", tail
    ) or letter.foreign(one.start):
        return None
    close = re.match(
        r"[ -]*(?:wide )?(?:(?:farm|field|pasture|tube|metal|wooden|steel|old|pipe|stock|cattle|swing|swinging|garden|narrow|clear|main|front) )*(?:gates?|gateway|barn ?door|door(?:way)?|gate opening|opening|between (?:the )?(?:gate ?)?posts|at the gate|through the gate)\b",
        tail,
    )
    last = list(_GATE.finditer(head))
    before = (
        last
        and _bridge(head[last[-1].end() :])
        and not any(
            start <= other.start < one.start
            and other.start >= one.start - len(head) + last[-1].end()
            and other.dimension == "length"
            for other in letter.amounts
        )
    )
    if not (close or before):
        return None
    return quantity(letter, "site.gate", one, "a width beside the word for a gate")


def _bridge(between: str) -> bool:
    return (
        len(between) < 34
        and re.search(
            r"\b(?:to|from|away|past|then|grapple|bucket|tractor|log|logs|and (?:i|the|then|a)|post is|high|behind)\b",
            between,
        )
        is None
    )


_UP = re.compile(
    r"\b(?:(?:lift|lifting|load|loading|raise|get|getting|reach|stack|stacking|set|put|putting|dump|pile|piling|go|pick|place|throw|hoist|need)\b[a-z ,'-]{0,34}\b(?:to|up|onto|on to|on|into|in|over|at|high)\b[a-z ,'-]{0,34}|(?:lift (?:height|to)|lift-to|stack height|(?:trailer|truck|flatbed|bed|deck|sides?|side ?boards?|wagon|tailgate|rack|stack|header|bunk|saw ?mill|mill|splitter table|dump ?bed)(?: (?:deck|bed|floor|side|sides|height|rails|boards))?)(?: (?:is|are|with|has|have|sits|at|it's|which is|that is|that's|about|of|height|stands|are about))*[ :=]*)(?:about |a |an |around |roughly |up to |maybe |~)*$"
)
_UP_AFTER = re.compile(
    r"[ -]*(?:or so )?(?:(?:high|tall) (?:trailer|truck|sides?|stack|deck|bed|wagon|pile|rack|wall|bunk|sideboards?)|(?:trailer|truck|deck|dump|wagon|stake) ?(?:deck|bed|side|sides|height|trailer)?\b(?! long)|(?:off|above|from|over) (?:of )?(?:the )?(?:ground|grade|floor|dirt)|height\b|tall\b(?= *[,.;\n])|(?:up )?(?:in the air|in a stack)|sides?\b|sideboards?\b|side boards|up\b|high\b|in the air|stack)"
)
_RAISED = re.compile(
    r"\b(?:stack(?:ing)?|lift(?:ing)?|reach(?:ing)?|load(?:ing)?|pil(?:e|ing)|rais(?:e|ing)|get(?:ting)?|set(?:ting)?|dump(?:ing)?)(?: (?:round|square|big) bales)?(?: \d+ (?:lbs?|pounds|#|kg))?(?: (?:it|them|em|'em|everything|logs|bales|those|these|the logs|the bales|stuff|up|high))* (?:up )?(?:to|at|about|around|up)(?: (?:about|around|maybe|at least))* ?$"
)
_NOT_UP = re.compile(
    r"\b(?:pins?|pivot|loader (?:lifts?|goes|raises|reaches)|lift height at|long|wide|gate|diameter|tractor (?:is|stands)|clearance|haul|carry|drag|away|rops|door|brush pile|pile is|grass|weeds)\b"
)


def _lift_to(letter: Letter, one: Amount) -> Found | None:
    start, end = letter.sentence(one.start)
    head, tail = letter.low[max(start, one.start - 80) : one.start], letter.low[one.end : min(end, one.end + 44)]
    up = _UP.search(head)
    if _ONTO.match(tail) and one.unit not in ("yd", "mi", "km"):
        return quantity(letter, "site.lift_to", one, "a height to be lifted to")
    if up is None or re.match(
        r"[ -]*(?:long|wide|thick|across|diam|logs?|oak|round|bale|away|of\b|in diam|gate|x\b|by\b|apart|behind|ahead|forward)",
        tail,
    ):
        return None
    if _NOT_UP.search(head[up.start() :]) or _NOT_UP.match(tail.strip()) or one.unit in ("yd", "mi", "km"):
        return None
    noun = re.search(
        r"\b(?:trailer|truck|bed|deck|sides?|wagon|tailgate|stack|rack|bunk|mill|high|height|up to|lift|header)\b",
        up.group(),
    )
    if not (
        _UP_AFTER.match(tail)
        or (_RAISED.search(head) and re.match(r"[ ]*(?:$|[,.;\n)]|and\b|so\b|or so\b|with\b|to\b|max\b)", tail))
        or (noun and re.match(r"[ ]*(?:$|[,.;\n)]|and|or|so|with|to|but|for|max|up|high|tall|i\b|it\b|which)", tail))
    ):
        return None
    return quantity(letter, "site.lift_to", one, "a height to be lifted to")


_ONTO = re.compile(
    r"[ -]*(?:up )?(?:onto|on to|up on|up to|to) (?:a|an|the|my|our|his) (?:[a-z]+ ){0,2}?(?:truck|trailer|wagon|bed|flatbed|stack|rack|deck|bunk|platform|hay ?loft|loft)\b"
)
_HAUL = re.compile(
    r"\b(?:haul\w*|drag\w*|carry\w*|carrying|skid\w*|mov(?:es?|ing)|driv(?:e|es|ing)|get(?:s|ting)?|distance|run(?:s|ning)?|trip|travel|bring\w*|tak(?:e|ing)|tow\w*|pull\w*|trek|walk|push\w*|cart\w*)\b"
)
_FAR = re.compile(
    r"[ ]*(?:or so )?(?:of (?:travel|hauling|driving|lane) )?(?:away|one way|each way|round trip|to (?:the|my|our|a) (?:\w+ ){0,2}(?:pile|pit|trailer|lot|landing|mill|saw ?mill|shed|barn|road|burn|house|yard|splitter|woodshed|sawmill|brush|truck|trailer|edge|fence|stack|wood|dump|header|field|creek|driveway)|from (?:the|my|our) (?:\w+ ){0,2}(?:pile|woods?|landing|field|barn|house|lot|stack|road|edge|creek|ditch)|across|(?:back )?(?:down|along) (?:the|a|my|our)|(?:back )?to the \w+|up (?:the|a|to)|uphill|downhill|haul|carry|drag|through the|out (?:of|to) the)\b"
)


def _haul(letter: Letter, one: Amount) -> Found | None:
    start, end = letter.sentence(one.start)
    head, tail = letter.low[max(start, one.start - 60) : one.start], letter.low[one.end : min(end, one.end + 40)]
    long_way = one.unit in ("yd", "mi", "km") or (
        one.unit in ("ft", "m") and one.high * (0.3048 if one.unit == "ft" else 1.0) >= 12.0
    )
    if not long_way or re.search(
        r"\b(?:driveway is|fence is|live|located|you are|town is|store|hours|from you|gravel drive|long driveway|shop is|miles from|from the (?:road|street|highway)(?! to))\b",
        head + tail[:26],
    ):
        return None
    if re.match(r" from (?:the|my|our) [a-z]+(?: [a-z]+)? to (?:the|my|our|where)\b", tail) or re.search(
        r"(?:^|\n| )(?:go|going|haul|carry) (?:about |around |maybe )?$", head
    ):
        return quantity(letter, "site.haul_distance", one, "a way from one place to another")
    if re.search(
        r"\b(?:trail|haul|skid (?:road|trail)|path|trip|carry|way)(?: out| back| in| down)? (?:is|runs|would be)(?: about| roughly| around| maybe)* ?$",
        head,
    ):
        return quantity(letter, "site.haul_distance", one, "the length of the way")
    if re.match(r" (?:off|away)\b(?! the)", tail) and re.search(
        r"\b(?:pile|landing|woods|stack|header|field|woodlot)[a-z ,]{0,14}$", head
    ):
        return quantity(letter, "site.haul_distance", one, "a way from where it lies")
    if re.search(
        r"\b(?:woods|logs|woodlot|stand|trees|rocks|field)[a-z ]{0,12} (?:is|are|lies?|sits?) (?:about |maybe |around )?$",
        head,
    ) and _FAR.match(tail):
        return quantity(letter, "site.haul_distance", one, "a way from where it lies")
    if not (_HAUL.search(head) or re.match(r"[ -]*(?:haul|carry|drag)", tail)):
        return None
    if (one.unit == "mi" and one.high > 2) or re.match(
        r"[ -]*(?:of (?:brush|fence|road)|from (?:you|town)|long\b)", tail
    ):
        return None
    near = re.search(
        r"\b(?:haul\w*|carry\w*|drag\w*|distance|skid\w*|mov(?:es?|ing)|get(?:ting)? (?:it|them|everything|logs|the logs))\b[a-z ,:]{0,40}$|\b(?:haul\w*|carry\w*|drag\w*|skid\w*|mov\w+)\b[^.]{0,50} over (?:about )?$",
        head,
    )
    return (
        quantity(letter, "site.haul_distance", one, "a way to carry")
        if near or _FAR.match(tail) or re.match(r"[ -]*(?:haul|carry|drag)", tail)
        else None
    )


_BUDGET = re.compile(
    r"\b(?:budget\w*|spend|spending|all[ -]in|afford|limit(?:ed)?(?: is| to)?|cap(?:ped)?(?: is| at)?|set aside|stretch to|stay(?:ing)? (?:around|under|near|below|within)|no more than|(?:not|n't|never) (?:pay|spend|go|be) (?:more|over|above|past)(?: than)?|could (?:do|spend|go|manage)|not (?:more|over) than|stay under|keep (?:it|this|things|the whole thing)? ?(?:under|below|around)|under|price range|tops|max\w*|to work with|to play with|go (?:over|above|past|to|up to|as high as)|have (?:about|around|got|only)?|i've got|got about|willing to pay|ceiling|can do|come in under|most i)\b"
)
_MONEY_AFTER = re.compile(
    r"[ ]*(?:or so |max |total |tops |is )*(?:all[ -]in|all told|to spend|budget\w*|tops|max\w*|to work with|to play with|is (?:my|our|the) (?:limit|max\w*|budget|ceiling|top)|set aside|total|out the door|otd|for (?:everything|the whole|the lot|it all)|limit|installed|saved|or less|fitted)\b"
)


def wishes(letter: Letter) -> Iterator[Found | None]:
    """What may be spent, and how much it will be used."""
    for one in letter.amounts:
        if one.dimension == "hours":
            yield _hours(letter, one)
        elif one.dimension in ("money", "count") and not letter.foreign(one.start):
            yield _budget(letter, one)


def _hours(letter: Letter, one: Amount) -> Found | None:
    head, tail = letter.before(one.start, 40), letter.after(one.end, 34)
    yearly = (
        re.match(
            r"[ ]*(?:or so |tops |at most |max |of (?:use|work|grapple work|loader work) )*(?:a|per|each|every|/|in a|an?) ?(?:year|yr|season|annum)\b",
            tail,
        )
        or re.search(
            r"\b(?:hours (?:a|per|each) year(?: would be| is| are| will be)?|yearly(?: use)?|per year|annual\w*(?: use| hours)?|hours/year)\W*(?:is |about |of |: ?)*$",
            head,
        )
        or re.match(r"[ ]*(?:/ ?yr|/ ?year|yearly|annually)", tail)
    )
    if not yearly or not letter.own(one.start) or letter.denied(one.start, 16):
        return None
    return quantity(letter, "wishes.hours_per_year", one, "hours a year")


def _budget(letter: Letter, one: Amount) -> Found | None:
    start, end = letter.sentence(one.start)
    head, tail = letter.before(one.start, 50), letter.low[one.end : min(end, one.end + 36)]
    said = _MONEY_AFTER.match(tail)
    named = re.search(rf"{_BUDGET.pattern}[a-z :=,'-]{{0,26}}$", head)
    if one.dimension == "count" and (
        one.low < 300
        or not (
            re.match(
                r"[ ]*(?:all[ -]in|to spend|budget|is (?:my|our) (?:limit|max|budget)|out the door|tops for|total budget|for everything)",
                tail,
            )
            or re.search(r"\b(?:budget|spend(?:ing)?)\b[a-z :='-]{0,22}$", head)
        )
    ):
        return None
    if not (said or named) or (
        re.search(
            r"\b(?:saw|found|seen|asking|listed|listing|advertis\w*|online|on-line|price[sd]?|costs?|sells?|for sale|ad|quoted|charge[sd]?|shipping|freight|paid|deposit|trade|selling|loader was|worth)\b[^,]{0,36}$",
            letter.low[max(start, one.start - 60) : one.start],
        )
        and not re.search(r"\b(?:budget|spend|all[ -]in|afford)\b", head + tail)
    ):
        return None
    if re.search(
        r"(?:n't|not)(?: really)? (?:want|wanna|wish|like|looking|going|trying) to (?:spend|pay|drop) (?:another |an extra )?\$?$",
        letter.before(one.start, 50),
    ):
        return None
    if letter.asked(one.start) and not re.search(r"\b(?:budget|spend|under|all[ -]in)\b", head + tail):
        return None
    if (
        named
        and re.search(r"\b(?:under|have|got|max\w*|limit\w*|cap\w*)\b", named.group())
        and one.dimension == "money"
        and re.match(r"[ ]*(?:a|per|each|/)\b", tail)
    ):
        return None
    entry = f"{one.low:.10g} to {one.high:.10g}" if one.low != one.high else f"{one.low:.10g}"
    return quantity(letter, "wishes.budget", one, "money beside words for spending", entry=entry)
