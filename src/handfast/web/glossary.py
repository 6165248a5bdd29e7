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
