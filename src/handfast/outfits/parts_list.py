"""Everything that an outfit's power route takes: nothing an installer would have to run out for."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from handfast.connections.mating import End
from handfast.machines.inquiry import Inquiry
from handfast.machines.part import Part
from handfast.machines.shelf import Shelf
from handfast.outfits.line_runs import LineRun, Piece, line_runs
from handfast.outfits.numbering import hose_numbers, outlet_words, route_rows, thread
from handfast.outfits.outfit import Outfit
from handfast.outfits.part_counts import cable_for, counted, current_of, fuse_for
from handfast.outfits.powering import HYDRAULIC
from handfast.quantities.estimate import Estimate
from handfast.quantities.units import to_si

PORTS_UNKNOWN = "the thread of the attachment's ports or of the tractor's outlet is not known"
NOT_STOCKED = "not on the shelf: to be found before the job is begun"


@dataclass(frozen=True)
class PartLine:
    """One line of the list: what and how many, its tag, the ports it joins, its part, who brings it, what it waits for.

    `price` is that of all of them together; nothing where it is brought along.
    """

    item: str
    what: str
    quantity: int
    unit: str
    tag: str
    from_port: str
    to_port: str
    part: str | None
    price: Estimate
    brought_by: str = ""  # kit, attachment; "" = bought
    stock: int | None = None
    waits_for: str = ""

    @property
    def safe_to_order(self) -> bool:
        """Whether nothing has to be found out before it is ordered."""
        return not self.waits_for

    @property
    def in_stock(self) -> bool | None:
        """Whether enough of it is on the shelf; None where nobody has counted."""
        return None if self.stock is None else self.stock >= self.quantity


def parts_list(outfit: Outfit, inquiry: Inquiry, shelf: Shelf) -> tuple[PartLine, ...]:
    """The complete list of parts of an outfit's power route.

    Args:
        outfit: the outfit.
        inquiry: resolved inquiry.
        shelf: what can be sold.

    Returns:
        The kit, what belongs to the route, then both lines from the tractor to the attachment. What the kit or the
        attachment brings stands there with them as bringer and costs nothing; what waits for a fact says so.

    Source: route_parts.csv (common practice, no source) and the chains of `outfits.joining`.

    Example:
        >>> from handfast.outfits.example_piped import piped
        >>> [line.what for line in parts_list(piped().outfit, piped().inquiry, piped().shelf)][:2]
        ['Rear remote piped forward: clamps, bulkheads, couplers', 'bulkhead plate at the end of the arms']
    """
    runs = line_runs(outfit, inquiry, shelf)
    kit = outfit.power.kit
    lines = [] if kit is None else [_bought("kit", kit, 1, "piece")]
    lines += route_lines(outfit, shelf)
    lines += list(_along(outfit, runs))
    if outfit.power.route in HYDRAULIC and not runs:
        lines.append(_waiting("hoses", "hoses, couplers and fittings of both lines", 1, PORTS_UNKNOWN))
    return tuple(lines)


def route_lines(outfit: Outfit, shelf: Shelf) -> tuple[PartLine, ...]:
    """What belongs to a route beside its kit and its two lines; looked up once for routes that are alike.

    Args:
        outfit: the outfit.
        shelf: what can be sold.

    Returns:
        Lines in the table's order.

    Source: route_parts.csv (common practice, no source).

    Example:
        >>> from handfast.outfits.example_piped import piped
        >>> [(line.quantity, line.what) for line in route_lines(piped().outfit, piped().shelf)][:2]
        [(1, 'bulkhead plate at the end of the arms'), (2, 'hose clamps, ten with bolts')]
    """
    kept = next((found for known, found in _kept if known is shelf), None)
    if kept is None:
        kept = {}
        _kept.insert(0, (shelf, kept))
        del _kept[SHELVES:]
    kit, counts = outfit.power.kit, tuple(counted(rule, outfit) for rule in RULES)
    whose = None if kit is None else (kit.id, kit.needs, kit.supplies)
    key = outfit.power.route, whose, current_of(outfit), counts
    if key not in kept:
        kept[key] = tuple(_of_route(row, outfit, shelf) for row in route_rows(outfit))
    return kept[key]


RULES = ("clamps", "sleeve", "oil")
SHELVES = 8
_kept: list[tuple[Shelf, dict[tuple[object, ...], tuple[PartLine, ...]]]] = []


def _of_route(row: Mapping[str, str], outfit: Outfit, shelf: Shelf) -> PartLine:
    """One row of the table as a line: brought by the kit, found on the shelf or in the price book, or missing."""
    count = counted(row["quantity"], outfit)
    place = row["tag"], row["from_port"], row["to_port"]
    kit = outfit.power.kit
    for source in row["find"].split():
        kind, _, what = source.partition(":")
        if kind == "kit" and kit is not None and what in kit.supplies:
            return PartLine(row["item"], row["name"], count, row["unit"], *place, kit.id, Estimate.known(0.0), "kit")
        if kind == "shelf" and (part := _on_shelf(what, outfit, shelf)) is not None:
            return _bought(row["item"], part, count, row["unit"], *place)
        if kind == "book" and (line := next((x for x in shelf.price_book.line if what in x.id), None)) is not None:
            price = line.price.scaled(count)
            return PartLine(row["item"], line.name or row["name"], count, row["unit"], *place, None, price)
        if kind == "rate" and not shelf.price_book.oil_per_m3.is_unknown:
            price = shelf.price_book.oil_per_m3.scaled(to_si(count, row["unit"]))
            return PartLine(row["item"], row["name"], count, row["unit"], *place, None, price)
    return _waiting(row["item"], row["name"], count, NOT_STOCKED, row["unit"], *place)


def _on_shelf(what: str, outfit: Outfit, shelf: Shelf) -> Part | None:
    """A part by kind and word; fuses and cables by what they must carry."""
    kind, _, word = what.partition(":")
    if kind == "fuse":
        return fuse_for(outfit, shelf)
    if kind == "cable":
        return cable_for(outfit, shelf)
    fitting = [part for part in shelf.parts_of(kind) if word in part.id or word in part.name.lower()]
    return min(fitting, key=lambda part: (part.stock == 0, part.price.is_unknown), default=None)


def _bought(item: str, part: Part, count: int, unit: str, tag: str = "", start: str = "", end: str = "") -> PartLine:
    price = part.price if part.price.is_unknown else part.price.scaled(count)
    return PartLine(item, part.name or part.id, count, unit, tag, start, end, part.id, price, stock=part.stock)


def _waiting(
    item: str, what: str, count: int, why: str, unit: str = "set", tag: str = "", start: str = "", end: str = ""
) -> PartLine:
    return PartLine(item, what, count, unit, tag, start, end, None, Estimate.unknown(), waits_for=why)


def _along(outfit: Outfit, runs: Sequence[LineRun]) -> Iterator[PartLine]:
    """Both lines: hoses and coupler halves each with its tag, adapters that are alike together."""
    loose: dict[tuple[str, str], list[tuple[Piece, str, str]]] = {}
    ways = {one.tag: (one.start, one.end) for one in hose_numbers(outfit, runs)}
    for run in runs:
        for piece, start, end in _between(outfit, run):
            if piece.tag:
                yield _piece(piece, *ways.get(piece.tag, (start, end)))
            else:
                loose.setdefault((piece.part.id, piece.brought_by), []).append((piece, start, end))
    for alike in loose.values():
        yield _piece(*alike[0], count=len(alike))


def _piece(piece: Piece, start: str, end: str, count: int = 1) -> PartLine:
    """A piece of a line; what is brought along is no part of the shelf, though the like of it may lie there."""
    item = "hose" if piece.is_hose else piece.kind
    price = piece.price if piece.price.is_unknown else piece.price.scaled(count)
    place = piece.tag, start, end
    if piece.brought_by:
        return PartLine(item, piece.name, count, "piece", *place, None, price, piece.brought_by)
    return PartLine(item, piece.name, count, "piece", *place, piece.part.id, price, stock=piece.part.stock)


def _between(outfit: Outfit, run: LineRun) -> Iterator[tuple[Piece, str, str]]:
    """Each piece with what it starts from and leads to: a tag, a fitting's name, or a port."""
    pieces = (piece.tag or piece.name for piece in run.pieces)
    words = [outlet_words(outfit, run.name), *pieces, f"lid cylinder, port that {run.moves}"]
    for k, piece in enumerate(run.pieces):
        yield piece, _port(words[k], piece.meets), _port(words[k + 2], piece.gives)


def _port(words: str, end: End) -> str:
    return f"{words} ({thread(end)})" if end.family else words
