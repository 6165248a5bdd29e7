"""What can be said now, what must not be promised yet, and the sentence of a verdict. Never kinder than computed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from handfast.advice.lines_of_work import parted, serves_words
from handfast.advice.odds import FITS, IF, NOT
from handfast.advice.result import Band, Cost, OutfitAdvice
from handfast.machines.inquiry import Inquiry
from handfast.quantities.money import show_money
from handfast.quantities.showing import show
from handfast.quantities.units import to_si

STEPS = {"us": (to_si(25.0, "lb"), to_si(0.5, "ft")), "metric": (10.0, 0.1)}
PUT = {
    "hitch": "behind",
    "rear_wheels": "on the rear wheels",
    "tyres": "of liquid in the rear tyres",
    "rack": "on the rack",
}
FACT_TITLES = {
    "quick_attach": "how the bucket comes off",
    "front_functions": "spare outlets in front",
    "rear_remotes": "spare outlets behind",
    "power_beyond": "how many lines go into the loader valve",
    "centre": "the kind of hydraulic circuit",
    "site.slope": "the slope",
    "site.gate": "a gate",
    "site.lift_to": "how high it must be lifted",
    "behind.mass": "what hangs behind now",
    "front_axle_rating": "the front axle's rating",
    "rear_axle_rating": "the rear axle's rating",
    "gross_rating": "the most it may weigh",
    "front_tyre.load_each": "what the front tyres carry",
    "rear_tyre.load_each": "what the rear tyres carry",
    "hitch_lift_610": "what the hitch lifts",
    "loader.curl_at_500": "the loader's curl force",
    "loader.lift_at_pin": "the loader's lift ratings",
    "work.diameter": "how thick the pieces are",
    "work.mass": "how heavy one piece is",
    "attachment.rated_load": "the attachment's own rating",
    "attachment.jaw": "the shape of the jaw",
    "attachment.hydraulics": "the lid's cylinder",
    "loader.linkage": "the loader's linkage",
    "ports": "the ports' threads",
}


@dataclass(frozen=True)
class Ways:
    """What one attachment comes to on every mount it may turn out to hang on [money]."""

    least: float
    greatest: float
    mounts: tuple[str, ...]  # in the trade's words


def down(value: float, step: float) -> float:
    """A figure rounded down to a step; below one step it is nothing.

    Args:
        value: figure, any unit.
        step: same unit.

    Returns:
        Multiple of the step, at least 0.

    Example:
        >>> down(474.0, 25.0)
        450.0
    """
    return max(float(np.floor(value / step + 1e-9) * step), 0.0)


def say_now(outfits: Sequence[OutfitAdvice], inquiry: Inquiry, system: str, ways: Ways | None = None) -> str:
    """What can be read aloud at once about the best outfit.

    Args:
        outfits: ranked.
        inquiry: the inquiry.
        system: units.
        ways: what the first attachment comes to while a fact decides how it hangs or is moved.

    Returns:
        Two to four sentences, every figure a cautious one.

    Example:
        >>> say_now((), Inquiry(), "us")
        'Nothing on the shelf can be said to hold yet.'
    """
    if not outfits:
        return "Nothing on the shelf can be said to hold yet."
    best = outfits[0]
    if best.verdict == NOT:
        return f"Nothing on the shelf holds for this. Nearest is the {best.title}. {best.verdict_text}"
    return " ".join(part for part in (best.say, _over(best, inquiry), _between(best, ways), *_also(outfits)) if part)


def _also(outfits: Sequence[OutfitAdvice]) -> list[str]:
    """For each line of work that the best outfit leaves, the best one that serves it."""
    found = []
    for name in outfits[0].leaves:
        other = next((one for one in outfits if name in one.serves), None)
        if other is not None:
            found.append(f"For the {name} it takes another tool. Nearest: the {other.title}. {other.verdict_text}")
        else:
            found.append(f"For the {name} nothing on the shelf comes near.")
    return found


def _over(best: OutfitAdvice, inquiry: Inquiry) -> str:
    """That the best one is more than the caller has."""
    budget = inquiry.wishes.budget
    if budget.is_unknown or not best.cost.whole or best.cost.ceiling <= budget.greatest:
        return ""
    has = show_money(budget.greatest, best.cost.currency)
    if best.cost.p50 <= budget.greatest:
        return f"It may come to more than the {has} there is."
    return f"That is more than the {has} there is."


def _between(best: OutfitAdvice, ways: Ways | None) -> str:
    """What the same attachment comes to either way, while a fact decides how it hangs or is moved."""
    if ways is None or not best.cost.whole or not any(c.kind == "fact" and c.value is None for c in best.conditions):
        return ""
    low, currency = np.floor(ways.least / 50.0) * 50.0, best.cost.currency
    ends = f"between {show_money(low, currency)} and {show_money(ways.greatest, currency)}"
    return f"Be it {' or '.join(ways.mounts)}, and whatever outlets it has, the cheapest way comes to {ends}."


def spoken(one: OutfitAdvice, system: str) -> str:
    """The words for one outfit.

    Args:
        one: the outfit.
        system: units.

    Returns:
        Sentences to read aloud.

    Example:
        >>> from handfast.outfits.example import inquiry
        >>> from handfast.advice.advise import advise
        >>> from handfast.machines.shelf import Shelf
        >>> "450 lb" in spoken(advise(inquiry(), Shelf()).outfits[0], "us")
        True
    """
    facts = [c.text for c in one.conditions if c.kind == "fact"]
    lead = f"If {' and '.join(facts[:2])}: the {one.title}" if facts else f"The {one.title}"
    lifts = _lifts(one, system)
    if ", " in one.title and lifts.startswith(" "):
        lead += ","
    care = [f"Mind that {c.text}." for c in one.conditions if c.kind == "care"]
    parts = [lead + lifts + ".", serves_words(one.serves, one.leaves), _weight(one), _better(one, system), *care]
    parts.append(_price(one.cost))
    if one.verdict not in (FITS, IF):
        parts = [f"I can't promise the {one.title} yet. {one.verdict_text}", _price(one.cost)]
    return " ".join(part for part in parts if part)


def _lifts(one: OutfitAdvice, system: str) -> str:
    if one.payload.full_height is None or _lift_is_typical(one):
        return "; what it lifts waits for the loader's sheet" if one.payload.full_height is not None else ""
    kilograms = spoken_payload(one, system)
    if kilograms <= 0:
        return " leaves nothing to lift with at full height"
    piece = f", {one.load_text}" if one.load is not None and one.load_text else ""
    seats = [c.text for c in one.conditions if c.kind == "care" and c.unit == "kg"]
    where = f" with the piece right back {'in the jaw' if 'jaw' in seats[0] else 'against the frame'}" if seats else ""
    return f" leaves at least {show(kilograms, 'mass', system)} at full height{where}{piece}"


def _lift_is_typical(one: OutfitAdvice) -> bool:
    """Whether the lift rests on nothing but the class: then it is not said."""
    return any(check.id == "lift.full_height" and check.origin in ("typical", "missing") for check in one.checks)


def spoken_payload(one: OutfitAdvice, system: str) -> float:
    """The payload that may be said [kg]: cautious quantile, every limit counted, rounded down.

    Args:
        one: the outfit.
        system: units.

    Returns:
        Mass [kg].

    Example:
        >>> from handfast.outfits.example import inquiry
        >>> from handfast.advice.advise import advise
        >>> from handfast.machines.shelf import Shelf
        >>> round(spoken_payload(advise(inquiry(), Shelf()).outfits[0], "us") / 0.45359237)  # 474.97 lb, down to 25 lb
        450
    """
    if one.payload.full_height is None:
        return 0.0
    limits = [one.payload.full_height.p10]
    limits += [c.capacity.p10 for c in one.checks if c.id == "lift.attachment_rating" and c.capacity is not None]
    if one.curve.curl is not None:
        limits.append(one.curve.curl[-1])
    return down(min(limits), STEPS[system][0])


def limited(one: OutfitAdvice) -> Band | None:
    """What it lifts to the height asked for, else to full height, never more than the attachment is rated for [kg].

    Args:
        one: the outfit.

    Returns:
        Band; None where the ratings are not known.

    Example:
        >>> from handfast.outfits.example import inquiry
        >>> from handfast.advice.advise import advise
        >>> from handfast.machines.shelf import Shelf
        >>> one = advise(inquiry(), Shelf()).outfits[0]
        >>> limited(one) == one.payload.full_height  # its own rating is far above
        True
    """
    band = one.payload.lift_to or one.payload.full_height
    if band is None:
        return None
    most = [c.capacity for c in one.checks if c.id == "lift.attachment_rating" and c.capacity is not None]
    curl = [one.curve.curl[-1]] if one.curve.curl is not None and one.payload.lift_to is None else []
    ends = ([band.p10, *(m.p10 for m in most)], [band.p50, *(m.p50 for m in most)], [band.p90, *(m.p90 for m in most)])
    return Band(*(min(*end, *curl) if most or curl else end[0] for end in ends))


def _weight(one: OutfitAdvice) -> str:
    texts = [c.text for c in one.conditions if c.kind in ("ballast", "height")]
    return f"It holds if {' and '.join(texts)}." if texts else ""


def _better(one: OutfitAdvice, system: str) -> str:
    """Ballast that the stricter rule asks where the stop rule holds without."""
    if any(c.kind == "ballast" for c in one.conditions) or not one.ballast.chosen:
        return ""
    return (
        f"With {_weight_words(one, system)} it meets the stricter rule for the rear axle too, and the price has it in."
    )


def _weight_words(one: OutfitAdvice, system: str) -> str:
    return " and ".join(f"{show(p.mass, 'mass', system)} {PUT[p.at]}" for p in one.ballast.chosen)


def _price(cost: Cost) -> str:
    if not cost.lines:
        return ""
    if not cost.whole:
        return "The attachment's own price is not known, so no total can be said."
    return f"Fitted and delivered, not more than {show_money(cost.ceiling, cost.currency)}."


def _undone(best: OutfitAdvice | None, inquiry: Inquiry) -> list[str]:
    """The lines of work that the first outfit is no tool for."""
    if best is None or best.verdict == NOT or not best.kind:
        return []
    tool = best.kind.replace("_", " ")
    left = parted(inquiry.work, best.kind)[1]
    return [f"That it does the {name} too: {tool} and {name} don't go together." for name in left]


def do_not_promise(best: OutfitAdvice | None, open_facts: Sequence[str], inquiry: Inquiry) -> tuple[str, ...]:
    """What must not be said yet.

    Args:
        best: the first outfit.
        open_facts: paths of facts that are open.
        inquiry: the inquiry.

    Returns:
        Sentences.

    Example:
        >>> do_not_promise(None, ("site.slope",), Inquiry())
        ('That it works on their ground. The slope has not been asked.',)
    """
    said = []
    open_ones = set(open_facts)
    if "quick_attach" in open_ones:
        said.append("That it goes straight on. How the bucket comes off is not known.")
    if "loader.lift_at_pin" in open_ones:
        said.append("What it lifts. The loader's ratings are only typical of its class.")
    if "site.slope" in open_ones:
        said.append("That it works on their ground. The slope has not been asked.")
    if "behind.mass" in open_ones:
        said.append("That nothing else is needed behind. What hangs there now has not been asked.")
    if "site.lift_to" in open_ones:
        said.append("That it reaches a trailer. How high it must be lifted has not been asked.")
    if open_ones & {"front_axle_rating", "front_tyre.load_each"}:
        said.append("That the front axle bears it. Its plate and its tyres have not been read.")
    if open_ones & {"power_beyond", "front_functions", "rear_remotes"}:
        said.append("How the lid is powered. The outlets have not been counted.")
    said += _undone(best, inquiry)
    if best is not None and best.power.route != "none" and "ports" in open_ones:
        said.append("That the hoses join. The threads have not been measured.")
    return tuple(said)
