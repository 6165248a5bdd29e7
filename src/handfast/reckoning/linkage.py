"""`reckon linkage`: the pins and cylinders that a spec sheet points to, and how they answer beside the sheet."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, Literal

from handfast.machines.fields import Contradiction, Record
from handfast.machines.reading import read_model
from handfast.machines.tractor import Machine
from handfast.physics.linkage_fit import sheet_of
from handfast.reckoning.fitted import Guess, as_rated, both, figures, fit_gaps, guess, record_of
from handfast.reckoning.lift import linkage_gaps, linkage_of

Kind = Literal["direct", "bellcrank", "levelling"]
OFF = 0.02  # a raise time missed by more is worth a word


class Wanted(Record):
    """Which kind of linkage the loader has."""

    kind: Kind | None = None


class LinkageFile(Record):
    """The file of `reckon linkage`."""

    title: str = ""
    locale: str = "en_US"
    machine: Machine
    linkage: Wanted = Wanted()

    def contradictions(self) -> Iterator[Contradiction]:
        """What the fit can't do without."""
        yield from fit_gaps(self.machine)


def reckon_linkage(text: str, file: str = "linkage.toml") -> dict[str, Any]:
    """The linkage that a sheet points to, with its residuals.

    Args:
        text: TOML text with machine and linkage.
        file: name of the file, for the faults.

    Returns:
        origin ("computed"), class, kind, sheet rows with residuals, the linkage as a record, and, where the file has a
        measured linkage too, both answers side by side.

    Raises:
        Faults: everything that is wrong with or missing from the file.

    >>> text = '''[machine]
    ... class = "utility"
    ... [machine.loader]
    ... pin_height_max = "3.2 m"
    ... lift_at_pin = "1500 kg"'''
    >>> found = reckon_linkage(text)
    >>> found["origin"], [row["figure"] for row in found["sheet"]]
    ('computed', ['pin_height_max', 'lift_at_pin'])
    """
    asked = read_model(LinkageFile, text, file)
    made = guess(asked.machine, asked.linkage.kind)
    own = asked.machine.loader.linkage is not None and not any(True for _ in linkage_gaps(asked.machine))
    measured = sheet_of(as_rated(linkage_of(asked.machine), asked.machine.loader)) if own else None
    worst, off = made.off
    return {
        "origin": "computed",
        "class": made.machine_class,
        "kind": made.kind,
        "furthest_off": worst,
        "furthest_off_by": off,
        "sheet": figures(made.asked, made.found),
        "measured": [] if measured is None else figures(made.asked, measured),
        "both": both(asked.machine),
        "linkage": record_of(made.found.loader),
        "notes": list(notes(made)),
        "units": {"length": "m", "mass": "kg", "time": "s", "residual": "share"},
    }


def notes(made: Guess) -> Iterator[str]:
    """What to know of a computed linkage, in sentences.

    Args:
        made: the guess.

    Returns:
        Sentences.

    >>> small = Machine(**{"class": "utility"}, loader={"pin_height_max": "3.2 m"})
    >>> [one.split(":")[0] for one in notes(guess(small))]
    ['Computed from the sheet, not measured', 'Typical of the class']
    """
    yield (
        "Computed from the sheet, not measured: other pins could print the same sheet. It serves to draw and to see "
        "what a hose must reach; the sheet's own ratings decide what is lifted."
    )
    if made.taken:
        yield f"Typical of the class: {', '.join(made.taken)}."
    time = made.found.residual.raise_time
    if time < -OFF:
        yield "The sheet's raise time is longer than the oil alone needs: valves throttle it, so it counts for little."
