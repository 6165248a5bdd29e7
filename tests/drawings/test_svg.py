"""The SVG text: well formed, without style attributes, spoken, the same for the same input; inks as listed."""

from __future__ import annotations

import re
from itertools import product
from pathlib import Path
from xml.etree import ElementTree

import pytest

import handfast
from handfast.drawings import gallery_values as values
from handfast.drawings.axle_bars import axle_bars
from handfast.drawings.band import Band, Scale, band_mark, bands, cost_mark, spare_mark
from handfast.drawings.cost_bars import cost_bars
from handfast.drawings.inks import INKS, LINES, PX_PER_MM, WIDTHS, Fill, Hatch, Letter, Line
from handfast.drawings.load_chart import load_chart
from handfast.drawings.marks_small import VERDICT_WORDS, arrow, dagger, tally, tick_box, verdict_mark
from handfast.drawings.quick_attach_pictures import WORDS, quick_attach_picture
from handfast.drawings.sheet_a import sheet_a
from handfast.drawings.side_view import side_view
from handfast.drawings.slope_view import slope_view
from handfast.drawings.svg import Label, Sheet, Stroke, box, poly, render

STATIC = Path(handfast.__file__).parent / "web" / "static"
NS = "{http://www.w3.org/2000/svg}"


def drawings(mode, width):
    side, chart = values.small_tractor(), values.chart()
    yield side_view(side, mode, width)
    yield load_chart(chart, mode, width)
    if width > 640:
        yield sheet_a(side, chart, mode, width)
        yield sheet_a(values.large_tractor(), values.big_chart(), mode, width)
    yield axle_bars(values.axle_states(), mode, width)
    yield slope_view(values.slopes(), mode, width)
    yield bands(values.rows(), mode, width)
    yield cost_bars(values.costs(), mode, width)
    for _, view in values.kinds():
        yield side_view(view, mode, width)
    yield from (quick_attach_picture(kind, mode, caption=True) for kind in WORDS)
    yield from (verdict_mark(v, mode, spoken=True) for v in VERDICT_WORDS)
    yield tally(0.93, mode)
    yield dagger(mode)


def hidden_marks(mode):
    scale = Scale(0, 10)
    yield band_mark(Band(1, 2, 3), scale, 2.5, mode)
    yield band_mark(None, scale, 2.5, mode)
    yield spare_mark(4, 5, mode=mode)
    yield spare_mark(None, 5, mode=mode)
    yield cost_mark(1, 2, 3, 10, mode)
    yield arrow("left", mode)
    yield tick_box(True, mode)


CASES = list(product(("screen", "print", "paper", "blueprint"), (1000.0, 700.0, 358.0)))


@pytest.mark.parametrize(("mode", "width"), CASES)
def test_every_drawing_is_well_formed_and_spoken(mode, width):
    for text in drawings(mode, width):
        root = ElementTree.fromstring(text)
        assert root.get("role") == "img"
        title, desc = root.find(f"{NS}title"), root.find(f"{NS}desc")
        assert title.text.strip() and desc.text.strip()
        assert root.get("aria-labelledby").split() == [title.get("id"), desc.get("id")]


@pytest.mark.parametrize(("mode", "width"), CASES)
def test_no_style_attribute_and_hatches_are_defined_where_they_are_used(mode, width):
    for text in [*drawings(mode, width), *hidden_marks(mode)]:
        assert "style=" not in text and "nan" not in re.sub(r"[a-z]*nan[a-z]+", "", text)
        assert set(re.findall(r"url\(#(\w+)\)", text)) == set(re.findall(r'<pattern id="(\w+)"', text))


@pytest.mark.parametrize("mode", ["print", "paper", "blueprint"])
def test_literal_modes_need_no_style_sheet(mode):
    for text in [*drawings(mode, 900.0), *hidden_marks(mode)]:
        assert "var(" not in text
        assert "class=" not in text
        for part in ElementTree.fromstring(text).iter():
            if part.tag in (f"{NS}path", f"{NS}circle"):
                assert part.get("fill") is not None


def test_print_is_black_and_grey_only():
    for text in drawings("print", 900.0):
        for colour in re.findall(r"#([0-9A-F]{6})", text):
            assert colour[:2] == colour[2:4] == colour[4:], colour


def test_equal_input_gives_equal_text_and_a_change_changes_the_ids():
    side = values.small_tractor()
    assert side_view(side) == side_view(values.small_tractor())
    ids = [set(re.findall(r'id="(\w+)"', side_view(side, "screen", w))) for w in (1000.0, 358.0)]
    assert not ids[0] & ids[1]


def test_hidden_marks_are_left_out_of_the_reading():
    for text in hidden_marks("screen"):
        root = ElementTree.fromstring(text)
        assert root.get("aria-hidden") == "true" and root.get("role") is None


def test_lettering_is_escaped():
    sheet = Sheet(10, 10, "a<b", "c&d", (Label((0, 0), '5 < 6 & "x"'),))
    root = ElementTree.fromstring(render(sheet))
    assert root.find(f"{NS}text").text == '5 < 6 & "x"'
    assert root.find(f"{NS}title").text == "a<b"


def test_control_characters_cannot_break_the_drawing():
    sheet = Sheet(10, 10, "a\x00b", "c\x1bd", (Label((0, 0), "e\x00\x07f"),))
    root = ElementTree.fromstring(render(sheet))
    assert (root.find(f"{NS}title").text, root.find(f"{NS}text").text) == ("ab", "ef")


def test_lettering_on_screen_is_never_below_14_px():
    css = (STATIC / "drawing.css").read_text("utf-8")
    sizes = [float(v) for v in re.findall(r"font-size:([\d.]+)px", css)]
    assert len(sizes) == len(Letter) and min(sizes) >= 14 and max(sizes) <= 16


def test_every_class_of_a_drawing_has_its_rule():
    css = (STATIC / "drawing.css").read_text("utf-8")
    for name in [*Line, *Fill, *Letter]:
        assert re.search(rf"\.dr \.{re.escape(name.value)}[{{,]", css), name


def test_dashes_on_screen_are_those_of_paper():
    css = (STATIC / "drawing.css").read_text("utf-8")
    for line, look in LINES.items():
        rule = re.search(rf"\.dr \.{line.value}\{{([^}}]*)\}}", css).group(1)
        found = re.search(r"stroke-dasharray:([\d. ]+)", rule)
        assert tuple(float(v) for v in found.group(1).split()) == look.dash if found else look.dash == ()


def tokens(selector):
    css = (STATIC / "tokens.css").read_text("utf-8")
    block = css[css.index(selector) :]
    return dict(re.findall(r"--(\w+):(#[0-9A-F]{3,6})", block[: block.index("}")]))


@pytest.mark.parametrize(("paper", "selector"), [("paper", ":root{"), ("blueprint", ":root[data-ink=blueprint]{")])
def test_drawing_inks_are_the_tokens(paper, selector):
    found = tokens(selector)
    for name, colour in INKS[paper].items():
        assert found[name] == colour


def luminance(colour):
    """Relative luminance, WCAG 2.2, section "relative luminance"."""
    channels = [int(colour[k : k + 2], 16) / 255 for k in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(a, b):
    """Contrast ratio, WCAG 2.2."""
    light, dark = sorted((luminance(a), luminance(b)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


@pytest.mark.parametrize("paper", ["paper", "blueprint", "print"])
def test_contrast_holds_wcag_aa(paper):
    """WCAG 2.2, 1.4.3 (4.5 : 1 for text) and 1.4.11 (3 : 1 for graphics that carry meaning)."""
    inks = INKS[paper]
    for ground in ("sheet", "tint"):
        for text in ("ink", "ink2", "mark", "halt"):
            assert contrast(inks[text], inks[ground]) >= 4.5
    assert contrast(inks["rule"], inks["sheet"]) >= 3.0


def test_contrast_function_knows_black_on_white():
    """WCAG 2.2: black on white is 21 : 1."""
    assert contrast("#000000", "#FFFFFF") == pytest.approx(21.0)


@pytest.mark.parametrize("mode", ["screen", "print"])
def test_wide_to_narrow_is_two_to_one(mode):
    """ISO 128-2:2020, 5.2: wide and narrow lines stand in the ratio 2 : 1."""
    assert WIDTHS[mode]["wide"] == 2 * WIDTHS[mode]["narrow"]


def test_print_line_is_half_a_millimetre():
    """ISO 128-2:2020, 5.1: 0.25 and 0.5 mm are of the series of line widths."""
    text = render(Sheet(100, 50, "t", "d", (Stroke(poly(((0, 0), (9, 9))), Line.WIDE),)), "print")
    root = ElementTree.fromstring(text)
    mm_per_unit = float(root.get("width").removesuffix("mm")) / 100
    assert float(root.find(f"{NS}path").get("stroke-width")) * mm_per_unit == pytest.approx(0.5)
    assert mm_per_unit * PX_PER_MM == pytest.approx(1.0)


def test_a_pattern_is_written_once_even_when_used_twice():
    items = (box(0, 0, 5, 5, None, Hatch.BAND), box(5, 0, 5, 5, None, Hatch.BAND))
    assert render(Sheet(10, 5, "t", "d", items)).count("<pattern") == 1
