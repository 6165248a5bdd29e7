"""What is short, and of whom it is bought: for pick list, purchase orders and the page that leads to them."""

from __future__ import annotations

from dataclasses import dataclass

from handfast.advice.order import order_for
from handfast.advice.result import OutfitAdvice
from handfast.machines.attachment import Attachment
from handfast.outfits.fitting import Fitting
from handfast.outfits.ordering import OrderLine


def short_by(one: OrderLine) -> int | None:
    """How many are missing on the shelf; None where nobody has counted.

    >>> from handfast.outfits.example_piped import piped
    >>> from handfast.outfits.ordering import order_of
    >>> short_by(order_of(piped()).now[0])
    0
    """
    stock = one.line.stock
    return None if stock is None else max(one.line.quantity - stock, 0)


def supplier_of(one: OrderLine) -> str:
    """Whom it is bought from: the supplier on its record, else an attachment's maker; empty where neither is known.

    >>> from handfast.outfits.example_piped import piped
    >>> from handfast.outfits.ordering import order_of
    >>> supplier_of(order_of(piped()).now[0])
    'Coldharrow Forge'
    """
    part = one.part
    if part is None:
        return ""
    return part.supplier or (part.maker if isinstance(part, Attachment) else "")


@dataclass(frozen=True)
class Purchase:
    """What one supplier is asked for: its own number among the orders of this job, and its lines."""

    supplier: str
    place: int
    lines: tuple[OrderLine, ...]


def purchases(one: OutfitAdvice, fitting: Fitting) -> tuple[Purchase, ...]:
    """What is to be bought and safe to order now, by supplier in alphabetical order; what nobody is known for last.

    >>> from handfast.advice.example import piped_answer
    >>> from handfast.outfits.example_piped import PIPED, piped
    >>> purchases(piped_answer().outfit(PIPED), piped())
    ()
    """
    bought: dict[str, list[OrderLine]] = {}
    for line in order_for(one, fitting).now:
        if line.group == "find" or (line.group == "send" and line.part is not None and short_by(line) != 0):
            bought.setdefault(supplier_of(line), []).append(line)
    names = sorted(bought, key=lambda name: (name == "", name))
    return tuple(Purchase(name, place, tuple(bought[name])) for place, name in enumerate(names, 1))
