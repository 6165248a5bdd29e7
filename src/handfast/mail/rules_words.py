"""Facts that words alone say: what the bucket hangs on, outlets, tyre fill, roll bar, drive, class, unloading."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from handfast.mail.found import Found, Value
from handfast.mail.letter import Letter

_QA = r"(?:quick[- ]?(?:attach|attatch|atach|hitch|change|connect|coupler|tach)|q/?a\b|coupler|hook ?up|mount(?:s|ing)?|attach\b(?! ment)|plate|interface|style|type|setup|carrier)"
_SSQA = rf"(?:(?:skid[- ]?(?:steer|loader)?|skidsteer|universal|bob ?style) ?-?(?:style|type|compatible|std|standard)? ?-?{_QA}(?: {_QA})*|ssqa|s\.s\.q\.a|ssl qa|skid[- ]?steer (?:style|type|plates?|mount)|universal (?:skid steer )?(?:quick attach|plate))"
_SKIP_NARROW = r"(?:narrow|mini|small|junior|half[- ]size)"


@dataclass(frozen=True)
class Say:
    """Words that say a fact; what it is where they are denied (None: then nothing is said)."""

    place: str
    value: Value
    words: str
    why: str
    denied: Value | None = None
    entry: str | bool | int | None = None


_PINS = (
    r"\b(?:comes?|goes|pulls?|slides?|drops?|take it|knocks?) off (?:with|by (?:pulling|driving|knocking(?: out)?)|after|when)? ?(?:the |just |by )*(?:four|4|two|2)? ?(?:bucket |steel |big )*pins\b|(?<!hook )(?<!hooks )\bwith (?:just |plain |the |only |straight )?(?:four |4 |two |2 )?pins\b(?! (?:below|on the bottom|at the bottom|underneath|lower|and (?:a )?hooks?|down))|\bhangs? (?:on|by|from) (?:\\w+ )?pins\b"
    r"|\bpinned[- ]on\b|\bpinned bucket\b|(?<!& )(?<!and )\bpin[- ]?on\b(?! height)|\bpins? on (?:type|style|bucket)|\bdirect pin\b|\b(?:bucket|it|attachments?|loader) (?:is|are|just )?(?:pinned|pins) (?:on|direct\w*|straight|right)?\b(?! height)"
    r"|\b(?:four|4|two|2) (?:big |steel |cross |long )?pins (?:hold\w*|i|you|to|that|and|knock|drive|have|come|with|each|through|on the bucket)\b|\b(?:held|hangs|goes|mounts?|hung|fastened|attached|bolted) (?:on |up )?(?:by|with|on) (?:just )?(?:(?:four|4|two|2|plain|straight|solid|the|hitch) )?(?:steel |big )?pins\b"
    r"|\b(?:knock|drive|pound|beat|hammer|tap|bang|punch|pull|driving|knocking|pounding|pulling)(?:s|ed)? (?:out )?(?:the |those |all )?(?:four |4 |two |2 |bucket )?pins\b|\bwith a hammer\b|\bhammer (?:and (?:a )?(?:punch|drift)|out)\b|\b(?:just|only|still|plain|regular|old style|straight|solid) pins\b|\bpins only\b|\bbucket pins? (?:on|off)\b|\bpin (?:style|type|mount|hookup|connection)\b"
    r"|\bquick[- ]?attach ?[:=-] ?(?:none|pins|pinned)\b|(?<=[,;?.] )(?:just |plain |only |straight |regular )?pins(?=[.;\n]|, |$)(?! and)|\bw/ ?pins\b(?! and)|(?<=, )pins on it\b|\bpins on (?:the|my) bucket\b|\bpins(?=,? not (?:a |the )?(?:quick|levers?|plate))|\bgoes on with (?:the |those )?(?:\w+ )?(?:\w+ )?pins\b|\bno quick[- ]?(?:attach|hitch|coupler|connect)\b"
)
_LEVERS = rf"\b{_SSQA}|\bquick[- ]?attach,? (?:like|same as|such as|the (?:kind|type|sort))[^.,;]{{0,24}}skid[- ]?(?:steers?|loaders?)|\b(?:same|kind|type|sort|plate|one|thing|setup)[^.,;]{{0,24}} skid[- ]?(?:steers?|loaders?) (?:have|has|use|uses|take|takes|run)\b|\blevers (?:on|at) the (?:plate|quick ?attach)(?:, two of them)?|\b(?:plate|quick[- ]?attach) with (?:the |a pair of )?(?:two |to |2 |twin )?levers\b|\b(?:two|2|twin|both|a pair of|couple of) (?:little |locking |quick |latch |hand )?(?:levers|handles)\b(?! (?:for|and two|on the (?:dash|right)|by the seat|at the seat|near|beside))|(?<=[,;.] )universal(?=[.,;\n]|$)|\bplates? ?(?:[:=-]|is(?: the)?) ?(?:the )?(?:standard |regular |normal )?(?:skid[- ]?steer|universal|ssqa)|\bquick[- ]?attach(?: is|:)? (?:the )?universal\b|\b(?:two|2)[- ]levers?(?: (?:type|style|kind))?(?: of)? (?:plate|quick|style|type|hook ?up|attach|setup|carrier)|\b(?:standard|regular|normal|usual|full[- ]size) skid[- ]?(?:steer|loader) (?:kind|one|thing|sort|hook ?up|hitch)\b|\b(?:flip|throw|flipping|throwing|pull) (?:the |those |up )?(?:two |2 )?(?:levers|handles)\b"
QUICK: tuple[Say, ...] = (
    Say("machine.quick_attach", "pinned", _PINS, "words for a bucket that is pinned on"),
    Say(
        "machine.quick_attach",
        "universal_plate_narrow",
        rf"\b{_SKIP_NARROW} (?:{_SSQA}|(?:universal )?plate)|\b(?:{_SSQA}) ?,? ?(?:but )?(?:the |in )?\(?{_SKIP_NARROW}(?: one| size| version)?|\bnarrow (?:two[- ]lever )?(?:plate|quick[- ]?attach)|\bplate (?:is )?(?:the )?narrow\b|\b(?:mini|narrow)[- ]skid|\b(?:plate|quick[- ]?attach|latch|coupler)[^.;,]{{0,34}}\b(?:narrower|narrow (?:one|kind|version|style)|half[- ]size)\b(?: than (?:the|a) [a-z ]{{0,30}}skid[- ]?steer(?: one)?)?",
        "words for the narrow plate",
    ),
    Say("machine.quick_attach", "universal_plate", _LEVERS, "words for the plate with two levers"),
    Say(
        "machine.quick_attach",
        "hook_and_pin",
        r"\bhooks? (?:at|on|over|up|above|and|&|n|\+) ?(?:the )?(?:top|above|a?nd|pins?|upper)?[ ,]*(?:and |with |then )?(?:two |2 |a |the )?(?:pins?)(?: (?:at |on |through |below|underneath|in )?(?:the )?(?:bottom|below|lower)?)?\b|\bhook[- ]and[- ]pin\b|\bhook (?:style|type) (?:quick[- ]?attach|coupler|carrier|hitch)|\bhooks (?:over|onto|on) (?:a|the) (?:bar|top bar|top pin|tube|cross ?bar)|\beuro[- ]?(?:hitch|hooks?|style|carrier|attach\w*|frame|mount|type|bracket|quick[- ]?attach)",
        "words for hooks above and pins below",
    ),
)
_FILLS = (
    ("calcium_chloride", r"calcium(?: chlorid\w*)?|cacl2?|calcium chl\w+|chloride"),
    ("beet_juice", r"beet[- ]?(?:juice|based|root)?(?: (?:liquid|stuff|juice))?|sugar beet(?: juice)?"),
    ("washer_fluid", r"(?:windshield|windscreen|winter)?[- ]?wash(?:er)?[- ]?(?:fluid|solvent|wash)|washer|methanol"),
    ("antifreeze", r"anti[- ]?freeze|glycol|rv antifreeze"),
    ("water", r"(?:plain |just |straight )?water(?! (?:tank|trough|line|and wash))"),
)
_TYRES = r"(?:rears? |back |r\d |all four |ag |turf |industrial ){0,4}(?:tires?|tyres?|tiers|rears|wheels|reifen)"
_FILLED = r"(?:loaded|filled|fluid[- ]?filled|liquid[- ]?filled|weighted|ballasted|foam[- ]?filled|full)"
_FULL = rf"(?:{_TYRES} (?:are |is |have been |were |come |came |got |both |aren't |arent |are not |ain't |not |never |isn't |have never been |never been |haven't been )?(?:all )?{_FILLED}(?! (?:flat|bald))|{_FILLED} {_TYRES}|(?:fluid|liquid|ballast|calcium|beet juice|washer fluid|water|juice) in (?:the |both |my |each |all (?:four )?)?(?:of the )?(?:{_TYRES}|rear\b|tire)|{_TYRES} (?:(?:have|has|got|with|w/) )?(?:fluid|liquid|calcium|beet|washer|water|antifreeze|windshield)\w*|{_TYRES}\W{{1,3}}(?:{_FILLED}|calcium|beet juice|washer fluid))"
TYRES: tuple[Say, ...] = (
    Say("machine.tyre_fill", "filled", rf"\b{_FULL}\b", "words for liquid in the tyres", "none"),
    Say(
        "machine.tyre_fill",
        "none",
        rf"\b(?:never|not|isn't|aren't|wasn't|weren't) (?:been |got )?(?:filled|loaded|ballasted)(?: up)? (?:in |on )?(?:the |my )?{_TYRES}\b|\b{_TYRES} (?:were |are |have |have been |got |is )?(?:never|not|un) ?(?:been |got )?(?:filled|loaded|ballasted)\b|\b(?:no|nothing|not any|never any|never put any|never had any|without any|without) (?:fluid|liquid|ballast|calcium|weight|juice|water|fill) in (?:the |my |either |any )?{_TYRES}|\b{_TYRES} (?:are |is )?(?:just |only |all )?(?:empty|dry|air|full of air|filled with air|on air)\b|\bnothing in (?:the |my )?{_TYRES}|\b(?:just|only|plain) air in (?:the |my )?{_TYRES}|\b{_TYRES}\W{{1,3}}(?:air|empty|nothing|none)\b|\bunloaded {_TYRES}",
        "words for tyres with air alone",
    ),
)
WORDS: tuple[Say, ...] = (
    Say(
        "machine.power_beyond",
        True,
        r"\bpower[- ]beyond(?: (?:kit|port|line|fitting|block|outlet))?\b|\bpb port\b",
        "the words power beyond",
        False,
    ),
    Say("machine.centre", "open", r"\bopen[- ]cent(?:er|re)(?:ed)?\b", "the words open centre"),
    Say("machine.centre", "closed", r"\bclosed[- ]cent(?:er|re)(?:ed)?\b(?! load)", "the words closed centre"),
    Say(
        "machine.centre",
        "load_sensing",
        r"\bload[- ]sens(?:ing|e)(?: (?:hydraulics?|pump|system))?\b|\b(?:pfc|closed[- ]center load[- ]sensing)\b",
        "the words load sensing",
    ),
    Say(
        "machine.rops",
        "folded",
        r"\b(?:rops|roll[- ]?(?:bar|over bar|hoop|over)|rollbar)(?:'s)? (?:is |stays |always |usually |kept |has to be |down |mostly )*(?:folded|down|laid down|lowered)\b(?! to| in (?:the )?barn| only)|\b(?:fold(?:ed)?|folding) (?:the )?(?:rops|roll[- ]?bar|rollbar) (?:down|is down)?|\bfolded (?:rops|roll ?bar)",
        "words for a roll bar that is folded",
    ),
    Say(
        "machine.rops",
        "none",
        r"\bno (?:rops|roll[- ]?(?:bar|hoop|over)|rollbar|rollover\w*)\b(?! (?:question|issue|problem|trouble))|\b(?:doesn't|does not|don't|never) (?:have|had) (?:a |any )?(?:rops|roll ?-?bar)\b|\bwithout (?:a )?(?:rops|roll ?-?bar)\b|\b(?:rops|roll ?-?bar) (?:is |was )?(?:gone|missing|off|removed|taken off|cut off)\b|\bhas no (?:rops|roll ?-?bar)\b",
        "words for no roll bar",
    ),
    Say(
        "machine.rops",
        "up",
        r"\b(?:rops|roll[- ]?(?:bar|over bar|hoop)|rollbar)(?:'s)? (?:is |stays |must stay |has to stay |always |kept |locked |remains )*(?:up|upright|raised)\b",
        "words for a roll bar that stands",
        None,
    ),
    Say(
        "machine.seat_belt",
        False,
        r"\b(?:no|without (?:a )?|missing (?:the |a )?|lost the) ?seat[- ]?belts?\b|\bno belts?\b(?= ?[,.;\n])|\bseat[- ]?belts?(?:'s)? (?:is |are |was |were |has been |got |long |all )*(?:gone|missing|rotted|cut|broken|torn|chewed|removed|shot)\b|\b(?:doesn't|does not|don't|never) (?:have|had|came with) (?:a |any )?seat ?belt",
        "words for no seat belt",
    ),
    Say(
        "machine.seat_belt",
        True,
        r"\bseat[- ]?belt works\b|\b(?:has|have|got|with|wear|wearing|use|and|a|my|the|,) ?(?:a |my |the |working |good )?(?:seat[- ]?belt|(?<=, )belt(?= (?:works|is good|good)))(?: (?:works|on|is (?:there|good|fine|on)|fitted))?\b",
        "words for a seat belt",
    ),
    Say(
        "machine.four_wheel_drive",
        True,
        r"\b(?:4[ -]?wd|4[ ]?x[ ]?4(?!\s?(?:round|square|bale|post|x|'|ft|\"|pallet|by|gate|squares|lumber|beam|box))|four[- ]wheel[- ]drive|4[- ]wheel[- ]drive|fwa\b|mfwd|front[- ]wheel[- ]assist|four by four|all[- ]wheel drive|awd)",
        "words for four-wheel drive",
        False,
    ),
    Say(
        "machine.four_wheel_drive",
        False,
        r"\b(?:2[ -]?wd|two[- ]wheel[- ]drive|2[- ]wheel[- ]drive|rear[- ]wheel drive only|4x2)\b",
        "words for two-wheel drive",
    ),
    Say(
        "machine.class",
        "subcompact",
        r"\bsub[- ]?compact(?: (?:tractor|class))?\b|\bsubcompakt|\bscut\b",
        "the word sub-compact",
    ),
    Say(
        "machine.class",
        "compact_small",
        r"\b(?:small|smaller|little)[- ](?:frame )?compact\b(?! (?:track|utility track))",
        "the words small compact",
    ),
    Say(
        "machine.class",
        "compact_large",
        r"\b(?:large|larger|big|bigger|full[- ]size)[- ](?:frame )?compact\b",
        "the words large compact",
    ),
    Say(
        "machine.class",
        "utility",
        r"(?<!compact )(?<!compact-)\butility (?:tractor|class|size|sized)(?:d)?\b|\butility-class\b",
        "the words utility tractor",
    ),
    Say(
        "wishes.own_work",
        True,
        r"\b(?:i|we|i'll|i'd|we'll|i'm going to|husband|can|to|and)(?: can| will| would| could|'ll|'d)? (?:do|doing|does|handle|rather do) (?:all )?(?:my|our|the|his) own (?:work|wrenching|install\w*|mechanic\w*|repairs?|plumbing|hydraulics|maintenance|fitting)|\b(?:install|fit|mount|plumb|bolt|put) (?:it|everything|the kit|that|them|this)(?: on| up| in)? (?:myself|ourselves|on my own)|\bi(?:'ll| will| can|'d| would)? (?:do|install|handle|fit|wrench)(?: \w+){0,4} (?:myself|on my own)\b|\bi(?:'m| am) (?:pretty |fairly |quite )?handy\b|\bi wrench\b|\bdo(?:ing)? (?:my|our) own wrenching\b|\b(?:own|self) install\b|\bi do (?:all )?my own\b|\binstall(?:ing)? (?:it )?my ?self\b|\bi(?:'d| would|'ll) (?:install|fit|mount) (?:it|that)\b|\bdo the (?:mounting|fitting|install\w*) (?:myself|ourselves)|\b(?:we|i)(?:'d| would|'ll| will) install\b(?= ?[.,;\n]|$)|\bcan turn (?:a )?wrench\w*\b|\b(?:fit|install|mount|plumb|bolt|put)(?: \w+){0,2} (?:on |in |up )?myself\b|\bi(?:'ll|'d| will| can| would)(?: be)? (?:do(?:ing)?|handl(?:e|ing)) (?:all )?the (?:plumbing|install\w*|fitting|wrenching|hydraulics|hoses|work)\b",
        "words for fitting it oneself",
        False,
    ),
    Say(
        "wishes.own_work",
        False,
        r"\b(?:i'd|i would|want|wants|need|like|prefer|have|rather have|rather) (?:to have |for )?(?:you|you guys|your shop|you folks|y'all|it|everything|the shop|somebody|someone|your guys)(?: to| guys)? (?:do (?:the|all the) (?:install\w*|work|fitting|plumbing)|install(?:ed)?|fit(?:ted)? (?:it|everything)|put (?:it|everything|the kit|that|them|the whole thing) (?:on|in|together)|mount(?:ed)?|plumb(?:ed)?)\b|\b(?:you|your shop|you guys|you folks) (?:would |will |'ll |can |to )?(?:do|handle) (?:all )?the (?:install\w*|fitting|work|plumbing)\b|\b(?:don't|do not|can't|cannot|won't|wouldn't|not (?:going|able|about) to) (?:want to )?(?:wrench|do (?:the|any) (?:install\w*|wrenching|plumbing)|turn wrenches|install (?:it )?(?:my ?self|on my own))|\bnot (?:handy|a mechanic|mechanical)\b|\bi(?:'m| am) no mechanic\b",
        "words for work left to the shop",
    ),
    Say(
        "caller.unloading",
        "forks",
        r"\bunload(?:s|ed|ing)? (?:it |them |that )?(?:with|by|using) (?:(?:my|the|a|our|his|some) )?(?:own )?(?:pallet )?(?:fork ?lift|forks|tractor forks|loader|tele ?handler|lift truck)|\b(?:have|got|has|is|with|there's|we've|i've|own|use) (?:a |an |my |access to a |our )?(?:own )?(?:fork ?lift|fork lift|tele ?handler)\b(?: (?:here|on site|at|to unload|for unloading))?|\b(?:forks|pallet forks|fork ?lift) (?:to|for|can|will) (?:unload|get it off|take it off|offload|pull it off)\w*|\bunloading\W{1,3}(?:forks|fork ?lift)|\b(?:i|we)(?:'ve| have) (?:pallet )?forks(?= (?:here|to unload)|[.,;\n]|$)(?! on)|\bfork ?lift (?:here|there|on site|at my place|at the (?:shop|farm|yard|barn|place))",
        "words for unloading with forks",
    ),
    Say(
        "caller.unloading",
        "lift_gate",
        r"\b(?:need|needs|want|require|with|w/|have|send|use|requires|must have) (?:a |an |the )?(?:truck with (?:a )?)?(?:lift|tail)[- ]?gate(?: (?:truck|delivery|service))?\b|\blift ?-?gate (?:needed|required|please|delivery|service|truck)\b|\b(?:nothing|no way|no means|no equipment|no forklift) (?:here )?to unload\b(?! (?:except|but|other))|\bunloading\W{1,3}lift ?-?gate",
        "words for a lift gate",
    ),
    Say(
        "caller.unloading",
        "dock",
        r"\b(?:have|has|got|with|at|to|there's|use) (?:a |our |my |the |an )?(?:loading |truck |unloading )?dock\b(?! (?:project|posts|on the lake|pilings))|\bloading dock\b|\bour dock\b|\bunloading\W{1,3}dock",
        "words for a dock",
    ),
    Say(
        "caller.unloading",
        "by_hand",
        r"\bunload(?:ed|ing)? (?:it |them )?(?:except )?by hand\b|\bby hand (?:off|from) the truck\b|\bunloading\W{1,3}by hand",
        "words for unloading by hand",
    ),
    Say(
        "caller.residential",
        True,
        r"\bresidential(?: (?:address|delivery|area|street|road))?\b|\b(?:home|house) (?:address|delivery)\b|\b(?:deliver\w*|ship\w*|shipping|delivery|goes|comes|coming|it's going) (?:it )?to (?:my|our|the|a|his|her|their) (?:house|home|residence)\b|\bit's a (?:house|residence|private home)\b",
        "words for a delivery to a home",
        False,
    ),
    Say(
        "caller.residential",
        False,
        r"\b(?:business|commercial|shop|company) (?:address|delivery)\b|\b(?:deliver\w*|ship\w*) (?:it )?to (?:my|our|the) (?:shop|business|work|warehouse|company)\b",
        "words for a delivery to a business",
    ),
)


def words(letter: Letter) -> Iterator[Found]:
    """Facts that words alone say."""
    for group in (QUICK, TYRES, WORDS):
        taken: list[tuple[int, int]] = []
        for say in group:
            for match in re.finditer(say.words, letter.low):
                if any(start < match.end() and match.start() < end for start, end in taken) and group is not WORDS:
                    continue
                found = _said(letter, say, match)
                if found is not None:
                    taken.append((match.start(), match.end()))
                    yield found
    yield from _fluids(letter)


_NO_START = re.compile(
    r"(?:no|not|never|nothing|without|doesn't|does not|don't|missing|lost|can't|just|only|has no|unloaded|won't|cannot|i am no|i'm no)\b"
)


def _said(letter: Letter, say: Say, match: re.Match[str]) -> Found | None:
    at = match.start()
    if (
        _bales(letter, say, match)
        or not (
            letter.own(at)
            or (
                say.place == "wishes.own_work"
                and not (
                    letter.asked(at) or (letter.foreign(at) and not re.search(r"\bsome(?:body|one)\b", match.group()))
                )
            )
        )
        or (says_there(letter, at) and not say.place.endswith(("class", "residential", "unloading", "own_work")))
    ):
        return None
    inner = _NO_START.match(match.group()) is not None
    if inner or not _denied_around(letter, match):
        return letter.fact(say.place, say.value, at, match.end(), say.why, entry=say.entry)
    if say.denied is None:
        return None
    start = denial_start(letter, at)
    return letter.fact(say.place, say.denied, start, match.end(), say.why + ", denied")


def _bales(letter: Letter, say: Say, match: re.Match[str]) -> bool:
    """ "4x4" beside bales is their size."""
    near = letter.low[max(0, match.start() - 26) : match.end() + 26]
    return (
        say.place.endswith("drive")
        and "x" in match.group()
        and re.search(r"\bbales?\b|\bsquares\b|\bposts?\b", near) is not None
    )


def says_there(letter: Letter, at: int) -> bool:
    """What a seller's page says is not what the tractor has."""
    head = letter.before(at, 60)
    return bool(
        re.search(
            r"\b(?:says?|said|fits?|claims?|advertised|listed|for|made for|comes with|available (?:in|with)|the (?:grapple|attachment|one i saw) (?:is|has|comes))\b[a-z\" ]{0,20}$",
            head,
        )
    ) and not re.search(
        r"\b(?:my|mine|i have|i've|i got|tractor|manual|book|booklet|sticker|plate|tag|decal|label|paperwork)\b[^,.]{0,40}$",
        head,
    )


def _denied_around(letter: Letter, match: re.Match[str]) -> bool:
    if letter.denied(match.start()):
        return True
    inside = re.search(r"\b(?:not|never|aren'?t|isn'?t|ain'?t|weren'?t|haven'?t|no)\b", match.group())
    tail = letter.after(match.end(), 14)
    return bool(inside) or bool(
        re.match(
            r"[ ]*(?:is|are|:|=)?[ ]*(?:not\b(?! sure| certain| known| (?:a |the )?(?:quick|lever|plate|skid|pin))|none|no\b|n/a|nope)",
            tail,
        )
    )


def denial_start(letter: Letter, at: int) -> int:
    head = letter.low[letter.clause(at)[0] : at]
    found = list(
        re.finditer(
            r"\b(?:no|not|never|without|isn't|aren't|don't|doesn't|do not|does not|haven't|hasn't|can't|none|wasn't|weren't)\b",
            head,
        )
    )
    return at - len(head) + found[-1].start() if found else at


def _fluids(letter: Letter) -> Iterator[Found]:
    """Which liquid, said within reach of the word for tyres."""
    for fluid, spelt in _FILLS:
        for match in re.finditer(rf"\b(?:{spelt})(?!\w)", letter.low):
            at = match.start()
            start, end = letter.sentence(at)
            if re.search(rf"\b{_TYRES}\b[^.]{{0,40}}\b{_FILLED}\b", letter.low[max(0, at - 70) : at]):
                start = max(0, at - 70)
            near = letter.low[max(start, at - 70) : min(end, match.end() + 40)]
            if (
                not re.search(rf"\b{_TYRES}\b|\bfilled\b|\bin (?:each|both|the) rears?\b", near)
                or not letter.own(at)
                or letter.denied(at, 40)
            ):
                continue
            if not re.search(
                r"\b(?:loaded|filled|fill|full|in|with|have|has|of|are|is|fluid|liquid)\b|w/|[:,-]|(?:tires?|tyres?|rears) (?:beet|cal|wash|water)",
                near,
            ):
                continue
            if re.search(r"\b(?:would|could|might|no (?:fluid|liquid)|nothing in|if)\b", letter.low[start:end]):
                continue
            name = "antifreeze" if fluid == "antifreeze" else fluid
            yield letter.fact(
                "machine.tyre_fill.fluid",
                name,
                at,
                match.end(),
                "the liquid in the tyres",
                entry=name.replace("_", " "),
            )
