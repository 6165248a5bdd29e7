"""The cheapest row of parts from one port to another, through the breaks that a route needs."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from heapq import heappop, heappush
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from handfast.connections.mating import Connection, Interface, interface, read_interface
from handfast.quantities.arrays import Array

END = -1
"""The place of a chain that has met its goal."""

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


class _Edge(NamedTuple):
    """A part passed in one direction: where it comes out, what it costs, loses and whether it fills the span."""

    exit: int
    cost: int
    drop: float
    part: int
    fills: bool


@dataclass
class ChainIndex:
    """Parts sorted by the end one enters and the end one leaves by, ready for many questions."""

    ids: list[str]
    nodes: dict[tuple[Interface, str], int]
    enter: NDArray[np.int64]
    leave: NDArray[np.int64]
    cost: NDArray[np.int64]
    part: NDArray[np.int64]
    limits: dict[str, Array] = field(repr=False)

    @classmethod
    def of(cls, parts: Iterable[ChainPart]) -> ChainIndex:
        """Index of a shelf's parts."""
        stock = list(parts)
        nodes: dict[tuple[Interface, str], int] = {}
        ways: list[tuple[int, int, int, float, int]] = []
        for number, part in enumerate(stock):
            first, second = (_node(nodes, end) for end in part.ends)
            cost = round(part.price * MICRO)
            ways.append((first ^ 1, second, cost, part.drop, number))
            if (second ^ 1, first) != (first ^ 1, second):
                ways.append((second ^ 1, first, cost, part.drop, number))
        ways.sort()
        columns = [np.array(column, np.int64) for column in zip(*((w[0], w[1], w[2], w[4]) for w in ways), strict=True)]
        enter, leave, cost_, part_ = columns or [np.zeros(0, np.int64)] * 4
        rows = [stock[number] for number in part_]
        names = ("pressure_max", "bore", "length", "drop")
        limits = {name: np.array([getattr(p, name) for p in rows], float) for name in names}
        return cls([p.id for p in stock], nodes, enter, leave, cost_, part_, limits)

    def node(self, end: Connection) -> int:
        """Number of an open end; ends that no part has get one of their own."""
        return _node(self.nodes, end)


def _node(nodes: dict[tuple[Interface, str], int], end: Connection) -> int:
    """Even number for a male end, the next odd one for its female mate."""
    meeting = interface(end.family, end.size)
    number = nodes.setdefault((meeting, "male"), len(nodes))
    nodes.setdefault((meeting, "female"), number + 1)
    return number if end.gender == "male" else number + 1


def find_chain(index: ChainIndex, ask: ChainAsk) -> Chain | None:
    """The cheapest chain of parts from port to port, ties by fewest joints.

    Args:
        index: Parts as from `ChainIndex.of`.
        ask: Ports, breaks and limits.

    Returns:
        The chain, or None where there is none.

    Source: shortest path over (open end, breaks passed, span filled) by Dijkstra's method; with a drop budget
    the labels of a place are kept as long as each loses less than all cheaper ones.

    >>> from handfast.connections.mating import End
    >>> bush = ChainPart("bush", (End("orb", "-8", "male"), End("flare37", "-8", "male")), 4.0)
    >>> find_chain(ChainIndex.of([bush]), ChainAsk(End("orb", "-8", "female"), End("flare37", "-8", "female")))
    Chain(parts=('bush',), price=4.0, joints=2, total=4.0, drop=0.0)
    """
    search = Search(index, ask)
    label = search.run()
    return None if label is None else search.chain(label)


class _Label(NamedTuple):
    """A way to a place: money and joints so far, drop, place, the part last passed and the label before it."""

    cost: int
    joints: int
    drop: float
    place: int
    part: int
    before: int


class Search:
    """One question to the index: the labels of the places it reached, and how to read them."""

    def __init__(self, index: ChainIndex, ask: ChainAsk) -> None:
        self.index, self.ask = index, ask
        self.start, self.goal = index.node(ask.start), index.node(ask.goal)
        self.breaks = [read_interface(text) for text in ask.breaks]
        self.spans = list(ask.spans) or [0.0] * (len(self.breaks) + 1)
        if len(self.spans) != len(self.breaks) + 1:
            raise ValueError(f"{len(self.breaks)} breaks make {len(self.breaks) + 1} spans, not {len(self.spans)}")
        self.joint = round(ask.joint_cost * MICRO)
        self.size = len(index.nodes)
        self.gates = [self._gate(k) for k in range(len(self.breaks))]
        self.couplers = {n for (meeting, _), n in index.nodes.items() if meeting.family.startswith("coupler_")}
        self.edges = self._edges()
        self.labels: list[_Label] = []
        self.least: dict[int, float] = {}
        self.first = self._place(self.start, 0, self.spans[0] <= 0.0)

    def _gate(self, k: int) -> set[int]:
        """Open ends through which the break may be passed."""
        wanted = self.ask.near[k] if k < len(self.ask.near) else ""
        genders = (wanted,) if wanted else ("male", "female")
        return {self.index.nodes[key] for g in genders if (key := (self.breaks[k], g)) in self.index.nodes}

    def _edges(self) -> list[dict[int, list[_Edge]]]:
        """For each span, the parts that are worth passing, by the open end that they go on to."""
        limits = self.index.limits
        good = (limits["pressure_max"] >= self.ask.pressure) & (limits["bore"] >= self.ask.bore)
        good &= limits["drop"] <= self.ask.drop_budget
        plain = self._best(good, False)
        filled = {s: self._best(good & (limits["length"] >= s), True) for s in set(self.spans) if s > 0.0}
        together = []
        for span in self.spans:
            both = {n: list(edges) for n, edges in plain.items()}
            for n, edges in filled.get(span, {}).items():
                both.setdefault(n, []).extend(edges)
            together.append(both)
        return together

    def _best(self, good: NDArray[np.bool_], fills: bool) -> dict[int, list[_Edge]]:
        """The cheapest part of each pair of ends; under a budget every part that loses less than all cheaper ones."""
        index = self.index
        rows = np.flatnonzero(good)
        pair = index.enter[rows] * (self.size + 1) + index.leave[rows]
        first = np.ones(rows.size, bool)
        first[1:] = pair[1:] != pair[:-1]
        if np.isfinite(self.ask.drop_budget) and rows.size:
            rank = np.unique(index.limits["drop"][rows], return_inverse=True)[1].astype(np.int64)
            height = rank - np.cumsum(first) * (rank.max() + 1)
            first[1:] |= height[1:] < np.minimum.accumulate(height)[:-1]
        kept = rows[first]
        columns = (index.enter, index.leave, index.cost, index.limits["drop"], index.part)
        edges: dict[int, list[_Edge]] = {}
        for enter, leave, cost, drop, part in zip(*(c[kept].tolist() for c in columns), strict=True):
            edges.setdefault(enter, []).append(_Edge(leave, cost, drop, part, fills))
        return edges

    def run(self) -> int | None:
        """Number of the label at the goal, or None; all labels that were reached stay behind."""
        budget, joint, least = self.ask.drop_budget, self.joint, self.least
        heap: list[tuple[int, int, float, int, int, int]] = [(0, 0, 0.0, self.first, -1, -1)]
        while heap:
            label = _Label(*heappop(heap))
            if label.drop >= least.get(label.place, np.inf):
                continue
            least[label.place] = label.drop
            number = len(self.labels)
            self.labels.append(label)
            if label.place == END:
                return number
            for place, edge in self._moves(label.place):
                drop = label.drop + edge.drop
                if drop <= budget and drop < least.get(place, np.inf):
                    heappush(heap, (label.cost + edge.cost + joint, label.joints + 1, drop, place, edge.part, number))
        return None

    def _place(self, node: int, passed: int, filled: bool) -> int:
        return (passed * 2 + int(filled)) * self.size + node

    def passed_and_end(self, place: int) -> tuple[int, int]:
        """Breaks passed once the open end of a place is joined, −1 where it can't be, and that end's number."""
        state, node = divmod(place, self.size)
        passed, filled = divmod(state, 2)
        if node not in self.couplers:
            return passed, node
        shut = passed == len(self.breaks) or not filled or node not in self.gates[passed]
        return -1 if shut else passed + 1, node

    def _moves(self, place: int) -> list[tuple[int, _Edge]]:
        """Places that one more joint reaches."""
        passed, node = self.passed_and_end(place)
        if passed < 0:
            return []
        through = node in self.couplers
        filled = self.spans[passed] <= 0.0 if through else bool(place // self.size % 2)
        moves = [
            (self._place(edge.exit, passed, filled or edge.fills), edge) for edge in self.edges[passed].get(node, ())
        ]
        if node == self.goal ^ 1 and filled and passed == len(self.breaks):
            moves.append((END, _Edge(-1, 0, 0.0, -1, False)))
        return moves

    def chain(self, number: int) -> Chain:
        """The chain that a label stands for."""
        last, parts = self.labels[number], []
        step = last
        while step.before >= 0:
            if step.part >= 0:
                parts.append(self.index.ids[step.part])
            step = self.labels[step.before]
        price = (last.cost - last.joints * self.joint) / MICRO
        return Chain(tuple(reversed(parts)), price, last.joints, last.cost / MICRO, last.drop)
