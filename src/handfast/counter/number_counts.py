"""Counts that an owner asks for: plain records, each with what it is out of."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from math import nan

from handfast.advice.calibration import wilson


class SpanError(ValueError):
    """A span that is none, in a sentence."""


@dataclass(frozen=True)
class Span:
    """Days from the first to the last, both within; year-month-day, by UTC as the rows hold it."""

    first: str
    last: str

    def __contains__(self, at: str) -> bool:
        """Whether a time or day lies within."""
        return self.first <= at[:10] <= self.last

    @property
    def days(self) -> int:
        """How many days it has."""
        return (date.fromisoformat(self.last) - date.fromisoformat(self.first)).days + 1


def span_of(first: str, last: str, today: str, days: int = 90) -> Span:
    """A span as asked for; without a last day up to today, without a first one so many days long.

    >>> span_of("", "", "2026-03-31", 31)
    Span(first='2026-03-01', last='2026-03-31')
    """
    try:
        end = date.fromisoformat(last or today)
        begin = date.fromisoformat(first) if first else end - timedelta(days=days - 1)
    except (ValueError, OverflowError):
        raise SpanError("A day is written as year-month-day, such as 2026-03-31.") from None
    if begin > end:
        raise SpanError(f"The span ends on {end} before it begins on {begin}.")
    return Span(begin.isoformat(), end.isoformat())


@dataclass(frozen=True)
class Share:
    """So many of so many, and between what limits the true share lies, nine times in ten."""

    count: int
    of: int

    @property
    def limits(self) -> tuple[float, float]:
        """Wilson's score interval as shares; (nan, nan) of none.

        >>> [round(100 * one) for one in Share(3, 7).limits]
        [19, 71]
        """
        if self.of == 0:
            return nan, nan
        low, high = wilson(self.count, self.of)
        return float(low), float(high)


@dataclass(frozen=True)
class Row:
    """One line of a count: what is counted, how many, and which numbers they bear."""

    name: str
    count: int
    numbers: tuple[int, ...] = ()


@dataclass(frozen=True)
class Count:
    """Lines out of so many; `share` is the one that is asked about, `beside` what does not count in it."""

    of: int
    rows: tuple[Row, ...]
    share: Share | None = None
    beside: int = 0


@dataclass(frozen=True)
class Margin:
    """What is left of goods that were ordered, as far as their cost is on file; money in one currency.

    `known` of `orders` have a cost for every part and attachment that has a record. `price` and `cost` are of the lines
    that have both; `goods` is the price of all lines.
    """

    orders: int
    known: int
    goods: float
    price: float
    cost: float
    currency: str
    foreign: int = 0
    gone: int = 0  # what they were made of is no longer on the shelf

    @property
    def share(self) -> float:
        """What is left, as a share of the price; nan where no cost is known."""
        return 1.0 - self.cost / self.price if self.price > 0 else nan

    @property
    def covered(self) -> float:
        """What share of the goods, by price, has a cost; nan without goods."""
        return self.price / self.goods if self.goods > 0 else nan


@dataclass(frozen=True)
class Times:
    """How long until the first quote: counts by how long, and the middle one [h], nan where nothing was quoted."""

    count: Count
    middle: float


@dataclass(frozen=True)
class Numbers:
    """All of them over one span."""

    span: Span
    inquiries: int
    stages: Count
    reached: Count
    quotes: Count
    promises: Count
    undated: Count
    ballast: Count
    misfits: Count
    margin: Margin
    times: Times


WITHIN = (
    ("up to an hour", 1.0),
    ("one to four hours", 4.0),
    ("four hours to a day", 24.0),
    ("one to three days", 72.0),
    ("three days to a week", 168.0),
)
LATER, NOT_YET = "more than a week", "no quote yet"


def hours_between(first: str, then: str) -> float:
    """Hours from one time to another.

    >>> hours_between("2026-03-04T10:00:00+00:00", "2026-03-04T11:30:00+00:00")
    1.5
    """
    return (datetime.fromisoformat(then) - datetime.fromisoformat(first)).total_seconds() / 3600.0


def how_long(hours: float) -> str:
    """The line that a time to quote counts in.

    >>> how_long(1.0), how_long(30.0), how_long(200.0)
    ('up to an hour', 'one to three days', 'more than a week')
    """
    return next((name for name, most in WITHIN if hours <= most), LATER)


def middle(values: list[float]) -> float:
    """The middle of some values, the mean of the two middle ones where they are even in number; nan of none.

    >>> middle([5.0, 1.0, 3.0]), middle([1.0, 2.0])
    (3.0, 1.5)
    """
    if not values:
        return nan
    ordered, half = sorted(values), len(values) // 2
    return ordered[half] if len(values) % 2 else (ordered[half - 1] + ordered[half]) / 2.0
