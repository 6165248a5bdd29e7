"""One outfit in depth at the terminal: the work, what would have to change, how sure each check is, what moves it."""

from __future__ import annotations

from collections.abc import Iterator
from math import isfinite

from handfast.advice.depth import Depth
from handfast.cli.page import columns, heading, paragraph, price, tally
from handfast.quantities.units import from_si


def depth_page(depth: Depth, currency: str, units: str) -> str:
    """What is worked out only for the outfit that is looked at."""
    return "\n".join(_lines(depth, currency, units)) + "\n"


def _lines(depth: Depth, currency: str, units: str) -> Iterator[str]:
    yield from _job(depth, currency, units)
    one = depth.fitting
    if isfinite(one.own) and isfinite(one.shop):
        yield from heading("Own work against the shop")
        for where, ceiling, hours in (
            ("in the shop", one.shop_ceiling, one.shop_hours),
            ("by its owner", one.own_ceiling, one.own_hours),
        ):
            yield from paragraph(
                f"{where}: not more than {price(ceiling, currency)}, {hours:.1f} hours", "    ", "  - "
            )
    if depth.changes:
        yield from heading("All of this would have to change" if len(depth.changes) > 1 else "One change that would do")
        for change in depth.changes:
            yield from paragraph(f"{change.change} ({change.check})", "    ", "  - ")
    if depth.pair:
        yield from heading("Two changes that can be sold together")
        yield from paragraph(" and ".join(one.change for one in depth.pair))
    yield from heading("How often each check holds")
    yield from columns([[one.title, tally(one.share), f"asked {one.asked:.0%}"] for one in depth.odds])
    found = depth.tornado
    if found is not None:
        yield from heading(f"What moves it: {found.title}, likely {found.middle_text}")
        yield from columns([["", "low", "high"], *([one.title, one.low, one.high] for one in found.swings)])
        if found.rest:
            yield from paragraph(f"{found.rest} more unknowns move it less.")


def _job(depth: Depth, currency: str, units: str) -> Iterator[str]:
    job = depth.job
    yield from heading("Getting the work done")
    steps = ", ".join(f"{one.what} {one.seconds:.0f} s" for one in job.steps if one.seconds > 0)
    yield from paragraph(f"One cycle {job.cycle / 60:.1f} min, {job.per_hour:.0f} loads an hour: {steps}.")
    if isfinite(job.fuel):
        burnt = f"{from_si(job.fuel, 'gal'):.1f} gal" if units == "us" else f"{from_si(job.fuel, 'L'):.1f} L"
        yield from paragraph(f"The job: {job.loads:.0f} loads, {job.hours:.1f} hours, {burnt} of fuel.")
    rows = [["a year's work", "hours", "a year", "of it fixed"]]
    rows += [[w.title, f"{w.hours:.0f}", price(w.yearly, currency), price(w.fixed, currency)] for w in job.ways]
    yield from columns(rows, right=(1, 2, 3))
    if isfinite(job.break_even):
        yield from paragraph(f"Owning pays against hiring from {job.break_even:.0f} hours a year.")
    if job.not_for_it:
        yield from paragraph(f"Not for this work: {', '.join(job.not_for_it)}.")
