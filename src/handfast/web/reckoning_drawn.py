"""Drawings beside a single chapter: slope over all headings, weight on the axles."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from markupsafe import Markup

from handfast.drawings.axle_bars import AxleBars, AxleState, axle_bars
from handfast.drawings.slope_view import SlopeCurve, SlopeView, slope_view
from handfast.drawings.svg import in_two_widths
from handfast.machines.faults import Faults
from handfast.quantities.showing import show
from handfast.reckoning.slope import reckon_slope
from handfast.web.toml_write import toml_text

WIDE, SMALL = 700.0, 358.0
HEADINGS = [math.radians(turn) for turn in range(0, 360, 5)]


def drawing_of(chapter: str, data: Mapping[str, Any], result: Mapping[str, Any], system: str) -> Markup:
    """The drawing that belongs to a chapter's result, empty where there is none."""
    if chapter == "slope":
        return _slope(data)
    if chapter == "balance":
        return _axles(result, system)
    return Markup("")


def _slope(data: Mapping[str, Any]) -> Markup:
    """First roll over all headings."""
    asked = {**data, "slope": {**data.get("slope", {}), "headings": HEADINGS}}
    try:
        tips = reckon_slope(toml_text(asked))["tips"]
    except Faults:
        return Markup("")
    if any(one["angle"] is None for one in tips):
        return Markup("")
    curve = SlopeCurve("as given", tuple(HEADINGS), tuple(one["angle"] for one in tips))
    view = SlopeView((curve,))
    return Markup(in_two_widths(lambda width: slope_view(view, "screen", width), WIDE, SMALL))


def _axles(result: Mapping[str, Any], system: str) -> Markup:
    """Weight on both axles with what is listed."""
    rear, front = result.get("rear_axle"), result.get("front_axle")
    if rear is None or front is None or rear < 0 or front < 0:
        return Markup("")
    said = show(rear, "mass", system), show(front, "mass", system)
    rules = tuple(sorted({0.20, 0.25, float(result.get("asked_share") or 0.25)}))
    bars = AxleBars((AxleState("As given", "load in front, ballast as listed", rear, front, said[0], said[1], rules),))
    return Markup(in_two_widths(lambda width: axle_bars(bars, "screen", width), WIDE, SMALL))
