"""The pick list and order in two parts: what is safe to order now, what waits and the one question that frees it."""

from __future__ import annotations

from collections.abc import Sequence

from handfast.advice.order import order_for
from handfast.advice.result import Advice
from handfast.documents.work_paper import (
    NOT_KNOWN,
    Options,
    Row,
    Section,
    WorkPaper,
    bullets,
    head_of,
    note,
    press_paper,
    table,
    text,
)
from handfast.machines.attachment import Attachment
from handfast.outfits.fitting import Fitting
from handfast.outfits.ordering import Asked, Order, OrderLine, quantity_words
from handfast.quantities.money import show_money

NAME = "Parts order"
BOXES = {"kit": "the kit", "attachment": "the attachment", "caller": "the caller has it"}
SUBSTITUTES = (
    "A hose: only one that bears no less, is no narrower and bends no wider, in the length on the hose order or above.",
    "Couplers: both halves of both lines of one standard and size; the halves stay crossed as the list has them.",
    "A fitting: same family, size and gender at each end; two fittings for one only with the drawing changed.",
    "A kit: none, without asking the counter: centre, tank port and power beyond were checked for this one.",
    "A fuse: the same current; a cable: no thinner, no longer.",
    "Clamps, sleeve, ties, labels, sealant, oil: what the shop keeps; oil as the tractor's maker asks.",
)


def parts_order(advice: Advice, outfit_id: str, fitting: Fitting, options: Options | None = None) -> bytes:
    """The parts order of an outfit.

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

    >>> from handfast.advice.example import piped_answer
    >>> from handfast.outfits.example_piped import PIPED, piped
    >>> parts_order(piped_answer(), PIPED, piped())[:5]
    b'%PDF-'
    """
    options = options or Options()
    one = advice.outfit(outfit_id)
    order = order_for(one, fitting)
    paper = WorkPaper(NAME, head_of(advice, fitting, options), _sections(order, advice.currency, options.system))
    return press_paper(paper, advice, one, options)


def _sections(order: Order, currency: str, system: str) -> list[Section]:
    now = {name: [one for one in order.now if one.group == name] for name in ("shelf", "send", "small", "find")}
    along = [one for one in order.lines if one.group in ("kit", "attachment", "caller") and one.safe]
    stock = [*now["shelf"], *now["small"]]
    return [
        Section("Safe to order now: from our own shelf", [_picked(stock, currency, system)] if stock else []),
        Section("Safe to order now: to send for", [_sent(now["send"], currency, system)] if now["send"] else []),
        Section("Safe to order now: on no shelf", [_sent(now["find"], currency, system)] if now["find"] else []),
        *(_waits(asked, lines, currency, system) for asked, lines in order.waiting),
        Section("Comes in the box: look before the job", [_along(along, system)] if along else []),
        Section("Money", [_money(order, currency)]),
        Section("In place of what is listed", [bullets(SUBSTITUTES)], whole=True),
    ]


def _picked(lines: Sequence[OrderLine], currency: str, system: str) -> Row:
    rows = [
        [
            "[]",
            quantity_words(one.line, system),
            _what(one),
            one.line.tag,
            _place(one),
            _stock(one),
            _price(one, currency),
        ]
        for one in lines
    ]
    head = ("", "qty", "what", "no.", "where", "on the shelf", "likely")
    return table(head, (0, 0, 3, 0, 1.2, 0, 0), rows, "lrlllrr")


def _sent(lines: Sequence[OrderLine], currency: str, system: str) -> Row:
    rows = [
        [
            "[]",
            quantity_words(one.line, system),
            _what(one),
            one.line.tag,
            _from(one),
            _lead(one),
            _price(one, currency),
        ]
        for one in lines
    ]
    head = ("", "qty", "what", "no.", "from", "days", "likely")
    return table(head, (0, 0, 3, 0, 1.6, 0, 0), rows, "lrlllrr")


def _waits(asked: Asked, lines: Sequence[OrderLine], currency: str, system: str) -> Section:
    """One question, and what it frees."""
    rows = [[*_first(one, system), _whose(one), _price(one, currency)] for one in lines]
    head = ("", "qty", "what", "no.", "from", "likely")
    return Section(
        "Waits for one answer",
        [
            text(asked.question, strong=True),
            note(f"{asked.how} Answer: ____________________ on ____________"),
            table(head, (0, 0, 3, 0, 1.2, 0), rows, "lrlllr"),
        ],
    )


def _along(lines: Sequence[OrderLine], system: str) -> Row:
    """What kit and attachment bring."""
    rows = [["[]", quantity_words(one.line, system), one.line.what, one.line.tag, BOXES[one.group]] for one in lines]
    return table(("", "qty", "what", "no.", "in the box of"), (0, 0, 3, 0, 1.2), rows, "lrlll", room=0.5)


def _money(order: Order, currency: str) -> Row:
    now, later = (
        sum(one.line.price.likely for one in order.lines if one.safe is safe and not one.line.price.is_unknown)
        for safe in (True, False)
    )
    open_ = sum(one.line.price.is_unknown and not one.line.brought_by for one in order.lines)
    told = (
        f"Safe now: {show_money(now, currency)}; waiting: {show_money(later, currency)}; before tax, freight and work."
    )
    return text(told + (f" {open_} without a price yet." if open_ else ""))


def _first(one: OrderLine, system: str) -> list[str]:
    """Box, how many, what, number."""
    return ["[]", quantity_words(one.line, system), _what(one), one.line.tag]


def _what(one: OrderLine) -> str:
    """Its name, and where it goes."""
    line = one.line
    joins = f"{line.from_port} to {line.to_port}" if line.from_port and line.to_port else line.from_port
    return f"{line.what}\n{joins}" if joins else line.what


def _place(one: OrderLine) -> str:
    if one.part is not None and one.part.place:
        return one.part.place
    return "small parts" if one.group == "small" else NOT_KNOWN


def _stock(one: OrderLine) -> str:
    return NOT_KNOWN if one.line.stock is None else str(one.line.stock)


def _from(one: OrderLine) -> str:
    part = one.part
    if part is None:
        return NOT_KNOWN
    maker = part.maker if isinstance(part, Attachment) else part.supplier
    number = "" if isinstance(part, Attachment) else part.own_number
    return " ".join(word for word in (maker, number) if word) or NOT_KNOWN


def _lead(one: OrderLine) -> str:
    part = one.part
    return NOT_KNOWN if part is None or part.lead_days.is_unknown else f"{part.lead_days.value:.0f}"


def _whose(one: OrderLine) -> str:
    words = {"shelf": "our shelf", "small": "small parts", "send": "to send for", "find": "to be found"}
    return words.get(one.group) or BOXES[one.group]


def _price(one: OrderLine, currency: str) -> str:
    return NOT_KNOWN if one.line.price.is_unknown else show_money(one.line.price.likely, currency)
