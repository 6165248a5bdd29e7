"""Bars, bands, dials and small marks measure what they say."""

from __future__ import annotations

import cmath
import math
import re
from decimal import ROUND_FLOOR, Decimal
from itertools import pairwise
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handfast.drawings import gallery_values as values
from handfast.drawings.axes import nice_step, nice_ticks
from handfast.drawings.axle_bars import AxleBars, AxleState, axle_bars
from handfast.drawings.band import Band, Scale, band_mark, scale_over, spare_mark
from handfast.drawings.gallery import write_gallery
from handfast.drawings.marks_small import tally, tally_count, verdict_mark
from handfast.drawings.quick_attach_pictures import quick_attach_picture
from handfast.drawings.slope_view import SlopeCurve, SlopeView, degrees_and_per_cent, slope_view

NS = "{http://www.w3.org/2000/svg}"


def rectangles(text):
    found = re.findall(r'd="M([\d.]+) ([\d.]+)L([\d.]+) [\d.]+L[\d.]+ ([\d.]+)L', text)
    return [(float(x2) - float(x1), float(y2) - float(y1)) for x1, y1, x2, y2 in found]


@given(st.floats(50, 2000), st.floats(50, 2000))
def test_the_hatched_part_is_the_rear_share(rear, front):
    text = axle_bars(AxleBars((AxleState("a", "", rear, front, "r", "f", ()),)))
    hatched, whole = (w for w, h in rectangles(text) if h == pytest.approx(26))
    assert hatched / whole == pytest.approx(rear / (rear + front), abs=0.002)


def test_bars_share_one_scale():
    bars = values.axle_states()
    wholes = [w for w, h in rectangles(axle_bars(bars)) if h == pytest.approx(26)][1::2]
    masses = [s.rear + s.front for s in bars.states]
    for width, mass in zip(wholes, masses, strict=True):
        assert width / wholes[0] == pytest.approx(mass / masses[0], abs=0.002)


def test_the_written_rules_stand_at_their_shares():
    """20 and 25 % of what stands on both axles together."""
    text = axle_bars(AxleBars((AxleState("a", "", 300.0, 700.0, "r", "f"),)))
    marks = [float(x) for x in re.findall(r'class="mk f0" d="M([\d.]+) ', text)]
    (x0, width) = next(
        (float(m[0]), float(m[1]) - float(m[0]))
        for m in re.findall(r'class="n f0" d="M([\d.]+) [\d.]+L([\d.]+) ', text)
    )
    assert [(m - x0) / width for m in marks] == pytest.approx([0.20, 0.25], abs=0.001)


@given(st.floats(0, 1))
def test_tally_rounds_down(held):
    expected = int((Decimal(held) * 10 + Decimal("1e-9")).to_integral_value(ROUND_FLOOR))
    assert tally_count(held) == expected
    root = ElementTree.fromstring(tally(held))
    strokes = [p.get("class") for p in root.iter(f"{NS}path")]
    assert strokes.count("w f0") == expected and len(strokes) == 10


def test_tally_refuses_what_is_no_share():
    for wrong in (-0.1, 1.1, math.nan):
        with pytest.raises(ValueError, match="share"):
            tally_count(wrong)


def test_unknown_ids_are_refused():
    with pytest.raises(ValueError, match="verdict"):
        verdict_mark("perhaps")
    with pytest.raises(ValueError, match="kind"):
        quick_attach_picture("glue")


@given(st.lists(st.floats(-1e6, 1e6), min_size=1, max_size=20))
def test_a_scale_holds_all_its_values_in_order(listed):
    scale = scale_over(listed)
    places = [scale.place(v, 0, 100) for v in sorted(listed)]
    assert places == sorted(places) and places[0] >= 0 and places[-1] <= 100


def test_bands_on_one_scale_are_comparable():
    scale = Scale(0, 100)
    one, two = (band_mark(Band(m - 5, m, m + 5), scale, width=102) for m in (20, 60))
    tall = [float(re.findall(r'class="w f0" d="M([\d.]+)', text)[0]) for text in (one, two)]
    assert tall[1] - tall[0] == pytest.approx(40.0, abs=0.11)


def test_a_failing_check_is_crossed_and_an_unknown_one_blank():
    assert "hx)" in spare_mark(5, 4) and "h45d)" in spare_mark(4, 5)
    assert "url(" not in spare_mark(None, 4)


def test_thirty_per_cent_is_seventeen_degrees():
    """30 % is 16.70°, as any slope table has it; 45° is 100 %."""
    assert degrees_and_per_cent(math.atan(0.30)) == "16.7°, 30 %"
    assert degrees_and_per_cent(math.pi / 4) == "45.0°, 100 %"


@pytest.mark.parametrize("degrees", [0, 30, 90, 180, 265])
def test_headings_turn_anticlockwise_from_downhill(degrees):
    """Seen from above with downhill down the page: the complex number −i turned by the heading."""
    headings = tuple(math.radians(h) for h in range(0, 360, 5))
    worst = math.radians(degrees)
    angles = tuple(math.radians(10.0 if abs(h - worst) < 1e-9 else 20.0) for h in headings)
    text = slope_view(SlopeView((SlopeCurve("c", headings, angles),)))
    root = ElementTree.fromstring(text)
    rings = [c for c in root.iter(f"{NS}circle") if c.get("class") == "ru f0"]
    centre = complex(float(rings[0].get("cx")), -float(rings[0].get("cy")))
    dot = next(c for c in root.iter(f"{NS}circle") if c.get("class") == "fi")
    place = complex(float(dot.get("cx")), -float(dot.get("cy"))) - centre
    expected = -1j * cmath.exp(1j * worst)
    assert abs(place / abs(place) - expected) < 0.01
    assert abs(place) == pytest.approx(float(rings[0].get("r")), abs=0.2), "10° lies on the first ring"


@given(st.floats(1e-3, 1e6))
def test_steps_are_round_and_large_enough(least):
    step = nice_step(least)
    mantissa = step / 10 ** math.floor(math.log10(step) + 1e-9)
    assert step >= least * (1 - 1e-9) and step <= least * 2.5 + 1e-9
    assert min(abs(mantissa - m) for m in (1, 2, 5)) < 1e-6


def test_ticks_begin_at_nought_and_do_not_pass_the_end():
    assert nice_ticks(72.0, 10.0, twelves=True) == [0, 12, 24, 36, 48, 60, 72]


def test_the_gallery_writes_its_pages(tmp_path):
    pages = write_gallery(tmp_path / "gallery")
    assert [p.name for p in pages] == ["light.html", "blueprint.html", "phone.html", "print.html"]
    for page in pages:
        assert "<svg" in page.read_text("utf-8") and "style=" not in page.read_text("utf-8")
    assert (tmp_path / "gallery" / "fonts" / "OFL.txt").is_file()


@pytest.mark.parametrize("width", [358.0, 700.0])
@pytest.mark.parametrize(("rating", "lines"), [(900.0, 3), (1500.0, 3), (4000.0, 0)])
def test_every_bar_has_its_limit_line_or_none_has_and_it_is_said(width: float, rating: float, lines: int) -> None:
    """The front axle's limit stands that far beyond the rear part of each bar, all of them within the sheet."""
    states = tuple(
        AxleState(n, "", rear, 1400.0 - rear, "r", "f") for n, rear in (("a", 300.0), ("b", 400.0), ("c", 700.0))
    )
    text = axle_bars(AxleBars(states, front_rating=rating, front_rating_label="limit"), width=width)
    upright = re.findall(r'class="lim[^"]*" d="M([\d.]+) [\d.]+L([\d.]+) ', text)
    places = sorted(float(x) for x, end in upright if x == end)
    assert len(places) == lines and all(0.0 < x <= width for x in places)
    assert ("beyond the scale" in text) == (lines == 0)
    if lines:
        whole = max(w for w, h in rectangles(text) if h == pytest.approx(26)) / 1400.0
        apart = [b - a for a, b in pairwise(places)]
        assert apart == pytest.approx([100.0 * whole, 300.0 * whole], abs=0.3)
