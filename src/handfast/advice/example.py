"""The worked example of the docstrings, answered: `handfast.outfits.example` as advice."""

from __future__ import annotations

from functools import cache

from handfast.advice.advise import advise
from handfast.advice.result import Advice, OutfitAdvice
from handfast.machines.shelf import Shelf
from handfast.outfits.example import inquiry
from handfast.outfits.example_piped import asked, shelf


@cache
def answer() -> Advice:
    """The example's answer, nothing on the shelf.

    Returns:
        `Advice` with one outfit.

    Example:
        >>> answer().title, len(answer().outfits)
        ('Fence row gone wild', 1)
    """
    return advise(inquiry(), Shelf())


def outfit() -> OutfitAdvice:
    """The example's outfit.

    Returns:
        `OutfitAdvice` of a brush grapple, pinned.

    Example:
        >>> outfit().kind, round(outfit().payload.full_height.p50, 3)
        ('brush_grapple', 215.447)
    """
    return answer().outfits[0]


@cache
def piped_answer() -> Advice:
    """The answer that holds the outfit of `handfast.outfits.example_piped.piped`.

    Returns:
        `Advice` on an inquiry of the demonstration.

    Example:
        >>> from handfast.outfits.example_piped import PIPED
        >>> piped_answer().outfit(PIPED).kind
        'root_grapple'
    """
    return advise(asked("Takes the bucket off with a hammer"), shelf())
