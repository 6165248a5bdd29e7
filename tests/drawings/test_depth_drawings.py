"""The tornado and the bars of how sure: in two widths, within the sheet, said in words too."""

from __future__ import annotations

import re

import pytest

from handfast.drawings.inks import Letter
from handfast.drawings.odds_bars import OddsRow, OddsView, odds_bars
from handfast.drawings.svg import text_width
from handfast.drawings.tornado import TornadoRow, TornadoView, tornado_drawing

ROWS = (
    TornadoRow("how thick the pieces are", "13 in", "15 in", 60.0, -45.0),
    TornadoRow("what the tractor weighs", "3,300 lb", "3,700 lb", -20.0, 18.0),
    TornadoRow("how the bucket comes off", "pinned", "universal plate", 2.0, 12.0),
)
SPARE = TornadoView("Lift to full height", ROWS, 8.0, "8 lb to spare", "4 more unknowns move it less.")
SHORT = TornadoView("Across the slope", (TornadoRow("the slope", "33 %", "55 %", -90.0, -150.0),), -120.0, "31 % short")
ODDS = OddsView(
    (
        OddsRow("Everything together", 0.35, 0.04, "3 times in 10", 0.9),
        OddsRow("The attachment's own rating", 0.99, 0.0, "more than 9 in 10", 0.97),
    )
)
LETTERS = {"tn": Letter.NOTE, "tb": Letter.BODY, "tf": Letter.FIGURE, "tm": Letter.MARK}


def drawn() -> list[tuple[str, str, float]]:
    found = []
    for width in (700.0, 358.0):
        found += [(f"{name} {width:g}", tornado_drawing(view, "screen", width), width)
                  for name, view in (("spare", SPARE), ("short", SHORT))]  # fmt: skip
        found.append((f"odds {width:g}", odds_bars(ODDS, "screen", width), width))
    return found


@pytest.mark.parametrize("name, svg, width", drawn(), ids=[one[0] for one in drawn()])
def test_no_lettering_leaves_the_sheet(name: str, svg: str, width: float) -> None:
    height = float(re.search(r'viewBox="0 0 [\d.]+ ([\d.]+)"', svg)[1])  # type: ignore[index]
    labels = re.findall(r"<text([^>]*)>([^<]*)</text>", svg)
    assert labels
    for attributes, text in labels:
        x, y = (float(re.search(rf'\b{axis}="([-\d.]+)"', attributes)[1]) for axis in "xy")  # type: ignore[index]
        kind = next(letter for name, letter in LETTERS.items() if re.search(rf"\b{name}\b", attributes))
        wide = text_width(text.replace("&#x27;", "'"), kind)
        anchor = "end" if "end" in attributes else "middle" if "middle" in attributes else "start"
        left = x - {"end": wide, "middle": wide / 2, "start": 0.0}[anchor]
        assert left >= -2 and left + wide <= width + 2, text
        assert 0 < y <= height, text


def test_the_words_say_what_is_drawn() -> None:
    svg = tornado_drawing(SPARE)
    said = re.search(r"<desc[^>]*>(.*?)</desc>", svg)
    assert said
    for row in ROWS:
        assert f"{row.name}: {row.low} to {row.high}." in said[1]
    said = re.search(r"<desc[^>]*>(.*?)</desc>", odds_bars(ODDS))
    assert said and "Everything together: 3 times in 10." in said[1]


def test_a_bar_is_as_wide_as_its_margins() -> None:
    """Two rows, the second half as wide: the frames of the bars are in that proportion."""
    two = (TornadoRow("a", "l", "h", 0.0, 100.0), TornadoRow("b", "l", "h", 25.0, 75.0))
    svg = tornado_drawing(TornadoView("c", two, 50.0, "50"), "screen", 700.0)
    frames = re.findall(r'<path class="n f0" d="M([\d.]+) [\d.]+L([\d.]+)', svg)
    widths = [abs(float(b) - float(a)) for a, b in frames]
    assert max(widths) / sorted(widths)[-2] == pytest.approx(2.0, rel=0.01)


def test_print_has_no_colour_but_black() -> None:
    assert "7E2458" not in tornado_drawing(SPARE, "print").upper()
