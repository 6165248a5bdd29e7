"""How sure each check is, as bars of ten with plain words."""

from __future__ import annotations

from dataclasses import dataclass

from handfast.drawings.inks import Fill, Hatch, Letter, Line, Mode
from handfast.drawings.svg import Item, Label, Sheet, box, render, segment


@dataclass(frozen=True)
class OddsRow:
    """One check: its name, the share held, the error bar of that, in words."""

    name: str
    share: float
    error: float
    words: str
    asked: float


@dataclass(frozen=True)
class OddsView:
    """Checks by how sure they are, and all of them together."""

    rows: tuple[OddsRow, ...]
    title: str = "How sure it is"


PITCH, BAR = 46.0, 14.0


def odds_bars(view: OddsView, mode: Mode = "screen", width: float = 700.0) -> str:
    """Bars from nought to ten in ten, with the share that the verdict asks as a mark.

    Args:
        view: rows, the surest last.
        mode: screen, print, paper or blueprint.
        width: px.

    Returns:
        SVG text.
    """
    small = width <= 640
    left, right = (4.0, width - 6) if small else (width * 0.36, width - 150)
    pitch = PITCH + 18 if small else PITCH
    items: list[Item] = []
    for k, row in enumerate(view.rows):
        items += _row(row, 10 + pitch * k, left, right, small)
    spoken = " ".join(
        f"{row.name}: {row.words}. Held {100 * row.share:.0f} %, asked {100 * row.asked:.0f} %." for row in view.rows
    )
    return render(Sheet(width, 14 + pitch * len(view.rows), view.title, spoken, tuple(items), "odds"), mode)


def _row(row: OddsRow, y: float, left: float, right: float, small: bool) -> list[Item]:
    base = y + (40.0 if small else 22.0)
    span = right - left
    end = left + span * row.share
    holds = row.share >= row.asked
    items: list[Item] = [
        box(left, base - BAR, span, BAR, Line.NOTE, Fill.SHEET),
        box(left, base - BAR, max(end - left, 0.5), BAR, Line.NARROW, Hatch.BAND if holds else Hatch.CROSSED),
    ]
    items += [segment((left + span * n / 10, base), (left + span * n / 10, base + 4), Line.NOTE) for n in range(11)]
    if row.error > 0:
        low, high = (left + span * min(max(row.share + side * row.error, 0.0), 1.0) for side in (-1, 1))
        items.append(segment((low, base - BAR / 2), (high, base - BAR / 2), Line.WIDE))
    asked = left + span * row.asked
    items.append(segment((asked, base - BAR - 4), (asked, base + 6), Line.MARK))
    if small:
        return [
            *items,
            Label((0, y + 14), row.name, Letter.BODY),
            Label((right, y + 14), row.words, Letter.NOTE, "end"),
        ]
    return [*items, Label((0, base - 2), row.name, Letter.BODY), Label((right + 12, base - 2), row.words, Letter.BODY)]
