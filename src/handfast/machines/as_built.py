"""What was measured when a kit was fitted, and what a comeback taught: both win over what is reckoned next time."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Annotated, Literal

from handfast.machines.fields import MANY, UNKNOWN, Hours, Length, Pressure, Record, Whole
from handfast.machines.tractor import Machine

Side = Literal["tractor", "tool"]


class Stretch(Record):
    """A place of a hose on any machine: the line it belongs to, and the side of the front coupler."""

    line: Literal["A", "B"]
    at: Side

    @property
    def place(self) -> tuple[str, str]:
        """Line and side."""
        return self.line, self.at


class BuiltHose(Stretch):
    """One hose as it was fitted: overall length, the way it was led, the day; kit or attachment if it came with one."""

    tag: str = ""
    length: Length = UNKNOWN
    routing: str = ""
    made: str = ""
    brought_by: str = ""


class AsBuilt(Record):
    """One kit on one machine as it was fitted: hoses, measured relief, hours it took.

    `machine` is its `machine_key`; `attachment` and `route` are the kit. The newest of a machine and kit counts.
    """

    machine: str = ""
    attachment: str = ""
    route: str = ""
    serial: str = ""
    made: str = ""
    quote: Whole | None = None
    relief: Pressure = UNKNOWN
    hours: Hours = UNKNOWN
    hoses: Annotated[tuple[BuiltHose, ...], MANY] = ()
    notes: str = ""

    def hose(self, line: str, at: str) -> BuiltHose | None:
        """The hose at a place, where its length was written down."""
        return next((h for h in self.hoses if h.place == (line, at) and not h.length.is_unknown), None)

    def with_hose(self, hose: BuiltHose) -> AsBuilt:
        """The record with one hose in place of the one that was there."""
        kept = tuple(each for each in self.hoses if each.place != hose.place)
        ordered = sorted((*kept, hose), key=lambda each: (each.line, each.at == "tool"))
        return self.model_copy(update={"hoses": tuple(ordered)})


class Lesson(Stretch):
    """What a comeback taught about a kit: so much longer than reckoned at one place, on any machine.

    `bought`: the hose that comes with the kit or the attachment is too short there, so one is bought.
    """

    attachment: str
    route: str
    extra: Length = UNKNOWN
    bought: bool = False
    comeback: Whole | None = None
    made: str = ""


def machine_key(machine: Machine) -> str:
    """What tells one kind of machine from another in as-built records.

    Args:
        machine: a record of the shelf, or facts alone.

    Returns:
        its id; without one its name in small letters; "" where nobody named it.

    >>> machine_key(Machine(name="Old Blue"))
    'old blue'
    """
    named = machine.name or " ".join(word for word in (machine.maker, machine.model) if word)
    return machine.id or machine.record or " ".join(named.casefold().split())


def built_on(records: Iterable[AsBuilt], machine: Machine) -> AsBuilt | None:
    """The newest record of a machine in which its relief was measured; another tractor's serial rules it out.

    Args:
        records: as-built records, newest first.
        machine: resolved facts.

    Returns:
        the record, or None.

    >>> built_on((), Machine()) is None
    True
    """
    key = machine_key(machine)
    for one in records if key else ():
        other = one.serial and machine.serial and one.serial != machine.serial
        if one.machine == key and not one.relief.is_unknown and not other:
            return one
    return None
