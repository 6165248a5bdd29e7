"""One number names one hose: the only place where the numbers of hoses, coupler halves and wires are given out.

A1, A2 … are the hoses of the line that closes the lid, B1, B2 … of the line that opens it, counted from the tractor
on; AC1 … and BC1 … the coupler halves. What belongs to a route has the number of its row in route_parts.csv.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from handfast.connections.mating import End, families
from handfast.outfits.line_runs import LineRun, Piece
from handfast.outfits.outfit import Outfit
from handfast.outfits.powering import HYDRAULIC
from handfast.quantities.tables import table

OF_ROUTE = ("supply_hose", "curl_hose", "sense_line", "pump_hose")
"""Items of route_parts.csv that are hoses."""

OUTLET_WORDS = {
    "front_outlets": "front outlet of the tractor",
    "third_function": "third-function valve",
    "diverter": "diverter",
    "rear_remote_forward": "rear remote",
    "mid_outlet": "mid remote",
    "separate_pump": "valve of the pump",
}
DIVERTER_PORTS = {"A": "port 5", "B": "port 6"}


@dataclass(frozen=True)
class HoseNumber:
    """One hose: its number, what it is, the two places that it joins with their threads, the piece where chosen.

    `item` is hose for those of a line, else the item of the route's table; `at` is supply, tractor or tool.
    """

    tag: str
    item: str
    what: str
    start: str
    end: str
    start_thread: str = ""
    end_thread: str = ""
    at: str = "supply"
    brought_by: str = ""  # kit, attachment; "" = bought
    piece: Piece | None = None


def hose_numbers(outfit: Outfit, runs: Sequence[LineRun]) -> tuple[HoseNumber, ...]:
    """Every hose of an outfit with its number, in the order in which it is laid.

    Args:
        outfit: the outfit.
        runs: both lines as `line_runs` gives them; none where ports are not known.

    Returns:
        Hoses of the route, then of line A and line B; drawing, order, tags and sheets take their numbers from here.

    Source: route_parts.csv for those of the route (common practice, no source).

    Example:
        >>> from handfast.outfits.example_piped import piped
        >>> [(one.tag, one.at) for one in hose_numbers(piped().outfit, piped().runs)]
        [('A1', 'tractor'), ('A2', 'tool'), ('B1', 'tractor'), ('B2', 'tool')]
    """
    kit = outfit.power.kit
    brings = frozenset(() if kit is None else kit.supplies)
    found = [
        HoseNumber(
            row["tag"],
            row["item"],
            row["name"],
            row["from_port"],
            row["to_port"],
            brought_by="kit" if brings & _from_kit(row) else "",
        )
        for row in route_rows(outfit)
        if row["item"] in OF_ROUTE
    ]
    return (*found, *(one for run in runs for one in _of_run(outfit, run)))


def _from_kit(row: Mapping[str, str]) -> frozenset[str]:
    """What a kit must bring for a row to come with it."""
    return frozenset(where[4:] for where in row["find"].split() if where.startswith("kit:"))


def supply_tags(outfit: Outfit) -> tuple[str, ...]:
    """Numbers of the hoses that belong to the route itself, in the table's order.

    Args:
        outfit: the outfit.

    Returns:
        Numbers.

    Example:
        >>> from handfast.machines.attachment import Attachment
        >>> from handfast.outfits.mounting import MountRoute
        >>> from handfast.outfits.powering import PowerRoute
        >>> supply_tags(Outfit(Attachment(), MountRoute("direct", "pinned", "pinned"), PowerRoute("diverter")))
        ('C1', 'C2', 'C3', 'C4')
    """
    return tuple(one.tag for one in hose_numbers(outfit, ()))


def route_rows(outfit: Outfit) -> Iterator[Mapping[str, str]]:
    """Rows of route_parts.csv that an outfit's route with its kit needs.

    Args:
        outfit: the outfit.

    Returns:
        Rows in the table's order.

    Example:
        >>> from handfast.outfits.example_piped import piped
        >>> [row["item"] for row in route_rows(piped().outfit)][:2]
        ['bulkhead', 'clamps']
    """
    route, kit = outfit.power.route, outfit.power.kit
    needs = set() if kit is None else set(kit.needs)
    for row in table("route_parts.csv"):
        mine = row["route"] == route or (row["route"] == "oil" and route in HYDRAULIC)
        word, _, need = row["when"].partition(" ")
        if mine and (not word or (need in needs) == (word == "needs")):
            yield row


def outlet_words(outfit: Outfit, line: str) -> str:
    """Where a line begins, in words.

    Args:
        outfit: the outfit.
        line: A or B.

    Returns:
        Words such as "third-function valve, port A".

    Example:
        >>> from handfast.machines.attachment import Attachment
        >>> from handfast.outfits.mounting import MountRoute
        >>> from handfast.outfits.powering import PowerRoute
        >>> hung = MountRoute("direct", "pinned", "pinned")
        >>> outlet_words(Outfit(Attachment(), hung, PowerRoute("diverter")), "B")
        'diverter, port 6'
    """
    route, kit = outfit.power.route, outfit.power.kit
    words = OUTLET_WORDS[route]
    if route == "rear_remote_forward" and kit is not None and "power_beyond" in kit.needs:
        words = "added remote section"
    return f"{words}, {DIVERTER_PORTS[line] if route == 'diverter' else f'port {line}'}"


def _of_run(outfit: Outfit, run: LineRun) -> Iterator[HoseNumber]:
    places = [outlet_words(outfit, run.name), *(p.tag for p in run.pieces), f"lid cylinder, port that {run.moves}"]
    for k, piece in enumerate(run.pieces):
        if piece.is_hose:
            before = next(i for i in range(k, -1, -1) if places[i])
            after = next(i for i in range(k + 2, len(places)) if places[i])
            yield HoseNumber(
                piece.tag,
                "hose",
                piece.name,
                places[before] + _over(run.pieces[before:k]),
                places[after] + _over(run.pieces[k + 1 : after - 1]),
                thread(piece.meets),
                thread(piece.gives),
                piece.at,
                piece.brought_by,
                piece,
            )


def _over(between: Sequence[Piece]) -> str:
    """The fittings between a hose and the place that it leads to."""
    names = [piece.name for piece in between if not piece.tag]
    return f", over {' and '.join(names)}" if names else ""


def thread(end: End) -> str:
    """An end in words; nothing where it is the kit's own affair.

    Args:
        end: the end.

    Returns:
        Words.

    Example:
        >>> thread(End("flare37", "-6", "female"))
        '37° flare -6 female'
    """
    if not end.family:
        return ""
    known = families().get(end.family)
    return f"{known['name'] if known else end.family} {end.size} {end.gender}"
