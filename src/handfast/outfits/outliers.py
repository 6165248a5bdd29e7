"""Which figures of a record lie outside what is typical of its class or kind: place, found, expected, way out."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from handfast.machines.attachment import Attachment
from handfast.machines.tractor import Machine
from handfast.outfits.class_notes import ABOVE, BELOW
from handfast.outfits.draws import follow, typical, typical_band
from handfast.outfits.facts import machine_class
from handfast.quantities.estimate import Estimate
from handfast.quantities.showing import show
from handfast.quantities.tables import table
from handfast.quantities.units import find_unit

SHARES = ("front_share", "loader.pivot_ahead", "loader.pivot_height", "loader.rating_slope")  # no entries of a record
WAY_OUT = "Look at the sheet again: the unit, the line above or below, or another model."


@dataclass(frozen=True)
class Outlier:
    """One figure that is asked about."""

    place: str
    found: str
    expected: str
    way_out: str = WAY_OUT


def outliers(record: Machine | Attachment, system: str = "us") -> tuple[Outlier, ...]:
    """Figures of a machine or an attachment far outside the table of its class or kind.

    Args:
        record: machine or attachment.
        system: units.

    Returns:
        One for each figure, none where the class or kind is not known.

    Source: class_typical.csv, attachment_typical.csv; beyond 0.75 of the least or 1.30 of the greatest a figure is
        asked about (practice).

    Example:
        >>> [one.place for one in outliers(Machine(**{"class": "subcompact", "wheelbase": "55 ft"}))]
        ['wheelbase']
    """
    if isinstance(record, Machine):
        group, noun = machine_class(record) or "", "tractor"
    else:
        group, noun = record.kind or "", ""
    found = []
    for path, dimension in _figures(group):
        stated, band = follow(record, path), typical(group, path)[0] if noun else _kind_band(group, path)
        if not isinstance(stated, Estimate) or stated.is_unknown or band.is_unknown:
            continue
        least, most = _bounds(band)
        if stated.greatest < least or stated.least > most:
            low, high = show(band.low, dimension, system), show(band.high, dimension, system)
            who = f"{group.replace('_', ' ')} {noun}".strip()
            found.append(Outlier(path, show(stated.value, dimension, system), f"{low} to {high}, usual of a {who}"))
    return tuple(found)


def _bounds(band: Estimate) -> tuple[float, float]:
    """Beyond these a figure is asked about; a band about nothing is widened by its own width."""
    if band.low > 0:
        return BELOW * band.low, ABOVE * band.high
    width = band.high - band.low
    return band.low - width, band.high + width


@cache
def _figures(group: str) -> tuple[tuple[str, str], ...]:
    """The entries that the tables have a band for, with their dimensions."""
    found = []
    for file, column in (("class_typical.csv", "class"), ("attachment_typical.csv", "kind")):
        for row in table(file):
            unit = find_unit(row["unit"])
            if row[column] == group and row["quantity"] not in SHARES and unit is not None:
                found.append((row["quantity"], unit.dimension))
    return tuple(found)


@cache
def _kind_band(kind: str, path: str) -> Estimate:
    """What is typical of a kind of attachment."""
    for row in table("attachment_typical.csv"):
        if (row["kind"], row["quantity"]) == (kind, path):
            return typical_band(row)
    return Estimate.unknown()
