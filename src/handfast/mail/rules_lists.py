"""Letters that are lists: "front axle: 3,900 lb", "slope: none"; the word before the colon says which fact it is."""

from __future__ import annotations

import re
from collections.abc import Iterator

from handfast.mail.amounts import Amount
from handfast.mail.cleaning import plain
from handfast.mail.found import Found, Value
from handfast.mail.letter import Letter
from handfast.mail.quantities import quantity

_LINE = re.compile(
    r"(?:^|(?<=[\n;|])|(?<=[.!] ))[ ]{0,12}(?:[-+>]|\(?\d{1,2}[.)])?[ ]{0,6}(?P<key>[a-z][a-z0-9 /'().-]{1,34}?)[ ]{0,6}(?:[:=]|[ ]-{1,2}[ ])[ ]{0,6}(?P<value>[^\n;|]{1,120}?)(?=(?<!approx)(?<!abt)\.(?:[ \n]|$)|[\n;|]|$)"
)
_SELF_ASKED = re.compile(
    r"(?:^|(?<=[\n.!?] ))[ ]*(?:and |so )?(?:what(?:'s| is)? |which |any |is it |how many |the |my |do i have |does it have |is there |got )*(?P<key>[a-z][a-z0-9 /'-]{2,40}?)\?[ ]+(?P<value>[^\n?]{1,70}?)(?=[.!](?:[ \n]|$)|\n|$)"
)
_QUOTED_ASK = re.compile(
    r"^[ ]*[>|][>| ]*(?:\d{1,2}[.)] ?)?(?:what(?:'s| is| are)? |which |any |is it |how many |the |your |is the |do you have |and |does it have |are )*(?P<key>[a-z][a-z0-9 /'-]{2,50}?)\?[ ]*\n+[ ]*(?P<value>[^>\n]{1,100})(?=\n|$)",
    re.M,
)
_AMOUNTS: tuple[tuple[str, str, str, str], ...] = (
    ("machine.engine_power", "power", "hp", r"(?:engine )?(?:hp|horse ?power|power|engine)"),
    (
        "machine.mass",
        "mass",
        "lb",
        r"(?:tractor |machine |total |gross |operating |own |its )*(?:weight|mass)(?: (?:of |with )?(?:the )?(?:tractor|loader)(?: on)?)?|weighs",
    ),
    ("machine.front_axle_mass", "mass", "lb", r"(?:weight on )?(?:the )?front axle(?: weight| mass)?"),
    ("machine.rear_axle_mass", "mass", "lb", r"(?:weight on )?(?:the )?(?:rear|back) axle(?: weight| mass)?"),
    ("machine.wheelbase", "length", "in", r"wheel ?base"),
    ("machine.pump_flow", "flow", "gpm", r"(?:hydraulic |hyd )?(?:pump|flow|gpm)(?: flow)?(?: \(gpm\))?"),
    (
        "machine.relief_pressure",
        "pressure",
        "psi",
        r"(?:system |hydraulic |relief )?(?:relief|pressure|psi)(?: setting| valve)?",
    ),
    (
        "machine.loader.lift_at_pin",
        "mass",
        "lb",
        r"(?:loader )?(?:lift|capacity|lift capacity|lifts) (?:at )?(?:the )?(?:pivot |bucket )?pins?|pin lift|loader lift at (?:the )?pins?",
    ),
    (
        "machine.loader.lift_at_500",
        "mass",
        "lb",
        r"(?:loader )?(?:lift|capacity|lift capacity|lifts)? ?(?:at )?500 ?mm(?: (?:ahead|forward|out)(?: of pins?)?)?",
    ),
    (
        "machine.loader.pin_height_max",
        "length",
        "in",
        r"(?:max\w* )?(?:pin|hinge pin|pivot pin|pivot) height|(?:max\w* )?(?:lift )?height (?:at|to|of) (?:the )?(?:hinge |pivot |bucket )?pins?",
    ),
    (
        "machine.hitch_lift_610",
        "mass",
        "lb",
        r"(?:hitch|3 ?-?(?:pt|point)|three point)(?: hitch)? lift(?: capacity)? (?:at )?(?:24 ?(?:in\w*|\")|610 ?mm)(?: behind)?",
    ),
    ("site.gate", "length", "ft", r"(?:narrowest )?(?:gate|gateway|barn door|doorway)(?: width| opening)?"),
    (
        "site.lift_to",
        "length",
        "ft",
        r"(?:lift(?: it)? (?:up )?to|lift height(?: needed)?|height to (?:lift|reach|load)|trailer (?:deck|bed|height|side)s?|(?:dump |truck )bed(?: height)?|stack height)",
    ),
    (
        "site.haul_distance",
        "length",
        "yd",
        r"(?:haul|carry|drag|hauling|carrying)(?: distance)?|distance(?: to (?:haul|carry))?|how far(?: (?:and how steep|do you (?:haul|carry)|is (?:it|the haul)))?",
    ),
    (
        "wishes.budget",
        "money",
        "",
        r"(?:my |our |total )?(?:budget|to spend|max(?:imum)?(?: price)?|money|limit|price limit|spend(?:ing)?(?: limit)?)",
    ),
    (
        "wishes.hours_per_year",
        "hours",
        "h",
        r"(?:hours|hrs|use|usage)(?: (?:per|a|each) year|/ ?(?:year|yr))?|yearly (?:use|hours)|annual (?:use|hours)",
    ),
)
_YES = r"(?:yes|yep|yeah|yup|y\b|has|have|fitted|present|installed|got (?:it|one)|it does|it has|true|one pair|works?|good|ok|there|on)"
_NO = r"(?:no\b|none|nope|n\b(?!/)|not|never|missing|gone|cut|removed|torn|broken|rotted|without|false|nothing|doesn't|does not|zero|0\b)"
_PLAIN: tuple[tuple[str, str, tuple[tuple[str, Value], ...]], ...] = (
    (
        "machine.centre",
        r"(?:hydraulic(?:s)? |valve |system )?(?:cent(?:er|re)|hydraulics?|system)(?: type)?",
        (
            (r"open\b", "open"),
            (r"closed?\b(?!.{0,20}load)", "closed"),
            (r"(?:closed cent\w+ )?load[- ]?sens\w+", "load_sensing"),
        ),
    ),
    ("machine.power_beyond", r"power[- ]beyond(?: port)?|pb", ((_NO, False), (_YES, True))),
    ("machine.seat_belt", r"(?:seat ?-?)?belt", ((_NO, False), (_YES, True))),
    ("machine.four_wheel_drive", r"4 ?wd|4x4|four[- ]wheel drive|4[- ]wheel drive|fwd", ((_NO, False), (_YES, True))),
    (
        "machine.four_wheel_drive",
        r"drive(?: wheels| type)?",
        ((r"4 ?wd|4 ?x ?4|four[- ]wheel|4[- ]wheel", True), (r"2 ?wd|two[- ]wheel|2[- ]wheel", False)),
    ),
    (
        "machine.rops",
        r"rops|roll ?-?(?:bar|over bar|over)|roll ?over protection",
        (
            (r".{0,24}(?:keep|keeping|leave|left|stays?) (?:it )?up\b", "up"),
            (r"(?:folded|down|laid|lowered|fold)", "folded"),
            (_NO, "none"),
            (r"(?:up\b|upright|yes|standing|raised)", "up"),
        ),
    ),
    (
        "machine.tyre_fill",
        r"(?:rear |back )?(?:tires?|tyres?|rears)(?: fill(?:ed)?| ballast| fluid)?|(?:tire|tyre) ?fill|(?:filled|loaded)|fluid in (?:the )?(?:tires?|tyres?)",
        (
            (
                r"(?:no(?:ne|t\b.{0,8}(?:filled|loaded))?\b(?! clue| idea)|nothing|empty|air|dry|just air|unfilled|unloaded|no fluid)",
                "none",
            ),
            (
                r"(?:r\d[, ]+|ags?[, ]+|turfs?[, ]+|industrials?[, ]+)?(?:yes|(?:are |both |rears? )?(?:filled|loaded)|beet|calcium|washer|water|windshield|antifreeze)",
                "filled",
            ),
        ),
    ),
    (
        "machine.quick_attach",
        r"(?:ss)?qa|q/a|attachment (?:interface|system|type|mount(?:ing)?)|(?:quick[- ]?attach|plate|levers) or pin(?:s|ned)(?: on)?|pins? or (?:plate|quick[- ]?attach|levers)|(?:bucket |loader |quick )?-?(?:attach(?:ment)?|hitch|mount(?:ing)?|hookup|coupler|carrier|interface|plate|latch|quick[- ]?attach|bucket)(?: (?:type|system|style|plate|mount))?",
        (
            (
                r"(?:none|no quick|pins?\b(?! (?:and )?(?:hook|or))|pinned|pin[- ]on|four pins|4 pins|direct pin|straight pins)(?!.*hook)",
                "pinned",
            ),
            (r".{0,24}(?:narrow|mini|half[- ]size)", "universal_plate_narrow"),
            (r".{0,16}(?:ssqa|skid ?-?steer|universal|two levers|2 levers|levers)", "universal_plate"),
            (r".{0,16}(?:hooks?\b.{0,24}pins?|euro)", "hook_and_pin"),
        ),
    ),
    (
        "caller.unloading",
        r"unload(?:ing)?(?: with| by)?|offload(?:ing)?|delivery|at delivery|to unload",
        (
            (r".{0,20}(?:lift|tail) ?-?gate", "lift_gate"),
            (r".{0,20}(?:fork ?lift|forks|tele ?handler)(?<!no forks)(?<!no forklift)", "forks"),
            (r".{0,16}\bdock\b", "dock"),
            (r".{0,10}\bby hand", "by_hand"),
        ),
    ),
    ("caller.residential", r"residential|residence|home address|house", ((_NO, False), (_YES, True))),
    (
        "wishes.own_work",
        r"(?:install(?:ation|ed|ing)?|fit(?:ting|ted)?|who (?:installs|fits)|labor|labour|mount(?:ing|ed)? by|own work|diy)(?: by| it)?",
        (
            (r".{0,12}(?:my ?self|ourselves|i do it|i will|i'll|own|me\b|diy|yes)", True),
            (r".{0,12}(?:you\b|your|shop|dealer|no\b)", False),
        ),
    ),
    (
        "machine.class",
        r"class|size(?: class)?|tractor (?:class|size)|type",
        (
            (r"sub[- ]?compact", "subcompact"),
            (r"(?:small|little) compact", "compact_small"),
            (r"(?:large|big) compact", "compact_large"),
            (r"utility", "utility"),
        ),
    ),
)
_LEVEL = re.compile(
    r"(?:none|no\b|flat|level|dead flat|all flat|zero|0\b ?(?:%|deg)?|it'?s (?:flat|level)|nothing|n/a)(?! (?:mostly|idea|clue))(?!.*\b(?:mostly|some|except|but|\d)\b)"
)
_NUMBERS = {"no": 0, "none": 0, "zero": 0, "nothing": 0, "a": 1, "one": 1, "single": 1, "two": 2, "three": 3, "four": 4}
_COUNTED: tuple[tuple[str, str], ...] = (
    (
        "machine.front_functions",
        r"(?:front (?:third |3rd )?(?:functions?|remotes?|outlets?|hydraulics?|aux\w*)|(?:third|3rd) functions?|(?:loader|front) (?:aux\w*|spare)|spare functions?(?: (?:up |in )?front)?|aux(?:iliary)?(?: hydraulics?)? (?:up |in |at )?front|hydraulics? (?:up |in |at )?(?:the )?front|anything (?:extra |spare )?(?:up |in |at |out )?(?:the )?front)",
    ),
    (
        "machine.rear_remotes",
        r"(?:rear |back |hydraulic |hyd )?(?:remotes?|scvs?|outlets?)(?: (?:in |at |on )?(?:the )?(?:rear|back))?|rear (?:hydraulics?|outlets?|aux\w*)|hydraulics? (?:in |at |on )?(?:the )?(?:rear|back)",
    ),
    ("machine.mid_outlets", r"mid(?:[- ]mount)?(?: (?:outlets?|ports?|remotes?|valves?|hydraulics?))"),
    (
        "machine.lines_at_valve",
        r"(?:hydraulic )?(?:lines|hoses|pipes)(?: (?:at|on|into|to|going (?:into|to)))? (?:the )?(?:loader )?(?:control )?valve",
    ),
)
_WHY = "the word before the colon"


def lists(letter: Letter) -> Iterator[Found | None]:
    """Facts in lines of a word, a colon and what it is."""
    for match in (
        *_LINE.finditer(letter.low),
        *_SELF_ASKED.finditer(letter.low),
        *_QUOTED_ASK.finditer(plain(letter.raw)),
    ):
        key = re.sub(r"[ ]*\([^)]*\)$", "", match["key"].strip())
        if letter.foreign(match.start("value")) or match["value"].rstrip().endswith("?"):
            continue
        yield from _amount(letter, match, key)
        yield from _plain(letter, match, key)
        yield from _counted(letter, match, key)
        yield from _level(letter, match, key)


def _amount(letter: Letter, match: re.Match[str], key: str) -> Iterator[Found | None]:
    start, end = match.span("value")
    for place, dimension, unit, words in _AMOUNTS:
        if not re.fullmatch(words, key):
            continue
        first = next((one for one in letter.amounts if start <= one.number and one.end <= end), None)
        if first is None or not re.fullmatch(
            r"(?:about|approx\.?|roughly|around|maybe|max|under|up to|just|~|\$|usd|is|of|[ ,])*",
            letter.low[start : first.number],
        ):
            return
        entry = f"{first.low:.10g}" if dimension == "money" else first.entry
        if first.dimension == "count" and dimension in ("power", "flow", "pressure"):
            entry = f"{first.entry} {unit}"
        elif first.dimension != dimension and not (first.dimension == "count" and dimension in ("money",)):
            if not (dimension == "hours" and first.dimension == "count" and "year" in key):
                return
            entry = f"{first.entry} h"
        if dimension == "hours" and not re.search(r"year|yr|annual", key + letter.low[first.end : end]):
            return
        yield quantity(letter, place, first, _WHY, entry=entry)


def _plain(letter: Letter, match: re.Match[str], key: str) -> Iterator[Found]:
    for place, words, values in _PLAIN:
        if not re.fullmatch(words, key):
            continue
        for said, value in values:
            found = re.match(rf"(?:it's |it is |its |just |plain |only |a |the |is |are )*(?:{said})", match["value"])
            if found and not re.search(r"\b(?:don't know|dont know|not sure|unsure|no idea|\?)", match["value"]):
                begin = match.start("value")
                yield letter.fact(place, value, begin, begin + found.end(), _WHY)
                break


def _counted(letter: Letter, match: re.Match[str], key: str) -> Iterator[Found]:
    begin = match.start("value")
    for place, words in _COUNTED:
        if not re.fullmatch(words, key):
            continue
        ends = _both_ends(letter, match) if place == "machine.rear_remotes" else ()
        if ends:
            yield from ends
            return
        if place == "machine.rear_remotes" and re.match(
            r"(?:none|no|nothing|zero)\b[a-z ]{0,8}\b(?:anywhere|spare|extra)", match["value"]
        ):
            return
        found = re.match(
            r"(?:just |only |yes,? |has |have |it has )*(?P<n>\d|no\b|none|zero|nothing|one|two|three|four|a\b|single|six|seven|five|eight)(?! ?(?:%|/|hp|psi|gpm|clue|idea))",
            match["value"],
        )
        yes = re.match(rf"{_YES}\b", match["value"]) if place == "machine.front_functions" else None
        if found:
            number = (
                int(found["n"])
                if found["n"].isdigit()
                else {**_NUMBERS, "five": 5, "six": 6, "seven": 7, "eight": 8}[found["n"]]
            )
            yield letter.fact(place, number, begin, begin + found.end(), _WHY)
        elif yes:
            yield letter.fact(place, 1, begin, begin + yes.end(), _WHY)
        return


_END = re.compile(
    r"(?P<n>\d|no\b|none|zero|nothing|one|two|three|four|a\b) ?(?:(?:pairs?|sets?|remotes?|outlets?|spare) ?)*(?:(?:in|at|on|up|out) )*(?:the )?(?P<end>rear|back|front)"
)
_END_FIRST = re.compile(r"(?P<end>rear|back|front) ?[:=-]? ?(?P<n>\d|none|zero|nothing|one|two|three)\b")


def _both_ends(letter: Letter, match: re.Match[str]) -> tuple[Found, ...]:
    """ "2 rear, none in front" behind one word."""
    begin = match.start("value")
    pattern = _END if _END.search(match["value"]) else _END_FIRST
    found = []
    for one in pattern.finditer(match["value"]):
        number = int(one["n"]) if one["n"].isdigit() else _NUMBERS[one["n"]]
        place = "machine.front_functions" if one["end"] == "front" else "machine.rear_remotes"
        found.append(letter.fact(place, number, begin + one.start(), begin + one.end(), _WHY))
    return tuple(found)


def _level(letter: Letter, match: re.Match[str], key: str) -> Iterator[Found | None]:
    if not re.fullmatch(
        r"(?:max(?:imum)? |steepest |the )?(?:slopes?|grade|hills?|ground|land|terrain|site|steepest(?: (?:slope|hill|part))?|how steep(?: is it)?|how far and how steep|lay of the land)",
        key,
    ):
        return
    begin = match.start("value")
    level = _LEVEL.match(match["value"])
    if level:
        yield letter.fact("site.slope", 0.0, begin, begin + level.end(), _WHY, entry="0 %")
        return
    first: Amount | None = next(
        (one for one in letter.amounts if begin <= one.number and one.end <= match.end("value")), None
    )
    if first is not None and first.dimension == "slope":
        yield quantity(letter, "site.slope", first, _WHY)
