"""Drafting marks: arrowheads, dimension lines, leaders, curves, ribbons, poses."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from handfast.drawings.inks import CERTAINTY_LINE, Certainty, Fill, Letter, Line
from handfast.drawings.svg import Command, Item, Label, Point, Stroke, poly, segment, text_width


@dataclass(frozen=True)
class Figure:
    """A figure as it is written on the drawing, and how sure it is."""

    text: str
    certainty: Certainty = "sure"
    note: str = ""

    def written(self, room: float, letter: Letter = Letter.BODY) -> str:
        """The figure as it stands on the drawing: with its word of certainty where there is room."""
        return self.spoken() if text_width(self.spoken(), letter) <= room else self.text

    def spoken(self) -> str:
        """The figure with its word of certainty."""
        if self.certainty == "unknown":
            return "not known"
        return f"about {self.text}" if self.certainty == "about" else self.text


@dataclass(frozen=True)
class Pose:
    """A rigid body's place: origin and turn (rad, anticlockwise seen from the tractor's right side)."""

    x: float
    z: float
    angle: float = 0.0

    def at(self, u: float, v: float) -> Point:
        """World point of a point (u forward, v up) of the body."""
        c, s = math.cos(self.angle), math.sin(self.angle)
        return self.x + u * c - v * s, self.z + u * s + v * c

    def many(self, points: Sequence[Point]) -> list[Point]:
        """World points of points of the body."""
        return [self.at(u, v) for u, v in points]

    def on(self, u: float, v: float, angle: float = 0.0) -> Pose:
        """Pose of a second body held at a point of this one."""
        x, z = self.at(u, v)
        return Pose(x, z, self.angle + angle)


def arrowhead(tip: Point, direction: float, size: float = 9.0, fill: Fill = Fill.NOTE) -> Stroke:
    """A filled arrowhead pointing along a direction (rad, y down)."""
    c, s = math.cos(direction), math.sin(direction)
    back, half = size, size / 3
    left = tip[0] - back * c - half * s, tip[1] - back * s + half * c
    right = tip[0] - back * c + half * s, tip[1] - back * s - half * c
    return Stroke(poly((tip, left, right), closed=True), None, fill)


def dimension_across(x1: float, x2: float, y: float, figure: Figure, reach: float = 0.0) -> list[Item]:
    """A level dimension line with end arrows and its figure above; reach draws extension lines upward."""
    line = CERTAINTY_LINE[figure.certainty]
    items: list[Item] = [segment((x1, y), (x2, y), line)]
    if reach:
        items += [segment((x, y - reach), (x, y + 5)) for x in (x1, x2)]
    wide = abs(x2 - x1) > 26
    items.append(arrowhead((x1, y), math.pi if wide else 0.0))
    items.append(arrowhead((x2, y), 0.0 if wide else math.pi))
    items.append(Label(((x1 + x2) / 2, y - 5), figure.written(abs(x2 - x1) - 8), Letter.BODY, "middle"))
    return items


def dimension_up(x: float, y1: float, y2: float, figure: Figure) -> list[Item]:
    """An upright dimension line with end arrows and its figure turned along it."""
    line = CERTAINTY_LINE[figure.certainty]
    top, bottom = min(y1, y2), max(y1, y2)
    return [
        segment((x, top), (x, bottom), line),
        arrowhead((x, top), -math.pi / 2),
        arrowhead((x, bottom), math.pi / 2),
        Label((x - 6, (top + bottom) / 2), figure.written(bottom - top - 24), Letter.BODY, "middle", turn=-90),
    ]


def leader(target: Point, elbow: Point, text: str, note: str = "", letter: Letter = Letter.FIGURE) -> list[Item]:
    """A leader with a dot on the thing, a level shoulder and one or two lines of lettering."""
    right = elbow[0] >= target[0]
    shoulder = (elbow[0] + (10 if right else -10), elbow[1])
    anchor, x = ("start", shoulder[0] + 4) if right else ("end", shoulder[0] - 4)
    items: list[Item] = [Stroke(poly((target, elbow, shoulder)), Line.NOTE)]
    items.append(Label((x, elbow[1] + 5), text, letter, anchor))
    if note:
        items.append(Label((x, elbow[1] + 21), note, Letter.NOTE, anchor))
    return items


def smooth(points: Sequence[Point], steps: int = 6) -> list[Point]:
    """Points of a soft curve through given points (centripetal enough for shapes of steel)."""
    if len(points) < 3:
        return list(points)
    padded = [points[0], *points, points[-1]]
    curve: list[Point] = []
    for i in range(1, len(padded) - 2):
        p0, p1, p2, p3 = padded[i - 1 : i + 3]
        curve += [_between(p0, p1, p2, p3, step / steps) for step in range(steps)]
    curve.append(points[-1])
    return curve


def _between(p0: Point, p1: Point, p2: Point, p3: Point, t: float) -> Point:
    def axis(a: float, b: float, c: float, d: float) -> float:
        return 0.5 * (2 * b + (c - a) * t + (2 * a - 5 * b + 4 * c - d) * t**2 + (3 * b - a - 3 * c + d) * t**3)

    return axis(p0[0], p1[0], p2[0], p3[0]), axis(p0[1], p1[1], p2[1], p3[1])


def offset(points: Sequence[Point], first: float, last: float) -> list[Point]:
    """Points moved to their left by a distance running from first to last along the line."""
    count = len(points)
    moved: list[Point] = []
    for i, (x, z) in enumerate(points):
        before, after = points[max(i - 1, 0)], points[min(i + 1, count - 1)]
        dx, dz = after[0] - before[0], after[1] - before[1]
        length = math.hypot(dx, dz) or 1.0
        distance = first + (last - first) * i / (count - 1)
        moved.append((x - dz / length * distance, z + dx / length * distance))
    return moved


def ribbon(points: Sequence[Point], first: float, last: float) -> list[Point]:
    """Outline of a bar of steel whose one face runs through points; positive thickness lies to the left."""
    return [*points, *reversed(offset(points, first, last))]


def bar(a: Point, b: Point, half: float, half_end: float | None = None) -> list[Point]:
    """Outline of a straight bar from a to b."""
    dx, dz = b[0] - a[0], b[1] - a[1]
    length = math.hypot(dx, dz) or 1.0
    nx, nz = -dz / length, dx / length
    end = half if half_end is None else half_end
    return [
        (a[0] + nx * half, a[1] + nz * half),
        (b[0] + nx * end, b[1] + nz * end),
        (b[0] - nx * end, b[1] - nz * end),
        (a[0] - nx * half, a[1] - nz * half),
    ]


def rounded(points: Sequence[Point], radius: float) -> tuple[Command, ...]:
    """Closed path of straight sides with rounded corners (drawing units)."""
    commands: list[Command] = []
    count = len(points)
    for i, corner in enumerate(points):
        before, after = points[i - 1], points[(i + 1) % count]
        near = _toward(corner, before, radius)
        far = _toward(corner, after, radius)
        commands.append(("L" if commands else "M", near))
        commands.append(("Q", (*corner, *far)))
    return (*commands, ("Z", ()))


def _toward(a: Point, b: Point, distance: float) -> Point:
    length = math.hypot(b[0] - a[0], b[1] - a[1]) or 1.0
    share = min(distance / length, 0.5)
    return a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share
