"""What hangs behind."""

from __future__ import annotations

import re
from collections.abc import Iterator

from handfast.mail.amounts import Amount
from handfast.mail.found import Found
from handfast.mail.letter import Letter
from handfast.mail.quantities import quantity
from handfast.mail.topics import HITCH, Topic, topics

_NONE_BEHIND = re.compile(
    rf"\b(?:nothing|no weight|no weights|no ballast|no counter ?weight|no implement|not a thing|zero (?:weight|ballast)|nuthin|none|no ballast or anything|don't (?:have|run|use|carry) (?:any(?:thing| weight| ballast)?|ballast|weight)|empty)(?: (?:hang(?:ing|s)|mounted|hung|attached|at all|or anything|of any kind|there|else|whatsoever|is))* (?:(?:on|off|from|in|to|hung on|hooked to) (?:the |my )?)?(?:{HITCH}|on the 3 ?pt|for ballast|on (?:the )?(?:arms|lower arms)|as ballast)"
    rf"|\b(?:{HITCH})(?: hitch)?(?: is|'s| has| sits| with|:)* (?:empty|bare|nothing|nothing on it|naked|no weight|unused|none)\b|\bno (?:rear )?(?:ballast|counter ?weight)(?! box)(?! in (?:the )?(?:tires|tyres))\b|\b(?:behind|on the back|at the back|out back),? (?:i|we) (?:carry|have|run|hang) (?:nothing|no weight)\b|\bnever (?:run|had|needed|used|put) (?:any )?(?:weight|ballast|counterweight)\b(?! in)|\bno rear weight\b|\b(?:call it |count on |figure (?:on )?)nothing (?:behind|back there|on the back)\b|\bnothing (?:back there|behind it|behind me|behind the tractor)\b(?=[^.\n]{0, 30}\b(?:weight|ballast|counter)|[ ]*(?:$|[.,;\n)]|right now|at the moment|when))(?! \w+ (?:hydraul|remot))|\bballast ?[:=] ?none\b|\bno weight (?:back there|back|in the back)\b|\bdon't (?:have|run|use) (?:any )?(?:rear )?(?:ballast|counter ?weight)\b"
)


def behind(letter: Letter) -> Iterator[Found | None]:
    """What hangs on the hitch, and how heavy it is; a nothing said of it is a fact too."""
    for match in _NONE_BEHIND.finditer(letter.low):
        if letter.own(match.start()) and not _of_oil(letter, match):
            yield letter.fact("behind.kind", "none", match.start(), match.end(), "words for nothing behind")
            return
    off = next((one for one in topics(letter) if one.group == "behind" and _comes_off(letter, one)), None)
    if off is not None:
        end = letter.sentence(off.start)[1]
        yield letter.fact(
            "behind.kind", "none", off.start, min(end, off.end + 40), "an implement that comes off for the work"
        )
        return
    gone = re.search(
        r"\b(?:sold|gave|lent|scrapped) it\b[^.\n]{0,16}\bnothing (?:there|back there|on it|behind) ?(?:now)?\b",
        letter.low,
    )
    if gone and letter.own(gone.end()):
        yield letter.fact("behind.kind", "none", gone.start(), gone.end(), "words for nothing behind")
        return
    hung = [one for one in topics(letter) if one.group == "behind" and _hangs(letter, one)]
    if not hung:
        return
    first = hung[0]
    if first.name == "ballast_box" and len(hung) > 1 and _is_the_ballast(letter, first, hung[1]):
        first = hung[1]  # "ballast: carry-all"
    if first.name != "other":
        yield letter.fact("behind.kind", first.name, first.start, first.end, "an implement on the hitch")
    same = [one for one in hung if one.name == first.name] + [
        one for one in topics(letter) if one.name == first.name and one.start > first.end
    ]
    for one in letter.amounts:
        if one.dimension == "mass" and letter.own(one.start) and any(_weight_of(letter, one, each) for each in same):
            yield quantity(letter, "behind.mass", one, "a weight beside the implement behind")
            return


def _of_oil(letter: Letter, match: re.Match[str]) -> bool:
    """ "Front: one pair, rear: nothing" tells of oil."""
    if not re.match(
        r"(?:rear|in back|at the back|back end|on the back|behind)\b|nothing (?:on|at|in) (?:the )?(?:back|rear)",
        match.group(),
    ):
        return False
    start = max(0, match.start() - 60)
    return (
        re.search(
            r"\bfront\b(?! (?:plate|loader|end|tires|axle|bucket))|\bpairs?\b|\bremotes?\b|\boutlets?\b|\bhydraul|\bloader: ",
            letter.low[start : match.end() + 30],
        )
        is not None
    )


_WITHIN = 62
_BALLAST = ("ballast_box", "drum", "suitcase_weights")


def _comes_off(letter: Letter, one: Topic) -> bool:
    """An implement that its owner takes off for the work, and so nothing hangs there."""
    end = letter.sentence(one.start)[1]
    if letter.foreign(one.start) or letter.supposed(one.start) or letter.asked(one.start):
        return False
    tail = letter.low[one.end : min(end, one.end + 90)]
    return (
        re.search(
            r"\b(?:comes off (?:when|for|before|to)|(?:i |we )?(?:take|takes|took|pull|drop|unhook|unhitch) (?:it|that) off (?:when|for|before|to|first)|is off (?:when|for)|(?:gets|will be) (?:taken off|dropped|unhooked|removed) (?:when|for|before))\b",
            tail,
        )
        is not None
    )


def _is_the_ballast(letter: Letter, ballast: Topic, other: Topic) -> bool:
    return (
        re.fullmatch(r" ?(?:[:=-]|is|being|:? ?(?:a|the|my))[a-z ]{0,12} ?", letter.low[ballast.end : other.start])
        is not None
    )


def _listed(letter: Letter, one: Topic) -> bool:
    """An implement behind a word for what hangs there and a colon."""
    line = letter.low[letter.low.rfind("\n", 0, one.start) + 1 : one.start]
    return (
        re.search(
            r"(?:^|[;,.] ?|\d[.)] ?)[ -]*(?:rear |what(?:'s| is|s)? (?:hangs |hanging |on )?)?(?:ballast|behind(?: the tractor)?|back|rear|counter ?weight|on (?:the )?(?:back|rear)|3 ?-?(?:pt|point)|three[- ]point|hitch|weight|implement)(?: hitch| weight| implement)?(?: now)? ?[:=?-]+ ?(?:a |an |the |my |usually |just |it's )*(?:[\d.,]+ ?(?:lbs?|#|kg|pounds|ft|foot|feet|'|in) ?)*$",
            line,
        )
        is not None
    )


def _hangs(letter: Letter, one: Topic) -> bool:
    at = one.start
    if (
        not letter.own(at)
        or letter.denied(at, 30)
        or re.match(
            r"[ ]*(?:is )?(?:coming|later|someday|next year|from you|price|cost)\b", letter.low[one.end : one.end + 16]
        )
    ):
        return False
    start, end = letter.sentence(at)
    near = letter.low[max(start, at - _WITHIN) : min(end, one.end + _WITHIN)]
    if re.search(
        r"\b(?:sell|sold|for sale|want|need|looking for|quote|price on|how much|shed|barn|borrow|rent|used to|pull(?:s|ed)? (?:a|the) (?:wagon|trailer)|in the corner|should i|weight kit)\b",
        letter.low[max(start, at - 26) : min(end, one.end + 26)],
    ):
        return False
    if _listed(letter, one):
        return True
    if one.name in _BALLAST:
        weighed = any(
            each.dimension == "mass"
            and (one.end <= each.start <= one.end + 14 or one.start - 8 <= each.end <= one.start)
            for each in letter.amounts
        )
        return (
            weighed
            or re.search(
                r"\b(?:have|has|got|with|use|run|is|my|a|on|made|carry|carries|keep|hang|hangs|hung|put|the|bolt|and|:|=|w/)\W*(?:[\w'\".,#-]+ ){0,6}$",
                letter.low[max(start, at - 44) : at],
            )
            is not None
            or re.search(HITCH, near) is not None
        )
    if one.name == "other":
        return re.search(r"\b(?:on|off) (?:the )?(?:back|rear|3|three|hitch)", near) is not None
    return re.search(HITCH, near) is not None or _kept_on(letter, one)


def _kept_on(letter: Letter, one: Topic) -> bool:
    """An implement that stays on, hangs there, or whose weight is told."""
    start, end = letter.sentence(one.start)
    head, tail = letter.low[max(start, one.start - 40) : one.start], letter.low[one.end : min(end, one.end + 60)]
    if re.search(
        r"\b(?:back there|hangs? (?:a|an|the|my)|hang(?:ing)? (?:a|my|the)|counter(?:weight|balance)|for (?:weight|ballast|balance))\b",
        head + " ~ " + tail,
    ):
        return True
    if re.match(
        r"[ ]*(?:always |usually |mostly )?(?:stays? on|is (?:always |usually )?on (?:it|there)|lives on|in use|on it)\b",
        tail,
    ):
        return True
    if re.search(r"\b(?:leave|leaving|keep|keeping|have) (?:a|an|the|my|our) $", head) and re.match(
        r" on\b(?! the (?:ground|trailer))", tail
    ):
        return True
    told = [each for each in letter.amounts if each.dimension == "mass" and start <= each.start < end]
    return any(
        (
            each.start >= one.end
            and re.fullmatch(
                r" ?(?:\(|,|[:=-]|weighs|weighed|is|of|at|about|around|came out to|came to|comes to|goes|maybe|that weighs|which weighs| )*",
                letter.low[one.end : each.start],
            )
        )
        or (each.end <= one.start and re.fullmatch(r" ", letter.low[each.end : one.start]))
        for each in told
    )


def _weight_of(letter: Letter, one: Amount, thing: Topic) -> bool:
    start, end = letter.sentence(thing.start)
    if not (start <= one.start < end):
        between = letter.low[thing.end : one.start] if one.start > thing.end else ""
        return (
            0 < len(between) < 40
            and re.search(r"\b(?:it|it's|that|weighs?|about)\b", between) is not None
            and between.count("\n") + between.count(".") <= 1
        )
    if one.end <= thing.start:
        if letter.low[one.end - 1] == "." and letter.low[one.end : thing.start].strip() == "":
            return False
        if re.fullmatch(r" of (?:[a-z-]+ ){0,2}", letter.low[one.end : thing.start]):
            return True
        return (
            re.fullmatch(
                r"(?:[ ,-]+(?!(?:and|with|plus|on|lift)\b)[a-z0-9'\"-]+\.?){0,5}[ ,-]*",
                letter.low[one.end : thing.start],
            )
            is not None
        )
    between = letter.low[thing.end : one.start]
    return (
        len(between) < 80
        and re.search(
            r"\b(?:tractor|loader|lifts?|log|logs|bale|bales|grapple|bucket|tires|rated|rock|rocks|pallets?)\b", between
        )
        is None
    )
