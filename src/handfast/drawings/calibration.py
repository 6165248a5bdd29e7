"""What was claimed against what held: the diagonal is a model that is true, a bend is one that is not."""

from __future__ import annotations

from dataclasses import dataclass

from handfast.drawings.inks import Fill, Letter, Line, Mode
from handfast.drawings.svg import Disc, Item, Label, Sheet, box, poly, render, segment
from handfast.drawings.svg import Stroke as Path


@dataclass(frozen=True)
class Spot:
    """Offers with about the same claim: claimed, held, between what limits, how many, whether it bends."""

    claimed: float
    held: float
    low: float
    high: float
    count: int
    bends: bool = False


@dataclass(frozen=True)
class CalibrationView:
    """The spots of one kind of claim."""

    spots: tuple[Spot, ...]
    title: str = "Claimed against held"
    claim: str = "held"


LEFT, TOP, FOOT = 52.0, 16.0, 46.0


def calibration_drawing(view: CalibrationView, mode: Mode = "screen", width: float = 420.0) -> str:
    """Claimed shares to the right, shares that held upwards, the diagonal, and nine-in-ten limits.

    Args:
        view: spots.
        mode: screen, print, paper or blueprint.
        width: px; the field is square.

    Returns:
        SVG text.
    """
    side = width - LEFT - 14
    foot = TOP + side

    def at(x: float, y: float) -> tuple[float, float]:
        return LEFT + x * side, foot - y * side

    items: list[Item] = [box(LEFT, TOP, side, side, Line.NARROW)]
    for n in (0, 2, 4, 6, 8, 10):
        (x, _), (_, y) = at(n / 10, 0), at(0, n / 10)
        items += [segment((x, foot), (x, foot + 5), Line.NARROW), segment((LEFT - 5, y), (LEFT, y), Line.NARROW)]
        items.append(Label((x, foot + 20), f"{n}", Letter.NOTE, "middle"))
        items.append(Label((LEFT - 9, y + 5), f"{n}", Letter.NOTE, "end"))
    items.append(segment(at(0, 0), at(1, 1), Line.AXIS))
    items.append(Label((LEFT + side / 2, foot + 40), "claimed, times in 10", Letter.NOTE, "middle"))
    items.append(Label((14, TOP + side / 2), f"{view.claim}, times in 10", Letter.NOTE, "middle", turn=-90))
    items.append(Path(poly([at(one.claimed, one.held) for one in view.spots]), Line.NOTE))
    for one in view.spots:
        items += _spot(one, at(one.claimed, one.low), at(one.claimed, one.high), at(one.claimed, one.held), LEFT + side)
    return render(Sheet(width, foot + FOOT, view.title, words(view), tuple(items), "calibration"), mode)


Place = tuple[float, float]


def _spot(one: Spot, low: Place, high: Place, here: Place, right: float) -> list[Item]:
    x = here[0]
    line = Line.MARK if one.bends else Line.NARROW
    near = x > right - 44
    return [
        segment(low, high, line),
        segment((x - 4, low[1]), (x + 4, low[1]), line),
        segment((x - 4, high[1]), (x + 4, high[1]), line),
        Disc(here, 4.0, Line.NARROW, Fill.MARK if one.bends else Fill.INK),
        Label((x - 9 if near else x + 9, here[1] + 5), f"{one.count}", Letter.NOTE, "end" if near else "start"),
    ]


def words(view: CalibrationView) -> str:
    """The picture in words."""
    each = (
        f"Claimed {100 * one.claimed:.0f} %: {100 * one.held:.0f} % of {one.count} {view.claim}"
        f"{', outside what chance allows' if one.bends else ''}."
        for one in view.spots
    )
    return " ".join(each) or "Nothing has been heard of yet."
