"""The owner's numbers over a span: each a small chart, a table that says the same, and a sentence."""

from __future__ import annotations

from typing import NamedTuple

from markupsafe import Markup
from starlette.requests import Request
from starlette.responses import Response

from handfast.counter.aftercare import today
from handfast.counter.number_counts import Numbers, Span, SpanError, span_of
from handfast.counter.number_words import Told, margin_words, told
from handfast.counter.numbers import numbers
from handfast.drawings.count_bars import CountBar, CountBars, count_bars
from handfast.drawings.svg import in_two_widths
from handfast.web.desk import desk_of, off_loop, page

WIDE, SMALL = 520.0, 330.0
SPANS = ((30, "30 days"), (90, "90 days"), (365, "a year"))
BEGINNING = "2000-01-01"


class Chart(NamedTuple):
    """A count as it is shown."""

    told: Told
    drawing: Markup


async def numbers_page(request: Request) -> Response:
    """The numbers of a span; 422 where the span is none."""
    desk, day, asked = desk_of(request), today(), request.query_params
    fault, status = "", 200
    try:
        span = span_of(asked.get("from", "")[:10], asked.get("to", "")[:10], day)
    except SpanError as error:
        span, fault, status = span_of("", "", day), str(error), 422
    found = await off_loop(numbers, desk.workspace, span, day)
    near = [(span_of("", "", day, days), name) for days, name in SPANS]
    return page(
        request, "numbers.html", status, span=span, fault=fault, charts=charts(found),
        margin=margin_words(found.margin), spans=[*near, (Span(BEGINNING, day), "everything")],
    )  # fmt: skip


def charts(found: Numbers) -> list[Chart]:
    """Every count as a chart."""
    return [Chart(one, _drawn(one)) for one in told(found)]


def _drawn(one: Told) -> Markup:
    """The bars of a count; nothing where there is nothing to draw."""
    if not one.count.rows or not one.count.of:
        return Markup("")
    bars = tuple(CountBar(row.name, row.count, row.name in one.beside) for row in one.count.rows)
    view = CountBars(bars, one.count.of, one.title)
    return Markup(in_two_widths(lambda width: count_bars(view, "screen", width), WIDE, SMALL))
