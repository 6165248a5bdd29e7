"""What is screened for one line of work: the attachments that answer it, as columns, with their mounts and lids."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from handfast.bulk.kin import moved_like, named_on
from handfast.machines.attachment import Attachment
from handfast.machines.inquiry import Inquiry
from handfast.machines.shelf import Shelf
from handfast.machines.work import Work
from handfast.outfits.checks import CHECKS
from handfast.outfits.combine import suits
from handfast.outfits.draws import Draws
from handfast.outfits.mounting import KITS, MountRoute, mount_routes
from handfast.outfits.tools import tool_columns
from handfast.quantities.arrays import Array

NO_DRAWS = Draws({}, {}, (), np.zeros((1, 0)), 1)
FREE = Work(kind="free")


class Catalogue:
    """A shelf seen from one line of work; what does not depend on machines is looked up once."""

    def __init__(self, inquiry: Inquiry, shelf: Shelf) -> None:
        self.inquiry = inquiry.model_copy(update={"work": inquiry.work[:1], "attachment": ()})
        self.shelf, self.named, self.parts = shelf, named_on(shelf), shelf.parts_of(*KITS)
        work = inquiry.work[0] if inquiry.work else FREE
        self.attachments = tuple(one for one in shelf.attachments.values() if suits(work, str(one.kind)))
        full = np.isnan(inquiry.site.lift_to.value)
        self.hard = frozenset(c.id for c in CHECKS if c.hard or (full and c.id == "lift.full_height"))
        self._hangs: dict[tuple[str, str | None], tuple[tuple[MountRoute, ...], ...]] = {}

    @cached_property
    def tools(self) -> Mapping[str, Array]:
        """Columns of all attachments, likely figures."""
        return tool_columns(self.attachments, NO_DRAWS)

    @cached_property
    def lids(self) -> tuple[tuple[Attachment, ...], NDArray[np.intp]]:
        """One attachment of each kind of lid, and which kind each attachment has."""
        places: dict[object, int] = {}
        rows = [places.setdefault(moved_like(one, self.named), len(places)) for one in self.attachments]
        first: dict[int, Attachment] = {}
        for row, one in zip(rows, self.attachments, strict=True):
            first.setdefault(row, one)
        return tuple(first.values()), np.array(rows, dtype=np.intp)

    def mounts(self, quick_attach: str, machine_class: str | None) -> tuple[tuple[MountRoute, ...], ...]:
        """Ways to hang each attachment on a class of machine; those with the same interfaces have the same."""
        key = quick_attach, machine_class
        if key not in self._hangs:
            known: dict[tuple[str, ...], tuple[MountRoute, ...]] = {}
            for one in self.attachments:
                ends = tuple(one.interfaces)
                if ends not in known:
                    ways = mount_routes((quick_attach,), one, self.parts, machine_class) if quick_attach else ()
                    known[ends] = tuple(way for way in ways if way.to in ends)
            self._hangs[key] = tuple(known[tuple(one.interfaces)] for one in self.attachments)
        return self._hangs[key]
