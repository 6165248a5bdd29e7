"""The tractors around: how many of each, from a list, and what the shelf's attachments do for them."""

from __future__ import annotations

import csv
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

import numpy as np

from handfast.bulk.catalogue import Catalogue
from handfast.bulk.cover import Flags
from handfast.bulk.screen import FITS, NO_WAY, VERDICTS, WEIGHTED, Screen
from handfast.machines.attachment import Attachment
from handfast.machines.faults import Fault, Faults
from handfast.machines.inquiry import Inquiry
from handfast.machines.shelf import Shelf, near_ids
from handfast.machines.tractor import Machine
from handfast.quantities.arrays import Array


@dataclass(frozen=True)
class Territory:
    """Machines, how many of each, attachments, and the verdict of each pair, one array a line of work."""

    machines: tuple[Machine, ...]
    counts: Array
    attachments: tuple[Attachment, ...]
    verdicts: tuple[Array, ...]
    counterweights: tuple[Array, ...]
    payloads: tuple[Array, ...]
    lines: tuple[str, ...]

    @cached_property
    def fits(self) -> Flags:
        """Which attachment serves which machine at a line of work, shape (attachments, lines × machines)."""
        return np.concatenate([one >= WEIGHTED for one in self.verdicts], axis=1)

    @cached_property
    def weights(self) -> Array:
        """How many there are of each column of `fits`."""
        return np.tile(self.counts, len(self.verdicts))

    def words(self, line: int) -> list[list[str]]:
        """The verdicts of a line in words."""
        return [[VERDICTS[int(code)] for code in row] for row in self.verdicts[line]]

    def served(self, line: int) -> Array:
        """How many machines each attachment serves at a line of work."""
        return np.asarray((self.verdicts[line] >= WEIGHTED) @ self.counts)

    def sound(self, line: int) -> Array:
        """How many it serves with nothing hung behind."""
        return np.asarray((self.verdicts[line] == FITS) @ self.counts)


def territory_of(inquiry: Inquiry, shelf: Shelf, counted: dict[str, float] | None = None) -> Territory:
    """Every machine of a list against every attachment of a shelf, one screen a line of work.

    Args:
        inquiry: the work.
        shelf: machines, attachments, kits.
        counted: how many there are of each machine, by id; one of each where not given.

    Returns:
        `Territory`; attachments that answer no line of work are left out.

    Example:
        >>> territory_of(Inquiry(), Shelf()).fits.shape
        (0, 0)
    """
    ids = list(shelf.machines) if counted is None else list(counted)
    machines = tuple(shelf.machines[one] for one in ids)
    counts = np.array([1.0 if counted is None else counted[one] for one in ids])
    works = inquiry.work or (None,)
    catalogues = [Catalogue(inquiry.model_copy(update={"work": (one,) if one else ()}), shelf) for one in works]
    wanted = {one.id for catalogue in catalogues for one in catalogue.attachments}
    tools = tuple(one for key, one in shelf.attachments.items() if key in wanted)
    place = {one.id: k for k, one in enumerate(tools)}
    verdicts, weights, lifts = zip(*(_screened(machines, one, place) for one in catalogues), strict=True)
    lines = tuple(_line(one.inquiry) for one in catalogues)
    return Territory(machines, counts, tools, verdicts, weights, lifts, lines)


def _screened(machines: Sequence[Machine], catalogue: Catalogue, place: dict[str, int]) -> tuple[Array, Array, Array]:
    verdict = np.full((len(place), len(machines)), float(NO_WAY))
    weight, lift = np.zeros(verdict.shape), np.zeros(verdict.shape)
    rows = np.array([place[one.id] for one in catalogue.attachments], dtype=np.intp)
    if machines and len(rows):
        for block in Screen(machines, catalogue).blocks():
            at = np.ix_(rows[block.attachments], block.machines)
            verdict[at], weight[at], lift[at] = block.verdict, block.counterweight, block.payload
    return verdict, weight, lift


def _line(inquiry: Inquiry) -> str:
    return str(inquiry.work[0].kind).replace("_", " ") if inquiry.work else "any work"


def read_counts(path: Path, shelf: Shelf) -> dict[str, float]:
    """How many there are of each machine, from a list with the columns machine and count.

    Args:
        path: a CSV file.
        shelf: whose machines the list names.

    Returns:
        Counts by id, in the order of the list; the same machine twice is added up.

    Raises:
        Faults: no such columns, a machine that is not on the shelf, a count that is none; every one named.

    Example:
        >>> read_counts.__name__
        'read_counts'
    """
    try:
        rows = list(csv.DictReader(path.read_text(encoding="utf-8-sig").splitlines()))
    except (UnicodeDecodeError, csv.Error) as error:
        raise Faults([Fault(path.name, 0, "file", str(error), "a CSV file in UTF-8")]) from error
    if not rows or not {"machine", "count"} <= set(rows[0]):
        found = ", ".join(rows[0]) if rows else "nothing"
        raise Faults([Fault(path.name, 1, "columns", found, "the columns machine and count")])
    faults, counts = [], dict[str, float]()
    for line, row in enumerate(rows, 2):
        name, text = (row["machine"] or "").strip(), (row["count"] or "").strip()
        if name not in shelf.machines:
            near = " or ".join(near_ids(name, shelf.machines)) or "the id of a machine on the shelf"
            faults.append(Fault(path.name, line, "machine", name or "nothing", near))
        if not text.isdecimal():
            faults.append(Fault(path.name, line, "count", text or "nothing", "a whole number"))
        if not faults:
            counts[name] = counts.get(name, 0.0) + float(text)
    if faults:
        raise Faults(faults)
    return counts
