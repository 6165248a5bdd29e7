"""What the papers of the workshop share: options, sections and their rows, the head, the title block."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from math import isfinite
from typing import Any

from handfast.advice.result import Advice, OutfitAdvice
from handfast.documents.press import press, sheet_of
from handfast.documents.words import DEALER, Stamp, plain_block, title_block
from handfast.drawings.letters import plain
from handfast.outfits.fitting import Fitting
from handfast.quantities.showing import show

Row = dict[str, Any]
LONG = 400
NOT_KNOWN = "–"


@dataclass(frozen=True)
class Options:
    """Paper us-letter or a4, system us or metric, the date (best as year-month-day, never from a clock), number."""

    paper: str = "us-letter"
    system: str = "us"
    made: str = ""
    number: str = ""
    dealer: str = DEALER
    by: str = ""
    demo: bool = True
    reached: str = ""  # the dealer's address and telephone in one line
    supplier: str = ""  # a purchase order for this one alone
    costs: bool = True  # whether a purchase order bears what the records say that a part costs us
    least_share: float = 0.20  # of the weight on the rear axle, under which a declined offer is one of parts only
    ballast: str = ""  # "", accepted, declined
    ballast_by: str = ""
    ballast_on: str = ""


@dataclass(frozen=True)
class Letterhead:
    """What begins a sheet of its own: its title, and labels with texts."""

    title: str
    pairs: Sequence[tuple[str, str]] = ()


@dataclass(frozen=True)
class Section:
    """A lettered section; `whole` keeps it on one page, a letterhead begins a new sheet with it."""

    title: str
    rows: Sequence[Row]
    whole: bool = False
    head: Letterhead | None = None


@dataclass(frozen=True)
class WorkPaper:
    """A paper before it is pressed: its name, what it is about, sections, drawings."""

    name: str
    pairs: Sequence[tuple[str, str]]
    sections: Sequence[Section]
    scale: str = ""
    pics: dict[str, dict[str, str]] = field(default_factory=dict)
    outfit: str | None = None  # in place of the outfit's title; "" says nothing of it


def press_paper(paper: WorkPaper, advice: Advice, one: OutfitAdvice, options: Options) -> bytes:
    """A workshop paper as a tagged PDF; equal arguments give equal bytes.

    Args:
        paper: what stands on it.
        advice: the answer that it belongs to.
        one: the outfit.
        options: paper, units, date, number.

    Returns:
        PDF.

    Raises:
        ValueError: no such paper or system.
        PaperError: the press failed.
    """
    sheet = sheet_of(options.paper)
    if options.system not in ("us", "metric"):
        raise ValueError(f"system is us or metric; found {options.system!r}")
    about = one.title if paper.outfit is None else paper.outfit
    numbered = f" {options.number}" if options.number else ""
    values = {
        "paper": [sheet.width, sheet.height],
        "demo": options.demo,
        "title": plain(f"{paper.name}{numbered}: {about}" if about else f"{paper.name}{numbered}", 200),
        "dealer": plain(options.dealer, 90),
        "name": plain(paper.name, 60),
        "outfit": plain(about, 160),
        "pairs": _pairs(paper.pairs),
        "sections": [_section(section) for section in paper.sections if section.rows],
        "block": _block(paper, advice, one, options),
        "pics": paper.pics,
    }
    return press("work_paper", values, options.made)


def _block(paper: WorkPaper, advice: Advice, one: OutfitAdvice, options: Options) -> list[dict[str, Any]]:
    """The title block: with outfit and facts, or without where the reader is a stranger to them."""
    stamp = Stamp(options.made, options.number, dealer=options.dealer, by=options.by, demo=options.demo)
    units = "in, psi and gpm" if options.system == "us" else "mm, bar and L/min"
    if paper.outfit is None:
        return title_block(advice, one, stamp, paper.name, "", ", ".join(w for w in (paper.scale, units) if w))
    return plain_block(stamp, paper.name, paper.scale or units)


def _pairs(pairs: Sequence[tuple[str, str]]) -> list[list[str]]:
    return [[plain(label, 40), plain(text, 160)] for label, text in pairs if text]


def _section(section: Section) -> dict[str, Any]:
    head = section.head
    begins = {} if head is None else {"head": {"title": plain(head.title, 160), "pairs": _pairs(head.pairs)}}
    return {"title": plain(section.title, 120), "items": list(section.rows), "whole": section.whole, **begins}


def head_of(advice: Advice, fitting: Fitting, options: Options) -> list[tuple[str, str]]:
    """The line under a paper's name: which inquiry, tractor, how it is moved.

    >>> from handfast.advice.example import piped_answer
    >>> from handfast.outfits.example_piped import PIPED, piped
    >>> [name for name, _ in head_of(piped_answer(), piped(), Options())][:2]
    ['Inquiry', 'Tractor']
    """
    return [
        ("Inquiry", " ".join(text for text in (options.number, advice.title) if text)),
        ("Tractor", advice.machine),
        ("Serial", fitting.inquiry.machine.serial or "__________"),
        ("Moved", fitting.outfit.power.words.title),
    ]


def text(words: str, strong: bool = False) -> Row:
    """A paragraph."""
    return {"kind": "text", "text": plain(words, LONG), "strong": strong}


def note(words: str) -> Row:
    """A paragraph in small letters."""
    return {"kind": "note", "text": plain(words, LONG)}


def bullets(items: Iterable[str]) -> Row:
    """A list."""
    return {"kind": "bullets", "items": [plain(one, LONG) for one in items]}


def stops(items: Iterable[str]) -> Row:
    """Tick boxes within a frame: what stops the job."""
    return {"kind": "stop", "items": [plain(one, LONG) for one in items]}


def ticks(items: Iterable[tuple[str, str]], numbered: bool = True, first: int = 1, abreast: int = 1) -> Row:
    """Steps with a box to tick: each a sentence and a note that may be empty; several `abreast` are short ones."""
    rows = [[plain(words, LONG), plain(small, LONG)] for words, small in items]
    return {"kind": "ticks", "items": rows, "numbered": numbered, "first": first, "abreast": abreast}


def table(
    head: Sequence[str],
    columns: Sequence[float],
    rows: Iterable[Sequence[str]],
    align: str = "",
    size: float = 0.92,
    room: float = 0.9,
) -> Row:
    """A table; a column of width 0 is as wide as its words; `room` is above and below a row's words [mm].

    In a cell a leading star makes bold, lines after the first are small, [] is a box to tick, ____ a blank to fill in.
    """
    cells = [["\n".join(plain(part, LONG) for part in str(cell).split("\n")) for cell in row] for row in rows]
    sides = [*(align or "l" * len(head))]
    boxes = {place for row in cells for place, cell in enumerate(row) if cell == "[]"}
    named = ["tick" if not words and place in boxes else words for place, words in enumerate(head)]
    return {
        "kind": "table", "head": named, "columns": list(columns), "rows": cells, "align": sides, "size": size,
        "room": room,
    }  # fmt: skip


def blanks(items: Sequence[str], columns: Sequence[float]) -> Row:
    """Lines to write on, each with its label."""
    return {"kind": "blanks", "items": [plain(one, 90) for one in items], "columns": list(columns)}


def drawing(name: str, width: float) -> Row:
    """A drawing of the paper's `pics` at a width [mm]."""
    return {"kind": "picture", "name": name, "width": width}


def length(value: float, system: str) -> str:
    """A length as a bench reads it: inches to a quarter, millimetres whole.

    >>> length(1.8288, "us"), length(1.425, "metric"), length(float("nan"), "us")
    ('72 in', '1,425 mm', '–')
    """
    if not isfinite(value):
        return NOT_KNOWN
    if system == "metric":
        return f"{1000 * value:,.0f} mm"
    return f"{round(4 * value / 0.0254) / 4:g} in"


def pressure(value: float, system: str) -> str:
    """A pressure in whole psi or bar.

    >>> pressure(2.1e7, "metric"), pressure(float("nan"), "us")
    ('210 bar', '–')
    """
    return show(value, "pressure", system) if isfinite(value) else NOT_KNOWN
