"""The eight demonstration callers: the trap that each carries is seen, and the answer is the one reckoned by hand.

Source of the figures: the scenario's hand reckoning in pounds and inches, two formulas (moments about the arm pivot
from the pair of ratings, moments about the axles) done apart from this program. Where the program knows more than the
hand did (a log lies against the jaw and not 24 in ahead of the pins, ballast hangs 24 in behind the link ends, the
arms move too), the tolerance or the corrected sum stands beside the check with its reason.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

import pytest

from handfast.advice.advise import advise
from handfast.advice.result import Advice, CheckResult, OutfitAdvice
from handfast.machines.inquiry import Inquiry
from handfast.machines.reading import demo_inquiries, demo_shelf
from handfast.machines.work import Site
from handfast.quantities.estimate import Estimate

LB, IN, DEGREE = 0.45359237, 0.0254, 0.017453292519943295
NOT = "does not fit"
Answer = Callable[[int], Advice]
SHELF = demo_shelf()


def the(outfit: OutfitAdvice, check_id: str) -> CheckResult:
    return next(check for check in outfit.checks if check.id == check_id)


def caller(number: int, **facts: Any) -> Inquiry:
    name = next(name for name in demo_inquiries() if name.startswith(f"{number}-"))
    return demo_inquiries()[name].model_copy(update=facts)


def offered(number: int, *tools: str, **facts: Any) -> Advice:
    """The caller asks for these attachments and no others."""
    return advise(caller(number, attachment=tuple(SHELF.attachments[t] for t in tools), **facts), SHELF)


def of(advice: Advice, tool: str, route: str = "", power: str = "") -> OutfitAdvice:
    """The best outfit of an attachment."""
    return next(
        o
        for o in advice.outfits
        if o.attachment == tool and o.mount.route.startswith(route) and o.power.route.startswith(power)
    )


def left(outfit: OutfitAdvice) -> float:
    """Payload at full height [lb]."""
    assert outfit.payload.full_height is not None
    return outfit.payload.full_height.p50 / LB


# 1. Found on-line: sixty inches, two lids, 520 lb.


def test_1_the_grapple_found_on_line_fails_with_its_figure(answer: Answer) -> None:
    seen = next(outfit for outfit in answer(1).outfits if outfit.seen_elsewhere)
    assert seen.verdict == NOT
    assert seen.held == 0.0
    assert left(seen) <= 76  # by hand 56 with the load 24 in ahead; a log of a foot lies nearer the pins
    assert "lb" in seen.verdict_text
    assert re.search(r"\d", seen.verdict_text)
    # its front axle is over its rating too: neither lighter logs nor weight behind alone would do, so neither is said
    assert the(seen, "balance.front_axle").held == 0.0
    assert not [change for change in answer(1).one_change if change.outfit == seen.id]


def test_1_by_hand_it_leaves_56_pounds() -> None:
    """Load at the load centre: 56 by hand with the middle of mass at 16 in, which nobody has printed: a band."""
    advice = offered(1, "thicketjaw-42", work=())
    seen = next(outfit for outfit in advice.outfits if outfit.seen_elsewhere)
    band = seen.payload.full_height
    assert band is not None
    assert band.p10 / LB <= 56 <= band.p90 / LB
    assert left(seen) <= 75


def test_1_a_light_one_pinned_on_is_offered(answer: Answer) -> None:
    best = answer(1).outfits[0]
    assert best.verdict.startswith("fits")
    assert best.mount.interface == "pinned"
    assert SHELF.attachments[best.attachment].mass.value < 0.5 * 520 * LB
    assert best.load is not None
    assert best.payload.full_height is not None
    assert best.payload.full_height.p10 > best.load
    assert any("behind" in condition.text for condition in best.conditions)


def test_1_the_forty_two_leaves_450_pounds() -> None:
    """Pinned on, load 24 in ahead; ears weigh 3 lb or so that the hand reckoning left out."""
    light = of(offered(1, "thicketjaw-42", work=()), "thicketjaw-42", "ears")
    assert left(light) == pytest.approx(450, abs=5)


# 2. A hammer means pins.


def test_2_ears_beat_the_conversion_by_116_pounds(answer: Answer) -> None:
    ears, conversion = of(answer(2), "thicketjaw-55", "ears"), of(answer(2), "thicketjaw-55", "conversion")
    assert left(ears) == pytest.approx(580, abs=5)
    assert left(conversion) == pytest.approx(464, abs=3)
    assert left(ears) - left(conversion) == pytest.approx(116, abs=5)
    assert ears.rank < conversion.rank
    assert conversion.cost.p50 > ears.cost.p50 + 400


# 3. Nothing spare, 2,600 all in, narrow plate.


def test_3_the_narrow_plate_and_the_budget(answer: Answer) -> None:
    best = answer(3).outfits[0]
    assert best.attachment == "thicketjaw-42n"
    assert best.mount.interface == "universal_plate_narrow"
    assert best.mount.route == "direct"
    assert best.power.route == "diverter"
    assert left(best) == pytest.approx(403, abs=3)
    assert best.cost.ceiling <= 2600
    assert (
        the(best, "cost.budget").held >= 0.9
    )  # the hand total of 2,290 has no clamps, sleeve, caps and labels; they come to about 120
    assert "curl" in best.power.note


def test_3_an_electric_lid_is_heavier_and_slower(answer: Answer) -> None:
    """By hand 14 s; the sheet's screw runs 7.54 in at 0.45 in/s unloaded, which is 16.8 s."""
    electric = of(answer(3), "thicketjaw-42e", power="electric")
    assert electric.mount.interface == "universal_plate_narrow"
    assert left(electric) == pytest.approx(373, abs=3)
    assert electric.power.close_time == pytest.approx(7.54 / 0.45, rel=0.1)
    diverter = answer(3).outfits[0].power.close_time
    assert diverter is not None
    assert electric.power.close_time > 5 * diverter


def test_3_a_third_function_breaks_the_money(answer: Answer) -> None:
    third = of(answer(3), "thicketjaw-42n", power="third_function")
    assert third.cost.p50 > 2600
    assert the(third, "cost.budget").held == 0.0


# 4. Sixteen-foot red oaks.


def test_4_the_wet_log_decides() -> None:
    """By hand 1,142 lb left, log 1,026 to 1,197; a 14 in log lies about an inch nearer than the 21 in by hand."""
    log_grapple = offered(4, "billetjaw-48").outfits[0]
    assert left(log_grapple) == pytest.approx(1142, rel=0.03)
    assert 1026 < left(log_grapple) < 1197
    assert log_grapple.load is not None
    assert 1026 < log_grapple.load / LB < 1197
    held = the(log_grapple, "lift.full_height").held
    assert held is not None
    assert 0.5 < held < 1.0
    assert log_grapple.verdict != "fits"


def test_4_much_weight_is_asked_behind() -> None:
    """By hand 656 lb at the link ends for the log of 1,095."""
    found = offered(4, "billetjaw-48").outfits[0]
    assert 450 < found.ballast.needed / LB < 750


def test_4_cut_to_eight_feet_it_holds() -> None:
    work = demo_inquiries()["4-long-wet-logs"].work[0].model_copy(update={"length": Estimate.known(8 * 12 * IN)})
    cut = offered(4, "billetjaw-48", work=(work,)).outfits[0]
    assert cut.verdict.startswith("fits")
    assert cut.load is not None
    assert cut.load / LB == pytest.approx(547, rel=0.05)
    assert the(cut, "lift.full_height").held == 1.0
    assert cut.ballast.needed < 0.45 * offered(4, "billetjaw-48").outfits[0].ballast.needed


# 5. A brush pile and the heaviest double lid.


def test_5_the_light_one_ranks_before_the_heavy_double_lid() -> None:
    advice = offered(5, "thicketjaw-66d", "thicketjaw-60")
    light, heavy = of(advice, "thicketjaw-60"), of(advice, "thicketjaw-66d")
    assert light.rank < heavy.rank
    assert left(light) == pytest.approx(784, abs=3)
    assert left(heavy) == pytest.approx(502, abs=10)
    assert light.cost.p50 < heavy.cost.p50


def test_5_brush_fills_before_it_weighs() -> None:
    """27.9 yd³ at 0.8 yd³ a bite are 35 loads by hand; the bite by jaw area and width is a tenth either way."""
    found = of(offered(5, "thicketjaw-60"), "thicketjaw-60")
    assert found.load is not None
    assert found.load < 0.5 * found.payload.full_height.p10  # type: ignore[union-attr]
    assert found.job.loads == pytest.approx(35, rel=0.12)
    assert found.job.hours == pytest.approx(1.6, rel=0.3)


# 6. Sideways on the bank.


@pytest.mark.parametrize("reading", [16.7, 30.0])
def test_6_refused_across_the_slope_by_either_reading(reading: float) -> None:
    """Thirty per cent or thirty degrees: half of the first roll (by hand 8.7° raised, 24.7° low and boxed) is less."""
    inquiry = caller(6, site=Site(slope=Estimate.known(reading * DEGREE)))
    for outfit in advise(inquiry, SHELF).outfits:
        across = the(outfit, "slope.side")
        assert outfit.verdict == NOT
        assert across.held == 0.0
        assert across.capacity is not None
        assert across.capacity.p90 < 0.5 * 24.7 * DEGREE
        assert outfit.governs == "slope.side"


def test_6_as_asked_it_is_refused_and_both_readings_stand_there(answer: Answer) -> None:
    advice = answer(6)
    assert advice.outfits
    assert all(outfit.verdict == NOT for outfit in advice.outfits)
    assert "16.7" in advice.say_now
    assert "30" in advice.say_now
    slope = next(fact for fact in advice.facts if fact.path == "site.slope")
    assert "30.0 %" in slope.text  # 30 %, which is 16.7°
    assert "57.7 %" in slope.text  # 30°


def test_6_a_box_behind_helps_the_rear_axle(answer: Answer) -> None:
    """By hand 17.7 % with nothing behind, loaded low; with the load furthest out it is less, with a box well above."""
    axles = {one.pose: one.rear_share for one in answer(6).outfits[0].axles}
    assert axles["loaded_furthest_bare"] < 0.177
    assert axles["loaded_furthest"] > 0.25


# 7. Dad's tractor.


def test_7_the_open_facts_are_asked_the_quick_attach_first(answer: Answer) -> None:
    asked = [question.fact for question in answer(7).ask_next]
    assert asked[0] == "quick_attach"
    assert {"front_functions", "loader.lift_at_pin"} & set(asked)
    assert len(asked) <= 8


def test_it_is_said_when_nothing_more_need_be_asked(answer: Answer) -> None:
    """A question that pays, or a sentence why none does: never both, never neither."""
    for number in range(1, 9):
        advice = answer(number)
        assert any(one.worth > 0.0 for one in advice.ask_next) != advice.enough.startswith("Nothing more to ask")
    assert "a check waits for it" in answer(1).enough and not answer(7).enough


def test_7_a_price_is_said_and_no_lift_promised(answer: Answer) -> None:
    """By hand 2,800 to 5,400, depending on two things."""
    advice = answer(7)
    prices = [int(text.replace(",", "")) for text in re.findall(r"\$([\d,]+\d)", advice.say_now)]
    assert prices
    assert all(1500 <= price <= 5500 for price in prices)
    assert "at full height" not in advice.say_now
    assert not re.search(r"(leaves|lifts) (at least )?\d", advice.say_now)
    assert any(text.startswith("What it lifts") for text in advice.do_not_promise)
    assert any("bucket comes off" in text for text in advice.do_not_promise)


def test_7_nothing_fits_without_a_condition(answer: Answer) -> None:
    """A safety capacity that is only typical of the class never gives the plain word."""
    assert all(outfit.verdict != "fits" for outfit in answer(7).outfits)


# 8. Thirty pallets a week.


def test_8_forks_first(answer: Answer) -> None:
    best = answer(8).outfits[0]
    assert best.kind == "pallet_forks"
    assert best.mount.route == "direct"
    assert best.power.route == "none"
    assert left(best) == pytest.approx(1386, abs=3)
    assert best.verdict.startswith("fits")
    assert all(outfit.rank > 1 for outfit in answer(8).outfits if "grapple" in outfit.kind)


def test_8_weight_behind_by_hand_with_what_the_hand_left_out(answer: Answer) -> None:
    """645 lb by hand. Redone with the same formula, and with the three things that it left out.

    The weight hangs 24 in behind the link ends, not at them; the arms' own middle moves half of what the pins move;
    the quick attach moves with the pins. All figures are those of the shelf's sheet.
    """
    machine = SHELF.machines["trug-48"]
    loader, span = machine.loader, machine.wheelbase.value
    front, rear = machine.front_axle_mass.value, machine.rear_axle_mass.value
    level, down = loader.pin_ahead.level.value, loader.pin_ahead.down.value
    forks, crate = 320 * LB, 1300 * LB
    overhang = forks * (level + 12 * IN) + crate * (level + 26 * IN)

    def weight(moved: float, behind: float) -> float:
        total, on_rear = front + rear + forks + crate, rear - (overhang + moved) / span
        return (0.25 * total - on_rear) * span / (behind + 0.75 * span) / LB

    ends = machine.hitch_behind_axle.value
    assert weight(0.0, ends) == pytest.approx(645, abs=5)
    moved = (loader.arms_mass.value / 2 + loader.quick_attach_mass.value) * (level - down)
    pallets = offered(8, "stookwright-forks-48o", work=caller(8).work[:1]).outfits[0]
    assert pallets.ballast.needed / LB == pytest.approx(weight(moved, ends + 24 * IN), abs=6)
    assert answer(8).outfits[0].ballast.needed >= pallets.ballast.needed  # a log of any weight asks for no less


# All eight.


@pytest.mark.parametrize("number", range(1, 9))
def test_something_can_be_said_and_something_is_left_open(answer: Answer, number: int) -> None:
    advice = answer(number)
    assert advice.say_now.endswith(".")
    assert re.search(r"\d", advice.say_now)
    assert advice.outfits[0].rank == 1
    assert len(advice.cautions) <= 4
    assert [outfit.rank for outfit in advice.outfits] == list(range(1, len(advice.outfits) + 1))


def three_facts(number: int) -> Inquiry:
    """Tractor, what for, and where: nothing else has been said yet."""
    whole = caller(number)
    machine = whole.machine.model_copy(update={})
    work = tuple(type(w)(kind=w.kind, species=w.species, mass=w.mass) for w in whole.work[:1])
    return Inquiry(title=whole.title, caller=whole.caller, machine=machine, work=work, attachment=whole.attachment)


@pytest.mark.parametrize("number", range(1, 9))
def test_three_facts_give_a_sentence(number: int) -> None:
    """With tractor, work and place alone something can be read aloud, with its price and what is not to be promised."""
    advice = advise(three_facts(number), SHELF)
    assert advice.outfits
    assert advice.say_now.endswith(".")
    assert re.search(r"\$[\d,]+", advice.say_now)
    assert not advice.say_now.startswith("Nothing")
    assert advice.do_not_promise
    assert advice.ask_next
