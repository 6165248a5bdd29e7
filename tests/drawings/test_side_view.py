"""The side view is true to scale: what is measured off the drawing is what was put in."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from itertools import pairwise
from xml.etree import ElementTree

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from handfast.drawings import gallery_values as values
from handfast.drawings.attachment_shape import TYPICAL, floor_height, shape_of
from handfast.drawings.load_chart import LoadChart
from handfast.drawings.load_shape import lid_on, radius_of, seat
from handfast.drawings.marks import Figure
from handfast.drawings.sheet_a import sheet_a
from handfast.drawings.side_parts import Attachment, Behind, Piece
from handfast.drawings.side_view import lay_out, lid_angle, scale_ratio, side_view, tool_top

NS = "{http://www.w3.org/2000/svg}"


def circles(text):
    root = ElementTree.fromstring(text)
    return [(float(c.get("cx")), float(c.get("cy")), float(c.get("r"))) for c in root.iter(f"{NS}circle")]


def tyres(text, scale, view):
    """Circles of the two tyres' radii."""
    radii = (view.rear_radius * scale, view.front_radius * scale)
    return [min(circles(text), key=lambda c, r=radius: abs(c[2] - r)) for radius in radii]


@pytest.mark.parametrize("view", [values.small_tractor(), values.large_tractor()])
def test_wheelbase_and_tyres_measure_true_on_print(view):
    """A print at 1 : n: millimetres on paper times n are the tractor's own."""
    text = side_view(view, "print", 900.0)
    ratio = scale_ratio(view, 900.0, 58.0)
    mm = 0.2 * ratio
    rear, front = tyres(text, 1000 / mm, view)
    assert (front[0] - rear[0]) * mm == pytest.approx(view.wheelbase * 1000, abs=0.15 * mm)
    assert rear[2] * mm == pytest.approx(view.rear_radius * 1000, abs=0.06 * mm)
    assert rear[1] + rear[2] == pytest.approx(front[1] + front[2], abs=0.11), "both stand on the ground"


@pytest.mark.parametrize("width", [930.0, 700.0, 500.0])
def test_print_scales_are_standard_ones(width):
    """The scales a workshop's rule carries; 1 : 25 and 1 : 40 are the ones the sheets ask for."""
    assert scale_ratio(values.small_tractor(), width) in (10, 12.5, 15, 20, 25, 30, 40, 50, 60, 75, 100)


@given(st.floats(0.25, 1.8))
def test_pins_keep_their_radius(height):
    view = values.small_tractor()
    height = min(max(height, view.pin_height_down), view.pin_height_max)
    x, z = view.pin_at(height)
    assert z == pytest.approx(height)
    assert math.dist((x, z), view.pivot) == pytest.approx(view.boom)


@pytest.mark.parametrize("height", [0.25, 0.8, 1.3, 1.8])
def test_the_line_runs_level_from_the_pins_to_what_they_carry(height):
    view = replace(values.small_tractor(), pin_height=height)
    text = sheet_a(view, values.chart(), "screen", 1000.0)
    frame = lay_out(view, 1000.0, "screen", 260.0 + 74).frame
    y = frame.at(0, height)[1]
    lines = re.findall(r'class="mkn f0" d="M([\d.]+) ([\d.]+)L([\d.]+) ([\d.]+)"', text)
    assert len(lines) == 3, "pins to the ruler, ruler to the chart, across the chart"
    assert all(float(a) == float(b) == pytest.approx(y, abs=0.06) for _, a, _, b in lines)
    dot = re.search(r'<circle class="fm" cx="[\d.]+" cy="([\d.]+)"', text)
    assert float(dot.group(1)) == pytest.approx(y, abs=0.06)


@pytest.mark.parametrize("width", [358.0, 700.0, 1000.0])
def test_nothing_of_the_outfit_leaves_the_sheet_at_any_height(width):
    base = values.small_tractor()
    for height in (base.pin_height_down, base.pivot[1], base.pin_height_max):
        text = side_view(replace(base, pin_height=height), "screen", width)
        root = ElementTree.fromstring(text)
        for path in root.iter(f"{NS}path"):
            if "wide" in (path.get("class") or "") or (path.get("class") or "").startswith("w "):
                numbers = [float(v) for v in re.findall(r"-?\d+\.?\d*", path.get("d"))]
                assert min(numbers[::2]) >= -1 and max(numbers[::2]) <= width + 1
                assert min(numbers[1::2]) >= -1 and max(numbers[1::2]) <= float(root.get("height")) + 1


def test_the_drawing_stands_still_while_the_slider_moves():
    base = values.small_tractor()
    frames = {
        lay_out(replace(base, pin_height=h, curl=c), 800.0, "screen", 58.0)
        for h in (0.3, 1.1, 1.8)
        for c in (-0.4, 0.3)
    }
    assert len(frames) == 1


@pytest.mark.parametrize("kind", sorted(TYPICAL))
def test_each_kind_has_its_own_outline(kind):
    base = values.small_tractor()
    outlines = {}
    for other in TYPICAL:
        shape = shape_of(replace(base, attachment=Attachment(other, has_lid="grapple" in other or "grab" in other)))
        outlines[other] = (shape.fixed, shape.lid)
    assert sum(shapes == outlines[kind] for shapes in outlines.values()) == 1


@pytest.mark.parametrize("carrier", ["pinned", "universal_plate", "universal_plate_narrow", "hook_and_pin"])
def test_each_carrier_is_drawn_differently(carrier):
    base = replace(values.small_tractor(), plane_ahead=0.11, plane_drop=0.08)
    texts = {
        c: side_view(replace(base, quick_attach=c))
        for c in ("pinned", "universal_plate", "universal_plate_narrow", "hook_and_pin")
    }
    paths = {c: re.findall(r' d="([^"]*)"', t) for c, t in texts.items()}
    assert sum(p == paths[carrier] for p in paths.values()) == 1


@given(st.floats(0.06, 0.3), st.floats(0.2, 0.5))
def test_a_log_touches_the_floor_and_does_not_cut_it(radius, x):
    floor = ((0.0, 0.1), (0.1, 0.0), (0.5, -0.02), (0.7, 0.1))
    z = floor_height(floor, x, radius)
    dense = [
        (a[0] + (b[0] - a[0]) * k / 400, a[1] + (b[1] - a[1]) * k / 400) for a, b in pairwise(floor) for k in range(401)
    ]
    nearest = min(math.dist((x, z), p) for p in dense)
    assert nearest == pytest.approx(radius, rel=0.02)


@pytest.mark.parametrize("diameter", [0.2, 0.3, 0.4, 0.5])
def test_the_lid_rests_on_the_log_and_does_not_cut_it(diameter):
    view = replace(values.small_tractor(), load=Piece("log", diameter=diameter))
    shape = shape_of(view)
    angle = lid_on(view.load, shape)
    centre, radius = seat(view.load, shape), radius_of(view.load, shape)
    face = [shape.lid_at(p, angle) for p in shape.lid_face]
    far = [p for p in face if math.dist(p, shape.pivot) > 0.12 * shape.reach]
    assert min(math.dist(p, centre) for p in far) >= 0.98 * radius
    assert angle == 0.0 or min(math.dist(p, centre) for p in far) <= 1.1 * radius


def test_a_bigger_log_opens_the_lid_further():
    shape = shape_of(values.small_tractor())
    angles = [lid_on(Piece("log", diameter=d), shape) for d in (0.1, 0.3, 0.45, 0.6)]
    assert angles == sorted(angles) and angles[-1] > angles[0]


def test_an_asked_lid_angle_is_taken():
    view = replace(values.small_tractor(), lid=0.7)
    assert lid_angle(view, shape_of(view)) == 0.7
    assert tool_top(view) > tool_top(replace(view, lid=0.0))


def test_text_equivalent_holds_every_figure():
    view = replace(
        values.small_tractor(),
        lift_to=1.2,
        dimensions=replace(values.small_tractor().dimensions, lift_to=Figure("4 ft")),
    )
    desc = ElementTree.fromstring(side_view(view)).find(f"{NS}desc").text
    for words in (
        "72 in",
        "12 in log",
        "300 lb",
        "2,374 lb",
        "about 816 lb",
        "55 in",
        "about 32 in",
        "30 in",
        "21",
        "4 ft",
    ):
        assert words in desc


def test_unknown_figures_are_dots_and_the_word():
    view = replace(
        values.small_tractor(), dimensions=replace(values.small_tractor().dimensions, wheelbase=Figure("", "unknown"))
    )
    text = side_view(view, "screen", 900.0)
    assert 'class="dun f0"' in text
    assert "Wheelbase not known." in text and ">not known</text>" in text


def test_chart_reads_the_lesser_limit():
    chart = LoadChart(heights=(0.0, 1.0, 2.0), lift=(500.0, 400.0, 300.0), curl=(350.0, 350.0, 350.0))
    assert chart.limit() == (350.0, 350.0, 300.0)
    assert [chart.governs(h) for h in (0.0, 1.0, 2.0)] == ["curl", "curl", "lift"]
    assert chart.at(1.5) == pytest.approx(325.0)
    assert chart.at(-1.0) == 350.0 and chart.at(9.0) == 300.0


POLYLINE = st.lists(st.tuples(st.floats(0, 1.2), st.floats(-0.1, 0.8)), min_size=0, max_size=6).map(tuple)
PIECES = ("log", "logs", "bundle", "round_bale", "square_bale", "pallet", "brush", "rock", "loose", "stump", "free")
BEHINDS = (
    "ballast_box",
    "drum",
    "rotary_cutter",
    "tiller",
    "backhoe",
    "rear_wheels",
    "tyres",
    "unknown",
    "none",
    "anything",
)


@settings(max_examples=60, deadline=None)
@given(
    kind=st.sampled_from(sorted(TYPICAL)),
    floor=POLYLINE,
    lid=POLYLINE,
    has_lid=st.booleans(),
    piece=st.builds(Piece, st.sampled_from(PIECES), st.floats(0, 1.5), st.floats(0, 2.0)),
    behind=st.builds(Behind, st.sampled_from(BEHINDS), st.floats(0.0, 2.5), st.just(Figure("300 lb"))),
    wheelbase=st.floats(0.9, 3.0),
    height=st.floats(-0.5, 5.0),
    curl=st.floats(-1.2, 1.2),
    width=st.sampled_from([320.0, 640.0, 641.0, 1200.0]),
)
def test_whatever_is_recorded_can_be_drawn(kind, floor, lid, has_lid, piece, behind, wheelbase, height, curl, width):
    """Odd records are drawn oddly but are drawn, with finite figures."""
    view = replace(
        values.small_tractor(),
        attachment=Attachment(kind, floor=floor, lid=lid, has_lid=has_lid),
        load=piece,
        behind=behind,
        wheelbase=wheelbase,
        pin_height=height,
        curl=curl,
    )
    root = ElementTree.fromstring(side_view(view, "print", width))
    for path in root.iter(f"{NS}path"):
        assert "nan" not in path.get("d") and "inf" not in path.get("d")
    assert 0 < float(root.get("height").removesuffix("mm")) < 2000
