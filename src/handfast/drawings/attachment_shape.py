"""Attachments in their own frame, by kind: jaws with tines and lid, forks, buckets, blades, rakes."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import pairwise

from handfast.drawings.marks import Pose, bar, offset, ribbon, smooth
from handfast.drawings.side_parts import GRAPPLES, Attachment, SideView
from handfast.drawings.svg import Point

TYPICAL: dict[str, tuple[float, float]] = {
    "root_grapple": (0.68, 0.52),
    "rock_grapple": (0.66, 0.46),
    "brush_grapple": (0.72, 0.6),
    "log_grapple": (0.56, 0.62),
    "grapple_bucket": (0.68, 0.5),
    "fork_grapple": (0.86, 0.6),
    "sweep_grapple": (0.82, 0.62),
    "silage_grab": (0.78, 0.66),
    "rake_grapple": (0.7, 0.58),
    "pallet_forks": (1.07, 0.72),
    "bucket": (0.62, 0.5),
    "stump_bucket": (0.95, 0.42),
    "angle_blade": (0.26, 0.52),
    "snow_pusher": (0.62, 0.66),
    "landscape_rake": (0.66, 0.46),
}

FLOORS: dict[str, tuple[Point, ...]] = {
    "root_grapple": ((0.02, 0.12), (0.1, 0.03), (0.34, -0.01), (0.62, 0.0), (0.86, 0.07), (1.0, 0.2)),
    "rock_grapple": ((0.02, 0.16), (0.08, 0.04), (0.3, 0.0), (0.6, 0.0), (0.85, 0.03), (1.0, 0.08)),
    "brush_grapple": ((0.02, 0.1), (0.1, 0.02), (0.36, -0.02), (0.66, 0.0), (0.9, 0.08), (1.0, 0.17)),
    "log_grapple": ((0.02, 0.2), (0.1, 0.04), (0.36, -0.02), (0.66, 0.05), (0.88, 0.2), (1.0, 0.4)),
    "rake_grapple": ((0.02, 0.3), (0.08, 0.1), (0.28, 0.0), (0.6, -0.02), (0.88, 0.03), (1.0, 0.1)),
    "sweep_grapple": ((0.02, 0.22), (0.08, 0.05), (0.3, 0.0), (0.65, 0.0), (0.9, 0.0), (1.0, 0.0)),
    "fork_grapple": ((0.0, 0.03), (0.5, 0.03), (1.0, 0.03)),
}
BUCKET_FLOOR: tuple[Point, ...] = ((0.0, 0.72), (0.02, 0.4), (0.06, 0.12), (0.17, 0.0), (0.5, 0.0), (1.0, 0.0))

LID: tuple[Point, ...] = ((0.04, 0.97), (0.2, 1.05), (0.45, 1.02), (0.7, 0.85), (0.9, 0.55), (0.99, 0.28))
LID_ROUND: tuple[Point, ...] = ((0.04, 0.97), (0.26, 1.12), (0.56, 1.1), (0.84, 0.86), (1.0, 0.52), (0.98, 0.3))


@dataclass(frozen=True)
class Part:
    """A piece of an attachment: closed outline, what sort of line and whether it moves with the lid."""

    outline: tuple[Point, ...]
    role: str = "steel"
    """steel (wide line), plate (narrow line), line (open, narrow), pin (first point only)."""


@dataclass(frozen=True)
class Shape:
    """Everything that a drawing needs to know of an attachment, in its own frame."""

    fixed: tuple[Part, ...]
    lid: tuple[Part, ...]
    floor: tuple[Point, ...]
    lid_face: tuple[Point, ...]
    pivot: Point | None
    reach: float
    height: float
    cylinder: tuple[Point, Point] | None = None

    def lid_pose(self, angle: float) -> Pose:
        """Pose of the lid when opened by an angle."""
        pivot = self.pivot or (0.0, 0.0)
        return Pose(pivot[0], pivot[1], angle)

    def lid_at(self, point: Point, angle: float) -> Point:
        """A lid's point (given closed) when opened by an angle."""
        pivot = self.pivot or (0.0, 0.0)
        return self.lid_pose(angle).at(point[0] - pivot[0], point[1] - pivot[1])


def sizes(attachment: Attachment, grown: float) -> tuple[float, float]:
    """Reach and height of the attachment, recorded or typical for the tractor's size."""
    reach, height = (side * grown for side in TYPICAL.get(attachment.kind, (0.65, 0.5)))
    if attachment.floor:
        reach = max(x for x, _ in attachment.floor)
    if attachment.lid:
        height = max(z for _, z in attachment.lid)
    return attachment.reach or reach, attachment.height or height


def shape_of(view: SideView) -> Shape:
    """The shape of a view's attachment; a recorded face that is no line across the jaw is left aside."""
    attachment = view.attachment
    if not (_usable(attachment.floor) and _usable(attachment.lid)):
        floor = attachment.floor if _usable(attachment.floor) else ()
        attachment = replace(attachment, floor=floor, lid=attachment.lid if _usable(attachment.lid) else ())
    return _shape(attachment, view.grown(0.5))


def _usable(face: tuple[Point, ...]) -> bool:
    ahead = [x for x, _ in face]
    return len(face) > 1 and max(ahead) > 0.1 and max(ahead) - min(ahead) > 0.05


@lru_cache(maxsize=256)
def _shape(attachment: Attachment, grown: float) -> Shape:
    reach, height = sizes(attachment, grown)
    kind = attachment.kind
    if kind == "pallet_forks":
        return _forks(reach, height)
    if kind in ("angle_blade", "snow_pusher"):
        return _blade(reach, height, kind == "snow_pusher")
    if kind == "landscape_rake":
        return _rake(reach, height)
    if kind in ("bucket", "stump_bucket", "grapple_bucket", "silage_grab"):
        return _bucket(attachment, reach, height)
    return _jaw(attachment, reach, height)


def _scaled(points: tuple[Point, ...], reach: float, height: float) -> list[Point]:
    return [(x * reach, z * height) for x, z in points]


def _lid_of(shape: Attachment, reach: float, height: float) -> tuple[list[Point], Point]:
    if shape.lid:
        face = smooth(list(shape.lid), 5)
        return face, shape.lid_pivot or shape.lid[0]
    model = LID_ROUND if shape.kind in ("log_grapple", "rock_grapple", "silage_grab") else LID
    return smooth(_scaled(model, reach, height), 5), shape.lid_pivot or (0.05 * reach, 0.93 * height)


def _lid_parts(face: list[Point], pivot: Point, reach: float, kind: str) -> tuple[Part, ...]:
    thick = 0.1 if kind in ("log_grapple", "rock_grapple", "silage_grab") else 0.085
    root = [pivot, *face]
    outline = ribbon(root, thick * reach, 0.018 * reach)
    brace = offset(root, thick * 0.5 * reach, 0.03 * reach)
    middle = len(brace) // 2
    return (Part(tuple(outline)), Part(tuple(brace[2 : middle + 4]), "line"), Part((pivot,), "pin"))


def _back(reach: float, height: float) -> tuple[Part, ...]:
    depth = 0.075 * reach
    upright = [(0.0, 0.0), (depth, 0.02), (depth, 0.9 * height), (0.02, height * 1.02), (-0.02, 0.96 * height)]
    upright += [(0.0, 0.82 * height)]
    return (Part(tuple(upright)),)


def _jaw(shape: Attachment, reach: float, height: float) -> Shape:
    straight = shape.kind == "fork_grapple" and not shape.floor
    model = FLOORS.get(shape.kind, FLOORS["root_grapple"])
    floor = list(shape.floor) if shape.floor else _scaled(model, reach, height)
    flat = len(floor) < 3 or straight
    curve = floor if flat else smooth(floor, 5)
    thick = 0.05 if straight else 0.09
    tine = ribbon(curve, -thick * reach, -0.012 * reach)
    parts = [Part(tuple(tine)), *_back(reach, height), *_tine_marks(shape.kind, curve, reach)]
    if not shape.has_lid:
        return Shape(tuple(parts), (), tuple(curve), (), None, reach, height)
    face, pivot = _lid_of(shape, reach, height)
    hold = (0.045 * reach, 0.36 * height), face[len(face) // 3]
    return Shape(
        tuple(parts), _lid_parts(face, pivot, reach, shape.kind), tuple(curve), tuple(face), pivot, reach, height, hold
    )


def _tine_marks(kind: str, curve: list[Point], reach: float) -> list[Part]:
    below = offset(curve, -0.045 * reach, -0.02 * reach)
    if kind == "rake_grapple":
        picks = below[3::4]
        return [Part(((x, z), (x + 0.03, z - 0.075 * reach)), "line") for x, z in picks]
    if kind in ("root_grapple", "brush_grapple", "log_grapple", "rock_grapple"):
        middle = tuple(below[len(below) // 8 : -len(below) // 5])
        return [Part(middle, "line")] if len(middle) > 1 else []
    return []


def _bucket(shape: Attachment, reach: float, height: float) -> Shape:
    back = 0.9 if shape.kind == "stump_bucket" else 1.0
    floor = list(shape.floor) if len(shape.floor) > 2 else _scaled(BUCKET_FLOOR, reach, height * back)
    curve = smooth(floor, 4)
    top = max(z for _, z in floor)
    side = [*curve, (0.9 * reach, 0.09 * height), (0.62 * reach, 0.36 * height), (0.1 * reach, top), (0.0, top)]
    shell = ribbon(curve, -0.03 * reach, -0.022 * reach)
    edge = [(0.86 * reach, -0.012 * reach), (1.02 * reach, 0.0), (0.86 * reach, 0.014 * reach)]
    parts = [Part(tuple(side), "plate"), Part(tuple(shell)), Part(tuple(edge), "dark")]
    if shape.kind == "stump_bucket":
        parts += [
            Part(((x * reach, 0.0), ((x + 0.035) * reach, 0.05), ((x + 0.07) * reach, 0.0)), "line")
            for x in (0.45, 0.6, 0.75)
        ]
    if not shape.has_lid:
        return Shape(tuple(parts), (), tuple(curve), (), None, reach, top)
    face, pivot = _lid_of(shape, reach, max(height * 1.12, top))
    horn = bar((0.02, 0.5 * height), pivot, 0.04 * reach, 0.035 * reach)
    hold = (0.1 * reach, 0.5 * height), face[len(face) // 3]
    lid = _lid_parts(face, pivot, reach, shape.kind)
    return Shape((Part(tuple(horn)), *parts), lid, tuple(curve), tuple(face), pivot, reach, height * 1.12, hold)


def _forks(reach: float, height: float) -> Shape:
    floor = ((0.06, 0.02), (reach, 0.02))
    blade: tuple[Point, ...] = (
        (0.0, height * 0.66),
        (0.04, height * 0.66),
        (0.045, 0.035),
        (0.12, 0.02),
        (reach, 0.02),
        (reach, 0.008),
    )
    blade += ((0.5 * reach, -0.022), (0.0, -0.025))
    upper, lower = 0.6 * height, 0.13 * height
    bars = (
        Part(((-0.03, upper - 0.05), (0.012, upper - 0.05), (0.012, upper + 0.05), (-0.03, upper + 0.05))),
        Part(((-0.03, lower - 0.045), (0.0, lower - 0.045), (0.0, lower + 0.045), (-0.03, lower + 0.045))),
    )
    rest = Part(((-0.02, 0.1 * height), (0.005, 0.1 * height), (0.005, height * 1.12), (-0.02, height * 1.12)), "plate")
    return Shape((rest, Part(blade), *bars), (), floor, (), None, reach, height * 1.12)


def _blade(reach: float, height: float, pusher: bool) -> Shape:
    face = smooth([(0.78, 0.0), (0.62, 0.12), (0.55, 0.4), (0.6, 0.75), (0.82, 1.0)], 6)
    depth = reach if not pusher else 0.3
    curve = [(x * depth, z * height) for x, z in face]
    plate = ribbon(curve, 0.028, 0.02)
    push = [(0.0, 0.08 * height), (0.5 * depth, 0.16 * height), (0.5 * depth, 0.42 * height), (0.0, 0.55 * height)]
    parts = [Part(tuple(push), "plate"), Part(tuple(plate))]
    if pusher:
        side = [*curve, (reach * 0.8, 0.9 * height), (reach, 0.5 * height), (reach, 0.03), (reach * 0.93, 0.0)]
        parts = [Part(tuple(push), "plate"), Part(tuple(side), "plate"), Part(tuple(plate))]
    parts.append(Part(((0.76 * depth, 0.0), (0.84 * depth, 0.0), (0.7 * depth, 0.12 * height)), "dark"))
    return Shape(tuple(parts), (), ((depth, 0.0), (reach, 0.0)), (), None, reach, height)


def _rake(reach: float, height: float) -> Shape:
    beam = bar((0.0, 0.55 * height), (0.72 * reach, 0.66 * height), 0.035, 0.03)
    brace = bar((0.0, 0.16 * height), (0.5 * reach, 0.6 * height), 0.02)
    head = [(0.66 * reach, 0.56 * height), (0.8 * reach, 0.56 * height), (0.8 * reach, 0.8 * height)]
    head += [(0.66 * reach, 0.8 * height)]
    curve = smooth(
        [
            (0.72 * reach, 0.58 * height),
            (0.62 * reach, 0.28 * height),
            (0.7 * reach, 0.07 * height),
            (0.94 * reach, 0.0),
        ],
        6,
    )
    tine = ribbon(curve, 0.016, 0.01)
    second = offset(curve, 0.035, 0.03)
    parts = (
        Part(tuple(brace), "plate"),
        Part(tuple(beam)),
        Part(tuple(second), "line"),
        Part(tuple(tine)),
        Part(tuple(head)),
    )
    return Shape(parts, (), ((0.5 * reach, 0.0), (reach, 0.0)), (), None, reach, height)


def floor_height(floor: tuple[Point, ...], x: float, radius: float) -> float:
    """Height of a round piece's centre above a floor when its centre is x ahead: it touches and does not cut."""
    best = -math.inf
    for (x1, z1), (x2, z2) in pairwise(floor):
        for px, pz in ((x1, z1), (x2, z2)):
            if abs(px - x) <= radius:
                best = max(best, pz + math.sqrt(radius**2 - (px - x) ** 2))
        if x1 != x2:
            rise = (z2 - z1) / (x2 - x1)
            slant = math.hypot(1.0, rise)
            if min(x1, x2) <= x + radius * rise / slant <= max(x1, x2):
                best = max(best, z1 + rise * (x - x1) + radius * slant)
    return best if best > -math.inf else radius


def is_grapple(view: SideView) -> bool:
    """Whether the attachment closes on its load."""
    return view.attachment.kind in GRAPPLES or view.attachment.has_lid
