"""What can be said now, what must not be promised yet, and the sentence of a verdict. Never kinder than computed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np

from handfast.advice.odds import FITS, IF, NOT, Judged
from handfast.advice.result import Condition, Cost, OutfitAdvice
from handfast.machines.inquiry import Inquiry
from handfast.outfits.assess import Finding
from handfast.outfits.mounting import fact_words
from handfast.quantities.money import show_money
from handfast.quantities.showing import show, show_slope
from handfast.quantities.tables import table
from handfast.quantities.units import to_si

CAUTIOUS = 0.10  # a spoken figure is one that nine of ten samples bear out
STEPS = {"us": (to_si(25.0, "lb"), to_si(0.5, "ft")), "metric": (10.0, 0.1)}
DIMENSIONS = {"kg": "mass", "m": "length", "N": "force", "share": "share", "rad": "slope", "s": "time", "Pa": "pressure",
              "m/s": "speed", "A": "current", "money": "money"}  # fmt: skip
PRESUMED = {
    "front_functions": "a front outlet pair is to spare",
    "rear_remotes": "a rear remote is to spare",
    "power_beyond": "seven lines go into the loader valve",
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


def figure(value: float, unit: str, system: str) -> str:
    """A check's figure as people read it.

    Args:
        value: SI.
        unit: the check's unit.
        system: "us" or "metric".

    Returns:
        Text with its unit.

    Example:
        >>> figure(100.0, "kg", "metric")
        '100 kg'
    """
    if not np.isfinite(value):
        return "not at all" if np.isinf(value) else "not known"
    if unit == "1":
        return "yes" if value >= 1.0 else "no"
    if unit == "rad":
        return show_slope(value)
    if unit in ("kg.m", "N.m"):
        moment = value * (9.80665 if unit == "kg.m" else 1.0)
        return f"{moment / 1.355818:,.0f} lb-ft" if system == "us" else f"{moment:,.0f} N·m"
    return show(value, DIMENSIONS[unit], system)


def reason(judged: Judged, row: int, conditions: Sequence[Condition], system: str) -> str:
    """The sentence that goes with the verdict word.

    Args:
        judged: the outfits.
        row: which outfit.
        conditions: named for it.
        system: units.

    Returns:
        One sentence naming the governing check and its figures.

    Example:
        >>> reason.__name__
        'reason'
    """
    word = judged.verdict(row)
    if word == FITS:
        return "Fits. " + _room(judged.final(row).governs(row), row, system)
    if word == IF:
        first, rest = conditions[0].text, len(conditions) - 1
        return f"Fits if {first}" + (f", and {rest} more." if rest else ".")
    stopper = _stopper(judged, row)
    if word == NOT:
        return "Does not fit. " + (_short(stopper, row, system) if stopper else "No way to hang it or move it.")
    return "Not enough known. " + (_short(stopper, row, system) if stopper else "Too many facts are open.")


def _stopper(judged: Judged, row: int) -> Finding | None:
    """The failing check that says most: a fact of mounting or supply only where nothing else fails."""
    failing = sorted(judged.final(row).failing(row, 0.97), key=lambda f: f.held(row) or 0.0)
    plain = [f for f in failing if f.check.unit != "1"]
    return (plain or failing or [None])[0]  # type: ignore[list-item]


def _room(finding: Finding | None, row: int, system: str) -> str:
    if finding is None:
        return "Nothing stops it."
    spare = float(np.quantile(finding.row("margin", row), CAUTIOUS))
    return f"{finding.check.title}: {figure(spare, finding.check.unit, system)} to spare."


def _short(finding: Finding, row: int, system: str) -> str:
    has = float(np.median(finding.row("capacity", row)))
    asks = float(np.median(finding.row("demand", row)))
    unit = finding.check.unit
    return finding.check.sentence.format(asks=figure(asks, unit, system), has=figure(has, unit, system))


def conditions_of(judged: Judged, row: int, system: str) -> tuple[Condition, ...]:
    """What must be so before the verdict holds, the first one first.

    Args:
        judged: the outfits.
        row: which outfit.
        system: units.

    Returns:
        Conditions: facts, ballast, height, ratings.

    Example:
        >>> conditions_of.__name__
        'conditions_of'
    """
    found: list[Condition] = []
    outfit, draws = judged.bench.outfits[row], judged.bench.draws
    if "quick_attach" in draws.choices and not bool((draws.picked("quick_attach", outfit.mount.interface) > 0).all()):
        found.append(Condition("fact", fact_words(outfit.mount.interface), None, ""))
    if outfit.power.presumes in PRESUMED and judged.presumes(row):
        found.append(Condition("fact", PRESUMED[str(outfit.power.presumes)], None, ""))
    found += _ballast_condition(judged, row, system)
    if judged.stays_below(row):
        text = f"it is not lifted above {show(1.5, 'length', system)} at the pins"
        found.append(Condition("height", text, 1.5, "m"))
    if judged.by_class(row):
        found.append(Condition("fact", "the loader's own sheet bears out what is typical of its class", None, ""))
    found += [Condition("fact", text, None, "") for text in outfit.power.care]
    return tuple(found)


def _ballast_condition(judged: Judged, row: int, system: str) -> list[Condition]:
    chosen = judged.sets[row]
    if chosen is None or not chosen.mass:
        return []
    hitch = [p for p in chosen.pieces if p.at == "hitch"]
    first = hitch[0] if hitch else chosen.pieces[0]
    where = "hangs behind" if hitch else "is on or in the rear wheels"
    return [Condition("ballast", f"{show(first.mass, 'mass', system)} {where}", chosen.mass, "kg")]


def say_now(outfits: Sequence[OutfitAdvice], inquiry: Inquiry, system: str) -> str:
    """What can be read aloud at once about the best outfit.

    Args:
        outfits: ranked.
        inquiry: the inquiry.
        system: units.

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
    return best.say


def spoken(one: OutfitAdvice, system: str) -> str:
    """The words for one outfit.

    Args:
        one: the outfit.
        system: units.

    Returns:
        Sentences to read aloud.

    Example:
        >>> spoken.__name__
        'spoken'
    """
    facts = [c.text for c in one.conditions if c.kind == "fact"]
    lead = f"If {' and '.join(facts[:2])}: the {one.title}" if facts else f"The {one.title}"
    parts = [lead + _lifts(one, system) + ".", _weight(one), _price(one.cost)]
    if one.verdict not in (FITS, IF):
        parts = [f"I can't promise the {one.title} yet. {one.verdict_text}", _price(one.cost)]
    return " ".join(part for part in parts if part)


def _lifts(one: OutfitAdvice, system: str) -> str:
    if one.payload.full_height is None:
        return " fits on"
    kilograms = spoken_payload(one, system)
    if kilograms <= 0:
        return " leaves nothing to lift with at full height"
    piece = f", {one.load_text}" if one.load is not None and one.load_text else ""
    return f" leaves at least {show(kilograms, 'mass', system)} at full height{piece}"


def spoken_payload(one: OutfitAdvice, system: str) -> float:
    """The payload that may be said [kg]: cautious quantile, every limit counted, rounded down.

    Args:
        one: the outfit.
        system: units.

    Returns:
        Mass [kg].

    Example:
        >>> spoken_payload.__name__
        'spoken_payload'
    """
    if one.payload.full_height is None:
        return 0.0
    limits = [one.payload.full_height.p10]
    limits += [c.capacity.p10 for c in one.checks if c.id == "lift.attachment_rating" and c.capacity is not None]
    if one.curve.curl is not None:
        limits.append(one.curve.curl[-1])
    return down(min(limits), STEPS[system][0])


def _weight(one: OutfitAdvice) -> str:
    texts = [c.text for c in one.conditions if c.kind in ("ballast", "height")]
    return f"It holds if {' and '.join(texts)}." if texts else ""


def _price(cost: Cost) -> str:
    if not cost.lines:
        return ""
    return f"Fitted and delivered, not more than {show_money(cost.ceiling, cost.currency)}."


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
    if best is not None and best.power.route != "none" and "ports" in open_ones:
        said.append("That the hoses join. The threads have not been measured.")
    return tuple(said)


@dataclass(frozen=True)
class Caution:
    """One caution of the table."""

    id: str
    severity: int
    when: str
    text: str


@cache
def _cautions() -> tuple[Caution, ...]:
    rows = [Caution(r["id"], int(r["severity"]), r["when"], r["text"]) for r in table("cautions.csv")]
    return tuple(sorted(rows, key=lambda one: one.severity))


def cautions(judged: Judged, row: int, inquiry: Inquiry) -> tuple[str, ...]:
    """At most four cautions, the gravest first, for this outfit on this ground.

    Args:
        judged: the outfits.
        row: which outfit.
        inquiry: the inquiry.

    Returns:
        Sentences.

    Source: cautions.csv; manuals and codes rule.

    Example:
        >>> cautions.__name__
        'cautions'
    """
    true = {"always", *_so(judged, row, inquiry)}
    return tuple(one.text for one in _cautions() if one.when in true)[:4]


def _so(judged: Judged, row: int, inquiry: Inquiry) -> set[str]:
    machine, outfit, final = inquiry.machine, judged.bench.outfits[row], judged.final(row)
    tests = {
        "slope": (final.of("slope.side").held(row) or 0.0) < 0.97 and final.of("slope.side").held(row) is not None,
        "ballast": judged.needs_ballast[row],
        "rops_folded": machine.rops == "folded",
        "rops_none": machine.rops == "none" or machine.seat_belt is False,
        "axle_unknown": final.of("balance.front_axle").held(row) is None,
        "round_load": any(work.kind in ("logs", "rock", "round_bales") for work in inquiry.work),
        "quick_attach": outfit.mount.to != "pinned",
        "hydraulic": outfit.power.route not in ("none", "electric", "curl", "manual"),
        "diverter": outfit.power.route == "diverter",
    }
    return {name for name, so in tests.items() if so}
