"""No word of a slope picture, axle bars or load chart runs over the sheet's edge: print cuts off what does."""

from __future__ import annotations

import re
from dataclasses import replace
from html import unescape

import pytest

from handfast.drawings import gallery_values as values
from handfast.drawings.axle_bars import axle_bars
from handfast.drawings.inks import Letter
from handfast.drawings.load_chart import load_chart
from handfast.drawings.marks import Figure
from handfast.drawings.slope_view import slope_view
from handfast.drawings.svg import text_width

TEXT = re.compile(r'<text class="(\w+)[^"]*" x="([-\d.]+)"([^>]*)>([^<]*)</text>')


def outside(drawn: str, width: float) -> list[str]:
    """Words that begin or end beyond the sheet, by the widths of the lettering's own metrics."""
    found = []
    for letter, at, rest, written in TEXT.findall(drawn):
        wide = text_width(unescape(written), Letter(letter))
        share = 1.0 if "end" in rest else 0.5 if "middle" in rest else 0.0
        start = float(at) - share * wide
        if "rotate" not in rest and (start < -1.0 or start + wide > width + 1.0):
            found.append(written)
    return found


@pytest.mark.parametrize("width", [320.0, 358.0, 620.0, 660.0, 760.0])
def test_slope_picture(width: float) -> None:
    long = replace(values.slopes(), site_label="the site at its steepest")
    drawn = slope_view(long, width=width)
    assert len(TEXT.findall(drawn)) > 12
    assert outside(drawn, width) == []


@pytest.mark.parametrize("width", [358.0, 700.0])
def test_axle_bars(width: float) -> None:
    drawn = axle_bars(values.axle_states(), width=width)
    assert len(TEXT.findall(drawn)) > 8
    assert outside(drawn, width) == []


@pytest.mark.parametrize("need", [20.0, 180.0])
def test_load_chart_writes_what_is_asked_clear_of_its_axis(need: float) -> None:
    chart = replace(values.chart(), need=need, need_label=Figure("asked: 44 lb"))
    drawn = load_chart(chart, width=358.0)
    assert outside(drawn, 358.0) == []
    at = {text: float(x) for _, x, _, text in TEXT.findall(drawn)}
    pins_end = at["pins, in"] + text_width("pins, in", Letter.NOTE)
    assert at["asked: 44 lb"] - text_width("asked: 44 lb", Letter.MARK) / 2 > pins_end
