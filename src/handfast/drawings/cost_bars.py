"""What it costs, line by line on one scale, with what is not in the price that people see marked."""

from __future__ import annotations

from dataclasses import dataclass

from handfast.drawings.band import Scale, cost_items
from handfast.drawings.inks import Letter, Line, Mode
from handfast.drawings.marks_small import dagger_items
from handfast.drawings.svg import Item, Label, Sheet, render, segment, text_width


@dataclass(frozen=True)
class CostLine:
    """A price line: low, likely, high, the likely figure as written, hidden when not in the price people see."""

    what: str
    low: float
    likely: float
    high: float
    figure: str
    hidden: bool = False


@dataclass(frozen=True)
class CostBars:
    """Lines and their total."""

    lines: tuple[CostLine, ...]
    total: str
    say: str = ""
    note: str = ""
    title: str = "What it costs"


def _short(text: str, room: float) -> str:
    if text_width(text, Letter.BODY) <= room:
        return text
    while text and text_width(text + "…", Letter.BODY) > room:
        text = text[:-1]
    return text.rstrip(" ,") + "…"


def cost_bars(cost: CostBars, mode: Mode = "screen", width: float = 470.0) -> str:
    """Cost lines with spans on one scale, and the total.

    Args:
        cost: lines in one currency.
        mode: screen, print, paper or blueprint.
        width: px.

    Returns:
        SVG text.
    """
    bar = 124.0 if width > 400 else 84.0
    left, right = width - bar, width - 2
    scale = Scale(0.0, max((line.high for line in cost.lines), default=1.0) * 1.04)
    items: list[Item] = []
    for k, line in enumerate(cost.lines):
        y = 20.0 + 27 * k
        items += dagger_items(2, y - 12) if line.hidden else []
        items.append(Label((16, y), _short(line.what, left - 96), Letter.BODY))
        items.append(Label((left - 14, y), line.figure, Letter.BODY, "end"))
        items += cost_items((line.low, line.likely, line.high), scale, left, right, y + 2)
    y = 20.0 + 27 * len(cost.lines)
    items += [
        segment((0, y - 15), (width, y - 15), Line.WIDE),
        Label((16, y + 8), "Fitted and delivered", Letter.FIGURE),
    ]
    items.append(Label((left - 14, y + 8), cost.total, Letter.FIGURE, "end"))
    if cost.say:
        items.append(Label((left, y + 8), cost.say, Letter.NOTE))
    if cost.note:
        items += [*dagger_items(2, y + 20), Label((16, y + 32), cost.note, Letter.NOTE)]
    lines = " ".join(f"{n.what}: {n.figure}{' (hidden)' if n.hidden else ''}." for n in cost.lines)
    words = f"{lines} Fitted and delivered {cost.total}. {cost.say} {cost.note}".rstrip()
    return render(Sheet(width, y + (42 if cost.note else 20), cost.title, words, tuple(items), "cost"), mode)
