"""Amounts that no rule took, read by the words around them: what those words are like in letters read by hand."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Iterator
from functools import cache

from handfast.mail.amounts import Amount
from handfast.mail.found import Found
from handfast.mail.letter import Letter
from handfast.mail.quantities import quantity
from handfast.mail.rules_seen import sections
from handfast.mail.topics import topic_at
from handfast.mail.work_mentions import Mention, mentions
from handfast.quantities.tables import table

NONE = "none"
LEAST = 0.7  # chance below which nothing is said
_TOKEN = re.compile(r"[a-z']+|\d[\d.,]*|[.,:;?!()\n/&+-]")
# of powers, flows, slopes, money and hours the unit says all: what the rules left of these, they left knowingly
_WORDS = {
    "machine.mass": "the tractor's weight",
    "machine.front_axle_mass": "the weight on the front axle",
    "machine.rear_axle_mass": "the weight on the rear axle",
    "machine.wheelbase": "the wheelbase",
    "machine.loader.lift_at_pin": "a lift at the pins",
    "machine.loader.lift_at_500": "a lift ahead of the pins",
    "machine.loader.pin_height_max": "the height of the pins",
    "machine.hitch_lift_610": "what the hitch lifts",
    "site.gate": "a gate",
    "site.lift_to": "a height to lift to",
    "site.haul_distance": "a way to carry",
    "work.diameter": "the diameter of what is to be moved",
    "work.length": "the length of what is to be moved",
    "work.mass": "the weight of what is to be moved",
    "work.count": "the number of what is to be moved",
}


def signs(letter: Letter, one: Amount) -> list[str]:
    """What is seen around an amount: words before and after, unit and size, what it is about.

    >>> from handfast.mail.letter import Letter
    >>> text = Letter("The gate is 9 ft wide.")
    >>> signs(text, text.amounts[0])[:4]
    ['b1 is', 'b2 gate', 'b3 the', 'b is']
    """
    before = [
        "#" if word[0].isdigit() else word for word in _TOKEN.findall(letter.low[max(0, one.start - 70) : one.start])
    ]
    after = ["#" if word[0].isdigit() else word for word in _TOKEN.findall(letter.low[one.end : one.end + 50])]
    before.reverse()
    found = [f"b{at + 1} {word}" for at, word in enumerate(before[:3])] + [f"b {word}" for word in before[:7]]
    found += [f"a{at + 1} {word}" for at, word in enumerate(after[:2])] + [f"a {word}" for word in after[:5]]
    found += [f"bb {' '.join(before[1::-1])}", f"aa {' '.join(after[:2])}"]
    begin = letter.sentence(one.start)[0]
    found += [f"s {word}" for word in dict.fromkeys(_TOKEN.findall(letter.low[begin : one.start]))]
    topic, where = topic_at(letter, one.start, one.end)
    found.append(f"t {topic.name if topic else NONE} {'after' if where == 'after' else ''}".rstrip())
    size = round(1.5 * math.log2(one.low)) if one.low > 0 else -9
    found += [f"u {one.unit}", f"n {one.unit} {size}", f"r {one.low != one.high}"]
    states = (
        letter.asked(one.start),
        letter.denied(one.start, 30),
        letter.foreign(one.start),
        letter.supposed(one.start),
    )
    return found + [
        f"is {name}" for name, state in zip(("asked", "denied", "other", "supposed"), states, strict=True) if state
    ]


@cache
def _weights() -> dict[str, dict[str, dict[str, float]]]:
    """Weights by dimension, sign and place."""
    found: dict[str, dict[str, dict[str, float]]] = {}
    for row in table("letter_signs.csv"):
        sign = found.setdefault(row["dimension"], {}).setdefault(row["sign"], {})
        sign[row["place"]] = float(row["weight"])
    return found


def chances(
    letter: Letter, one: Amount, weights: dict[str, dict[str, dict[str, float]]] | None = None
) -> dict[str, float]:
    """How likely an amount is of each place, "none" among them."""
    known = (_weights() if weights is None else weights).get(one.dimension)
    if not known:
        return {}
    total = dict.fromkeys(known[""], 0.0)
    for sign in ("", *signs(letter, one)):
        for place, weight in known.get(sign, {}).items():
            total[place] += weight
    most = max(total.values())
    parts = {place: math.exp(value - most) for place, value in total.items()}
    whole = sum(parts.values())
    return {place: value / whole for place, value in parts.items()}


def alike(
    letter: Letter,
    taken: Iterable[Found],
    weights: dict[str, dict[str, dict[str, float]]] | None = None,
    least: float = LEAST,
) -> Iterator[Found]:
    """Facts from amounts that no rule took, where the words around them leave little doubt."""
    kept = list(taken)
    places = {one.place for one in kept}
    named = mentions(letter)
    elsewhere = sections(letter)
    best: dict[str, tuple[float, Found]] = {}
    for one in letter.amounts:
        if any(start < one.end and one.start < end for start, end in elsewhere) or any(
            other.start < one.end and one.start < other.end for other in kept
        ):
            continue
        of = chances(letter, one, weights)
        name = max(of, key=lambda place: of[place], default=NONE)
        if name not in _WORDS or of[name] < least or not letter.own(one.start) or letter.denied(one.start, 30):
            continue
        found = _fact(letter, one, name, named)
        if found and found.place not in places and of[name] > best.get(found.place, (0.0, None))[0]:
            best[found.place] = (of[name], found)
    yield from (found for _, found in best.values())


def _fact(letter: Letter, one: Amount, name: str, named: list[Mention]) -> Found | None:
    why = f"words around it that are like those of {_WORDS[name]}"
    if not name.startswith("work."):
        return quantity(letter, name, one, why)
    kinds = list(dict.fromkeys(each.kind for each in named))
    before = [each for each in named if each.start <= one.start]
    near = before[-1:] or named[:1]
    return quantity(letter, f"work[{kinds.index(near[0].kind)}].{name[5:]}", one, why) if near else None
