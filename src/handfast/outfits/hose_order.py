"""What is ordered for each hose: lengths, ends, bore, rating by its weakest part, how the ends stand, sleeve."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import isnan

from handfast.connections.assembly import END_LENGTH
from handfast.machines.part import Part
from handfast.machines.shelf import Shelf
from handfast.outfits.fitting import Fitting
from handfast.outfits.hose_plan import ROUGHLY, HoseLength
from handfast.outfits.line_runs import Piece
from handfast.outfits.numbering import HoseNumber
from handfast.reckoning.needs import value_of

NAN = float("nan")
STRAIGHT, ONE_ELBOW, TWO_ELBOWS = "both ends straight", "elbow turns on its swivel", "elbows to each other: ____°"
MOVES, LIES = "over its whole length", "where it passes an edge"


@dataclass(frozen=True)
class HoseOrder:
    """One hose as ordered; lengths, bore [m] and rating [Pa] are nan where they are the bringer's own affair.

    `asks` names the rows of order_questions.csv that must be answered before it is made.
    """

    number: HoseNumber
    made_of: str
    bore: float
    rating: float
    weakest: str
    cut: float
    overall: float
    ends: tuple[str, str]
    clocking: str
    sleeve: str
    quantity: int
    basis: str
    asks: tuple[str, ...]

    @property
    def tag(self) -> str:
        """Its number."""
        return self.number.tag


def hose_order_of(fitting: Fitting) -> tuple[HoseOrder, ...]:
    """Every hose of an outfit as ordered, in the order of its numbers.

    Args:
        fitting: the outfit with its lines.

    Returns:
        One `HoseOrder` for each number.

    Source: an assembly is rated by its weakest part (`connections.assembly`); lengths of `outfits.hose_plan`.

    Example:
        >>> from handfast.outfits.example_piped import piped
        >>> [one.number.tag for one in hose_order_of(piped())][:2]
        ['A1', 'A2']
    """
    return tuple(_of_line(one, fitting) if one.piece is not None else _of_route(one) for one in fitting.numbers)


def _of_route(one: HoseNumber) -> HoseOrder:
    """A hose of the route: the kit's own, or to be measured and made up."""
    asks = () if one.brought_by else ("kit_hose",)
    made_of = f"comes with the {one.brought_by}" if one.brought_by else "to be made up"
    return HoseOrder(one, made_of, NAN, NAN, "", NAN, NAN, ("", ""), "", LIES, 1, "", asks)


def _of_line(one: HoseNumber, fitting: Fitting) -> HoseOrder:
    piece = one.piece
    assert piece is not None
    length = fitting.hoses.tagged(one.tag)
    sleeve = MOVES if piece.at == "tool" else LIES
    if piece.brought_by:
        ends = ("", "") if piece.part.kind == "valve_kit" else (one.start_thread, one.end_thread)
        words = f"comes with the {piece.brought_by}"
        return HoseOrder(one, words, NAN, NAN, "", NAN, NAN, ends, "", sleeve, 1, length.basis, ())
    made = _components(piece.part, fitting.shelf)
    hose, ends = _made_of(piece.part, made), _ends(one, piece, made)
    overall = length.ordered
    cut = overall - 2.0 * END_LENGTH if made else NAN
    weakest, rating = _weakest(piece, made)
    turned = _elbows(made)
    clocking = (STRAIGHT, ONE_ELBOW, TWO_ELBOWS)[turned]
    asks = tuple(_asks(piece, length, turned))
    return HoseOrder(
        one, hose, piece.bore, rating, weakest, cut, overall, ends, clocking, sleeve, 1, length.basis, asks
    )


def _components(part: Part, shelf: Shelf) -> tuple[Part, ...]:
    """Hose and both ends of a made-up one; none for a hose that is sold whole."""
    if part.kind != "hose_assembly" or "@" not in part.id:
        return ()
    names = part.id.rsplit("@", 1)[0].split("+")
    found = tuple(shelf.parts[name] for name in names if name in shelf.parts)
    return found if len(found) == 3 else ()


def _made_of(part: Part, made: tuple[Part, ...]) -> str:
    name = (made[0] if made else part).name or part.id
    kind = f" ({part.hose_type})" if part.hose_type else ""
    return f"{name.split(', by')[0].split(', swivels')[0]}{kind}"


def _ends(one: HoseNumber, piece: Piece, made: tuple[Part, ...]) -> tuple[str, str]:
    """Each end: its thread, and its shape where it was chosen apart."""
    if not made:
        return one.start_thread, one.end_thread
    ends = list(made[1:])
    first = next((e for e in ends if str(e.ends[0]) == " ".join(piece.meets)), ends[0])
    ends.remove(first)
    return _end(one.start_thread, first), _end(one.end_thread, ends[0])


def _end(thread: str, part: Part) -> str:
    shape = "90° elbow" if "90" in part.name else "45° elbow" if "45" in part.name else "straight"
    return f"{thread}, {shape}"


def _weakest(piece: Piece, made: tuple[Part, ...]) -> tuple[str, float]:
    """What bears least, and how much [Pa]."""
    rated = [(part.name or part.id, value_of(part.pressure_max)) for part in made]
    known = [pair for pair in rated if not isnan(pair[1])]
    return min(known, key=lambda pair: pair[1], default=("as sold", piece.pressure_max))


def _elbows(made: tuple[Part, ...]) -> int:
    return sum("90" in part.name or "45" in part.name for part in made[1:])


def _asks(piece: Piece, length: HoseLength, turned: int) -> Iterator[str]:
    if length.basis == ROUGHLY:
        yield "tool_string" if piece.at == "tool" else "arm_string"
    if turned == 2:
        yield "clock"
