"""The shelf's hoses, couplers and fittings, ready for many questions about one line; answers are kept."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace

from handfast.connections.assembly import BulkHose, CrimpEnd
from handfast.connections.branch import Tee, find_branched
from handfast.connections.chain import Chain, ChainAsk, ChainIndex, ChainPart, find_chain
from handfast.connections.mating import Connection, End
from handfast.connections.nearest import Miss, nearest_miss
from handfast.machines.part import Part
from handfast.machines.shelf import Shelf
from handfast.outfits.made_up import bulk_hoses, crimp_ends, crimp_price, made_length, made_up
from handfast.outfits.mounting import fits_class
from handfast.reckoning.connect import HOSES, chain_part

LINE_PARTS = (*HOSES, "hose_end", "adapter", "coupler")
BRINGS_HOSE = frozenset((*HOSES, "hose_end"))
JOINT_HOURS = 0.05  # h to make up one joint (practice): a row of two fittings costs more than one at the same price
SHELVES, ANSWERS = 8, 20_000  # how much is kept
AWAY = 0.10  # a part that must be sent for counts a tenth dearer than one in stock (practice); the bill has its price


@dataclass(frozen=True)
class Side:
    """One stretch of a line: its chain, or why there is none."""

    chain: Chain | None
    miss: Miss | None


@dataclass(frozen=True)
class LineAsk:
    """What one stretch of a line must join, and the kinds of parts that cost nothing there.

    With a second port the line splits at a tee, and the last span is that from the tee to either port.
    """

    ask: ChainAsk
    free: frozenset[str]
    second: End | None = None


@dataclass
class LineShelf:
    """Parts of a shelf that lines are made of, and the hoses that can be made up from them."""

    shelf: Shelf
    parts: dict[str, Part]
    joint_cost: float
    bulk: tuple[BulkHose, ...] = ()
    crimps: tuple[CrimpEnd, ...] = ()
    crimp: float = 0.0
    indices: dict[tuple[frozenset[str], frozenset[float]], tuple[tuple[ChainPart, ...], ChainIndex]] = field(
        default_factory=dict
    )
    answers: dict[LineAsk, Side] = field(default_factory=dict)

    def side(self, asked: LineAsk) -> Side:
        """The cheapest chain of a stretch, or the nearest miss; asked once."""
        found = self.answers.get(asked)
        if found is None:
            if len(self.answers) >= ANSWERS:
                self.answers.clear()
            found = self.answers[asked] = self._search(asked)
        return found

    def price(self, chain: Chain, free: frozenset[str]) -> float:
        """What a chain costs: the likely prices of the parts that are not brought along."""
        paid = (self.parts[name] for name in chain.parts if self.parts[name].kind not in free)
        return sum(float(part.price.value) for part in paid)

    def _search(self, asked: LineAsk) -> Side:
        spans = frozenset(span for span in asked.ask.spans if span > 0.0)
        parts, index = self._index(asked.free, spans)
        ask = replace(asked.ask, joint_cost=self.joint_cost)
        chain = find_chain(index, ask) if asked.second is None else self._split(index, ask, asked)
        return Side(chain, None if chain is not None else nearest_miss(parts, ask))

    def _split(self, index: ChainIndex, ask: ChainAsk, asked: LineAsk) -> Chain | None:
        """The cheapest line through a tee to both ports, its parts in one row: stem, tee, one arm, the other."""
        assert asked.second is not None
        stem = replace(ask, spans=(*ask.spans[:-1], 0.0))
        found = find_branched(index, stem, (ask.goal, asked.second), self._tees(asked.free), ask.spans[-1])
        if found is None:
            return None
        chains = (found.stem, *found.arms)
        parts = (*found.stem.parts, found.tee, *found.arms[0].parts, *found.arms[1].parts)
        return Chain(parts, found.price, found.joints, found.total, sum(c.drop for c in chains))

    def _tees(self, free: frozenset[str]) -> Iterable[Tee]:
        for name, part in self.parts.items():
            rated = not (part.pressure_max.is_unknown or part.bore.is_unknown)
            if part.kind == "adapter" and len(part.ends) == 3 and rated and not part.price.is_unknown:
                a, b, c = (end_of(end) for end in part.ends)
                price = 0.0 if "adapter" in free else float(part.price.value)
                yield Tee(name, (a, b, c), price, float(part.pressure_max.value), float(part.bore.value))

    def _index(self, free: frozenset[str], spans: frozenset[float]) -> tuple[tuple[ChainPart, ...], ChainIndex]:
        made_here = spans if self.bulk and "hose" not in free else frozenset[float]()
        key = free, made_here
        if key not in self.indices:
            for span in made_here:
                self.parts.update(made_up(self.bulk, self.crimps, span, self.crimp, self.shelf))
            made = tuple(self._made(free, made_here))
            self.indices[key] = (made, ChainIndex.of(made))
        return self.indices[key]

    def _made(self, free: frozenset[str], spans: frozenset[float]) -> Iterable[ChainPart]:
        lengths = {made_length(span) for span in spans}
        for name, part in self.parts.items():
            made = chain_part(part, name)
            if made is None or (part.price.is_unknown and part.kind not in free):
                continue
            if part.kind == "hose_assembly" and "@" in name and made.length not in lengths:
                continue
            away = 1.0 + AWAY if part.stock == 0 else 1.0
            price = 0.0 if part.kind in free else made.price * away
            yield replace(made, price=price, ends=(end_of(made.ends[0]), end_of(made.ends[1])))


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
    joint = 0.0 if rate.is_unknown else JOINT_HOURS * rate.value
    made = LineShelf(shelf, parts, joint, bulk_hoses(parts), crimp_ends(parts), crimp_price(shelf.price_book))
    _kept.insert(0, (shelf, machine_class, made))
    del _kept[SHELVES:]
    return made
