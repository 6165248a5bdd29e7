"""One line to two ports through a tee: two cylinders that are fed side by side."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from itertools import permutations
from typing import NamedTuple

from handfast.connections.chain import find_chain
from handfast.connections.chain_index import Chain, ChainAsk, ChainIndex
from handfast.connections.mating import Connection, End


class Tee(NamedTuple):
    """A part with three ends as the search sees it: money, pressure [Pa], bore [m]."""

    id: str
    ends: tuple[Connection, Connection, Connection]
    price: float
    pressure_max: float = float("inf")
    bore: float = float("inf")


class Branched(NamedTuple):
    """A line that splits: the tee, the chains to it and from it to either port, price, joints, total."""

    tee: str
    stem: Chain
    arms: tuple[Chain, Chain]
    price: float
    joints: int
    total: float


def find_branched(
    index: ChainIndex, ask: ChainAsk, goals: tuple[Connection, Connection], tees: Iterable[Tee], arm: float = 0.0
) -> Branched | None:
    """The cheapest way from one port through one tee to two.

    Args:
        index: Parts with two ends, as from `ChainIndex.of`.
        ask: From the port to the tee, breaks and spans of the stem; its goal is not looked at.
        goals: The two ports.
        tees: Parts with three ends.
        arm: Length that each hose from the tee to a port must reach [m].

    Returns:
        The line, or None where there is none; ties go to the fewest joints.

    Source: the least sum of three chains over every tee and every way of turning it.

    >>> tee = Tee("tee", tuple(End("flare37", "-8", "male") for _ in range(3)), 15.0)
    >>> nut = End("flare37", "-8", "female")
    >>> got = find_branched(ChainIndex.of([]), ChainAsk(nut, nut), (nut, nut), [tee])
    >>> got.price, got.joints
    (15.0, 3)
    """
    best: Branched | None = None
    for tee in tees:
        if tee.pressure_max < ask.pressure or tee.bore < ask.bore:
            continue
        for turned in set(permutations(End(e.family, e.size, e.gender) for e in tee.ends)):
            found = _through(index, ask, goals, tee, turned, arm)
            if found is not None and (best is None or (found.total, found.joints) < (best.total, best.joints)):
                best = found
    return best


def _through(
    index: ChainIndex,
    ask: ChainAsk,
    goals: tuple[Connection, Connection],
    tee: Tee,
    turned: tuple[End, ...],
    arm: float,
) -> Branched | None:
    stem = find_chain(index, replace(ask, goal=turned[0]))
    bare = replace(ask, breaks=(), near=(), spans=(arm,))
    arms = [find_chain(index, replace(bare, start=end, goal=goal)) for end, goal in zip(turned[1:], goals, strict=True)]
    if stem is None or arms[0] is None or arms[1] is None:
        return None
    chains = (stem, arms[0], arms[1])
    price, joints = tee.price + sum(c.price for c in chains), sum(c.joints for c in chains)
    return Branched(tee.id, stem, (arms[0], arms[1]), price, joints, price + joints * ask.joint_cost)
