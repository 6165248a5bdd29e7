"""The pick list: for the parts room, by place, what is short marked, what must wait left on the shelf."""

from __future__ import annotations

from collections.abc import Sequence

from handfast.advice.order import order_for
from handfast.advice.result import Advice
from handfast.documents.buying import short_by, supplier_of
from handfast.documents.work_paper import (
    NOT_KNOWN,
    Options,
    Row,
    Section,
    WorkPaper,
    blanks,
    bullets,
    head_of,
    note,
    press_paper,
    table,
    text,
)
from handfast.outfits.fitting import Fitting
from handfast.outfits.ordering import Order, OrderLine, quantity_words
from handfast.quantities.showing import show

NAME = "Pick list"
BLANK = "____"
BOXED = "Comes in a box: look that it is in there"
ROWS = 30  # that fit on one page
ALONE = 23.0  # kg; the load constant of the NIOSH lifting equation, 51 lb
HEAD, COLUMNS, SIDES = (
    ("", "qty", "what", "no.", "our number", "place", "shelf has", "mark"),
    (0, 0, 4, 0, 1.5, 1.1, 0.6, 0.7),
    "lrllllrl",
)


def pick_list(advice: Advice, outfit_id: str, fitting: Fitting, options: Options | None = None) -> bytes:
    """The pick list of an outfit, without prices.

    Args:
        advice: the answer.
        outfit_id: which of its outfits.
        fitting: the same outfit with its parts.
        options: paper, units, date, number.

    Returns:
        A tagged PDF; equal arguments give equal bytes.

    Raises:
        KeyError: no such outfit.
        ValueError: no such paper or system.
        PaperError: the press failed.

    Source: 51 lb or 23 kg for one person is the load constant of the NIOSH lifting equation (94-110).

    >>> from handfast.advice.example import piped_answer
    >>> from handfast.outfits.example_piped import PIPED, piped
    >>> pick_list(piped_answer(), PIPED, piped())[:5]
    b'%PDF-'
    """
    options = options or Options()
    one = advice.outfit(outfit_id)
    sections = _sections(order_for(one, fitting), options.system)
    return press_paper(WorkPaper(NAME, head_of(advice, fitting, options), sections), advice, one, options)


def _sections(order: Order, system: str) -> list[Section]:
    ours = [one for one in order.now if one.group in ("shelf", "send") and one.part is not None]
    picked = sorted((one for one in ours if short_by(one) != one.line.quantity), key=_walk)
    short = [one for one in ours if short_by(one)]
    small = [one for one in order.now if one.group == "small"]
    find = [one for one in order.now if one.group == "find"]
    boxed = [one for one in order.now if one.group in ("kit", "attachment", "caller")]
    return [
        Section("Pick, by place", _picking(picked, system)),
        Section("Short: to be sent for before the job is given a day", _short(short, system)),
        Section("Small parts, from the drawers", [_small(small, system)] if small else []),
        Section("On no shelf: find, and write where it came from", [_found(find, system)] if find else []),
        Section("Leave on the shelf until one answer is there", _waiting(order, system)),
        Section("Picked", _picked_by(), whole=True),
        Section(BOXED, [_boxed(boxed, system)] if boxed else [], whole=len(boxed) <= ROWS),
    ]  # fmt: skip


def _picking(lines: Sequence[OrderLine], system: str) -> list[Row]:
    if not lines:
        return [text("Nothing of it is on the shelf.")]
    return [table(HEAD, COLUMNS, [_row(one, system) for one in lines], SIDES, room=0.7), *_two_people(lines, system)]


def _walk(one: OrderLine) -> tuple[bool, str, str]:
    """The order of a walk through the room: by place, what has none last."""
    place = _place(one)
    return place == BLANK, place, one.line.what


def _row(one: OrderLine, system: str) -> list[str]:
    missing = short_by(one)
    there = BLANK if one.line.stock is None else str(one.line.stock)
    mark = "*SHORT" if missing else "count" if missing is None else ""
    return [
        "[]",
        quantity_words(one.line, system),
        what_words(one),
        one.line.tag,
        _own_number(one),
        _place(one),
        there,
        mark,
    ]


def what_words(one: OrderLine) -> str:
    """Its name, and the port it goes on."""
    line = one.line
    joins = f"{line.from_port} to {line.to_port}" if line.from_port and line.to_port else line.from_port
    return f"{line.what}\n{joins}" if joins else line.what


def _place(one: OrderLine) -> str:
    return (one.part.place if one.part is not None else "") or BLANK


def _own_number(one: OrderLine) -> str:
    return one.part.id if one.part is not None and one.part.id else BLANK


def _two_people(lines: Sequence[OrderLine], system: str) -> list[Row]:
    """What one person does not lift alone, by the mass on its record."""
    heavy = [
        f"{one.line.what}, {show(one.part.mass.value, 'mass', system)}"
        for one in lines
        if one.part is not None and not one.part.mass.is_unknown and one.part.mass.value > ALONE
    ]
    if not heavy:
        return []
    return [
        note(f"Not by one person alone, each above {show(ALONE, 'mass', system)}; forks, a hoist or more hands:"),
        bullets(heavy),
    ]


def _short(lines: Sequence[OrderLine], system: str) -> list[Row]:
    if not lines:
        return []
    rows = [
        ["[]", f"*{_missing(one, system)}", what_words(one), one.line.tag, supplier_of(one) or BLANK, _lead(one), BLANK]
        for one in lines
    ]
    head = ("", "short", "what", "no.", "from", "days", "ordered on, our order")
    return [table(head, (0, 0, 4, 0, 1.6, 0, 1.6), rows, "lrlllrl")]


def _missing(one: OrderLine, system: str) -> str:
    missing = short_by(one) or 0
    whole = missing == one.line.quantity
    return quantity_words(one.line, system) if whole else f"{missing} of {quantity_words(one.line, system)}"


def _lead(one: OrderLine) -> str:
    return NOT_KNOWN if one.part is None or one.part.lead_days.is_unknown else f"{one.part.lead_days.value:.0f}"


def _small(lines: Sequence[OrderLine], system: str) -> Row:
    rows = [["[]", quantity_words(one.line, system), what_words(one), one.line.tag, BLANK] for one in lines]
    return table(("", "qty", "what", "no.", "drawer"), (0, 0, 3, 0, 1.4), rows, "lrlll", room=0.6)


def _found(lines: Sequence[OrderLine], system: str) -> Row:
    rows = [["[]", quantity_words(one.line, system), what_words(one), one.line.tag, BLANK] for one in lines]
    return table(("", "qty", "what", "no.", "came from"), (0, 0, 3, 0, 1.4), rows, "lrlll", room=0.6)


def _waiting(order: Order, system: str) -> list[Row]:
    rows: list[Row] = []
    for asked, lines in order.waiting:
        held = [[quantity_words(one.line, system), what_words(one), one.line.tag, _place(one)] for one in lines]
        rows += [
            text(asked.question, strong=True),
            table(("qty", "what", "no.", "place"), (0, 3, 0, 1.4), held, "rlll"),
        ]
    return rows


def _boxed(lines: Sequence[OrderLine], system: str) -> Row:
    whose = {"kit": "the kit", "attachment": "the attachment", "caller": "the caller has it"}
    rows = [["[]", quantity_words(one.line, system), one.line.what, one.line.tag, whose[one.group]] for one in lines]
    return table(("", "qty", "what", "no.", "in the box of"), (0, 0, 3, 0, 1.2), rows, "lrlll", room=0.4)


def _picked_by() -> list[Row]:
    return [
        blanks(("Picked by", "Date, hour", "Looked over by"), (1.2, 1, 1.2)),
        blanks(("Stands ready at", "Pieces in all", "Still missing"), (1.2, 1, 1.2)),
    ]
