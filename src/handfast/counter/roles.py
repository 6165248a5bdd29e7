"""Who may do what: four roles, and the areas that every page, verb and answer belongs to."""

from __future__ import annotations

from typing import Final

ROLES: Final = ("owner", "sales", "parts", "reader")
AREAS: Final = ("read", "inquire", "quote", "shelf", "prices", "care", "settings", "people", "move", "costs")

SHOWN: Final = {"owner": "owner", "sales": "sales", "parts": "parts and workshop", "reader": "read-only"}
"""How a role is called on a page."""

DOES: Final = {
    "read": "look at inquiries, answers, the shelf and papers",
    "inquire": "take and change inquiries, calls, measurements and promises",
    "quote": "make, send and change quotes",
    "shelf": "change machines, attachments and parts",
    "prices": "change the price book and take suppliers' lists",
    "care": "keep what was fitted, comebacks and their orders",
    "settings": "change the settings of the house",
    "people": "add people and change what they may do",
    "move": "take everything out or bring it in",
    "costs": "see what things cost the house and what is earned on them",
}
"""What an area holds, in words that follow "may"."""

_MAY: Final = {
    "owner": frozenset(AREAS),
    "sales": frozenset(("read", "inquire", "quote", "shelf", "care", "costs")),
    "parts": frozenset(("read", "inquire", "shelf", "care")),
    "reader": frozenset(("read",)),
}


def may(role: str, area: str) -> bool:
    """Whether a role may do what an area holds; an unknown role or area may nothing.

    >>> may("sales", "quote"), may("reader", "costs"), may("nobody", "read")
    (True, False, False)
    """
    return area in _MAY.get(role, ())


def who_may(area: str) -> tuple[str, ...]:
    """The roles that may do what an area holds.

    >>> who_may("quote")
    ('owner', 'sales')
    """
    return tuple(role for role in ROLES if may(role, area))
