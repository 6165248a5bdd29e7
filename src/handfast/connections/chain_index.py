"""Parts sorted by the end one enters and the end one leaves by, ready for many questions."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from handfast.connections.mating import Connection, Interface, interface
from handfast.quantities.arrays import Array

Numbers = NDArray[np.int64]
Flags = NDArray[np.bool_]

MICRO = 1_000_000
"""Money is added in millionths, so that equal totals are equal."""


@dataclass(frozen=True)
class ChainPart:
    """A part with two ends as the search sees it: money per piece, limits [Pa, m], hose length [m], drop [Pa]."""

    id: str
    ends: tuple[Connection, Connection]
    price: float
    pressure_max: float = float("inf")
    bore: float = float("inf")
    length: float = 0.0
    drop: float = 0.0


@dataclass(frozen=True)
class ChainAsk:
    """What is to be joined: ports, breaks in order, limits, cost of a joint, spans [m], drop that may be lost [Pa].

    `near` tells, break by break, the gender of the half on the tractor's side ("" = either).
    """

    start: Connection
    goal: Connection
    breaks: tuple[str, ...] = ()
    pressure: float = 0.0
    bore: float = 0.0
    joint_cost: float = 0.0
    spans: tuple[float, ...] = ()
    drop_budget: float = float("inf")
    near: tuple[str, ...] = ()


@dataclass(frozen=True)
class Chain:
    """A row of parts that joins two ports: ids in order, price, joints, total with the joints, drop [Pa]."""

    parts: tuple[str, ...]
    price: float
    joints: int
    total: float
    drop: float


def number_of(nodes: dict[tuple[Interface, str], int], end: Connection) -> int:
    """Number of an open end: even for a male end, the next odd one for its female mate.

    Args:
        nodes: Numbers given so far; a new interface is added.
        end: The end.

    Returns:
        Its number; its mate's is the same with the last bit turned.

    Source: own bookkeeping.

    >>> from handfast.connections.mating import End
    >>> nodes = {}
    >>> number_of(nodes, End("orb", "-8", "male")), number_of(nodes, End("orb", "1/2", "female"))
    (0, 1)
    """
    meeting = interface(end.family, end.size)
    number = nodes.setdefault((meeting, "male"), len(nodes))
    nodes.setdefault((meeting, "female"), number + 1)
    return number if end.gender == "male" else number + 1


@dataclass
class ChainIndex:
    """The ways through the parts of a shelf, each part both ways round, sorted by ends, price and drop."""

    ids: list[str]
    nodes: dict[tuple[Interface, str], int]
    enter: Numbers
    leave: Numbers
    cost: Numbers
    part: Numbers
    rank: Numbers  # of the drop among all drops
    limits: dict[str, Array] = field(repr=False)

    @classmethod
    def of(cls, parts: Iterable[ChainPart]) -> ChainIndex:
        """Index of a shelf's parts."""
        stock = list(parts)
        nodes: dict[tuple[Interface, str], int] = {}
        ways = []
        for number, part in enumerate(stock):
            first, second = (number_of(nodes, end) for end in part.ends)
            cost = round(part.price * MICRO)
            for enter, leave in {(first ^ 1, second), (second ^ 1, first)}:
                ways.append((enter, leave, cost, part.drop, number))
        ways.sort()
        table = np.array([(w[0], w[1], w[2], w[4]) for w in ways], np.int64).reshape(-1, 4).T.copy()
        names = ("pressure_max", "bore", "length", "drop")
        limits = {name: np.array([getattr(p, name) for p in stock], float)[table[3]] for name in names}
        rank = np.unique(limits["drop"], return_inverse=True)[1].astype(np.int64)
        return cls([p.id for p in stock], nodes, table[0], table[1], table[2], table[3], rank, limits)

    def node(self, end: Connection) -> int:
        """Number of an open end; ends that no part has get one of their own."""
        return number_of(self.nodes, end)

    def best(self, good: Flags, frugal: bool) -> Numbers:
        """Rows of the cheapest good way of each pair of ends; frugal: also those that lose less than all cheaper."""
        rows = np.flatnonzero(good)
        enter, leave = self.enter[rows], self.leave[rows]
        first = np.ones(rows.size, bool)
        first[1:] = (enter[1:] != enter[:-1]) | (leave[1:] != leave[:-1])
        if frugal and rows.size:
            rank = self.rank[rows]
            height = rank - np.cumsum(first) * (int(self.rank.max()) + 1)
            first[1:] |= height[1:] < np.minimum.accumulate(height)[:-1]
        return rows[first]
