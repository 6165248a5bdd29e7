"""Which unknown moves the margin: bars about the middle margin, the widest on top, and the line of no margin."""

from __future__ import annotations

from dataclasses import dataclass

from handfast.drawings.band import Scale, scale_over
from handfast.drawings.inks import Hatch, Letter, Line, Mode
from handfast.drawings.svg import Item, Label, Sheet, box, in_lines, render, segment


@dataclass(frozen=True)
class TornadoRow:
    """One unknown: its name, what it can be, and the margin at either end."""

    name: str
    low: str
    high: str
    at_low: float
    at_high: float


@dataclass(frozen=True)
class TornadoView:
    """The margin of one check, and what moves it."""

    check: str
    rows: tuple[TornadoRow, ...]
    middle: float
    middle_label: str
    rest: str = ""
    title: str = "What moves the margin"


PITCH = 58.0
Span = tuple[float, float]


def tornado_drawing(view: TornadoView, mode: Mode = "screen", width: float = 700.0) -> str:
    """Bars of what moves a margin on one scale with nought.

    Args:
        view: rows, the widest first.
        mode: screen, print, paper or blueprint.
        width: px.

    Returns:
        SVG text.
    """
    small = width <= 640
    left, right = (4.0, width - 4) if small else (width * 0.36, width - 8)
    ends = [at for row in view.rows for at in (row.at_low, row.at_high)]
    scale = scale_over([*ends, 0.0, view.middle], 0.06)
    top, pitch = 44.0, (PITCH + 24 if small else PITCH)
    foot = top + pitch * len(view.rows)
    bars = [(top + pitch * k + 32, top + pitch * k + 58) for k in range(len(view.rows))]
    items = _lines(view, scale, (left, right), bars if small else [(top - 8, foot)])
    for k, row in enumerate(view.rows):
        items += _row(row, scale, (left, right), top + pitch * k, small)
    if view.rest:
        items.append(Label((0, foot + 18), view.rest, Letter.NOTE))
    return render(Sheet(width, foot + (28 if view.rest else 8), view.title, words(view), tuple(items), "tornado"), mode)


def _row(row: TornadoRow, scale: Scale, span: Span, y: float, small: bool) -> list[Item]:
    left, right = span
    base = y + (52 if small else 28)
    a, b = (scale.place(at, left, right) for at in (row.at_low, row.at_high))
    start, end = min(a, b), max(a, b)
    fails = min(row.at_low, row.at_high) < 0
    nought = scale.place(0.0, left, right)
    items: list[Item] = []
    if fails:
        items.append(box(start, base - 14, min(end, nought) - start, 14, None, Hatch.CROSSED))
    if end > nought or not fails:
        begin = max(start, nought) if fails else start
        items.append(box(begin, base - 14, end - begin, 14, None, Hatch.BAND))
    items.append(box(start, base - 14, max(end - start, 0.6), 14, Line.NARROW))
    if small:
        items.append(Label((0, y + 18), row.name, Letter.BODY))
    else:
        lines = in_lines(row.name, left - 20, Letter.BODY)[:2]
        items += [
            Label((0, base - (16 if len(lines) > 1 else 2) + 18 * k), t, Letter.BODY) for k, t in enumerate(lines)
        ]
    return items + _ends(row, (start, end), a <= b, base, span)


def _ends(
    row: TornadoRow, bar: tuple[float, float], rising: bool, base: float, span: tuple[float, float]
) -> list[Item]:
    """What it is at either end, under the bar, kept within the sheet and apart."""
    first, second = (row.low, row.high) if rising else (row.high, row.low)
    middle = min(max((bar[0] + bar[1]) / 2, span[0] + 90), span[1] - 90)
    return [
        Label((middle - 8, base + 17), first, Letter.NOTE, "end"),
        Label((middle, base + 17), "/", Letter.NOTE, "middle"),
        Label((middle + 8, base + 17), second, Letter.NOTE),
    ]


def _lines(view: TornadoView, scale: Scale, span: Span, rows: list[Span]) -> list[Item]:
    """The middle margin, and the line below which it does not hold, along the bars."""
    nought, middle = scale.place(0.0, *span), scale.place(view.middle, *span)
    items: list[Item] = []
    for top, foot in rows:
        items += [segment((nought, top), (nought, foot), Line.MARK), segment((middle, top), (middle, foot), Line.AXIS)]
    items.append(Label((nought, 14), "nothing to spare", Letter.MARK, _anchor(nought, span)))
    items.append(Label((middle, 32), view.middle_label, Letter.NOTE, _anchor(middle, span)))
    return items


def _anchor(x: float, span: Span) -> str:
    share = (x - span[0]) / (span[1] - span[0])
    return "start" if share < 0.3 else "end" if share > 0.7 else "middle"


def words(view: TornadoView) -> str:
    """The picture in words."""
    each = " ".join(f"{row.name}: {row.low} to {row.high}." for row in view.rows)
    return f"{view.check}, likely {view.middle_label}. What moves it, most first: {each} {view.rest}".rstrip()
