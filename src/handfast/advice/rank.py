"""Which outfit first: one loss in money for ranking, for what to ask next, and for when to stop."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from handfast.advice.odds import FITS, IF, NOT, OPEN, Judged
from handfast.costing.total import Total
from handfast.machines.inquiry import Inquiry
from handfast.machines.price_book import PriceBook
from handfast.machines.shelf import Shelf
from handfast.outfits.combine import answers
from handfast.quantities.arrays import Array

ORDER = {FITS: 0, IF: 1, OPEN: 2, NOT: 3}
BOTHER = 60.0  # money a step of convenience is worth (practice, editable)
TRACTOR = 25.0  # money an hour of a running tractor beside its driver (practice, editable)
UNPRICED = 2500.0  # what an attachment without a price is taken to cost in the order, never in a bill (practice)
NINE = 9.0  # so that the loss agrees with the 90 % rule
DEARER = 1.5  # no sale is never cheaper than this times the cheapest that holds: the work still wants doing (practice)
FLOOR = 1500.0  # least penalty of an unsafe sale
UNSUITED = 2500.0  # money that a tool half made for the work is worse (practice, editable)
DAY = 6.0  # working hours of a hired day
HOURS, YEARS = 40.0, 5.0  # worked a year where nobody says, and for how many (practice, editable)
DEFAULTS = {"hire_per_day": 95.0, "driver_per_hour": 28.0, "restocking": 0.15, "freight": 300.0}


@dataclass(frozen=True)
class Priced:
    """What choosing needs of one outfit beside its checks."""

    total: Total
    freight: float  # one way
    hours: float  # of the job
    convenience: int


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
    good = [holding_loss(judged, one, row, inquiry, book) for row, one in enumerate(priced)]
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
    together = np.stack([one.together[row] for row, one in enumerate(finals)])
    safe = np.stack([one.safe[row] for row, one in enumerate(finals)])
    loss = np.where(together, good[:, None], (good + misfit)[:, None])
    loss += np.where(safe, 0.0, unsafe[:, None])
    return loss


def holding_loss(judged: Judged, priced: Priced, row: int, inquiry: Inquiry, book: PriceBook) -> float:
    """Cost of getting the work done with an outfit that holds: the bill, the hours, the bother.

    Args:
        judged: the outfits.
        priced: the outfit's bill and hours.
        row: which outfit.
        inquiry: the inquiry.
        book: rates.

    Returns:
        Money.

    Example:
        >>> holding_loss.__name__
        'holding_loss'
    """
    kind = str(judged.bench.outfits[row].attachment.kind)
    works = inquiry.work
    suits = min((answers(str(work.kind), kind) for work in works[:1]), default=1.0)
    hours = YEARS * (priced.hours if np.isfinite(priced.hours) else DAY)
    own = 0.0 if not works or suits <= 0 else hours * (1.0 / suits - 1.0)
    unsuited = UNSUITED * (1.0 - suits) + sum(150.0 for w in works[1:] if answers(str(w.kind), kind) <= 0)
    bother = BOTHER * (5 - priced.convenience)
    hourly = _rate(book, "driver_per_hour") + TRACTOR
    unpriced = UNPRICED if judged.bench.outfits[row].attachment.price.is_unknown else 0.0
    return priced.total.quantile(0.5) + unpriced + (hours + own) * hourly + bother + unsuited


def _rate(book: PriceBook, name: str) -> float:
    known = getattr(book, name)
    return DEFAULTS[name] if known.is_unknown else float(known.value)


def ranking(judged: Judged, loss: Losses) -> list[int]:
    """Rows of the outfits, best first: verdict word, then mean loss; what does not fit by its loss if it did.

    Args:
        judged: the outfits.
        loss: of `losses`.

    Returns:
        Row numbers.

    Example:
        >>> ranking.__name__
        'ranking'
    """
    rows = range(len(judged.bench.outfits))
    return sorted(rows, key=lambda row: (ORDER[judged.verdict(row)], _place(judged, loss, row), row))


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
