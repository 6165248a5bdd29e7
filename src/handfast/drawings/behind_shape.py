"""What hangs behind: ballast box, drum, weights, blades, cutters, and the links; a blank box when unknown."""

from __future__ import annotations

import math

from handfast.drawings.inks import Fill, Hatch, Line
from handfast.drawings.marks import bar, smooth
from handfast.drawings.side_parts import Behind, SideView
from handfast.drawings.svg import Disc, Frame, Item, Point, Stroke, poly
from handfast.drawings.tractor_shape import solid, thread, tyre

DECKS = frozenset({"rotary_cutter", "finish_mower", "flail_mower"})
GROUND_TOOLS = frozenset({"box_blade", "rake", "plough", "tiller", "roller", "snow_blower"})


def rear_end(view: SideView) -> float:
    """Rearmost point of what is behind, m ahead of the rear axle (negative)."""
    back = -1.15 * view.rear_radius
    if view.behind is None or view.behind.kind == "none":
        return back
    return min(back, -view.behind.behind - _half(view, view.behind))


def _half(view: SideView, behind: Behind) -> float:
    size = view.grown(0.6)
    if behind.kind in DECKS:
        return 0.62 * size
    if behind.kind == "backhoe":
        return 0.7 * size
    return 0.3 * size


def _front(view: SideView, behind: Behind) -> float:
    """How far a thing's front edge lies ahead of its centre of gravity."""
    share = {"drum": 0.24, "suitcase_weights": 0.25, "rear_rack": 0.25, "backhoe": 0.42}.get(behind.kind, 0.27)
    return (0.49 if behind.kind in DECKS else share) * view.grown(0.6)


def draw_behind(frame: Frame, view: SideView) -> list[Item]:
    """Links and the thing that hangs on them."""
    behind = view.behind
    if behind is None or behind.kind in ("none", "rear_wheels", "tyres"):
        return []
    thing = _thing(frame, view, behind)
    return [*_links(frame, view, -behind.behind + _front(view, behind)), *thing]


def _links(frame: Frame, view: SideView, near: float) -> list[Item]:
    r, s = view.rear_radius, view.grown(0.6)
    low = bar((-0.1 * r, 0.82 * r), (near, 0.34 * s + 0.02), 0.022 * s)
    top = bar((-0.2 * r, 1.35 * r + 0.05), (near, 0.72 * s), 0.014 * s)
    lift = bar((-0.75 * r, 1.5 * r), (-0.1 * r + (near + 0.1 * r) * 0.55, 0.62 * r), 0.01 * s)
    return [solid(frame, top), solid(frame, lift), solid(frame, low)]


def _thing(frame: Frame, view: SideView, behind: Behind) -> list[Item]:
    s, x = view.grown(0.6), -behind.behind
    if not behind.known or behind.kind == "unknown":
        rect = [(x - 0.27 * s, 0.28 * s), (x + 0.27 * s, 0.28 * s), (x + 0.27 * s, 0.78 * s), (x - 0.27 * s, 0.78 * s)]
        return [Stroke(poly(frame.many(rect), closed=True), Line.HIDDEN, Fill.SHEET)]
    if behind.kind == "drum":
        return _drum(frame, x, s)
    if behind.kind in ("suitcase_weights", "rear_rack"):
        return _slabs(frame, x, s)
    if behind.kind in DECKS:
        return _deck(frame, x, s)
    if behind.kind in GROUND_TOOLS:
        return _ground_tool(frame, x, s, behind.kind)
    if behind.kind == "backhoe":
        return _backhoe(frame, x, s)
    return _box(frame, x, s)


def _box(frame: Frame, x: float, s: float) -> list[Item]:
    outer = [(x - 0.28 * s, 0.24 * s), (x + 0.28 * s, 0.24 * s), (x + 0.28 * s, 0.8 * s), (x - 0.28 * s, 0.8 * s)]
    inner = [
        (x - 0.235 * s, 0.285 * s),
        (x + 0.235 * s, 0.285 * s),
        (x + 0.235 * s, 0.75 * s),
        (x - 0.235 * s, 0.75 * s),
    ]
    return [
        solid(frame, outer, Line.WIDE),
        Stroke(poly(frame.many(inner), closed=True), Line.NOTE, Hatch.CONCRETE),
        Disc(frame.at(x + 0.26 * s, 0.34 * s), max(0.02 * frame.scale, 2), None, Fill.INK),
        Disc(frame.at(x + 0.26 * s, 0.72 * s), max(0.02 * frame.scale, 2), None, Fill.INK),
    ]


def _drum(frame: Frame, x: float, s: float) -> list[Item]:
    shell = [(x - 0.29 * s, 0.2 * s), (x + 0.25 * s, 0.2 * s), (x + 0.25 * s, 1.04 * s), (x - 0.29 * s, 1.04 * s)]
    fill = [(x - 0.26 * s, 0.23 * s), (x + 0.22 * s, 0.23 * s), (x + 0.22 * s, 0.96 * s), (x - 0.26 * s, 0.96 * s)]
    items: list[Item] = [solid(frame, shell, Line.WIDE)]
    items.append(Stroke(poly(frame.many(fill), closed=True), None, Hatch.CONCRETE))
    hoops = [thread(frame, [(x - 0.31 * s, z * s), (x + 0.27 * s, z * s)], Line.NARROW) for z in (0.48, 0.76)]
    return [*items, *hoops]


def _slabs(frame: Frame, x: float, s: float) -> list[Item]:
    rack = bar((x - 0.22 * s, 0.62 * s), (x + 0.26 * s, 0.62 * s), 0.025 * s)
    slab = [(x - 0.2 * s, 0.34 * s), (x + 0.18 * s, 0.34 * s), (x + 0.2 * s, 0.58 * s), (x + 0.1 * s, 0.7 * s)]
    slab += [(x - 0.12 * s, 0.7 * s), (x - 0.2 * s, 0.6 * s)]
    grip = bar((x - 0.06 * s, 0.64 * s), (x + 0.06 * s, 0.64 * s), 0.022 * s)
    mast = bar((x + 0.25 * s, 0.3 * s), (x + 0.25 * s, 0.76 * s), 0.02 * s)
    return [solid(frame, rack), solid(frame, mast), solid(frame, slab, Line.WIDE), solid(frame, grip)]


def _deck(frame: Frame, x: float, s: float) -> list[Item]:
    deck = [
        (x - 0.6 * s, 0.12),
        (x + 0.5 * s, 0.12),
        (x + 0.5 * s, 0.2 * s + 0.1),
        (x - 0.5 * s, 0.2 * s + 0.1),
        (x - 0.6 * s, 0.22),
    ]
    box = [
        (x - 0.12 * s, 0.2 * s + 0.1),
        (x + 0.14 * s, 0.2 * s + 0.1),
        (x + 0.1 * s, 0.46 * s),
        (x - 0.08 * s, 0.46 * s),
    ]
    frame_bar = bar((x + 0.5 * s, 0.72 * s), (x - 0.35 * s, 0.3 * s), 0.014 * s)
    shaft = bar((x + 0.1 * s, 0.38 * s), (x + 0.75 * s, 0.52 * s), 0.02 * s)
    wheel = (x - 0.68 * s, 0.17 * s)
    return [
        solid(frame, frame_bar),
        solid(frame, shaft),
        solid(frame, box),
        solid(frame, deck, Line.WIDE),
        Disc(frame.at(*wheel), 0.17 * s * frame.scale, Line.WIDE, Fill.SHEET),
        Disc(frame.at(*wheel), 0.05 * s * frame.scale, Line.NOTE),
    ]


def _ground_tool(frame: Frame, x: float, s: float, kind: str) -> list[Item]:
    mast = [(x + 0.26 * s, 0.3 * s), (x + 0.3 * s, 0.3 * s), (x + 0.22 * s, 0.78 * s), (x + 0.16 * s, 0.78 * s)]
    body: list[Point] = [(x - 0.26 * s, 0.06), (x + 0.26 * s, 0.06), (x + 0.3 * s, 0.42 * s), (x - 0.3 * s, 0.42 * s)]
    items: list[Item] = [solid(frame, mast), solid(frame, body, Line.WIDE)]
    if kind in ("tiller", "roller", "snow_blower"):
        items.append(Disc(frame.at(x, 0.24 * s), 0.2 * s * frame.scale, Line.NARROW, Fill.SHEET))
        items.append(Disc(frame.at(x, 0.24 * s), 0.04 * s * frame.scale, Line.NOTE))
    else:
        for k in (-0.14, 0.0, 0.14):
            tooth = smooth([(x + k * s, 0.42 * s), (x + k * s - 0.03, 0.2 * s), (x + k * s + 0.05, 0.0)], 4)
            items.append(Stroke(poly(frame.many(tooth)), Line.WIDE))
    return items


def _backhoe(frame: Frame, x: float, s: float) -> list[Item]:
    knee, elbow = (x - 0.35 * s, 2.0 * s), (x - 0.75 * s, 1.2 * s)
    foot = [(x + 0.1 * s, 0.3 * s), (x + 0.45 * s, 0.3 * s), (x + 0.4 * s, 0.85 * s), (x + 0.05 * s, 0.75 * s)]
    scoop = smooth(
        [
            (elbow[0] - 0.02, elbow[1] + 0.1),
            (elbow[0] - 0.2 * s, elbow[1] - 0.15 * s),
            (elbow[0] + 0.08, elbow[1] - 0.3 * s),
        ],
        5,
    )
    return [
        solid(frame, foot, Line.WIDE),
        solid(frame, bar((x + 0.12 * s, 0.6 * s), knee, 0.06 * s, 0.045 * s), Line.WIDE),
        solid(frame, bar(knee, elbow, 0.045 * s, 0.035 * s), Line.WIDE),
        Stroke(poly(frame.many(scoop), closed=True), Line.WIDE, Fill.SHEET),
        Disc(frame.at(*knee), 0.03 * s * frame.scale, None, Fill.INK),
    ]


def axle_wheels(frame: Frame, view: SideView) -> list[Item]:
    """Rear and front wheels, with wheel weights where they are what is behind."""
    items = [*tyre(frame, 0.0, view.rear_radius), *tyre(frame, view.wheelbase, view.front_radius)]
    if view.behind is not None and view.behind.kind == "rear_wheels":
        cx, cy = frame.at(0.0, view.rear_radius)
        r = view.rear_radius * frame.scale
        items.append(Disc((cx, cy), r * 0.44, Line.WIDE, Hatch.BAND))
        items += [
            Disc((cx + r * 0.3 * math.cos(a), cy + r * 0.3 * math.sin(a)), 2.2, None, Fill.INK) for a in (0.6, 2.7, 4.8)
        ]
    return items
