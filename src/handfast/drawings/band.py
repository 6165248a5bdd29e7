"""Bands as dimension marks: end ticks for the cautious and the kind figure, a tall tick for the likely one."""

from __future__ import annotations

from dataclasses import dataclass

from handfast.drawings.inks import Fill, Hatch, Letter, Line, Mode
from handfast.drawings.svg import Disc, Item, Label, Sheet, Stroke, box, poly, render, segment


@dataclass(frozen=True)
class Scale:
    """One scale for all bands that are to be compared; any unit, the same as the bands'."""

    low: float
    high: float

    def place(self, value: float, left: float, right: float) -> float:
        """Place of a value between two edges, px; values off the scale stand at its end."""
        span = self.high - self.low
        share = (value - self.low) / span if span > 0 else 0.5
        return left + max(0.0, min(1.0, share)) * (right - left)


def scale_over(values: list[float], room: float = 0.08, from_nought: bool = False) -> Scale:
    """A scale that holds all values with a little room.

    >>> scale_over([10.0, 20.0], 0.1)
    Scale(low=9.0, high=21.0)
    """
    low, high = (0.0 if from_nought else min(values)), max(values)
    span = (high - low) or abs(high) or 1.0
    return Scale(low if from_nought else low - room * span, high + room * span)


@dataclass(frozen=True)
class Band:
    """Three figures of an uncertain quantity; low = 1 in 10 lower, high = 1 in 10 higher."""

    low: float
    likely: float
    high: float
    fails: bool = False
    """Crossed hatch: it does not hold against the need."""


def band_items(band: Band, scale: Scale, left: float, right: float, y: float, need: float | None = None) -> list[Item]:
    """A band on its base line, 24 px tall, base line at y."""
    a, m, b = (scale.place(v, left, right) for v in (band.low, band.likely, band.high))
    items: list[Item] = [box(a, y - 13, max(b - a, 0.5), 13, None, Hatch.CROSSED if band.fails else Hatch.BAND)]
    items.append(segment((left, y), (right, y), Line.NOTE))
    items += [segment((x, y - 13), (x, y + 3), Line.NARROW) for x in (a, b)]
    items.append(segment((m, y - 17), (m, y + 3), Line.WIDE))
    if need is not None:
        x = scale.place(need, left, right)
        items.append(segment((x, y - 22), (x, y + 8), Line.MARK))
    return items


def band_mark(
    band: Band | None,
    scale: Scale,
    need: float | None = None,
    mode: Mode = "screen",
    width: float = 150.0,
    spoken: str = "",
) -> str:
    """One band beside its figure, on a scale shared with its neighbours; None draws the blank box of what is not known.

    Args:
        band: the three figures.
        scale: the shared scale.
        need: what is asked, the accent line.
        mode: screen, print, paper or blueprint.
        width: px.
        spoken: text equivalent; empty where the figures stand beside it.

    Returns:
        SVG text of 30 px height.
    """
    if band is None:
        blank = box(1, 8, width - 2, 14, Line.HIDDEN)
        items: list[Item] = [blank]
        if need is not None:
            x = scale.place(need, 1, width - 1)
            items.append(segment((x, 0), (x, 30), Line.MARK))
    else:
        items = band_items(band, scale, 1, width - 1, 22, need)
    return render(Sheet(width, 30, spoken or "Band", spoken, tuple(items), "inline band", hidden=not spoken), mode)


@dataclass(frozen=True)
class BandRow:
    """A named band with its figure in words."""

    name: str
    figure: str
    band: Band | None
    note: str = ""


@dataclass(frozen=True)
class BandRows:
    """Rows on one scale with one need line through all of them."""

    rows: tuple[BandRow, ...]
    need: float | None = None
    need_label: str = ""
    title: str = "Side by side"


def bands(chart: BandRows, mode: Mode = "screen", width: float = 700.0) -> str:
    """Named rows of bands on one scale; names stand above their bands up to 640 px.

    Args:
        chart: rows.
        mode: screen, print, paper or blueprint.
        width: px.

    Returns:
        SVG text.
    """
    small = width <= 640
    pitch, top = (62.0, 34.0) if small else (42.0, 34.0)
    left, right = (6.0, width - 6) if small else (340.0, width - 10)
    values = [v for r in chart.rows if r.band for v in (r.band.low, r.band.likely, r.band.high)]
    scale = scale_over([*values, *([chart.need] if chart.need is not None else [])] or [0.0, 1.0])
    items: list[Item] = []
    for k, row in enumerate(chart.rows):
        y = top + pitch * (k + 1) - 14
        items += _row(row, scale, left, right, y, small)
    foot = top + pitch * len(chart.rows)
    if chart.need is not None:
        x = scale.place(chart.need, left, right)
        items += [segment((x, top - 6), (x, foot), Line.MARK)]
        anchor = "end" if x > width * 0.7 else "start" if x < width * 0.25 else "middle"
        items.append(Label((x, top - 14), chart.need_label, Letter.MARK, anchor))
    words = " ".join(f"{r.name}: {r.figure}{', ' + r.note if r.note else ''}." for r in chart.rows)
    words += f" Asked for: {chart.need_label}." if chart.need_label else ""
    return render(Sheet(width, foot + 8, chart.title, words, tuple(items), "bands"), mode)


def _row(row: BandRow, scale: Scale, left: float, right: float, y: float, small: bool) -> list[Item]:
    base = y - 22 if small else y - 2
    items: list[Item] = [Label((0 if not small else left, base), row.name, Letter.BODY)]
    if row.note and not small:
        items.append(Label((0, base + 16), row.note, Letter.NOTE))
    items.append(Label(((right if small else left - 16), base), row.figure, Letter.FIGURE, "end"))
    if row.band is None:
        return [*items, box(left, y - 12, right - left, 13, Line.HIDDEN)]
    return [*items, *band_items(row.band, scale, left, right, y)]


def spare_mark(
    demand: float | None, capacity: float | None, least: bool = False, mode: Mode = "screen", width: float = 80.0
) -> str:
    """What is to spare between what a check asks and what there is; a blank box where either is not known.

    Args:
        demand: what is asked.
        capacity: what there is, same unit.
        least: True where the asked figure is the least allowed (a share that must be reached).
        mode: screen, print, paper or blueprint.
        width: px.

    Returns:
        SVG text of 16 px height, hidden from screen readers: its figures stand beside it.
    """
    right = width - 1
    items: list[Item] = [segment((1, 12), (right, 12), Line.NOTE)]
    if demand is None or capacity is None or max(demand, capacity) <= 0:
        items.append(box(1, 3, width - 2, 9, Line.HIDDEN))
    else:
        most = max(demand, capacity)
        d, c = 1 + demand / most * (right - 1), 1 + capacity / most * (right - 1)
        holds = capacity >= demand
        items.append(box(min(d, c), 4, max(abs(c - d), 0.6), 8, None, Hatch.BAND if holds else Hatch.CROSSED))
        items += [
            segment((1, 2), (1, 15), Line.NARROW),
            segment((d, 2), (d, 15), Line.MARK if not holds else Line.NARROW),
        ]
        items.append(segment((c, 2), (c, 15), Line.LIMIT if least else Line.NARROW))
    return render(Sheet(width, 16, "To spare", "", tuple(items), "inline spare", hidden=True), mode)


def cost_mark(low: float, likely: float, high: float, most: float, mode: Mode = "screen", width: float = 124.0) -> str:
    """A price line's span on the scale of the dearest line: end ticks, a dot at the likely figure.

    Args:
        low: cautious low figure, money.
        likely: likely figure.
        high: high figure.
        most: the scale's end, shared by all lines.
        mode: screen, print, paper or blueprint.
        width: px.

    Returns:
        SVG text of 14 px height, hidden from screen readers: its figures stand beside it.
    """
    items = cost_items((low, likely, high), Scale(0.0, max(most, 1e-9)), 2, width - 2, 11)
    return render(Sheet(width, 14, "Cost", "", tuple(items), "inline cost", hidden=True), mode)


def cost_items(span: tuple[float, float, float], scale: Scale, left: float, right: float, y: float) -> list[Item]:
    """A span with end ticks and a dot, base line at y."""
    a, m, b = (scale.place(v, left, right) for v in span)
    items: list[Item] = [segment((left, y), (right, y), Line.NOTE), Stroke(poly(((a, y - 4), (b, y - 4))), Line.WIDE)]
    items += [segment((x, y - 8), (x, y), Line.NARROW) for x in (a, b)]
    return [*items, Disc((m, y - 4), 3, None, Fill.INK)]
