"""What is to be moved: kinds of pieces, trees, sizes, masses, how many."""

from __future__ import annotations

import re
from collections.abc import Iterator

from handfast.mail.amounts import Amount
from handfast.mail.found import Found
from handfast.mail.letter import Letter
from handfast.mail.quantities import quantity
from handfast.mail.rules_counts import counted, volume
from handfast.mail.rules_sides import sides
from handfast.mail.species import trees
from handfast.mail.topics import Topic, topics
from handfast.mail.work_mentions import Mention, mentions

_FAR = 90


def work(letter: Letter) -> Iterator[Found | None]:
    """Everything said of the work."""
    named = mentions(letter)
    kinds = list(dict.fromkeys(one.kind for one in named))
    for place, kind in enumerate(kinds):
        first = next(one for one in named if one.kind == kind)
        start, end = first.start, first.end
        yield letter.fact(f"work[{place}].kind", kind, start, end, "a word for what is to be moved")
    if not kinds:
        return
    yield from _species(letter, named, kinds)
    yield from sides(letter, named, kinds)
    for one in letter.amounts:
        if letter.foreign(one.start) or letter.denied(one.start, 24) or _what_if(letter, one):
            continue
        yield (
            _sized(letter, named, kinds, one)
            or _weighed(letter, named, kinds, one)
            or counted(letter, named, kinds, one)
        )


def _what_if(letter: Letter, one: Amount) -> bool:
    """A weight that is asked for, or a size that is only compared."""
    head = letter.before(one.start, 50)
    return bool(
        re.search(
            r"\bhow (?:much|heavy)\b[^,]*$|\b(?:does|do|would|will) (?:a|an) $|\b(?:what|how) would (?:a|an)\b[^,]*$|\b(?:if it (?:was|were)|even if)\b[^,]*$",
            head,
        )
    )


def _species(letter: Letter, named: list[Mention], kinds: list[str]) -> Iterator[Found]:
    """The tree nearest to each kind that is wood."""
    given: dict[str, str] = {}
    every = {name for _, _, name, _ in trees(letter)}
    longer = {name for name in every if any(other.endswith(f" {name}") for other in every)}
    named_trees = sorted(trees(letter), key=lambda one: one[2] in longer or not _mostly(letter, one[0]))
    for start, end, name, _ in named_trees:
        near = [
            one
            for one in named
            if one.kind in ("logs", "stumps", "brush", "bundle") and _together(letter, one, start, end)
        ]
        if not near or not letter.own_wish(start):
            continue
        kind = min(near, key=lambda one: (min(abs(one.start - end), abs(start - one.end)), one.start)).kind
        if kind in given:
            continue
        given[kind] = name
        yield letter.fact(f"work[{kinds.index(kind)}].species", name, start, end, "the name of a tree")


def _mostly(letter: Letter, at: int) -> bool:
    """Whether a tree is said to be most of the wood."""
    return (
        re.search(
            r"\b(?:mostly|mainly|primarily|majority|usually|largely)(?: it's| is)? $", letter.low[max(0, at - 20) : at]
        )
        is not None
    )


def _together(letter: Letter, one: Mention, start: int, end: int) -> bool:
    sentence = letter.sentence(start)
    if sentence[0] <= one.start < sentence[1]:
        return min(abs(one.start - end), abs(start - one.end)) < 60 or one.start == start
    return (
        one.kind == "logs"
        and 0 <= start - one.end < _FAR
        and re.search(r"\b(?:mostly|mainly|all|some|they|it's|oak|wood)\b", letter.low[sentence[0] : start + 12])
        is not None
    )


_THICK = re.compile(
    r"[ -]*(?:or so |each |or less |or better |and up |max |inside )?(?:thick|thk|across|through|in diam\w*|diam\w*|dia\b|round(?! bale)|at (?:the )?(?:butt|base|big end|fat end|large end|thick end|widest|small end|stump|bottom)|on the butt|butt|in the butt|dbh|fat|around the)"
)
_LONG = re.compile(
    r"[ -]*(?:or so |each |max )?(?:long\b|in length|lengths?\b|sticks?\b|pieces\b|chunks\b|bolts\b|sections\b|when (?:i|we) (?:lift|load|pick|move|stack)\b)"
)
_WIDE = re.compile(r"[ -]*(?:or so )?(?:wide|in width)\b")
_HIGH = re.compile(r"[ -]*(?:or so )?(?:high|tall|deep|in height)\b")
_BEFORE_THICK = re.compile(
    r"\b(?:diameters?|dia\.?|thickness|butts?|thick)(?: (?:is|are|of|about|around|up to|at|from|runs?|runn?ing|say|maybe|averag\w+|max))*[ :=]*$"
)
_BEFORE_LONG = re.compile(
    r"\b(?:lengths?(?: of)?|long|(?:cut|bucked|sawn|cut up|trimmed|leave|left|leaving|buck|(?<=i )cut|(?<=we )cut)(?: (?:it|em|'em|them|the logs))?(?: (?:to|at|into|in|down to|about))*)(?: (?:is|are|about|around|up to|at|from|say|maybe))*[ :=]*$"
)
_NOT_SIZE = re.compile(
    r"\b(?:gate|gateway|door|opening|wheelbase|trailer|truck|bed|high(?:er)? than|bucket is|grapple is|my bucket|slope|lift (?:it|them)? ?(?:to|up)|up to a height|snow|fence|barn|pond|lane|away|from the|tires?|deck|shed|wall|onto|on to)\b"
)


def _sized(letter: Letter, named: list[Mention], kinds: list[str], one: Amount) -> Found | None:
    if one.dimension == "volume":
        return volume(letter, named, kinds, one)
    if one.dimension != "length" or one.unit in ("mi", "km", "yd"):
        return None
    near = _nearest(letter, named, one) or _heaviest(letter, named, one)
    if near is None:
        return None
    kind, right_after = near
    side = _side(letter, one, kind, right_after)
    if side is None or (side == "diameter" and kind in ("brush", "loose", "pallets", "square_bales", "root_raking")):
        return None
    return quantity(letter, f"work[{kinds.index(kind)}].{side}", one, f"a {side} beside the word for the work")


def _side(letter: Letter, one: Amount, kind: str, right_after: bool) -> str | None:
    """Which side of a piece a length is: by the word beside it, else as the trade says it."""
    head = letter.before(one.start, 40)
    if re.match(
        r"[ -]*(?:tree )?(?:lengths? )?when (?:i|we) (?:skid|drag|haul|pull|cut|fell|drop)",
        letter.low[one.end : one.end + 40],
    ):
        return None
    for pattern, side in ((_THICK, "diameter"), (_LONG, "length"), (_WIDE, "width"), (_HIGH, "height")):
        if pattern.match(letter.low, one.end):
            return (
                side
                if side in ("diameter", "length")
                or kind in ("brush", "round_bales", "square_bales", "pallets", "rock", "loose", "bundle")
                else None
            )
    if _BEFORE_THICK.search(head):
        return "diameter"
    if _BEFORE_LONG.search(head):
        return None if one.unit == "in" and one.high <= 30 else "length"  # firewood is cut later
    if re.search(r"(?:tall|high)(?: (?:is|about))? $", head):
        return None
    small = one.unit in ("in", "cm", "mm") and one.high * {"in": 25.4, "cm": 10.0, "mm": 1.0}[one.unit] < 1300
    if kind in ("logs", "bundle") and (right_after or _follows(letter, one)):
        return (
            "diameter"
            if small
            else "length"
            if one.unit in ("ft", "m") and one.low * (0.3048 if one.unit == "ft" else 1.0) >= 1.2
            else None
        )
    if kind in ("stumps", "rock") and (
        right_after
        or (
            small
            and re.search(
                r"\b(?:stumps?|rocks?|stones?|boulders?)(?:,(?: [a-z]+){0,4}| are| is| up to| about|,? mostly| from| run| running| to| of| of about| of around)[ a-z]{0,14}$",
                head,
            )
        )
    ):
        return "diameter"
    if kind == "round_bales" and right_after and one.unit == "ft":
        return "diameter"
    return None


def _follows(letter: Letter, one: Amount) -> bool:
    """A size that follows its log or tree at once: "oak logs 12 in x 8 ft", "red oaks, fourteen inch"."""
    start = letter.sentence(one.start)[0]
    head = letter.low[max(start, one.start - 46) : one.start]
    return bool(
        re.search(
            r"(?:\blogs?\b|\bposts\b|\bbundles?\b|\brails\b|\bdia(?:m\w*)?\b|\bthick\b|\bacross\b|\boaks?\b|\btrees?\b|\btrunks?\b|\bash\b|\bmaples?\b|\bpines?\b|\bcherr(?:y|ies)\b|\bhickory\b|\blocust\b|\bwood\b|\bpoplars?\b|\bspruces?\b|\belms?\b|\bfirs?\b|\bbirch\b|\bbeech\b|\bwalnuts?\b|\bcedars?\b|\bhemlocks?\b|\blarch\b|\btamarack\b|\baspens?\b|\bcottonwoods?\b|\bwillows?\b|\bsycamores?\b|\balders?\b|\bgum\b|\bbasswood\b|\bapple\b|\btops\b|\bx|\bby|\bto|,|and)[ ,:x(-]*(?:and |about |are |is |up to |mostly |call it |figure |hard to say how big, |usually |anywhere from |run |running |from |roughly |maybe |by |to |of |around |max |at |say |in |all |~ ?)*$",
            head,
        )
    ) and not _NOT_SIZE.search(head)


def _nearest(letter: Letter, named: list[Mention], one: Amount) -> tuple[str, bool] | None:
    """The kind of work that an amount is about, and whether its word stands right after it."""
    start, end = letter.sentence(one.start)
    if one.dimension == "mass":
        pass
    elif _NOT_SIZE.search(letter.low[max(start, one.start - 36) : one.start]) or _NOT_SIZE.match(
        letter.low[one.end : min(max(end, one.end), one.end + 30)].lstrip(" -")
    ):
        return None
    tools = [
        each
        for each in topics(letter)
        if each.name in ("grapple", "bucket", "gate", "tractor", "loader", "trailer", "hitch") or each.group == "behind"
    ]
    after = [each for each in named if one.end <= each.start < min(end, one.end + 48)]
    if (
        after
        and not _said_before(letter, named, one, after[0])
        and not any(one.end <= tool.start < after[0].start for tool in tools)
        and _only_words(letter.low[one.end : after[0].start])
    ):
        return after[0].kind, True
    if any(
        tool.start < end
        and one.end <= tool.start <= one.end + 22
        and re.fullmatch(
            r"[ -]*(?!(?:on|onto|in|into|to|up|with) )(?:[a-z]+[ -]+){0,2}", letter.low[one.end : tool.start]
        )
        for tool in tools
    ):
        return None
    return _named_before(letter, named, one, tools)


def _named_before(letter: Letter, named: list[Mention], one: Amount, tools: list[Topic]) -> tuple[str, bool] | None:
    """The kind of work named last before an amount, where the amount goes on about it."""
    start = letter.sentence(one.start)[0]
    before = [
        each for each in named if (each.end <= one.start + 1 and each.end >= start - 120) or each.start == one.start
    ]
    they = re.match(r"\s*(?:they|they're|each|these|those|most)\b", letter.low[start : one.start]) is not None
    before = [
        each
        for each in before
        if they or not any(each.end <= tool.start < one.start and tool.name != "trailer" for tool in tools)
    ]
    if not before:
        return None
    same = before[-1].start >= start
    pronoun = re.match(
        r"[\s,]*(?:mostly|most|some|they|each|the (?:big|long|small|thick)\w*|biggest|largest|all|up to|about|average|they're|it's|maybe|none|nothing|around|roughly|them|diameter|length|cut|bucked|it (?:grows|is|gets)|(?:i|we) (?:cut|buck|leave|saw)|\d|~|[a-z]+ (?:inch|foot|feet|ft))",
        letter.low[start : one.end + 1],
    )
    return (
        (before[-1].kind, False)
        if same
        or (
            pronoun
            and letter.low[before[-1].end : start].count("\n") <= 1
            and start - before[-1].end < (60 if len({each.kind for each in named}) > 1 else 110)
        )
        else None
    )


def _said_before(letter: Letter, named: list[Mention], one: Amount, after: Mention) -> bool:
    """ "Logs to 30 in and 20 ft, stones up to a ton": a comma ends what was said of the logs."""
    start = letter.sentence(one.start)[0]
    before = [each for each in named if each.end <= one.start and each.start >= start and one.start - each.end < 46]
    return bool(
        before
        and before[-1].kind != after.kind
        and "," in letter.low[one.end : after.start]
        and (
            "," not in letter.low[before[-1].end : one.start]
            or re.match(
                r"(?:[^.;]{0,24}\d[\d.]*[ a-z]{0,9})? (?:long|thick|across|through|in diameter), and\b",
                letter.low[one.end : after.start],
            )
        )
    )


def _only_words(between: str) -> bool:
    """Whether only words and further amounts stand between an amount and its noun."""
    return (
        re.search(
            r"[.,;:()\n](?![ ]?\d|[a-z ]{0,16}$)|\b(?:and (?:i|it|the|my)|gate|wide|for|with|is|are|to|on|from|my|tractor|moving|move|lift|pick|who|that|the|i)\b",
            re.sub(r"\b(?:x|by|to|or|diameter|dia|thick|across|long|through)\b", "", between),
        )
        is None
    )


def _weighed(letter: Letter, named: list[Mention], kinds: list[str], one: Amount) -> Found | None:
    if one.dimension != "mass" or (
        re.search(r"\b(?:lifts?|rated|capacity|picks?)\b[a-z ]{0,16}$", letter.before(one.start, 30))
        and not any(each.end <= one.start and one.start - each.end < 4 for each in named)
        and not re.match(r"[ ]*[a-z]* ?(?:round|bale|log|rock|stone|pallet|boulder)", letter.after(one.end, 20))
    ):
        return None
    near = _nearest(letter, named, one) or _heaviest(letter, named, one)
    if near is None or re.search(
        r"\b\d+ (?:bags|sacks|bricks|blocks|boxes|gallons)\b[^.]{0,12}$", letter.before(one.start, 30)
    ):
        return None
    if re.match(
        r" (?:[a-z]+ )?(?:are|is|would be|was) (?:way )?too (?:heavy|much|big)", letter.low[one.end : one.end + 30]
    ):
        return None
    kind, right_after = near
    between = letter.low[max((each.end for each in named if each.end <= one.start), default=0) : one.start]
    weigh = re.search(
        r"\b(?:weigh\w*|wieghs?|about|at|around|up to|are|is|go(?:es|ing)?|run(?:s|ning)?|heavy|of|roughly|maybe|to|say|close to)\b|^[ ,:(~-]*$|,[ ]*$|\(~?$",
        between,
    )
    if kind == "root_raking" or (
        not right_after
        and (
            not (weigh or re.match(r" ?(?:each|apiece|a ?piece|per|or so each)\b", letter.low[one.end : one.end + 10]))
            or len(between) > 60
        )
    ):
        return None
    if (
        right_after
        and re.search(r"\bof[ ]+(?:[a-z]+ )*$", letter.low[one.end : one.end + 8])
        and kind in ("logs", "brush")
    ):
        return None
    return quantity(letter, f"work[{kinds.index(kind)}].mass", one, "a weight beside the word for the work")


def _heaviest(letter: Letter, named: list[Mention], one: Amount) -> tuple[str, bool] | None:
    """ "Heaviest one was 1,900 lb", a little behind the word for the work."""
    start = letter.sentence(one.start)[0]
    before = [each for each in named if each.end <= one.start and one.start - each.end < 160]
    said = re.match(
        r"\s*(?:the )?(?:heaviest|biggest|largest|worst|big ones?|average|typical)(?: one(?:'s)?| of them)?\b[a-z ,']{0,24}\b(?:is|was|are|weigh\w*|went|go(?:es)?|run|scaled|about|maybe|around)(?: (?:about|maybe|around))* ?$",
        letter.low[start : one.start],
    )
    return (before[-1].kind, True) if before and said else None
