"""The owner's numbers on a terminal: the same sentences and counts as the page."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import click

from handfast.cli.given import Refused
from handfast.cli.page import columns, heading, paragraph
from handfast.counter.aftercare import today
from handfast.counter.number_counts import Numbers, SpanError, span_of
from handfast.counter.number_words import margin_words, told
from handfast.counter.numbers import numbers
from handfast.counter.verbs import open_workspace

BAR = 30  # characters of a bar that is all of it
MOST = 12  # numbers that are named in a line


def show_numbers(home: Path, first: str, last: str) -> None:
    """Print the numbers of a span; Refused where it is none."""
    day = today()
    try:
        span = span_of(first, last, day)
    except SpanError as fault:
        raise Refused([f"--from, --to: {fault}"]) from None
    click.echo(numbers_page(numbers(open_workspace(home), span, day)), nl=False)


def numbers_page(found: Numbers) -> str:
    """The numbers as text."""
    return "\n".join(_lines(found)).lstrip("\n") + "\n"


def _lines(found: Numbers) -> Iterator[str]:
    yield from paragraph(f"What came in from {found.span.first} to {found.span.last}, both days within, by UTC.", "")
    for one in told(found):
        yield from heading(one.title)
        yield from paragraph(one.says)
        rows = [
            [row.name, f"{row.count} of {one.count.of}", _bar(row.count, one.count.of), _which(row.numbers)]
            for row in one.count.rows
        ]
        yield from columns(rows if one.count.of else [], right=[1])
    yield from heading("Margin of the goods")
    for words in margin_words(found.margin):
        yield from paragraph(words)
    yield from paragraph("At the prices and costs that stand on the shelf today.")


def _bar(count: int, of: int) -> str:
    """A bar from nought on one scale for all lines of a count; one stroke at least where there is one."""
    return "#" * max(round(BAR * count / of), 1 if count else 0)


def _which(which: tuple[int, ...]) -> str:
    more = len(which) - MOST
    return ", ".join(map(str, which[:MOST])) + (f" +{more}" if more > 0 else "")
