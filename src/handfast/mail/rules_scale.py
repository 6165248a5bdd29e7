"""What a scale's ticket says: gross, front axle, rear axle, where often only the first figure carries its unit."""

from __future__ import annotations

import re
from collections.abc import Iterator

from handfast.mail.amounts import Amount
from handfast.mail.found import Found
from handfast.mail.letter import Letter
from handfast.mail.quantities import quantity

_SCALE = re.compile(r"\b(?:scales?|ticket|weigh\w*|gross|axles?|gravel pit|elevator|quarry)\b")
_RATED = re.compile(
    r"\b(?:rat(?:ed|ing)|capacity|limit|max\w*|allowed|gawr|carries|trailer|truck (?:is|weighs)|tongue)\b"
)
_SAID = r"(?:axle|end|wheels|tires|weight|alone|was|is|are|at|about|around|read|reads|reading|showed|shows|came (?:in|to|out)|comes to|weigh\w*|carr(?:ies|ied)|had|has|took|by itself|on it|of it|only|just|roughly|[:=,~-]| )*"
_BEFORE = re.compile(rf"\b(?P<end>front|rear|back)(?:s)?\b(?! of){_SAID}$")
_AFTER = re.compile(
    r" ?(?:lbs?\.? |pounds? |kg )?(?:was |is |are |being |sits |rides )?(?:of (?:it|that|which|them) )?(?:is |was |being |sits |rides )?(?:on|over|at|for|up|in)? ?(?:the )?(?P<end>front|rear|back)(?: (?:axle|end|wheels|tires|ones|pair))?\b(?! (?:end loader|loader|hitch|blade|remote))(?! of the tractor)"
)
_GROSS = re.compile(
    r"\b(?:gross|total|all up|altogether|all together|whole (?:thing|rig|outfit|machine|works)|full ticket|combined)(?: weight)?(?:,? (?:was|is|of|at|it|came to|comes to|came out|read|reads|weighs?|weighed|about|around|just|[:=]))*[ :=,]*$"
    r"|\b(?:scales?|ticket|platform|elevator|pit|quarry|co-?op) (?:[a-z]+ ){0,3}?(?:said|says|read|reads|showed|shows|gave|was|came (?:to|up)|printed)(?: me| us)?[ :]*(?:about )?$"
    r"|\b(?:tipp(?:ed|s)|crossed|hit|turned) the scales? (?:at|to)[ :]*(?:about )?$"
)


def scale(letter: Letter) -> Iterator[Found | None]:
    """Gross weight and the weights on the axles."""
    for one in letter.amounts:
        made = _with_unit(letter, one)
        if made is None or not letter.own(one.start) or letter.denied(one.start, 20):
            continue
        end = _axle(letter, one)
        if end is not None:
            yield quantity(letter, f"machine.{end}_axle_mass", made, f"a weight on the {end} axle", entry=made.entry)
        elif _GROSS.search(letter.before(one.start, 70)) and _about_the_tractor(letter, one):
            yield quantity(letter, "machine.mass", made, "what the scale said", entry=made.entry)


def _with_unit(letter: Letter, one: Amount) -> Amount | None:
    """A weight; a bare number takes the unit of the last weight a little before it."""
    if one.dimension == "mass":
        return one
    if one.dimension != "count" or one.low < 200 or one.low != one.high:
        return None
    earlier = [
        each
        for each in letter.amounts
        if each.dimension == "mass" and each.unit in ("lb", "kg") and one.start - 200 < each.start < one.start
    ]
    if not earlier or re.match(r" ?(?:hours|hrs|dollars|bucks|\$|acres|rpm)", letter.low[one.end : one.end + 9]):
        return None
    return Amount(one.start, one.end, "mass", one.low, one.high, earlier[-1].unit, one.about, one.number)


def _axle(letter: Letter, one: Amount) -> str | None:
    start, end = letter.sentence(one.start)
    sentence = letter.low[max(0, start - 120) : end + 60]
    if not _SCALE.search(sentence) or _RATED.search(letter.low[start:end]):
        return None
    last = max(
        (each.end for each in letter.amounts if start <= each.end <= one.start and each is not one), default=start
    )
    before = _BEFORE.search(letter.low[max(last, one.start - 50) : one.start])
    following = min((each.start for each in letter.amounts if each.start >= one.end), default=end)
    after = _AFTER.match(letter.low[one.end : min(end, one.end + 46)])
    if after is not None and one.end + after.end() > following:
        after = None
    found = (
        before
        if before is not None
        and (
            after is None
            or not re.match(
                r" ?(?:lbs?\.?|pounds?|kg)? ?(?:of|on|over|is on|was on)\b", letter.low[one.end : one.end + 16]
            )
        )
        else after
    )
    if found is None:
        return None
    near = letter.low[max(last, one.start - 50) : one.end + 46]
    if re.search(
        r"\b(?:box|blade|ballast|hangs?|hanging|carry|tires? (?:are|have)|remotes?|lift\w*|logs?|bales?|weights)\b",
        near,
    ):
        return None
    return "front" if found["end"] == "front" else "rear"


def _about_the_tractor(letter: Letter, one: Amount) -> bool:
    near = letter.low[max(0, one.start - 160) : one.end + 80]
    return (
        _SCALE.search(near) is not None
        and re.search(
            r"\b(?:trailer|truck (?:and|weighs)|bales?|logs?|rocks?|pallets?|load of)\b",
            letter.low[max(letter.sentence(one.start)[0], one.start - 60) : one.start],
        )
        is None
    )
