"""One outfit's advice as what the drawings are told: side view, load chart, axle bars."""

from __future__ import annotations

import math
from dataclasses import dataclass

from handfast.advice.result import Advice, BallastPiece, CheckResult, OutfitAdvice
from handfast.advice.say import STEPS, down
from handfast.advice.wording import figure
from handfast.documents.letters import plain
from handfast.drawings.axle_bars import AxleBars, AxleState
from handfast.drawings.inks import PX_PER_MM, Certainty
from handfast.drawings.load_chart import LoadChart, Other
from handfast.drawings.marks import Figure
from handfast.drawings.side_parts import GRAPPLES, Attachment, AxleLoads, Behind, Dimensions, Piece, SideView
from handfast.drawings.side_view import lay_out
from handfast.quantities.showing import show
from handfast.quantities.units import to_si

PIECES = {"logs": "log", "root_raking": "brush"}  # where a work's word is not the drawing's own
ROUND_PIECES = ("log", "bundle", "rock", "round_bales", "stumps")
CARRIERS = ("pinned", "universal_plate", "universal_plate_narrow")
CORE = ("wheelbase", "pivot_x", "pivot_z", "boom", "height_down", "height_max")
RULES = (0.20, 0.25)
STATES = {
    "loaded_furthest_bare": "Loaded, nothing behind",
    "loaded_furthest": "Loaded, as offered",
    "empty_raised": "Raised and empty",
}
LABEL = 34  # letters of a label on a drawing


@dataclass(frozen=True)
class Pictures:
    """What an outfit's drawings are told."""

    side: SideView
    chart: LoadChart
    bars: AxleBars


def pictures(advice: Advice, one: OutfitAdvice, system: str) -> Pictures:
    """The drawings of one outfit.

    Args:
        advice: the whole answer, for how sure the tractor's own figures are.
        one: the outfit.
        system: "us" or "metric".

    Returns:
        `Pictures`; a figure that is not known is left out of its drawing.
    """
    return Pictures(side_of(advice, one, system), chart_of(one, system), bars_of(one, system))


def can_draw(one: OutfitAdvice) -> bool:
    """Whether enough is known to draw the outfit and its load chart."""
    v, curve = one.geometry.values, one.curve
    core = [v[name] for name in CORE]
    return bool(curve.height) and all(math.isfinite(x) for x in (*core, *curve.height, *curve.lift))


def scale_of(side: SideView, width: float) -> float:
    """The n of 1 : n at which sheet A comes out on print, width in px."""
    frame = lay_out(side, width, "print", max(250.0, 0.26 * width) + 74).frame
    return 1000 * PX_PER_MM / frame.scale


def capacity(one: OutfitAdvice, check_id: str) -> CheckResult | None:
    """The check of that id, where its capacity is known."""
    return next((c for c in one.checks if c.id == check_id and c.capacity is not None), None)


def rating(one: OutfitAdvice) -> float | None:
    """What the attachment itself is rated for, kg; None when not known."""
    check = capacity(one, "lift.attachment_rating")
    found = check.capacity.p10 if check is not None and check.capacity is not None else math.inf
    return found if math.isfinite(found) else None


def cautious_load(one: OutfitAdvice, height: float, system: str) -> float | None:
    """What may be said to be carried at a pin height: nine in ten bear it out, every known limit counted, rounded down.

    Args:
        one: the outfit.
        height: of the pins [m].
        system: whose step it is rounded down to.

    Returns:
        Mass [kg]; None when not known.
    """
    curve = one.curve
    if not curve.height:
        return None
    limits = [_at(curve.height, curve.lift_p10, height)]
    if curve.curl is not None:
        limits.append(_at(curve.height, curve.curl, height))
    rated = rating(one)
    limits += [rated] if rated is not None else []
    least = min(limits)
    return down(least, STEPS[system][0]) if math.isfinite(least) else None


def balanced_load(one: OutfitAdvice, system: str) -> float | None:
    """The load with which axles, tyres and what hangs behind were reckoned [kg], rounded down; None when not known.

    Every safety check holds in 97 of 100 draws of that load, so that one in ten of them above still holds.
    """
    check = next((c for c in one.checks if c.id == "lift.attachment_rating"), None)
    if check is not None and check.demand is not None and math.isfinite(check.demand.p90):
        return down(check.demand.p90, STEPS[system][0])
    return None if one.load is None else down(one.load, STEPS[system][0])


def _at(heights: tuple[float, ...], values: tuple[float, ...], height: float) -> float:
    if any(math.isnan(v) for v in values):
        return math.nan
    for k in range(len(heights) - 1):
        low, high = heights[k], heights[k + 1]
        if low <= height <= high and high > low:
            return values[k] + (values[k + 1] - values[k]) * (height - low) / (high - low)
    return values[0] if height < heights[0] else values[-1]


def working_height(one: OutfitAdvice) -> float:
    """Pin height that is drawn: full, or where a condition keeps it lower."""
    asked = [c.value for c in one.conditions if c.kind == "height" and c.value is not None]
    return min([one.geometry.values["height_max"], *asked])


def _certainty(advice: Advice) -> Certainty:
    fact = next((f for f in advice.facts if f.path == "machine"), None)
    return "sure" if fact is not None and fact.certainty == "sure" else "about"


def side_of(advice: Advice, one: OutfitAdvice, system: str) -> SideView:
    """The side view, arms where the work asks for them.

    Args:
        advice: the whole answer.
        one: the outfit.
        system: "us" or "metric".

    Returns:
        `SideView`.
    """
    v, height, known = one.geometry.values, working_height(one), _certainty(advice)
    lift_to = v["lift_to"] if math.isfinite(v["lift_to"]) else None
    rops = one.geometry.words.get("rops", "up")
    return SideView(
        wheelbase=v["wheelbase"],
        front_radius=_or(v["front_radius"], 0.17 * v["wheelbase"]),
        rear_radius=_or(v["rear_radius"], 0.25 * v["wheelbase"]),
        pivot=(v["pivot_x"], v["pivot_z"]),
        boom=v["boom"],
        pin_height=height,
        pin_height_max=v["height_max"],
        pin_height_down=v["height_down"],
        attachment=_attachment(one),
        plane_ahead=_or(v["plane_ahead"], 0.0),
        plane_drop=_or(v["plane_drop"], 0.0),
        quick_attach=one.geometry.interface if one.geometry.interface in CARRIERS else "hook_and_pin",
        rops=rops if rops in ("up", "folded", "none", "cab") else "up",
        self_levelling=one.geometry.words.get("self_levelling") == "yes",
        load=_piece(one, system),
        behind=_behind(one, system),
        axles=_axle_loads(one, system, known),
        dimensions=_dimensions(one, system, known, height),
        lift_to=lift_to,
        arm_label="arms at full height" if height >= v["height_max"] - 0.01 else "arms as high as they may go",
        ghost_label="furthest forward:",
        ghost_note="axle loads, ballast",
        title=plain(f"{advice.machine or 'Tractor'} with {one.title}", 120),
    )


def _or(value: float, drawn: float) -> float:
    """A figure, or where it is not known what is drawn in its place, without a dimension."""
    return value if math.isfinite(value) else drawn


def _attachment(one: OutfitAdvice) -> Attachment:
    shape = one.geometry
    return Attachment(
        kind=one.kind,
        floor=shape.jaw_floor if one.kind in GRAPPLES else (),
        lid=shape.jaw_lid,
        lid_pivot=shape.lid_pivot,
        has_lid=shape.words.get("lids", "0") not in ("", "0"),
        label=plain(one.title, LABEL),
    )


def _piece(one: OutfitAdvice, system: str) -> Piece | None:
    if one.load is None:
        return None
    v = one.geometry.values
    thick, long = ((v[name] if math.isfinite(v[name]) else 0.0) for name in ("piece_diameter", "piece_length"))
    work = one.geometry.words.get("work", "")
    kind = PIECES.get(work, work or "loose")
    size = f"{show(thick, 'length', system)} thick" if thick else ""
    at = (v["seat_x"], v["seat_z"]) if math.isfinite(v["seat_x"]) and math.isfinite(v["seat_z"]) else None
    diameter = thick if kind in ROUND_PIECES else 0.0
    length = 0.0 if kind == "brush" else long
    return Piece(kind, diameter, length, at=at, label=f"load, {show(one.load, 'mass', system)}", note=size)


def _behind(one: OutfitAdvice, system: str) -> Behind | None:
    hung = [p for p in one.ballast.chosen if p.at not in ("rear_wheels", "tyres")]
    if hung:
        mass = sum(p.mass for p in hung)
        return _hung(hung, mass, one, system)
    if one.ballast.already > 0:
        words = Figure(show(one.ballast.already, "mass", system))
        kind = one.geometry.words.get("behind") or "unknown"
        return Behind(kind, one.geometry.values["hitch_behind"] + 0.61, words, "hangs there now", kind != "unknown")
    wheels = [p for p in one.ballast.chosen if p.at in ("rear_wheels", "tyres")]
    if not wheels:
        return None
    mass = sum(p.mass for p in wheels)
    return Behind(wheels[0].at, 0.0, Figure(show(mass, "mass", system)), "in the rear wheels")


def _hung(hung: list[BallastPiece], mass: float, one: OutfitAdvice, system: str) -> Behind:
    behind = sum(p.mass * p.behind for p in hung) / mass
    wheels = sum(p.mass for p in one.ballast.chosen if p.at in ("rear_wheels", "tyres"))
    note = f"and {show(wheels, 'mass', system)} in the wheels" if wheels else "on the hitch"
    return Behind("ballast_box", behind, Figure(show(mass, "mass", system)), note)


def _axle_loads(one: OutfitAdvice, system: str, known: Certainty) -> AxleLoads | None:
    pose = next((a for a in one.axles if a.pose == "loaded_furthest"), None)
    if pose is None or not math.isfinite(pose.front + pose.rear):
        return None
    front, rear = (Figure(show(mass, "mass", system), known) for mass in (pose.front, pose.rear))
    return AxleLoads(front, rear)


def _dimensions(one: OutfitAdvice, system: str, known: Certainty, height: float) -> Dimensions:
    v = one.geometry.values
    rise = max(-v["boom"], min(v["boom"], height - v["pivot_z"]))
    pin = v["pivot_x"] + math.sqrt(v["boom"] ** 2 - rise**2)
    pieces = [p for p in one.ballast.chosen if p.at not in ("rear_wheels", "tyres")]
    mass = sum(p.mass for p in pieces)

    def written(length: float, note: str = "") -> Figure | None:
        text = f"{length / 0.0254:.0f} in" if system == "us" else f"{1000 * length:,.0f} mm"
        return Figure(text, known, note) if math.isfinite(length) else None

    return Dimensions(
        wheelbase=written(v["wheelbase"]),
        behind=written(sum(p.mass * p.behind for p in pieces) / mass) if mass else None,
        pin_ahead=written(pin - v["wheelbase"]),
        load_ahead=written(v["plane_ahead"] + v["seat_x"]) if one.load is not None else None,
        pin_height=written(height, "to the pins"),
        lift_to=written(v["lift_to"]),
    )


def chart_of(one: OutfitAdvice, system: str) -> LoadChart:
    """The load chart: lift with its band, curl, the attachment's own rating, what is asked for.

    Args:
        one: the outfit.
        system: "us" or "metric".

    Returns:
        `LoadChart`.
    """
    curve, height = one.curve, working_height(one)
    us, load = system == "us", cautious_load(one, height, system)
    rated = rating(one)
    near = rated is not None and rated < 1.1 * max(curve.lift)
    others = (Other("", (float(rated or 0.0),) * len(curve.height)),) if near else ()
    banded = any(b - a > 0.01 * b for a, b in zip(curve.lift_p10, curve.lift_p90, strict=True))
    asked = curve.load if curve.load is not None and math.isfinite(curve.load) else None
    need = None if asked is None else Figure(f"asked, {show(asked, 'mass', system)}")
    return LoadChart(
        heights=curve.height,
        lift=curve.lift,
        lift_low=curve.lift_p10 if banded else (),
        lift_high=curve.lift_p90 if banded else (),
        curl=curve.curl or (),
        need=asked,
        need_label=need,
        now=height,
        now_label="" if load is None else f"say {show(load, 'mass', system)}",
        others=others,
        load_unit=to_si(1.0, "lb") if us else 1.0,
        load_word="lb in the jaws, at the load" if us else "kg in the jaws, at the load",
        height_unit=to_si(1.0, "in") if us else 1.0,
        height_word="in" if us else "m",
    )


def bars_of(one: OutfitAdvice, system: str) -> AxleBars:
    """Axle bars: loaded without and with what hangs behind, raised and empty.

    Args:
        one: the outfit.
        system: "us" or "metric".

    Returns:
        `AxleBars`.
    """
    shown = [a for a in one.axles if a.pose in STATES and math.isfinite(a.front + a.rear)]
    states = tuple(
        AxleState(
            STATES[a.pose],
            f"{show(a.front + a.rear, 'mass', system)} in all",
            a.rear,
            a.front,
            f"rear {show(a.rear, 'mass', system)}, {figure(a.rear_share, 'share', system)}",
            f"front {show(a.front, 'mass', system)}",
            RULES if a.pose != "empty_raised" else (),
        )
        for a in shown
    )
    front = capacity(one, "balance.front_axle")
    if front is None or front.capacity is None or not math.isfinite(front.capacity.p10):
        return AxleBars(states)
    words = f"limit: front axle {show(front.capacity.p10, 'mass', system)}"
    return AxleBars(states, front_rating=front.capacity.p10, front_rating_label=words)
