"""Which outfit first: one loss in money for ranking, for what to ask next, and for when to stop."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from handfast.advice.odds import FITS, IF, NOT, OPEN, Judged
from handfast.advice.work_done import pile_of
from handfast.costing.total import Total
from handfast.machines.inquiry import Inquiry
from handfast.machines.price_book import PriceBook
from handfast.machines.shelf import Shelf
from handfast.machines.work import Work
from handfast.outfits.combine import suits
from handfast.outfits.lay import serves
from handfast.quantities.arrays import Array
from handfast.quantities.units import to_si

ORDER = {FITS: 0, IF: 1, OPEN: 2, NOT: 3}
BOTHER = 60.0  # money a step of convenience is worth (practice, editable)
TRACTOR = 25.0  # money an hour of a running tractor beside its driver (practice, editable)
UNPRICED = 2500.0  # what an attachment without a price is taken to cost in the order, never in a bill (practice)
NINE = 9.0  # so that the loss agrees with the 90 % rule
DEARER = 1.5  # no sale is never cheaper than this times the cheapest that holds: the work still wants doing (practice)
FLOOR = 1500.0  # least penalty of an unsafe sale
UNSUITED = 2500.0  # money that a tool half made for the work is worse (practice, editable)
LATER = 0.4  # what a line of work named after the first counts beside it (practice, editable)
DAY = 6.0  # working hours of a hired day
LIKE = 0.25  # share of a year's loader hours that goes into work like the pile named (practice, editable)
PER_HOUR, HEAP = 22.0, to_si(0.75, "yd3")  # loads an hour, and gathered in one (practice)
HOURS, YEARS = 40.0, 5.0  # worked a year where nobody says, and for how many (practice, editable)
DEFAULTS = {"hire_per_day": 95.0, "driver_per_hour": 28.0, "restocking": 0.15, "freight": 300.0}


@dataclass(frozen=True)
class Priced:
    """What choosing needs of one outfit beside its checks."""

    total: Total
    freight: float  # one way
    hours: float  # of the job
    convenience: int
    loads: float = float("nan")  # of the job


@dataclass(frozen=True)
class Losses:
    """Loss of every act in every sample; the last act is no sale, measure first."""

    acts: Array  # (outfits + 1, samples)
    good: tuple[float, ...] = ()  # loss of each outfit where it holds
    misfit: tuple[float, ...] = ()  # more where a check fails
    unsafe: tuple[float, ...] = ()  # more still where people depend on it

    @cached_property
    def mean(self) -> Array:
        """Mean loss of each act."""
        return np.asarray(self.acts.mean(axis=1))

    @property
    def choice(self) -> int:
        """The act of least mean loss."""
        return int(np.argmin(self.mean))


def losses(
    judged: Judged, priced: Sequence[Priced], inquiry: Inquiry, shelf: Shelf, none: float | None = None
) -> Losses:
    """Loss of each outfit and of no sale, in money.

    Args:
        judged: the outfits with their checks.
        priced: one an outfit.
        inquiry: the inquiry.
        shelf: with the price book.
        none: loss of no sale, where it is known from all outfits and only some are judged here.

    Returns:
        `Losses`.

    Source: cost of getting the work done; both freights, restocking and hours where a check fails; K where a safety
    check fails, K = 9 × (loss of no sale − loss of the act when it holds), with a floor.

    Example:
        >>> losses.__name__
        'losses'
    """
    book = shelf.price_book
    again = again_and_again(inquiry)
    good = [holding_loss(judged, one, row, inquiry, book, again) for row, one in enumerate(priced)]
    if none is None:
        none = max(no_sale(inquiry, book), DEARER * min(good, default=0.0))
    misfit, unsafe = _penalties(priced, np.array(good), book, none)
    acts = np.full((len(priced) + 1, judged.bench.draws.size), none)
    if priced:
        acts[:-1] = _acts(judged, np.array(good), misfit, unsafe)
    return Losses(acts, tuple(good), tuple(misfit.tolist()), tuple(unsafe.tolist()))


def no_sale(inquiry: Inquiry, book: PriceBook) -> float:
    """What not selling costs the caller: hiring the attachment for the years that it would have been owned for.

    Args:
        inquiry: with the hours a year that it is wanted.
        book: rates.

    Returns:
        Money.

    Source: days of hire over half of the attachment's life (practice, editable).

    Example:
        >>> round(no_sale(Inquiry(), PriceBook()))
        3167
    """
    wished = inquiry.wishes.hours_per_year
    days = (HOURS if wished.is_unknown else wished.value) / DAY
    return YEARS * days * _rate(book, "hire_per_day")


def _penalties(priced: Sequence[Priced], good: Array, book: PriceBook, none: float) -> tuple[Array, Array]:
    """What each outfit costs more where a check fails, and where people depend on that check."""
    there_and_back = np.array([2.0 * max(one.freight, DEFAULTS["freight"]) for one in priced])
    misfit = there_and_back + _rate(book, "restocking") * np.array([one.total.quantile(0.5) for one in priced]) + 150.0
    return misfit, np.maximum(NINE * (none - good), FLOOR)


def _acts(judged: Judged, good: Array, misfit: Array, unsafe: Array) -> Array:
    """Loss of selling each outfit, (outfits, samples)."""
    finals = [judged.final(row) for row in range(len(good))]
    together, safe = np.empty((2, len(good), judged.bench.draws.size), dtype=bool)
    for one in {id(one): one for one in finals}.values():
        rows = [row for row, final in enumerate(finals) if final is one]
        together[rows], safe[rows] = one.together[rows], one.safe[rows]
    loss = np.multiply(~together, misfit[:, None])
    loss += good[:, None]
    loss += np.multiply(~safe, unsafe[:, None])
    return loss


def holding_loss(
    judged: Judged, priced: Priced, row: int, inquiry: Inquiry, book: PriceBook, again: float = 0.0
) -> float:
    """Cost of getting the work done with an outfit that holds: the bill, the hours, the bother.

    Args:
        judged: the outfits.
        priced: the outfit's bill and hours.
        row: which outfit.
        inquiry: the inquiry.
        book: rates.
        again: hours over the years for each load of the pile named, of `again_and_again`.

    Returns:
        Money.

    Example:
        >>> holding_loss.__name__
        'holding_loss'
    """
    kind, works = str(judged.bench.outfits[row].attachment.kind), inquiry.work
    fit = suits(judged.bench.work_of(row), kind)
    alike = len(works) < 2 and np.isfinite(priced.hours)  # hours of several jobs don't compare
    hours = YEARS * (priced.hours if alike else DAY)
    own = 0.0 if not works or fit <= 0 else hours * (1.0 / fit - 1.0)
    unsuited = UNSUITED * sum(share * (1.0 - suits(work, kind)) for share, work in shares_of(works))
    bother = BOTHER * (5 - priced.convenience)
    hourly = _rate(book, "driver_per_hour") + TRACTOR
    unpriced = UNPRICED if judged.bench.outfits[row].attachment.price.is_unknown else 0.0
    later = again * priced.loads * hourly if again > 0.0 and np.isfinite(priced.loads) else 0.0
    return priced.total.quantile(0.5) + unpriced + (hours + own) * hourly + later + bother + unsuited


def again_and_again(inquiry: Inquiry) -> float:
    """Hours over the years, for each load of the pile named, in which piles like it come again.

    The smaller the bite, the more loads a pile is, and the more hours.

    Args:
        inquiry: with the pile, and the hours a year that the tool is wanted.

    Returns:
        Hours a load, at one pace for every outfit; 0 where no pile is named, or more work than one pile.

    Source: a quarter of a year's loader hours goes into such piles (common practice, no source).

    Example:
        >>> pile = Work(kind="brush", volume="28 yd3")
        >>> round(37.0 * again_and_again(Inquiry(work=(pile,))))  # 10 h a year less the 1.7 h of the first pile
        41
    """
    volume = pile_of(inquiry.work[0]) if len(inquiry.work) == 1 else np.nan
    if not np.isfinite(volume) or not inquiry.work[0].count.is_unknown:
        return 0.0
    wished = inquiry.wishes.hours_per_year
    yearly = LIKE * (HOURS if wished.is_unknown else wished.value)
    piles = yearly / (volume / HEAP / PER_HOUR) - 1.0
    return float(YEARS * max(piles, 0.0) / PER_HOUR)


def shares_of(works: Sequence[Work]) -> list[tuple[float, Work]]:
    """What each line of work counts in the choice.

    Args:
        works: the lines, as the caller named them.

    Returns:
        Pairs (share, line): 1 for the first, `LATER` for every other.

    Source: the work that a caller names first is what he buys for (common practice, no source).

    Example:
        >>> [share for share, _ in shares_of([Work(kind="logs"), Work(kind="brush")])]
        [1.0, 0.4]
    """
    return [(LATER if k else 1.0, work) for k, work in enumerate(works)]


def _rate(book: PriceBook, name: str) -> float:
    known = getattr(book, name)
    return DEFAULTS[name] if known.is_unknown else float(known.value)


def ranking(judged: Judged, loss: Losses) -> list[int]:
    """Rows of the outfits, best first: verdict word, then mean loss; what does not fit by its loss if it did.

    A tool that leaves the caller's first line of work undone stands after those of which not enough is known.

    Args:
        judged: the outfits.
        loss: of `losses`.

    Returns:
        Row numbers.

    Example:
        >>> ranking.__name__
        'ranking'
    """
    rows, first = range(len(judged.bench.outfits)), judged.bench.inquiry.work[0]

    def word(row: int) -> tuple[int, bool]:
        leaves, at = not serves(first, judged.bench.outfits[row]), ORDER[judged.verdict(row)]
        return max(at, ORDER[OPEN]) if leaves else at, leaves

    return sorted(rows, key=lambda row: (word(row), _place(judged, loss, row), row))


def _place(judged: Judged, loss: Losses, row: int) -> float:
    """K grows as a sale gets cheaper, so it says nothing between outfits that all fail."""
    return loss.good[row] if judged.verdict(row) == NOT else float(loss.mean[row])


def pareto(
    totals: Sequence[float],
    payloads: Sequence[float],
    hours: Sequence[float],
    ease: Sequence[float],
    suits: Sequence[float] | None = None,
) -> list[bool]:
    """Whether nothing beats an outfit on all counts.

    Args:
        totals: money, less is better.
        payloads: kg, more is better.
        hours: of the job, fewer is better.
        ease: convenience, more is better.
        suits: how well the tool answers the work, more is better; None where all are alike.

    Returns:
        One flag an outfit.

    Source: Pareto order.

    Example:
        >>> pareto([1.0, 2.0], [5.0, 4.0], [1.0, 1.0], [3.0, 3.0])
        [True, False]
    """
    if not len(totals):
        return []
    kinds = np.zeros(len(totals)) if suits is None else np.asarray(suits, dtype=np.float64)
    points = np.column_stack([totals, -np.asarray(payloads), hours, -np.asarray(ease), -kinds])
    points = np.nan_to_num(points, nan=0.0)
    flags = []
    for one in points:
        as_good = (points <= one + 1e-9).all(axis=1)
        better = (points < one - 1e-9).any(axis=1)
        flags.append(not bool((as_good & better).any()))
    return flags
