"""What a loader lifts by its photographed pins, with how well that is known."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from handfast.machines.tractor import Machine
from handfast.physics.linkage import level_path, stroke
from handfast.physics.linkage_pose import LinkagePoints
from handfast.quantities.arrays import Array
from handfast.reckoning.from_photo import Flat, Found, linkage_from
from handfast.reckoning.lift import linkage_gaps, linkage_of

STEPS = 5
AHEAD = (0.0, 0.5)
COVERED = 0.95
GRACE = 0.1  # of the tilt stroke's ends: a centimetre of a pin decides whether the tool is level at the very end


class LiftRow(NamedTuple):
    """At one length of the lift cylinder: pin height [m], lift at the pins and 500 mm ahead [kg], with half-widths."""

    height: float
    height_half: float
    at_pin: float
    at_pin_half: float
    at_500: float
    at_500_half: float


def with_pins(machine: Machine, found: Found) -> Machine:
    """A machine with its pins from a photo.

    Args:
        machine: the record.
        found: from `pins_on`.

    Returns:
        The record with the linkage changed, all else as it was.
    """
    linkage = linkage_from(found, machine.loader.linkage)
    return machine.model_copy(update={"loader": machine.loader.model_copy(update={"linkage": linkage})})


def lift_gaps(machine: Machine, found: Found) -> list[str]:
    """What a machine's record lacks, beside its pins, before its lift follows from them.

    Args:
        machine: the record.
        found: from `pins_on`.

    Returns:
        The entries.
    """
    return [one.place for one in linkage_gaps(with_pins(machine, found))]


def photo_lift(machine: Machine, found: Found) -> list[LiftRow]:
    """Lift with the tool level from arms down to full height; the cylinders' stroke is the record's.

    Args:
        machine: the record, without `lift_gaps`.
        found: from `pins_on`.

    Returns:
        A row for each step; nan where the tool can't be level or nothing is lifted.

    Source:
        `physics.linkage.level_path`, once for every draw of the pins.
    """
    made = linkage_of(with_pins(machine, found))
    tilt = made.tilt._replace(
        retracted=np.asarray(made.tilt.retracted) * (1 - GRACE), extended=np.asarray(made.tilt.extended) * (1 + GRACE)
    )
    lengths = stroke(made.lift, STEPS)

    def run(places: Flat) -> list[Array]:
        points = LinkagePoints(**dict(zip(found.names, np.moveaxis(places, -1, 0)[..., np.newaxis], strict=True)))
        held = (points, made.weights, made.lift, tilt, made.pressure)
        paths = [level_path(*held, np.asarray(ahead + 0j), lengths) for ahead in AHEAD]
        return [paths[0].pin_z, *(path.capacity for path in paths)]

    exact, drawn = run(found.places), run(found.drawn)
    halves = [_spread(one, right) for one, right in zip(drawn, exact, strict=True)]
    return [
        LiftRow(*(float(v) for pair in zip(exact, halves, strict=True) for v in (pair[0][i], pair[1][i])))
        for i in range(STEPS)
    ]


def _spread(drawn: Array, exact: Array) -> Array:
    """What 19 draws in 20 stay within, about the figure itself; nan where a tenth of them or more have no pose."""
    off = np.abs(drawn - exact)
    enough = np.isnan(off).mean(axis=0) < 0.1
    return np.where(enough, np.quantile(np.nan_to_num(off), COVERED, axis=0), np.nan)
