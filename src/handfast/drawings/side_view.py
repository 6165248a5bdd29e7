"""The side view: an outfit to scale from its right side, with loads, dimensions and the positions that matter."""

from __future__ import annotations

import math
from dataclasses import dataclass

from handfast.drawings.attachment_shape import Part, Shape, shape_of
from handfast.drawings.behind_shape import axle_wheels, draw_behind, rear_end
from handfast.drawings.inks import PX_PER_MM, Fill, Hatch, Line, Mode
from handfast.drawings.load_shape import centre_of, draw_piece, lid_on, top_of_piece
from handfast.drawings.loader_shape import (
    arm,
    arm_outline,
    arm_pose,
    brace,
    carrier,
    levelling,
    lift_cylinder,
    tilt_cylinder,
    tower,
)
from handfast.drawings.marks import Pose, bar
from handfast.drawings.side_marks import side_marks, side_words
from handfast.drawings.side_parts import SideView
from handfast.drawings.svg import Disc, Frame, Group, Item, Point, Sheet, Stroke, box, poly, render, segment
from handfast.drawings.tractor_shape import chassis, hood, place, top_of

SMALL = 640.0
SCALES = (10, 12.5, 15, 20, 25, 30, 40, 50, 60, 75, 100)


@dataclass(frozen=True)
class Layout:
    """Where a side view stands on its sheet."""

    frame: Frame
    right: float
    """Right edge of what is drawn to scale, px."""
    height: float
    small: bool


def reach_of(view: SideView) -> tuple[float, float, float]:
    """Rear end, foremost point and top over all the heights the view can be moved to, m."""
    shape = shape_of(view)
    heights = [view.pin_height_down, view.pin_height_max, *([view.pivot[1]] if _passes_level(view) else [])]
    front = max(view.pin_at(h)[0] for h in heights) + view.plane_ahead + shape.reach * 1.02
    if view.lift_to is not None:
        front += 0.34
    lid_room = 0.24 * shape.height if shape.lid else 0.0
    top = view.pin_height_max - view.plane_drop + max(shape.height + lid_room, _load_top(view, shape))
    return rear_end(view), front, max(top, top_of(view))


def _load_top(view: SideView, shape: Shape) -> float:
    return top_of_piece(view.load, shape) if view.load is not None else 0.0


def _passes_level(view: SideView) -> bool:
    return view.pin_height_down <= view.pivot[1] <= view.pin_height_max


def lay_out(view: SideView, width: float, mode: Mode, right_room: float) -> Layout:
    """Scale and place a side view in a width; on print the scale is a standard one."""
    back, front, top = reach_of(view)
    small = width <= SMALL
    left, head = (8.0, 30.0) if small else (24.0, 44.0)
    scale = (width - left - right_room) / (front - back)
    scale = min(scale, 250.0 if small else 300.0)
    if mode == "print":
        scale = 1000 * PX_PER_MM / _standard(1000 * PX_PER_MM / scale)
    foot = 74.0 if small else 88.0
    ground = head + top * scale
    return Layout(Frame(left - back * scale, ground, scale), left + (front - back) * scale, ground + foot, small)


def _standard(ratio: float) -> float:
    return next((s for s in SCALES if s >= ratio - 1e-9), ratio)


def scale_ratio(view: SideView, width: float, right_room: float = 60.0) -> float:
    """The n of the print's scale 1 : n."""
    return 1000 * PX_PER_MM / lay_out(view, width, "print", right_room).frame.scale


def _strokes(frame: Frame, part: Part, pose: Pose) -> list[Item]:
    points = frame.many(pose.many(list(part.outline)))
    if part.role == "pin":
        return [
            Disc(points[0], max(0.028 * frame.scale, 3.0), Line.NARROW, Fill.SHEET),
            Disc(points[0], 1.6, None, Fill.INK),
        ]
    if part.role == "line":
        return [Stroke(poly(points), Line.NOTE)]
    if part.role == "dark":
        return [Stroke(poly(points, closed=True), Line.NARROW, Fill.INK)]
    line = Line.NARROW if part.role == "plate" else Line.WIDE
    return [Stroke(poly(points, closed=True), line, Fill.SHEET)]


def _tool(frame: Frame, view: SideView, shape: Shape, lid: float) -> list[Item]:
    pose = view.plane(view.pin_height, view.curl)
    items: list[Item] = []
    for part in shape.fixed:
        items += _strokes(frame, part, pose)
    if view.load is not None:
        items += draw_piece(frame, view.load, shape, pose)
    for part in shape.lid:
        items += _strokes(frame, _opened(part, shape, lid), pose)
    if shape.cylinder is not None:
        base, rod = shape.cylinder[0], shape.lid_at(shape.cylinder[1], lid)
        items += _lid_cylinder(frame, pose, base, rod, view.grown(0.5))
    return items


def _opened(part: Part, shape: Shape, angle: float) -> Part:
    return Part(tuple(shape.lid_at(p, angle) for p in part.outline), part.role)


def _lid_cylinder(frame: Frame, pose: Pose, base: Point, rod: Point, size: float) -> list[Item]:
    middle = base[0] + (rod[0] - base[0]) * 0.62, base[1] + (rod[1] - base[1]) * 0.62
    outlines = (bar(middle, rod, 0.009 * size), bar(base, middle, 0.021 * size))
    items: list[Item] = [
        Stroke(poly(frame.many(pose.many(outline)), closed=True), Line.NARROW, Fill.SHEET) for outline in outlines
    ]
    return [*items, *(Disc(frame.at(*pose.at(*p)), max(0.012 * frame.scale, 1.6), None, Fill.INK) for p in (base, rod))]


def lid_angle(view: SideView, shape: Shape) -> float:
    """The lid's angle: as asked, else resting on the piece."""
    return view.lid if view.lid is not None else lid_on(view.load, shape)


def _ghost(frame: Frame, view: SideView, shape: Shape, lid: float, height: float) -> list[Item]:
    pose = view.plane(height, 0.0)
    outlines = [arm_outline(view, height)]
    outlines += [pose.many(list(p.outline)) for p in shape.fixed if p.role == "steel"]
    outlines += [pose.many(list(_opened(p, shape, lid).outline)) for p in shape.lid if p.role == "steel"]
    return [Stroke(poly(frame.many(points), closed=True), Line.GHOST) for points in outlines]


def _ghosts(layout: Layout, view: SideView, shape: Shape) -> list[Item]:
    frame, lid, items = layout.frame, lid_angle(view, shape), []
    apart = 0.09 * view.boom
    if view.ghost_down and abs(view.pin_height - view.pin_height_down) > apart:
        items += _ghost(frame, view, shape, lid, view.pin_height_down)
    level = view.ghost_level and not layout.small and _passes_level(view)
    if level and abs(view.pin_height - view.pivot[1]) > apart:
        items += _ghost(frame, view, shape, lid, view.pivot[1])
    low, high = view.pin_height_down, view.pin_height_max
    track = [view.pin_at(low + (high - low) * k / 40) for k in range(41)]
    return [Stroke(poly(frame.many(track)), Line.AXIS), *items]


def ground_strip(frame: Frame, x1: float, x2: float) -> list[Item]:
    """The ground with its short hatch."""
    hatch = box(x1, frame.ground, x2 - x1, 10, None, Hatch.GROUND)
    return [hatch, segment((x1, frame.ground), (x2, frame.ground), Line.GROUND)]


def trailer(frame: Frame, view: SideView, right: float) -> list[Item]:
    """A trailer's side board as a neighbouring thing, broken off at the right."""
    if view.lift_to is None:
        return []
    top, bed = view.lift_to, min(0.5 * view.lift_to, 0.72)
    x = (right - frame.left) / frame.scale - 0.3
    board = [(x, bed - 0.1), (x, top), (x + 0.035, top), (x + 0.035, bed), (x + 0.3, bed)]
    under = [(x, bed - 0.1), (x + 0.3, bed - 0.1)]
    zig = [(x + 0.3, bed + 0.05), (x + 0.3, bed - 0.02), (x + 0.27, bed - 0.04), (x + 0.33, bed - 0.08)]
    zig += [(x + 0.3, bed - 0.1), (x + 0.3, bed - 0.16)]
    wheel = Disc(frame.at(x + 0.2, 0.2), 0.2 * frame.scale, Line.GHOST)
    return [
        wheel,
        *(Stroke(poly(frame.many(p)), Line.GHOST) for p in (board, under)),
        Stroke(poly(frame.many(zig)), Line.NOTE),
    ]


def side_items(view: SideView, layout: Layout) -> list[Item]:
    """Everything of the side view drawn to scale, from back to front, without its dimensions."""
    frame, shape = layout.frame, shape_of(view)
    back = [*_ghosts(layout, view, shape), *trailer(frame, view, layout.right), *draw_behind(frame, view)]
    tractor = [
        *chassis(frame, view),
        *brace(frame, view),
        *hood(frame, view),
        *place(frame, view),
        *axle_wheels(frame, view),
    ]
    loader = [*tower(frame, view), *levelling(frame, view), *lift_cylinder(frame, view), *arm(frame, view)]
    tool = _tool(frame, view, shape, lid_angle(view, shape))
    front = [*tilt_cylinder(frame, view), *carrier(frame, view), *tool]
    return [*back, Group(tuple(tractor), "tractor"), Group((*loader, *front), "outfit")]


def load_point(view: SideView) -> Point | None:
    """World place of the load's centre."""
    if view.load is None:
        return None
    return view.plane(view.pin_height, view.curl).at(*centre_of(view.load, shape_of(view)))


def tool_top(view: SideView) -> float:
    """Height above which nothing of the tool or its load is drawn, m."""
    shape, pose = shape_of(view), view.plane(view.pin_height, view.curl)
    lid = lid_angle(view, shape)
    points = [p for part in shape.fixed for p in part.outline]
    points += [shape.lid_at(p, lid) for part in shape.lid for p in part.outline]
    if view.load is not None:
        x, _ = centre_of(view.load, shape)
        points.append((x, top_of_piece(view.load, shape)))
    return max(pose.at(*p)[1] for p in points)


def arm_point(view: SideView) -> Point:
    """World place on the arm that its label points at."""
    return arm_pose(view, view.pin_height).at(0.7 * view.boom, 0.11 * view.boom)


def side_view(view: SideView, mode: Mode = "screen", width: float = 760.0) -> str:
    """The side view by itself.

    Args:
        view: the outfit, SI.
        mode: screen, print, paper or blueprint.
        width: px of the drawing; up to 640 it is drawn for a small screen, with fewer marks.

    Returns:
        SVG text.
    """
    layout = lay_out(view, width, mode, 58.0)
    frame, right = layout.frame, layout.right
    items = [*ground_strip(frame, 0, width), *side_items(view, layout)]
    items += side_marks(view, frame, right + 26, width, layout.small, load_point(view), arm_point(view), tool_top(view))
    return render(Sheet(width, math.ceil(layout.height), view.title, side_words(view), tuple(items), "side"), mode)
