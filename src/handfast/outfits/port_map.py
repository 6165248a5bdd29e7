"""Which hose goes on which port, seen from where: the added valve, the couplers at the end of the arms, the lid."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from handfast.outfits.fitting import Fitting
from handfast.outfits.line_runs import LineRun, Piece
from handfast.outfits.numbering import thread
from handfast.quantities.tables import table

FRONT = "the seat, looking forward"
SIDES = {"A": "left", "B": "right"}
"""Line A left, line B right, at the end of the arms and seen from the seat: so that every machine is the same."""


@dataclass(frozen=True)
class PortRow:
    """One port: where it is, seen from where, its name, the number that goes on it, where that leads, its thread."""

    place: str
    seen_from: str
    port: str
    number: str
    leads_to: str
    thread: str = ""


def port_map(fitting: Fitting) -> tuple[PortRow, ...]:
    """Every port of an outfit's route, in the order in which the oil passes.

    Args:
        fitting: the outfit with its lines.

    Returns:
        Ports of the route, of the couplers at the end of the arms, of the lid.

    Source: port_map.csv; A left and B right seen from the seat is a custom of the house (common practice, no source).

    Example:
        >>> from handfast.outfits.example_piped import piped
        >>> [(row.number, row.port) for row in port_map(piped())][:2]
        [('A1', 'coupler fed with the lever back'), ('B1', 'coupler fed with the lever forward')]
    """
    rows = [
        PortRow(row["place"], row["seen_from"], row["port"], row["number"], row["leads_to"]) for row in _rows(fitting)
    ]
    starts = {run.name: thread(run.start) for run in fitting.runs}
    rows = [_with_thread(row, starts) for row in rows]
    for run in fitting.runs:
        rows += _couplers(run)
    rows += [_lid(run, fitting) for run in fitting.runs]
    return tuple(rows)


def _rows(fitting: Fitting) -> Iterator[Mapping[str, str]]:
    kit = fitting.outfit.power.kit
    needs = set() if kit is None else set(kit.needs)
    for row in table("port_map.csv"):
        word, _, need = row["when"].partition(" ")
        if row["route"] == fitting.outfit.power.route and (not word or (need in needs) == (word == "needs")):
            yield row


def _with_thread(row: PortRow, starts: Mapping[str, str]) -> PortRow:
    """The first hose of a line meets the port that the line starts from."""
    if row.number not in ("A1", "B1"):
        return row
    return PortRow(row.place, row.seen_from, row.port, row.number, row.leads_to, starts.get(row.number[0], ""))


def _couplers(run: LineRun) -> Iterator[PortRow]:
    """The pair at the end of the arms."""
    halves = [piece for piece in run.pieces if piece.kind == "coupler"]
    if not halves:
        return
    mine = next((p for p in reversed(halves) if p.at == "tractor"), None)
    tool = next((p for p in halves if p.at == "tool"), None)
    number = ", ".join(p.tag for p in (mine, tool) if p is not None)
    words = f"{SIDES[run.name]}: line {run.name}, which {run.moves} the lid"
    end = _coupler_thread(mine or tool)
    yield PortRow("couplers at the end of the arms", FRONT, words, number, "attachment", end)


def _coupler_thread(piece: Piece | None) -> str:
    if piece is None:
        return ""
    ends = [end for end in (piece.meets, piece.gives) if end.family.startswith("coupler_")]
    return thread(ends[0]) if ends else ""


def _lid(run: LineRun, fitting: Fitting) -> PortRow:
    circuit = fitting.circuit
    pushes = circuit is None or circuit.cylinders.closes == "extend"
    barrel = (run.moves == "closes") == pushes
    number = run.hoses[-1].tag if run.hoses else f"line {run.name}"
    port = "port at the foot of the barrel" if barrel else "port at the rod's end"
    does = "the lid closes" if run.moves == "closes" else "the lid opens"
    return PortRow("lid cylinder", "its side", port, number, does, thread(run.goal))
