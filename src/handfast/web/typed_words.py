"""The words of the typing line: what each says, in what place of the record it is put."""

from __future__ import annotations

import re
from collections.abc import Callable

from handfast.web.typed_work import ABOUT, LENGTH, MASS, NUMBER, SPAN

Entries = dict[str, str]

# a first word (or two) that says which fact it is; all that follows is its value
FIRST: tuple[tuple[str, str], ...] = (
    ("tractor", "machine.record"),
    ("machine", "machine.record"),
    ("attachment", "attachment[0].record"),
    ("power", "machine.engine_power"),
    ("class", "machine.class"),
    ("hangs on", "machine.quick_attach"),
    ("bucket", "machine.quick_attach"),
    ("front outlets", "machine.front_functions"),
    ("front", "machine.front_functions"),
    ("rear remotes", "machine.rear_remotes"),
    ("remotes", "machine.rear_remotes"),
    ("rear", "machine.rear_remotes"),
    ("mid remotes", "machine.mid_outlets"),
    ("lines", "machine.lines_at_valve"),
    ("behind", "behind.mass"),
    ("ballast", "behind.mass"),
    ("slope", "site.slope"),
    ("ground", "site.slope"),
    ("gate", "site.gate"),
    ("lift at the pins", "machine.loader.lift_at_pin"),
    ("lift at pins", "machine.loader.lift_at_pin"),
    ("lift at 500 mm", "machine.loader.lift_at_500"),
    ("lift at 500", "machine.loader.lift_at_500"),
    ("curl at 500", "machine.loader.curl_at_500"),
    ("lift to", "site.lift_to"),
    ("trailer side", "site.lift_to"),
    ("trailer", "site.lift_to"),
    ("haul", "site.haul_distance"),
    ("bump", "travel.bump"),
    ("braking", "travel.braking"),
    ("species", "work[0].species"),
    ("diameter", "work[0].diameter"),
    ("length", "work[0].length"),
    ("weight", "work[0].mass"),
    ("count", "work[0].count"),
    ("tractor weighs", "machine.mass"),
    ("wheelbase", "machine.wheelbase"),
    ("front axle rating", "machine.front_axle_rating"),
    ("front axle", "machine.front_axle_mass"),
    ("pump flow", "machine.pump_flow"),
    ("pressure", "machine.relief_pressure"),
    ("hitch lift", "machine.hitch_lift_610"),
    ("budget", "wishes.budget"),
    ("hours a year", "wishes.hours_per_year"),
    ("place", "caller.place"),
    ("zone", "caller.freight_zone"),
    ("from", "caller.place"),
    ("caller", "caller.name"),
    ("name", "caller.name"),
    ("number", "caller.number"),
    ("ring", "caller.number"),
    ("belt", "machine.seat_belt"),
    ("roll bar", "machine.rops"),
    ("about it", "title"),
    ("title", "title"),
    ("note", "notes"),
    ("said", "said"),
)
BY_LENGTH = sorted(FIRST, key=lambda pair: -len(pair[0]))

COUNTS = {"no": "0", "none": "0", "one": "1", "a": "1", "two": "2", "three": "3", "six": "6", "seven": "7"}
MANY = r"(no|none|one|two|three|\d)"
BEHINDS = {
    "ballast_box": r"ballast box|weight box",
    "drum": r"drum(?: of concrete)?",
    "box_blade": r"box blade|box scraper",
    "rotary_cutter": r"rotary cutter|brush cutter",
    "finish_mower": r"finish(?:ing)? mower",
    "flail_mower": r"flail(?: mower)?",
    "backhoe": r"backhoe",
    "tiller": r"tiller",
    "rake": r"(?:landscape )?rake",
    "plough": r"plough|plow",
    "splitter": r"(?:log )?splitter",
    "winch": r"winch",
    "carry_all": r"carry.?all",
    "roller": r"roller",
    "snow_blower": r"snow ?blower",
    "suitcase_weights": r"suitcase weights",
    "none": r"nothing|none",
}
BACK = r"(?:behind(?: it| now)?|on the (?:back|hitch|three-point)(?: now)?)"


def _number(word: str) -> str:
    return COUNTS.get(word.casefold(), word)


def _at(place: str, value: str) -> Callable[[re.Match[str]], Entries]:
    """An entry whose value is fixed, or the first group where it is empty."""
    return lambda found: {place: value or found[1]}


def _count_at(*places: str) -> Callable[[re.Match[str]], Entries]:
    return lambda found: {place: _number(found[1]) for place in places}


def _power(found: re.Match[str]) -> Entries:
    unit = "kW" if found[2].casefold() == "kw" else "hp"
    about = "about " if found[3] and "about" not in found[1] else ""
    named = {"machine.class": kind} if (kind := class_of(found[4] or "")) else {}
    return {"machine.engine_power": f"{about}{found[1]} {unit}"} | named


def class_of(words: str) -> str:
    """The class that words name; "" for none.

    >>> class_of("Sub-Compact"), class_of("tractor")
    ('subcompact', '')
    """
    plain = re.sub(r"[\s_-]+", "", words.casefold()).removesuffix("tractor")
    names = {"smallcompact": "compact_small", "largecompact": "compact_large"}
    return names.get(plain, plain if plain in ("subcompact", "utility") else "")


CLASS = r"(sub-?compact|small compact|large compact|utility)"
RULES: tuple[tuple[re.Pattern[str], Callable[[re.Match[str]], Entries]], ...] = tuple(
    (re.compile(rf"^{text}$", re.I), made)
    for text, made in (
        (rf"({ABOUT}{SPAN}) ?(hp|horse(?:s|power)?|kw)( or so)?(?: {CLASS})?(?: tractor)?", _power),
        (rf"{CLASS}(?: tractor)?", lambda found: {"machine.class": class_of(found[1])}),
        (r"(?:it's |it is )?(?:(?:four|4) pins?|pinned(?: on)?|pins)", _at("machine.quick_attach", "pinned")),
        (r"(?:two|2) levers|universal(?: plate)?", _at("machine.quick_attach", "universal_plate")),
        (r"narrow(?: universal)? plate", _at("machine.quick_attach", "universal_plate_narrow")),
        (r"hooks above(?:,? pins below)?|hooks? and pins?", _at("machine.quick_attach", "hook_and_pin")),
        (rf"{MANY} (?:spare )?(?:front (?:outlets?|functions?|(?:outlet )?pairs?)|third functions?)(?: spare)?",
         _count_at("machine.front_functions")),
        (r"(no|none) in front", _count_at("machine.front_functions")),
        (r"third function", _at("machine.front_functions", "1")),
        (rf"{MANY} (?:spare )?(?:rear )?remotes?(?: spare)?", _count_at("machine.rear_remotes")),
        (r"(none) (?:at|in) the (?:rear|back)", _count_at("machine.rear_remotes")),
        (rf"{MANY} mid (?:remotes?|outlets?)", _count_at("machine.mid_outlets")),
        (r"(no|none) (?:spare )?(?:outlets|extra hydraulics|spare hydraulics)",
         _count_at("machine.front_functions", "machine.rear_remotes")),
        (r"(six|seven|6|7) lines(?: (?:at|into) the valve)?", _count_at("machine.lines_at_valve")),
        (rf"({MASS}) {BACK}", _at("behind.mass", "")),
        (r"(?:flat|level)(?: ground)?", _at("site.slope", "0 %")),
        (rf"({ABOUT}{SPAN} ?(?:%|per ?cent|deg(?:rees)?|°))(?: (?:slope|hill|grade))?", _at("site.slope", "")),
        (rf"({LENGTH})(?: wide)? gate", _at("site.gate", "")),
        (rf"(?:budget |under |up to |not over |no more than |at most )(\$? ?{NUMBER})(?: all in)?",
         _at("wishes.budget", "")),
        (rf"(\$ ?{NUMBER})(?: all in| budget)?", _at("wishes.budget", "")),
        (r"(?:owner |they |he |she )?fits? it (?:themselves|himself|herself)|own work|no shop",
         _at("wishes.own_work", "yes")),
        (r"(?:shop|we|you) fits? it", _at("wishes.own_work", "no")),
        (rf"({ABOUT}{NUMBER}) (?:hours|h) a year", _at("wishes.hours_per_year", "")),
        (r"(?:tyres|tires)(?: are)? (?:filled|loaded)|(?:filled|loaded) (?:tyres|tires)",
         _at("machine.tyre_fill", "filled")),
        (r"(?:roll ?bar|rops) (up|folded|none)", _at("machine.rops", "")),
        (r"no roll ?bar", _at("machine.rops", "none")),
        (r"(?:seat )?belt(?: works| ok| on| fine)?", _at("machine.seat_belt", "yes")),
        (r"no (?:seat )?belt|(?:seat )?belt (?:broken|missing|does not work)", _at("machine.seat_belt", "no")),
        (r"(\+?\(?\d{3}\)?[ -]\d{4}|\+?\(?\d{3}\)?[ -]\d{3}[ -]\d{4})", _at("caller.number", "")),
    )
)  # fmt: skip
HUNG = {kind: re.compile(rf"^(?:an? )?(?:{words})\b", re.I) for kind, words in BEHINDS.items()}
HUNG_MASS = re.compile(rf"^({MASS}|unknown)?$", re.I)


def behind(piece: str) -> Entries | None:
    """What a piece says of what hangs behind: "box blade behind about 400 lb", "behind: nothing"; None where nothing.

    >>> behind("box blade on the back about 400 lb")
    {'behind.kind': 'box_blade', 'behind.mass': 'about 400 lb'}
    """
    left = re.sub(rf"\b{BACK}\b:?", " ", piece, flags=re.I)
    left = " ".join(left.split())
    told = left != piece
    for kind, pattern in HUNG.items():
        if not (match := pattern.match(left)) or (kind == "none" and not told):
            continue
        mass = HUNG_MASS.match(left[match.end() :].strip(" ,:"))
        if mass is None or (kind == "none" and mass[1]):
            return None
        weight = {"behind.mass": "0 lb"} if kind == "none" else {"behind.mass": mass[1]} if mass[1] else {}
        return {"behind.kind": kind} | weight
    return None
