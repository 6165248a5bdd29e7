"""A typed scene and its SVG text: deterministic, without style attributes, with its text equivalent inside."""

from __future__ import annotations

import zlib
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import lru_cache
from xml.sax.saxutils import escape, quoteattr

from handfast.drawings.inks import (
    FILLS,
    LETTERS,
    LINES,
    PX_PER_MM,
    TILES,
    Fill,
    Hatch,
    Letter,
    Line,
    Mode,
    ink_of,
    width_of,
)

Point = tuple[float, float]
Command = tuple[str, tuple[float, ...]]
Paint = Fill | Hatch | None

MARKER = "\x00"
"""Stands for the ids' prefix until the text, and so its checksum, is known; no lettering can hold it."""
GOES_ON = "\u200b"
"""Ends a line that goes on in the next; it takes no room."""
SPARE = 0.88
FAMILY = "Alegreya Sans, Hand Lettering"


@dataclass(frozen=True)
class Stroke:
    """A path in drawing units (px, y down) with its line type and fill."""

    path: tuple[Command, ...]
    line: Line | None = Line.NARROW
    fill: Paint = None


@dataclass(frozen=True)
class Disc:
    """A circle."""

    centre: Point
    radius: float
    line: Line | None = Line.NARROW
    fill: Paint = None


@dataclass(frozen=True)
class Label:
    """Lettering; anchor start, middle or end; turn in degrees clockwise; a halo keeps lines off it."""

    at: Point
    text: str
    letter: Letter = Letter.BODY
    anchor: str = "start"
    turn: float = 0.0
    halo: bool = True


@dataclass(frozen=True)
class Group:
    """Items kept together under a class name, so that a page's script can find them."""

    items: tuple[Item, ...]
    name: str = ""


Item = Stroke | Disc | Label | Group


@dataclass(frozen=True)
class Sheet:
    """A whole drawing: size in px, spoken title and description, items from back to front."""

    width: float
    height: float
    title: str
    desc: str
    items: tuple[Item, ...]
    name: str = ""
    hidden: bool = False
    """True where the words stand beside the drawing, so that they are not read out twice."""


@dataclass(frozen=True)
class Frame:
    """Maps metres (x forward, z up) to drawing units (y down)."""

    left: float
    ground: float
    scale: float

    def at(self, x: float, z: float) -> Point:
        """Drawing point of a place in metres."""
        return self.left + x * self.scale, self.ground - z * self.scale

    def many(self, points: Iterable[Point]) -> list[Point]:
        """Drawing points of places in metres."""
        return [self.at(x, z) for x, z in points]


def number(value: float) -> str:
    """A coordinate to a tenth of a unit, without trailing noughts."""
    return _tenths(round(value * 10))


@lru_cache(maxsize=32768)
def _tenths(tenths: int) -> str:
    """So many tenths as text; drawings say the same places again and again."""
    return str(tenths // 10) if tenths % 10 == 0 else str(tenths / 10)


def poly(points: Iterable[Point], closed: bool = False) -> tuple[Command, ...]:
    """Path of straight lines through points."""
    listed = list(points)
    head: list[Command] = [("M", listed[0])]
    body: list[Command] = [("L", point) for point in listed[1:]]
    return (*head, *body, ("Z", ())) if closed else (*head, *body)


def segment(a: Point, b: Point, line: Line = Line.NOTE) -> Stroke:
    """One straight line."""
    return Stroke(poly((a, b)), line)


def box(x: float, y: float, width: float, height: float, line: Line | None, fill: Paint = None) -> Stroke:
    """An upright rectangle from its upper left corner."""
    corners = ((x, y), (x + width, y), (x + width, y + height), (x, y + height))
    return Stroke(poly(corners, closed=True), line, fill)


def path_text(commands: tuple[Command, ...]) -> str:
    """The text of a path's d attribute."""
    return "".join(letter + " ".join(number(v) for v in values) for letter, values in commands)


def text_width(text: str, letter: Letter) -> float:
    """Estimated width of lettering in px, kind to both narrow and wide letters."""
    size, weight, _ = LETTERS[letter]
    narrow = sum(character in "ijl.,:;'|!() 1frtI" for character in text)
    return size * (0.52 if weight == 700 else 0.5) * (len(text) - 0.42 * narrow)


def in_lines(text: str, room: float, letter: Letter) -> list[str]:
    """Words broken into lines no wider than the room, px; a longer word stands alone.

    Another language needs more letters for the same, so a share of the room stays free; a line that goes on in the
    next ends with a mark that is not seen.
    """
    lines: list[str] = []
    for word in text.split():
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and text_width(longer, letter) <= SPARE * room:
            lines[-1] = longer
        else:
            lines.append(word)
    return [*(line + GOES_ON for line in lines[:-1]), *lines[-1:]]


def _paint(fill: Paint, mode: Mode, prefix: str) -> str:
    if isinstance(fill, Hatch):
        return f' fill="url(#{prefix}{fill.value})"'
    if mode == "screen":
        return ""
    return ' fill="none"' if fill is None else f' fill="{ink_of(mode, FILLS[fill])}"'


def _pen(line: Line | None, mode: Mode) -> str:
    if mode == "screen" or line is None:
        return ""
    look = LINES[line]
    text = f' stroke="{ink_of(mode, look.ink)}" stroke-width="{width_of(mode, look.width):g}"'
    if look.dash:
        scale = 1.25 if mode == "print" else 1.0
        text += f' stroke-dasharray="{" ".join(f"{d * scale:g}" for d in look.dash)}"'
    if look.round_cap:
        text += ' stroke-linecap="round"'
    return text + ' stroke-linejoin="round"'


def _classes(line: Line | None, fill: Paint, mode: Mode) -> str:
    if mode != "screen":
        return ""
    names = [line.value] if line else []
    if not isinstance(fill, Hatch):
        names.append(fill.value if fill else "f0")
    return f' class="{" ".join(names)}"' if names else ""


def _shape(item: Stroke | Disc, mode: Mode, prefix: str) -> str:
    looks = _classes(item.line, item.fill, mode) + _paint(item.fill, mode, prefix) + _pen(item.line, mode)
    if isinstance(item, Disc):
        x, y = item.centre
        return f'<circle{looks} cx="{number(x)}" cy="{number(y)}" r="{number(item.radius)}"/>'
    return f'<path{looks} d="{path_text(item.path)}"/>'


def _plain(text: str) -> str:
    """Escaped lettering without the control characters that XML forbids."""
    return escape("".join(c for c in text if c >= " " and c not in "\x7f\ufffe\uffff"))


def _letters(item: Label, mode: Mode) -> str:
    x, y = item.at
    place = f' x="{number(x)}" y="{number(y)}"'
    if item.turn:
        place = f' transform="translate({number(x)} {number(y)}) rotate({number(item.turn)})"'
    anchor = "" if item.anchor == "start" else f' text-anchor="{item.anchor}"'
    if mode == "screen":
        names = item.letter.value + (" halo" if item.halo else "")
        return f'<text class="{names}"{place}{anchor}>{_plain(item.text)}</text>'
    size, weight, ink = LETTERS[item.letter]
    look = f' font-family="{FAMILY}" font-size="{size:g}" font-weight="{weight}"'
    words = _plain(item.text)
    front = f'<text{look} fill="{ink_of(mode, ink)}"{place}{anchor}>{words}</text>'
    if not item.halo:
        return front
    paper = ink_of(mode, "sheet")
    rim = f' fill="{paper}" stroke="{paper}" stroke-width="5" stroke-linejoin="round"'
    return f'<text{look}{rim} aria-hidden="true"{place}{anchor}>{words}</text>' + front


def _draw(item: Item, mode: Mode, prefix: str) -> str:
    if isinstance(item, Group):
        inside = "".join(_draw(part, mode, prefix) for part in item.items)
        name = f" class={quoteattr(item.name)}" if item.name and mode == "screen" else ""
        return f"<g{name}>{inside}</g>"
    if isinstance(item, Label):
        return _letters(item, mode)
    return _shape(item, mode, prefix)


def hatches_in(items: Iterable[Item]) -> set[Hatch]:
    """The hatches that items use."""
    found: set[Hatch] = set()
    for item in items:
        if isinstance(item, Group):
            found |= hatches_in(item.items)
        elif isinstance(item, (Stroke, Disc)) and isinstance(item.fill, Hatch):
            found.add(item.fill)
    return found


def _tile(hatch: Hatch, mode: Mode, prefix: str) -> str:
    side, turn, ink, lines, dots = TILES[hatch]
    rotated = f' patternTransform="rotate({turn:g})"' if turn else ""
    line = Line.RULE if ink == "rule" else Line.NOTE
    inside = f"<path{_classes(line, None, mode)}{_paint(None, mode, prefix)}{_pen(line, mode)} d={quoteattr(lines)}/>"
    inside = inside if lines else ""
    for x, y, radius in dots:
        looks = _classes(None, Fill.NOTE, mode) + _paint(Fill.NOTE, mode, prefix)
        inside += f'<circle{looks} cx="{x:g}" cy="{y:g}" r="{radius:g}"/>'
    head = f'<pattern id="{prefix}{hatch.value}" width="{side:g}" height="{side:g}" patternUnits="userSpaceOnUse"'
    return f"{head}{rotated}>{inside}</pattern>"


def _size(sheet: Sheet, mode: Mode) -> str:
    width, height = number(sheet.width), number(sheet.height)
    if mode == "print":
        size = f'width="{sheet.width / PX_PER_MM:.2f}mm" height="{sheet.height / PX_PER_MM:.2f}mm"'
    else:
        size = f'width="{width}" height="{height}"'
    return f'viewBox="0 0 {width} {height}" {size}'


def render(sheet: Sheet, mode: Mode = "screen") -> str:
    """The SVG text of a sheet.

    Args:
        sheet: the drawing, px.
        mode: screen (classes), print (black, 0.2 mm a unit), paper or blueprint (literal colours).

    Returns:
        One svg element; equal sheets give equal text.

    Source: own line types after ISO 128.

    >>> "role=" in render(Sheet(10, 10, "Empty", "Nothing drawn.", ()))
    True
    """
    tiles = "".join(_tile(hatch, mode, MARKER) for hatch in sorted(hatches_in(sheet.items)))
    defs = f"<defs>{tiles}</defs>" if tiles else ""
    body = "".join(_draw(item, mode, MARKER) for item in sheet.items)
    name = f" class={quoteattr(f'dr {sheet.name}'.strip())}" if mode == "screen" else ""
    spoken, role = _spoken(sheet, MARKER)
    text = f'<svg xmlns="http://www.w3.org/2000/svg" {_size(sheet, mode)}{name}{role}>{spoken}{defs}{body}</svg>'
    return text.replace(MARKER, f"d{zlib.crc32(text.encode()):08x}")


def _spoken(sheet: Sheet, prefix: str) -> tuple[str, str]:
    if sheet.hidden:
        return "", ' aria-hidden="true" focusable="false"'
    title, desc = _plain(sheet.title), _plain(sheet.desc)
    words = f'<title id="{prefix}t">{title}</title><desc id="{prefix}s">{desc}</desc>'
    return words, f' role="img" aria-labelledby="{prefix}t {prefix}s"'


def in_three_widths(draw: Callable[[float], str], wide: float, middle: float, small: float) -> str:
    """A drawing made for three widths, so that its lettering never shrinks by more than an eighth.

    Args:
        draw: gives the SVG text for a width, px.
        wide: px of the regular drawing.
        middle: px of the one for a narrow column.
        small: px of the one for a small screen.

    Returns:
        HTML text.

    >>> in_three_widths(lambda width: f"{width:.0f}", 1000, 760, 350)[:77]
    '<div class="drawn"><div class="at-wide">1000</div><div class="at-middle">760<'
    """
    names = {"wide": wide, "middle": middle, "small": small}
    drawn = [f'<div class="at-{name}">{draw(width)}</div>' for name, width in names.items()]
    return f'<div class="drawn">{"".join(drawn)}</div>'


def in_two_widths(draw: Callable[[float], str], wide: float = 1000.0, small: float = 358.0) -> str:
    """A drawing made for both widths, of which the style sheet shows the one that fits.

    Args:
        draw: gives the SVG text for a width, px.
        wide: px of the regular drawing.
        small: px of the one for a small screen.

    Returns:
        HTML text.

    >>> in_two_widths(lambda width: f"{width:.0f}", 700, 350)
    '<div class="drawn"><div class="at-wide">700</div><div class="at-small">350</div></div>'
    """
    return f'<div class="drawn"><div class="at-wide">{draw(wide)}</div><div class="at-small">{draw(small)}</div></div>'
