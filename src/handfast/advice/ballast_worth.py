"""What each piece of ballast on the shelf buys: money per kilogram that helps the rear axle, or leaves the front."""

from __future__ import annotations

import numpy as np

from handfast.advice.context import Context
from handfast.advice.result import BallastWorth
from handfast.machines.part import Part
from handfast.outfits.facts import machine_class
from handfast.outfits.mounting import fits_class
from handfast.physics.ballast import front_relief, useful_mass
from handfast.quantities.arrays import middle

AT_AXLE = ("rear_wheels", "tyres")
WHY = (
    "Weight at the wheels or in the tyres stands over the rear axle: it adds to the rear axle's share but takes "
    "nothing off the front axle. Weight behind the axle does both, because the rear axle is its fulcrum."
)


def ballast_worth(context: Context, rule: float) -> tuple[BallastWorth, ...]:
    """Every piece of ballast that the shelf holds for this machine, the best buy for the rear rule first.

    Args:
        context: outfits shown.
        rule: share asked on the rear axle.

    Returns:
        One row a piece; a pair of wheel weights is one piece.

    Source: `physics.ballast.useful_mass` and `front_relief`.

    Example:
        >>> ballast_worth.__name__
        'ballast_worth'
    """
    frame, group = context.shown.frame, machine_class(context.inquiry.machine)
    full = context.inquiry.machine.tyre_fill is not None
    parts = [part for part in context.shelf.parts.values() if part.kind == "ballast" and fits_class(part, group)]
    known = [
        part for part in parts if not (part.mass.is_unknown or part.price.is_unknown or (full and _in_tyres(part)))
    ]
    rows = [_worth(part, middle(frame.wheelbase), middle(frame.hitch_x), rule) for part in known]
    return tuple(sorted(rows, key=lambda row: (row.price_per_useful is None, row.price_per_useful or 0.0)))


def _in_tyres(part: Part) -> bool:
    return part.at == "tyres"


def _worth(part: Part, wheelbase: float, hitch: float, rule: float) -> BallastWorth:
    pieces = 2 if part.at == "rear_wheels" and (part.count_max or 1) > 1 else 1
    mass, price = pieces * part.mass.value, pieces * part.price.value
    behind = 0.0 if part.at in AT_AXLE else hitch if part.behind.is_unknown else part.behind.value
    useful, off = float(useful_mass(mass, behind, wheelbase, rule)), float(front_relief(mass, behind, wheelbase))
    return BallastWorth(
        part=part.id,
        title=part.name or part.id,
        at=str(part.at),
        mass=mass,
        behind=behind,
        price=price,
        useful=useful,
        off_front=off,
        price_per_useful=_per(price, useful),
        price_per_off_front=_per(price, off),
    )


def _per(price: float, kilograms: float) -> float | None:
    return price / kilograms if np.isfinite(kilograms) and kilograms > 1e-9 else None
