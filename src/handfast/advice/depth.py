"""One outfit in depth: the work, what would have to change, what moves the margin, how sure each check is."""

from __future__ import annotations

from dataclasses import dataclass

from handfast.advice.change import changes, pair
from handfast.advice.job_story import JobStory, job_story
from handfast.advice.levers import asked_share, case_of
from handfast.advice.odds import FITS, IF, Judged, judge
from handfast.advice.result import Change
from handfast.advice.sensitivity import Tornado, tornado
from handfast.advice.work_done import work_done
from handfast.costing.price_lines import own_hours, shop_hours
from handfast.costing.total import Bills
from handfast.machines.inquiry import Inquiry
from handfast.machines.shelf import Shelf
from handfast.outfits.lay import lay

FEW = 6  # checks shown by how sure they are


@dataclass(frozen=True)
class Odd:
    """How often one check holds."""

    title: str
    share: float
    asked: float
    error: float = 0.0


@dataclass(frozen=True)
class Fitting:
    """Fitted by the owner against fitted in the shop: what each comes to, not more than, and the hours."""

    own: float
    own_ceiling: float
    own_hours: float
    shop: float
    shop_ceiling: float
    shop_hours: float

    @property
    def an_hour(self) -> float:
        """What an hour of the owner's own work saves."""
        return (self.shop - self.own) / self.own_hours if self.own_hours > 0 else 0.0


@dataclass(frozen=True)
class Depth:
    """What is worked out only for the outfit that is looked at."""

    outfit: str
    job: JobStory
    fitting: Fitting
    changes: tuple[Change, ...]
    pair: tuple[Change, Change] | None
    tornado: Tornado | None
    odds: tuple[Odd, ...]  # all together first, then the least sure


def in_depth(inquiry: Inquiry, shelf: Shelf, outfit: str, seed: int = 1, system: str = "us") -> Depth:
    """One outfit of an inquiry in depth, from the same samples as the answer.

    Args:
        inquiry: as `advise` takes it.
        shelf: what the dealer sells.
        outfit: id.
        seed: of the answer.
        system: units of the sentences.

    Returns:
        `Depth`.

    Raises:
        KeyError: no such outfit.

    Source: docs/house.md.

    Example:
        >>> from handfast.outfits.example import bench, inquiry
        >>> in_depth(inquiry(), Shelf(), bench().outfits[0].id).changes
        ()
    """
    laid = lay(inquiry.resolve(shelf), shelf, seed)
    whole = laid.inquiry
    rows = [k for k, one in enumerate(laid.benches[0].outfits if laid.benches else ()) if one.id == outfit]
    if not rows:
        raise KeyError(outfit)
    judged, row = judge(laid, shelf), rows[0]
    done = work_done(judged, whole)[row]
    fits = judged.verdict(row) in (FITS, IF)
    return Depth(
        outfit=outfit,
        job=job_story(judged, row, whole, Bills(whole, shelf), done),
        fitting=_fitting(judged, row, whole, shelf),
        changes=() if fits else changes(laid, judged, row, system),
        pair=None if fits else pair(case_of(laid, judged, row), outfit, system),
        tornado=tornado(judged, row, system),
        odds=_odds(judged, row),
    )


def _fitting(judged: Judged, row: int, inquiry: Inquiry, shelf: Shelf) -> Fitting:
    outfit, picked, joins = judged.bench.outfits[row], judged.sets[row], judged.bench.joins
    bills = []
    for own in (True, False):
        wishes = inquiry.wishes.model_copy(update={"own_work": own})
        whole = inquiry.model_copy(update={"wishes": wishes})
        bills.append(Bills(whole, shelf).of(outfit, picked, joins[row] if joins else None))
    at_home, in_shop = bills
    hours = own_hours(outfit, picked, shelf), shop_hours(outfit, picked, shelf)
    return Fitting(at_home.quantile(0.5), at_home.ceiling, hours[0], in_shop.quantile(0.5), in_shop.ceiling, hours[1])


def _odds(judged: Judged, row: int) -> tuple[Odd, ...]:
    final = judged.final(row)
    given = judged.premises.given(row)
    every = []
    for one in final.findings:
        counts = one.check.hard or one.check.id in final.also_hard
        if counts and one.decided[row]:
            holds = one.row("holds", row)
            share = float(holds[given].mean()) if holds.size > 1 and given.any() else float(holds.mean())
            every.append(Odd(one.check.title, share, asked_share(one.check)))
    unsure = sorted((one for one in every if one.share < 1.0), key=lambda one: one.share)
    return (Odd("Everything together", judged.held(row), 0.9, judged.error(row)), *unsure[:FEW])
