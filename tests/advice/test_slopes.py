"""The slope picture's curves, against the independently reckoned inquiries of `tests/validation/checked`.

Those files give the first roll broadside and at the worst heading, travelling and at full height, reckoned apart
from this program.
"""

from __future__ import annotations

import json
from functools import cache
from math import degrees, pi, tan
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from handfast.advice.advise import advise
from handfast.advice.result import OutfitAdvice
from handfast.advice.slopes import slope_curves
from handfast.drawings.charts_from_advice import slope_view_of
from handfast.drawings.slope_view import degrees_and_per_cent, slope_view, slope_words
from handfast.machines.reading import read_inquiry
from handfast.machines.shelf import Shelf
from handfast.outfits.lay import lay

CHECKED = Path(__file__).parents[1] / "validation" / "checked"
KNOWN = ("q01", "q04", "q07", "q10", "q18", "q19")


@cache
def outfit(name: str, change: tuple[str, str] = ("", "")) -> OutfitAdvice:
    text = (
        (CHECKED / f"{name}.toml").read_text().replace(*change) if change[0] else (CHECKED / f"{name}.toml").read_text()
    )
    return advise(read_inquiry(text), Shelf()).outfits[0]


def figures(name: str) -> dict[str, Any]:
    return json.loads((CHECKED / f"{name}.expected.json").read_text())["figures"]  # type: ignore[no-any-return]


@pytest.mark.parametrize("name", KNOWN)
def test_bare_curves_pass_through_the_checked_angles(name: str) -> None:
    """Nothing added: broadside (a quarter turn) and the worst heading, load low."""
    inquiry = read_inquiry((CHECKED / f"{name}.toml").read_text())
    low, high = slope_curves(lay(inquiry.resolve(Shelf()), Shelf(), 1).benches[0])[0]
    expected = figures(name)
    assert low.pose == "travelling" and low.headings[18] == pytest.approx(pi / 2)
    pairs = [("tip.low_loaded", low)] + ([("tip.full_height_loaded", high)] if high.pose == "full_height" else [])
    for key, curve in pairs:
        if key in expected:
            assert curve.first_roll[18] == pytest.approx(expected[key]["value"], rel=1e-6)
            assert curve.worst == pytest.approx(expected[f"{key}.worst_heading"]["value"], rel=1e-6)


@pytest.mark.parametrize("name", KNOWN)
def test_the_check_is_half_of_the_least_worst(name: str) -> None:
    one = outfit(name)
    check = next(c for c in one.checks if c.id == "slope.side")
    least = min(curve.worst for curve in one.slopes)
    if check.capacity is not None:
        assert check.capacity.p50 == pytest.approx(0.5 * least, rel=1e-9)
    for curve in one.slopes:
        assert curve.worst <= min(curve.first_roll) <= curve.worst + 0.01
        assert np.all(np.array(curve.to_the_stop) >= np.array(curve.first_roll))
        assert 0.0 < curve.worst_heading < pi / 2  # nose slightly downhill, never broadside


def test_no_swing_known_no_stop_drawn() -> None:
    """Without the axle's swing (and no class to look it up in) the first roll stands alone."""
    text = (CHECKED / "q07.toml").read_text().replace('front_axle_swing = "10 deg"', "")
    text = text.replace('class = "utility"', "").replace('engine_power = "82 hp"', "")
    curves = advise(read_inquiry(text), Shelf()).outfits[0].slopes
    assert curves and all(curve.to_the_stop == () for curve in curves)
    gone = text.replace('rear_track = "1651 mm"', "")
    one = advise(read_inquiry(gone), Shelf()).outfits[0]
    assert one.slopes == () and slope_view_of(one) is None


def test_picture_shows_degrees_and_per_cent_and_what_limits() -> None:
    one = outfit("q07")
    view = slope_view_of(one)
    assert view is not None
    assert [curve.limits for curve in view.curves] == [True, True, False, False]
    assert view.site == pytest.approx(0.0599282, abs=1e-6)  # 6 %
    spoken, drawn = slope_words(view), slope_view(view)
    for curve in one.slopes:
        assert f"{degrees(curve.worst):.1f}°, {100 * tan(curve.worst):.0f} %" == degrees_and_per_cent(curve.worst)
        assert f"{degrees(min(curve.first_roll)):.1f}°" in spoken
    assert "3.4°, 6 %" in drawn and "goes over for good" in drawn and "nose 75° from downhill" in drawn
    round_about = view.curves[0]
    assert len(round_about.headings) == 72 and round_about.angles[1] == round_about.angles[-1]
