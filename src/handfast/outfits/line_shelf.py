"""The shelf's hoses, couplers and fittings, ready for many questions about one line; answers are kept."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace

from handfast.connections.chain import Chain, ChainAsk, ChainIndex, ChainPart, find_chain
from handfast.connections.mating import Connection, End
from handfast.connections.nearest import Miss, nearest_miss
from handfast.machines.part import Part
from handfast.machines.shelf import Shelf
from handfast.outfits.mounting import fits_class
from handfast.reckoning.connect import HOSES, chain_part

LINE_PARTS = (*HOSES, "hose_end", "adapter", "coupler")
BRINGS_HOSE = frozenset((*HOSES, "hose_end"))
JOINT_HOURS = 0.05  # h to make up one joint (practice): a row of two fittings costs more than one at the same price
SHELVES, ANSWERS = 8, 20_000  # how much is kept


@dataclass(frozen=True)
class Side:
    """One stretch of a line: its chain, or why there is none."""

    chain: Chain | None
    miss: Miss | None


@dataclass(frozen=True)
class LineAsk:
    """What one stretch of a line must join, and the kinds of parts that cost nothing there."""

    ask: ChainAsk
    free: frozenset[str]


@dataclass
class LineShelf:
    """Parts of a shelf that lines are made of."""

    shelf: Shelf
    parts: Mapping[str, Part]
    joint_cost: float
    indices: dict[frozenset[str], tuple[tuple[ChainPart, ...], ChainIndex]] = field(default_factory=dict)
    answers: dict[LineAsk, Side] = field(default_factory=dict)

    def side(self, asked: LineAsk) -> Side:
        """The cheapest chain of a stretch, or the nearest miss; asked once."""
        found = self.answers.get(asked)
        if found is None:
            if len(self.answers) >= ANSWERS:
                self.answers.clear()
            found = self.answers[asked] = self._search(asked)
        return found

    def _search(self, asked: LineAsk) -> Side:
        parts, index = self._index(asked.free)
        ask = replace(asked.ask, joint_cost=self.joint_cost)
        chain = find_chain(index, ask)
        return Side(chain, None if chain is not None else nearest_miss(parts, ask))

    def _index(self, free: frozenset[str]) -> tuple[tuple[ChainPart, ...], ChainIndex]:
        if free not in self.indices:
            made = tuple(self._made(free))
            self.indices[free] = (made, ChainIndex.of(made))
        return self.indices[free]

    def _made(self, free: frozenset[str]) -> Iterable[ChainPart]:
        for name, part in self.parts.items():
            made = chain_part(part, name)
            if made is None or (part.price.is_unknown and part.kind not in free):
                continue
            yield (
                replace(made, ends=(end_of(made.ends[0]), end_of(made.ends[1])))
                if part.kind not in free
                else replace(made, price=0.0, ends=(end_of(made.ends[0]), end_of(made.ends[1])))
            )


def end_of(connection: Connection) -> End:
    """An end in plain words, as the search compares it.

    Args:
        connection: the record.

    Returns:
        The end.

    Example:
        >>> end_of(Part(kind="adapter", ends=["orb -8 female", "orb -8 male"]).ends[0])
        End(family='orb', size='-8', gender='female')
    """
    return End(connection.family, connection.size, connection.gender)


_kept: list[tuple[Shelf, str | None, LineShelf]] = []


def line_shelf(shelf: Shelf, machine_class: str | None) -> LineShelf:
    """The parts that lines on a class of machine are made of; made once for each shelf and class.

    Args:
        shelf: what can be sold.
        machine_class: parts made for other classes are left out; None keeps all.

    Returns:
        `LineShelf`.

    Source: a part without a price can't be offered; a rating not known can't be relied on.

    Example:
        >>> line_shelf(Shelf(), None).parts
        {}
    """
    for known, group, lines in _kept:
        if known is shelf and group == machine_class:
            return lines
    parts = {k: p for k, p in shelf.parts.items() if p.kind in LINE_PARTS and fits_class(p, machine_class)}
    rate = shelf.price_book.labour_rate
    made = LineShelf(shelf, parts, 0.0 if rate.is_unknown else JOINT_HOURS * rate.value)
    _kept.insert(0, (shelf, machine_class, made))
    del _kept[SHELVES:]
    return made
