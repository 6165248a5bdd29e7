"""The tractor's figures: power, masses, lifts, lengths, oil."""

from __future__ import annotations

import re
from collections.abc import Iterator

from handfast.mail.amounts import Amount
from handfast.mail.found import Found
from handfast.mail.letter import Letter
from handfast.mail.quantities import quantity
from handfast.mail.topics import HITCH, topic_at

_NOT_ENGINE = re.compile(
    r"[ ]*(?:@|at (?:the )?)?[ ]*(?:pto\b|p\.t\.o|(?:gas |honda |engine )?(?:splitter|log splitter|chipper|generator|mower|truck|saw|outboard|skid|excavator|zero|motor on|mulcher|pump|shredder|minimum|min\b|and up|or more|class tractors?|tractors\b|range\b|machines\b))"
)
_RATED_FOR = re.compile(
    r"\b(?:rated (?:for|to)|for (?:tractors?|machines?)(?: (?:of|from|with))?|good for|requires?|needs?|needing|takes|takes at least|minimum(?: of)?|max(?:imum)?(?: of)?|recommended(?: for)?|fits|suits|pto|designed for|made for|chainsaw|splitter|generator|pump (?:makes|takes|needs))[ ]+(?:a |an |about |around |up to |between |from |at least )*$"
)
_WEIGH = re.compile(
    r"\b(?:weigh\w*|weight|wieghs?|scale[sd]?|tips?|lbs? (?:all )?(?:up|in)|comes? in|heavy|mass|curb|ready to work|with (?:the )?loader|loaded|all up)\b"
)
_LIFT = re.compile(
    r"\b(?:lift(?:s|ed|ing)?|lfits?|pick(?:s|ed|ing)?(?: up)?|rais(?:es?|ing)|capacity|rated|rating|handles?|good for|can do|will do|cap)\b"
)
_AT_PIN = re.compile(
    r"\b(?:at|on) (?:the )?(?:loader |pivot |bucket |quick ?attach |hinge )?(?:pins?|pivots?)\b|\bpin (?:lift|capacity|rating)\b|\b(?:pivot|hinge) pins?\b|\bto (?:full|max\w*) height at (?:the )?pins?"
)
_AT_500 = re.compile(
    r"\b(?:500 ?mm|50 ?cm|19\.7|19[.,]68|20 ?(?:in\w*|\")|half a met\w+|0[.,]5 ?m)\b.{0,12}?(?:ahead|forward|in front|out|from|beyond|past|of the pins?)?|\b(?:ahead|forward|out in front|in front) of (?:the )?pins?\b"
)
_AT_610 = re.compile(
    r"\b(?:24 ?(?:in\w*|\"|'')|610 ?mm|61 ?cm|2 ?(?:ft|feet|foot|')|two (?:feet|foot)|twenty[- ]four inch\w*)[ ,]*(?:behind|back|aft|out|from|beyond|rearward|past)?|\bat 610\b"
)
_AXLE = re.compile(r"\b(?P<end>front|rear|back)(?: axle| end| wheels| tires| alone| by itself)?\b")
_RATED = re.compile(r"\b(?:rat(?:ed|ing)|capacity|limit|max\w*|allowed|gawr|carries)\b")
_BREAKOUT = re.compile(r"\bbreak[- ]?out\b|\bcurl\b|\broll ?back\b|\bdump\b|\btip(?:ping)? load\b")


def powers(letter: Letter) -> Iterator[Found | None]:
    """Engine power: an amount of horses or kilowatts that is the tractor's own."""
    for one in letter.amounts:
        if one.dimension == "count" and re.search(
            r"(?:^|[\n,;] ?-? ?)(?:engine )?(?:hp|horse ?power|power \(hp\)) ?(?:[:=]|-|is) ?(?:about |~)?$",
            letter.low[max(0, one.start - 26) : one.start],
        ):
            yield quantity(
                letter, "machine.engine_power", one, "a number behind the word horsepower", entry=f"{one.entry} hp"
            )
        if one.dimension != "power" or not letter.own(one.start) or letter.denied(one.start, 22):
            continue
        head, tail = letter.before(one.start, 40), letter.after(one.end, 30)
        if "horses" in letter.low[one.start : one.end] and re.search(
            r"\b(?:after|feed\w*|board\w*|own|keep|stable|ride|raise|we have|for) (?:our |my |the |about )*$", head
        ):
            continue
        if (
            _NOT_ENGINE.match(tail)
            or _RATED_FOR.search(head)
            or re.search(r"\bpto\W*$|\bpto (?:is|hp|power)\W*(?:about )?$", head)
        ):
            continue
        if re.match(r"[ ,]*(?:for|to|at|on)? ?(?:the )?pto\b", tail) or re.search(
            r"\b(?:splitter|chipper|saw|generator|truck|mower|grapple|cutter)\W+(?:is|has|with|runs?)?[a-z ]{0,12}$",
            head,
        ):
            continue
        yield quantity(letter, "machine.engine_power", one, "an amount of horses or kilowatts")


def masses(letter: Letter) -> Iterator[Found | None]:
    """Masses and lifts of the tractor, its axles, loader and hitch."""
    for one in letter.amounts:
        if one.dimension != "mass" or not letter.own(one.start) or letter.denied(one.start, 26):
            continue
        yield _axle(letter, one) or _lift(letter, one) or _mass(letter, one)


def _axle(letter: Letter, one: Amount) -> Found | None:
    start, end = letter.clause(one.start)
    head, tail = letter.low[max(start, one.start - 40) : one.start], letter.low[one.end : min(end, one.end + 34)]
    before = list(_AXLE.finditer(head))
    after = re.match(
        r"[ ]*(?:lbs? )?(?:was |is |are |sits |of it |of that |of which is )?(?:on|over|at|for) (?:the )?(?P<end>front|rear|back)(?: (?:axle|end|wheels|tires|alone))?\b(?! (?:end loader|loader|3|hitch|of the tractor|i\b))(?! of)",
        tail,
    )
    found = after or (before[-1] if before else None)
    if found is None or _RATED.search(head + tail):
        return None
    if not after and not re.fullmatch(
        r"(?: (?:axle|wheels|end|was|is|are|weighs?|weighed|scaled|at|about|around|carries|alone|by itself|came in|comes in|tips)|[:= ,~-])*",
        head[found.end() :],
    ):
        return None
    if not re.search(r"\b(?:axle|weigh\w*|scale[sd]?|wheels)\b", letter.low[slice(*letter.sentence(one.start))]):
        return None
    end_word = "front" if found["end"] == "front" else "rear"
    return quantity(letter, f"machine.{end_word}_axle_mass", one, f"a weight on the {end_word} axle")


def _lift(letter: Letter, one: Amount) -> Found | None:
    near = letter.before(one.start, 80) + "~" + letter.after(one.end, 50)
    if _BREAKOUT.search(letter.before(one.start, 40)):
        return None
    topic, _ = topic_at(letter, one.start, one.end)
    name = topic.name if topic else ""
    own_tail, head = _own_tail(letter, one), letter.before(one.start, 60)
    if re.search(rf"{HITCH}[^.]{{0,50}}$", letter.before(one.start, 90)) or name == "hitch":
        if _AT_610.search(own_tail) or (_AT_610.search(head) and "at 24" in head):
            return quantity(letter, "machine.hitch_lift_610", one, "what the hitch lifts, two feet behind its ends")
        return None
    if not (
        _LIFT.search(near)
        or _led_by(head)
        or name == "loader"
        or _AT_PIN.search(own_tail)
        or (_AT_500.search(own_tail) and re.search(r"\bpins?\b|forward|ahead", near))
    ):
        return None
    ahead = _led_by(head)
    if ahead:
        return quantity(letter, f"machine.loader.{ahead}", one, "a lift behind the words for where")
    if _AT_500.search(own_tail):
        return quantity(letter, "machine.loader.lift_at_500", one, "a lift ahead of the pins")
    if _AT_PIN.search(own_tail) or _AT_PIN.search(head[-34:]):
        return quantity(letter, "machine.loader.lift_at_pin", one, "a lift at the pins")
    return None


_LED = re.compile(
    r"(?:^|[,;:(\n]|\band\b|\bis\b|\blifts?\b|\brated\b|\bloader\b) *(?:at |@ )(?:the )?(?:(?P<pin>(?:loader |pivot |bucket |hinge )?pins?)|(?P<out>500 ?mm|50 ?cm|20 ?(?:in\w*|\"))(?: (?:ahead|out|forward|in front)(?: of (?:the )?pins?)?)?)[ :,=]*(?:it'?s |is |it lifts |it'?ll do |lifts |about |only |just )*$"
)


def _led_by(head: str) -> str:
    """ "At the pins 1,130": the words for where stand before the figure."""
    match = _LED.search(head)
    return "" if match is None else "lift_at_pin" if match["pin"] else "lift_at_500"


_NEXT_LED = re.compile(
    r"[,;] *(?:and )?(?:at|@) (?:the )?(?:pins?|500 ?mm|50 ?cm|20 ?(?:in\w*|\"))[ a-z:,=]*$|\band (?:at|@) (?:the )?(?:pins?|500 ?mm|50 ?cm)[ a-z:,=]*$"
)


def _own_tail(letter: Letter, one: Amount) -> str:
    """What stands behind an amount before the next of its kind."""
    following = next(
        (other.start for other in letter.amounts if other.start >= one.end and other.dimension == "mass"),
        len(letter.low),
    )
    tail = letter.low[one.end : min(following, letter.sentence(one.start)[1], one.end + 60)]
    return _NEXT_LED.sub("", tail) if following - one.end <= 60 else tail


def _mass(letter: Letter, one: Amount) -> Found | None:
    topic, between = topic_at(letter, one.start, one.end)
    head, tail = letter.before(one.start, 40), letter.after(one.end, 60)
    if _it_weighs(letter, one, topic.name if topic else ""):
        return quantity(letter, "machine.mass", one, "it weighs so much, and only a tractor does")
    ready = re.search(
        r"\b(?:with (?:the )?(?:loader|bucket)|on the truck scale|ready to work|all up|fuel and all)\b",
        tail + " " + head,
    )
    if (
        ready
        and re.search(r"\bweigh\w*\b|\bweight\b|\bscale", head)
        and (
            topic is None
            or topic.name in ("tractor", "loader")
            or (
                re.search(r"(?:\b(?:it|she|tractor) |^[\s-]*)(?:weighs?|weighed|scaled)\b[a-z ]*$", head)
                and topic.group == "other"
            )
        )
    ):
        return quantity(letter, "machine.mass", one, "a weight with its loader, or on a truck's scale")
    if topic is None or topic.name not in ("tractor", "loader"):
        return None
    if re.search(r"\bthey\b[a-z ]*$", head) or re.match(r" ?(?:each|apiece|a ?piece)\b", tail):
        return None  # several things weigh so much each
    if between == "after":
        if topic.name != "tractor" or re.search(
            r"\b(?:lift|pick|rated|capacity|max|over|under|up to)\b", letter.before(one.start, 24)
        ):
            return None
        return quantity(letter, "machine.mass", one, "a weight before the word for the tractor")
    if _LIFT.search(between) or (
        topic.name == "loader"
        and not re.search(
            r"\b(?:with|and)(?: the)? $|with (?:the )?loader", letter.low[max(0, topic.start - 9) : topic.end]
        )
    ):
        return None
    whole = letter.low[topic.start : one.end + 30]
    if _WEIGH.search(whole) or re.search(r"\b(?:is|at|about|:|=)\W*$", between):
        return quantity(letter, "machine.mass", one, "a weight beside the word for the tractor")
    return None


_HEAVIEST = 680.0  # kg; nothing that hangs on a loader or is called a bucket weighs as much


def _it_weighs(letter: Letter, one: Amount, about: str) -> bool:
    """ "It weighs 3,600 lb" behind words about the bucket or the hitch: only the tractor weighs that."""
    head = letter.before(one.start, 50)
    heavy = one.low * {"lb": 0.4536, "kg": 1.0, "t": 1000.0, "short ton": 907.0}.get(one.unit, 0.0) >= _HEAVIEST
    told = re.search(
        r"(?:^ *|[\n.,;] *|\band )(?:it|she|he|tractor|the tractor|machine|whole \w+)(?:'s| is| all)? (?:weighs?|weighed|scaled?s?|tips)\b[a-z ]*$|[,;] (?:and )?weighs\b[a-z ]*$",
        head,
    )
    named = re.search(r"\b(?:tractor|loader|4wd|horse|hp|compact)\b", letter.low) or any(
        word in letter.low for word in letter.models
    )
    work = any(
        each in letter.low[max(0, one.start - 110) : one.start]
        for each in ("log", "bale", "rock", "pallet", "stone", "stump", "trunk", "grapple")
    )
    return bool(
        heavy
        and told
        and named
        and not work
        and about in ("bucket", "hitch", "loader", "tractor", "", "front_axle", "rear_axle", "vehicle", "slope", "gate")
    )


_WHEELBASE = re.compile(
    r"wheel ?-?base|axle[- ]to[- ]axle|(?:between|center to center of|centre to centre of) (?:the )?(?:axles|front and rear (?:axles?|wheels?))|cent(?:er|re) of (?:the )?front (?:wheel|axle|hub)s? to (?:the )?cent(?:er|re) of (?:the )?(?:rear|back) (?:wheel|axle|hub)s?|hub to hub|front (?:axle|wheel|hub)\w* to (?:the )?(?:rear|back) (?:axle|wheel|hub)\w*|radstand"
)
_PIN_HEIGHT = re.compile(
    r"(?:(?:pin|pivot)s?'? ?(?:height|hight|heigth)|(?:max\w*|full|lift|loader)?\.? ?(?:lift )?(?:height|hight|heigth)(?: (?:at|of|to) (?:the )?(?:pivot |bucket |hinge )?pins?)?|(?:raises?|lifts?) (?:its |the |up )+(?:pivot |bucket )?pins? (?:up )?to|(?:lifts?|raises|rises?|tops? out|goes|go|reach(?:es)?|up)(?: up)? to|tops? out(?: at)?)"
)
_PIN = re.compile(r"\b(?:pins?|pivots?)\b")


def lengths(letter: Letter) -> Iterator[Found | None]:
    """Wheelbase and the height of the pins."""
    for one in letter.amounts:
        if one.dimension != "length" or not letter.own(one.start) or letter.denied(one.start, 20):
            continue
        head, tail = letter.before(one.start, 80), letter.after(one.end, 34)
        last = [found for found in _WHEELBASE.finditer(head) if len(head) - found.end() < 30]
        if (last and not _other_amount(letter, one, len(head) - last[-1].end())) or re.match(
            rf"[ ]*(?:{_WHEELBASE.pattern})", tail
        ):
            yield quantity(letter, "machine.wheelbase", one, "a length beside the word wheelbase")
            continue
        high = list(_PIN_HEIGHT.finditer(head))
        if (high and len(head) - high[-1].end() < 24 and (_PIN.search(head) or _PIN.search(tail[:24]))) or (
            re.match(r"[ ]*(?:at |to |of |for )?(?:the )?(?:loader |pivot |bucket )?pins?(?: height| high)?\b", tail)
            and re.search(r"\b(?:height|high|lifts?|raise\w*|up)\b", head + tail[:30])
        ):
            yield quantity(letter, "machine.loader.pin_height_max", one, "a height of the pins")


def _other_amount(letter: Letter, one: Amount, reach: int) -> bool:
    """Whether another amount of its kind stands between a word and an amount."""
    return any(
        other.dimension == one.dimension and one.start - reach <= other.start < one.start for other in letter.amounts
    )


def _either(letter: Letter, one: Amount) -> bool:
    """ "Might be 6, might be 7": neither is told."""
    return bool(
        re.match(
            r" ?(?:\w+ ?)?(?:,|or|,? ?or) (?:it )?(?:might|may|could|maybe)\b[a-z ]{0,9}\d",
            letter.low[one.end : one.end + 30],
        )
        or re.search(
            r"\d[a-z ]{0,6}, (?:or )?(?:it )?(?:might|may|could)(?: be)? $",
            letter.low[max(0, one.start - 30) : one.start],
        )
    )


_NOT_PUMP = re.compile(
    r"\b(?:steering|needs?|requires?|wants?|takes|minimum|min|grapple|attachment|implement|recommended|rated (?:for|to)|remotes?|aux\w*|third function|ad says|up to)\b"
)
_NOT_RELIEF = re.compile(
    r"\b(?:grapple|attachment|cylinders?|hoses?|needs?|requires?|rated (?:for|to)|tires?|tyres?|air|good for|pressure washer|compressor|inflat\w*|max|couplers?|fittings?|splitter|concrete)\b"
)


def oil(letter: Letter) -> Iterator[Found | None]:
    """Pump flow and relief pressure."""
    for one in letter.amounts:
        if one.dimension not in ("flow", "pressure") or not letter.own(one.start) or letter.denied(one.start, 22):
            continue
        if _either(letter, one):
            continue
        clause = letter.clause(one.start)
        near = (
            letter.low[max(clause[0], one.start - 44) : one.start]
            + " ~ "
            + letter.low[one.end : min(clause[1], one.end + 26)]
        )
        if one.dimension == "flow":
            other = re.search(r"\b(?:pump|hydraulic|hyd|tractor|total|system)\b", near) is None
            if not (_NOT_PUMP.search(near) and other) and "steering" not in near:
                yield quantity(letter, "machine.pump_flow", one, "an amount of oil a minute")
        elif not _NOT_RELIEF.search(near) and not re.search(
            r"\b(?:bore|seal kit|stroke|hose assembly)\b", letter.low[slice(*letter.sentence(one.start))]
        ):
            yield quantity(letter, "machine.relief_pressure", one, "an oil pressure")
