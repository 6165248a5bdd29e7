"""What the writer found somewhere else."""

from __future__ import annotations

import re
from collections.abc import Iterator

from handfast.mail.amounts import Amount
from handfast.mail.found import Found
from handfast.mail.letter import Letter
from handfast.mail.quantities import quantity

_SEEN = re.compile(
    r"\b(?:on[- ]?line|on the (?:internet|web|net)|internet|web ?site|some site|a site|auction|classifieds?|marketplace|listing|listed|an ad|the ad|ad for|catalog(?:ue)?|flyer|mail order|farm store|big box|import|imported|saw (?:a|an|one|this)|seen (?:a|an|one)|found (?:a|an|one|this)|came across|ran across|looking at (?:a|an|one) (?:\d|\w+ ?-?inch|cheap)|for sale|e-?commerce|another (?:dealer|seller|place)|elsewhere|competitor|(?:can|could) (?:get|buy|have) (?:a|an|one)\b(?=[^.?]{0,50}\b(?:from|at|off|through) (?:a|an|another|the) (?!neighbou?r)))\b"
)
_KINDS = (
    ("grapple_bucket", r"grapple[- ]buckets?|bucket grapples?"),
    ("fork_grapple", r"(?:fork|pallet fork) grapples?|grapple forks?"),
    ("root_grapple", r"root (?:rake )?(?:grapp?les?|graples?)|root rakes?"),
    ("rock_grapple", r"rock (?:grapp?les?|graples?)|skeleton grapples?"),
    ("brush_grapple", r"brush (?:grapp?les?|graples?)"),
    ("log_grapple", r"log (?:grapp?les?|graples?)"),
    ("rake_grapple", r"rake grapples?"),
    ("pallet_forks", r"pallet forks|set of forks"),
    ("stump_bucket", r"stump buckets?"),
)
_THING = re.compile(r"\b(?:" + "|".join(words for _, words in _KINDS) + r"|grapp?les?|graples?|grapel)\b")


_OFFER = re.compile(
    r"\b(?:(?:other|another|different|second) (?:dealer|place|shop|seller|outfit|fella|guy|store)|dealer (?:in|over|up|down|across)|co-?op|farm (?:store|supply)|guy|fella|fellow|man|place (?:in|over|up|down)|store|neighbou?r|somebody|someone|they|he|auction|sale|swap meet|craigs\w*|consignment)\b[^.?!\n]{0,50}?\b(?:wants?|asks?|asking|quoted|quotes?|offer(?:s|ed|ing)?|will (?:sell|let)|would (?:sell|let)|sells?|selling|has (?:a|an|one)|had (?:a|an|one)|priced|there was (?:a|an|one)|went for|for)\b"
)


def _offers(letter: Letter) -> Iterator[re.Match[str]]:
    """Sentences in which somebody else offers such a thing for money."""
    for match in _OFFER.finditer(letter.low):
        start, end = letter.sentence(match.start())
        priced = any(start <= one.start < end and _priced(letter, one) for one in letter.amounts)
        if priced and _THING.search(letter.low, start, end):
            yield match


def _priced(letter: Letter, one: Amount) -> bool:
    return one.dimension == "money" or (
        one.dimension == "count"
        and one.low >= 400
        and re.search(r"\b(?:for|wants?|asking|priced at|quoted(?: me)?|at) $", letter.before(one.start, 16))
        is not None
    )


def sections(letter: Letter) -> list[tuple[int, int]]:
    """Where something seen elsewhere is spoken of: its sentence, and those after it that go on about it."""
    found: list[tuple[int, int]] = []
    offers = list(_offers(letter))
    for match in sorted((*_SEEN.finditer(letter.low), *offers), key=lambda one: one.start()):
        start, end = letter.sentence(match.start())
        if (found and start < found[-1][1]) or (letter.foreign(match.start()) and match not in offers):
            continue
        if not _THING.search(letter.low, start, end):
            continue
        while (
            end < len(letter.low)
            and re.match(
                r"\s*(?:it|it's|its|he|she|they|says?|claims?|the ad|free|shipp\w*|weighs?|price|they're|asking|they want|that one|the listing|comes|delivered|hydraulic|electric|double|twin|\d+ ?(?:lb|in|\"|#))\b",
                letter.low[end : end + 24],
            )
            and end - start < 500
        ):
            end = letter.sentence(end)[1]
        found.append((start, end))
    return found


def seen(letter: Letter) -> Iterator[Found | None]:
    """The first thing seen elsewhere: kind, width, mass, lids, actuation, price, freight."""
    for start, end in sections(letter)[:1]:
        text = letter.low[start:end]
        kind = _first(text, _KINDS)
        if kind is not None:
            yield letter.fact(
                "seen_elsewhere[0].kind", kind[0], start + kind[1], start + kind[2], "a grapple seen elsewhere"
            )
        thing = next(_THING.finditer(text), None)
        yield from _figures(letter, start, end, start + (thing.start() if thing else 0))
        yield from _ways(letter, start, text)


def _first(text: str, rows: tuple[tuple[str, str], ...]) -> tuple[str, int, int] | None:
    hits = [
        (match.start(), name, match.end()) for name, words in rows if (match := re.search(rf"\b(?:{words})\b", text))
    ]
    return (min(hits)[1], min(hits)[0], min(hits)[2]) if hits else None


def _figures(letter: Letter, start: int, end: int, thing: int) -> Iterator[Found | None]:
    given: set[str] = set()
    for one in letter.amounts:
        if not start <= one.start < end:
            continue
        head, tail = letter.low[max(start, one.start - 40) : one.start], letter.low[one.end : min(end, one.end + 30)]
        made = None
        if (
            one.dimension == "mass"
            and re.search(r"\b(?:lift|rated|handle|capacity|hold|holds)\b[a-z ]{0,14}$", head) is None
            and not re.match(r"[ ]*(?:capacity|rated|rating|load|bales?|logs?|rock|clamp)", tail)
            and not re.search(r"\b(?:tractor|my|loader)\b", head)
        ):
            made = quantity(letter, "seen_elsewhere[0].mass", one, "a weight of the grapple seen elsewhere")
        elif (
            one.dimension == "length"
            and one.unit in ("in", "ft", "cm", "mm")
            and (0 <= thing - one.end < 44 or re.match(r"[ -]*wide", tail) or re.search(r"width\W*$", head))
            and not re.match(r"[ -]*(?:opening|logs?(?! grap)|oak|long|thick|gate)", tail)
        ):
            made = quantity(letter, "seen_elsewhere[0].width", one, "a width of the grapple seen elsewhere")
        elif (
            one.dimension == "count"
            and 30 <= one.low <= 110
            and re.match(r" ?(?:wide|across)\b|[ -](?:root|brush|rock|log|grapple)", tail)
        ):
            made = quantity(
                letter, "seen_elsewhere[0].width", one, "a width of the grapple seen elsewhere", entry=f"{one.low:g} in"
            )
        elif one.dimension == "money" or (
            one.dimension == "count"
            and one.low >= 400
            and re.search(r"(?:\bfor|price|asking|want|at|only|just|\$|,) ?$", head)
            and re.match(r"[ ]*(?:,|\.|$|free|shipp|deliver|plus|\+|and|\n|with)", tail)
        ):
            if re.search(r"\b(?:shipping|freight|budget|spend)\b[a-z ]{0,10}$", head) or re.match(
                r"[ ]*(?:for |in )?(?:shipping|freight|all[ -]in|budget|to spend)\b", tail
            ):
                continue
            entry = f"{one.low:.10g}"
            made = quantity(
                letter, "seen_elsewhere[0].price", one, "the price of the grapple seen elsewhere", entry=entry
            )
        if made is not None and made.place not in given:
            given.add(made.place)
            yield made


_WAYS = (
    ("lids", 2, r"\b(?:double|twin|dual|two|2)[- ](?:independent )?(?:lid(?:ded|s)?|arms?|jaws?|claws?|tops?)\b"),
    ("lids", 1, r"\b(?:single|one|1)[- ](?:lid(?:ded)?|arm|jaw|claw|top)\b"),
    ("actuation", "hydraulic", r"\b(?:hydraulic(?:ally)?(?: (?:cylinders?|lids?|grapple))?|hyd\.? cylinders?)\b"),
    ("actuation", "electric", r"\belectric(?:ally)?(?: (?:actuat\w+|lid|linear|over hydraulic))?\b"),
    (
        "shipping_included",
        True,
        r"\b(?:free (?:shipping|freight|delivery)|ship(?:s|ped)? free|shipp(?:ed|ing)(?: is)? (?:included|incl|free)|freight (?:included|paid|is included)|includ(?:es|ing) (?:shipping|freight|delivery)|delivered free|with shipping|shipped|delivered(?! by))\b",
    ),
    (
        "shipping_included",
        False,
        r"\b(?:plus (?:shipping|freight)|\+ ?(?:shipping|freight)|shipping (?:extra|(?:is )?not included|isn't included|is extra|on top)|freight (?:extra|not included|is extra)|not (?:counting|including) (?:shipping|freight)|before (?:shipping|freight)|(?:no|without) free shipping|pick ?up only|(?:wants|plus|another|and|charges) (?:another |about |an extra )?\$?\d{2,4}(?: more| extra)? (?:for|in|to) (?:freight|shipping|ship(?: it)?|deliver(?:y| it)?)|shipping (?:would be|is|was|runs|adds) (?:another |about )?\$?\d+|(?:says )?(?:shipping|freight|delivery) (?:is|would be|costs?) extra)\b",
    ),
)


def _ways(letter: Letter, start: int, text: str) -> Iterator[Found]:
    given: set[str] = set()
    for name, value, words in _WAYS[:4] + _WAYS[5:] + _WAYS[4:5]:
        match = re.search(words, text)
        if (
            match
            and name not in given
            and not letter.denied(start + match.start(), 14)
            | (
                name == "actuation"
                and re.search(r"\b(?:tractor|my|third)\b[a-z ]{0,16}$", text[: match.start()]) is not None
            )
        ):
            given.add(name)
            yield letter.fact(
                f"seen_elsewhere[0].{name}",
                value,
                start + match.start(),
                start + match.end(),
                "said of the grapple seen elsewhere",
            )
