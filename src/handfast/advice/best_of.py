"""The outfits that nothing beats, named for what each is best at, with a sentence each."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import isfinite

from handfast.advice.result import Advice, OutfitAdvice
from handfast.advice.say import down, limited
from handfast.quantities.money import show_money
from handfast.quantities.showing import show
from handfast.quantities.units import to_si

BILL, LIFT, BOTHER = "lightest bill", "most lift", "least bother"
NAMES = (BILL, LIFT, BOTHER)


@dataclass(frozen=True)
class Best:
    """One outfit, what it is best at, and the sentence."""

    outfit: str
    names: tuple[str, ...]
    text: str


def named(made: Sequence[OutfitAdvice], bills: Sequence[float], ease: Sequence[float]) -> list[OutfitAdvice]:
    """Outfits with what each is best at; one that is best at two things bears both names.

    Args:
        made: outfits; only those that fit and that nothing beats are named.
        bills: money; NaN is never lightest.
        ease: convenience, more is better.

    Returns:
        The outfits, in their order.

    Source: Pareto order; equal ones go by the bill.

    Example:
        >>> named([], [], [])
        []
    """
    holds = [k for k, one in enumerate(made) if one.pareto and one.verdict.startswith("fits")]
    cost = [bill if isfinite(bill) else float("inf") for bill in bills]
    lifts = [one.p50 if one is not None else float("-inf") for one in map(limited, made)]
    keys = {
        BILL: lambda k: (cost[k], -lifts[k]),
        LIFT: lambda k: (-lifts[k], cost[k]),
        BOTHER: lambda k: (-ease[k], cost[k]),
    }
    best: dict[int, list[str]] = {}
    for name in NAMES:
        if holds:
            best.setdefault(min(holds, key=keys[name]), []).append(name)
    return [replace(one, best_at=", ".join(best[k]) if k in best else None) for k, one in enumerate(made)]


def best_of(advice: Advice, system: str = "us") -> tuple[Best, ...]:
    """The named outfits of an answer, each with a sentence that says what it is best at and what that costs.

    Args:
        advice: the answer.
        system: units.

    Returns:
        At most three, in the order lightest bill, most lift, least bother.

    Example:
        >>> from handfast.advice.example import answer
        >>> best_of(answer())[0].names
        ('lightest bill', 'most lift', 'least bother')
    """
    found = {name: one for one in advice.outfits for name in (one.best_at or "").split(", ") if name in NAMES}
    done: list[Best] = []
    for name in NAMES:
        if name in found and found[name].id not in {one.outfit for one in done}:
            outfit = found[name]
            names = tuple(other for other in NAMES if found.get(other) is outfit)
            done.append(Best(outfit.id, names, _sentence(outfit, names, found.get(BILL), advice.currency, system)))
    return tuple(done)


def _sentence(
    one: OutfitAdvice, names: Sequence[str], cheapest: OutfitAdvice | None, currency: str, system: str
) -> str:
    head = _list(names)
    title = f"{head[:1].upper()}{head[1:]}: {one.title}"
    parts = [_bill(one, cheapest, currency)] if BILL not in names else [f"likely {show_money(one.cost.p50, currency)}"]
    if LIFT in names:
        parts.insert(0, _lift(one, cheapest, system))
    if BOTHER in names:
        parts.insert(0, one.power.control or "nothing to switch")
    return f"{title}; {', '.join(part for part in parts if part)}."


def _list(names: Sequence[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def _bill(one: OutfitAdvice, cheapest: OutfitAdvice | None, currency: str) -> str:
    if cheapest is None or cheapest is one or not isfinite(one.cost.p50):
        return ""
    more = one.cost.p50 - cheapest.cost.p50
    return f"{show_money(more, currency)} more than the lightest bill"


def _lift(one: OutfitAdvice, cheapest: OutfitAdvice | None, system: str) -> str:
    lifted = limited(one)
    if lifted is None:
        return ""
    step = to_si(25.0, "lb") if system == "us" else 10.0
    where = "to the height asked" if one.payload.lift_to else "at full height"
    text = f"say {show(down(lifted.p10, step), 'mass', system)} {where}"
    there = limited(cheapest) if cheapest is not None and cheapest is not one else None
    if there is None:
        return text
    more = down(lifted.p50 - there.p50, to_si(5.0, "lb") if system == "us" else 2.0)
    return f"{text}, {show(more, 'mass', system)} more" if more > 0 else text
