"""Liquid in the tyres and weights on the wheels: what is known of them, and what they weigh where they stand."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from handfast.machines.tractor import Machine, Tyre, TyreFill
from handfast.outfits.draws import Draws, Plan, typical
from handfast.physics import tyres
from handfast.physics.balance import Item
from handfast.quantities.arrays import Array
from handfast.quantities.estimate import Estimate
from handfast.quantities.tables import table

FILLS = (("tyre_fill", "rear_tyre"), ("front_tyre_fill", "front_tyre"))
CHART_SPREAD = 0.10  # of the chart's volume: valve height and make of the tyre (practice)


def plan_fills(plan: Plan, machine: Machine, group: str | None) -> None:
    """Ask for volume and density of the liquid that somebody says is in the tyres, front and rear.

    Args:
        plan: filled in place.
        machine: the tractor as far as it is known.
        group: its class, for tyres of which no size is known.

    Source: volume and density as stated; else the liquid-ballast chart by tyre size and the table of fluids; a class
        figure where the size is not known or not in the chart.

    Example:
        >>> plan = Plan()
        >>> plan_fills(plan, Machine(tyre_fill="filled", rear_tyre={"size": "16.9-30"}), None)
        >>> round(plan.wants["tyre_fill.volume"].value, 4), plan.wants["tyre_fill.density"].likely
        (0.5526, 1078.0)
    """
    for name, tyre in FILLS:
        fill: TyreFill | None = getattr(machine, name)
        if fill is None:
            continue
        plan.want(f"{name}.volume", fill.volume)
        plan.want(f"{name}.volume", chart_volume(getattr(machine, tyre)))
        plan.want(f"{name}.volume", *typical(group, f"{name}.volume"))
        plan.want(f"{name}.density", fill.density)
        plan.want(f"{name}.density", density_of(fill.fluid))


def chart_volume(tyre: Tyre) -> Estimate:
    """Liquid in all the tyres of an axle by the size on their wall.

    Args:
        tyre: the tyres; two where their number is not said.

    Returns:
        Volume [m³], about a tenth either way; unknown where the chart does not hold the size.

    Source: `physics.tyres.fill_volume`.

    Example:
        >>> round(chart_volume(Tyre(size="14.9-24")).value, 4)
        0.3558
    """
    each = tyres.fill_volume(tyre.size) if tyre.size else np.nan
    if np.isnan(each):
        return Estimate.unknown()
    volume = float(each) * (2 if tyre.count is None else tyre.count)
    return Estimate.about(volume, CHART_SPREAD * volume, origin="typical")


def density_of(fluid: str) -> Estimate:
    """Density of a liquid by its name; of all the liquids in use where nobody has named it.

    Args:
        fluid: as people say it, or nothing.

    Returns:
        Density [kg/m³] with the spread of its table row, origin typical.

    Source: `physics.tyres.fluid_density`; without a name the least, the middle and the greatest of the table's rows.

    Example:
        >>> density_of("calcium chloride").likely, density_of("").low
        (1207.0, 905.0)
    """
    try:
        one = tyres.fluid_density(fluid)
    except KeyError:
        rows = table("fluids.csv")
        low, likely, high = ([float(row[f"density_{k}"]) for row in rows] for k in ("low", "likely", "high"))
        return Estimate.triangular(min(low), float(np.median(likely)), max(high), origin="typical")
    if one.low == one.high:
        return Estimate.known(one.likely, origin="typical")
    return Estimate.triangular(one.low, one.likely, one.high, origin="typical")


def fill_mass(draws: Draws, name: str) -> Array:
    """Mass of the liquid in the tyres of an axle [kg], 0 where nobody says that there is any.

    Args:
        draws: samples of the inquiry.
        name: "tyre_fill" or "front_tyre_fill".

    Returns:
        Shape (1 or samples,).

    Source: volume times density.

    Example:
        >>> draws = Draws({"tyre_fill.volume": np.array([0.5]), "tyre_fill.density": np.array([1200.0])}, {}, (),
        ...               np.zeros((1, 0)), 1)
        >>> float(fill_mass(draws, "tyre_fill")[0]), float(fill_mass(draws, "front_tyre_fill")[0])
        (600.0, 0.0)
    """
    mass = tyres.fill_mass(draws[f"{name}.volume"], draws[f"{name}.density"])
    return np.where(np.isfinite(mass), mass, 0.0)


def wheel_items(draws: Draws, weighed_with: Sequence[str], wheelbase: Array) -> tuple[Item, ...]:
    """Liquid in rear and front tyres and wheel weights, each where it stands.

    Args:
        draws: samples of the inquiry.
        weighed_with: what the machine's own mass contains already (its `with`): that adds nothing.
        wheelbase: rear axle to front axle [m].

    Returns:
        Three items, tractor frame: over the axle, at wheel-radius height.

    Source: liquid and wheel weights turn with the wheel, so their centre is the axle's.

    Example:
        >>> draws = Draws({"wheel_weights": np.array([80.0]), "rear_tyre.radius": np.array([0.5])}, {}, (),
        ...               np.zeros((1, 0)), 1)
        >>> [float(one.mass[0]) for one in wheel_items(draws, (), np.array([1.5]))]
        [0.0, 0.0, 80.0]
    """
    weights = np.where(np.isfinite(draws["wheel_weights"]), draws["wheel_weights"], 0.0)
    places = (
        ("tyre_fill", fill_mass(draws, "tyre_fill"), np.zeros(1), "rear_tyre.radius"),
        ("front_tyre_fill", fill_mass(draws, "front_tyre_fill"), wheelbase, "front_tyre.radius"),
        ("wheel_weights", weights, np.zeros(1), "rear_tyre.radius"),
    )
    items = []
    for name, full, x, radius in places:
        mass = np.zeros(1) if name in weighed_with else full
        items.append(Item(mass, x, np.where(mass > 0.0, draws[radius], 0.0)))
    return tuple(items)
