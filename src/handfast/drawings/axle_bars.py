"""Weight on the axles as bars: rear hatched, the written rules as marks, axle ratings as limit lines."""

from __future__ import annotations

from dataclasses import dataclass

from handfast.drawings.inks import Hatch, Letter, Line, Mode
from handfast.drawings.svg import Item, Label, Sheet, box, render, segment, text_width

ROOM = 1.6  # a limit further out than so many longest bars is said and not drawn
NEAR = 1.25  # the rear axle's limit is marked where it is passed or near: elsewhere it would stand in the front part


@dataclass(frozen=True)
class AxleState:
    """One pose: masses on the axles (kg) and how they are written."""

    name: str
    note: str
    rear: float
    front: float
    rear_label: str
    front_label: str
    rules: tuple[float, ...] = (0.20, 0.25)
    """Shares of the rear axle at which a mark stands; empty for none."""


@dataclass(frozen=True)
class AxleBars:
    """States on one scale; ratings in kg."""

    states: tuple[AxleState, ...]
    rear_rating: float | None = None
    front_rating: float | None = None
    rear_rating_label: str = ""
    front_rating_label: str = ""
    title: str = "Weight on the axles"

    def widest(self) -> float:
        """The mass at the longest bar's end."""
        return max(s.rear + s.front for s in self.states)

    def furthest_limit(self) -> float:
        """Where the front axle's limit stands furthest out; 0 without one, or where it would crowd the bars."""
        if self.front_rating is None:
            return 0.0
        furthest = max(s.rear for s in self.states) + self.front_rating
        return furthest if furthest <= ROOM * self.widest() else 0.0

    def scale(self, room: float, beside: float) -> float:
        """Pixels a kilogram, with something written beside the longest bar and every limit line drawn or none."""
        return min((room - beside) / max(self.widest(), 1e-9), (room - 3.0) / max(self.furthest_limit(), 1e-9))

    def rating_words(self) -> str:
        """The limits in words."""
        beyond = self.front_rating is not None and not self.furthest_limit()
        words = (self.rear_rating_label, self.front_rating_label + (", beyond the scale" if beyond else ""))
        return "; ".join(one for one in words if one)


def _bar(state: AxleState, bars: AxleBars, x0: float, y: float, scale: float) -> list[Item]:
    whole, rear = (state.rear + state.front) * scale, state.rear * scale
    items: list[Item] = [box(x0, y, rear, 26, None, Hatch.BAND), box(x0, y, whole, 26, Line.NARROW)]
    items.append(segment((x0 + rear, y - 4), (x0 + rear, y + 30), Line.WIDE))
    limits = []
    if bars.front_rating is not None and bars.furthest_limit():
        limits.append(x0 + rear + bars.front_rating * scale)
    if bars.rear_rating is not None and bars.rear_rating < NEAR * state.rear:
        limits.append(x0 + bars.rear_rating * scale)
    items += [segment((x, y - 6), (x, y + 32), Line.LIMIT) for x in limits]
    return [*items, *_rules(state, x0, y, whole)]


def _rules(state: AxleState, x0: float, y: float, whole: float) -> list[Item]:
    items: list[Item] = []
    last = len(state.rules) - 1
    for k, share in enumerate(state.rules):
        x = x0 + share * whole
        items.append(segment((x, y - 7), (x, y + 33), Line.MARK))
        text = f"{share * 100:.0f}" + (" %" if k == last else "")
        anchor, dx = ("start", 3.0) if k == last else ("end", -3.0)
        items.append(Label((x + dx, y - 9), text, Letter.MARK, anchor))
    return items


def _inside(state: AxleState, x0: float, y: float, scale: float, with_front: bool) -> list[Item]:
    whole = (state.rear + state.front) * scale
    marks = [x0 + state.rear * scale, *(x0 + share * whole for share in state.rules)]
    start, end = max(marks) + 8, x0 + whole - 8
    wide = text_width(state.rear_label, Letter.FIGURE)
    items: list[Item] = [Label((start, y + 19), state.rear_label, Letter.FIGURE, halo=False)]
    written = start + wide
    if written > end and wide + 16 < state.rear * scale:
        written = x0 + state.rear * scale
        items = [Label((written - 8, y + 19), state.rear_label, Letter.FIGURE, "end")]
    elif written > end:
        short = state.rear_label.removeprefix("rear ")
        written = start + text_width(short, Letter.FIGURE)
        beside = written > end
        items = [Label((x0 + whole + 8 if beside else start, y + 19), short, Letter.FIGURE)]
        written += (x0 + whole + 8 - start) if beside else 0.0
    if with_front:
        front = Label((end, y + 19), state.front_label, Letter.BODY, "end", halo=False)
        if written + 12 > end - text_width(state.front_label, Letter.BODY):
            front = Label((max(x0 + whole, written) + 8, y + 19), state.front_label, Letter.BODY)
        items.append(front)
    return items


def _wide(bars: AxleBars, width: float) -> list[Item]:
    x0, items = 190.0, list[Item]()
    scale = bars.scale(width - x0, 130.0)
    for k, state in enumerate(bars.states):
        y = 30.0 + 62 * k
        items.append(Label((0, y + 14), state.name, halo=False))
        items.append(Label((0, y + 32), state.note, Letter.NOTE, halo=False))
        items += [*_bar(state, bars, x0, y, scale), *_inside(state, x0, y, scale, True)]
    return [*items, *_ratings(bars, width, x0, scale, 30.0 + 62 * len(bars.states))]


def _ratings(bars: AxleBars, width: float, x0: float, scale: float, y: float) -> list[Item]:
    words = bars.rating_words()
    if not words:
        return []
    key = segment((x0, y - 1), (x0 + 34, y - 1), Line.LIMIT)
    return [key, Label((x0 + 42, y + 4), words, Letter.NOTE, halo=False)]


def _small(bars: AxleBars, width: float) -> list[Item]:
    items = list[Item]()
    scale = bars.scale(width - 1.0, 3.0)
    for k, state in enumerate(bars.states):
        y = 52.0 + 88 * k
        items.append(Label((0, y - 28), state.name, halo=False))
        items.append(Label((width - 2, y - 28), state.front_label, Letter.BODY, "end", halo=False))
        items += [*_bar(state, bars, 1.0, y, scale), *_inside(state, 1.0, y, scale, False)]
    return [*items, *_ratings(bars, width, 1.0, scale, 52.0 + 88 * len(bars.states) - 22)]


def axle_words(bars: AxleBars) -> str:
    """The bars in words."""
    states = " ".join(f"{s.name}: {s.rear_label}, {s.front_label}." for s in bars.states)
    ratings = bars.rating_words()
    rules = " Marks of the rear axle's share at " + " and ".join(
        f"{r * 100:.0f} %" for r in dict.fromkeys(r for s in bars.states for r in s.rules)
    )
    return states + (rules + "." if any(s.rules for s in bars.states) else "") + (f" {ratings}." if ratings else "")


def axle_bars(bars: AxleBars, mode: Mode = "screen", width: float = 700.0) -> str:
    """Axle bars; names stand above the bars up to 640 px.

    Args:
        bars: the states, kg.
        mode: screen, print, paper or blueprint.
        width: px.

    Returns:
        SVG text.
    """
    small, count = width <= 640, len(bars.states)
    rated = 24 if bars.rear_rating_label or bars.front_rating_label else 0
    height = (88 * count + rated) if small else (62 * count + 22 + rated)
    items = _small(bars, width) if small else _wide(bars, width)
    return render(Sheet(width, height, bars.title, axle_words(bars), tuple(items), "axles"), mode)
