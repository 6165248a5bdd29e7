"""Small marks beside text: verdict squares, the tally of ten, the dagger, arrows, the tick box."""

from __future__ import annotations

import math
from typing import Literal

from handfast.drawings.inks import Fill, Line, Mode
from handfast.drawings.marks import arrowhead
from handfast.drawings.svg import Item, Sheet, Stroke, box, poly, render, segment

Verdict = Literal["fits", "fits_if", "does_not_fit", "not_enough_known"]

VERDICT_WORDS: dict[str, str] = {
    "fits": "Fits",
    "fits_if": "Fits if",
    "does_not_fit": "Does not fit",
    "not_enough_known": "Not enough known",
}


def verdict_items(verdict: str) -> list[Item]:
    """Full, half, crossed or dashed square of 16 px."""
    square = box(1, 1, 14, 14, Line.WIDE)
    if verdict == "fits":
        return [box(1, 1, 14, 14, Line.WIDE, Fill.INK)]
    if verdict == "fits_if":
        return [square, Stroke(poly(((1, 15), (1, 1), (15, 1)), closed=True), None, Fill.INK)]
    if verdict == "does_not_fit":
        return [square, segment((1, 1), (15, 15), Line.WIDE), segment((15, 1), (1, 15), Line.WIDE)]
    if verdict == "not_enough_known":
        return [segment(a, b, Line.WIDE) for a, b in _dashes()]
    raise ValueError(f"verdict is one of {', '.join(VERDICT_WORDS)}; found {verdict!r}")


def _dashes() -> list[tuple[tuple[float, float], tuple[float, float]]]:
    spans = ((1.0, 3.6), (6.7, 9.3), (12.4, 15.0))
    level = [((a, y), (b, y)) for y in (1.0, 15.0) for a, b in spans]
    upright = [((x, a), (x, b)) for x in (1.0, 15.0) for a, b in spans]
    return [*level, *upright]


def verdict_mark(verdict: str, mode: Mode = "screen", spoken: bool = False) -> str:
    """The square of a verdict: fits, fits_if, does_not_fit, not_enough_known.

    Args:
        verdict: the verdict's id.
        mode: screen, print, paper or blueprint.
        spoken: True where its word does not stand beside it.

    Returns:
        SVG text, 16 by 16 px.

    Raises:
        ValueError: an unknown verdict.
    """
    word = VERDICT_WORDS.get(verdict, "")
    items = tuple(verdict_items(verdict))
    return render(Sheet(16, 16, word, f"Verdict: {word}.", items, "inline mark", hidden=not spoken), mode)


def tally_count(held: float) -> int:
    """How many in ten hold, rounded down so that it never sounds surer than it is.

    >>> tally_count(0.97), tally_count(1.0), tally_count(0.3)
    (9, 10, 3)
    """
    if not 0.0 <= held <= 1.0:
        raise ValueError(f"a share lies between 0 and 1; found {held!r}")
    return math.floor(held * 10 + 1e-9)


def tally(held: float, mode: Mode = "screen", spoken: bool = True) -> str:
    """Tally of ten: an inked stroke for each one in ten that holds, a stub for the others.

    Args:
        held: share that holds, 0 to 1.
        mode: screen, print, paper or blueprint.
        spoken: False where "9 in 10" stands beside it.

    Returns:
        SVG text, 64 by 16 px.

    Raises:
        ValueError: a share outside 0 to 1.
    """
    count = tally_count(held)
    items: list[Item] = [segment((3 + 6 * k, 2), (3 + 6 * k, 14), Line.WIDE) for k in range(count)]
    items += [segment((3 + 6 * k, 9), (3 + 6 * k, 14), Line.NOTE) for k in range(count, 10)]
    words = f"{count} in 10"
    return render(
        Sheet(64, 16, words, f"Holds in {words} samples.", tuple(items), "inline tally", hidden=not spoken), mode
    )


def dagger_items(x: float, y: float) -> list[Item]:
    """A dagger of 8 by 14 px, drawn because the lettering lacks it."""
    blade = [(x + 4, y + 13.5), (x + 3.1, y + 5.6), (x + 4.9, y + 5.6)]
    hilt = [(x + 4, y + 0.5), (x + 5, y + 2.2), (x + 4.4, y + 4.2), (x + 3.6, y + 4.2), (x + 3, y + 2.2)]
    return [
        Stroke(poly(blade, closed=True), None, Fill.MARK),
        Stroke(poly(hilt, closed=True), None, Fill.MARK),
        segment((x + 0.8, y + 4.9), (x + 7.2, y + 4.9), Line.MARK),
    ]


def dagger(mode: Mode = "screen", spoken: bool = True) -> str:
    """The dagger of a price line that people do not see on-line."""
    words = "not in the price people see"
    return render(Sheet(8, 14, words, words, tuple(dagger_items(0, 0)), "inline dagger", hidden=not spoken), mode)


def arrow(direction: Literal["right", "left", "up", "down"] = "right", mode: Mode = "screen") -> str:
    """A small arrow, drawn because the lettering lacks it; hidden from screen readers."""
    angle = {"right": 0.0, "down": math.pi / 2, "left": math.pi, "up": -math.pi / 2}[direction]
    c, s = math.cos(angle), math.sin(angle)
    line = segment((8 - 6 * c, 8 - 6 * s), (8 + 3 * c, 8 + 3 * s), Line.NARROW)
    head = arrowhead((8 + 7 * c, 8 + 7 * s), angle, 8, Fill.INK)
    return render(Sheet(16, 16, direction, "", (line, head), "inline arrow", hidden=True), mode)


def tick_box(ticked: bool = False, mode: Mode = "screen") -> str:
    """A box to tick on paper; hidden from screen readers, its word stands beside it."""
    items: list[Item] = [box(1, 1, 12, 12, Line.WIDE)]
    if ticked:
        items.append(Stroke(poly(((3, 7), (6, 10.5), (11.5, 2.5))), Line.WIDE))
    return render(Sheet(14, 14, "box", "", tuple(items), "inline box", hidden=True), mode)
