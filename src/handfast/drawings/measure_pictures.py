"""Pictures of how to measure: what stands where, and between which points the tape or the ticket reads."""

from __future__ import annotations

from math import cos, radians, sin

from handfast.drawings.inks import Fill, Letter, Line, Mode
from handfast.drawings.looking_pictures import looking_picture
from handfast.drawings.svg import Disc, Item, Label, Point, Sheet, Stroke, box, poly, render, segment

WIDE, TALL, GROUND = 180.0, 112.0, 92.0
WORDS: dict[str, tuple[str, str]] = {
    "rear_on_scale": (
        "Rear wheels alone on the scale",
        "A parked tractor, bucket on the ground, its rear wheels on the plate of a scale that is level with the ground "
        "under its front wheels. Nobody is on it.",
    ),
    "hubs": (
        "Hubs above ground",
        "A parked tractor from the side, bucket on the ground. The height of each hub above the ground is marked.",
    ),
    "track": (
        "Tyre to tyre",
        "Two wheels on an axle from behind. The track is marked between the middles of the tyres, the width between "
        "their outer walls.",
    ),
    "pin_height": (
        "Pins above ground",
        "A parked tractor from the side, arms down, bucket on the ground. The height is marked from the ground to the "
        "middle of the lower pin that carries the bucket.",
    ),
    "hitch": (
        "Lower links",
        "The back of a parked tractor from the side, lower links level with nothing on them. The distance is marked "
        "along the ground from below the rear hub to below the ball of the link.",
    ),
    "slope": (
        "Phone on the floor plate",
        "A parked tractor on a slope, wheels chocked, bucket on the ground. A phone lies on its floor plate; a level "
        "line is drawn below, to read the angle against.",
    ),
}
REAR, FRONT = (52.0, 20.0), (112.0, 12.0)  # middle of the wheel, and its radius


def _tractor(lift: float = 0.0) -> list[Item]:
    """A parked tractor from the side, nose to the right, bucket on the ground; `lift` px above the ground line."""
    ground = GROUND - lift
    body: list[Point] = [(60, 46), (122, 50), (126, 72), (66, 76), (44, 62), (44, 56), (60, 56)]
    items: list[Item] = [
        Stroke(poly([(x, y - lift) for x, y in body], closed=True), Line.NARROW, Fill.SHEET),
        Stroke(poly([(48, 56 - lift), (48, 22 - lift), (53, 22 - lift), (53, 56 - lift)]), Line.NARROW),
        Stroke(poly([(66, 46 - lift), (71, 35 - lift)]), Line.NARROW),
        Stroke(poly([(92, 74 - lift), (92, 40 - lift), (138, 60 - lift), (146, 82 - lift)]), Line.WIDE),
    ]
    for x, radius in (REAR, FRONT):
        items.append(Disc((x, ground - radius), radius, Line.WIDE, Fill.SHEET))
        items.append(Disc((x, ground - radius), 2.0, None, Fill.INK))
    bucket: list[Point] = [(146, 74), (146, 92), (170, 92), (158, 89), (152, 74)]
    items.append(Stroke(poly([(x, y - lift) for x, y in bucket], closed=True), Line.NARROW, Fill.TINT))
    return [*items, Disc((146, 82 - lift), 2.4, None, Fill.INK)]


def _ground() -> list[Item]:
    return [segment((4, GROUND), (WIDE - 4, GROUND), Line.GROUND)]


def _span(a: Point, b: Point) -> list[Item]:
    """A dimension line with a tick across each end."""
    (x1, y1), (x2, y2) = a, b
    length = ((x2 - x1) ** 2 + (y2 - y1) ** 2) ** 0.5
    dx, dy = (x2 - x1) / length * 4.0, (y2 - y1) / length * 4.0
    ticks = [segment((x - dy, y + dx), (x + dy, y - dx), Line.MARK) for x, y in (a, b)]
    return [segment(a, b, Line.MARK_NARROW), *ticks]


def _plumb(x: float, top: float, low: float) -> Item:
    return segment((x, top), (x, low), Line.HIDDEN)


def _scale() -> list[Item]:
    """A plate under the rear wheels, what it weighs marked from above."""
    pit = [box(34, GROUND, 36, 6, Line.WIDE, Fill.SHEET), segment((34, GROUND), (70, GROUND), Line.MARK)]
    return [*_ground(), *_tractor(), *pit, Label((52, 110), "plate", Letter.NOTE, "middle")]


def _hubs() -> list[Item]:
    rear, front = GROUND - REAR[1], GROUND - FRONT[1]
    lines = [segment((20, rear), (52, rear), Line.HIDDEN), segment((112, front), (134, front), Line.HIDDEN)]
    return [*_ground(), *_tractor(), *lines, *_span((24, GROUND), (24, rear)), *_span((131, GROUND), (131, front))]


def _track() -> list[Item]:
    items: list[Item] = [segment((4, 84), (WIDE - 4, 84), Line.GROUND), box(66, 44, 48, 12, Line.NARROW, Fill.SHEET)]
    for x in (42.0, 114.0):
        items.append(box(x, 16, 24, 68, Line.WIDE, Fill.SHEET))
        items += [segment((x, y), (x + 24, y), Line.NOTE) for y in (26, 38, 50, 62, 74)]
    items += [_plumb(x, 10, 98) for x in (54.0, 126.0)]
    return [*items, *_span((54, 96), (126, 96)), *_span((42, 8), (138, 8))]


def _pin_height() -> list[Item]:
    line = segment((146, 82), (176, 82), Line.HIDDEN)
    return [*_ground(), *_tractor(), line, *_span((174, GROUND), (174, 82))]


def _hitch() -> list[Item]:
    low = GROUND + 9
    links: list[Item] = [Stroke(poly([(30, 78), (56, 72)]), Line.WIDE), Disc((28, 78), 2.8, Line.NARROW, Fill.SHEET)]
    plumbs = [_plumb(28, 80, low + 4), _plumb(REAR[0], GROUND - REAR[1], low + 4)]
    return [*_ground(), *_tractor(), *links, *plumbs, *_span((28, low), (REAR[0], low))]


def _turned(point: Point, about: Point, degrees: float) -> Point:
    c, s = cos(radians(degrees)), sin(radians(degrees))
    x, y = point[0] - about[0], point[1] - about[1]
    return about[0] + c * x - s * y, about[1] + s * x + c * y


def _slope() -> list[Item]:
    """The tractor, its phone and the ground, all turned together about the foot of the slope."""
    foot, by = (6.0, 100.0), -10.0
    flat: list[Item] = [*_tractor(), segment((14, GROUND), (WIDE - 2, GROUND), Line.GROUND)]
    flat += [
        box(74, 66, 16, 4, Line.MARK, Fill.SHEET),
        Stroke(poly([(72, 92), (80, 92), (72, 86)], closed=True), None, Fill.INK),
    ]
    items: list[Item] = []
    for one in flat:
        if isinstance(one, Disc):
            items.append(Disc(_turned((one.centre[0] - 6, one.centre[1]), foot, by), one.radius, one.line, one.fill))
        elif isinstance(one, Stroke):
            path = tuple((name, _turned((xy[0] - 6, xy[1]), foot, by) if len(xy) == 2 else xy) for name, xy in one.path)
            items.append(Stroke(path, one.line, one.fill))
    return [*items, segment(foot, (84, 100), Line.HIDDEN)]


DRAWN = {
    "rear_on_scale": _scale,
    "hubs": _hubs,
    "track": _track,
    "pin_height": _pin_height,
    "hitch": _hitch,
    "slope": _slope,
}


def measure_picture(kind: str, mode: Mode = "screen") -> str:
    """A picture of a way of measuring.

    Args:
        kind: one of `DRAWN`, or the fact of a picture to look by.
        mode: screen, print, paper or blueprint.

    Returns:
        SVG text.

    """
    if kind not in DRAWN:
        return looking_picture(kind, mode)
    name, words = WORDS[kind]
    return render(Sheet(WIDE, TALL, name, words, tuple(DRAWN[kind]()), "picture"), mode)
