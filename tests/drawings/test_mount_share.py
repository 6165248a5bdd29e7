"""What a mount costs over the lift: moments about the arm pivot by hand.

A conversion of 40 kg, its middle 0.06 m ahead of the pins, sets the tool 0.08 m further forward; pinned straight on,
the same moment about the pivot lifts more. The advice reckons the cost at full height its own way, over the samples.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from handfast.advice.advise import advise
from handfast.advice.example import outfit
from handfast.advice.result import OutfitAdvice
from handfast.drawings.charts_from_advice import further_out, load_chart_of, mount_label, mount_sentence, mount_share_of
from handfast.drawings.load_chart import chart_words, load_chart
from handfast.machines.reading import demo_inquiries, demo_shelf

SLOPE = 0.6
ARM = 1 / SLOPE


def converted(slope: float = SLOPE) -> OutfitAdvice:
    one = outfit()
    values = one.geometry.values | {"rating_slope": slope, "kit_x": 0.06, "plane_ahead": 0.0254 + 0.08}
    mount = replace(one.mount, route="conversion", mass=40.0, forward=0.08, payload_cost=50.0)
    return replace(one, mount=mount, geometry=replace(one.geometry, values=values))


def test_the_moment_that_the_mount_takes_is_given_back_to_the_load() -> None:
    one = converted()
    share, lift = mount_share_of(one), one.curve.lift
    tool, seat = one.geometry.values["tool_mass"], 0.0254 + 0.508  # of the tool, and of the load without the kit
    for cost, carried in zip(share, lift, strict=True):
        with_kit = carried * (ARM + seat + 0.08) + 40.0 * (ARM + 0.06) + tool * (ARM + 0.3048 + 0.08)
        straight_on = (carried + cost) * (ARM + seat) + tool * (ARM + 0.3048)
        assert straight_on == pytest.approx(with_kit, rel=1e-12)


def test_a_self_levelling_loader_gives_the_mounts_own_mass() -> None:
    assert mount_share_of(converted(0.0)) == pytest.approx((40.0,) * len(outfit().curve.lift))


def test_the_share_at_full_height_is_the_payload_cost_of_the_advice() -> None:
    """Two ways to the same figure: over the samples in `advise`, from medians here."""
    shelf, seen = demo_shelf(), 0
    for inquiry in demo_inquiries().values() if isinstance(demo_inquiries(), dict) else demo_inquiries():
        for one in advise(inquiry, shelf).outfits:
            share = mount_share_of(one)
            if share:
                seen += 1
                assert share[-1] == pytest.approx(one.mount.payload_cost, rel=0.02)
                assert f"costs you {mount_label(one, 'us').split('takes ')[1]} of payload" in mount_sentence(one, "us")
    assert seen >= 10


def test_the_chart_draws_and_says_it() -> None:
    one = converted()
    chart = load_chart_of(one, "us")
    assert chart.share and "Conversion takes" in chart_words(chart)
    with_share, without = load_chart(chart), load_chart(replace(chart, share=(), share_label=""))
    assert "−" in with_share and with_share != without
    assert mount_share_of(outfit()) == () and mount_sentence(outfit(), "us") == ""


def test_further_out_it_lifts_what_the_same_moment_about_the_arm_pivot_holds() -> None:
    """The example's sheet: 880 lb at the pins, 640 lb 500 mm ahead, so the pivot lies 1 / 0.75 m behind the pins."""
    lift, arm, seat = outfit().curve.lift[-1], 1 / 0.75, 0.0254 + 0.508
    for other, more in zip(further_out(outfit(), "metric"), (0.30, 0.60), strict=True):
        assert other.likely[-1] == pytest.approx(lift * (arm + seat) / (arm + seat + more), rel=1e-9)
    assert further_out(converted(0.0), "us") == ()


def test_the_attachments_own_rating_governs_where_it_is_least() -> None:
    chart = replace(load_chart_of(outfit(), "us"), rated=100.0, curl=())
    assert chart.at(1.0) == 100.0 and chart.governs(1.0) == "rating"
    assert "its own rating governs" in load_chart(replace(chart, now=1.0))
    assert replace(chart, rated=1000.0).governs(1.0) == "lift"
