"""A hose made up from a length of hose and two crimped ends: rated by its weakest part, priced by its pieces."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import combinations_with_replacement
from typing import NamedTuple

from handfast.connections.hose_run import sold_length
from handfast.connections.mating import Connection, plain_size

END_LENGTH = 0.05
"""Length of one crimped end beyond the cut hose [m] (practice)."""


class BulkHose(NamedTuple):
    """Hose sold by length: size as a dash, bore [m], pressure [Pa], bend radius [m], money a metre."""

    id: str
    size: str
    bore: float
    pressure_max: float
    bend_radius: float
    per_metre: float


class CrimpEnd(NamedTuple):
    """An end for a hose of one size, with a bore of its own [m], pressure [Pa], price; it meets like its connection."""

    id: str
    size: str
    end: Connection
    bore: float
    pressure_max: float
    price: float


class Assembly(NamedTuple):
    """A made-up hose: overall and cut length [m], bore and pressure of its weakest part and which that is, price."""

    id: str
    hose: BulkHose
    ends: tuple[CrimpEnd, CrimpEnd]
    overall: float
    cut: float
    bore: float
    pressure_max: float
    weakest: str
    price: float


def assemble(hose: BulkHose, first: CrimpEnd, second: CrimpEnd, overall: float, crimp: float = 0.0) -> Assembly:
    """A hose of an overall length with two ends.

    Args:
        hose: The hose by length.
        first: One end.
        second: The other end.
        overall: Least overall length [m]; it is made to the next step.
        crimp: Price of crimping one end [money].

    Returns:
        The assembly; cut is what is cut from the drum.

    Raises:
        ValueError: An end is made for another size of hose.

    Source: a chain is as strong as its weakest part; cut = overall less both ends.

    >>> from handfast.connections.mating import End
    >>> hose = BulkHose("2sn", "-8", 0.0127, 275e5, 0.18, 20.0)
    >>> end = CrimpEnd("swivel", "-8", End("flare37", "-8", "female"), 0.0105, 250e5, 16.0)
    >>> made = assemble(hose, end, end, 1.41, 6.0)
    >>> round(made.overall, 3), round(made.cut, 3), round(made.price, 2), made.weakest
    (1.425, 1.325, 70.5, 'swivel')
    """
    for end in (first, second):
        if plain_size("", end.size) != plain_size("", hose.size):
            raise ValueError(f"{end.id} is for a hose of {end.size}, {hose.id} is {hose.size}")
    made = float(sold_length(overall))
    cut = made - 2.0 * END_LENGTH
    parts: tuple[BulkHose | CrimpEnd, ...] = (hose, first, second)
    weakest = min(parts, key=lambda part: part.pressure_max)
    price = hose.per_metre * cut + first.price + second.price + 2.0 * crimp
    name = f"{hose.id}+{first.id}+{second.id}@{made:.3f}"
    bore = min(part.bore for part in parts)
    return Assembly(name, hose, (first, second), made, cut, bore, weakest.pressure_max, weakest.id, price)


def assemblies(
    hoses: Iterable[BulkHose], ends: Iterable[CrimpEnd], overall: float, crimp: float = 0.0
) -> tuple[Assembly, ...]:
    """Every hose that can be made up to a length.

    Args:
        hoses: Hose by length.
        ends: Ends, each for one size of hose.
        overall: Least overall length [m].
        crimp: Price of crimping one end [money].

    Returns:
        Assemblies, each pair of ends both ways round counted once.

    Source: as `assemble`.

    >>> assemblies((), (), 1.0)
    ()
    """
    stock = tuple(ends)
    found = []
    for hose in hoses:
        mine = [end for end in stock if plain_size("", end.size) == plain_size("", hose.size)]
        found += [assemble(hose, a, b, overall, crimp) for a, b in combinations_with_replacement(mine, 2)]
    return tuple(found)
