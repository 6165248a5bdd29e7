"""The load chart: what the outfit carries at each height, what it is asked to carry, and which limit stops it."""

from __future__ import annotations

import math
from dataclasses import dataclass

from handfast.drawings.axes import nice_ticks, tick_text
from handfast.drawings.inks import Fill, Hatch, Letter, Line, Mode
from handfast.drawings.marks import Figure
from handfast.drawings.side_marks import handle
from handfast.drawings.svg import Disc, Frame, Item, Label, Point, Sheet, Stroke, poly, render, segment, text_width


@dataclass(frozen=True)
class Other:
    """A further curve, as capacity at another distance ahead of the pins."""

    label: str
    likely: tuple[float, ...]


@dataclass(frozen=True)
class LoadChart:
    """Load that the outfit carries at the load point over pin height; kg over m."""

    heights: tuple[float, ...]
    lift: tuple[float, ...]
    lift_low: tuple[float, ...] = ()
    lift_high: tuple[float, ...] = ()
    curl: tuple[float, ...] = ()
    need: float | None = None
    need_label: Figure | None = None
    now: float | None = None
    """Pin height now, m."""
    now_label: str = ""
    others: tuple[Other, ...] = ()
    rated: float | None = None
    """What the attachment itself is rated for, kg; None where it is not known or far beyond the lift."""
    share: tuple[float, ...] = ()
    """What the mount costs at each height: drawn from the lift on to where it would be pinned straight on."""
    share_label: str = ""
    load_unit: float = 0.45359237
    """kg in one shown unit."""
    load_word: str = "lb in the jaws, at the load"
    height_unit: float = 0.0254
    """m in one shown unit."""
    height_word: str = "in"
    title: str = "Load chart"

    def limit(self) -> tuple[float, ...]:
        """The least of lift, curl and the attachment's own rating at each height."""
        rated = math.inf if self.rated is None else self.rated
        return tuple(min(a, b, rated) for a, b in zip(self.lift, self.curl or self.lift, strict=True))

    def at(self, height: float) -> float:
        """What it carries at a height, read off the limit."""
        values, hs = self.limit(), self.heights
        for (h1, v1), (h2, v2) in zip(zip(hs, values, strict=True), zip(hs[1:], values[1:], strict=True), strict=False):
            if min(h1, h2) <= height <= max(h1, h2) and h1 != h2:
                return v1 + (v2 - v1) * (height - h1) / (h2 - h1)
        return values[0] if abs(height - hs[0]) < abs(height - hs[-1]) else values[-1]

    def governs(self, height: float) -> str:
        """The limit that governs at a height: lift, curl or rating."""
        k = min(range(len(self.heights)), key=lambda i: abs(self.heights[i] - height))
        found = {"lift": self.lift[k], "curl": self.curl[k] if self.curl else math.inf}
        found["rating"] = math.inf if self.rated is None else self.rated
        return min(found, key=lambda name: found[name])


@dataclass(frozen=True)
class Plot:
    """Where a chart stands: heights share a frame with the side view, loads run from left to right."""

    frame: Frame
    left: float
    right: float
    most: float
    """Load at the right edge, kg."""

    def at(self, load: float, height: float) -> Point:
        """Drawing point of a load and a height."""
        x = self.left + max(0.0, min(load, self.most)) / self.most * (self.right - self.left)
        return x, self.frame.at(0, height)[1]


def plot_of(chart: LoadChart, frame: Frame, left: float, right: float) -> Plot:
    """A plot whose load axis ends on a round figure beyond everything drawn."""
    seen = [*chart.lift, *chart.lift_high, *_without(chart), *chart.curl, chart.need or 0.0]
    top = sorted(seen)[-1]
    cap = 2.6 * max(max(chart.limit()), chart.need or 0.0)
    return Plot(frame, left, right, max(min(top, cap), 1e-6) * 1.1)


def chart_items(chart: LoadChart, plot: Plot) -> list[Item]:
    """The chart without its title."""
    items = [*_beyond(chart, plot), *_share(chart, plot), *_band(chart, plot)]
    if chart.now is not None:
        y = plot.at(0, chart.now)[1]
        items.append(segment((plot.left, y), (plot.right, y), Line.MARK_NARROW))
    items += [*_axes(chart, plot), *_curves(chart, plot)]
    names = [*_names_of_others(chart, plot), *_share_name(chart, plot)]
    return [*items, *_need(chart, plot), *names, *_now(chart, plot)]


def _line(chart: LoadChart, plot: Plot, loads: tuple[float, ...]) -> list[Point]:
    return [plot.at(load, h) for load, h in zip(loads, chart.heights, strict=True)]


def _beyond(chart: LoadChart, plot: Plot) -> list[Item]:
    edge = _line(chart, plot, chart.limit())
    corners = [(plot.right, edge[-1][1]), (plot.right, edge[0][1])]
    return [Stroke(poly([*edge, *corners], closed=True), None, Hatch.OPEN)]


def _without(chart: LoadChart) -> tuple[float, ...]:
    """What it would lift pinned straight on."""
    return tuple(a + b for a, b in zip(chart.lift, chart.share, strict=False))


def _share(chart: LoadChart, plot: Plot) -> list[Item]:
    """What the mount takes, from the lift to the line without it, with its name in the clear above."""
    if not chart.share:
        return []
    lift, without = _line(chart, plot, chart.lift), _line(chart, plot, _without(chart))
    area = poly([*lift, *reversed(without)], closed=True)
    return [Stroke(area, None, Fill.TINT), Stroke(poly(without), Line.GHOST)]


def _share_name(chart: LoadChart, plot: Plot) -> list[Item]:
    """The mount's share by its mass, on the side of the strip where no other line runs through it."""
    if not chart.share:
        return []
    k = len(chart.heights) // 3
    (lift, y), (without, _) = (plot.at(loads[k], chart.heights[k]) for loads in (chart.lift, _without(chart)))
    text = f"−{tick_text(round(chart.share[k] / chart.load_unit))} {chart.load_word.split(' ')[0]}"
    wide = text_width(text, Letter.NOTE) + 8
    others = [plot.at(load, 0)[0] for load in (chart.need, chart.curl[k] if chart.curl else None) if load is not None]
    clear = all(not without < x < without + wide for x in others) and without + wide <= plot.right
    return [Label((without + 6 if clear else lift - 6, y + 5), text, Letter.NOTE, "start" if clear else "end")]


def _band(chart: LoadChart, plot: Plot) -> list[Item]:
    if not chart.lift_low or not chart.lift_high:
        return []
    low, high = _line(chart, plot, chart.lift_low), _line(chart, plot, chart.lift_high)
    area = poly([*low, *reversed(high)], closed=True)
    return [
        Stroke(area, None, Fill.SHEET),
        Stroke(area, None, Hatch.BAND),
        *(Stroke(poly(p), Line.NOTE) for p in (low, high)),
    ]


def _axes(chart: LoadChart, plot: Plot) -> list[Item]:
    frame, top = plot.frame, max(chart.heights)
    x0, y0 = plot.left, frame.ground
    items: list[Item] = [
        segment((x0, frame.at(0, top)[1] - 34), (x0, y0), Line.NARROW),
        segment((x0, y0), (plot.right, y0), Line.NARROW),
    ]
    step = 34 / frame.scale / chart.height_unit
    for value in nice_ticks(top / chart.height_unit, step, chart.height_word == "in"):
        y = frame.at(0, value * chart.height_unit)[1]
        items += [segment((x0 - 5, y), (x0, y), Line.NARROW)]
        items.append(Label((x0 - 9, y + 5), tick_text(value), Letter.NOTE, "end"))
    room = 44 / (plot.right - plot.left) * plot.most / chart.load_unit
    for value in nice_ticks(plot.most / chart.load_unit * 0.97, room):
        x = plot.at(value * chart.load_unit, 0)[0]
        items += [segment((x, y0), (x, y0 + 5), Line.NARROW)]
        items.append(Label((x, y0 + 22), tick_text(value), Letter.NOTE, "middle"))
    items.append(Label(((x0 + plot.right) / 2, y0 + 41), chart.load_word, Letter.NOTE, "middle"))
    return items


def _curves(chart: LoadChart, plot: Plot) -> list[Item]:
    items: list[Item] = []
    for other in chart.others:
        points = _line(chart, plot, other.likely)
        items.append(Stroke(poly(points), Line.NOTE))
    if chart.rated is not None:
        items.append(Stroke(poly(_line(chart, plot, (chart.rated,) * len(chart.heights))), Line.LIMIT))
    lift = _line(chart, plot, chart.lift)
    curl = _line(chart, plot, chart.curl) if chart.curl else []
    if curl:
        items.append(Stroke(poly(curl), Line.DASHED))
    items.append(Stroke(poly(lift), Line.WIDE))
    return [*items, *_names(lift, curl, plot)]


def _names_of_others(chart: LoadChart, plot: Plot) -> list[Item]:
    """Each further curve's name beside it, stepped up the drawing so that no two meet."""
    items: list[Item] = []
    for k, other in enumerate(chart.others):
        at = len(chart.heights) * (k + 1) // (len(chart.others) + 3)
        x, y = plot.at(other.likely[at], chart.heights[at])
        if other.label and x - 5 - text_width(other.label, Letter.NOTE) > plot.left + 2:
            items.append(Label((x - 5, y + 4), other.label, Letter.NOTE, "end"))
    return items


def _names(lift: list[Point], curl: list[Point], plot: Plot) -> list[Item]:
    low = max(lift, key=lambda p: p[1])
    if low[1] > plot.frame.ground - 20:
        low = (low[0], plot.frame.ground - 22)
    if not curl:
        return [Label((low[0], low[1] + 16), "lift", Letter.BODY, "middle")]
    foot = max(curl, key=lambda p: p[1])
    apart = abs(foot[0] - low[0]) > 34
    shift = 0.0 if apart else 17.0
    sign = -1.0 if foot[0] <= low[0] else 1.0
    edge = plot.right - 0.5 * text_width("curl", Letter.BODY)
    return [
        Label((min(foot[0] + sign * shift, edge), low[1] + 16), "curl", Letter.BODY, "middle"),
        Label((low[0] - sign * shift, low[1] + 16), "lift", Letter.BODY, "middle"),
    ]


def _need(chart: LoadChart, plot: Plot) -> list[Item]:
    if chart.need is None:
        return []
    x, top = plot.at(chart.need, max(chart.heights))
    items: list[Item] = [segment((x, top - 36), (x, plot.frame.ground), Line.MARK)]
    if chart.need_label is not None:
        half = text_width(chart.need_label.text, Letter.MARK) / 2
        middle = min(max(x, plot.left + 10 + half), plot.right + 8 - half)
        items.append(Label((middle, top - 44), chart.need_label.text, Letter.MARK, "middle"))
    return items


def _now(chart: LoadChart, plot: Plot) -> list[Item]:
    if chart.now is None:
        return []
    load = chart.at(chart.now)
    x, y = plot.at(load, chart.now)
    items: list[Item] = [Disc((x, y), 5.5, None, Fill.MARK)]
    right = x + text_width(chart.now_label, Letter.FIGURE) + 14 < plot.right + 6
    anchor, dx = ("start", 10.0) if right else ("end", -10.0)
    need_x = plot.at(chart.need, 0)[0] if chart.need is not None else -1e9
    if right and 0 < need_x - x < text_width(chart.now_label, Letter.FIGURE) + 14:
        dx = need_x - x + 8
    items.append(Label((x + dx, y - 9), chart.now_label, Letter.FIGURE, anchor))
    word = {"rating": "its own rating governs"}.get(governs := chart.governs(chart.now), f"{governs} governs")
    items.append(Label((plot.right - 4, y + 20), word, Letter.NOTE, "end"))
    return items


def chart_words(chart: LoadChart) -> str:
    """The chart in words with its figures at the ground, at the top and at the height now."""
    unit = chart.load_word.split(" ")[0]
    hs = [chart.heights[k] for k in (0, len(chart.heights) // 2, -1)]
    parts = []
    for h in dict.fromkeys([*hs, *([chart.now] if chart.now is not None else [])]):
        load = f"{chart.at(h) / chart.load_unit:,.0f} {unit}"
        word = chart.governs(h).replace("rating", "its own rating")
        parts.append(f"at {h / chart.height_unit:,.3g} {chart.height_word} {load}, {word} governs")
    need = f" Asked for: {chart.need_label.spoken()}." if chart.need_label is not None else ""
    share = f" {chart.share_label[:1].upper()}{chart.share_label[1:]}." if chart.share_label else ""
    further = "; ".join(f"{o.label} {o.likely[-1] / chart.load_unit:,.0f} {unit}" for o in chart.others if o.label)
    return (
        "It carries "
        + "; ".join(parts)
        + "."
        + need
        + share
        + (f" At full height with the load further out: {further}." if further else "")
    )


def load_chart(chart: LoadChart, mode: Mode = "screen", width: float = 360.0) -> str:
    """The load chart by itself, with its own height axis.

    Args:
        chart: the loads, kg over m.
        mode: screen, print, paper or blueprint.
        width: px.

    Returns:
        SVG text.
    """
    tall = min(width * 0.8, 340.0)
    scale = tall / max(chart.heights)
    frame = Frame(0, tall + 62, scale)
    plot = plot_of(chart, frame, 44, width - 24)
    items = chart_items(chart, plot)
    items.append(Label((4, 16), f"pins, {chart.height_word}", Letter.NOTE))
    if chart.now is not None:
        items.append(handle(plot.right, plot.at(0, chart.now)[1]))
    return render(
        Sheet(width, math.ceil(frame.ground + 50), chart.title, chart_words(chart), tuple(items), "chart"), mode
    )
