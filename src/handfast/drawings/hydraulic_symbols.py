"""Symbols of oil circuits after ISO 1219-1, drawn by ourselves: pump, tank, valves, couplers, cylinders, hoses.

All places are drawing units, y down; a symbol's size is the side `u` of one valve box.
"""

from __future__ import annotations

import math

from handfast.drawings.inks import Fill, Line
from handfast.drawings.svg import Command, Disc, Item, Point, Stroke, box, poly, segment

PORT = 0.25
"""Ports of a valve box stand a quarter of its side off its middle."""


def run(*points: Point, line: Line = Line.WIDE) -> Stroke:
    """A line of oil through points."""
    return Stroke(poly(points), line)


def joint(at: Point) -> Disc:
    """A dot where lines join."""
    return Disc(at, 3.0, None, Fill.INK)


def arrow(tail: Point, tip: Point, size: float) -> list[Item]:
    """A narrow line with a filled head at its tip, as inside a valve box."""
    turn = math.atan2(tip[1] - tail[1], tip[0] - tail[0])
    c, s = math.cos(turn), math.sin(turn)
    back = tip[0] - size * c, tip[1] - size * s
    half = 0.36 * size
    left, right = (back[0] - half * s, back[1] + half * c), (back[0] + half * s, back[1] - half * c)
    return [Stroke(poly((tail, back)), Line.NARROW), Stroke(poly((tip, left, right), True), None, Fill.INK)]


def pump(at: Point, u: float) -> list[Item]:
    """A pump with one way of flow: a circle with a filled triangle to its edge."""
    x, y = at
    r = 0.42 * u
    head = ((x, y - r), (x - 0.36 * r, y - 0.42 * r), (x + 0.36 * r, y - 0.42 * r))
    return [Disc(at, r, Line.NARROW, Fill.SHEET), Stroke(poly(head, True), None, Fill.INK)]


def tank(at: Point, u: float) -> list[Item]:
    """A tank open to the air; the line ends at its floor."""
    x, y = at
    half, deep = 0.36 * u, 0.3 * u
    return [Stroke(poly(((x - half, y - deep), (x - half, y), (x + half, y), (x + half, y - deep))), Line.WIDE)]


def spring(start: Point, length: float, height: float, turn: int = 1) -> Stroke:
    """A zigzag to the right (turn 1) or left (−1) of its start."""
    x, y = start
    places = [(x + turn * length * k / 6, y + (height / 2 if k % 2 else -height / 2) * (0 < k < 6)) for k in range(7)]
    return Stroke(poly(places), Line.NARROW)


def relief_valve(at: Point, u: float) -> list[Item]:
    """A relief valve, inlet below, outlet above its box turned: shut square, arrow beside, pilot line, spring."""
    x, y = at
    side = 0.52 * u
    left, top = x - side / 2, y - side / 2
    shifted = x + 0.2 * side
    items: list[Item] = [box(left, top, side, side, Line.NARROW, Fill.SHEET)]
    items += arrow((shifted, top), (shifted, top + side), 0.24 * side)
    items.append(spring((left + side, y), 0.5 * side, 0.4 * side))
    pilot = ((x, top - 0.3 * side), (left - 0.3 * side, top - 0.3 * side), (left - 0.3 * side, y), (left, y))
    items.append(Stroke(poly(pilot), Line.HIDDEN))
    return items


def _blocked(x: float, y: float, inward: float, u: float) -> list[Item]:
    """A port that is shut: a short stem with a bar across."""
    end = y + inward * 0.22 * u
    return [segment((x, y), (x, end), Line.NARROW), segment((x - 0.1 * u, end), (x + 0.1 * u, end), Line.NARROW)]


def _middle(x: float, y: float, u: float, centre: str) -> list[Item]:
    """The middle box: work ports shut; below open from pump to tank, or shut too."""
    top, low = y - u / 2, y + u / 2
    a, b = x - PORT * u, x + PORT * u
    items = [*_blocked(a, top, 1, u), *_blocked(b, top, 1, u)]
    if centre == "open":
        bend = low - 0.3 * u
        return [*items, Stroke(poly(((a, low), (a, bend), (b, bend), (b, low))), Line.NARROW)]
    return [*items, *_blocked(a, low, -1, u), *_blocked(b, low, -1, u)]


def valve(at: Point, u: float, centre: str = "open") -> list[Item]:
    """A valve of three positions: straight, middle, crossed; pump and tank below, work ports above the middle box."""
    x, y = at
    top, low = y - u / 2, y + u / 2
    items: list[Item] = [box(x + k * u - u / 2, top, u, u, Line.NARROW, Fill.SHEET) for k in (-1, 0, 1)]
    head = 0.2 * u
    a, b = x - u - PORT * u, x - u + PORT * u
    items += [*arrow((a, low), (a, top), head), *arrow((b, top), (b, low), head)]
    items += _middle(x, y, u, centre)
    a, b = x + u - PORT * u, x + u + PORT * u
    return [*items, *arrow((a, low), (b, top), head), *arrow((a, top), (b, low), head)]


def solenoid(edge: Point, u: float, turn: int) -> list[Item]:
    """A coil at the side of a valve with its spring, to the right (1) or left (−1) of the edge."""
    x, y = edge
    wide, high = 0.42 * u, 0.4 * u
    left = x if turn > 0 else x - wide
    foot, top = (left, y), (left + wide, y - high)
    items: list[Item] = [box(left, y - high, wide, high, Line.NARROW, Fill.SHEET), segment(foot, top, Line.NARROW)]
    items.append(spring((x, y + 0.25 * u), turn * wide * turn, 0.24 * u, turn))
    return items


def lever(edge: Point, u: float, turn: int, detent: bool = False) -> list[Item]:
    """A hand lever at the side of a valve, with notches where it may stay in."""
    x, y = edge
    joint_at, end = (x + turn * 0.2 * u, y), (x + turn * 0.5 * u, y - 0.55 * u)
    items: list[Item] = [segment((x, y), joint_at, Line.NARROW), segment(joint_at, end, Line.NARROW)]
    items.append(Disc(end, 0.08 * u, Line.NARROW, Fill.SHEET))
    items.append(spring((x, y + 0.25 * u), 0.42 * u, 0.24 * u, turn))
    if detent:
        notch = [(x + turn * (0.05 + 0.12 * k) * u, y + (0.42 if k % 2 else 0.5) * u) for k in range(5)]
        items.append(Stroke(poly(notch), Line.NARROW))
    return items


INLETS, LID_PORTS, CURL_PORTS = (0.4, 0.6), (0.15, 0.35), (0.65, 0.85)
"""Where a diverter's lines meet its box at rest, as shares of the box's side."""


def diverter(at: Point, u: float) -> list[Item]:
    """A valve of two positions and six ports: at rest (right box) both lines go on to the curl, else to the lid."""
    x, y = at
    top, low = y - u / 2, y + u / 2
    items: list[Item] = [box(x - u, top, u, u, Line.NARROW, Fill.SHEET), box(x, top, u, u, Line.NARROW, Fill.SHEET)]
    for left, open_, shut in ((x, CURL_PORTS, LID_PORTS), (x - u, LID_PORTS, CURL_PORTS)):
        for inlet, outlet in zip(INLETS, open_, strict=True):
            items.append(segment((left + inlet * u, low), (left + outlet * u, top), Line.NARROW))
        for port in shut:
            items += _blocked(left + port * u, top, 1, 0.8 * u)
    return items


def coupler(at: Point, u: float) -> list[Item]:
    """A quick coupling, both halves with a check valve, joined, on a line that runs up."""
    x, y = at
    wide, high, ball = 0.2 * u, 0.16 * u, 0.1 * u
    items: list[Item] = [box(x - wide - 2, y - 2 * high - 8, 2 * wide + 4, 4 * high + 16, None, Fill.SHEET)]
    for way in (-1, 1):
        seat = y + way * (high + ball)
        points = ((x - wide, seat - way * high), (x, seat), (x + wide, seat - way * high))
        items.append(Stroke(poly(points), Line.NARROW))
        items.append(Disc((x, seat - way * (ball + 0.04 * u)), ball, Line.NARROW, Fill.SHEET))
        items.append(segment((x, seat), (x, y + way * (2 * high + 8)), Line.WIDE))
    items.append(segment((x - 1.5 * wide, y), (x + 1.5 * wide, y), Line.NARROW))
    return items


def hose(x: float, top: float, bottom: float, bow: float) -> list[Item]:
    """A flexible line: an arc between two joints on a line that runs up; bow is to the right, negative to the left."""
    path: tuple[Command, ...] = (
        ("M", (x, bottom)),
        ("C", (x + bow, bottom - (bottom - top) * 0.3, x + bow, top + (bottom - top) * 0.3, x, top)),
    )
    return [Stroke(path, Line.WIDE), joint((x, top)), joint((x, bottom))]


def cylinder(at: Point, u: float, length: float, turn: int = 1) -> list[Item]:
    """A double-acting cylinder lying down, its rod to the right (turn 1) or left (−1) of its closed end."""
    x, y = at
    high, barrel = 0.5 * u, 0.62 * length
    disc = 0.12 * high
    piston = 0.5 * barrel

    def part(start: float, wide: float, tall: float, line: Line) -> Stroke:
        left = x + start if turn > 0 else x - start - wide
        return box(left, y - tall / 2, wide, tall, line, Fill.SHEET)

    rod = part(piston + disc, length - piston - disc, 0.16 * high, Line.NARROW)
    return [part(0.0, barrel, high, Line.WIDE), part(piston, disc, high, Line.NARROW), rod]


def pilot_check(at: Point, u: float, other: float, drop: float) -> list[Item]:
    """A check valve on a line that runs up, opened by the pressure of the other line (its x) so far below."""
    x, y = at
    wide, ball = 0.2 * u, 0.12 * u
    items: list[Item] = [box(x - wide - 2, y - 0.22 * u, 2 * wide + 4, 0.46 * u, None, Fill.SHEET)]
    items.append(segment((x, y + 0.24 * u), (x, y + 0.14 * u), Line.WIDE))
    items.append(Stroke(poly(((x - wide, y - 0.06 * u), (x, y + 0.14 * u), (x + wide, y - 0.06 * u))), Line.NARROW))
    items.append(Disc((x, y - 0.06 * u), ball, Line.NARROW, Fill.SHEET))
    items.append(segment((x, y - 0.06 * u - ball), (x, y - 0.22 * u), Line.WIDE))
    beside = x + math.copysign(0.36 * u, other - x)
    pilot = ((other, y + drop), (beside, y + drop), (beside, y), (x + math.copysign(wide * 0.7, other - x), y))
    items.append(Stroke(poly(pilot), Line.HIDDEN))
    return items


def boundary(left: float, top: float, right: float, bottom: float) -> Stroke:
    """The chain line round parts that are one piece."""
    corners = ((left, top), (right, top), (right, bottom), (left, bottom))
    return Stroke(poly(corners, True), Line.AXIS)
