"""An outfit with another size of round piece in its jaws: what the piece slider of a side view shows."""

from __future__ import annotations

from dataclasses import replace
from math import isfinite

import numpy as np

from handfast.advice.result import OutfitAdvice
from handfast.physics.load import seat

GROWS = {"logs": 2, "round_bales": 2, "rock": 3, "bundle": 2}  # power of the diameter that the mass goes with
LEAST = 0.02  # m


def can_be_resized(one: OutfitAdvice) -> bool:
    """Whether the work's piece is round and its diameter known.

    Args:
        one: the outfit.

    Returns:
        True where a slider for the piece makes sense.

    Example:
        >>> from handfast.advice.example import outfit
        >>> can_be_resized(outfit())  # brush has no diameter
        False
    """
    return one.geometry.words.get("work", "") in GROWS and isfinite(one.geometry.values["piece_diameter"])


def with_piece(one: OutfitAdvice, diameter: float) -> OutfitAdvice:
    """The outfit with a piece of another diameter: its seat and its mass follow, axle loads are left out.

    Args:
        one: the outfit.
        diameter: of the piece [m].

    Returns:
        A copy to draw; the outfit itself where its piece is not round or of no known diameter.

    Source: `physics.load.seat`; the same length and density, so mass goes with the square of a log's diameter and the
        cube of a stone's.

    Example:
        >>> from handfast.advice.example import outfit
        >>> g = outfit().geometry
        >>> words, values = g.words | {"work": "logs"}, g.values | {"piece_diameter": 0.3}
        >>> log = replace(outfit(), geometry=replace(g, words=words, values=values), load=100.0)
        >>> thicker = with_piece(log, 0.6)
        >>> round(thicker.load), round(thicker.geometry.values["seat_x"], 3)
        (400, 0.3)
    """
    if not can_be_resized(one):
        return one
    g, kind, wide = one.geometry, one.geometry.words["work"], max(diameter, LEAST)
    floor = np.array(g.jaw_floor) if len(g.jaw_floor) > 1 else None
    x, z = (float(v) for v in seat(kind, wide, floor, g.values["seat_x"], g.values["seat_z"]))
    values = g.values | {"piece_diameter": wide, "seat_x": x, "seat_z": z}
    growth = (wide / g.values["piece_diameter"]) ** GROWS[kind]
    load = None if one.load is None else one.load * growth
    return replace(one, geometry=replace(g, values=values), load=load, axles=())
