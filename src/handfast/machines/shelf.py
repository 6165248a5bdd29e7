"""The shelf: every machine, attachment, part and rate that the dealer has on file."""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Iterator

from pydantic import Field

from handfast.machines.as_built import AsBuilt, Lesson
from handfast.machines.attachment import Attachment
from handfast.machines.fields import Record
from handfast.machines.part import Part
from handfast.machines.price_book import PriceBook
from handfast.machines.tractor import Machine


class SetAside(Record):
    """Records that were retired: no longer offered, still readable for whoever names them."""

    machines: dict[str, Machine] = Field(default_factory=dict)
    attachments: dict[str, Attachment] = Field(default_factory=dict)
    parts: dict[str, Part] = Field(default_factory=dict)


class Shelf(Record):
    """Records by id; what was learnt after the sale, newest first."""

    machines: dict[str, Machine] = Field(default_factory=dict)
    attachments: dict[str, Attachment] = Field(default_factory=dict)
    parts: dict[str, Part] = Field(default_factory=dict)
    price_book: PriceBook = PriceBook()
    as_built: tuple[AsBuilt, ...] = ()
    lessons: tuple[Lesson, ...] = ()
    set_aside: SetAside = SetAside()

    @property
    def whole(self) -> Shelf:
        """The shelf with what was retired back on it, for offers that were made before."""
        aside = self.set_aside
        kinds = ("machines", "attachments", "parts")
        return self.model_copy(update={kind: {**getattr(aside, kind), **getattr(self, kind)} for kind in kinds})

    def parts_of(self, *kinds: str) -> tuple[Part, ...]:
        """All parts of some kinds, in the order of the shelf."""
        return tuple(part for part in self.parts.values() if part.kind in kinds)

    def attachments_of(self, *kinds: str) -> tuple[Attachment, ...]:
        """All attachments of some kinds, in the order of the shelf."""
        return tuple(each for each in self.attachments.values() if each.kind in kinds)

    def machines_of(self, class_: str) -> tuple[Machine, ...]:
        """All machines of a class."""
        return tuple(machine for machine in self.machines.values() if machine.class_ == class_)

    @property
    def priced(self) -> bool:
        """Whether any price stands on it: all are in the currency of its price book."""
        prices = [one.price for one in self.attachments.values()] + [one.price for one in self.parts.values()]
        return self.price_book.priced or any(not one.is_unknown for one in prices)


def near_ids(wanted: str, ids: Iterable[str]) -> list[str]:
    """The ids that look most like the one asked for.

    Args:
        wanted: id that is not there.
        ids: the ids that are.

    Returns:
        at most three ids, nearest first.

    >>> near_ids("timble-24", ["thimble-24", "hurdle-98"])
    ['thimble-24']
    """
    return difflib.get_close_matches(wanted, list(ids), n=3, cutoff=0.5)


def names_on(shelf: Shelf) -> Iterator[str]:
    """Every name that a shelf gives its records."""
    for records in (shelf.machines, shelf.attachments, shelf.parts):
        for record in records.values():
            yield from (str(getattr(record, name, None) or "") for name in ("name", "maker", "model", "supplier"))
