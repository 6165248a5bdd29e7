"""Attachments against machines: a mark where one fits the other, told by shape and not by colour."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from handfast.drawings.inks import Fill, Letter, Line, Mode
from handfast.drawings.svg import Item, Label, Sheet, box, render, segment, text_width

CELL, EDGE = 22.0, 14.0
SLANT = 0.87  # of a name's length, standing at 60 degrees
FITS, WEIGHTED, NOT = "fits", "fits with a counterweight", "does not fit"


@dataclass(frozen=True)
class FitMatrix:
    """Rows of words: one verdict for each machine; how many tractors each row serves, as written."""

    machines: Sequence[str]
    attachments: Sequence[str]
    verdicts: Sequence[Sequence[str]]
    served: Sequence[str]
    stocked: Sequence[bool] = ()


def fit_matrix(found: FitMatrix, mode: Mode = "screen") -> str:
    """The matrix as a drawing: a full square fits, a frame with a bar fits with weight behind, a dot does not.

    Args:
        found: names and verdicts.
        mode: screen, print, paper or blueprint.

    Returns:
        SVG text.
    """
    side = EDGE + 12 + max((text_width(name, Letter.FIGURE) for name in found.attachments), default=0.0)
    head = EDGE + SLANT * max((text_width(name, Letter.NOTE) for name in found.machines), default=0.0)
    last = text_width(found.machines[-1], Letter.NOTE) / 2 if found.machines else 0.0
    width, top = side + CELL * len(found.machines) + max(96.0, last + 20), head + 8
    items: list[Item] = [
        Label((side + CELL * (k + 0.68), head), name, Letter.NOTE, turn=-60.0) for k, name in enumerate(found.machines)
    ]
    for row, (name, verdicts) in enumerate(zip(found.attachments, found.verdicts, strict=True)):
        y = top + CELL * row
        stocked = bool(found.stocked) and found.stocked[row]
        items.append(Label((side - 10, y + 16), name, Letter.FIGURE if stocked else Letter.BODY, "end"))
        for k, verdict in enumerate(verdicts):
            items += _cell(side + CELL * k, y, verdict)
        items.append(Label((side + CELL * len(verdicts) + 10, y + 16), found.served[row], Letter.BODY))
        if row % 5 == 4:
            items.append(segment((EDGE, y + CELL + 0.5), (width - EDGE, y + CELL + 0.5), Line.RULE))
    low = top + CELL * len(found.attachments) + 26
    items += _legend(low)
    return render(Sheet(width, low + 18, "What fits what", _words(found), tuple(items), "fit-matrix"), mode)


def _cell(x: float, y: float, verdict: str) -> list[Item]:
    if verdict == FITS:
        return [box(x + 3, y + 3, CELL - 6, CELL - 6, Line.NARROW, Fill.INK)]
    if verdict == WEIGHTED:
        return [
            box(x + 3, y + 3, CELL - 6, CELL - 6, Line.NARROW, Fill.SHEET),
            box(x + 3, y + CELL - 9, CELL - 6, 6, Line.NARROW, Fill.INK),
        ]
    return [box(x + CELL / 2 - 1.5, y + CELL / 2 - 1.5, 3, 3, None, Fill.NOTE)]


def _legend(y: float) -> list[Item]:
    items: list[Item] = []
    for k, (verdict, words) in enumerate(((FITS, "fits"), (WEIGHTED, "fits with weight behind"), (NOT, "does not"))):
        x = EDGE + 190.0 * k
        items += [*_cell(x, y - 16, verdict), Label((x + CELL + 6, y), words, Letter.BODY)]
    return items


def _words(found: FitMatrix) -> str:
    rows = []
    for name, verdicts, served in zip(found.attachments, found.verdicts, found.served, strict=True):
        fits = [m for m, v in zip(found.machines, verdicts, strict=True) if v == FITS]
        heavy = [m for m, v in zip(found.machines, verdicts, strict=True) if v == WEIGHTED]
        said = f"fits {', '.join(fits)}" if fits else "fits none as it stands"
        more = f", with weight behind {', '.join(heavy)}" if heavy else ""
        rows.append(f"{name} ({served}): {said}{more}.")
    return " ".join(rows)
