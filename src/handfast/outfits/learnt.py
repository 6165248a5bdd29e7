"""What was measured on a machine with a kit, or learnt about the kit: it wins over what is reckoned, and says so."""

from __future__ import annotations

from dataclasses import dataclass
from math import nan

from handfast.machines.as_built import AsBuilt, BuiltHose, Lesson, built_on, machine_key
from handfast.machines.inquiry import Inquiry
from handfast.machines.shelf import Shelf
from handfast.machines.tractor import Machine
from handfast.quantities.showing import show

AS_BUILT = "as built"
NAMES = ("A", "B")
"""Line A closes the lid, line B opens it; the tags A1, A2 … and B1, B2 … count its hoses from the tractor on."""


@dataclass(frozen=True)
class Learnt:
    """As-built record of one machine with one kit, and the kit's lessons, newest first."""

    built: AsBuilt | None
    lessons: tuple[Lesson, ...]

    def hose(self, line: str, at: str) -> BuiltHose | None:
        """The hose as it was fitted at a place."""
        return None if self.built is None else self.built.hose(line, at)

    def lesson(self, line: str, at: str) -> Lesson | None:
        """What was learnt about a place; nothing where the hose itself was measured."""
        if self.hose(line, at) is not None:
            return None
        found = [one for one in self.lessons if one.place == (line, at) and not one.extra.is_unknown]
        return max(found, key=lambda one: one.extra.value, default=None)

    def span(self, line: str, at: str, reckoned: float) -> float:
        """Length that a hose must have [m]: as built, else as reckoned with what the kit's comebacks add."""
        hose, lesson = self.hose(line, at), self.lesson(line, at)
        if hose is not None:
            return float(hose.length.value)
        return reckoned if lesson is None else reckoned + float(lesson.extra.value)

    def bought(self, line: str, at: str) -> bool:
        """Whether the hose that comes along turned out too short, so that one is bought."""
        hose, lesson = self.hose(line, at), self.lesson(line, at)
        return not hose.brought_by if hose is not None else lesson is not None and lesson.bought

    def basis(self, line: str, at: str, system: str = "us") -> str:
        """How a hose's length is known, "" where it is reckoned."""
        hose, lesson = self.hose(line, at), self.lesson(line, at)
        if hose is not None:
            return dated(hose.made or (self.built.made if self.built is not None else ""))
        if lesson is None:
            return ""
        return f"{show(lesson.extra.value, 'length', system)} more than reckoned, learnt {lesson.made}".rstrip()

    @property
    def hours(self) -> float:
        """Hours that fitting it took; nan where nobody wrote them down."""
        return nan if self.built is None or self.built.hours.is_unknown else float(self.built.hours.value)

    @property
    def words(self) -> str:
        """What is said beside the hoses, "" where nothing was learnt about them."""
        places = [(line, at) for line in NAMES for at in ("tractor", "tool")]
        built = {self.basis(*place) for place in places if self.hose(*place) is not None}
        said = [f"Hose lengths {max(built)}."] if built else []
        if any(self.lesson(*place) is not None for place in places):
            said.append("Longer than reckoned by what a comeback of this kit taught.")
        return " ".join(said)


def dated(made: str) -> str:
    """The words for a measured figure with its day.

    Args:
        made: the day, "" where it was not written down.

    Returns:
        Words.

    Example:
        >>> dated("2026-11-25")
        'as built, 2026-11-25'
    """
    return f"{AS_BUILT}, {made}" if made else AS_BUILT


def learnt(shelf: Shelf, machine: Machine, attachment: str, route: str) -> Learnt | None:
    """What is known from earlier fittings of a kit.

    Args:
        shelf: with as-built records and lessons, newest first.
        machine: resolved facts.
        attachment: id of the attachment.
        route: id of the power route.

    Returns:
        `Learnt`, or None where nothing was written down.

    Example:
        >>> learnt(Shelf(), Machine(id="thimble-24"), "thicketjaw-48", "diverter") is None
        True
    """
    if not (shelf.as_built or shelf.lessons):
        return None
    key, kit = machine_key(machine), (attachment, route)
    built = next((b for b in shelf.as_built if key and b.machine == key and (b.attachment, b.route) == kit), None)
    lessons = tuple(one for one in shelf.lessons if (one.attachment, one.route) == kit)
    return Learnt(built, lessons) if built is not None or lessons else None


def relief_note(inquiry: Inquiry, shelf: Shelf, system: str) -> tuple[str, ...]:
    """The sentence about a relief pressure that was measured on this machine.

    Args:
        inquiry: resolved inquiry.
        shelf: with as-built records.
        system: units, "us" or "metric".

    Returns:
        One sentence, or none.

    Example:
        >>> relief_note(Inquiry(), Shelf(), "us")
        ()
    """
    found = built_on(shelf.as_built, inquiry.machine)
    if found is None or inquiry.machine.relief_pressure.origin != "measured":
        return ()
    return (f"Relief {show(inquiry.machine.relief_pressure.value, 'pressure', system)}, {dated(found.made)}.",)
