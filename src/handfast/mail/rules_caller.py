"""Who writes: name, number, place."""

from __future__ import annotations

import re
from collections.abc import Iterator

from handfast.machines.shelf import Shelf
from handfast.mail.cleaning import CLOSING, plain
from handfast.mail.found import Found
from handfast.mail.letter import Letter
from handfast.mail.rules_opening import beside, closed, found_place, opened, out_by
from handfast.mail.rules_signed import signed

_PHONE = re.compile(
    r"(?<![\w.$#-])(?:\+?1[-. ]?)?(?:\(\d{3}\) ?|\d{3}[-. ]{1,3})?\d{3}[-. ]{1,2}\d{4}(?![\w-]|\.\d|,\d)|(?<![\w.$-])\d{10}(?![\w.-]\d|\w)|(?<![\w.])\+\d{2,3}(?:[ -]?\d{2,5}){2,5}(?!\w)|(?<![\w.])0\d{2,5}[ /-]\d{3,9}(?!\w)"
)
_SEVEN = re.compile(
    r"(?:\b(?:call|phone|text|cell|ring|tel|number|reach me|me)\b[a-zA-Z ':.]{0,24}|\n|[,.] )(?P<n>\d{7})(?=[ .]*$|[ .]*\n| (?:after|before|any|evenings?|days?)\b)"
)
_NOT_PHONE = re.compile(
    r"\b(?:fax|serial|s/n|sn|vin|order|invoice|part|account|office hours)\b\W*(?:no\.?|number|#)?\W*(?:is )?$"
)
_NAME = r"(?P<name>[A-Z][a-zA-ZÀ-ÿ'’.-]{1,18}(?: (?:[A-Z]\.|[A-Z][a-zA-ZÀ-ÿ'’-]{1,18})){0,2})"
_INTRODUCED = re.compile(
    rf"(?:\b[Mm]y name(?:'s|’s| is)|\b[Nn]ame(?:'s| is|:| -)|\b[Tt]his is|\b[Ii]t(?:'s|’s) me,?|\b[Ii](?:'m|’m| am) called|\b[Aa]sk for|\b[Cc]all for) {_NAME}(?= here|[,.;!\n]| (?:and|from|out|in|over|up|down|of|again|with|at|calling|writing|on)\b|$| \()"
)
_PLAIN_NAME = re.compile(
    r"[ ]*[-~]{0,2}[ ]?(?P<name>[A-Z][a-zß-ÿ'’-]{1,15}\.?(?:[ ](?:(?:and|&) )?(?:[A-Z]\.?|[A-Z][a-zA-ZÀ-ÿ'’-]{1,18})){0,3})[ ]*(?:[,.]|$)"
)
_CAPS_NAME = re.compile(r"[ ]*[-~]{0,2}[ ]?(?P<name>[A-Z]{2,15}(?:[ ][A-Z]{1,15}\.?){0,2})[ ]*[,.]?$")
_LOW_NAME = re.compile(r"[ ]*[-~]{0,2}[ ]?(?P<name>[a-z]{2,14}(?: [a-z]{1,14}){0,2})[ ]*[,.]?$")
_NOT_NAME = frozenset(
    "thanks thank regards sent from phone cell tel email the best cheers yes no please call text farm farms road rd street tractor ps p.s owner manager sales call office mobile fax www http looking hope let and lane route box hwy acres ranch equipment inc llc services service company tree logging excavating landscaping nursery sawmill dairy attached see hi hello dear i i'm it we my sir madam all sir's folks team dealer shop us you everybody everyone monday tuesday wednesday thursday friday saturday sunday not sure".split()
)


_ASKED_FOR = re.compile(
    r"\b(?:CALL|ASK FOR|NAME IS|NAME:|THIS IS) (?P<name>(?!ME\b|US\b|A\b|THE\b|MY\b)[A-Z]{2,14}(?: [A-Z]{2,14})?)(?= AT\b| ON\b|[.,\n]|$)|\b[Ii]t[’']s me(?: again)?,? (?P<other>[A-Z][a-z]+(?: [A-Z][a-z]+)?)"
)


def caller(letter: Letter, shelf: Shelf) -> Iterator[Found]:
    """Name, number and place of the writer."""
    yield from _numbers(letter)
    names = list(_names(letter, shelf))
    yield from names
    places = list(_places(letter, shelf)) or list(_other_places(letter, shelf, names))
    yield from places


def _body(letter: Letter) -> str:
    """The writer's words as typed, with the lines of a signature; quoted letters stay out."""
    return letter.shown


def _numbers(letter: Letter) -> Iterator[Found]:
    body = _body(letter)
    for match in (*_PHONE.finditer(body), *_SEVEN.finditer(body)):
        line = body[body.rfind("\n", 0, match.start()) + 1 : match.start()].lower()
        if _NOT_PHONE.search(line) or letter.foreign(match.start()):
            continue
        if re.search(r"\b(?:his|her|their|your|yours|neighbou?r|dealer|shop's)\b[^.]{0,24}$", line):
            continue
        digits = re.sub(r"\D", "", match.group())
        yield Found(
            "caller.number", digits, match.group().strip(), match.start(), match.end(), True, "a telephone number"
        )
        return


def _names(letter: Letter, shelf: Shelf) -> Iterator[Found]:
    body = _body(letter)
    for match in _INTRODUCED.finditer(body):
        if _good_name(match["name"]) and not re.match(r"(?:A|The|My|Our|What|Not|It|In|On|For)\b", match["name"]):
            yield _name(match.start("name"), match["name"], "a name that is given")
            return
    first = opened(letter, _taken(shelf))
    if first is not None:
        yield _name(*first, "a name that is given")
        return
    asked = _ASKED_FOR.search(body)
    if asked:
        name = asked["name"] or asked["other"]
        if _good_name(name):
            yield _name(asked.start("name") if asked["name"] else asked.start("other"), name, "a name that is given")
            return
    low = plain(body)
    for match in CLOSING.finditer(low):
        found = _signed(body, match.end())
        if found is not None:
            yield found
            return
    below = signed(letter, _taken(shelf)) or closed(letter, _taken(shelf))
    if below is not None:
        yield _name(*below, "the name below the letter")


def _taken(shelf: Shelf) -> frozenset[str]:
    """Words that name tractors, their makers, attachments and towns."""
    said = [
        *(f"{one.maker or ''} {one.name or key}" for key, one in shelf.machines.items()),
        *(one.name or key for key, one in shelf.attachments.items()),
        *(town.name for town in shelf.price_book.town),
    ]
    return frozenset(word for name in said for word in re.findall(r"[a-z]{3,}", name.lower()))


def _signed(body: str, at: int) -> Found | None:
    """The first line below a closing, if it is a name."""
    for match in re.finditer(r"[^\n]+", body[at : at + 160]):
        line = match.group()
        if not line.strip(" -~"):
            continue
        for pattern in (_PLAIN_NAME, _CAPS_NAME, _LOW_NAME):
            found = pattern.match(line)
            if found and _good_name(found["name"]):
                return _name(
                    at + match.start() + found.start("name"), found["name"].rstrip(","), "the name below the letter"
                )
        return None
    return None


def _good_name(name: str) -> bool:
    parts = re.findall(r"[a-z'.’-]+", name.lower())
    return bool(parts) and len(name) > 1 and not any(part.strip(".") in _NOT_NAME for part in parts)


def _name(start: int, name: str, why: str) -> Found:
    name = name.rstrip(" ,.") if not re.search(r" [A-Z]\.$", name) else name
    return Found("caller.name", name, name, start, start + len(name), True, why)


_CAP = r"(?P<place>[A-Z][a-zß-ÿ'’]+(?: (?:[A-Z][a-zß-ÿ'’]+|of|on|the|upon|St\.?)){0,3})"
_LIVES = re.compile(
    rf"(?:\b(?:[Ii](?:'m|’m| am)|[Ww]e(?:'re|’re| are)|[Ii] live|[Ww]e live|[Ll]ocated|[Ff]arm is|[Pp]lace is|I farm|we farm|[Bb]ased|property (?:is )?|acres|land|[Gg]reetings)(?: (?:just|out|up|over|down|here|right|located|calling|writing|way))*(?: (?:in|at|near|outside|by|outside of|from|past|of|on the edge of|on the (?:north|south|east|west)(?:ern)? (?:side|end|edge) of))|\b(?:[Ss]hip|[Dd]eliver(?:y|ed)?|[Ss]hipp(?:ed|ing)|[Ff]reight|[Ss]end it|[Ss]hips|[Dd]elivering|[Ss]end)(?: (?:it|to be|is|would be|out))*(?: (?:to|in|at))|\b[Hh]ere in|\b[Oo]ver in|\b[Uu]p in|\b[Dd]own in|\b[Oo]ut in|\b[Oo]ut at|\b[Ff]rom|\b(?:[Pp]lace|[Tt]own|[Ll]ocation|[Dd]elivery|[Ss]hip to|[Dd]eliver to|[Aa]ddress) ?[:-])(?: the (?:town|village) of)? {_CAP}"
)
_NOT_PLACE = re.compile(
    r"^(?:The|My|Our|Your|Monday|Tuesday|Wednesday|Thursday|Friday|Saturday|Sunday|January|February|March|April|May|June|July|August|September|October|November|December|Spring|Summer|Fall|Winter|Dad|I|It|This|What|Sent|Home|North|South|East|West|Thanks|Mr|Mrs)\b"
)


def _other_places(letter: Letter, shelf: Shelf, names: list[Found]) -> Iterator[Found]:
    """A place beside the name, or one that the writer is out by."""
    taken = _taken(shelf)
    for place in out_by(letter, taken):
        yield found_place(*place, "words for where the writer is")
        return
    for one in names:
        near = beside(letter, one.start, str(one.value), taken)
        if near is not None:
            yield found_place(*near, "the place beside the name")


def _places(letter: Letter, shelf: Shelf) -> Iterator[Found]:
    """A town of the price book wherever the writer names it; another where he says that he lives or wants it there."""
    body = _body(letter)
    low = plain(body)
    towns = [town.name for town in shelf.price_book.town]
    models = {word for one in shelf.machines.values() for word in re.findall(r"[a-z]+", (one.name or "").lower())}
    for town in sorted(towns, key=len, reverse=True):
        match = re.search(rf"\b{re.escape(town.lower())}\b", low)
        if (
            match
            and not letter.foreign(match.start())
            and not re.search(
                r"\b(?:your (?:shop|store|place|yard) (?:in|at)|dealer in|auction (?:in|at)|past|dealer at|bought (?:it )?in|shop in|store in|picked up in)\W*$",
                low[max(0, match.start() - 28) : match.start()],
            )
        ):
            yield Found("caller.place", town, town, match.start(), match.end(), True, "a town of the price book")
            return
    for match in _LIVES.finditer(body):
        place = re.sub(r" (?:of|on|the|upon)$", "", match["place"])
        first = place.split()[0].lower()
        if _NOT_PLACE.match(place) or first in models or letter.foreign(match.start()):
            continue
        if match.group().lower().startswith("from") and not re.search(
            r"(?:^|\n|\b(?:this is|name is|i'm|i am|here|writing|calling)\b[^\n]{0,40})$",
            body[: match.start()][-60:].lower(),
        ):
            continue
        yield Found(
            "caller.place",
            place,
            place,
            match.start("place"),
            match.start("place") + len(place),
            True,
            "words for where the writer is",
        )
        return
