"""Counts as bars from nought, all on one scale that ends at what they are out of, each with its count written."""

from __future__ import annotations

from dataclasses import dataclass

from handfast.drawings.inks import Fill, Hatch, Letter, Line, Mode
from handfast.drawings.svg import Item, Label, Sheet, box, in_lines, render, segment


@dataclass(frozen=True)
class CountBar:
    """One bar: its name and how many; `beside` where it does not count in the share that is asked about."""

    name: str
    count: int
    beside: bool = False


@dataclass(frozen=True)
class CountBars:
    """Bars out of so many, and a share with its limits, as counts on the same scale, under one of them."""

    bars: tuple[CountBar, ...]
    of: int
    title: str
    unit: str = ""


PITCH, BAR, LINE = 30.0, 15.0, 17.0
SIDE = 330.0  # px of the names on the wide drawing


def count_bars(view: CountBars, mode: Mode = "screen", width: float = 620.0) -> str:
    """Bars that begin at nought.

    Args:
        view: the bars; their scale ends at `of`, or at the longest where they overlap.
        mode: screen, print, paper or blueprint.
        width: px.

    Returns:
        SVG text.

    >>> count_bars(CountBars((CountBar("asked", 3),), 7, "Inquiries")).startswith("<svg")
    True
    """
    small = width <= 480
    left, right = (2.0, width - 70) if small else (min(SIDE, 0.45 * width), width - 70)
    most = max(view.of, *(one.count for one in view.bars), 1)
    items: list[Item] = []
    y = 6.0
    for one in view.bars:
        lines = in_lines(one.name, (width - 4) if small else left - 14, Letter.BODY)
        down = _bar(items, one, view.of, lines, (y, left, right, most), small)
        y += down
    items += _scale(y + 4, left, right, most)
    spoken = " ".join(f"{one.name}: {one.count} of {view.of}." for one in view.bars)
    return render(Sheet(width, y + 26, view.title, spoken, tuple(items), "count"), mode)


def _bar(
    items: list[Item], one: CountBar, of: int, lines: list[str], at: tuple[float, float, float, int], small: bool
) -> float:
    """Draw one bar with its name and count; gives how far down the next one begins."""
    y, left, right, most = at
    end = left + (right - left) * one.count / most
    above = LINE * len(lines) if small else 0.0
    top = y + above + (2.0 if small else 0.0)
    for place, words in enumerate(lines):
        items.append(
            Label((2.0 if small else left - 10, y + 13 + LINE * place), words, Letter.BODY, "start" if small else "end")
        )
    items.append(segment((left, top - 2), (left, top + BAR + 2), Line.NARROW))
    if one.count:
        items.append(box(left, top, end - left, BAR, Line.NARROW, Hatch.OPEN if one.beside else Fill.STEEL))
    items.append(Label((end + 7, top + 13), f"{one.count} of {of}", Letter.BODY))
    return above + PITCH if small else max(PITCH, LINE * len(lines) + 8.0)


def _scale(y: float, left: float, right: float, most: int) -> list[Item]:
    """The axis: nought at the left, what they are out of at the right."""
    step = max(1, -(-most // 8))
    marks = [n for n in range(0, most + 1, step) if n == 0 or most - n >= step / 2] + [most]
    items: list[Item] = [segment((left, y), (right, y), Line.NOTE)]
    for n in dict.fromkeys(marks):
        x = left + (right - left) * n / most
        items += [segment((x, y), (x, y + 4), Line.NOTE), Label((x, y + 17), str(n), Letter.NOTE, "middle")]
    return items
