"""The hoses along the machine at the worst poses: where each runs, where it is clamped, its tag and its length."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from handfast.drawings.inks import Fill, Letter, Line, Mode
from handfast.drawings.svg import (
    Command,
    Disc,
    Frame,
    Item,
    Label,
    Point,
    Sheet,
    Stroke,
    box,
    in_lines,
    poly,
    render,
    segment,
    text_width,
)

SMALL = 640.0
CLAMP_EVERY = 0.6
"""Clamps stand so far apart on a line that lies still [m] (practice)."""

OUTLETS = {"valve": "valve by the loader's foot", "rear": "rear remote", "mid": "mid remote", "pump": "pump behind"}


@dataclass(frozen=True)
class PoseView:
    """A pose to draw [m, rad]: tool pin, turn of the tool, ends of the hoses, what is worst there."""

    pin: Point
    angle: float
    clamp: Point
    port: Point
    words: str


@dataclass(frozen=True)
class HoseRow:
    """One hose as written: tag, from and to, length it needs, length ordered, what to mind."""

    tag: str
    way: str
    needs: str
    order: str
    warnings: tuple[str, ...] = ()


@dataclass(frozen=True)
class HosePlanView:
    """What a hose plan shows; `outlet` valve, rear, mid, pump, or front where no hose lies along the arms.

    Tags of the hoses along the arms and of those to the attachment; to scale only with a measured linkage.
    """

    pivot: Point
    poses: tuple[PoseView, ...]
    rear_radius: float
    front_radius: float
    wheelbase: float
    outlet: str
    arm_tags: str
    tool_tags: str
    coupler_tags: str
    rows: tuple[HoseRow, ...]
    to_scale: bool = True
    plane: Point = (0.08, -0.15)  # foot of the mounting plane from the pin, tool level [m]
    title: str = "Where the hoses run"


def _start(view: HosePlanView) -> Point:
    """Where the hoses along the arms come from [m]."""
    x, z = view.pivot
    axle = view.rear_radius
    places = {
        "valve": (x - 0.06, z - 0.42), "rear": (-0.32, axle + 0.16), "mid": (x - 0.32, z - 0.3), "pump": (-0.5, axle),
    }  # fmt: skip
    return places.get(view.outlet, (x, z))


def _way(view: HosePlanView, pose: PoseView) -> list[Point]:
    """The way of a hose from its outlet over the arm's pivot along the arm to the coupler plate [m]."""
    start, pivot, end = _start(view), view.pivot, pose.clamp
    if view.outlet in ("rear", "pump"):
        low = start[1] + 0.02
        return [start, (pivot[0] - 0.25, low), (pivot[0] - 0.12, pivot[1] - 0.2), (pivot[0], pivot[1] + 0.1), end]
    return [start, (pivot[0] - 0.1, pivot[1] - 0.12), (pivot[0], pivot[1] + 0.1), end]


def _frame(view: HosePlanView, width: float) -> Frame:
    """Scale and place: everything from the hitch to the foremost port."""
    points = [p for pose in view.poses for p in (pose.pin, pose.clamp, pose.port)]
    front = max([*(p[0] for p in points), view.wheelbase + view.front_radius]) + 0.5
    back = -max(view.rear_radius, 0.75 if view.outlet == "pump" else 0.5) - 0.1
    top = max([*(p[1] for p in points), view.pivot[1] + 0.2]) + 0.45
    tagged = max([p.port[0] for p in view.poses], default=front) - back
    room = width - 24 - text_width(f"{view.tool_tags} L", Letter.MARK)
    scale = min((width - 16) / (front - back), room / tagged, 210.0)
    return Frame(8 - back * scale, 16 + top * scale, scale)


def _tractor(view: HosePlanView, frame: Frame) -> list[Item]:
    """Wheels, hood and the loader's post, narrow: a thing beside."""
    items: list[Item] = []
    for x, radius in ((0.0, view.rear_radius), (view.wheelbase, view.front_radius)):
        items.append(Disc(frame.at(x, radius), radius * frame.scale, Line.NARROW, Fill.SHEET))
        items.append(Disc(frame.at(x, radius), 0.35 * radius * frame.scale, Line.NARROW))
    low, wb = 1.15 * view.front_radius, view.wheelbase
    hood = ((0.45 * wb, low), (0.45 * wb, view.pivot[1] - 0.1), (wb + 0.3, view.pivot[1] - 0.22), (wb + 0.32, low))
    items.insert(0, Stroke(poly(frame.many(hood), True), Line.NARROW))
    x, z = view.pivot
    post = ((x - 0.05, z), (x + 0.05, z), (x + 0.02, low), (x - 0.08, low))
    items.append(Stroke(poly(frame.many(post), True), Line.NARROW, Fill.SHEET))
    left, right = frame.at(-view.rear_radius - 0.4, 0.0), frame.at(wb + 1.9, 0.0)
    items.append(segment(left, right, Line.GROUND))
    return items


def _tool(view: HosePlanView, frame: Frame, pose: PoseView, line: Line) -> list[Item]:
    """Mounting plane and floor of the attachment at its turn, as two strokes."""
    c, s = math.cos(pose.angle), math.sin(pose.angle)

    def at(u: float, v: float) -> Point:
        return frame.at(pose.pin[0] + u * c - v * s, pose.pin[1] + u * s + v * c)

    ahead, below = view.plane
    return [Stroke(poly((at(ahead, below + 0.5), at(ahead, below), at(ahead + 0.62, below))), line)]


def _arm(view: HosePlanView, frame: Frame, pose: PoseView, line: Line) -> list[Item]:
    a, b = frame.at(*view.pivot), frame.at(*pose.pin)
    items: list[Item] = [segment(a, b, line)]
    for centre in (a, b):
        items += [Disc(centre, 4.0, Line.NARROW, Fill.SHEET), Disc(centre, 1.6, None, Fill.INK)]
    return items


def _bow(frame: Frame, pose: PoseView, line: Line) -> Stroke:
    """The hose between coupler plate and port, bowed upward by its slack."""
    a, b = frame.at(*pose.clamp), frame.at(*pose.port)
    apart = math.dist(a, b)
    rise = max(0.3 * apart, 26.0)
    path: tuple[Command, ...] = (
        ("M", a),
        ("C", (a[0] + 0.15 * (b[0] - a[0]), a[1] - rise, b[0] - 0.1 * (b[0] - a[0]), b[1] - rise, *b)),
    )
    return Stroke(path, line)


def _clamps(way: Sequence[Point], frame: Frame) -> list[Item]:
    """Short strokes across the line, one every so far from its start."""
    items: list[Item] = []
    left = CLAMP_EVERY / 2
    for (x1, z1), (x2, z2) in pairwise(way):
        length = math.hypot(x2 - x1, z2 - z1)
        while left <= length and length > 0:
            share = left / length
            cx, cy = frame.at(x1 + share * (x2 - x1), z1 + share * (z2 - z1))
            nx, ny = (z2 - z1) / length, (x2 - x1) / length
            items.append(segment((cx - 6 * nx, cy - 6 * ny), (cx + 6 * nx, cy + 6 * ny), Line.WIDE))
            left += CLAMP_EVERY
        left -= length
    return items


def _hoses(view: HosePlanView, frame: Frame, small: bool) -> list[Item]:
    """Arms, tool and hoses in every pose: the first in whole lines, the others as other positions."""
    items: list[Item] = []
    for k, pose in reversed(list(enumerate(view.poses))):
        arm, hose = (Line.NARROW, Line.MARK) if k == 0 else (Line.GHOST, Line.MARK_NARROW)
        items += [*_arm(view, frame, pose, arm), *_tool(view, frame, pose, arm)]
        if view.outlet != "front" and k == 0:
            way = _way(view, pose)
            items += [Stroke(poly(frame.many(way)), hose), *_clamps(way, frame)]
        items.append(_bow(frame, pose, hose))
        items += [Disc(frame.at(*p), 3.4, Line.NARROW, Fill.MARK) for p in (pose.clamp, pose.port)]
        items += _tagged(view, frame, pose, k, small)
    return items


def _tagged(view: HosePlanView, frame: Frame, pose: PoseView, k: int, small: bool) -> list[Item]:
    """Tags beside the hoses of a pose, its letter by the pin."""
    clamp, port = frame.at(*pose.clamp), frame.at(*pose.port)
    letter = "LS"[k] if k < 2 else ""
    items: list[Item] = [Label((port[0] + 10, port[1] + 4), f"{view.tool_tags} {letter}".strip(), Letter.MARK)]
    if k == 0 and not small:  # on a small drawing the table has them
        items.append(Label((clamp[0] - 6, clamp[1] - 14), view.coupler_tags, Letter.FIGURE, "end"))
    return items


def _marks(view: HosePlanView, frame: Frame) -> list[Item]:
    """The outlet with its words, and the tags of the hoses along the arm."""
    if view.outlet == "front" or not view.poses:
        return []
    start = frame.at(*_start(view))
    way = _way(view, view.poses[0])
    (x1, z1), (x2, z2) = way[-2], way[-1]
    middle = frame.at(x1 + 0.45 * (x2 - x1), z1 + 0.45 * (z2 - z1))
    items: list[Item] = [box(start[0] - 7, start[1] - 5, 14, 10, Line.WIDE, Fill.SHEET)]
    words = OUTLETS[view.outlet]
    x = max(start[0] - 10, text_width(words, Letter.NOTE) + 4)
    items.append(Label((x, start[1] - 12), words, Letter.NOTE, "end"))
    side = -1 if z2 > z1 else 1  # on the outer side of the line, whichever way it rises
    anchor = "end" if side < 0 else "start"
    items.append(Label((middle[0] + 10 * side, middle[1] - 8), view.arm_tags, Letter.MARK, anchor))
    return items


def _table(view: HosePlanView, width: float, y: float) -> tuple[list[Item], float]:
    """Each hose in a row: tag, way, what it needs, what is ordered; warnings under it."""
    small = width <= SMALL
    columns = (0.0, 66.0, width - 170, width - 2) if not small else (0.0, 60.0, width - 118, width - 2)
    items: list[Item] = [segment((0, y + 6), (width, y + 6), Line.RULE)]
    heads = ("hose", "from, to", "needs", "order")
    for head, x, anchor in zip(heads, columns, ("start", "start", "end", "end"), strict=True):
        items.append(Label((x, y), head, Letter.NOTE, anchor, halo=False))
    y += 26
    for row in view.rows:
        items.append(Label((0, y), row.tag, Letter.MARK, halo=False))
        for text, x in ((row.needs, columns[2]), (row.order, columns[3])):
            items.append(Label((x, y), text, Letter.FIGURE, "end", halo=False))
        room = columns[2] - text_width(row.needs, Letter.FIGURE) - columns[1] - 10
        lines = [(text, Letter.BODY) for text in in_lines(row.way, room, Letter.BODY)]
        under = [part for text in row.warnings for part in in_lines(text, width - columns[1], Letter.NOTE)]
        for text, letter in (*lines, *((part, Letter.NOTE) for part in under)):
            items.append(Label((columns[1], y), text, letter, halo=False))
            y += 19
        y += 5
    return items, y


def _key(view: HosePlanView, width: float, y: float) -> tuple[list[Item], float]:
    """What the poses and strokes mean."""
    said = [f"{letter}: {pose.words}" for letter, pose in zip("LS", view.poses, strict=False)]
    said.append("Strokes across a line: clamps." if view.outlet != "front" else "")
    said.append("" if view.to_scale else "Not to scale: the linkage is not measured.")
    items: list[Item] = []
    for text in (line for words in said if words for line in in_lines(words, width - 8, Letter.NOTE)):
        items.append(Label((0, y), text, Letter.NOTE, halo=False))
        y += 19
    return items, y


def hose_plan_words(view: HosePlanView) -> str:
    """The plan in words: poses, then each hose with its way, length and what to mind."""
    poses = " ".join(f"{pose.words}." for pose in view.poses)
    rows = " ".join(
        f"{r.tag}: {r.way}, needs {r.needs}, order {r.order}." + "".join(f" {w}" for w in r.warnings) for r in view.rows
    )
    scale = "" if view.to_scale else " Not to scale."
    return f"{poses} {rows}{scale}".strip()


def hose_plan_drawing(view: HosePlanView, mode: Mode = "screen", width: float = 700.0) -> str:
    """The hoses along the machine with the table of their lengths.

    Args:
        view: what is drawn.
        mode: screen, print, paper or blueprint.
        width: px.

    Returns:
        SVG text, its words inside.

    >>> pose = PoseView((2.0, 0.3), 0.0, (1.8, 0.5), (2.3, 0.4), "longest with the arms down")
    >>> view = HosePlanView((0.9, 1.1), (pose,), 0.4, 0.3, 1.5, "rear", "A1, B1", "A2, B2", "AC2, BC2", ())
    >>> "A2, B2" in hose_plan_drawing(view)
    True
    """
    frame = _frame(view, width)
    items: list[Item] = [*_tractor(view, frame), *_hoses(view, frame, width <= SMALL), *_marks(view, frame)]
    key, y = _key(view, width, frame.ground + 30)
    rows, y = _table(view, width, y + 14)
    items += [*key, *rows]
    return render(Sheet(width, y, view.title, hose_plan_words(view), tuple(items), "hoses"), mode)
