"""What was measured, and what it settled, as lines of text."""

from __future__ import annotations

from collections.abc import Iterator

from handfast.advice.result import Advice, Measured
from handfast.advice.result_measured import Margin, Reading
from handfast.cli.page import band, heading, paragraph


def measured_lines(advice: Advice, measured: Measured, units: str) -> Iterator[str]:
    """Each reading with what it settled, contradictions with their way out, and the leading outfit's margin."""
    yield from heading("Measured")
    for one in measured.readings:
        yield from paragraph(_named(one), "    ", "  - ")
        yield from paragraph(f"{one.said} {one.way_out}".rstrip(), "    ")
    if measured.margin is not None:
        yield from paragraph(_margin(advice, measured.margin, units), "    ", "  - ")


def _named(one: Reading) -> str:
    beside = [f"by {one.by}"] if one.by else []
    beside += [one.when] if one.when else []
    return ", ".join([f"{one.title}: {one.read}", *beside])


def _margin(advice: Advice, margin: Margin, units: str) -> str:
    title = next((one.title for one in advice.outfits if one.id == margin.outfit), margin.outfit)
    now = band(margin.after, margin.unit, units)
    was = (
        "it could not be told before" if margin.before is None else f"before {band(margin.before, margin.unit, units)}"
    )
    return f"{title}: {margin.title}, to spare {now}, {was}"
