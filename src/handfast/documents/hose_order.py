"""The hose order sheet: every hose by its number, with lengths, ends, rating by its weakest part, sleeve, quantity."""

from __future__ import annotations

from math import isfinite

from handfast.advice.result import Advice
from handfast.documents.work_paper import (
    NOT_KNOWN,
    Options,
    Row,
    Section,
    WorkPaper,
    bullets,
    head_of,
    length,
    note,
    press_paper,
    pressure,
    table,
    text,
)
from handfast.drawings.from_outfit import SIZES
from handfast.outfits.fitting import Fitting
from handfast.outfits.hose_order import HoseOrder, hose_order_of
from handfast.outfits.ordering import asked
from handfast.outfits.part_counts import CLAMP_EVERY

NAME = "Hose order"
HEAD = (
    "no.",
    "from\nto",
    "hose",
    "bore",
    "bears",
    "overall\ncut",
    "end 1\nend 2",
    "ends stand\nsleeve, clamps",
    "qty",
)
COLUMNS = (0, 2.3, 1.7, 0, 0, 0, 1.9, 1.5, 0)
BENCH = (
    "Overall is from seat to seat, made up; cut is the bare hose. Make up to the overall length, never below it.",
    "The end that leads to the tractor is end 1. Blow the hose through, cap both ends, tie its tag on.",
    "A hose bears what its weakest part bears. In its place only what bears no less, is no narrower, bends no wider.",
)


def hose_order(advice: Advice, outfit_id: str, fitting: Fitting, options: Options | None = None) -> bytes:
    """The hose order of an outfit.

    Args:
        advice: the answer.
        outfit_id: which of its outfits.
        fitting: the same outfit with its lines.
        options: paper, units, date, number.

    Returns:
        A tagged PDF; equal arguments give equal bytes.

    Raises:
        KeyError: no such outfit.
        ValueError: no such paper or system.
        PaperError: the press failed.

    >>> from handfast.advice.example import piped_answer
    >>> from handfast.outfits.example_piped import PIPED, piped
    >>> hose_order(piped_answer(), PIPED, piped())[:5]
    b'%PDF-'
    """
    options = options or Options()
    paper = WorkPaper(NAME, head_of(advice, fitting, options), _sections(fitting, options))
    return press_paper(paper, advice, advice.outfit(outfit_id), options)


def _sections(fitting: Fitting, options: Options) -> list[Section]:
    hoses = hose_order_of(fitting)
    made = [one for one in hoses if not one.number.brought_by]
    brought = [one for one in hoses if one.number.brought_by]
    if not hoses:
        return [Section("Hoses", [text("No oil moves this lid: there is no hose to order.")])]
    found = [
        Section("To order", [_table(made, options.system), *_asks(made)] if made else [text("None: all come along.")]),
        Section("Come along: lay them out before the job, and tag them", [_brought(brought, fitting, options.system)])
        if brought
        else Section("", []),
        Section("Mind", [bullets(_warned(fitting))] if _warned(fitting) else []),
        Section("At the bench", [bullets(BENCH)], whole=True),
    ]
    return _unjoined(fitting) + found


def _unjoined(fitting: Fitting) -> list[Section]:
    key, why = fitting.unjoined
    if not key:
        return []
    one = asked(key)
    return [Section("Lines A and B wait", [text(f"{why[:1].upper()}{why[1:].rstrip('.')}."), _question(key)])] * bool(
        one
    )


def _table(hoses: list[HoseOrder], system: str) -> Row:
    return table(HEAD, COLUMNS, (_row(one, system) for one in hoses), "lllrrrllr", 0.86)


def _row(one: HoseOrder, system: str) -> list[str]:
    number = one.number
    first, second = one.ends
    return [
        f"*{one.tag}",
        f"{number.start}\n{number.end}",
        one.made_of,
        bore_words(one.bore),
        f"{pressure(one.rating, system)}\n{one.weakest}",
        f"*{length(one.overall, system)}\n{_cut(one, system)}",
        f"{first or NOT_KNOWN}\n{second or NOT_KNOWN}",
        f"{one.clocking or NOT_KNOWN}\n{laid_words(one, system)}",
        str(one.quantity),
    ]


def bore_words(bore: float) -> str:
    """A bore as hoses are called: 3/8 in.

    >>> bore_words(0.0095), bore_words(float("nan"))
    ('3/8 in', '–')
    """
    if not isfinite(bore):
        return NOT_KNOWN
    return SIZES.get(round(bore * 1e3, 1), f"{bore * 1e3:.1f} mm")


def laid_words(one: HoseOrder, system: str) -> str:
    """Where its sleeve goes, and how many clamps hold what lies still.

    >>> from handfast.outfits.example_piped import piped
    >>> from handfast.outfits.hose_order import hose_order_of
    >>> laid_words(hose_order_of(piped())[0], "us")
    'sleeve where it passes an edge; 8 clamps, one every 23.5 in'
    """
    piece = one.number.piece
    if piece is None or piece.at != "tractor" or not isfinite(piece.needed):
        return f"sleeve {one.sleeve}"
    count = max(round(piece.needed / CLAMP_EVERY), 1)
    return f"sleeve {one.sleeve}; {count} clamps, one every {length(CLAMP_EVERY, system)}"


def _cut(one: HoseOrder, system: str) -> str:
    return f"cut {length(one.cut, system)}" if isfinite(one.cut) else "as sold" if isfinite(one.overall) else ""


def _asks(hoses: list[HoseOrder]) -> list[Row]:
    """What must be known before each is made, one question once."""
    keys = dict.fromkeys(key for one in hoses for key in one.asks)
    rows = []
    for key in keys:
        tags = ", ".join(one.tag for one in hoses if key in one.asks)
        rows += [text(f"{tags} wait for one measure:", strong=True), _question(key)]
    return rows


def _question(key: str) -> Row:
    one = asked(key)
    return note(f"{one.question} {one.how} Measured: ______________")


def _brought(hoses: list[HoseOrder], fitting: Fitting, system: str) -> Row:
    needs = {one.tag: length(one.needed, system) for one in fitting.hoses.hoses}
    rows = [
        [f"*{h.tag}", h.number.start, h.number.end, h.made_of, needs.get(h.tag, NOT_KNOWN), laid_words(h, system), "[]"]
        for h in hoses
    ]
    head = ("no.", "from", "to", "whose", "at least", "sleeve, clamps", "there")
    return table(head, (0, 2, 2, 1.4, 0, 1.2, 0), rows, "llllrll")


def _warned(fitting: Fitting) -> list[str]:
    """What to mind about each hose; what is so of several is said once."""
    said: dict[str, list[str]] = {}
    for one in fitting.hoses.hoses:
        for words in one.warnings:
            said.setdefault(words, []).append(one.tag)
    return [f"{', '.join(tags)}: {words}" for words, tags in said.items()]
