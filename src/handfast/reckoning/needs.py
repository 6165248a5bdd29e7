"""What a reckoning can't do without."""

from __future__ import annotations

import math
from collections.abc import Mapping

from handfast.machines.faults import Fault, Faults
from handfast.quantities.estimate import Estimate

Given = Estimate | int | str | tuple[object, ...] | None


def is_missing(given: Given) -> bool:
    """Whether an entry is left out or unknown.

    Args:
        given: An entry of a record.

    Returns:
        True where there is nothing to reckon with.

    >>> is_missing(Estimate.unknown()), is_missing(2)
    (True, False)
    """
    if isinstance(given, Estimate):
        return given.is_unknown
    return given is None or given == "" or given == ()


def require(file: str, entries: Mapping[str, tuple[Given, str]]) -> None:
    """Refuse a file that lacks what its reckoning needs, every lack named at once.

    Args:
        file: Name of the file.
        entries: For each place what was given and what is expected there.

    Raises:
        Faults: Something is missing.

    >>> require("c.toml", {"circuit.bore": (Estimate.known(0.05), "a length such as 2 in")})
    """
    lacking = [place for place, (given, _) in entries.items() if is_missing(given)]
    if lacking:
        raise Faults(Fault(file, 0, place, "nothing", entries[place][1]) for place in lacking)


def value_of(given: Estimate, otherwise: float = math.nan) -> float:
    """The likely value of an entry.

    Args:
        given: The entry [any SI unit].
        otherwise: What stands in where it is unknown.

    Returns:
        The value.

    >>> value_of(Estimate.known(3.0)), value_of(Estimate.unknown(), 1.0)
    (3.0, 1.0)
    """
    return otherwise if given.is_unknown else float(given.value)


def plain_number(value: float) -> float | None:
    """A number as JSON has it: nothing where it is not a number.

    Args:
        value: Any float.

    Returns:
        The value, or None for nan and infinity.

    >>> plain_number(1.5), plain_number(math.nan)
    (1.5, None)
    """
    return float(value) if math.isfinite(value) else None
