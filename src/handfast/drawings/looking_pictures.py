"""Pictures of where to look and what to measure, for a caller who has never done it."""

from __future__ import annotations

from collections.abc import Callable

from handfast.drawings.inks import Fill, Hatch, Letter, Line, Mode
from handfast.drawings.quick_attach_pictures import quick_attach_picture
from handfast.drawings.svg import Disc, Item, Label, Point, Sheet, Stroke, box, poly, render, segment

WIDE, TALL, GROUND = 180.0, 110.0, 96.0
WORDS: dict[str, tuple[str, str]] = {
    "front_couplers": (
        "Capped couplers on the loader arm",
        "A loader arm from the side with two capped oil couplers on its cross tube, ringed.",
    ),
    "rear_couplers": (
        "Couplers on the back, above the hitch",
        "The tractor from behind: two pairs of oil couplers between the wheels above the hitch, ringed and counted.",
    ),
    "valve_lines": ("Count the lines", "A valve by the seat with lines leaving its foot, numbered one to seven."),
    "plate": ("The plate with the figures", "A riveted plate with rows of figures on the loader's upright, ringed."),
    "manual": ("In the manual", "An open book with one line ringed."),
    "wheelbase": (
        "Middle of the wheel to middle of the wheel",
        "A tractor from the side with a tape along the ground from below the front hub to below the rear hub.",
    ),
    "scale": ("All four wheels on the scale", "A tractor wholly on the platform of a truck scale, its bucket down."),
    "front_on_scale": (
        "Front wheels alone on the scale",
        "A tractor with its front wheels on a scale and its rear wheels level with it.",
    ),
    "tyre_wall": ("On the tyre's wall", "A rear tyre with its size lettered on the wall, ringed."),
    "log": ("Across the butt, and how long", "A log with a tape across its end and one along its length."),
    "slope": (
        "A plank downhill, the phone's level on it",
        "A plank on sloping ground with a telephone lying on it and the angle marked.",
    ),
    "gate": ("Between the posts", "Two gate posts with a tape between them."),
    "trailer": ("Ground to the top of the side", "A trailer's side with a tape from the ground to its top edge."),
    "behind": ("What hangs on the back", "The tractor from the side with a box on the hitch behind, ringed."),
    "listing": ("In the listing, or on its plate", "A sheet of paper with a row of figures ringed."),
}
FACTS = {
    "quick_attach": "two_levers",
    "front_functions": "front_couplers",
    "rear_remotes": "rear_couplers",
    "power_beyond": "valve_lines",
    "centre": "manual",
    "loader.lift_at_pin": "plate",
    "loader.rating_slope": "plate",
    "machine": "plate",
    "mass": "scale",
    "front_share": "front_on_scale",
    "wheelbase": "wheelbase",
    "behind.mass": "behind",
    "tyre_fill.volume": "tyre_wall",
    "front_tyre.load_each": "tyre_wall",
    "rear_tyre.load_each": "tyre_wall",
    "front_axle_rating": "plate",
    "site.slope": "slope",
    "site.lift_to": "trailer",
    "site.gate": "gate",
    "work.diameter": "log",
    "work.length": "log",
    "attachment.mass": "listing",
}
"""The picture that goes with a question; a fact that is not here is found in the manual."""


def looking_picture(fact: str, mode: Mode = "screen") -> str:
    """The picture of where to look for a fact or how to measure it.

    Args:
        fact: as `questions.csv` names it.
        mode: screen, print, paper or blueprint.

    Returns:
        SVG text with its words inside.

    >>> "tape" in looking_picture("site.gate")
    True
    """
    kind = FACTS.get(fact, "manual")
    if kind == "two_levers":
        return quick_attach_picture(kind, mode, WIDE)
    name, words = WORDS[kind]
    return render(Sheet(WIDE, TALL, name, words, tuple(DRAW[kind]()), "picture"), mode)


def _ring(x: float, y: float, radius: float) -> Disc:
    return Disc((x, y), radius, Line.MARK)


def _ground() -> list[Item]:
    return [
        segment((4, GROUND), (WIDE - 4, GROUND), Line.WIDE),
        Stroke(
            poly(((4, GROUND), (WIDE - 4, GROUND), (WIDE - 4, GROUND + 5), (4, GROUND + 5)), True), None, Hatch.GROUND
        ),
    ]


def _tape(a: Point, b: Point) -> list[Item]:
    """A dimension line with its end ticks, in the colour of what is asked."""
    flat = abs(a[1] - b[1]) < abs(a[0] - b[0])
    ends = [
        segment((x - 4 * (not flat), y - 4 * flat), (x + 4 * (not flat), y + 4 * flat), Line.MARK) for x, y in (a, b)
    ]
    return [segment(a, b, Line.MARK), *ends]


def _wheel(x: float, radius: float, floor: float = GROUND) -> list[Item]:
    y = floor - radius
    return [Disc((x, y), radius, Line.NARROW, Fill.TINT), Disc((x, y), radius * 0.45, Line.NARROW, Fill.SHEET)]


def _tractor(left: float, floor: float = GROUND) -> list[Item]:
    """A small tractor from the side, nose to the right, its bucket on the ground."""
    hood = ((left + 38, floor - 26), (left + 38, floor - 46), (left + 84, floor - 40), (left + 84, floor - 20))
    seat = ((left + 14, floor - 34), (left + 14, floor - 60), (left + 18, floor - 60), (left + 20, floor - 40))
    arm = ((left + 44, floor - 50), (left + 86, floor - 32), (left + 100, floor - 10))
    bucket = ((left + 98, floor - 18), (left + 98, floor), (left + 120, floor), (left + 104, floor - 18))
    return [
        Stroke(poly(hood, True), Line.NARROW, Fill.SHEET),
        Stroke(poly(seat), Line.NARROW),
        segment((left + 26, floor - 44), (left + 26, floor - 82), Line.NARROW),
        *_wheel(left + 22, 22, floor),
        *_wheel(left + 76, 14, floor),
        Stroke(poly(arm), Line.WIDE),
        Stroke(poly(bucket, True), Line.WIDE, Fill.SHEET),
    ]


def _front_couplers() -> list[Item]:
    arm = ((10, 34), (90, 48), (150, 88), (142, 98), (84, 62), (10, 50))
    items: list[Item] = [
        Stroke(poly(arm, True), Line.NARROW, Fill.SHEET),
        box(96, 38, 30, 12, Line.WIDE, Fill.SHEET),
        Disc((150, 96), 5, Line.NARROW, Fill.SHEET),
    ]
    for x in (104, 118):
        items += [box(x - 4, 22, 8, 16, Line.WIDE, Fill.TINT), box(x - 5.5, 18, 11, 6, Line.WIDE, Fill.INK)]
    return [*items, _ring(111, 32, 24)]


def _rear_couplers() -> list[Item]:
    items: list[Item] = [
        *_ground(),
        box(10, 30, 34, 66, Line.NARROW, Fill.TINT),
        box(136, 30, 34, 66, Line.NARROW, Fill.TINT),
    ]
    items += [box(58, 24, 64, 48, Line.NARROW, Fill.SHEET), segment((70, 72), (60, 92), Line.WIDE)]
    items.append(segment((110, 72), (120, 92), Line.WIDE))
    for pair, x in enumerate((72, 96)):
        items += [Disc((x, 46), 4.5, Line.WIDE, Fill.SHEET), Disc((x + 12, 46), 4.5, Line.WIDE, Fill.SHEET)]
        items.append(Label((x + 6, 66), str(pair + 1), Letter.NOTE, "middle"))
    return [*items, _ring(90, 46, 28)]


def _valve_lines() -> list[Item]:
    items: list[Item] = [box(30, 30, 120, 22, Line.WIDE, Fill.SHEET)]
    for x in (60, 120):
        items += [segment((x, 30), (x + 8, 8), Line.WIDE), Disc((x + 8, 7), 4, None, Fill.INK)]
    for count in range(7):
        x = 42 + 16 * count
        line = Line.MARK if count == 6 else Line.NARROW
        items += [segment((x - 3, 52), (x - 3, 84), line), segment((x + 3, 52), (x + 3, 84), line)]
        items.append(Label((x, 102), str(count + 1), Letter.NOTE, "middle"))
    return items


def _plate() -> list[Item]:
    items: list[Item] = [
        Stroke(poly(((20, 6), (150, 6), (160, 104), (10, 104)), True), Line.NARROW),
        box(44, 30, 92, 48, Line.WIDE, Fill.SHEET),
    ]
    items += [Disc((x, y), 2, None, Fill.INK) for x in (49, 131) for y in (35, 73)]
    for y in (42, 52, 62):
        items += [segment((56, y), (88, y), Line.NARROW), segment((100, y), (122, y), Line.WIDE)]
    return [*items, _ring(111, 52, 19)]


def _page(left: float, right: float) -> list[Item]:
    return [segment((left, y), (right, y), Line.NARROW) for y in (34, 44, 54, 64, 74)]


def _manual() -> list[Item]:
    cover = ((14, 22), (90, 28), (166, 22), (166, 92), (90, 98), (14, 92))
    items: list[Item] = [Stroke(poly(cover, True), Line.WIDE, Fill.SHEET), segment((90, 28), (90, 98), Line.NARROW)]
    return [*items, *_page(24, 80), *_page(100, 156), _ring(128, 54, 15)]


def _listing() -> list[Item]:
    return [
        box(46, 8, 88, 96, Line.WIDE, Fill.SHEET),
        box(58, 16, 64, 12, Line.NARROW, Fill.TINT),
        *_page(58, 122),
        _ring(90, 54, 15),
    ]


def _wheelbase() -> list[Item]:
    items: list[Item] = [*_ground(), *_tractor(26)]
    items += [segment((48, 74), (48, 106), Line.MARK), segment((102, 82), (102, 106), Line.MARK)]
    return [*items, *_tape((48, 104), (102, 104))]


def _platform(left: float, right: float) -> list[Item]:
    return [
        box(left, 86, right - left, 8, Line.WIDE, Hatch.BAND),
        segment((left, 94), (left, 100), Line.WIDE),
        segment((right, 94), (right, 100), Line.WIDE),
    ]


def _scale() -> list[Item]:
    return [segment((4, 100), (WIDE - 4, 100), Line.WIDE), *_platform(16, 160), *_tractor(28, 86)]


def _front_on_scale() -> list[Item]:
    return [
        segment((4, 100), (WIDE - 4, 100), Line.WIDE),
        box(8, 86, 66, 14, Line.NARROW),
        *_platform(84, 166),
        *_tractor(28, 86),
    ]


def _tyre_wall() -> list[Item]:
    return [
        Disc((70, 56), 50, Line.WIDE, Fill.TINT),
        Disc((70, 56), 26, Line.NARROW, Fill.SHEET),
        Disc((70, 56), 8, Line.NARROW, Fill.SHEET),
        segment((70, 18), (128, 18), Line.MARK),
        Label((132, 22), "16.9-30", Letter.NOTE),
        _ring(70, 18, 9),
    ]


def _log() -> list[Item]:
    items: list[Item] = [
        *_ground(),
        Stroke(poly(((36, 44), (156, 44), (156, 96), (36, 96)), True), Line.NARROW, Fill.SHEET),
        Disc((36, 70), 26, Line.WIDE, Fill.SHEET),
        *(Disc((36, 70), radius, Line.NARROW) for radius in (18, 10, 3)),
    ]
    return [*items, *_tape((10, 70), (62, 70)), *_tape((36, 28), (156, 28))]


def _slope() -> list[Item]:
    return [
        Stroke(poly(((6, 40), (174, 92), (174, 104), (6, 104)), True), Line.WIDE, Hatch.GROUND),
        Stroke(poly(((50, 48), (128, 72), (128, 77), (50, 53)), True), Line.NARROW, Fill.SHEET),
        Stroke(poly(((76, 50), (98, 57), (97, 62), (75, 55)), True), Line.WIDE, Fill.INK),
        segment((6, 40), (100, 40), Line.MARK),
        Stroke((("M", (70, 40)), ("C", (70, 48, 68, 54, 65, 58))), Line.MARK),
    ]


def _gate() -> list[Item]:
    posts: list[Item] = [box(x, 26, 12, 70, Line.WIDE, Fill.TINT) for x in (30, 138)]
    rails: list[Item] = [segment((42, y), (96, y - 10), Line.HIDDEN) for y in (48, 64, 80)]
    return [*_ground(), *posts, *rails, *_tape((42, 38), (138, 38))]


def _trailer() -> list[Item]:
    return [
        *_ground(),
        box(44, 34, 112, 40, Line.WIDE, Fill.SHEET),
        segment((44, 54), (156, 54), Line.NARROW),
        *_wheel(84, 14),
        *_wheel(116, 14),
        segment((44, 34), (20, 34), Line.NARROW),
        *_tape((26, 34), (26, GROUND)),
    ]


def _behind() -> list[Item]:
    items: list[Item] = [
        *_ground(),
        *_tractor(56),
        segment((66, 74), (44, 70), Line.WIDE),
        segment((66, 60), (44, 56), Line.WIDE),
    ]
    return [*items, box(14, 48, 30, 34, Line.WIDE, Fill.SHEET), _ring(29, 65, 25)]


DRAW: dict[str, Callable[[], list[Item]]] = {
    "front_couplers": _front_couplers,
    "rear_couplers": _rear_couplers,
    "valve_lines": _valve_lines,
    "plate": _plate,
    "manual": _manual,
    "listing": _listing,
    "wheelbase": _wheelbase,
    "scale": _scale,
    "front_on_scale": _front_on_scale,
    "tyre_wall": _tyre_wall,
    "log": _log,
    "slope": _slope,
    "gate": _gate,
    "trailer": _trailer,
    "behind": _behind,
}
