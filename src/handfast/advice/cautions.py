"""The cautions that go with an outfit: at most four, the gravest first."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from handfast.advice.odds import Judged
from handfast.machines.inquiry import Inquiry
from handfast.quantities.tables import table
from handfast.quantities.units import to_si

LONG = to_si(10.0, "ft")  # a log that swings across more than a lane (practice)


@dataclass(frozen=True)
class Caution:
    """One caution of the table."""

    id: str
    severity: int
    when: str
    text: str


@cache
def _cautions() -> tuple[Caution, ...]:
    rows = [Caution(r["id"], int(r["severity"]), r["when"], r["text"]) for r in table("cautions.csv")]
    return tuple(sorted(rows, key=lambda one: one.severity))


def cautions(judged: Judged, row: int, inquiry: Inquiry) -> tuple[str, ...]:
    """At most four cautions, the gravest first, for this outfit on this ground.

    Args:
        judged: the outfits.
        row: which outfit.
        inquiry: the inquiry.

    Returns:
        Sentences.

    Source: cautions.csv; manuals and codes rule.

    Example:
        >>> from handfast.outfits.example import inquiry, laid
        >>> from handfast.advice.odds import judge
        >>> from handfast.machines.shelf import Shelf
        >>> len(cautions(judge(laid(), Shelf()), 0, inquiry()))
        4
    """
    true = {"always", *_so(judged, row, inquiry)}
    return tuple(one.text for one in _cautions() if one.when in true)[:4]


def _so(judged: Judged, row: int, inquiry: Inquiry) -> set[str]:
    machine, outfit, final = inquiry.machine, judged.bench.outfits[row], judged.final(row)
    tests = {
        "slope": (final.of("slope.side").held(row) or 0.0) < 0.97 and final.of("slope.side").held(row) is not None,
        "ballast": judged.needs_ballast[row],
        "rops_folded": machine.rops == "folded",
        "rops_none": machine.rops == "none" or machine.seat_belt is False,
        "axle_unknown": final.of("balance.front_axle").held(row) is None,
        "round_load": any(work.kind in ("logs", "rock") for work in inquiry.work),
        "long_logs": any(work.kind == "logs" and work.length.greatest >= LONG for work in inquiry.work),
        "round_bales": any(work.kind == "round_bales" for work in inquiry.work),
        "quick_attach": outfit.mount.to != "pinned",
        "hydraulic": outfit.power.route not in ("none", "electric", "curl", "manual"),
        "diverter": outfit.power.route == "diverter",
    }
    return {name for name, so in tests.items() if so}
