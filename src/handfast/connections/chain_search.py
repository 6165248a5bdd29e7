"""One question to an index of parts: the least cost still to come, then the chain along it."""

from __future__ import annotations

from collections.abc import Callable
from heapq import heappop, heappush
from typing import NamedTuple

import numpy as np

from handfast.connections.chain_index import MICRO, Chain, ChainAsk, ChainIndex, Flags, Numbers
from handfast.connections.mating import read_interface
from handfast.quantities.arrays import Array

END = -1
"""The place of a chain that has met its goal."""

ENOUGH = 1.0 - 1e-9
"""A limit is met when only the rounding of units falls short of it."""

JOINTS = 1 << 10
"""Money and joints are one key, money × JOINTS + joints: ties go to the fewest joints, whole numbers stay exact."""

FAR = float("inf")


class _Ways:
    """Ways worth taking, sorted by the open end they start from."""

    def __init__(self, index: ChainIndex, rows: Numbers, joint: int) -> None:
        self.leave, self.part, self.drop = index.leave[rows], index.part[rows], index.limits["drop"][rows]
        self.key = np.asarray((index.cost[rows] + joint) * JOINTS + 1, float)
        self.nodes, self.starts = np.unique(index.enter[rows], return_index=True)
        self.ends = np.append(self.starts[1:], rows.size)
        self.where = {int(node): place for place, node in enumerate(self.nodes)}
        self.lists: dict[int, list[tuple[int, float, float, int]]] = {}

    def of(self, node: int) -> list[tuple[int, float, float, int]]:
        """Ways from an open end: where to, key, drop, part."""
        found = self.lists.get(node)
        if found is None:
            place = self.where.get(node)
            piece = slice(0, 0) if place is None else slice(self.starts[place], self.ends[place])
            columns = (self.leave, self.key, self.drop, self.part)
            found = self.lists[node] = list(zip(*(c[piece].tolist() for c in columns), strict=True))
        return found

    def least(self, there: Array, weight: Array) -> Array:
        """For each open end the least of weight plus what is still to come beyond."""
        out = np.full(there.size, FAR)
        if self.nodes.size:
            out[self.nodes] = np.minimum.reduceat(weight + there[self.leave], self.starts)
        return out

    def weight(self, keys: float, drops: float) -> Array:
        """So much of the key and so much of the drop of each way."""
        return np.asarray(keys * self.key + drops * self.drop)


def _top(value: Callable[[float], float], low: float, high: float, steps: int) -> float:
    """Where a function with one top is about greatest, by golden section."""
    golden = 0.6180339887498949
    left, right = high - golden * (high - low), low + golden * (high - low)
    at_left, at_right = value(left), value(right)
    for _ in range(steps):
        if at_left < at_right:
            low, left, at_left = left, right, at_right
            right = low + golden * (high - low)
            at_right = value(right)
        else:
            high, right, at_right = right, left, at_left
            left = high - golden * (high - low)
            at_left = value(left)
    return left if at_left > at_right else right


class Label(NamedTuple):
    """A way to a place: what it will cost at least, drop, place, part last passed, label before, cost so far."""

    least: float
    drop: float
    place: int
    part: int
    before: int
    key: float


def _sure(value: float) -> float | None:
    """A bound, or None where nothing leads to the end."""
    return value if value < FAR else None


class Search:
    """The search: places are (breaks passed, span filled, open end)."""

    def __init__(self, index: ChainIndex, ask: ChainAsk, guided: bool = True) -> None:
        self.index, self.ask, self.guided = index, ask, guided
        self.start, self.goal = index.node(ask.start), index.node(ask.goal)
        self.breaks = [read_interface(text) for text in ask.breaks]
        self.spans = list(ask.spans) or [0.0] * (len(self.breaks) + 1)
        if len(self.spans) != len(self.breaks) + 1:
            raise ValueError(f"{len(self.breaks)} breaks make {len(self.breaks) + 1} spans, not {len(self.spans)}")
        self.joint, self.size = round(ask.joint_cost * MICRO), len(index.nodes)
        self.gates = [self._gate(k) for k in range(len(self.breaks))]
        self.couplers = {n for (meeting, _), n in index.nodes.items() if meeting.family.startswith("coupler_")}
        self.labels: list[Label] = []
        self.fronts: dict[int, list[tuple[float, float]]] = {}
        self.is_coupler = np.zeros(self.size, bool)
        self.is_coupler[list(self.couplers)] = True
        self.last = float(self.joint * JOINTS + 1)
        self.first = self._place(self.start, 0, self.spans[0] <= 0.0)
        self._sort_ways()

    def _gate(self, k: int) -> set[int]:
        """Open ends through which the break may be passed."""
        wanted = self.ask.near[k] if k < len(self.ask.near) else ""
        genders = (wanted,) if wanted else ("male", "female")
        return {self.index.nodes[key] for g in genders if (key := (self.breaks[k], g)) in self.index.nodes}

    def _sort_ways(self) -> None:
        """The ways worth taking: any part, and for each span the hoses that fill it."""
        limits, ask, frugal = self.index.limits, self.ask, bool(np.isfinite(self.ask.drop_budget))
        good: Flags = (limits["pressure_max"] >= ask.pressure * ENOUGH) & (limits["bore"] >= ask.bore * ENOUGH)
        good &= limits["drop"] <= ask.drop_budget
        self.plain = _Ways(self.index, self.index.best(good, frugal), self.joint)
        none = _Ways(self.index, np.zeros(0, np.int64), self.joint)
        filling = {0.0: none}
        for span in {s for s in self.spans if s > 0.0}:
            rows = self.index.best(good & (limits["length"] >= span * ENOUGH), frugal)
            filling[span] = _Ways(self.index, rows, self.joint)
        self.filling = [filling[max(span, 0.0)] for span in self.spans]

    def to_come(self, keys: float, drops: float) -> Array:
        """Least of so much key and so much drop from every place to the end."""
        layers = np.full((len(self.breaks) + 1, 2, self.size), FAR)
        weight = self.plain.weight(keys, drops)
        joined = np.full(self.size, FAR)
        for k in range(len(self.breaks), -1, -1):
            ends = []
            for filled in (1, 0):
                if k < len(self.breaks) and filled:
                    through = list(self.gates[k])
                    layers[k, filled][through] = joined[through]
                ends.append(self._settle(layers[k], filled, k, (keys, drops), weight))
            joined = ends[0 if self.spans[k] <= 0.0 else 1]
        return np.asarray(layers.reshape(-1))

    def _settle(self, layer: Array, filled: int, k: int, share: tuple[float, float], weight: Array) -> Array:
        """Settle the places of one layer; the answer is the value of each end once it is joined there."""
        here, fixed = layer[filled], np.full(self.size, FAR)
        if not filled:
            fixed = self.filling[k].least(layer[1], self.filling[k].weight(*share))
        elif k == len(self.breaks):
            fixed[self.goal ^ 1] = share[0] * self.last
        while True:
            joined = np.minimum(fixed, self.plain.least(here, weight))
            settled = np.where(self.is_coupler, here, joined)
            if np.array_equal(settled, here):
                return np.asarray(joined)
            here[:] = settled

    def _guides(self) -> list[tuple[float, float, list[float]]]:
        """Bounds on what is still to come: so much key and so much drop is at least this, for every place.

        The third is the sharpest mixture of the two (Lagrange): found by narrowing in on the mixture for which
        the bound at the start, less the budget's share, is greatest.
        """
        keys = self.to_come(1.0, 0.0)
        guides = [(1.0, 0.0, keys.tolist())]
        if not np.isfinite(self.ask.drop_budget) or not np.isfinite(keys[self.first]):
            return guides
        guides.append((0.0, 1.0, self.to_come(0.0, 1.0).tolist()))
        budget = max(self.ask.drop_budget, 1e-9)

        def bound(power: float) -> float:
            rate = 2.0**power * keys[self.first] / budget
            return float(self.to_come(1.0, rate)[self.first] - rate * budget)

        rate = 2.0 ** _top(bound, -5.0, 4.0, 4) * keys[self.first] / budget
        return [*guides, (1.0, rate, self.to_come(1.0, rate).tolist())]

    def run(self) -> int | None:
        """Number of the label at the goal, or None; all labels that were reached stay behind."""
        ahead = self._ahead()
        start = ahead(0.0, 0.0, self.first)
        heap = [] if start is None else [(start, 0.0, self.first, -1, -1, 0.0)]
        while heap:
            label = Label(*heappop(heap))
            if self._beaten(label.place, label.key, label.drop):
                continue
            self.fronts.setdefault(label.place, []).append((label.key, label.drop))
            number = len(self.labels)
            self.labels.append(label)
            if label.place == END:
                return number
            for place, key, drop, part in self._moves(label.place):
                cost, lost = label.key + key, label.drop + drop
                least = ahead(cost, lost, place)
                if least is not None and not self._beaten(place, cost, lost):
                    heappush(heap, (least, lost, place, part, number, cost))
        return None

    def _beaten(self, place: int, key: float, drop: float) -> bool:
        """Whether a place was reached before for no more money and no more drop."""
        return any(k <= key and d <= drop for k, d in self.fronts.get(place, ()))

    def _ahead(self) -> Callable[[float, float, int], float | None]:
        """Least key of a whole chain that goes on from here, None where there is none within the budget."""
        budget = self.ask.drop_budget
        if not self.guided:
            return lambda key, drop, place: key if drop <= budget else None
        guides = self._guides()
        keys = guides[0][2]
        if len(guides) == 1:
            return lambda key, drop, place: key if place == END else _sure(key + keys[place])
        drops, (_, rate, mixed) = guides[1][2], guides[2]
        bound = budget * (1.0 + 1e-12)

        def least(key: float, drop: float, place: int) -> float | None:
            if drop > budget or place == END:
                return key if drop <= budget else None
            if drop + drops[place] > bound:
                return None
            lagrange = key + mixed[place] - rate * (budget - drop)
            return _sure(max(key + keys[place], lagrange - 1e-9 * abs(lagrange) - 1.0))

        return least

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

    def _moves(self, place: int) -> list[tuple[int, float, float, int]]:
        """Places that one more joint reaches: place, key, drop, part."""
        passed, node = self.passed_and_end(place)
        if passed < 0:
            return []
        filled = self.spans[passed] <= 0.0 if node in self.couplers else bool(place // self.size % 2)
        base = self._place(0, passed, filled)
        moves = [(base + to, key, drop, part) for to, key, drop, part in self.plain.of(node)]
        if not filled:
            full = self._place(0, passed, True)
            moves += [(full + to, key, drop, part) for to, key, drop, part in self.filling[passed].of(node)]
        elif node == self.goal ^ 1 and passed == len(self.breaks):
            moves.append((END, self.last, 0.0, -1))
        return moves

    def chain(self, number: int) -> Chain:
        """The chain that a label stands for."""
        last, parts = self.labels[number], []
        step = last
        while step.before >= 0:
            if step.part >= 0:
                parts.append(self.index.ids[step.part])
            step = self.labels[step.before]
        cost, joints = divmod(round(last.key), JOINTS)
        price = (cost - joints * self.joint) / MICRO
        return Chain(tuple(reversed(parts)), price, joints, cost / MICRO, last.drop)
