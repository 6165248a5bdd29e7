"""The tractor from its right side, from wheelbase and tyre radii: proportions are typical, not a maker's."""

from __future__ import annotations

import math

from handfast.drawings.inks import Fill, Line
from handfast.drawings.marks import bar, rounded, smooth
from handfast.drawings.side_parts import SideView
from handfast.drawings.svg import Disc, Frame, Item, Point, Stroke, poly, segment


def solid(frame: Frame, points: list[Point], line: Line = Line.NARROW, fill: Fill | None = Fill.SHEET) -> Stroke:
    """A closed outline given in metres."""
    return Stroke(poly(frame.many(points), closed=True), line, fill)


def soft(frame: Frame, points: list[Point], radius: float, line: Line = Line.NARROW) -> Stroke:
    """A closed outline with rounded corners, radius in metres."""
    return Stroke(rounded(frame.many(points), radius * frame.scale), line, Fill.SHEET)


def thread(frame: Frame, points: list[Point], line: Line = Line.NOTE) -> Stroke:
    """An open line given in metres."""
    return Stroke(poly(frame.many(points)), line)


def hood_height(view: SideView) -> float:
    """Height of the hood at the cowl."""
    return max(0.74 * view.wheelbase, 1.75 * view.rear_radius)


def top_of(view: SideView) -> float:
    """Highest point of the tractor itself."""
    hood = hood_height(view)
    return {"up": hood + 0.98, "cab": hood + 1.0}.get(view.rops, hood + 0.32)


def tyre(frame: Frame, x: float, radius: float) -> list[Item]:
    """A lugged tyre standing on the ground with rim, hub, bolts and axes."""
    cx, cy = frame.at(x, radius)
    r = radius * frame.scale
    items: list[Item] = [Disc((cx, cy), r, Line.WIDE, Fill.SHEET), *_lugs(cx, cy, r)]
    items.append(Disc((cx, cy), r * 0.86, Line.NOTE))
    items.append(Disc((cx, cy), r * 0.56, Line.NARROW, Fill.SHEET))
    items.append(Disc((cx, cy), r * 0.5, Line.NOTE))
    items.append(Disc((cx, cy), r * 0.17, Line.NARROW))
    for k in range(6):
        a = math.pi / 3 * k + 0.26
        items.append(Disc((cx + r * 0.3 * math.cos(a), cy + r * 0.3 * math.sin(a)), max(r * 0.035, 0.9), Line.NOTE))
    items.append(segment((cx - r * 1.12, cy), (cx + r * 1.12, cy), Line.AXIS))
    return items


def _lugs(cx: float, cy: float, r: float) -> list[Item]:
    count = 22 if r > 40 else 16
    commands = []
    for k in range(count):
        a = 2 * math.pi * k / count
        b = a + 0.62 * math.pi / count
        skew = 0.9 * math.pi / count
        points = [(0.86, a + skew), (0.985, a), (0.985, b), (0.86, b + skew)]
        commands += list(poly([(cx + r * m * math.cos(t), cy + r * m * math.sin(t)) for m, t in points]))
    return [Stroke(tuple(commands), Line.NOTE)]


def chassis(frame: Frame, view: SideView) -> list[Item]:
    """Transmission, rail, front bracket and step."""
    wb, rr = view.wheelbase, view.rear_radius
    low, high = _rail(view)
    body = [(-0.13 * wb, rr * 0.8), (0.2 * wb, low), (1.06 * wb, low), (1.1 * wb, low + 0.03), (1.12 * wb, high)]
    body += [(0.3 * wb, high), (0.2 * wb, high + 0.1 * wb), (-0.15 * wb, high + 0.1 * wb)]
    step = [(0.22 * wb, low + 0.01), (0.47 * wb, low + 0.01), (0.5 * wb, high + 0.02), (0.22 * wb, high)]
    axle = [(0.93 * wb, low + 0.02), (1.07 * wb, low + 0.02), (1.04 * wb, view.front_radius * 0.9)]
    axle += [(0.96 * wb, view.front_radius * 0.9)]
    items: list[Item] = [soft(frame, body, 0.03 * view.size), solid(frame, axle), soft(frame, step, 0.03)]
    items.append(thread(frame, [(0.24 * wb, high - 0.05), (0.46 * wb, high - 0.05)]))
    return items


def _rail(view: SideView) -> tuple[float, float]:
    low = max(0.24 * view.wheelbase, 0.95 * view.front_radius)
    return low, low + 0.105 * view.wheelbase


def hood(frame: Frame, view: SideView) -> list[Item]:
    """Hood with its nose, grille, lamp and louvres, and the cowl."""
    wb, top = view.wheelbase, hood_height(view)
    _, rail = _rail(view)
    crown = [(0.45 * wb, top - 0.015), (0.62 * wb, top), (0.86 * wb, top - 0.035 * wb), (1.05 * wb, top - 0.085 * wb)]
    nose = smooth([*crown, (1.135 * wb, top - 0.15 * wb), (1.15 * wb, top - 0.25 * wb), (1.13 * wb, rail + 0.02)], 6)
    outline = [(0.45 * wb, rail), *nose, (1.13 * wb, rail)]
    seam = top - 0.17 * wb
    lamp = [(1.035 * wb, top - 0.125 * wb), (1.11 * wb, top - 0.155 * wb), (1.12 * wb, top - 0.2 * wb)]
    lamp += [(1.05 * wb, top - 0.18 * wb)]
    items: list[Item] = [solid(frame, outline)]
    items.append(thread(frame, [(0.5 * wb, seam + 0.02), (1.02 * wb, seam)]))
    items.append(soft(frame, lamp, 0.015 * view.size))
    items += [thread(frame, [(1.07 * wb, z), (1.142 * wb, z)]) for z in _steps(rail + 0.03, top - 0.24 * wb, 6)]
    items += [
        thread(frame, [((0.8 + k * 0.03) * wb, seam - 0.05 * wb), ((0.785 + k * 0.03) * wb, rail + 0.05)])
        for k in range(6)
    ]
    items.append(thread(frame, [(0.56 * wb, rail), (0.545 * wb, top - 0.005)]))
    return items


def _steps(first: float, last: float, count: int) -> list[float]:
    return [first + (last - first) * k / (count - 1) for k in range(count)]


def place(frame: Frame, view: SideView) -> list[Item]:
    """The operator's place: fender, seat, wheel; roll bar or cab."""
    items = [] if view.rops in ("none", "cab") else _roll_bar(frame, view)
    return [
        *items,
        *_wheel_and_seat(frame, view),
        *_fender(frame, view),
        *(_cab(frame, view) if view.rops == "cab" else []),
    ]


def _fender(frame: Frame, view: SideView) -> list[Item]:
    wb, rr = view.wheelbase, view.rear_radius
    _, rail = _rail(view)
    top = max(rr * 2 + 0.06, rail + 0.14 * wb)
    lip = smooth(
        [
            (-0.86 * rr, rr * 1.35),
            (-0.62 * rr, top - 0.12 * rr),
            (-0.1 * rr, top),
            (0.45 * rr, top - 0.04 * rr),
            (0.95 * rr, rr * 1.62),
            (1.22 * rr, rail + 0.02),
        ]
    )
    inner = [(1.06 * rr, rail + 0.02), (0.8 * rr, rr * 1.45), (-0.72 * rr, rr * 1.3)]
    return [solid(frame, [*lip, *inner])]


def _wheel_and_seat(frame: Frame, view: SideView) -> list[Item]:
    wb, top, s = view.wheelbase, hood_height(view), view.grown(0.5)
    seat = max(view.rear_radius * 2 + 0.12, top - 0.16 * wb)
    back, front = -0.05 * wb, -0.05 * wb + 0.46
    cushion = [(back, seat - 0.09), (front, seat - 0.07), (front + 0.02, seat), (back + 0.07, seat - 0.01)]
    rest = [(back + 0.06, seat - 0.05), (back - 0.07, seat + 0.4), (back - 0.01, seat + 0.42), (back + 0.13, seat)]
    column = [(0.47 * wb, top - 0.05), (0.475 * wb - 0.16 * s, top + 0.16)]
    wheel = bar((0.475 * wb - 0.25 * s, top + 0.1), (0.475 * wb - 0.07 * s, top + 0.235), 0.012)
    post = bar((back + 0.14, seat - 0.08), (back + 0.14, seat - 0.24), 0.1, 0.13)
    dash = [(0.455 * wb, top - 0.2), (0.455 * wb - 0.09, top + 0.01), (0.5 * wb, top + 0.03), (0.53 * wb, top - 0.01)]
    return [
        solid(frame, post),
        soft(frame, rest, 0.03),
        soft(frame, cushion, 0.03),
        Stroke(poly(frame.many(column)), Line.WIDE),
        soft(frame, wheel, 0.012, Line.NARROW),
        solid(frame, dash),
    ]


def _roll_bar(frame: Frame, view: SideView) -> list[Item]:
    wb, top = view.wheelbase, hood_height(view)
    x, foot = -0.17 * wb, view.rear_radius * 1.15
    hinge = top + 0.12
    half = 0.028 * view.grown(0.5)
    items: list[Item] = [solid(frame, bar((x, foot), (x - 0.01, hinge), half))]
    if view.rops == "folded":
        items.append(solid(frame, bar((x - 0.01, hinge), (x - 0.62, hinge - 0.1), half)))
    else:
        items.append(solid(frame, bar((x - 0.01, hinge), (x - 0.05, top_of(view)), half)))
        items.append(thread(frame, [(x - 0.05 - half, top_of(view) - 0.09), (x - 0.05 + half, top_of(view) - 0.085)]))
    plate = bar((x - 0.01, hinge - 0.07), (x - 0.012, hinge + 0.07), half * 1.6)
    items.append(solid(frame, plate))
    items.append(Disc(frame.at(x - 0.01, hinge), max(0.016 * frame.scale, 1.6), Line.NARROW))
    return items


def _cab(frame: Frame, view: SideView) -> list[Item]:
    wb, top, roof = view.wheelbase, hood_height(view), top_of(view)
    fender = max(view.rear_radius * 2 + 0.06, top - 0.1)
    glass = [(-0.2 * wb, fender), (-0.23 * wb, roof - 0.12), (0.4 * wb, roof - 0.12), (0.49 * wb, top - 0.02)]
    glass += [(0.42 * wb, top * 0.55), (0.3 * wb, top * 0.55), (0.2 * wb, fender)]
    lid = [(-0.28 * wb, roof - 0.13), (-0.26 * wb, roof), (0.38 * wb, roof), (0.46 * wb, roof - 0.13)]
    pillar = [(0.02 * wb, fender + 0.02), (-0.0 * wb, roof - 0.13)]
    return [
        Stroke(poly(frame.many(glass), closed=True), Line.NARROW),
        thread(frame, pillar, Line.NARROW),
        thread(frame, [(0.03 * wb, fender + 0.02), (0.015 * wb, roof - 0.13)], Line.NARROW),
        soft(frame, lid, 0.05),
    ]
