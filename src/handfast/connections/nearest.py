"""Where no chain exists: the chain that comes nearest, and the one thing that is short or missing."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from handfast.connections.chain import Chain, ChainAsk, ChainIndex, ChainPart, find_chain
from handfast.connections.chain_search import JOINTS, Search
from handfast.connections.mating import End, show_connection

NONE = float("inf")


@dataclass(frozen=True)
class Miss:
    """Why there is no chain: which demand (pressure, bore, length, drop, halves, limits, part), how much of it is
    met [1], the nearest chain (None where a part is missing), the parts that fall short, the sentence."""

    short: str
    met: float
    nearest: Chain | None
    at: tuple[str, ...]
    why: str


def nearest_miss(parts: Sequence[ChainPart], ask: ChainAsk) -> Miss:
    """The chain that would do if one demand were lower, or the one part that is missing.

    Args:
        parts: The shelf.
        ask: A question that has no chain.

    Returns:
        Why, and the nearest chain: of the demands that are short by themselves the one met best.

    Source: the same search with one demand lowered at a time, then all, then with one unknown part allowed.

    >>> weak = ChainPart("weak", (End("orb", "-8", "male"), End("flare37", "-8", "male")), 4.0, pressure_max=1e7)
    >>> ask = ChainAsk(End("orb", "-8", "female"), End("flare37", "-8", "female"), pressure=2e7)
    >>> nearest_miss([weak], ask).at
    ('weak',)
    """
    index = ChainIndex.of(parts)
    shelf = {part.id: part for part in parts}
    one = [_lower_limit(index, shelf, ask, "pressure"), _lower_limit(index, shelf, ask, "bore")]
    one += [_shorter(index, shelf, ask), _more_drop(parts, index, ask), _either_half(index, ask)]
    found = [miss for miss in one if miss is not None]
    if found:
        return max(found, key=lambda miss: miss.met)
    bare = ChainAsk(ask.start, ask.goal, ask.breaks, joint_cost=ask.joint_cost)
    chain = find_chain(index, bare)
    if chain is not None:
        why = f"only with several limits lowered at once: {', '.join(chain.parts)}"
        return Miss("limits", 0.0, chain, chain.parts, why)
    return _missing_part(index, bare)


def _highest(values: Sequence[float], chain_at: Callable[[float], Chain | None]) -> tuple[float, Chain] | None:
    """Largest of rising values at which there is a chain; a chain at a value is one at every lower value."""
    low, high, best = 0, len(values) - 1, None
    while low <= high:
        middle = (low + high) // 2
        chain = chain_at(values[middle])
        if chain is None:
            high = middle - 1
        else:
            best, low = (values[middle], chain), middle + 1
    return best


def _lower_limit(index: ChainIndex, shelf: dict[str, ChainPart], ask: ChainAsk, name: str) -> Miss | None:
    asked: float = getattr(ask, name)
    attribute, unit, scale = ("pressure_max", "bar", 1e-5) if name == "pressure" else ("bore", "mm", 1e3)
    values = sorted({v for p in shelf.values() if 0.0 <= (v := getattr(p, attribute)) < asked})

    def at_value(value: float) -> Chain | None:
        lower = replace(ask, pressure=value) if name == "pressure" else replace(ask, bore=value)
        return find_chain(index, lower)

    best = _highest(values, at_value)
    if best is None:
        return None
    value, chain = best
    at = tuple(i for i in chain.parts if getattr(shelf[i], attribute) < asked)
    why = f"{' and '.join(at)}: {name} {value * scale:.4g} {unit}, asked for {asked * scale:.4g} {unit}"
    return Miss(name, value / asked, chain, at, why)


def _shorter(index: ChainIndex, shelf: dict[str, ChainPart], ask: ChainAsk) -> Miss | None:
    lengths = {p.length for p in shelf.values() if p.length > 0.0}
    shares = sorted({s for length in lengths for span in ask.spans if span > 0.0 and (s := length / span) < 1.0})

    def at_share(share: float) -> Chain | None:
        return find_chain(index, replace(ask, spans=tuple(span * share for span in ask.spans)))

    best = _highest(shares, at_share)
    if best is None:
        return None
    share, chain = best
    at = tuple(i for i in chain.parts if 0.0 < shelf[i].length < max(ask.spans))
    longest = max(ask.spans)
    return Miss("length", share, chain, at, f"hoses reach {share:.0%} of the spans, the longest is {longest:.4g} m")


def _more_drop(parts: Sequence[ChainPart], index: ChainIndex, ask: ChainAsk) -> Miss | None:
    if ask.drop_budget == NONE or find_chain(index, replace(ask, drop_budget=NONE)) is None:
        return None
    by_drop = ChainIndex.of([replace(part, price=part.drop) for part in parts])
    least = find_chain(by_drop, replace(ask, drop_budget=NONE, joint_cost=0.0))
    if least is None:
        return None
    chain = find_chain(index, replace(ask, drop_budget=least.drop * (1.0 + 1e-9)))
    met = ask.drop_budget / least.drop if least.drop > 0.0 else 1.0
    why = (
        f"the least drop that any chain has is {least.drop * 1e-5:.4g} bar, asked for {ask.drop_budget * 1e-5:.4g} bar"
    )
    return Miss("drop", met, chain, least.parts, why)


def _either_half(index: ChainIndex, ask: ChainAsk) -> Miss | None:
    chain = find_chain(index, replace(ask, near=())) if any(ask.near) else None
    if chain is None:
        return None
    return Miss("halves", 0.5, chain, (), "only with the coupler halves the other way round")


def _missing_part(index: ChainIndex, ask: ChainAsk) -> Miss:
    """The cheapest pair of beginnings, one from each port, that a single further part would join."""
    there = Search(index, ask, guided=False)
    back = Search(index, replace(ask, start=ask.goal, goal=ask.start, breaks=ask.breaks[::-1]), guided=False)
    there.run(), back.run()
    ends = {number: End(*meeting, gender) for (meeting, gender), number in index.nodes.items()}
    best: tuple[float, float, int, int] | None = None
    for i, left in enumerate(there.labels):
        for j, right in enumerate(back.labels):
            k, m = there.passed_and_end(left.place)[0], back.passed_and_end(right.place)[0]
            if min(k, m) >= 0 and k + m == len(there.breaks):
                rank = ((left.key + right.key) % JOINTS, left.key + right.key, i, j)
                best = rank if best is None else min(best, rank)
    if best is None:
        return Miss("part", 0.0, None, (), "more than one part is missing between the ports")
    left, right = there.labels[best[2]], back.labels[best[3]]
    start, after = there.chain(best[2]).parts, back.chain(best[3]).parts[::-1]
    here, beyond = (ends[s.passed_and_end(t.place)[1]] for s, t in ((there, left), (back, right)))
    why = f"no part joins {show_connection(here)} to {show_connection(beyond)}"
    return Miss("part", 0.0, None, (*start, *after), why)
