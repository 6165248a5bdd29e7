"""A sheet's figures against what is typical of the machine's class: what contradicts it is said, never refused."""

from __future__ import annotations

import numpy as np

from handfast.machines.tractor import Machine
from handfast.machines.warnings import warnings
from handfast.outfits.draws import follow, typical
from handfast.outfits.facts import machine_class
from handfast.physics.lift import rating_slope
from handfast.quantities.estimate import Estimate
from handfast.quantities.showing import show

BELOW, ABOVE = 0.75, 1.30  # of the class's least and greatest: beyond, a figure is asked about (practice)
FIGURES = (
    ("loader.lift_at_pin", "Lift at the pins", "mass"),
    ("engine_power", "Engine", "power"),
    ("mass", "Mass", "mass"),
    ("wheelbase", "Wheelbase", "length"),
)


def class_notes(machine: Machine, system: str = "us") -> tuple[str, ...]:
    """Published figures that contradict the machine's class, the rating pair first.

    Args:
        machine: resolved record.
        system: units.

    Returns:
        Sentences, none when nothing is odd or the class is not known.

    Source: class_typical.csv; the pair's slope by moments about the arm pivot.

    Example:
        >>> class_notes(Machine())
        ()
    """
    group = machine_class(machine)
    if group is None:
        return ()
    kind = group.replace("_", " ")
    found = list(pair_notes(machine, system))
    for path, title, dimension in FIGURES:
        stated, band = follow(machine, path), typical(group, path)[0]
        if not isinstance(stated, Estimate) or stated.is_unknown or band.is_unknown:
            continue
        if not BELOW * band.low <= stated.value <= ABOVE * band.high:
            said, low, high = (show(one, dimension, system) for one in (stated.value, band.low, band.high))
            found.append(f"{title} {said}: a {kind} tractor usually has {low} to {high}. Is it the right machine?")
    return tuple(found)


def machine_notes(machine: Machine, system: str = "us") -> tuple[str, ...]:
    """Everything odd about a machine's record: by itself, and against its class.

    Args:
        machine: resolved record.
        system: units.

    Returns:
        Sentences.

    Example:
        >>> machine_notes(Machine())
        ()
    """
    return (*warnings(machine), *class_notes(machine, system))


def pair_notes(machine: Machine, system: str = "us") -> tuple[str, ...]:
    """The two ratings of a sheet: how fast they fall off says how far behind the pins the arms are hinged.

    Args:
        machine: resolved record.
        system: units.

    Returns:
        A sentence where the pair contradicts the class, else nothing.

    Source: class_typical.csv; the pair's slope by moments about the arm pivot.

    Example:
        >>> pair_notes(Machine())
        ()
    """
    group = machine_class(machine)
    if group is None:
        return ()
    kind, loader, band = group.replace("_", " "), machine.loader, typical(group, "loader.rating_slope")[0]
    pair = (loader.lift_at_pin, loader.lift_at_500)
    if loader.self_levelling or band.is_unknown or any(one.is_unknown for one in pair):
        return ()
    slope = float(rating_slope(pair[0].value, pair[1].value))
    if not np.isfinite(slope) or BELOW * band.low <= slope <= ABOVE * band.high:
        return ()
    at_pin, ahead = (show(one.value, "mass", system) for one in pair)
    steep = "falls off faster" if slope > band.high else "falls off slower"
    hinge = "nearer to" if slope > band.high else "further from"
    return (
        f"Rated {at_pin} at the pins and {ahead} 500 mm out: that {steep} than a {kind} tractor's loader does, as if "
        f"its arms were hinged {hinge} the pins. Are both figures for full height?",
    )
