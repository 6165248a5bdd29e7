"""Getting the work done with one outfit: the cycle part by part, what a year costs, and what other ways would cost."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from handfast.advice import work_done as practice
from handfast.advice.odds import Judged
from handfast.advice.rank import DAY, HOURS, TRACTOR
from handfast.advice.work_done import WorkDone
from handfast.costing.total import Bills
from handfast.machines.inquiry import Inquiry
from handfast.machines.price_book import PriceBook
from handfast.machines.work import Work
from handfast.outfits.combine import suits
from handfast.outfits.lid import closing_time
from handfast.physics import job, owning
from handfast.quantities.arrays import row_of
from handfast.quantities.estimate import Estimate
from handfast.quantities.tables import table

# Common practice, no source; the dealer's own rates in the price book win where it has them.
OTHERWISE = {"interest": 0.07, "life_years": 10.0, "repair": 0.03, "driver_per_hour": 28.0, "fuel_per_m3": 1030.0,
             "hire_per_day": 95.0, "hire_with_tractor_per_day": 350.0}  # fmt: skip
SPELL = 3.0  # days that a hired tool is kept at a time
FETCH = 2.0  # hours to fetch it and take it back
ATTACHMENT = "loader attachment"


@dataclass(frozen=True)
class Step:
    """One part of the cycle."""

    what: str
    seconds: float
    origin: str  # reckoned, stated, practice


@dataclass(frozen=True)
class Way:
    """One way of getting a year's work done."""

    key: str  # this, forks, clamp, hire, hire_with_tractor
    title: str
    hours: float  # a year
    fixed: float  # money a year whatever is done
    running: float  # money a year for the hours
    note: str

    @property
    def yearly(self) -> float:
        """Money a year in all."""
        return self.fixed + self.running


@dataclass(frozen=True)
class JobStory:
    """The work with one outfit."""

    steps: tuple[Step, ...]
    cycle: float  # s
    per_hour: float
    loads: float  # NaN where the amount of work is not known
    hours: float
    fuel: float  # m³ for the job
    hours_a_year: float
    hours_origin: str
    owning: float  # capital recovery, money a year
    repair: float  # money a year
    hourly: float  # labour, fuel, oil, the tractor's share
    left: float  # share of the bill that it still fetches at the end
    years: float
    ways: tuple[Way, ...]  # cheapest first
    break_even: float  # hours a year from which owning is cheaper than hiring the tool
    not_for_it: tuple[str, ...]  # ways that do not do this work


def job_story(judged: Judged, row: int, inquiry: Inquiry, bills: Bills, done: WorkDone) -> JobStory:
    """The work with one outfit, and what other ways of doing it would cost.

    Args:
        judged: the outfits.
        row: which outfit.
        inquiry: resolved inquiry.
        bills: of the inquiry, with the price book.
        done: the outfit's loads and hours.

    Returns:
        `JobStory`.

    Source: ASAE EP496 (capital recovery, repair, labour, fuel); times and rates of practice or of the price book.

    Example:
        >>> job_story.__name__
        'job_story'
    """
    book = bills.shelf.price_book
    steps = _steps(judged, row, inquiry)
    hours, origin = _hours(inquiry, done)
    price = _bill(judged, row, bills)
    hourly = _hourly(judged, inquiry, book)
    fixed = own_a_year(price, book)
    this = Way("this", "this outfit", hours, sum(fixed), hours * hourly, "")
    others, cannot = _others(judged, row, inquiry, bills, hours, hourly)
    hired = hours / DAY * _rate(book, "hire_per_day") / hours if hours > 0 else np.inf
    return JobStory(
        steps=steps,
        cycle=done.cycle,
        per_hour=done.per_hour,
        loads=done.loads,
        hours=done.hours,
        fuel=done.fuel,
        hours_a_year=hours,
        hours_origin=origin,
        owning=fixed[0],
        repair=fixed[1],
        hourly=hourly,
        left=left_at_the_end(book),
        years=_rate(book, "life_years"),
        ways=tuple(sorted((this, *others), key=lambda way: way.yearly)),
        break_even=float(job.break_even_amount(sum(fixed), hourly, hourly + hired + _fetching(book) / (SPELL * DAY))),
        not_for_it=tuple(cannot),
    )


def own_a_year(price: float, book: PriceBook) -> tuple[float, float]:
    """Capital recovery and repair of something bought [money a year].

    Args:
        price: paid [money].
        book: interest, life, resale, repair.

    Returns:
        (capital recovery, repair), money a year.

    Source: ASAE EP496; repair as a share of the price a year, for D497 lists no loader attachment.

    Example:
        >>> [round(one) for one in own_a_year(1000.0, PriceBook())]
        [114, 30]
    """
    left = left_at_the_end(book) * price
    recovery = job.capital_recovery(price, left, _rate(book, "interest"), _rate(book, "life_years"))
    return float(recovery), _rate(book, "repair") * price


def left_at_the_end(book: PriceBook) -> float:
    """Share of the bill that a used attachment fetches: the dealer's own figure, else the table's.

    Args:
        book: with resale and life.

    Returns:
        Share.

    Source: `remaining_value.csv`.

    Example:
        >>> round(left_at_the_end(PriceBook()), 2)
        0.39
    """
    if not book.resale.is_unknown:
        return book.resale.value
    known = next(one for one in table("remaining_value.csv") if one["machine"] == ATTACHMENT)
    coefficients = (float(known[name]) for name in ("c1", "c2", "c3"))
    return float(owning.remaining_share(_rate(book, "life_years"), HOURS, *coefficients))


def _rate(book: PriceBook, name: str) -> float:
    known: Estimate = getattr(book, name)
    return OTHERWISE[name] if known.is_unknown else float(known.value)


def _hours(inquiry: Inquiry, done: WorkDone) -> tuple[float, str]:
    wished = inquiry.wishes.hours_per_year
    if not wished.is_unknown:
        return wished.value, "stated"
    return (done.hours, "this job once a year") if np.isfinite(done.hours) else (HOURS, "practice")


def _hourly(judged: Judged, inquiry: Inquiry, book: PriceBook) -> float:
    """Labour, fuel and oil, and what the tractor itself costs an hour."""
    power = practice.rated_power(inquiry)
    burnt = float(job.fuel_used(power, practice.LOAD_SHARE, 3600.0))
    return float(owning.hourly_cost(_rate(book, "driver_per_hour"), burnt, _rate(book, "fuel_per_m3"), TRACTOR))


def _bill(judged: Judged, row: int, bills: Bills) -> float:
    joins = judged.bench.joins
    return float(bills.of(judged.bench.outfits[row], judged.sets[row], joins[row] if joins else None).quantile(0.5))


def _steps(judged: Judged, row: int, inquiry: Inquiry) -> tuple[Step, ...]:
    """The cycle in its order; every time of practice says so."""
    outfit = judged.bench.outfits[row]
    stated = inquiry.site.haul_distance
    haul = practice.HAUL if stated.is_unknown else stated.value
    known = "practice" if stated.is_unknown else "stated"
    kind = str(judged.bench.work_of(row).kind)
    closing = float(np.median(row_of(closing_time(judged.bench, 40.0), row)))
    lids = practice.lid_time(closing, bool(outfit.attachment.lids))
    return (
        Step("bite", practice.BITE.get(kind, practice.OTHER_BITE), "practice"),
        Step("lid, closing and opening", lids, "reckoned" if np.isfinite(closing) else "practice"),
        Step("lift and lower", practice.LIFT, "practice"),
        Step("line up and turn", practice.MANOEUVRE, "practice"),
        Step("haul loaded", haul / practice.LOADED, known),
        Step("set down", practice.DUMP, "practice"),
        Step("back empty", haul / practice.EMPTY, known),
        Step("what the way of moving the lid costs", outfit.power.words.delay, "practice"),
    )


def _others(
    judged: Judged, row: int, inquiry: Inquiry, bills: Bills, hours: float, hourly: float
) -> tuple[list[Way], list[str]]:
    """Forks, a clamp, hiring the tool, hiring it with a tractor; and what does not do this work."""
    book, kind = bills.shelf.price_book, str(judged.bench.outfits[row].attachment.kind)
    ways, cannot = [], []
    for known in table("other_ways.csv"):
        if known["kind"] == kind:
            continue
        slower = _slower(judged.bench.work_of(row), kind, known["kind"])
        if slower is None:
            cannot.append(known["title"])
            continue
        price, note = _price_of(judged, bills, known["kind"], float(known["likely"]))
        fixed = sum(own_a_year(price, book))
        ways.append(Way(known["way"], known["title"], slower * hours, fixed, slower * hours * hourly, note))
    days = hours / DAY
    fetching = _fetching(book) * days / SPELL
    hired = days * _rate(book, "hire_per_day") + fetching + hours * hourly
    whole = days * _rate(book, "hire_with_tractor_per_day") + hours * owning.LABOUR_OVER_MACHINE * _rate(
        book, "driver_per_hour"
    )
    ways.append(Way("hire", "hiring one for this tractor", hours, 0.0, hired, "fetched and taken back"))
    ways.append(Way("hire_with_tractor", "hiring one with a tractor", hours, 0.0, whole, "delivered"))
    return ways, cannot


def _fetching(book: PriceBook) -> float:
    return FETCH * _rate(book, "driver_per_hour")


def _slower(work: Work, this: str, other: str) -> float | None:
    """Hours with another kind of tool over hours with this one; None where it does not do the work."""
    own, there = suits(work, this), suits(work, other)
    return None if there <= 0 else max(own, 0.1) / there


def _price_of(judged: Judged, bills: Bills, kind: str, otherwise: float) -> tuple[float, str]:
    """The cheapest outfit of a kind that fits here, else what such a tool costs."""
    rows = [k for k, one in enumerate(judged.bench.outfits) if str(one.attachment.kind) == kind]
    found = [_bill(judged, k, bills) for k in rows if judged.verdict(k).startswith("fits")]
    known = [one for one in found if np.isfinite(one)]
    return (min(known), "from the shelf, fitted") if known else (otherwise, "price of practice, nothing fitted")
