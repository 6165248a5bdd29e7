"""The words of the trade in plain words, beside the labels that use them."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from handfast.quantities.tables import table


@dataclass(frozen=True)
class Entry:
    """One word: what it is called, what else people call it, what it means."""

    slug: str
    term: str
    also: str
    group: str
    says: str


@cache
def _entries() -> dict[str, Entry]:
    rows = table("glossary.csv")
    return {r["slug"]: Entry(r["slug"], r["term"], r["also"], r["group"], r["says"]) for r in rows}


GROUPS = (
    "Loader",
    "Attachment",
    "Hydraulics",
    "Balance",
    "Tractor",
    "Ends and threads",
    "Freight and money",
    "Verdicts",
)


TERMS = {
    "machine.quick_attach": "quick_attach",
    "machine.front_functions": "third_function",
    "machine.rear_remotes": "rear_remote",
    "machine.tyre_fill": "liquid_ballast",
    "machine.rops": "rops",
    "behind.mass": "ballast",
    "mount.route": "quick_attach",
    "lift.full_height": "lift_to_full_height",
    "lift.needed_height": "pivot_pin",
    "lift.curl": "rollback",
    "lift.attachment_rating": "load_centre",
    "lift.dump_height": "dump_angle",
    "grip.opening": "throat",
    "balance.rear_share_loaded": "rear_share",
    "balance.rear_share_caution": "rear_share",
    "balance.front_axle": "axle_load",
    "balance.rear_axle": "axle_load",
    "balance.hitch": "three_point",
    "balance.gross": "gross_mass",
    "slope.side": "centre_of_gravity",
    "power.supply": "third_function",
    "power.rules": "dead_head",
    "power.pressure": "relief",
    "power.velocity": "flow",
    "join.chain": "hose_coupler",
}
"""Facts of the call and checks of an outfit, each with the word that a new clerk would ask about."""


def term_of(place: str) -> str:
    """The word that helps with a fact or a check; nothing where none does.

    >>> term_of("machine.rops"), term_of("site.gate")
    ('rops', '')
    """
    return TERMS.get(place, "")


def entry(slug: str) -> Entry:
    """A word by its short name. KeyError: there is none.

    >>> entry("breakout").term
    'breakout force'
    """
    return _entries()[slug]


def entries_by_group() -> dict[str, list[Entry]]:
    """Every word, in its group, by the alphabet."""
    return {
        group: sorted((one for one in _entries().values() if one.group == group), key=lambda one: one.term.casefold())
        for group in GROUPS
    }
