"""The lettering and the vendored script: licence, checksums, figures of one width, letters that drawings need."""

from __future__ import annotations

import hashlib
import re
from pathlib import Path
from xml.etree import ElementTree

import pytest
from fontTools.pens.boundsPen import BoundsPen
from fontTools.ttLib import TTFont

import handfast
from handfast.drawings import gallery_values as values
from handfast.drawings.axle_bars import axle_bars
from handfast.drawings.side_view import side_view
from handfast.drawings.slope_view import slope_view

ROOT = Path(handfast.__file__).parent
STATIC, PAPER = ROOT / "web" / "static", ROOT / "documents" / "fonts"
WOFF = sorted((STATIC / "fonts").glob("*.woff2"))
TTF = sorted(PAPER.glob("*.ttf"))
BUDGET = 150_000
"""Bytes of lettering and script that a first page may load."""


def advances(font, suffix=""):
    names = ["zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine"]
    return [font["hmtx"][name + suffix][0] for name in names]


def test_there_are_three_letterings_for_screen_and_for_paper():
    assert len(WOFF) == len(TTF) == 3


@pytest.mark.parametrize("path", WOFF, ids=lambda p: p.stem)
def test_screen_lettering_has_tabular_lining_figures(path):
    """The features are asked for in the style sheets; the italic's nought is a hair wider in the font itself."""
    font = TTFont(path)
    features = {r.FeatureTag for r in font["GSUB"].table.FeatureList.FeatureRecord}
    assert {"tnum", "lnum", "frac"} <= features
    widths = advances(font, ".tf")
    assert max(widths) - min(widths) <= (7 if "italic" in path.stem else 0)


@pytest.mark.parametrize("path", TTF, ids=lambda p: p.stem)
def test_paper_lettering_is_tabular_and_lining_by_itself(path):
    font = TTFont(path)
    cmap, glyphs = font.getBestCmap(), font.getGlyphSet()
    assert len({font["hmtx"][cmap[ord(d)]][0] for d in "0123456789"}) == 1
    tops = []
    for digit in "0123456789":
        pen = BoundsPen(glyphs)
        glyphs[cmap[ord(digit)]].draw(pen)
        tops.append(pen.bounds[3] - max(pen.bounds[1], 0))
        assert pen.bounds[1] > -30, "no figure hangs below the line"
    assert max(tops) - min(tops) < 0.06 * font["head"].unitsPerEm


@pytest.mark.parametrize("path", TTF, ids=lambda p: p.stem)
def test_paper_lettering_bears_one_family_name(path):
    font = TTFont(path)
    assert font["name"].getDebugName(16) == "Alegreya Sans"
    assert font["OS/2"].usWeightClass == (700 if "Bold" in path.stem else 500)


def test_style_sheets_ask_for_tabular_lining_figures():
    for name in ("sheet.css", "drawing.css"):
        assert "font-variant-numeric:lining-nums tabular-nums" in (STATIC / name).read_text("utf-8")


@pytest.mark.parametrize("path", [*WOFF, *TTF], ids=lambda p: p.name)
def test_lettering_holds_every_letter_the_drawings_use(path):
    side, big = values.small_tractor(), values.large_tractor()
    texts = [side_view(side), side_view(big), axle_bars(values.axle_states()), slope_view(values.slopes())]
    used = {c for t in texts for e in ElementTree.fromstring(t).iter() if e.tag.endswith("text") for c in e.text}
    assert not {c for c in used | set("½¼¾′″×°–—“”·%$€") if ord(c) not in TTFont(path).getBestCmap()}


@pytest.mark.parametrize("folder", [STATIC / "fonts", PAPER], ids=["screen", "paper"])
def test_the_licence_lies_beside_the_lettering(folder):
    assert "SIL OPEN FONT LICENSE Version 1.1" in (folder / "OFL.txt").read_text("utf-8")


def test_checksums_hold_for_everything_fetched():
    listed = dict(
        reversed(line.split(maxsplit=1)) for line in (STATIC / "vendor.sha256").read_text("utf-8").splitlines()
    )
    fetched = {p.relative_to(STATIC).as_posix() for p in [*WOFF, *(STATIC / "vendor").glob("*.js")]}
    assert set(listed) == fetched
    for name, digest in listed.items():
        assert hashlib.sha256((STATIC / name).read_bytes()).hexdigest() == digest, name
    assert (STATIC / "vendor" / "htmx.LICENSE.txt").read_text("utf-8").strip()


def test_lettering_and_script_stay_within_the_budget():
    assert sum(p.stat().st_size for p in [*WOFF, *(STATIC / "vendor").glob("*.js")]) <= BUDGET


def test_style_sheets_fetch_nothing_from_elsewhere():
    for path in STATIC.glob("*.css"):
        css = path.read_text("utf-8")
        assert "@import" not in css
        for target in re.findall(r"url\(([^)]*)\)", css):
            assert (STATIC / target.strip("\"'")).is_file()
