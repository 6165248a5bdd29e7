"""Both lines of a lid piece by piece, from the tractor's port to the attachment's, each hose with its one tag."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from handfast.connections.mating import Connection, End, mates
from handfast.machines.inquiry import Inquiry
from handfast.machines.part import Part
from handfast.machines.shelf import Shelf
from handfast.outfits.facts import machine_class
from handfast.outfits.joining import Stretch, reaching, stretches_between
from handfast.outfits.learnt import NAMES, learnt
from handfast.outfits.line_ends import Outlet, outlet_of, relief, tool_end
from handfast.outfits.line_shelf import LineShelf, end_of, line_shelf
from handfast.outfits.outfit import Outfit
from handfast.outfits.powering import HYDRAULIC
from handfast.outfits.tool_reach import ToolReach
from handfast.quantities.estimate import Estimate
from handfast.reckoning.connect import HOSES
from handfast.reckoning.needs import value_of

NAN = float("nan")
OPEN = End("", "", "")
"""An end that is the kit's own affair."""


@dataclass(frozen=True)
class Piece:
    """One piece of a line: its tag where it has one, which end meets which, lengths [m], who brings it.

    `needed` is what its path asks for; `length`, `bore` and `pressure_max` are nan where nobody has said.
    """

    tag: str
    part: Part
    kind: str
    line: str
    at: str  # tractor, tool
    meets: End
    gives: End
    brought_by: str = ""  # kit, attachment; "" = bought
    needed: float = NAN
    length: float = NAN
    bore: float = NAN
    pressure_max: float = NAN

    @property
    def name(self) -> str:
        """As the shelf calls it; a hose that comes with something is that thing's own."""
        if self.brought_by and (self.is_hose or self.part.kind == "valve_kit"):
            return f"{'hose' if self.is_hose else 'coupler half'} of the {self.brought_by}"
        return self.part.name or self.part.id

    @property
    def is_hose(self) -> bool:
        """Whether it is a hose or a hard line."""
        return self.kind in HOSES

    @property
    def price(self) -> Estimate:
        """What it costs; nothing when it is brought along."""
        return Estimate.known(0.0) if self.brought_by else self.part.price


@dataclass(frozen=True)
class LineRun:
    """One line of the lid: the port where it starts, the port where it ends, the pieces between."""

    name: str
    moves: str  # closes, opens
    start: End
    goal: End
    pieces: tuple[Piece, ...]

    @property
    def hoses(self) -> tuple[Piece, ...]:
        """Its hoses and hard lines in order."""
        return tuple(piece for piece in self.pieces if piece.is_hose)


def line_runs(outfit: Outfit, inquiry: Inquiry, shelf: Shelf) -> tuple[LineRun, ...]:
    """Both lines of an outfit's lid, piece by piece.

    Args:
        outfit: the outfit.
        inquiry: resolved inquiry.
        shelf: hoses, couplers and fittings.

    Returns:
        The closing and the opening line; none where a port is not known, no oil is needed, or no chain joins them.

    Source: the chains of `outfits.joining`; what the kit or the attachment brings is marked so.

    Example:
        >>> from handfast.outfits.example_piped import piped
        >>> runs = line_runs(piped().outfit, piped().inquiry, piped().shelf)
        >>> [(run.name, run.moves, len(run.pieces)) for run in runs]
        [('A', 'closes', 8), ('B', 'opens', 8)]
    """
    machine = inquiry.machine
    if outfit.power.route not in HYDRAULIC:
        return ()
    outlet = outlet_of(outfit.power, machine, relief(machine))
    reach = ToolReach(machine)
    tool = tool_end(outfit.attachment, reach)
    if outlet is None or tool is None:
        return ()
    lines = line_shelf(shelf, machine_class(machine))
    past = learnt(shelf, machine, outfit.attachment.id, outfit.power.route)
    tool = reaching(tool, outfit.attachment, reach, past)
    found, halves = stretches_between(outlet, tool, lines, past)
    if halves is None:
        return ()
    runs = []
    for k, (name, moves) in enumerate(zip(NAMES, ("closes", "opens"), strict=True)):
        own = [s for s in found if s.line == k]
        pieces = [*_kit_line(outlet, found, k, name), *_pieces(own, name, lines, reach.of(outfit.attachment))]
        runs.append(LineRun(name, moves, outlet.end, tool.ports[k], tuple(_tagged(pieces, name))))
    return tuple(runs)


def _kit_line(outlet: Outlet, found: Sequence[Stretch], line: int, name: str) -> Iterator[Piece]:
    """The hose that a kit brings whole from its valve to the front: its ends and bore are the kit's affair."""
    if outlet.kit is None or any(s.line == line and s.at == "tractor" for s in found):
        return
    front = _end(next(s for s in found if s.line == line).asked.ask.start)
    kit, reach = outlet.kit, outlet.line
    bears = value_of(kit.pressure_max)
    yield Piece("", kit, "hose", name, "tractor", outlet.end, OPEN, "kit", reach, reach, pressure_max=bears)
    yield Piece("", kit, "coupler", name, "tractor", OPEN, front, "kit", pressure_max=bears)


def _pieces(stretches: Sequence[Stretch], name: str, lines: LineShelf, to_tool: float) -> Iterator[Piece]:
    for stretch in stretches:
        chain, ask = stretch.side.chain, stretch.asked.ask
        assert chain is not None
        open_ends = [_end(ask.start)]
        for part_id in chain.parts:
            part = lines.parts[part_id]
            meets, gives = _turned(part, open_ends)
            piece = _piece(part, name, stretch, meets, gives)
            own = piece.is_hose and piece.brought_by == "attachment"
            yield replace(piece, needed=to_tool, length=NAN) if own else piece


def _end(connection: Connection) -> End:
    return End(connection.family, connection.size, connection.gender)


def _turned(part: Part, open_ends: list[End]) -> tuple[End, End]:
    """Which end of a part meets what is open, and which one goes on; a tee leaves two open."""
    ends = [end_of(end) for end in part.ends]
    at, k = next((i, k) for i in reversed(range(len(open_ends))) for k, e in enumerate(ends) if mates(open_ends[i], e))
    del open_ends[at]
    rest = [end for n, end in enumerate(ends) if n != k]
    open_ends.extend(rest)
    return ends[k], rest[0]


def _piece(part: Part, name: str, stretch: Stretch, meets: End, gives: End) -> Piece:
    free = part.kind in stretch.asked.free
    brings = ("kit" if stretch.at == "tractor" or part.kind == "coupler" else "attachment") if free else ""
    hose = part.kind in HOSES
    return Piece(
        "", part, part.kind, name, stretch.at, meets, gives, brings,
        needed=max(stretch.asked.ask.spans) if hose else NAN,
        length=value_of(part.length) if hose else NAN,
        bore=value_of(part.bore),
        pressure_max=value_of(part.pressure_max),
    )  # fmt: skip


def _tagged(pieces: Sequence[Piece], name: str) -> Iterator[Piece]:
    """Hoses are A1, A2 …, coupler halves AC1, AC2 …, each counted from the tractor on."""
    hoses = couplers = 0
    for piece in pieces:
        if piece.is_hose:
            hoses += 1
            yield replace(piece, tag=f"{name}{hoses}")
        elif piece.kind == "coupler":
            couplers += 1
            yield replace(piece, tag=f"{name}C{couplers}")
        else:
            yield piece
