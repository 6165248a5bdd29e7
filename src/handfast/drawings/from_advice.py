"""An outfit's advice as the drawings that pages and papers show: the one way to a side view, and all of it together."""

from __future__ import annotations

import math
from dataclasses import dataclass

from handfast.advice.carried import working_height
from handfast.advice.result import Advice, BallastPiece, OutfitAdvice
from handfast.drawings.axle_bars import AxleBars
from handfast.drawings.charts_from_advice import axle_bars_of, load_chart_of
from handfast.drawings.inks import PX_PER_MM, Certainty
from handfast.drawings.letters import plain
from handfast.drawings.load_chart import LoadChart
from handfast.drawings.marks import Figure
from handfast.drawings.piece_sizes import with_piece
from handfast.drawings.side_parts import GRAPPLES, Attachment, AxleLoads, Behind, Dimensions, Piece, SideView
from handfast.drawings.side_view import lay_out
from handfast.quantities.showing import show

PIECES = {"logs": "log", "root_raking": "brush"}  # where a work's word is not the drawing's own
ROUND_PIECES = ("log", "bundle", "rock", "round_bales", "stumps")
CARRIERS = ("pinned", "universal_plate", "universal_plate_narrow")
CORE = ("wheelbase", "pivot_x", "pivot_z", "boom", "height_down", "height_max")
LABEL = 200  # letters of a title that is spoken


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

    Example:
        >>> from handfast.advice.example import answer, outfit
        >>> [state.name for state in pictures(answer(), outfit(), "us").bars.states]
        ['Loaded, as offered', 'Raised and empty']
    """
    return Pictures(side_view_of(advice, one, system), load_chart_of(one, system), axle_bars_of(one, system))


def can_draw(one: OutfitAdvice) -> bool:
    """Whether enough is known to draw the outfit and its load chart."""
    v, curve = one.geometry.values, one.curve
    core = [v[name] for name in CORE]
    return bool(curve.height) and all(math.isfinite(x) for x in (*core, *curve.height, *curve.lift))


def scale_of(side: SideView, width: float) -> float:
    """The n of 1 : n at which sheet A comes out on print, width in px."""
    frame = lay_out(side, width, "print", max(250.0, 0.26 * width) + 74).frame
    return 1000 * PX_PER_MM / frame.scale


def _certainty(advice: Advice) -> Certainty:
    fact = next((f for f in advice.facts if f.path == "machine"), None)
    return "sure" if fact is not None and fact.certainty == "sure" else "about"


def side_view_of(advice: Advice, one: OutfitAdvice, system: str, piece: float | None = None) -> SideView:
    """The side view, arms where the work asks for them.

    Args:
        advice: the whole answer.
        one: the outfit.
        system: "us" or "metric".
        piece: diameter of a round piece in place of the work's own [m]; axle loads stand with the work's own alone.

    Returns:
        `SideView`.

    Example:
        >>> from handfast.advice.example import answer, outfit
        >>> view = side_view_of(answer(), outfit(), "us")
        >>> view.load.kind, view.dimensions.pin_height.text
        ('brush', '72 in')
    """
    one = one if piece is None else with_piece(one, piece)
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
        title=plain(f"{advice.machine or 'Tractor'} with {one.title}", 2 * LABEL),
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
    heaviest = max(hung, key=lambda p: p.mass)
    return Behind(_kind_behind(heaviest), behind, Figure(show(mass, "mass", system)), note)


def _kind_behind(piece: BallastPiece) -> str:
    """The drawn kind of a piece of ballast, by what it is called and where it goes."""
    called = f"{piece.part} {piece.title}".casefold()
    if "drum" in called:
        return "drum"
    if piece.at in ("rack", "front_rack") or "suitcase" in called:
        return "suitcase_weights"
    return "ballast_box"


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
