"""Where a quote stands, which moves are allowed, and what its inquiry's own state follows from."""

from __future__ import annotations

from collections.abc import Collection, Mapping

MOVES: Mapping[str, tuple[str, ...]] = {
    "draft": ("sent", "withdrawn"),
    "sent": ("accepted", "declined", "withdrawn"),
    "accepted": ("ordered", "withdrawn"),
    "ordered": ("delivered", "withdrawn"),
    "delivered": ("returned",),
    "declined": (),
    "expired": (),
    "returned": (),
    "withdrawn": (),
}
"""From each state to those that it may be moved to. Expired is never written: the date makes it so."""
ANEW = ("draft", "sent", "accepted", "declined", "expired")
"""States from which a quote may be made anew; what was ordered is changed by a quote of its own."""
LIVE = ("draft", "sent")


class RefusedError(Exception):
    """Something that a quote does not allow, in a sentence."""


def state_now(state: str, valid_until: str, today: str) -> str:
    """Where a quote stands on a day: what was not answered by its last day is expired.

    >>> state_now("sent", "2025-03-18", "2025-03-19"), state_now("sent", "2025-03-18", "2025-03-18")
    ('expired', 'sent')
    """
    return "expired" if state in LIVE and valid_until and today > valid_until else state


def refuse_move(number: int, state: str, to: str) -> None:
    """Raise RefusedError with a sentence where a quote may not be moved there."""
    if to in MOVES.get(state, ()):
        return
    after = "made anew" if state in ANEW and not MOVES[state] else ""
    may = " or ".join((*MOVES[state], *([after] if after else ()))) or "moved no further"
    raise RefusedError(f"Quote {number} is {_article(state)}; from there it can be {may}, not {to}.")


def refuse_anew(number: int, state: str) -> None:
    """Raise RefusedError with a sentence where a quote may not be made anew."""
    if state not in ANEW:
        raise RefusedError(f"Quote {number} is {_article(state)}; a change to it is a new quote of its own.")


def _article(state: str) -> str:
    return "a draft" if state == "draft" else state


def inquiry_state(states: Collection[str], now: str) -> str:
    """An inquiry's state after its quotes': the furthest of them counts.

    >>> inquiry_state(["declined", "sent"], "quoted"), inquiry_state(["declined"], "quoted")
    ('waiting on caller', 'closed')
    """
    for found, state in (
        (("delivered",), "fitted"),
        (("accepted", "ordered"), "ordered"),
        (("sent",), "waiting on caller"),
        (("draft",), "quoted"),
        (("declined", "returned"), "closed"),
    ):
        if any(one in found for one in states):
            return state
    return "asked" if states else now
