"""What an amount is about: the nouns around it."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache

from handfast.mail.letter import Letter

BEHIND: tuple[tuple[str, str], ...] = (
    (
        "ballast_box",
        r"(?:ballast|ballest|balast|weight|counterweight|3[ -]?pt\.? (?:ballast|weight)|counter weight|concrete|cement) ?-?(?:box(?:es)?|blocks?|barrel box)|ballast(?! in)|counterweight|box (?:full )?of (?:concrete|cement|sand|stones|scrap)",
    ),
    (
        "drum",
        r"(?:concrete|cement|filled|ballast|weighted|sand|barrel|plastic)[- ](?:filled )?(?:drum|barrel)|(?:drum|barrel) (?:full|filled|of concrete|of cement|with concrete|of sand)(?: of| with)?(?: concrete| cement| sand)?|(?:55|30)[ -]?gal(?:lon)? (?:drum|barrel)|(?<=ballast - )drum|(?<=ballast: )drum",
    ),
    ("box_blade", r"box[- ]?(?:blade|scraper|scrapper|grader)|boxblade|gannon"),
    (
        "rotary_cutter",
        r"(?:rotary|brush|bush) ?-?(?:cutter|hog|mower|hogg)|bushhog|brushhog|rotary mower|rough cut mower",
    ),
    ("finish_mower", r"finish(?:ing)?[- ]mower|grooming mower"),
    ("flail_mower", r"flail(?:[- ]mower)?"),
    ("backhoe", r"(?:back|bak|bac)[- ]?hoe?s?(?: attachment)?|hoe attachment"),
    ("tiller", r"(?:roto|rota)?[- ]?tiller|rotavator|rototiller"),
    ("rake", r"(?:landscape|york|rock|hay|yard) rake|(?:3[ -]?(?:pt|point)) rake"),
    ("plough", r"(?:bottom )?plou?gh|plow|subsoiler"),
    ("splitter", r"(?:log|wood)?[- ]?splitter"),
    ("winch", r"(?:logging |skidding |forestry |3[ -]?pt\.? )?winch|skidder winch"),
    ("carry_all", r"carry[- ]?alls?"),
    ("roller", r"(?:lawn |land |cultipacker )?roller|cultipacker"),
    ("snow_blower", r"snow[- ]?(?:blower|thrower)"),
    ("suitcase_weights", r"suit ?case weights?|suitcases?(?= weights?|,| style)"),
    (
        "other",
        r"(?:back|rear|grader|scrape|scraper) blade|post[- ]?hole (?:digger|auger)|disc harrow|disk harrow|disk|spreader|seeder|bale (?:spike|spear) on the (?:back|rear|3)",
    ),
)
WORK: tuple[tuple[str, str], ...] = (
    (
        "round_bales",
        r"round[- ]?bal(?:e|er|es|s)\b|rounds? of hay|roundbales?|rolls of hay|big rounds|round hay bales|round silage bales|rolled bales",
    ),
    (
        "square_bales",
        r"(?:(?:big|large|small|little|three[- ]string|two[- ]string|3[- ]string|2[- ]string) )?(?:square|sqaure)[- ]?(?:hay |straw )?bales?|(?:big|large|small|3x3|3x4|4x4) squares",
    ),
    (
        "root_raking",
        r"(?:rak(?:e|ing)|comb(?:ing)?|pull(?:ing)?|dig(?:ging)?|rip(?:ping)?)(?: (?:up|out))?(?: (?:the|some|old|out|buried|all))* roots|root[- ]raking|(?:raking|combing)(?: (?:up|out|the|some|for))* (?:roots|ground|soil|dirt)",
    ),
    ("stumps", r"(?<!at the )(?<!on the )(?<!the )stumps?(?! end)|(?<!at )(?<!on )the stumps"),
    (
        "logs",
        r"logs|saw ?-?logs?|firewood(?: (?:logs|lengths|poles))?|log lengths?|tree ?-?lengths?|(?:tree )?trunks?|tree stems|timber|lumber logs|poles",
    ),
    (
        "brush",
        r"brush(?:y)?(?: ?piles?)?|slash(?: ?piles?)?|limbs|branches|saplings?|brambles?|briars?|multiflora(?: rose)?|bushes|buckthorn|autumn olive|thorn ?bushes|scrub|(?:tree|pine|oak|maple|spruce|hemlock|poplar|ash|hardwood) ?tops|tops and limbs|hedge ?row trimmings|storm debris|underbrush|burn pile",
    ),
    ("rock", r"rocks?|stones?|boulders?|field ?-?stones?|ledge rock|stone wall"),
    ("pallets", r"pallets?|pallats|palets?|skids of \w+|totes? of \w+|ibc totes?"),
    (
        "loose",
        r"mulch|gravel|topsoil|top soil|dirt|manure|compost|sand|wood ?-?chips|silage|loam|crushed stone|bark mulch|fill dirt",
    ),
    (
        "bundle",
        r"bundles?(?: of (?:about |around |roughly |maybe )?(?:\d+ )?(?:\w+ )?(?:posts|poles|slabs|lumber|rails|logs|slabwood|t-posts|fence posts))|(?:lumber|post|posts|slab|slabwood|rail|pole|board) bundles?|bundles? of (?:about |around |roughly |maybe )?(?:\d+|twenty|fifty|thirty|forty|ten|a dozen)|(?:posts|slabs|rails|lumber|poles)[a-z ,]{0,14}(?:in |as )?bundles|(?:to|in|per|each|a) (?:a )?bundle(?= |,|[.]|$)|bundled (?:posts|slabs|lumber|rails|poles)|lifts? of lumber",
    ),
)
OTHER: tuple[tuple[str, str], ...] = (
    (
        "tractor",
        r"tractor(?!s)|traktor|whole (?:thing|rig|outfit|machine|works|shebang)|my rig|machine(?!s| shop)|the unit|curb weight|ship(?:ping|ped) weight|operating weight",
    ),
    ("loader", r"loader|front[- ]end[- ]loader|\bfel\b|lift arms|loader arms|lader|frontlader"),
    ("hitch", r"(?:three|3)[- ]?(?:point|pt|pnt|p)\b\.?(?: hitch)?|3ph|tph|hitch|lower links|link (?:arms|ends)"),
    ("front_axle", r"front (?:axle|end|wheels)"),
    ("rear_axle", r"(?:rear|back) (?:axle|end|wheels)"),
    ("grapple", r"(?:root |brush |log |rock )?grap+(?:le|el|il|ple)s?|grabs?\b|graple|claw|attachment|clamp|tines?"),
    ("bucket", r"buckets?|forks|quick ?-?attach|skid ?-?steer(?! plate)|bale spear"),
    ("gate", r"gates?|gateway|gate ?posts|barn ?door|door(?:way)?|opening|alley|lane ?way|gap"),
    ("slope", r"slopes?|hills?|hillside|bank|grade|incline|steep(?:est)?|pitch|ditch|gradient|hang"),
    ("trailer", r"trailer|truck|dump ?(?:bed|truck|trailer)|wagon|pickup|bed|tailgate|deck|sides|sideboards"),
    (
        "vehicle",
        r"car|pickup truck|skidsteer|skid loader|excavator|chipper|saw ?mill|mill|zero[- ]turn|mower deck|chain ?saw|saw|atv|utv",
    ),
    ("water", r"tank|barrel|fuel|water tank"),
    ("person", r"i weigh|my weight|operator"),
)
TOOLS = r"(?:[ -]+(?:grapples?|graples?|grab|buckets?|forks?|hogs?|cutters?|mowers?|rakes?|splitters?|spears?|spikes?|chains?|guards?|clamps?|grinders?|pullers?|tongs|arch|trailer|wagon|skidder|loaders?|handler|feeder|baler|spreader|barge|jack|fork|deck|saw|mill|sheds?|house|cabin|rack|book|road|driveway|drive|lane|lot|pit|yard|wall|hill|creek|ridge|jaws?|company|co\b|works|quarry|bar))"
HITCH = r"(?:(?:three|3)[- ]?(?:point|pt|pnt)\b\.?(?: hitch)?|\b3p\b|3ph|tph|hitch|out back|back there|(?:on|for) (?:the )?back|on (?:the )?rear|on (?:the )?(?:tractor's )?(?:rear|back) end|behind(?: (?:me|it|the tractor))?|in back|at the back|back end|hang(?:ing|s)? (?:off|on)|off the back|on the ass end|rear(?! (?:remotes?|tires?|tyres?|axle|wheels?|hyd\w*|couplers?|outlets?|weights?|spool)))"


@dataclass(frozen=True)
class Topic:
    """A noun that amounts can be about."""

    start: int
    end: int
    name: str
    group: str  # behind, work, other


@lru_cache(maxsize=1)
def _patterns() -> list[tuple[str, str, re.Pattern[str]]]:
    groups = (("behind", BEHIND), ("work", WORK), ("other", OTHER))
    return [(group, name, re.compile(rf"\b(?:{words})(?!\w)")) for group, rows in groups for name, words in rows]


_TOOL_AFTER = re.compile(TOOLS + r"\b")


@lru_cache(maxsize=4)
def topics(letter: Letter) -> tuple[Topic, ...]:
    """Every topic of a letter in order; within one another only the first and longest."""
    found: list[Topic] = []
    for group, name, pattern in _patterns():
        for match in pattern.finditer(letter.low):
            if group == "work" and _TOOL_AFTER.match(letter.low, match.end()):
                continue
            found.append(Topic(match.start(), match.end(), name, group))
    for word in letter.models:
        found += [
            Topic(at.start(), at.end(), "tractor", "other") for at in re.finditer(rf"\b{re.escape(word)}\b", letter.low)
        ]
    found.sort(key=lambda one: (one.start, -one.end))
    kept: list[Topic] = []
    for one in found:
        if not kept or one.start >= kept[-1].end:
            kept.append(one)
    return tuple(kept)


def topic_at(letter: Letter, start: int, end: int) -> tuple[Topic | None, str]:
    """What an amount at a span is about, and the words between: a noun right after it, else the nearest one before.

    The nearest before is sought in the same sentence, then, where a pronoun stands for it, in the one before.
    """
    close = _right_after(letter, end)
    if close is not None:
        return close, "after"
    begin = letter.sentence(start)[0]
    there = [one for one in topics(letter) if one.end <= start]
    same = [one for one in there if one.start >= begin]
    if same:
        return same[-1], letter.low[same[-1].end : start]
    head = letter.low[begin:start]
    if (
        there
        and len(head) < 60
        and re.search(
            r"\b(?:it|its|it's|they|they're|each|those|these|she|that|them|weigh\w*|mostly|most|some|biggest|largest|up to)\b",
            head,
        )
    ):
        return there[-1], head
    return None, head


_ADJECTIVES = re.compile(
    r"(?:[ -]+(?!(?:i|it|and|or|on|at|in|with|is|are|was|to|from|for|but|my|the|a|an|so|then|when|by)\b)[a-z'\"-]+){0,3}?[ -]+$"
)


def _right_after(letter: Letter, end: int) -> Topic | None:
    stop = letter.clause(end)[1]
    if letter.low[end - 1 : end] == "." and letter.raw[end : end + 2].strip()[:1].isupper():
        return None
    for one in topics(letter):
        if end <= one.start < min(stop, end + 40):
            between = letter.low[end : one.start]
            if (
                between.strip(" -") == ""
                or re.fullmatch(r"(?:[ ]+(?:of|worth of))?[ ]+", between)
                or _ADJECTIVES.fullmatch(between)
            ):
                return one
            return None
    return None
