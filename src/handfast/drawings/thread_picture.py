"""Where to measure a thread, one picture for each family: across the crests, over five pitches, at what seals."""

from __future__ import annotations

import math
from collections.abc import Iterator

from handfast.drawings.inks import Fill, Letter, Line, Mode
from handfast.drawings.marks import arrowhead
from handfast.drawings.svg import Disc, Item, Label, Point, Sheet, Stroke, box, poly, render, segment

WIDTH, HEIGHT = 320.0, 216.0
MIDDLE = 112.0  # the axis
HALF = 38.0  # half the diameter across the crests
START, END = 96.0, 206.0  # where the thread begins at the hexagon, and ends
PITCH, DEPTH = 11.0, 7.0
LEAN = 7.0  # how much a taper takes off the half diameter over the thread, drawn four times as steep as it is

SEALS: dict[str, tuple[str, str]] = {
    "flare37": (
        "outer cone of 37°",
        "The nose is a cone of 37° to the axis that meets a flare; the thread only holds.",
    ),
    "orb": ("O-ring at the hexagon", "A straight inch thread; the O-ring lies in the groove below the hexagon."),
    "m_port": (
        "O-ring at the hexagon",
        "A straight metric thread; the O-ring lies below the hexagon; the port has a ridge.",
    ),
    "orfs": ("O-ring in a flat face", "The end is flat with a groove; the O-ring in it meets a flat sleeve."),
    "npt": ("the thread itself", "The thread tapers 1 in 16, flanks of 60°; it seals by itself, with sealant."),
    "nptf": ("the thread itself, dry", "The thread tapers 1 in 16, flanks of 60°, crests cut sharp; it seals dry."),
    "bspt": ("the thread itself", "The thread tapers 1 in 16, flanks of 55°; it seals by itself, with sealant."),
    "npsm": (
        "inner cone of 30°",
        "A straight pipe thread, flanks of 60°; a cone of 30° inside the end meets a swivel.",
    ),
    "bspp": (
        "inner cone of 30°, or washer",
        "A straight pipe thread, flanks of 55°; it seals at a cone of 30° or a washer.",
    ),
    "din24_light": (
        "inner cone of 24°, light",
        "A straight metric thread; a cone of 24° inside the end takes ring and tube.",
    ),
    "din24_heavy": (
        "inner cone of 24°, heavy",
        "As the light series, a thicker tube for the same thread: measure the tube too.",
    ),
}
"""Family: what seals, said short; the same as a sentence."""

TAPERED = ("npt", "nptf", "bspt")
FLANKS = {"bspp": "55°", "bspt": "55°"}
INNER = {"npsm": 30.0, "bspp": 30.0, "din24_light": 12.0, "din24_heavy": 12.0}  # half angle drawn, °
MOUTH = {"npsm": 20.0, "bspp": 20.0, "din24_light": 26.0, "din24_heavy": 22.0}  # half the mouth of the inner cone
BORE = 12.0


def _edge(x: float, tapered: bool) -> float:
    """Half the diameter across the crests at a place along the thread."""
    return HALF - (LEAN * (x - START) / (END - START) if tapered else 0.0)


def _thread(side: float, family: str) -> Stroke:
    """The flanks on one side of the axis."""
    tapered, flat = family in TAPERED, 0.0 if family == "nptf" else 1.5
    points: list[Point] = [(START, MIDDLE + side * (_edge(START, tapered) - DEPTH))]
    x = START
    while x + PITCH <= END + 0.1:
        crest = _edge(x + PITCH / 2, tapered)
        root = _edge(x + PITCH, tapered) - DEPTH
        points += [(x + PITCH / 2 - flat, MIDDLE + side * crest), (x + PITCH / 2 + flat, MIDDLE + side * crest)]
        points.append((x + PITCH, MIDDLE + side * root))
        x += PITCH
    return Stroke(poly(points), Line.WIDE)


def _body(family: str) -> Iterator[Item]:
    """Hexagon, neck, thread."""
    yield box(22, MIDDLE - 54, 56, 108, Line.WIDE, Fill.SHEET)
    yield segment((22, MIDDLE - 26), (78, MIDDLE - 26), Line.NARROW)
    yield segment((22, MIDDLE + 26), (78, MIDDLE + 26), Line.NARROW)
    neck = HALF - DEPTH - 2
    yield box(78, MIDDLE - neck, START - 78, 2 * neck, Line.NARROW, Fill.SHEET)
    if family in ("orb", "m_port"):
        for side in (-1, 1):
            yield Disc((86, MIDDLE + side * (neck + 5)), 6.5, Line.MARK, Fill.SHEET)
    yield from (_thread(side, family) for side in (-1.0, 1.0))
    yield segment((8, MIDDLE), (268, MIDDLE), Line.AXIS)


def _nose(family: str) -> Iterator[Item]:
    """The end, with what seals in the accent."""
    low = _edge(END, family in TAPERED) - DEPTH
    if family == "flare37":
        tip = END + (low - 4 - BORE) / math.tan(math.radians(37.0))
        for side in (-1, 1):
            yield segment((END, MIDDLE + side * low), (END, MIDDLE + side * (low - 4)), Line.WIDE)
            yield segment((END, MIDDLE + side * (low - 4)), (tip, MIDDLE + side * BORE), Line.MARK)
        yield segment((tip, MIDDLE - BORE), (tip, MIDDLE + BORE), Line.WIDE)
        return
    yield segment((END, MIDDLE - low), (END, MIDDLE + low), Line.WIDE)
    if family == "orfs":
        for side in (-1, 1):
            yield Disc((END - 3, MIDDLE + side * 20), 5.5, Line.MARK, Fill.SHEET)
    if family in INNER:
        mouth = MOUTH[family]
        deep = (mouth - BORE) / math.tan(math.radians(INNER[family]))
        for side in (-1, 1):
            yield segment((END, MIDDLE + side * mouth), (END - deep, MIDDLE + side * BORE), Line.MARK)
            yield segment((END - deep, MIDDLE + side * BORE), (START, MIDDLE + side * BORE), Line.HIDDEN)
    elif family in TAPERED:
        for side in (-1, 1):
            ends = [(x, MIDDLE + side * (_edge(x, True) + 5)) for x in (START, END)]
            yield segment(ends[0], ends[1], Line.MARK)


def _measures(family: str, name: str) -> Iterator[Item]:
    """Where the caliper and the gauge go."""
    at = START + 5.5 * PITCH if family in TAPERED else END - PITCH / 2
    half, right = _edge(at, family in TAPERED), 284.0
    for side in (-1, 1):
        yield segment((at, MIDDLE + side * half), (right + 6, MIDDLE + side * half), Line.NOTE)
        yield arrowhead((right, MIDDLE + side * half), side * math.pi / 2)
    yield segment((right, MIDDLE - half), (right, MIDDLE + half), Line.NOTE)
    yield Label((right - 7, MIDDLE + 5), "1", Letter.FIGURE, "end")
    left, wide, top = START + PITCH / 2, 5 * PITCH, MIDDLE - HALF - 18
    for x in (left, left + wide):
        yield segment((x, MIDDLE - _edge(x, family in TAPERED)), (x, top - 5), Line.NOTE)
    yield segment((left, top), (left + wide, top), Line.NOTE)
    yield arrowhead((left, top), math.pi)
    yield arrowhead((left + wide, top), 0.0)
    yield Label((left + wide / 2, top - 6), "2", Letter.FIGURE, "middle")
    yield Label((22, 16), name, Letter.FIGURE)
    yield Label((22, HEIGHT - 32), "1 across the crests, 2 five pitches", Letter.NOTE)
    yield Label((22, HEIGHT - 12), f"3 seals: {SEALS[family][0]}", Letter.NOTE)
    yield Label(_seal_at(family), "3", Letter.MARK, "middle")


def _seal_at(family: str) -> Point:
    """Where the figure of what seals stands."""
    if family in ("orb", "m_port"):
        return 88.0, MIDDLE + 54
    if family in TAPERED:
        return 0.5 * (START + END), MIDDLE + HALF + 22
    return END + (40 if family == "flare37" else 26), MIDDLE - 12


def measuring_picture(family: str, name: str = "", mode: Mode = "screen") -> str:
    """Where to measure a thread of a family, and what seals it.

    Args:
        family: as in connection_families.csv.
        name: the family's name, for the title.
        mode: screen, print, paper or blueprint.

    Returns:
        SVG text.

    Raises:
        ValueError: a family without a thread.
    """
    if family not in SEALS:
        raise ValueError(f"family is one of {', '.join(SEALS)}; found {family!r}")
    seal, sentence = SEALS[family]
    items = (*_body(family), *_nose(family), *_measures(family, name or family))
    title = f"{name or family}: where to measure"
    flanks = f" Flanks of {FLANKS.get(family, '60°')}." if "flanks" not in sentence else ""
    words = (
        f"1: outside diameter across the crests{', in the middle of the taper' if family in TAPERED else ''}; "
        f"of a female thread the inside diameter across its crests. 2: length of five pitches, divided by 5. "
        f"3: what seals: {seal}. {sentence}{flanks}"
    )
    return render(Sheet(WIDTH, HEIGHT, title, words, items, "thread"), mode)
