"""What is carried, seated in the jaw: log ends with rings, bundles, bales, pallets, brush, rock, loose heaps."""

from __future__ import annotations

import math

from handfast.drawings.attachment_shape import Shape, floor_height
from handfast.drawings.inks import Fill, Hatch, Line
from handfast.drawings.marks import Pose, smooth
from handfast.drawings.side_parts import Piece
from handfast.drawings.svg import Disc, Frame, Item, Point, Stroke, poly, segment

ROUND = frozenset({"log", "bundle", "round_bale", "stump", "rock", "brush"})

KINDS = {
    "logs": "log",
    "round_bales": "round_bale",
    "square_bales": "square_bale",
    "pallets": "pallet",
    "stumps": "stump",
}


def piece_kind(piece: Piece) -> str:
    """The drawn kind of a piece; the work's own words are read too."""
    return KINDS.get(piece.kind, piece.kind)


def radius_of(piece: Piece, shape: Shape) -> float:
    """Half the piece's thickness, recorded or such as fills the jaw."""
    if piece.diameter:
        return piece.diameter / 2
    return 0.36 * min(shape.reach, shape.height or shape.reach)


def seat(piece: Piece, shape: Shape) -> Point:
    """Centre of a round piece in the attachment's frame: resting on the floor, against the back."""
    radius = radius_of(piece, shape)
    x = piece.at[0] if piece.at else max(0.52 * shape.reach, radius + 0.12 * shape.reach)
    x = max(x, radius + 0.085 * shape.reach)
    return x, floor_height(shape.floor, x, radius)


def lid_on(piece: Piece | None, shape: Shape) -> float:
    """Angle at which the lid rests on the piece; closed without one."""
    if piece is None or not shape.lid_face or shape.pivot is None or piece_kind(piece) not in ROUND:
        return 0.0
    centre, radius = seat(piece, shape), radius_of(piece, shape)
    face = [p for p in shape.lid_face if math.dist(p, shape.pivot) > 0.12 * shape.reach]
    reach = [(math.atan2(z - shape.pivot[1], x - shape.pivot[0]), math.dist((x, z), shape.pivot)) for x, z in face]
    for step in range(140):
        angle = step * 0.0125
        if _clear(reach, angle, (centre[0] - shape.pivot[0], centre[1] - shape.pivot[1]), radius * 0.985) and _above(
            shape, angle, centre
        ):
            return angle
    return 1.2


def _clear(reach: list[Point], angle: float, centre: Point, radius: float) -> bool:
    """Whether all points of a turned face (given as direction and distance) lie outside a circle."""
    away, far = math.atan2(centre[1], centre[0]), math.hypot(*centre)
    limit = far**2 - radius**2
    return all(d * d - 2 * d * far * math.cos(a + angle - away) + limit >= 0 for a, d in reach)


def _above(shape: Shape, angle: float, centre: Point) -> bool:
    middle = shape.lid_at(shape.lid_face[len(shape.lid_face) // 2], angle)
    return middle[1] > centre[1]


def draw_piece(frame: Frame, piece: Piece, shape: Shape, pose: Pose) -> list[Item]:
    """The piece drawn at its seat."""
    kind = piece_kind(piece)
    if kind == "loose":
        return _heap(frame, shape, pose)
    if kind in ("pallet", "square_bale", "free"):
        return _crate(frame, piece, shape, pose, pallet=kind == "pallet")
    centre, radius = seat(piece, shape), radius_of(piece, shape)
    if kind == "bundle":
        return _bundle(frame, pose, centre, radius)
    if kind == "brush":
        return _brush(frame, pose, centre, radius)
    if kind == "rock":
        return _rock(frame, pose, centre, radius)
    if kind == "round_bale":
        return _bale(frame, pose, centre, radius)
    return log_end(frame.at(*pose.at(*centre)), radius * frame.scale)


def centre_of(piece: Piece, shape: Shape) -> Point:
    """Centre of the piece in the attachment's frame, for leaders and dimension lines."""
    kind = piece_kind(piece)
    if piece.at and kind not in ROUND:
        return piece.at
    if kind in ROUND:
        return seat(piece, shape)
    if kind == "loose":
        return 0.5 * shape.reach, 0.35 * shape.height
    width, tall = _crate_size(piece, shape)
    return 0.06 + width / 2, 0.02 + tall / 2


def top_of_piece(piece: Piece, shape: Shape) -> float:
    """Highest point of the piece above the plane's bottom, tool level."""
    kind = piece_kind(piece)
    if kind in ROUND:
        return seat(piece, shape)[1] + 1.1 * radius_of(piece, shape)
    return shape.height if kind == "loose" else 0.05 + _crate_size(piece, shape)[1]


def log_end(centre: Point, r: float, axes: bool = True) -> list[Item]:
    """A log seen on its end: bark, growth rings a little off centre, a check, axes."""
    cx, cy = centre
    items: list[Item] = [Disc(centre, r, Line.WIDE, Fill.SHEET), Disc(centre, r * 0.93, Line.NOTE)]
    rings = max(2, min(4, int(r / 5)))
    heart = (cx + r * 0.05, cy + r * 0.03)
    items += [Disc(heart, r * (0.8 * k / (rings + 0.35)), Line.RULE) for k in range(1, rings + 1)]
    items.append(segment((cx + r * 0.08, cy), (cx + r * 0.5, cy - r * 0.62), Line.NOTE))
    if axes:
        items.append(segment((cx - r * 1.25, cy), (cx + r * 1.25, cy), Line.AXIS))
        items.append(segment((cx, cy - r * 1.25), (cx, cy + r * 1.25), Line.AXIS))
    return items


def _bundle(frame: Frame, pose: Pose, centre: Point, radius: float) -> list[Item]:
    small = radius * 0.47
    items: list[Item] = []
    for angle, distance in ((-2.5, 0.52), (-0.64, 0.52), (1.57, 0.4), (0.5, 0.62), (2.7, 0.62)):
        spot = centre[0] + radius * distance * math.cos(angle), centre[1] + radius * distance * math.sin(angle)
        items += log_end(frame.at(*pose.at(*spot)), small * frame.scale, axes=False)
    return items


def _wavy(centre: Point, radius: float, bumps: list[float]) -> list[Point]:
    points = []
    for k, bump in enumerate(bumps):
        a = 2 * math.pi * k / len(bumps)
        points.append((centre[0] + radius * bump * math.cos(a), centre[1] + radius * bump * math.sin(a)))
    return points


def _brush(frame: Frame, pose: Pose, centre: Point, radius: float) -> list[Item]:
    bumps = [1.12, 0.88, 1.05, 0.9, 1.16, 0.86, 1.02, 0.9, 1.1, 0.86, 0.98, 0.84, 1.0, 0.88]
    rim = smooth([*_wavy(centre, radius, bumps), _wavy(centre, radius, bumps)[0]], 4)
    items: list[Item] = [Stroke(poly(frame.many(pose.many(rim)), closed=True), Line.NARROW, Fill.SHEET)]
    for k in range(11):
        a, b = 0.57 * k, 0.57 * k + 2.2 + 0.35 * (k % 3)
        start, end = 0.8 - 0.09 * (k % 4), 0.86 + 0.26 * (k % 2)
        p = centre[0] + radius * start * math.cos(a), centre[1] + radius * start * math.sin(a)
        q = centre[0] + radius * end * math.cos(b), centre[1] + radius * end * math.sin(b)
        middle = (p[0] + q[0]) / 2 + 0.08 * radius, (p[1] + q[1]) / 2 - 0.1 * radius
        items.append(Stroke(poly(frame.many(pose.many(smooth([p, middle, q], 4)))), Line.NOTE))
    return items


def _rock(frame: Frame, pose: Pose, centre: Point, radius: float) -> list[Item]:
    rim = _wavy(centre, radius, [1.0, 0.9, 0.98, 0.86, 1.0, 0.92, 0.97, 0.98, 0.93])
    outline = poly(frame.many(pose.many(rim)), closed=True)
    edge = [rim[1], (centre[0] + 0.2 * radius, centre[1] + 0.1 * radius), rim[4]]
    edge2 = [edge[1], (centre[0] + 0.05 * radius, centre[1] - 0.45 * radius), rim[7]]
    return [
        Stroke(outline, None, Fill.SHEET),
        Stroke(outline, Line.WIDE, Hatch.CONCRETE),
        Stroke(poly(frame.many(pose.many(edge))), Line.NOTE),
        Stroke(poly(frame.many(pose.many(edge2))), Line.NOTE),
    ]


def _bale(frame: Frame, pose: Pose, centre: Point, radius: float) -> list[Item]:
    place = frame.at(*pose.at(*centre))
    r = radius * frame.scale
    turns = [
        (place[0] + r * 0.95 * k / 60 * math.cos(0.42 * k), place[1] + r * 0.95 * k / 60 * math.sin(0.42 * k))
        for k in range(61)
    ]
    return [Disc(place, r, Line.WIDE, Fill.SHEET), Stroke(poly(turns), Line.RULE)]


def _crate_size(piece: Piece, shape: Shape) -> tuple[float, float]:
    width = piece.length or piece.diameter or min(1.0, shape.reach * 0.95)
    return width, piece.height or piece.diameter or width * 0.75


def _crate(frame: Frame, piece: Piece, shape: Shape, pose: Pose, pallet: bool) -> list[Item]:
    width, tall = _crate_size(piece, shape)
    back, base = 0.07, 0.025 if pallet else floor_height(shape.floor, 0.5 * shape.reach, 0.01)
    deck = 0.13 if pallet else 0.0

    def rect(x: float, z: float, w: float, h: float, line: Line) -> Stroke:
        corners = [(x, z), (x + w, z), (x + w, z + h), (x, z + h)]
        return Stroke(poly(frame.many(pose.many(corners)), closed=True), line, Fill.SHEET)

    items: list[Item] = [rect(back, base + deck, width, max(tall - deck, 0.1), Line.WIDE)]
    if pallet:
        items += [
            rect(back, base + deck - 0.025, width, 0.025, Line.NARROW),
            rect(back, base - 0.0, width, 0.02, Line.NARROW),
        ]
        items += [rect(back + k * (width - 0.1) / 2, base + 0.02, 0.1, deck - 0.045, Line.NARROW) for k in range(3)]
    for share in (0.25, 0.5, 0.75) if pallet else (0.33, 0.67):
        z = base + deck + (tall - deck) * share
        ends = pose.many([(back, z), (back + width, z)])
        items.append(Stroke(poly(frame.many(ends)), Line.NOTE))
    return items


def _heap(frame: Frame, shape: Shape, pose: Pose) -> list[Item]:
    top = max(z for _, z in shape.floor)
    crown = smooth(
        [
            (0.02, top * 0.95),
            (0.3 * shape.reach, top * 1.2),
            (0.62 * shape.reach, top * 0.82),
            (0.95 * shape.reach, 0.03),
        ],
        6,
    )
    outline = poly(frame.many(pose.many([*shape.floor, *reversed(crown)])), closed=True)
    return [Stroke(outline, None, Fill.SHEET), Stroke(outline, Line.NARROW, Hatch.LOOSE)]
