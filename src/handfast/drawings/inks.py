"""Line types, hatches, letterings and inks: what a drawn line may be, and what it looks like on each paper."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Literal

Mode = Literal["screen", "print", "paper", "blueprint"]
Certainty = Literal["sure", "about", "unknown"]

PX_PER_MM = 5.0
"""On print one drawing unit is 0.2 mm, so that 15 px lettering comes out as 3 mm."""


class Line(StrEnum):
    """Line types; the value is the class name used on screen."""

    WIDE = "w"
    NARROW = "n"
    NOTE = "nn"
    RULE = "ru"
    HIDDEN = "hid"
    DASHED = "wd"
    UNKNOWN = "dun"
    AXIS = "ctr"
    GHOST = "pos"
    LIMIT = "lim"
    GROUND = "grd"
    MARK = "mk"
    MARK_NARROW = "mkn"
    HALT = "hlt"


class Fill(StrEnum):
    """Plain fills; the value is the class name used on screen."""

    SHEET = "fs"
    TINT = "ft"
    STEEL = "ff"
    INK = "fi"
    NOTE = "f2"
    MARK = "fm"


class Hatch(StrEnum):
    """Hatches; the value is the last part of the pattern's id."""

    BAND = "h45d"
    OPEN = "h45"
    GROUND = "hgr"
    CROSSED = "hx"
    LOOSE = "dots"
    CONCRETE = "conc"


class Letter(StrEnum):
    """Lettering: note, body, figure, figure in the accent, accent note."""

    NOTE = "tn"
    BODY = "tb"
    FIGURE = "tf"
    MARK = "tm"


@dataclass(frozen=True)
class LineLook:
    """Ink, width class and dashes of one line type."""

    ink: str
    width: Literal["narrow", "wide", "ground", "dot"]
    dash: tuple[float, ...] = ()
    round_cap: bool = False


LINES: dict[Line, LineLook] = {
    Line.WIDE: LineLook("ink", "wide", round_cap=True),
    Line.NARROW: LineLook("ink", "narrow"),
    Line.NOTE: LineLook("ink2", "narrow"),
    Line.RULE: LineLook("rule", "narrow"),
    Line.HIDDEN: LineLook("ink2", "narrow", (6, 3)),
    Line.DASHED: LineLook("ink", "wide", (9, 5)),
    Line.UNKNOWN: LineLook("ink2", "dot", (0.1, 4), round_cap=True),
    Line.AXIS: LineLook("ink2", "narrow", (14, 3, 2, 3)),
    Line.GHOST: LineLook("ink2", "narrow", (14, 3, 2, 3, 2, 3)),
    Line.LIMIT: LineLook("ink", "wide", (14, 4, 2, 4)),
    Line.GROUND: LineLook("ink", "ground"),
    Line.MARK: LineLook("mark", "wide"),
    Line.MARK_NARROW: LineLook("mark", "narrow"),
    Line.HALT: LineLook("halt", "wide"),
}

FILLS: dict[Fill, str] = {
    Fill.SHEET: "sheet",
    Fill.TINT: "tint",
    Fill.STEEL: "fill",
    Fill.INK: "ink",
    Fill.NOTE: "ink2",
    Fill.MARK: "mark",
}

LETTERS: dict[Letter, tuple[float, int, str]] = {
    Letter.NOTE: (14.0, 500, "ink2"),
    Letter.BODY: (15.0, 500, "ink"),
    Letter.FIGURE: (16.0, 700, "ink"),
    Letter.MARK: (16.0, 700, "mark"),
}

INKS: dict[str, dict[str, str]] = {
    "paper": {
        "sheet": "#FBF8F0",
        "tint": "#E9E2D1",
        "fill": "#D9D0BA",
        "ink": "#1B2130",
        "ink2": "#4A4F5C",
        "rule": "#8A8672",
        "mark": "#7E2458",
        "halt": "#7A1F0F",
    },
    "blueprint": {
        "sheet": "#143056",
        "tint": "#1C3C68",
        "fill": "#28497A",
        "ink": "#EEF3F7",
        "ink2": "#B9C9DA",
        "rule": "#7391B2",
        "mark": "#FFC2D4",
        "halt": "#FFD9B0",
    },
    "print": {
        "sheet": "#FFFFFF",
        "tint": "#FFFFFF",
        "fill": "#E6E6E6",
        "ink": "#000000",
        "ink2": "#333333",
        "rule": "#777777",
        "mark": "#000000",
        "halt": "#000000",
    },
}

WIDTHS: dict[str, dict[str, float]] = {
    "screen": {"narrow": 1.0, "wide": 2.0, "ground": 2.8, "dot": 2.0},
    "print": {
        "narrow": 0.25 * PX_PER_MM,
        "wide": 0.5 * PX_PER_MM,
        "ground": 0.7 * PX_PER_MM,
        "dot": 0.4 * PX_PER_MM,
    },
}

# Pattern tiles: side of the tile, turn in degrees, lines (class of ink, path), dots (x, y, radius).
HatchTile = tuple[float, float, str, str, tuple[tuple[float, float, float], ...]]

TILES: dict[Hatch, HatchTile] = {
    Hatch.BAND: (4, 45, "ink2", "M0,0V4", ()),
    Hatch.OPEN: (8, 45, "rule", "M0,0V8", ()),
    Hatch.GROUND: (7, 45, "rule", "M0,0V7", ()),
    Hatch.CROSSED: (7, 45, "rule", "M0,0V7M0,0H7", ()),
    Hatch.LOOSE: (6, 0, "ink2", "", ((1.5, 1.5, 0.8), (4.5, 4.5, 0.8))),
    Hatch.CONCRETE: (14, 0, "ink2", "M2,4l3,-2l1,3zM9,10l3,1l-2,2z", ((10, 4, 0.8), (4, 11, 0.8))),
}

CERTAINTY_LINE: dict[Certainty, Line] = {"sure": Line.NOTE, "about": Line.HIDDEN, "unknown": Line.UNKNOWN}
CERTAINTY_WORD: dict[Certainty, str] = {"sure": "", "about": "about", "unknown": "not known"}


def ink_of(mode: Mode, ink: str) -> str:
    """Literal colour of an ink on a paper; the screen's literal is the light paper's."""
    return INKS["paper" if mode == "screen" else mode][ink]


def width_of(mode: Mode, width: str) -> float:
    """Line width in drawing units for a mode and width class."""
    return WIDTHS["print" if mode == "print" else "screen"][width]
