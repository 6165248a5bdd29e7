"""Side slopes over all headings: where the machine first rolls, and the site's slope, in degrees and per cent."""

from __future__ import annotations

import math
from dataclasses import dataclass

from handfast.drawings.inks import Fill, Hatch, Letter, Line, Mode
from handfast.drawings.marks import arrowhead
from handfast.drawings.svg import Disc, Item, Label, Point, Sheet, Stroke, poly, render, segment, text_width


@dataclass(frozen=True)
class SlopeCurve:
    """Angle of first roll (rad) over headings (rad; turn of the nose from straight downhill, anticlockwise)."""

    label: str
    headings: tuple[float, ...]
    angles: tuple[float, ...]
    line: Line = Line.WIDE
    word: str = "rolls first at"
    limits: bool = True
    """Whether it is a first roll, which limits; what the axle's stop adds is shown beside it and limits nothing."""

    def worst(self) -> tuple[float, float]:
        """Heading and angle where it rolls first."""
        angle, heading = min(zip(self.angles, self.headings, strict=True))
        return heading, angle


@dataclass(frozen=True)
class SlopeView:
    """Curves of first roll, the site's slope, and the slope that the check allows."""

    curves: tuple[SlopeCurve, ...]
    site: float | None = None
    site_label: str = "the site"
    allowed: float | None = None
    """Half the least angle of first roll, the check's own limit."""
    allowed_label: str = "half of the least"
    title: str = "Slope over all headings"


@dataclass(frozen=True)
class _Dial:
    x: float
    y: float
    radius: float
    most: float

    def at(self, heading: float, angle: float) -> Point:
        """Downhill is down the page; headings turn anticlockwise as seen from above."""
        r = self.radius * min(angle, self.most) / self.most
        return self.x + r * math.sin(heading), self.y + r * math.cos(heading)


def degrees_and_per_cent(angle: float) -> str:
    """An angle written both ways.

    >>> degrees_and_per_cent(0.2915)
    '16.7°, 30 %'
    """
    degrees = math.degrees(angle)
    return f"{degrees:.1f}°, {math.tan(angle) * 100:.0f} %"


def _rings(dial: _Dial, step: float) -> tuple[list[Item], list[Item]]:
    """Rings and rays, and the figures of the rings, which stand above the curves."""
    rings: list[Item] = []
    figures: list[Item] = []
    for k in range(1, round(math.degrees(dial.most) / step) + 1):
        angle = math.radians(step * k)
        rings.append(Disc((dial.x, dial.y), dial.radius * angle / dial.most, Line.RULE))
        x, y = dial.at(math.radians(135), angle)
        figures.append(Label((x, y + 5), f"{step * k:.0f}°", Letter.NOTE, "middle"))
    for heading in range(0, 360, 30):
        a = math.radians(heading)
        rings.append(segment(dial.at(a, dial.most * 0.12), dial.at(a, dial.most), Line.RULE))
    return rings, figures


def _closed(dial: _Dial, curve: SlopeCurve) -> list[Point]:
    return [dial.at(h, a) for h, a in zip(curve.headings, curve.angles, strict=True)]


def _beyond(dial: _Dial, curve: SlopeCurve) -> Item:
    """What lies beyond the least curve, hatched: outer circle and the curve turned the other way round."""
    rim = [dial.at(2 * math.pi * k / 72, dial.most) for k in range(72)]
    inner = sorted(zip(curve.headings, curve.angles, strict=True), reverse=True)
    hole = [dial.at(h, a) for h, a in inner]
    return Stroke((*poly(rim, closed=True), *poly(hole, closed=True)), None, Hatch.OPEN)


def _plan(dial: _Dial) -> list[Item]:
    """A small tractor from above, nose to the downhill side."""
    x, y, s = dial.x, dial.y, dial.radius * 0.085

    def rect(u: float, v: float, w: float, h: float, fill: Fill) -> Stroke:
        corners = [
            (x + u * s, y + v * s),
            (x + (u + w) * s, y + v * s),
            (x + (u + w) * s, y + (v + h) * s),
            (x + u * s, y + (v + h) * s),
        ]
        return Stroke(poly(corners, closed=True), Line.NARROW, fill)

    wheels = [rect(-0.95, -1.0, 0.4, 0.95, Fill.STEEL), rect(0.55, -1.0, 0.4, 0.95, Fill.STEEL)]
    wheels += [rect(-0.8, 0.55, 0.26, 0.6, Fill.STEEL), rect(0.54, 0.55, 0.26, 0.6, Fill.STEEL)]
    return [*wheels, rect(-0.42, -0.95, 0.84, 1.0, Fill.SHEET), rect(-0.32, 0.05, 0.64, 1.25, Fill.SHEET)]


def _words_round(dial: _Dial, small: bool) -> list[Item]:
    items: list[Item] = [Label((dial.x, dial.y - dial.radius - 10), "nose uphill", Letter.NOTE, "middle")]
    items.append(Label((dial.x, dial.y + dial.radius + 24), "nose downhill", Letter.NOTE, "middle"))
    x = dial.x - dial.radius - (14 if small else 22)
    items += [segment((x, dial.y - 26), (x, dial.y + 18), Line.NARROW), arrowhead((x, dial.y + 26), math.pi / 2)]
    items.append(Label((x - 6, dial.y), "downhill", Letter.NOTE, "middle", turn=-90))
    return items


def _curves(dial: _Dial, view: SlopeView) -> list[Item]:
    items: list[Item] = []
    for curve in view.curves:
        items.append(Stroke(poly(_closed(dial, curve), closed=True), curve.line))
        if curve.limits:
            items.append(Disc(dial.at(*curve.worst()), 4.5, None, Fill.INK))
    if view.allowed is not None:
        items.append(Disc((dial.x, dial.y), dial.radius * min(view.allowed, dial.most) / dial.most, Line.LIMIT))
    if view.site is not None:
        items.append(Disc((dial.x, dial.y), dial.radius * min(view.site, dial.most) / dial.most, Line.MARK))
        x, y = dial.at(math.radians(225), view.site)
        items.append(Label((x, y + 5), "site", Letter.MARK, "middle"))  # print has no colour to tell the ring by
    return items


def _rows(view: SlopeView) -> list[tuple[Line | None, str, str]]:
    """Line, name and figure of each row of the key; the last is the dot's."""
    rows: list[tuple[Line | None, str, str]] = [
        (c.line, c.label, f"{c.word} {degrees_and_per_cent(c.worst()[1])}") for c in view.curves
    ]
    if view.allowed is not None:
        rows.append((Line.LIMIT, view.allowed_label, degrees_and_per_cent(view.allowed)))
    if view.site is not None:
        rows.append((Line.MARK, view.site_label, degrees_and_per_cent(view.site)))
    return [*rows, (None, "worst heading", _nose(_least(view).worst()[0]))]


def _key(rows: list[tuple[Line | None, str, str]], x: float, y: float) -> list[Item]:
    items: list[Item] = []
    for k, (line, name, figure) in enumerate(rows):
        row = y + 44 * k
        items.append(
            Disc((x + 17, row), 4.5, None, Fill.INK) if line is None else segment((x, row), (x + 34, row), line)
        )
        letter = Letter.MARK if line is Line.MARK else Letter.FIGURE
        items += [Label((x + 44, row + 5), name, Letter.BODY), Label((x + 44, row + 23), figure, letter)]
    return items


def _key_width(rows: list[tuple[Line | None, str, str]]) -> float:
    return 48 + max(max(text_width(name, Letter.BODY), text_width(figure, Letter.MARK)) for _, name, figure in rows)


def _least(view: SlopeView) -> SlopeCurve:
    return min(view.curves, key=lambda c: (not c.limits, c.worst()[1]))


def _nose(heading: float) -> str:
    turn = math.degrees(heading) % 360
    return f"nose {min(turn, 360 - turn):.0f}° from downhill"


def slope_words(view: SlopeView) -> str:
    """The picture in words."""
    words = []
    for curve in view.curves:
        heading, angle = curve.worst()
        words.append(f"{curve.label}: {curve.word} {degrees_and_per_cent(angle)}, {_nose(heading)}.")
    if view.allowed is not None:
        words.append(f"{view.allowed_label}: {degrees_and_per_cent(view.allowed)}.")
    if view.site is not None:
        words.append(f"{view.site_label}: {degrees_and_per_cent(view.site)}.")
    return " ".join(words)


def slope_view(view: SlopeView, mode: Mode = "screen", width: float = 620.0) -> str:
    """Polar picture of first roll over headings; the key stands below the dial up to 480 px.

    Args:
        view: curves in rad.
        mode: screen, print, paper or blueprint.
        width: px.

    Returns:
        SVG text.
    """
    rows = _rows(view)
    small = width <= 480
    radius = min(150.0, (width - 84) / 2) if small else max(100.0, min(160.0, (width - 96 - _key_width(rows)) / 2))
    seen = [a for c in view.curves for a in c.angles if math.isfinite(a)] + [view.site or 0.0]
    most = math.radians(max(20.0, min(50.0, 10 * math.ceil(math.degrees(sorted(seen)[len(seen) * 3 // 4]) / 10 + 0.3))))
    dial = _Dial(46 + radius if small else 60 + radius, radius + 28, radius, most)
    rings, numbers = _rings(dial, 10.0)
    items: list[Item] = [_beyond(dial, _least(view)), *rings, *_curves(dial, view), *numbers, *_plan(dial)]
    foot = 2 * radius + 64
    items += _words_round(dial, small)
    items += _key(rows, 4, foot + 16) if small else _key(rows, 2 * radius + 96, 60)
    height = foot + 44 * len(rows) + 14 if small else max(foot, 60 + 44 * len(rows))
    return render(Sheet(width, height, view.title, slope_words(view), tuple(items), "slope"), mode)
