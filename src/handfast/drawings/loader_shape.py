"""Loader arms with knee, lift and tilt cylinders, tower and carrier, posed by the pin height."""

from __future__ import annotations

import math

from handfast.drawings.inks import Fill, Line
from handfast.drawings.marks import Pose, bar, offset, smooth
from handfast.drawings.side_parts import SideView
from handfast.drawings.svg import Disc, Frame, Item, Point, Stroke, poly
from handfast.drawings.tractor_shape import soft, solid

LIFT_ROD = (0.44, 0.085)
TILT_BASE = (0.47, 0.205)
KNEE = ((0.49, 0.15), (0.56, 0.168), (0.63, 0.15))


def arm_pose(view: SideView, height: float) -> Pose:
    """Pose of the arm: origin in the pivot, x toward the loader pin."""
    x, z = view.pin_at(height)
    return Pose(*view.pivot, math.atan2(z - view.pivot[1], x - view.pivot[0]))


def arm_outline(view: SideView, height: float) -> list[Point]:
    """Outline of the loader arm with its knee."""
    pose, r = arm_pose(view, height), view.boom
    spine = [(-0.012, 0.004), (0.06, 0.016), *KNEE, (0.93, 0.025), (1.008, 0.0)]
    upper = offset(spine, 0.026, 0.02)
    lower = offset(spine, -0.026, -0.02)
    gusset = [(0.66, 0.105), (0.6, 0.1), (0.53, 0.088), (0.44, 0.055), (0.4, 0.055)]
    low = [lower[6], lower[5], *gusset, lower[1], lower[0]]
    return pose.many([(u * r, n * r) for u, n in [*upper, *low]])


def _bosses(frame: Frame, points: list[Point], size: float) -> list[Item]:
    items: list[Item] = []
    for x, z in points:
        centre = frame.at(x, z)
        items.append(Disc(centre, max(0.036 * size * frame.scale, 3.4), Line.NARROW, Fill.SHEET))
        items.append(Disc(centre, max(0.017 * size * frame.scale, 1.8), None, Fill.INK))
    return items


def lift_base(view: SideView) -> Point:
    """Typical foot of the lift cylinder on the loader's mount."""
    low = max(0.26 * view.wheelbase, view.front_radius)
    return view.pivot[0] - 0.035 * view.boom, max(view.pivot[1] - 0.46 * view.boom, low)


def cylinder(
    frame: Frame, base: Point, rod: Point, shortest: float, size: float, line: Line = Line.NARROW
) -> list[Item]:
    """A cylinder: barrel as long as its shortest length allows, gland, rod, eyes."""
    length = math.dist(base, rod)
    barrel = min(shortest * 0.88, length * 0.92) / length
    gland = (base[0] + (rod[0] - base[0]) * barrel, base[1] + (rod[1] - base[1]) * barrel)
    neck_share = max(barrel - 0.05 / length, 0.0)
    neck = (base[0] + (rod[0] - base[0]) * neck_share, base[1] + (rod[1] - base[1]) * neck_share)
    half = 0.028 * size
    items: list[Item] = [solid(frame, bar(gland, rod, half * 0.45), line)]
    items.append(solid(frame, bar(base, gland, half), line))
    items.append(solid(frame, bar(neck, gland, half * 1.25), line))
    for eye in (base, rod):
        items.append(Disc(frame.at(*eye), max(0.024 * size * frame.scale, 2.4), Line.NARROW, Fill.SHEET))
        items.append(Disc(frame.at(*eye), max(0.011 * size * frame.scale, 1.4), None, Fill.INK))
    return items


def _heights(view: SideView) -> list[float]:
    low, high = view.pin_height_down, view.pin_height_max
    return [low + (high - low) * k / 6 for k in range(7)]


def brace(frame: Frame, view: SideView) -> list[Item]:
    """The loader's rail from its mount to the bumper, inside the front wheels."""
    foot, s, low = lift_base(view)[0], view.size, max(0.24 * view.wheelbase, 0.95 * view.front_radius)
    rail = bar((foot + 0.12 * s, low + 0.05 * s), (1.13 * view.wheelbase, low + 0.06 * s), 0.026 * s)
    end = 1.16 * view.wheelbase
    bumper = bar((end - 0.025 * s, low - 0.03 * s), (end - 0.005 * s, low + 0.3 * s), 0.018 * s)
    return [solid(frame, rail), soft(frame, bumper, 0.015 * s)]


def tower(frame: Frame, view: SideView) -> list[Item]:
    """The loader's mount: upright and foot plate."""
    (x, z), s, wb = view.pivot, view.size, view.wheelbase
    foot_x, foot_z = lift_base(view)
    low = max(0.24 * wb, 0.95 * view.front_radius)
    upright = [(foot_x - 0.09 * s, low - 0.01), (foot_x + 0.2 * s, low - 0.01), (foot_x + 0.17 * s, low + 0.12 * s)]
    upright += [(x + 0.085 * s, z - 0.12 * s), (x + 0.075 * s, z + 0.02 * s), (x, z + 0.065 * s)]
    upright += [(x - 0.07 * s, z + 0.02 * s), (x - 0.075 * s, z - 0.12 * s), (foot_x - 0.08 * s, foot_z + 0.02)]
    return [soft(frame, upright, 0.03 * s)]


def lift_cylinder(frame: Frame, view: SideView) -> list[Item]:
    """The lift cylinder at the height now."""
    base, r = lift_base(view), view.boom

    def rod(height: float) -> Point:
        return arm_pose(view, height).at(LIFT_ROD[0] * r, LIFT_ROD[1] * r)

    shortest = min(math.dist(base, rod(h)) for h in _heights(view))
    return cylinder(frame, base, rod(view.pin_height), shortest, view.grown(0.7))


def arm(frame: Frame, view: SideView) -> list[Item]:
    """The arm with its bosses."""
    pose, r = arm_pose(view, view.pin_height), view.boom
    items: list[Item] = [solid(frame, arm_outline(view, view.pin_height), Line.WIDE)]
    tube = [pose.at(0.865 * r, 0.052 * r)]
    items.append(Disc(frame.at(*tube[0]), max(0.03 * view.size * frame.scale, 2.6), Line.NARROW, Fill.SHEET))
    ends = [pose.at(0, 0), pose.at(LIFT_ROD[0] * r, LIFT_ROD[1] * r)]
    return [*items, *_bosses(frame, ends, view.grown(0.7))]


def _tilt_base(view: SideView, height: float) -> Point:
    pose, r = arm_pose(view, height), view.boom
    if not view.self_levelling:
        return pose.at(TILT_BASE[0] * r, TILT_BASE[1] * r)
    x, z = pose.at(KNEE[1][0] * r, KNEE[1][1] * r)
    return x + 0.1 * r, z + 0.1 * r


def tilt_top(view: SideView, height: float, curl: float) -> Point:
    """Upper pin of the carrier, where the tilt cylinder holds."""
    return view.tool(height, curl).at(-0.035 * view.size, 0.27 * view.grown(0.6))


def tilt_cylinder(frame: Frame, view: SideView) -> list[Item]:
    """The tilt cylinder from the knee (or levelling triangle) to the carrier."""
    lengths = [math.dist(_tilt_base(view, h), tilt_top(view, h, 0.0)) for h in _heights(view)]
    now = math.dist(_tilt_base(view, view.pin_height), tilt_top(view, view.pin_height, view.curl))
    base, top = _tilt_base(view, view.pin_height), tilt_top(view, view.pin_height, view.curl)
    shortest = min(*lengths, now * 1.02) * 0.92
    return cylinder(frame, base, top, shortest, view.grown(0.6))


def levelling(frame: Frame, view: SideView) -> list[Item]:
    """Parallel rod and triangle of a self-levelling loader."""
    if not view.self_levelling:
        return []
    pose, r = arm_pose(view, view.pin_height), view.boom
    x, z = pose.at(KNEE[1][0] * r, KNEE[1][1] * r)
    up, front = (x - 0.03 * r, z + 0.13 * r), (x + 0.1 * r, z + 0.1 * r)
    anchor = (view.pivot[0] - 0.03 * r, view.pivot[1] + 0.13 * r)
    post = bar(view.pivot, anchor, 0.03 * view.size)
    triangle = smooth(
        [(x, z - 0.03 * r), (front[0] + 0.02, front[1]), (up[0] - 0.02, up[1] + 0.02), (x, z - 0.03 * r)], 1
    )
    return [
        solid(frame, post),
        solid(frame, bar(anchor, up, 0.014 * view.size)),
        solid(frame, triangle),
        *_bosses(frame, [anchor, up, (x, z)], view.grown(0.6)),
    ]


def carrier(frame: Frame, view: SideView) -> list[Item]:
    """The quick attach, or the pinned ears, between arm end and mounting plane."""
    pose, s = view.tool(view.pin_height, view.curl), view.grown(0.6)
    draw = {"pinned": _ears, "hook_and_pin": _hooks}.get(view.quick_attach, _plate)
    pins = [pose.at(0, 0), tilt_top(view, view.pin_height, view.curl)]
    return [*draw(frame, view, pose, s), *_bosses(frame, pins, s)]


def _ears(frame: Frame, view: SideView, pose: Pose, s: float) -> list[Item]:
    ahead = view.plane_ahead + 0.01
    ear = [(-0.045 * s, 0.01), (-0.03 * s, -0.05 * s), (ahead, -0.07 * s), (ahead, 0.34 * s), (-0.05 * s, 0.31 * s)]
    ear += [(-0.075 * s, 0.26 * s)]
    return [soft(frame, pose.many(ear), 0.02 * s, Line.WIDE)]


def _plate(frame: Frame, view: SideView, pose: Pose, s: float) -> list[Item]:
    ahead, low = view.plane_ahead, -view.plane_drop
    tall = low + (0.36 if "narrow" in view.quick_attach else 0.46) * min(s, 1.15)
    ear = [(-0.05 * s, 0.0), (-0.02 * s, -0.05 * s), (ahead - 0.02, low + 0.03), (ahead - 0.02, tall - 0.05)]
    ear += [(-0.03 * s, 0.31 * s), (-0.075 * s, 0.27 * s)]
    plate = [
        (ahead - 0.03, low + 0.01),
        (ahead, low),
        (ahead, tall - 0.02),
        (ahead - 0.012, tall),
        (ahead - 0.03, tall),
    ]
    lever = [pose.at(ahead - 0.035, low + 0.14), pose.at(ahead - 0.075, tall - 0.03)]
    wedge = [
        (ahead - 0.025, low - 0.035),
        (ahead - 0.005, low - 0.035),
        (ahead, low + 0.06),
        (ahead - 0.03, low + 0.06),
    ]
    return [
        soft(frame, pose.many(ear), 0.015 * s),
        solid(frame, pose.many(plate)),
        solid(frame, pose.many(wedge), Line.NARROW, Fill.INK),
        Stroke(poly(frame.many(lever)), Line.WIDE),
        Disc(frame.at(*lever[1]), 2.4, None, Fill.INK),
    ]


def _hooks(frame: Frame, view: SideView, pose: Pose, s: float) -> list[Item]:
    ahead, low = view.plane_ahead, -view.plane_drop
    tall = low + 0.42 * s
    frame_bar = [(-0.05 * s, 0.0), (-0.02 * s, -0.05 * s), (ahead - 0.05, low + 0.02), (ahead - 0.035, tall)]
    frame_bar += [(ahead - 0.07, tall), (-0.03 * s, 0.31 * s), (-0.075 * s, 0.27 * s)]
    hook = [(ahead - 0.08, tall - 0.05), (ahead - 0.075, tall + 0.03), (ahead - 0.035, tall + 0.055)]
    hook += [
        (ahead - 0.005, tall + 0.02),
        (ahead - 0.022, tall),
        (ahead - 0.045, tall + 0.012),
        (ahead - 0.05, tall - 0.05),
    ]
    pin = frame.at(*pose.at(ahead - 0.02, low + 0.05))
    rod = frame.at(*pose.at(ahead - 0.022, tall - 0.012))
    return [
        soft(frame, pose.many(frame_bar), 0.015 * s),
        solid(frame, pose.many(hook), Line.NARROW, Fill.INK),
        Disc(rod, max(0.017 * frame.scale, 2.0), Line.NARROW, Fill.SHEET),
        Disc(pin, max(0.02 * frame.scale, 2.6), Line.NARROW, Fill.SHEET),
        Disc(pin, max(0.01 * frame.scale, 1.3), None, Fill.INK),
    ]
