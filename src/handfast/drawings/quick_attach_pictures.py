"""Pictures to ask by: how a bucket comes off, as the person who stands behind it sees it."""

from __future__ import annotations

from handfast.drawings.inks import Fill, Letter, Line, Mode
from handfast.drawings.svg import Command, Disc, Item, Label, Sheet, Stroke, box, poly, render, segment

WORDS: dict[str, tuple[str, str]] = {
    "two_levers": ("Two levers", "A plate with an angled top edge, two levers on it and two wedges at its foot."),
    "four_pins": ("Four pins", "Two arms, each with two pins through the bucket's ears; the pins are knocked out."),
    "hooks_above": ("Hooks above", "A frame whose two hooks carry a rod on top, with two pins below."),
    "no_idea": ("Can't say", "A camera before the back of a bucket."),
    "two_levers_narrow": (
        "Two levers, narrow",
        "A plate like the usual one but narrower than the arms stand apart.",
    ),
    "makers_own": ("Neither of these", "Hooks of another form, one lever at the side."),
}


def _bucket_back(top: float = 14.0) -> list[Item]:
    return [
        Stroke(poly(((6, top), (114, top), (114, 72), (6, 72)), closed=True), Line.NARROW, Fill.SHEET),
        segment((6, 78), (114, 78), Line.NOTE),
        segment((6, 72), (6, 78), Line.NOTE),
        segment((114, 72), (114, 78), Line.NOTE),
    ]


def _levers(left: float, right: float) -> list[Item]:
    lip = [(left, 22), (left + 5, 17), (right - 5, 17), (right, 22)]
    items: list[Item] = [
        *_bucket_back(8),
        box(left, 22, right - left, 42, Line.WIDE, Fill.SHEET),
        Stroke(poly(lip), Line.WIDE),
    ]
    for x, lean in ((left + 0.3 * (right - left), -9), (right - 0.3 * (right - left), 9)):
        items += [segment((x, 56), (x + lean, 27), Line.WIDE), Disc((x, 56), 4.2, None, Fill.INK)]
        items.append(Disc((x + lean, 27), 2.6, None, Fill.INK))
    for x in (left + 10, right - 10):
        items.append(Stroke(poly(((x - 4, 64), (x + 4, 64), (x, 75)), closed=True), None, Fill.INK))
    return items


def _pins() -> list[Item]:
    items: list[Item] = _bucket_back(8)
    for x in (24, 80):
        items += [box(x, 14, 5, 54, Line.NARROW, Fill.SHEET), box(x + 12, 14, 5, 54, Line.NARROW, Fill.SHEET)]
        items.append(box(x + 5.5, 18, 6, 64, Line.NARROW, Fill.TINT))
        for y in (24.0, 56.0):
            items += [segment((x - 6, y), (x + 23, y), Line.WIDE), Disc((x - 6, y), 3.4, None, Fill.INK)]
            items.append(Disc((x + 20, y), 2.0, Line.NARROW, Fill.SHEET))
    return items


def _hook(x: float, y: float) -> tuple[Command, ...]:
    return (("M", (x - 7, y + 14)), ("L", (x - 7, y)), ("C", (x - 7, y - 11, x + 8, y - 11, x + 8, y + 1)))


def _hooks() -> list[Item]:
    items: list[Item] = [
        *_bucket_back(8),
        segment((14, 22), (106, 22), Line.NARROW),
        segment((14, 25), (106, 25), Line.NARROW),
    ]
    items.append(box(24, 32, 72, 34, Line.NARROW, Fill.SHEET))
    items += [Stroke(_hook(x, 22), Line.WIDE) for x in (34, 84)]
    items.append(segment((16, 59), (104, 59), Line.WIDE))
    for x in (26, 94):
        items += [Disc((x, 59), 6, Line.NARROW, Fill.SHEET), Disc((x, 59), 2.4, None, Fill.INK)]
    return items


def _own() -> list[Item]:
    items: list[Item] = [*_bucket_back(8), box(30, 22, 60, 40, Line.NARROW, Fill.SHEET)]
    items += [
        Stroke(poly(((x - 6, 30), (x - 6, 16), (x + 6, 16), (x + 6, 24)), closed=False), Line.WIDE) for x in (42, 78)
    ]
    items += [
        segment((18, 60), (102, 60), Line.DASHED),
        segment((98, 60), (108, 34), Line.WIDE),
        Disc((108, 34), 2.6, None, Fill.INK),
    ]
    return items


def _camera() -> list[Item]:
    items: list[Item] = [Stroke(part.path, Line.HIDDEN) for part in _bucket_back(8) if isinstance(part, Stroke)]
    items += [box(38, 34, 44, 30, Line.WIDE, Fill.SHEET), box(50, 28, 16, 6, Line.WIDE, Fill.SHEET)]
    return [*items, Disc((60, 49), 10, Line.WIDE, Fill.SHEET), Disc((60, 49), 4.5, Line.NARROW)]


def quick_attach_picture(kind: str, mode: Mode = "screen", width: float = 120.0, caption: bool = False) -> str:
    """A picture of a way in which a bucket comes off.

    Args:
        kind: two_levers, two_levers_narrow, four_pins, hooks_above, makers_own or no_idea.
        mode: screen, print, paper or blueprint.
        width: px; the drawing is 120 by 84 and is scaled to it.
        caption: True writes its words below.

    Returns:
        SVG text.

    Raises:
        ValueError: an unknown kind.
    """
    if kind not in WORDS:
        raise ValueError(f"kind is one of {', '.join(WORDS)}; found {kind!r}")
    draw = {"four_pins": _pins, "hooks_above": _hooks, "makers_own": _own, "no_idea": _camera}
    if kind == "two_levers":
        items = _levers(18, 102)
    elif kind == "two_levers_narrow":
        items = _levers(36, 84)
    else:
        items = draw[kind]()
    name, words = WORDS[kind]
    if caption:
        items.append(Label((60, 98), name, Letter.NOTE, "middle"))
    text = render(Sheet(120, 104 if caption else 84, name, words, tuple(items), "picture"), mode)
    return text if width == 120 else _resized(text, width, 104 if caption else 84)


def _resized(text: str, width: float, tall: float) -> str:
    return text.replace(f'width="120" height="{tall:g}"', f'width="{width:g}" height="{tall * width / 120:.0f}"', 1)
