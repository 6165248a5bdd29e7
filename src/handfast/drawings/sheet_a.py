"""Sheet A: side view and load chart on one height scale, with one line from the pins to what they carry."""

from __future__ import annotations

import math
from dataclasses import replace

from handfast.drawings.inks import Letter, Line, Mode
from handfast.drawings.load_chart import LoadChart, chart_items, chart_words, load_chart, plot_of
from handfast.drawings.side_marks import side_marks, side_words
from handfast.drawings.side_parts import SideView
from handfast.drawings.side_view import (
    SMALL,
    arm_point,
    ground_strip,
    lay_out,
    load_point,
    side_items,
    side_view,
    tool_top,
)
from handfast.drawings.svg import Item, Label, Sheet, render, segment


def sheet_a(side: SideView, chart: LoadChart, mode: Mode = "screen", width: float = 1000.0) -> str:
    """Side view and load chart on one sheet with one height axis; stacked up to 640 px.

    Args:
        side: the outfit.
        chart: its load chart; its `now` is taken from the side view's pin height.
        mode: screen, print, paper or blueprint.
        width: px.

    Returns:
        SVG text; two svg elements up to 640 px.
    """
    chart = replace(chart, now=side.pin_height)
    if width <= SMALL:
        return side_view(side, mode, width) + load_chart(chart, mode, width)
    room = max(250.0, 0.26 * width)
    layout = lay_out(side, width, mode, room + 74)
    frame = layout.frame
    ruler, left = layout.right + 30, layout.right + 84
    right = min(width - 14, left + max(room, 0.3 * width))
    plot = plot_of(chart, frame, left, right)
    items: list[Item] = [*ground_strip(frame, 0, left - 14), *side_items(side, layout)]
    y = frame.at(0, side.pin_height)[1]
    items.append(segment((ruler, y), (left, y), Line.MARK_NARROW))
    items += chart_items(chart, plot)
    items += side_marks(side, frame, ruler, left - 10, False, load_point(side), arm_point(side), tool_top(side))
    if chart.height_word:
        items.append(Label((left - 9, plot.at(0, max(chart.heights))[1] - 24), chart.height_word, Letter.NOTE, "end"))
    words = f"{side_words(side)} Beside it the load chart on the same height scale. {chart_words(chart)}"
    title = f"{side.title} and load chart"
    return render(Sheet(width, math.ceil(layout.height), title, words, tuple(items), "sheet-a"), mode)
