"""The figures behind an outfit's drawings: axle loads, load curve, slope limit, geometry."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from handfast.advice.context import POINTS, Context
from handfast.advice.result import Axles, Curve, Geometry
from handfast.advice.wording import CAUTIOUS
from handfast.outfits.assess import Finding
from handfast.outfits.bench import EMPTY, FURTHEST, TRAVEL, Bench
from handfast.outfits.tools import floor_points
from handfast.physics.balance import GRAVITY
from handfast.physics.lift import rating_slope
from handfast.quantities.arrays import Array, middle, quantile, row_of
from handfast.quantities.showing import show


def axle_poses(context: Context, place: int) -> tuple[Axles, ...]:
    """Axle loads of an outfit in its poses, medians.

    Args:
        context: outfits shown.
        place: which of them.

    Returns:
        One `Axles` a pose.

    Example:
        >>> axle_poses.__name__
        'axle_poses'
    """
    shown, hung = context.shown, int(context.shown.hanging[place])
    once, added = shown.hung_once, context.judged.needs_ballast[context.order[place]]
    rate = once.inquiry.travel.braking_factor * GRAVITY
    loaded = "Loaded, ballast on" if added else "Loaded furthest forward"
    poses = [
        _pose(once.axles(FURTHEST), hung, "loaded_furthest", loaded),
        _pose(once.axles(EMPTY), hung, "empty_raised", "Raised and empty"),
        _pose(once.axles(TRAVEL), hung, "travelling", "Travelling loaded"),
        _pose(context.braked, hung, "braking", f"Braking, {rate:.3g} m/s²"),
    ]
    if added:
        bare = context.bare.hung_once.axles(FURTHEST)
        poses.insert(0, _pose(bare, hung, "loaded_furthest_bare", "Loaded, nothing added"))
    return tuple(poses)


def _pose(loads: tuple[Array, Array], hung: int, name: str, title: str) -> Axles:
    ahead, behind = (row_of(side, hung) for side in loads)
    front = middle(ahead)
    rear = middle(ahead + behind) - front  # so that poses of equal mass say equal totals
    return Axles(name, title, front, rear, rear / (front + rear))


def slope_limit(context: Context, finding: Finding, place: int) -> float | None:
    """Half of the first roll, cautious: a figure to refuse by.

    Args:
        context: outfits shown.
        finding: of the slope check.
        place: which outfit.

    Returns:
        Angle [rad] or None.

    Example:
        >>> slope_limit.__name__
        'slope_limit'
    """
    row, hung = context.order[place], int(context.shown.hanging[place])
    if finding.decided[row]:
        return quantile(finding.row("capacity", row), CAUTIOUS)
    refused = row_of(context.refused, hung)
    return None if np.isnan(refused).any() else quantile(refused, CAUTIOUS)


def load_curve(context: Context, place: int, load: float | None) -> Curve:
    """Payload over pin height with its band, and what governs.

    Args:
        context: outfits shown.
        place: which of them.
        load: what is asked for [kg].

    Returns:
        `Curve`.

    Example:
        >>> load_curve.__name__
        'load_curve'
    """
    once, hung = context.shown.hung_once, int(context.shown.hanging[place])
    low, centre, high = (tuple(float(v) for v in context.chart[k, :, hung]) for k in range(3))
    curl = _curls(context, hung, _curl_limit(once, hung))
    turned = curl if curl is not None else (float("nan"),) * POINTS
    rated = middle(row_of(once.tools["rated_load"], hung))
    return Curve(
        height=tuple(float(h) for h in context.heights),
        lift=centre,
        lift_p10=low,
        lift_p90=high,
        curl=curl,
        load=load,
        governs=tuple(_least(one, turns, rated) for one, turns in zip(centre, turned, strict=True)),
    )


def _curls(context: Context, hung: int, sheet: float) -> tuple[float, ...] | None:
    """The curl limit over height: what the sheet gives, or the measured linkage where that is less."""
    links = context.shown.links
    if links is None:
        return None if np.isnan(sheet) else (sheet,) * POINTS
    each = np.interp(context.heights, links.height, links.curl[:, hung])
    return tuple(float(one) for one in np.fmin(sheet, each))


def _curl_limit(once: Bench, hung: int) -> float:
    """Load that the published curl force still turns [kg], where it was given; NaN when not published."""
    mass, ahead = once.credit
    moment = once.draws["loader.curl_at_500"] * 0.5 + mass * ahead - once.moment(once.hung)
    return quantile(row_of(moment / once.seat[0], hung), CAUTIOUS)


def _least(lift: float, curl: float, rated: float) -> str:
    pairs = [("lift", lift), ("curl", curl), ("attachment", rated)]
    return min((p for p in pairs if np.isfinite(p[1])), key=lambda p: p[1], default=("lift", lift))[0]


def machine_medians(bench: Bench) -> dict[str, float]:
    """Medians of the machine that every side view draws.

    Args:
        bench: outfits shown.

    Returns:
        SI figures by name; NaN where nobody has said.

    Example:
        >>> from handfast.outfits.example import bench
        >>> round(machine_medians(bench())["wheelbase"], 3)
        1.397
    """
    d, frame = bench.draws, bench.frame
    values = {
        "wheelbase": frame.wheelbase,
        "pivot_x": frame.pivot.x,
        "pivot_z": frame.pivot.z,
        "boom": frame.pivot.radius,
        "height_down": frame.pivot.height_down,
        "height_max": frame.height_max,
        "piece_length": d["work0.length"],
        "front_radius": d["front_tyre.radius"],
        "rear_radius": d["rear_tyre.radius"],
        "overall_width": d["overall_width"],
        "hitch_behind": d["hitch_behind_axle"],
        "lift_to": d["site.lift_to"],
        "dump_angle": d["loader.dump_angle"],
        "rating_slope": np.zeros(1) if frame.self_levelling else frame.slope,
        "rating_slope_1500": rating_slope(d["loader.lift_at_pin_1500"], d["loader.lift_at_500_1500"]),
    }
    return {name: middle(value) for name, value in values.items()}


def geometry(bench: Bench, row: int, machine: Mapping[str, float] | None = None) -> Geometry:
    """Medians that a side view draws.

    Args:
        bench: outfits shown.
        row: which of them.
        machine: of `machine_medians`, where they are known already.

    Returns:
        `Geometry`.

    Example:
        >>> from handfast.outfits.example import bench
        >>> round(geometry(bench(), 0).values["wheelbase"], 3)
        1.397
    """
    once, hung, attachment = bench.hung_once, int(bench.hanging[row]), bench.outfits[row].attachment
    values = {
        "plane_ahead": row_of(once.plane_x, hung),
        "plane_drop": -row_of(once.plane_z, hung),
        "seat_x": row_of(bench.load.x, row),
        "seat_z": row_of(bench.load.z, row),
        "piece_diameter": row_of(bench.load.diameter, row),
        "tool_width": row_of(bench.tools["width"], row),
        "opening": row_of(bench.tools["opening_tip"], row),
        "tool_mass": row_of(bench.tools["mass"], row),
        "kit_x": row_of(once.kit.x, hung),
    }
    jaw, floor = attachment.jaw, floor_points(attachment)
    lid = () if jaw is None else tuple((p.x.value, p.z.value) for p in jaw.lid)
    hinge = None if jaw is None or jaw.lid_pivot is None else (jaw.lid_pivot.x.value, jaw.lid_pivot.z.value)
    medians = dict(machine_medians(bench) if machine is None else machine)
    medians |= {name: middle(value) for name, value in values.items()}
    if bench.lines:
        medians["piece_length"] = middle(bench.draws[f"work{bench.lines[row]}.length"])
    drawn = () if floor is None else tuple((float(x), float(z)) for x, z in floor)
    return Geometry(medians, bench.outfits[row].mount.interface, drawn, lid, hinge, _words(bench, row))


def _words(bench: Bench, row: int) -> dict[str, str]:
    """What picks the picture's parts."""
    machine = bench.inquiry.machine
    return {
        "rops": "cab" if machine.cab else str(machine.rops or "up"),
        "self_levelling": "yes" if bench.frame.self_levelling else "no",
        "work": str(bench.work_of(row).kind) if bench.inquiry.work else "",
        "lids": str(bench.outfits[row].attachment.lids or 0),
        "behind": str(bench.inquiry.behind.kind or ""),
    }


def linkage_notes(bench: Bench, system: str) -> tuple[str, ...]:
    """Where sheet and measured linkage differ at full height, and which is advised.

    Args:
        bench: one outfit.
        system: units.

    Returns:
        One sentence, or none without a measured linkage.

    Example:
        >>> from handfast.outfits.example import bench
        >>> linkage_notes(bench(), "us")  # no linkage is measured
        ()
    """
    if bench.links is None:
        return ()
    top, slope = bench.frame.height_max, bench.frame.slope
    sheet = (bench.capacity(bench.frame.pin_rating, slope) - bench.dead(slope)) / (1.0 + slope * bench.seat[0])
    figures = (middle(sheet), middle(bench.links.lift_at(top)))
    by_sheet, by_pins = (show(max(one, 0.0), "mass", system) for one in figures)
    return (f"At full height the sheet leaves {by_sheet} and the measured linkage {by_pins}: the lower is advised.",)
