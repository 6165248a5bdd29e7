"""One outfit in depth: the cycle by hand, the year by plain arithmetic, what moves a margin by fixing it."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from handfast.advice.advise import advise
from handfast.advice.depth import Depth, in_depth
from handfast.advice.odds import judge
from handfast.machines.inquiry import Inquiry
from handfast.machines.reading import demo_inquiries, demo_shelf, read_inquiry
from handfast.machines.shelf import Shelf
from handfast.outfits.assess import assess
from handfast.outfits.ballast import BallastSet, added_of
from handfast.outfits.checks import check
from handfast.outfits.lay import lay
from handfast.quantities.estimate import Estimate

HALF_KNOWN = """
title = "half known"
[machine]
class = "compact_small"
engine_power = "30 hp"
quick_attach = "universal_plate"
front_functions = 1
[[work]]
kind = "logs"
species = "Red oak"
diameter = "about 14 in"
length = "8 ft"
count = 60
[site]
slope = "12 %"
haul_distance = "200 ft"
[wishes]
hours_per_year = 40
"""


@cache
def half_known() -> Inquiry:
    return read_inquiry(HALF_KNOWN, "inquiry")


@cache
def best() -> str:
    return advise(half_known(), demo_shelf()).outfits[0].id


@cache
def depth() -> Depth:
    return in_depth(half_known(), demo_shelf(), best())


def test_the_cycle_by_hand() -> None:
    """Hand reckoning: 200 ft at 3.5 mph is 38.96 s, at 5 mph 27.27 s; bite 39, turn 24, lift 8, dump 18."""
    steps = {step.what: step.seconds for step in depth().job.steps}
    lid = steps["lid, closing and opening"]
    by_hand = 60.96 / (3.5 * 0.44704) + 60.96 / (5.0 * 0.44704) + 39 + 24 + 8 + 18 + lid
    assert depth().job.cycle == pytest.approx(by_hand, abs=0.01)
    assert sum(steps.values()) == pytest.approx(depth().job.cycle, abs=1e-9)
    assert depth().job.per_hour == pytest.approx(3000.0 / by_hand, rel=1e-6)  # fifty minutes worked
    assert depth().job.hours == pytest.approx(depth().job.loads * by_hand / 3000.0, rel=1e-6)
    assert depth().job.loads == 60


def test_the_delay_of_a_lever_behind_and_a_slow_lid_cost_time() -> None:
    every = {one.id for one in advise(half_known(), demo_shelf()).outfits}
    behind = next(one for one in every if one.endswith("~rear_remote_forward"))
    third = behind.replace("~rear_remote_forward", "~third_function")
    slow, quick = (in_depth(half_known(), demo_shelf(), one).job for one in (behind, third))
    delays = [next(s.seconds for s in one.steps if s.what.startswith("what the way")) for one in (slow, quick)]
    assert delays[0] > delays[1]
    assert slow.cycle > quick.cycle


def test_a_year_of_it_adds_up_and_breaks_even_where_it_says() -> None:
    """Plain arithmetic: capital recovery over ten years at 7 % with 40 % left, 3 % repair, so much an hour."""
    shelf, job = demo_shelf(), depth().job
    this = next(way for way in job.ways if way.key == "this")
    hire = next(way for way in job.ways if way.key == "hire")
    price = next(one for one in advise(half_known(), shelf).outfits if one.id == best()).cost.p50
    factor = 0.07 / (1 - 1.07**-10)
    assert job.owning == pytest.approx((price - 0.4 * price) * factor + 0.4 * price * 0.07, rel=1e-6)
    assert job.repair == pytest.approx(0.03 * price, rel=1e-6)
    assert this.yearly == pytest.approx(job.owning + job.repair + 40 * job.hourly)
    per_hour = hire.yearly / hire.hours
    hours = job.break_even
    assert job.owning + job.repair + hours * job.hourly == pytest.approx(hours * per_hour, rel=1e-9)


def test_the_ways_are_told_cheapest_first_and_forks_can_win() -> None:
    """Demonstration inquiry 8 asks for pallets: forks do it for less than any grapple."""
    name = next(name for name in demo_inquiries() if name.startswith("8-"))
    inquiry = demo_inquiries()[name]
    grapple = next(
        one for one in (o.id for o in advise(inquiry, demo_shelf()).outfits) if "forks" not in one and "bin" not in one
    )
    ways = in_depth(inquiry, demo_shelf(), grapple).job.ways
    assert [way.yearly for way in ways] == sorted(way.yearly for way in ways)
    order = [way.key for way in ways]
    assert order.index("forks") < order.index("this")


def _ballast() -> BallastSet | None:
    """The ballast of the answer, so that nothing but the one unknown is another."""
    judged = judge(lay(half_known().resolve(demo_shelf()), demo_shelf(), 1), demo_shelf())
    return judged.sets[next(k for k, one in enumerate(judged.bench.outfits) if one.id == best())]


@pytest.mark.parametrize("path", ["diameter"])
def test_a_bar_of_the_tornado_is_what_fixing_the_unknown_gives(path: str) -> None:
    """The unknown is set to its one-in-ten value in the inquiry and everything laid and checked again."""
    found = depth().tornado
    assert found is not None
    swing = next(one for one in found.swings if one.path == f"work0.{path}")
    stated: Estimate = getattr(half_known().work[0], path)
    for share, margin in ((0.1, swing.at_low), (0.9, swing.at_high)):
        fixed = Estimate.known(float(stated.draw(np.array(share))))
        work = half_known().work[0].model_copy(update={path: fixed})
        laid = lay(half_known().model_copy(update={"work": (work,)}).resolve(demo_shelf()), demo_shelf(), 1)
        row = next(k for k, one in enumerate(laid.benches[0].outfits) if one.id == best())
        bench = laid.benches[0].some([row])
        again = assess(replace(bench, added=added_of([_ballast()], bench)), (check(found.check),)).findings[0]
        whole = abs(swing.at_high - swing.at_low)
        assert float(again.spare(0).mean()) == pytest.approx(margin, abs=0.08 * whole)


def test_thicker_pieces_take_from_the_margin_and_every_bar_moves_it() -> None:
    found = depth().tornado
    assert found is not None
    widths = [one.width for one in found.swings]
    assert widths == sorted(widths, reverse=True)
    assert all(width > 0 for width in widths)
    thick = next(one for one in found.swings if one.path == "work0.diameter")
    assert thick.at_high < thick.at_low


def test_what_is_known_has_no_tornado_and_is_never_or_always() -> None:
    from handfast.outfits.example import bench, inquiry

    known = in_depth(inquiry(), Shelf(), bench().outfits[0].id)
    assert known.tornado is None
    assert {one.share for one in known.odds} <= {0.0, 1.0}


def test_no_such_outfit() -> None:
    with pytest.raises(KeyError):
        in_depth(half_known(), demo_shelf(), "nothing~there~none")
