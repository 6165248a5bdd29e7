"""The order of one outfit of an answer: its parts and what was chosen to hang behind."""

from __future__ import annotations

from collections.abc import Iterator

from handfast.advice.result import OutfitAdvice
from handfast.machines.shelf import Shelf
from handfast.outfits.fitting import Fitting
from handfast.outfits.ordering import Order, order_of
from handfast.outfits.parts_list import PartLine


def order_for(one: OutfitAdvice, fitting: Fitting) -> Order:
    """The whole order of an outfit with the weight behind that was chosen for it.

    Args:
        one: the outfit's advice.
        fitting: the same outfit with its parts.

    Returns:
        `Order`.

    Example:
        >>> from handfast.advice.example import piped_answer
        >>> from handfast.outfits.example_piped import PIPED, piped
        >>> len(order_for(piped_answer().outfit(PIPED), piped()).now) > 10
        True
    """
    return order_of(fitting, tuple(_behind(one, fitting.shelf)))


def _behind(one: OutfitAdvice, shelf: Shelf) -> Iterator[PartLine]:
    """What hangs behind, with its pins."""
    for piece in one.ballast.chosen:
        part = shelf.parts.get(piece.part)
        price = shelf.price_book.counterweight_per_kg.scaled(piece.mass) if part is None else part.price
        price = price if part is None or price.is_unknown else price.scaled(piece.count)
        stock = None if part is None else part.stock
        known = None if part is None else part.id
        yield PartLine("ballast", piece.title, piece.count, "piece", "", "", "behind", known, price, stock=stock)
    pins = next((line for line in shelf.price_book.line if "hitch" in line.id), None)
    if pins is not None and any(piece.at == "hitch" for piece in one.ballast.chosen):
        yield PartLine("pins", pins.name or pins.id, 1, "set", "", "", "hitch", None, pins.price)
