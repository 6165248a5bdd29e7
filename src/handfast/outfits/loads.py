"""The work as a load: how heavy one piece or one bite is, and where it sits in the attachment."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from handfast.machines.work import Work
from handfast.outfits.draws import Draws, Plan
from handfast.physics import load
from handfast.physics.wood import species
from handfast.quantities.arrays import Array
from handfast.quantities.estimate import Estimate

Floor = Array  # points (n, 2) [m]
ROUND = ("logs", "rock", "round_bales")  # pieces that lie against the back plate and the tines
BY_BITE = ("brush", "root_raking")
# Common practice, no source: what a clamped bite or a heap is like when nobody has said.
PACKING = Estimate.triangular(0.10, 0.18, 0.25, origin="typical")
BRUSH_WOOD = Estimate.triangular(600.0, 820.0, 1000.0, origin="typical")
ANY_WOOD = Estimate.triangular(520.0, 850.0, 1100.0, origin="typical")
STONE = Estimate.triangular(2300.0, 2600.0, 2800.0, origin="typical")
BUNDLE_PACKING = Estimate.triangular(0.55, 0.65, 0.75, origin="typical")
FULL = Estimate.known(1.0, origin="typical")
WORK_PATHS = ("diameter", "length", "width", "height", "mass", "density", "volume", "packing", "fill")


@dataclass(frozen=True)
class WorkLoad:
    """One piece or bite in each outfit: mass [kg], seat [m] in the attachment frame."""

    mass: Array
    x: Array
    z: Array
    diameter: Array


def plan_work(plan: Plan, work: Work, prefix: str) -> None:
    """Ask for the quantities of one line of work.

    Args:
        plan: filled in place.
        work: the work.
        prefix: "work0." for the first, and so on.

    Example:
        >>> plan = Plan()
        >>> plan_work(plan, Work(kind="pallets", mass=Estimate.known(500.0)), "work0.")
        >>> sorted(plan.wants)
        ['work0.mass']
    """
    for name in WORK_PATHS:
        plan.want(prefix + name, getattr(work, name))
    if not work.mass.is_unknown:
        return
    if work.kind in ("logs", "bundle"):
        plan.want(prefix + "density", _wood(work.species))
    if work.kind == "bundle":
        plan.want(prefix + "packing", BUNDLE_PACKING)
    if work.kind == "rock":
        plan.want(prefix + "density", STONE)
    if work.kind in BY_BITE:
        plan.want(prefix + "density", BRUSH_WOOD)
        plan.want(prefix + "packing", PACKING)
    if work.kind == "loose" and work.material is not None:
        plan.want(prefix + "density", _loose(str(work.material)))
    if work.kind in (*BY_BITE, "loose"):
        plan.want(prefix + "fill", FULL)


def work_load(
    work: Work, prefix: str, draws: Draws, tools: Mapping[str, Array], floors: Sequence[Floor | None] = ()
) -> WorkLoad:
    """The load in each outfit, from the drawn quantities.

    Args:
        work: the work.
        prefix: as in `plan_work`.
        draws: samples.
        tools: attachment quantities of the outfits, shape (outfits, 1 or samples).
        floors: inner face of the lower jaw of each outfit, None where not drawn.

    Returns:
        `WorkLoad`; mass NaN where the work does not say enough.

    Source: volumes and bites of `physics.load`.

    Example:
        >>> names = ("load_centre.x", "load_centre.z", "bite_area", "width", "heaped_volume")
        >>> tools = {name: np.array([[0.5]]) for name in names}
        >>> draws = Draws({"work0.mass": np.array([225.0])}, {}, (), np.zeros((1, 0)), 1)
        >>> float(work_load(Work(kind="pallets"), "work0.", draws, tools).mass[0, 0])
        225.0
    """
    get = {name: draws[prefix + name] for name in WORK_PATHS}
    stated = get["mass"]
    mass = np.where(np.isfinite(stated), stated, _reckoned(str(work.kind), get, tools))
    x, z = tools["load_centre.x"], tools["load_centre.z"]
    if work.cg is not None and not work.cg.x.is_unknown:
        x, z = np.array([[work.cg.x.value]]), np.array([[work.cg.z.value]])
    elif work.kind in ROUND and np.isfinite(get["diameter"]).all():
        x, z = _seats(str(work.kind), get["diameter"], floors or [None] * len(x), x, z)
    return WorkLoad(np.atleast_2d(mass), np.atleast_2d(x), np.atleast_2d(z), np.atleast_2d(get["diameter"]))


def _seats(kind: str, diameter: Array, floors: Sequence[Floor | None], x: Array, z: Array) -> tuple[Array, Array]:
    """Where a round piece lies in each attachment, on its own tines."""
    found: dict[int, tuple[Array, Array]] = {}
    rows = []
    for k, floor in enumerate(floors):
        if floor is None or id(floor) not in found:
            found[id(floor)] = _seat(kind, diameter, floor, x[k], z[k])
        rows.append(found[id(floor)])
    wide = max(len(one) for one, _ in rows)
    here, up = (np.stack([np.broadcast_to(row[side], (wide,)) for row in rows]) for side in (0, 1))
    return here, up


def _seat(kind: str, diameter: Array, floor: Floor | None, x: Array, z: Array) -> tuple[Array, Array]:
    """A seat as wide as the diameter's samples; one that was found before is not sought again."""
    if floor is not None and diameter.size == 1:
        here, up = _known_seat(kind, float(diameter[0]), tuple(map(tuple, floor.tolist())))
        return np.array([here]), np.array([up])
    at, height, _ = np.broadcast_arrays(*load.seat(kind, diameter, floor, x, z), diameter)
    return at, height


def seat_of(kind: str, diameter: float, floor: Floor | None, centre: float) -> float:
    """How far ahead of its mounting plane a round piece lies [m].

    Args:
        kind: logs, rock or round_bales.
        diameter: of the piece [m].
        floor: inner face of the lower jaw, None where not drawn.
        centre: load centre ahead of the plane, used where no seat is found [m].

    Returns:
        Distance [m].

    Source: `physics.load.seat`.

    Example:
        >>> seat_of("logs", 0.4, None, 0.6)
        0.2
    """
    at, _ = _seat(kind, np.array([diameter]), floor, np.array([centre]), np.array([0.0]))
    return float(at[0]) if np.isfinite(at[0]) else centre


@lru_cache(maxsize=4096)
def _known_seat(kind: str, diameter: float, floor: tuple[tuple[float, float], ...]) -> tuple[float, float]:
    here, up = load.seat(kind, diameter, np.array(floor), np.nan, np.nan)
    return float(here), float(up)


def _reckoned(kind: str, get: Mapping[str, Array], tools: Mapping[str, Array]) -> Array:
    density = get["density"]
    if kind in ("logs", "round_bales"):
        return density * load.cylinder_volume(get["diameter"], get["length"])
    if kind == "rock":
        return density * np.pi / 6.0 * get["diameter"] ** 3
    if kind == "square_bales":
        return density * get["length"] * get["width"] * get["height"]
    if kind == "bundle":
        return density * get["packing"] * load.cylinder_volume(get["diameter"], get["length"])
    if kind in BY_BITE:
        return load.bite_of_brush(tools["bite_area"], tools["width"], get["fill"], get["packing"], density)
    if kind == "loose":
        return tools["heaped_volume"] * get["fill"] * density
    return np.array([np.nan])


def _wood(name: str | None) -> Estimate:
    if name is None:
        return ANY_WOOD
    try:
        found = species(name)
    except KeyError:
        return ANY_WOOD
    if found.low == found.high:
        return Estimate.known(float(found.likely), origin="typical")
    return Estimate.triangular(float(found.low), float(found.likely), float(found.high), origin="typical")


def _loose(material: str) -> Estimate:
    found = load.loose_density(material)
    return Estimate.triangular(float(found.low), float(found.likely), float(found.high), origin="typical")
