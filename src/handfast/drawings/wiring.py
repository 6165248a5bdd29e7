"""The wiring of an electric lid as a drawing: battery, fuse, relays with their rocker, plug, motor of the actuator."""

from __future__ import annotations

from dataclasses import dataclass

from handfast.drawings.hydraulic_symbols import run
from handfast.drawings.inks import Fill, Letter, Line, Mode
from handfast.drawings.svg import Disc, Item, Label, Sheet, Stroke, box, in_lines, poly, render, segment

STEP, TOP, APART = 84.0, 46.0, 17.0


@dataclass(frozen=True)
class WiringView:
    """What a wiring drawing shows, each piece in words; the numbers are those of the parts list."""

    motor: str
    plug: str
    cable: str
    relays: str
    rocker: str
    fuse: str
    battery: str
    title: str = "Wiring of the lid"


def wiring_words(view: WiringView) -> str:
    """The drawing in words, from the battery to the motor.

    >>> wiring_words(WiringView("motor", "plug", "W1", "relays", "rocker", "F1", "battery"))
    'From the battery: battery; F1; relays, worked by rocker; W1; plug; motor.'
    """
    worked = f"{view.relays}, worked by {view.rocker}"
    return f"From the battery: {view.battery}; {view.fuse}; {worked}; {view.cable}; {view.plug}; {view.motor}."


def wiring_drawing(view: WiringView, mode: Mode = "screen", width: float = 700.0) -> str:
    """The wiring, battery at the foot and motor at the top.

    Args:
        view: what is drawn.
        mode: screen, print, paper or blueprint.
        width: px.

    Returns:
        SVG text, its words inside.

    Source: two wires there and back; symbols after IEC 60617, drawn by ourselves.

    >>> "W1" in wiring_drawing(WiringView("motor", "plug", "W1", "relays", "rocker", "F1", "battery"))
    True
    """
    x = 0.3 * width
    a, b = x - APART, x + APART
    y = [TOP + STEP * k for k in range(6)]
    items: list[Item] = [run((a, y[0]), (a, y[5])), run((b, y[0]), (b, y[5]))]
    items += [*_motor(x, y[0]), *_plug(a, b, y[1]), *_cable(a, b, y[2]), *_relays(x, y[3]), *_fuse(b, y[4])]
    items += _battery(a, b, y[5])
    for words, at in zip((view.motor, view.plug, view.cable, view.relays, view.fuse, view.battery), y, strict=True):
        for k, line in enumerate(in_lines(words, width - b - 44, Letter.NOTE)):
            items.append(Label((b + 40, at + 5 + 17 * k), line, Letter.NOTE))
    items += _rocker(view, x, y[3])
    return render(Sheet(width, y[5] + 66, view.title, wiring_words(view), tuple(items), "wiring"), mode)


def _motor(x: float, y: float) -> list[Item]:
    return [Disc((x, y), 26.0, Line.WIDE, Fill.SHEET), Label((x, y + 5), "M", Letter.FIGURE, "middle", halo=False)]


def _plug(a: float, b: float, y: float) -> list[Item]:
    """A plug and its socket in each wire."""
    items: list[Item] = [box(a - 5, y - 9, b - a + 10, 18, None, Fill.SHEET)]
    for x in (a, b):
        items.append(Stroke(poly(((x - 7, y - 2), (x, y - 9), (x + 7, y - 2))), Line.WIDE))
        items.append(Stroke(poly(((x - 7, y + 7), (x, y), (x + 7, y + 7))), Line.WIDE))
        items.append(segment((x, y), (x, y + 9), Line.WIDE))
    return items


def _cable(a: float, b: float, y: float) -> list[Item]:
    """A ring round both wires: one cable."""
    middle = 0.5 * (a + b)
    return [Disc((middle, y), APART + 7, Line.NARROW, None)]


def _relays(x: float, y: float) -> list[Item]:
    """Two relays that change the wires over, as a box with a cross."""
    left, top, side = x - 28, y - 22, 44
    crossed = [
        segment((x - 17, y + 16), (x + 17, y - 16), Line.NARROW),
        segment((x + 17, y + 16), (x - 17, y - 16), Line.NARROW),
    ]
    return [box(left, top, 56, side, Line.WIDE, Fill.SHEET), *crossed]


def _fuse(x: float, y: float) -> list[Item]:
    return [box(x - 7, y - 16, 14, 32, Line.WIDE, Fill.SHEET), segment((x, y - 16), (x, y + 16), Line.NARROW)]


def _battery(a: float, b: float, y: float) -> list[Item]:
    """Plus pole on the fuse's side: the long plate."""
    foot = y + 24
    middle = 0.5 * (a + b)
    return [
        run((a, y), (a, foot), (middle - 5, foot)),
        run((b, y), (b, foot), (middle + 5, foot)),
        segment((middle - 5, foot - 7), (middle - 5, foot + 7), Line.WIDE),
        segment((middle + 5, foot - 14), (middle + 5, foot + 14), Line.WIDE),
        Label((b + 10, foot + 18), "+", Letter.FIGURE),
    ]


def _rocker(view: WiringView, x: float, y: float) -> list[Item]:
    """The rocker by the loader lever, which works the relays."""
    end = x - 28
    items: list[Item] = [Stroke(poly(((end, y), (end - 40, y))), Line.HIDDEN)]
    items.append(box(end - 62, y - 8, 22, 16, Line.WIDE, Fill.SHEET))
    items.append(segment((end - 60, y + 5), (end - 42, y - 5), Line.NARROW))
    for k, line in enumerate(in_lines(view.rocker, max(end - 8, 60.0), Letter.NOTE)):
        items.append(Label((end - 6, y + 38 + 17 * k), line, Letter.NOTE, "end"))
    return items
