"""Every hose of an outfit's two lines with its number, its length and how that is known; plain words for a paper."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import isnan
from typing import Any

from handfast.machines.inquiry import Inquiry
from handfast.machines.shelf import Shelf
from handfast.outfits.hose_plan import HoseLength, hose_plan_of
from handfast.outfits.line_runs import line_runs
from handfast.outfits.numbering import HoseNumber, hose_numbers
from handfast.outfits.outfit import Outfit


@dataclass(frozen=True)
class KitHose:
    """One hose of a kit: its number and ends, its length, how that is known."""

    number: HoseNumber
    plan: HoseLength

    @property
    def tag(self) -> str:
        """Its number."""
        return self.number.tag

    @property
    def line(self) -> str:
        """The line it belongs to, A or B."""
        return self.number.piece.line if self.number.piece is not None else ""

    @property
    def long(self) -> float:
        """Overall length as it is supplied [m]; what it needs where it comes along."""
        return self.plan.needed if isnan(self.plan.ordered) else self.plan.ordered


def kit_hoses(outfit: Outfit, inquiry: Inquiry, shelf: Shelf) -> tuple[KitHose, ...]:
    """The hoses of both lines, in the order in which they are laid.

    Args:
        outfit: the outfit.
        inquiry: resolved inquiry.
        shelf: hoses, couplers, fittings, and what was learnt after the sale.

    Returns:
        Hoses; none where ports are not known or no oil is needed.

    Example:
        >>> from handfast.outfits.example_piped import piped
        >>> [one.number.tag for one in kit_hoses(piped().outfit, piped().inquiry, piped().shelf)][:2]
        ['A1', 'A2']
    """
    plan = {one.tag: one for one in hose_plan_of(outfit, inquiry, shelf).hoses}
    numbers = hose_numbers(outfit, line_runs(outfit, inquiry, shelf))
    return tuple(KitHose(one, plan[one.tag]) for one in numbers if one.tag in plan)


def plain_hoses(hoses: Sequence[KitHose]) -> list[dict[str, Any]]:
    """Hoses as a quote keeps them.

    Args:
        hoses: as `kit_hoses` gives them.

    Returns:
        One dictionary a hose, lengths in m.

    Example:
        >>> plain_hoses(())
        []
    """
    return [
        {
            "tag": one.tag,
            "what": one.plan.name,
            "from": one.number.start,
            "to": one.number.end,
            "needed": one.plan.needed,
            "length": None if isnan(one.plan.ordered) else one.plan.ordered,
            "basis": one.plan.basis,
            "brought_by": one.plan.brought_by,
        }
        for one in hoses
    ]
