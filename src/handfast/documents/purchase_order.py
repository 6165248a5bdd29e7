"""Purchase orders: one sheet a supplier, with nothing on it of the caller."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from math import isfinite

from handfast.advice.result import Advice
from handfast.connections.mating import End
from handfast.costing.freight import freight_class, packed_mass
from handfast.documents.buying import Purchase, purchases, short_by
from handfast.documents.pick_list import BLANK
from handfast.documents.points import points
from handfast.documents.work_paper import (
    Letterhead,
    Options,
    Row,
    Section,
    WorkPaper,
    blanks,
    bullets,
    length,
    note,
    press_paper,
    table,
    text,
)
from handfast.machines.attachment import Attachment
from handfast.outfits.fitting import Fitting
from handfast.outfits.numbering import thread
from handfast.outfits.ordering import OrderLine, quantity_words
from handfast.quantities.money import money, show_money
from handfast.quantities.showing import show

NAME = "Purchase order"
PACKED = ("crate", "weight", "long by wide by high", "freight class")
NOBODY = "Supplier not on the shelf"


def purchase_order(advice: Advice, outfit_id: str, fitting: Fitting, options: Options | None = None) -> bytes:
    """The purchase orders of an outfit, or that for `options.supplier` alone.

    Args:
        advice: the answer.
        outfit_id: which of its outfits.
        fitting: the same outfit with its parts.
        options: paper, units, date, number; for which supplier, whether costs are on it.

    Returns:
        A tagged PDF; equal arguments give equal bytes.

    Raises:
        KeyError: no such outfit.
        ValueError: no such paper, system or supplier.
        PaperError: the press failed.

    Source: freight class by the density scale of freight_class.csv, where the record has none.

    >>> from handfast.advice.example import piped_answer
    >>> from handfast.outfits.example_piped import PIPED, piped
    >>> purchase_order(piped_answer(), PIPED, piped())[:5]
    b'%PDF-'
    """
    options = options or Options()
    one = advice.outfit(outfit_id)
    found = [p for p in purchases(one, fitting) if not options.supplier or p.supplier == options.supplier]
    if options.supplier and not found:
        raise ValueError(f"nothing of this outfit is bought from {options.supplier[:80]!r}")
    sections = [section for purchase in found for section in _sheet(purchase, options, advice.currency)]
    nothing = [
        Section(
            "Nothing to buy",
            [
                text(
                    "All that is safe to order now is on the shelf. What waits for an answer stands on the parts order."
                )
            ],
        )
    ]
    paper = WorkPaper(NAME, [], sections or nothing, outfit="")
    return press_paper(paper, advice, one, options)


def _sheet(purchase: Purchase, options: Options, currency: str) -> list[Section]:
    number = f"{options.number}-{purchase.place}" if options.number else ""
    pairs = [("Our order", number or "__________"), ("Date", options.made or "__________"), ("Wanted by", "__________")]
    head = Letterhead(f"To: {purchase.supplier or NOBODY}", pairs)
    crates = [one.part for one in purchase.lines if isinstance(one.part, Attachment)]
    return [
        Section("Please send", _lines(purchase.lines, options, currency), head=head),
        Section("As packed", [_packed(crates, options.system)] if crates else [], whole=True),
        Section("Ship to", _ship_to(options), whole=True),
        Section("How we buy", [bullets(words for words, _ in points("order", "term"))], whole=True),
        Section("Signed", _signed(), whole=True),
    ]


def _lines(lines: Sequence[OrderLine], options: Options, currency: str) -> list[Row]:
    """What is asked for, with its cost where one is on file, and what that comes to."""
    rows, sums = [], []
    for place, one in enumerate(lines, 1):
        count, words = _wanted(one, options.system)
        each = _cost(one) if options.costs else None
        amount = None if each is None else each * count
        sums.append(amount)
        written = [BLANK if m is None else show_money(m, currency, cents=True) for m in (each, amount)]
        rows.append([str(place), words, _what(one), _number(one), _days(one), *written])
    head = ("item", "qty", "what", "your number", "days", "each", "amount")
    return [table(head, (0, 0, 4, 1.5, 0.6, 1, 1), rows, "rrllrrr"), note(_in_all(sums, currency))]


def _in_all(sums: Sequence[Decimal | None], currency: str) -> str:
    """What is known of the whole, and of how many lines nothing is."""
    whole = [one for one in sums if one is not None]
    missing, known = len(sums) - len(whole), show_money(sum(whole, Decimal(0)), currency, cents=True)
    if whole and not missing:
        return f"In all: {known}."
    told = f"Known of it: {known}. " if whole else ""
    return f"{told}{missing} of {len(sums)} without a price on file: please write it in."


def _cost(one: OrderLine) -> Decimal | None:
    """What a piece, set or gallon of it costs us, by its record."""
    return None if one.part is None or one.part.cost.is_unknown else money(one.part.cost.value)


def _wanted(one: OrderLine, system: str) -> tuple[int, str]:
    """How many are bought: what is missing, or all where nobody has counted; in words."""
    missing = short_by(one)
    count = one.line.quantity if missing is None else missing
    whole = quantity_words(one.line, system)
    return count, whole if count == one.line.quantity else str(count)


def _what(one: OrderLine) -> str:
    """Its name and what of it a supplier must know: ends, bore, length, what it bears."""
    part = one.part
    if part is None or isinstance(part, Attachment):
        return one.line.what
    ends = ", ".join(thread(End(end.family, end.size, end.gender)) for end in part.ends)
    return f"{one.line.what}\n{ends}" if ends else one.line.what


def _number(one: OrderLine) -> str:
    """The supplier's own number, and ours under it for the packing list."""
    if one.part is None:
        return BLANK
    theirs = "" if isinstance(one.part, Attachment) else one.part.own_number
    return f"{theirs}\nours {one.part.id}" if theirs else f"{BLANK}\nours {one.part.id}"


def _days(one: OrderLine) -> str:
    return BLANK if one.part is None or one.part.lead_days.is_unknown else f"{one.part.lead_days.value:.0f}"


def _packed(crates: Sequence[Attachment], system: str) -> Row:
    rows = [[one.name or one.id, *packed_words(one, system)] for one in crates]
    return table(PACKED, (2, 1, 1.8, 1.4), rows, "llll")


def packed_words(one: Attachment, system: str) -> list[str]:
    """Weight, size and freight class of a crate; a blank to write in for what the record does not say.

    >>> packed_words(Attachment(), "us")
    ['____', '____', '____']
    """
    mass = packed_mass(one)
    box = one.shipping
    sides = [] if box is None else [s.value for s in (box.length, box.width, box.height) if not s.is_unknown]
    weighed = box is not None and not box.mass.is_unknown
    weight = show(mass, "mass", system) if isfinite(mass) else BLANK
    size = " × ".join(length(side, system) for side in sides) if len(sides) == 3 else BLANK
    return [weight if weighed or not isfinite(mass) else f"about {weight}", size, _class(one, mass, sides)]


def _class(one: Attachment, mass: float, sides: Sequence[float]) -> str:
    if one.shipping is not None and one.shipping.freight_class:
        return one.shipping.freight_class
    if len(sides) == 3 and isfinite(mass):
        return f"{float(freight_class(mass, *sides)):g}, by its density"
    return BLANK


def _ship_to(options: Options) -> list[Row]:
    known = [text(options.dealer, strong=True), text(options.reached)] if options.reached else []
    lines = [] if options.reached else [blanks(("Name", "Street", "Town", "Telephone"), (1, 1))]
    return [*known, *lines, blanks(("Unloaded by (forks, dock, lift gate)", "Hours when somebody is there"), (1, 1))]


def _signed() -> list[Row]:
    return [
        blanks(("Ordered by", "Date"), (1.6, 1)),
        blanks(("Confirmed by the supplier", "Leaves on"), (1.6, 1)),
    ]
