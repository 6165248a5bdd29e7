"""One outfit of an inquiry by its id, without drawing a sample or checking anything."""

from __future__ import annotations

from handfast.machines.inquiry import Inquiry
from handfast.machines.shelf import Shelf
from handfast.outfits.combine import candidates
from handfast.outfits.draws import Plan
from handfast.outfits.facts import plan_machine
from handfast.outfits.outfit import Outfit


def outfit_of(outfit_id: str, inquiry: Inquiry, shelf: Shelf) -> Outfit:
    """An outfit by its id.

    Args:
        outfit_id: as `Outfit.id`.
        inquiry: resolved inquiry.
        shelf: what can be sold.

    Returns:
        The outfit.

    Raises:
        KeyError: no such outfit comes into question any more.

    Example:
        >>> from handfast.outfits.example import inquiry
        >>> asked = inquiry().resolve(Shelf())
        >>> outfit_of("~pinned.direct~front_outlets", asked, Shelf()).power.route
        'front_outlets'
    """
    plan = Plan()
    plan_machine(plan, inquiry.machine)
    possible = [name for name, _ in plan.shares.get("quick_attach", ())]
    for outfit in candidates(inquiry, shelf, possible).outfits:
        if outfit.id == outfit_id:
            return outfit
    raise KeyError(outfit_id)
