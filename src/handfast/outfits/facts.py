"""Which quantities an inquiry needs, and what is known of each: sheet or caller first, class table second."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from handfast.machines.inquiry import Inquiry
from handfast.machines.tractor import Machine
from handfast.outfits.draws import Plan, class_of_power, class_shares, follow, typical
from handfast.outfits.fills import plan_fills
from handfast.physics.tyres import load_of_index
from handfast.quantities.estimate import Estimate

# fmt: off
MACHINE_PATHS = (
    "engine_power", "mass", "front_axle_mass", "rear_axle_mass", "bare_mass", "front_axle_assembly_mass",
    "cg_height", "wheelbase", "front_track", "rear_track", "overall_width", "front_pivot_height",
    "front_axle_swing", "front_axle_rating", "rear_axle_rating", "gross_rating", "front_tyre.load_each",
    "front_tyre.radius", "rear_tyre.load_each", "rear_tyre.radius", "hitch_lift", "hitch_lift_610",
    "hitch_behind_axle", "pump_flow", "steering_flow", "implement_flow", "rated_speed", "working_speed",
    "relief_pressure", "port_relief", "wheel_weights", "battery_reserve", "alternator",
    "loader.lift_at_pin", "loader.lift_at_500", "loader.lift_at_pin_1500",
    "loader.lift_at_500_1500", "loader.breakout_at_pin", "loader.breakout_at_500", "loader.curl_at_500",
    "loader.pin_height_max", "loader.pin_height_down", "loader.dump_angle", "loader.ratings_with_mass",
    "loader.ratings_with_ahead", "loader.mass", "loader.arms_mass", "loader.quick_attach_mass",
    "loader.quick_attach_cg.x", "loader.quick_attach_cg.z", "loader.pin_ahead.down", "loader.pin_ahead.level",
    "loader.pin_ahead.up", "loader.raise_time", "loader.plane_ahead", "loader.plane_drop",
)
# fmt: on
CLASS_ONLY = ("front_share", "loader.rating_slope", "loader.pivot_ahead", "loader.pivot_height")
SITE_PATHS = ("slope", "gate", "lift_to", "haul_distance")
BEHIND_PATHS = ("mass", "behind", "height")
CATEGORIES = ("quick_attach", "front_functions", "rear_remotes", "centre", "power_beyond")
OPERATOR = 75.0  # kg, part of the ready state


def machine_class(machine: Machine) -> str | None:
    """The machine's class: named, or by its engine power.

    Args:
        machine: the tractor.

    Returns:
        Class id or None.

    Example:
        >>> machine_class(Machine()) is None
        True
    """
    named = machine.class_
    if named is not None:
        return str(named)
    power = machine.engine_power.value
    return class_of_power(power) if np.isfinite(power) else None


def plan_machine(plan: Plan, machine: Machine) -> None:
    """Ask for every machine quantity that the physics needs.

    Args:
        plan: filled in place.
        machine: the tractor as far as it is known.

    Example:
        >>> plan = Plan()
        >>> plan_machine(plan, Machine())
        >>> plan.wants
        {}
    """
    group = machine_class(machine)
    _plan_ready_mass(plan, machine)
    _plan_tyre_loads(plan, machine)
    plan_fills(plan, machine, group)
    for path in _needed(plan, machine):
        known = follow(machine, path)
        if isinstance(known, Estimate) and not known.is_unknown:
            plan.want(path, known)
        else:
            plan.want(path, *typical(group, path))
    for path in CATEGORIES:
        _plan_category(plan, machine, group, path)


def _needed(plan: Plan, machine: Machine) -> Sequence[str]:
    """Paths to ask for, without class figures that a stated one makes needless (two would contradict)."""
    wanted = [*MACHINE_PATHS, *CLASS_ONLY]
    known = {
        path for path in wanted if isinstance(follow(machine, path), Estimate) and not follow(machine, path).is_unknown
    }
    drop: set[str] = {
        "front_axle_mass",
        "rear_axle_mass",
        "bare_mass",
        "loader.lift_at_500",
        "loader.pin_ahead.down",
    } - known
    drop |= {"loader.pin_ahead.level", "loader.pin_ahead.up"} - known
    if {"front_axle_mass", "rear_axle_mass"} <= known:
        drop |= {"mass"} - known
    if known & {"front_axle_mass", "rear_axle_mass"}:
        drop.add("front_share")
    if {"loader.lift_at_pin", "loader.lift_at_500"} <= known or machine.loader.self_levelling:
        drop.add("loader.rating_slope")
    elif "loader.lift_at_500" in known:
        drop |= {"loader.lift_at_pin"} - known
    if {"loader.pin_ahead.level", "loader.pin_ahead.up"} <= known:
        drop |= {"loader.pivot_ahead", "loader.pivot_height"}
        drop |= {"loader.pin_height_down"} - known
    if machine.quick_attach == "pinned":
        drop |= {"loader.quick_attach_mass", "loader.quick_attach_cg.x", "loader.quick_attach_cg.z"} - known
    drop |= {"wheel_weights"} - known  # added weight counts only when somebody says it is there
    return [path for path in wanted if path not in drop]


def _plan_tyre_loads(plan: Plan, machine: Machine) -> None:
    """What a tyre carries by the load index on its wall, where no load is stated."""
    for name in ("front_tyre", "rear_tyre"):
        tyre = getattr(machine, name)
        load = np.nan if tyre.load_index is None else float(load_of_index(tyre.load_index))
        if tyre.load_each.is_unknown and np.isfinite(load):
            plan.want(f"{name}.load_each", Estimate.known(load, origin="sheet"))


def _plan_ready_mass(plan: Plan, machine: Machine) -> None:
    """Sheets print the bare tractor: ready = bare + loader + quick attach + operator, when not weighed."""
    bare, loader = machine.bare_mass, machine.loader.mass
    if not machine.mass.is_unknown or bare.is_unknown or loader.is_unknown:
        return
    quick = machine.loader.quick_attach_mass
    parts = [one for one in (bare, loader, quick) if not one.is_unknown]
    low, likely, high = (sum(getattr(one, name) for one in parts) + OPERATOR for name in ("low", "likely", "high"))
    ready = Estimate.known(likely, origin="computed") if low == high else Estimate.triangular(low, likely, high)
    plan.want("mass", ready)


def _plan_category(plan: Plan, machine: Machine, group: str | None, path: str) -> None:
    stated = getattr(machine, path)
    if isinstance(stated, bool):
        stated = "yes" if stated else "no"
    if stated is not None:
        plan.choose(path, ((str(stated), 1.0),), "stated")
        return
    if path == "power_beyond" and machine.lines_at_valve is not None:
        plan.choose(path, (("yes" if machine.lines_at_valve >= 7 else "no", 1.0),), "computed")
        return
    shares = class_shares(group, path)
    if shares:
        plan.choose(path, shares, "typical")


def plan_site(plan: Plan, inquiry: Inquiry) -> None:
    """Ask for the site's and the hitch's quantities; nothing typical stands in for them.

    Args:
        plan: filled in place.
        inquiry: the inquiry.

    Example:
        >>> from handfast.outfits.example import inquiry
        >>> plan = Plan()
        >>> plan_site(plan, inquiry())
        >>> sorted(plan.wants)
        []
    """
    for name in SITE_PATHS:
        plan.want(f"site.{name}", getattr(inquiry.site, name))
    for name in BEHIND_PATHS:
        plan.want(f"behind.{name}", getattr(inquiry.behind, name))
