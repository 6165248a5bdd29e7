"""The numbers in sentences: a share always with what it is out of, and between what limits it lies."""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite, isnan

from handfast.counter.number_counts import Count, Margin, Numbers, Share
from handfast.quantities.money import show_money


@dataclass(frozen=True)
class Told:
    """A count with its heading and sentence; `beside` are lines that do not count in the share that it says."""

    id: str
    title: str
    says: str
    count: Count
    leads: str
    beside: tuple[str, ...] = ()


def told(found: Numbers) -> list[Told]:
    """Every count in the order in which an owner asks."""
    quotes, due, behind = found.quotes, found.promises, found.ballast
    ever = "An inquiry counts in every stage that it came through."
    return [
        Told("stages", "Inquiries by stage", stage_words(found), found.stages, "inquiries"),
        Told("reached", "Stages they were ever in", ever, found.reached, "inquiries"),
        Told("quotes", "Quotes that became orders", quote_words(quotes), quotes, "quotes", ("open", "accepted")),
        Told("times", "Time to the first quote", time_words(found), found.times.count, "inquiries"),
        Told("promises", "Promises kept", promise_words(found), due, "inquiries", ("not due yet",)),
        Told("ballast", "Weight behind", ballast_words(behind), behind, "quotes", ("not answered",)),
        Told("misfits", "What the shelf could not fit", misfit_words(found.misfits), found.misfits, "inquiries"),
    ]


def share_words(share: Share, what: str) -> str:
    """A share with what it is out of, and between what limits it lies: a few are never made into a bare percentage."""
    low, high = share.limits
    return (
        f"{share.count} of {share.of} {what}; the true share lies between {100 * low:.0f} and {100 * high:.0f} in 100, "
        "nine times in ten."
    )


def stage_words(found: Numbers) -> str:
    """How many came in."""
    count = found.inquiries
    return (
        f"{count} came in; this is where they stand now." if count != 1 else "1 came in; this is where it stands now."
    )


def quote_words(quotes: Count) -> str:
    """How many settled quotes became orders."""
    share = quotes.share or Share(0, 0)
    if not quotes.of:
        return "No quote was made."
    if not share.of:
        return "No quote is settled yet."
    rest = f" {quotes.beside} not settled yet." if quotes.beside else ""
    return share_words(share, "settled quotes became orders") + rest


def time_words(found: Numbers) -> str:
    """The middle time, and how many were quoted within a day."""
    middle, count = found.times.middle, found.times.count
    if isnan(middle) or count.share is None:
        return "None of them has a quote yet."
    long = (
        f"{max(60 * middle, 1):.0f} min"
        if middle < 1
        else f"{middle:.1f} h"
        if middle < 48
        else f"{middle / 24:.1f} days"
    )
    return f"Half of the quoted ones had their first quote within {long}. " + share_words(
        count.share, "were quoted within a day"
    )


def promise_words(found: Numbers) -> str:
    """How many promises with a day were kept in time."""
    due, undated = found.promises, found.undated
    said = (
        "No promise of ours fell due."
        if due.share is None or not due.share.of
        else share_words(due.share, "kept in time")
    )
    kept = next((row.count for row in undated.rows if row.name == "kept"), 0)
    return said + (f" Without a day: {kept} of {undated.of} kept." if undated.of else "")


def ballast_words(count: Count) -> str:
    """How many declined."""
    share = count.share or Share(0, 0)
    if not count.of:
        return "No quote asked for more weight behind."
    asked = f"{count.of} quotes asked for it." if count.of > 1 else "1 quote asked for it."
    if not share.of:
        return f"{asked} Nobody has answered yet."
    rest = f" {count.beside} not answered yet." if count.beside else ""
    return f"{asked} {share_words(share, 'of the answers declined it')}{rest}"


def misfit_words(count: Count) -> str:
    """How many found nothing."""
    rest = f" {count.beside} {'was' if count.beside == 1 else 'were'} never reckoned." if count.beside else ""
    if not count.of:
        return "None of them was reckoned." if count.beside else "Nothing was asked for."
    return share_words(count.share or Share(0, 0), "found nothing on the shelf that fits") + rest


def margin_words(margin: Margin) -> list[str]:
    """What is left of the goods, and for how many it is known."""
    if not margin.orders:
        return ["No quote became an order."]
    said = [f"The cost of every part and attachment is on file for {margin.known} of {margin.orders} orders."]
    if isfinite(margin.share):
        left = show_money(margin.price - margin.cost, margin.currency)
        said.append(
            f"Where price and cost are known, {left} of {show_money(margin.price, margin.currency)} is left, "
            f"{100 * margin.share:.0f} in 100; that is {100 * margin.covered:.0f} in 100 of the goods by price. "
            "Labour, freight and tax are not in it."
        )
    else:
        said.append("No margin can be said: a part or attachment needs its cost on its record.")
    if margin.foreign:
        said.append(f"{margin.foreign} in another currency are left out.")
    if margin.gone:
        said.append(f"{margin.gone} are made of what is no longer on the shelf, and are left out.")
    return said
