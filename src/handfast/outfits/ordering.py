"""The order in two parts: what is safe to order now, and what waits, with the one question that frees it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cache

from handfast.machines.attachment import Attachment
from handfast.machines.part import Part
from handfast.outfits.fitting import Fitting
from handfast.outfits.hose_order import hose_order_of
from handfast.outfits.numbering import OF_ROUTE
from handfast.outfits.parts_list import NOT_STOCKED, PORTS_UNKNOWN, PartLine
from handfast.quantities.estimate import Estimate
from handfast.quantities.tables import table
from handfast.quantities.units import to_si

GROUPS = ("shelf", "send", "small", "kit", "attachment", "caller", "find")
"""Where a line comes from, in the order in which it is picked: our shelf first."""

ANYWAY = frozenset(("clamps", "sleeve", "dust_caps", "oil", "wiring", "sealant", "labels", "grease"))
"""Items of stock that any route uses and that go back on the shelf: they wait for nothing."""

EVERY_CENTRE = frozenset(("open", "closed", "load_sensing"))


@dataclass(frozen=True)
class Asked:
    """A question that frees something: its key, the words, how to find out."""

    key: str
    question: str
    how: str


@dataclass(frozen=True)
class OrderLine:
    """A line of the order: where it comes from, the record behind it, and what it waits for."""

    line: PartLine
    group: str
    part: Part | Attachment | None
    asks: tuple[Asked, ...]

    @property
    def safe(self) -> bool:
        """Whether it can be ordered now."""
        return not self.asks


@dataclass(frozen=True)
class Order:
    """Lines in the order in which they are picked."""

    lines: tuple[OrderLine, ...]

    @property
    def now(self) -> tuple[OrderLine, ...]:
        """What is safe to order now."""
        return tuple(one for one in self.lines if one.safe)

    @property
    def waiting(self) -> tuple[tuple[Asked, tuple[OrderLine, ...]], ...]:
        """Each open question with what it frees; a line that waits for several stands under the first."""
        found: dict[Asked, list[OrderLine]] = {}
        for one in self.lines:
            if one.asks:
                found.setdefault(one.asks[0], []).append(one)
        return tuple((asked, tuple(lines)) for asked, lines in found.items())


def order_of(fitting: Fitting, more: Sequence[PartLine] = ()) -> Order:
    """The whole order of an outfit.

    Args:
        fitting: the outfit with its parts.
        more: further lines, such as what hangs behind.

    Returns:
        Attachment, mount, what hangs behind, then the parts of the power route.

    Source: what waits for which fact is common practice, no source.

    Example:
        >>> from handfast.outfits.example_piped import piped
        >>> [one.line.what for one in order_of(piped()).now][:1]
        ['Thicketjaw 55 root grapple']
    """
    hung, moved = _mount_asks(fitting), _route_asks(fitting)
    hoses = {one.tag: one.asks for one in hose_order_of(fitting)}
    lines = [_line(one, fitting, hung) for one in hanging(fitting)]
    lines += [_line(one, fitting, ()) for one in more]
    for one in fitting.parts:
        own = _own_asks(one, fitting, hoses.get(one.tag, ()))
        lines.append(_line(one, fitting, own if one.item in ANYWAY else (*moved, *own)))
    return Order(tuple(sorted(lines, key=lambda line: GROUPS.index(line.group))))


def hanging(fitting: Fitting) -> tuple[PartLine, ...]:
    """The attachment and what it hangs on.

    Args:
        fitting: the outfit.

    Returns:
        Lines.

    Example:
        >>> from handfast.outfits.example_piped import piped
        >>> hanging(piped())[0].what
        'Thicketjaw 55 root grapple'
    """
    outfit = fitting.outfit
    tool = outfit.attachment
    if outfit.seen_elsewhere:
        price, stock, whose = Estimate.known(0.0), None, "caller"
    else:
        price, stock, whose = tool.price, tool.stock, ""
    lines = [PartLine("attachment", outfit.name, 1, "piece", "", "", "the loader", None, price, whose, stock)]
    for part in outfit.mount.parts:
        words = part.name or part.id
        lines.append(PartLine("mount", words, 1, "piece", "", "", "", part.id, part.price, stock=part.stock))
    return tuple(lines)


def quantity_words(line: PartLine, system: str) -> str:
    """How much of a line, in words.

    Args:
        line: the line.
        system: us or metric.

    Returns:
        Words such as "2", "1 set", "3.8 L".

    Example:
        >>> quantity_words(PartLine("oil", "oil", 1, "gal", "", "", "", None, Estimate.unknown()), "us")
        '1 gal'
    """
    if line.unit == "piece":
        return str(line.quantity)
    if line.unit == "gal" and system == "metric":
        return f"{1000 * to_si(line.quantity, 'gal'):.1f} L"
    return f"{line.quantity} {line.unit}"


def asked(key: str) -> Asked:
    """A question by its key, from order_questions.csv or questions.csv.

    Args:
        key: of the question.

    Returns:
        `Asked`.

    Raises:
        KeyError: No such question.

    Example:
        >>> asked("power_beyond").question
        'How many hoses and pipes go into the loader valve: six or seven?'
    """
    return _questions()[key]


@cache
def _questions() -> dict[str, Asked]:
    of_facts = {row["fact"]: Asked(row["fact"], row["question"], row["how"]) for row in table("questions.csv")}
    return {**of_facts, **{r["ask"]: Asked(r["ask"], r["question"], r["how"]) for r in table("order_questions.csv")}}


def _mount_asks(fitting: Fitting) -> tuple[Asked, ...]:
    return (asked("quick_attach"),) if fitting.inquiry.machine.quick_attach is None else ()


def _route_asks(fitting: Fitting) -> tuple[Asked, ...]:
    """What the whole route waits for: that the outlet is there, and that the kit suits the pump."""
    power, machine = fitting.outfit.power, fitting.inquiry.machine
    keys = [power.presumes] if power.presumes is not None else []
    kit = power.kit
    if kit is not None and machine.centre is None and kit.centre and not set(kit.centre) >= EVERY_CENTRE:
        keys.append("centre")
    return tuple(asked(key) for key in keys)


def _own_asks(one: PartLine, fitting: Fitting, hose: Iterable[str]) -> tuple[Asked, ...]:
    if one.waits_for == PORTS_UNKNOWN:
        return (asked(fitting.unjoined[0] or "ports_tool"),)
    if one.waits_for == NOT_STOCKED and one.item not in OF_ROUTE:
        return (asked("not_stocked"),)
    return tuple(asked(key) for key in hose)


def _line(one: PartLine, fitting: Fitting, asks: tuple[Asked, ...]) -> OrderLine:
    part = fitting.shelf.parts.get(one.part) if one.part else None
    if one.brought_by:
        return OrderLine(one, one.brought_by, None, asks)
    if one.item == "attachment":
        tool = fitting.outfit.attachment
        return OrderLine(one, "shelf" if one.in_stock else "send", tool, asks)
    if one.part is None and one.price.is_unknown:
        return OrderLine(one, "find", None, asks)
    if one.part is None:
        return OrderLine(one, "find" if one.item == "ballast" else "small", None, asks)
    return OrderLine(one, "shelf" if one.in_stock else "send", part, asks)
