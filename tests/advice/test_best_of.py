"""The outfits named for what each is best at, held by looking over all that fit; own work against the shop."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from handfast.advice.best_of import NAMES, best_of
from handfast.advice.depth import in_depth
from handfast.advice.result import Advice, OutfitAdvice
from handfast.machines.reading import demo_inquiries, demo_shelf

Answer = Callable[[int], Advice]
CALLS = range(1, 9)


def fitting(advice: Advice) -> list[OutfitAdvice]:
    return [one for one in advice.outfits if one.verdict.startswith("fits")]


def lifts(one: OutfitAdvice) -> float:
    """Middle of what it lifts, within the attachment's own rating where that is known."""
    raised = one.payload.lift_to or one.payload.full_height
    assert raised is not None
    rated = [c.capacity.p50 for c in one.checks if c.id == "lift.attachment_rating" and c.capacity]
    curl = [one.curve.curl[-1]] if one.curve.curl is not None and one.payload.lift_to is None else []
    return min([raised.p50, *rated, *curl])


@pytest.mark.parametrize("number", CALLS)
def test_each_name_is_true(answer: Answer, number: int) -> None:
    advice = answer(number)
    fits = fitting(advice)
    named = {name: one for one in advice.outfits for name in (one.best_at or "").split(", ") if name}
    assert set(named) == (set(NAMES) if fits else set())
    if fits:
        assert named["lightest bill"].cost.p50 == min(one.cost.p50 for one in fits)
        assert lifts(named["most lift"]) == pytest.approx(max(lifts(one) for one in fits))
        assert named["least bother"].power.convenience == max(one.power.convenience for one in fits)


@pytest.mark.parametrize("number", CALLS)
def test_a_sentence_each_with_its_figures(answer: Answer, number: int) -> None:
    advice = answer(number)
    bests = best_of(advice)
    assert sum(len(one.names) for one in bests) == (3 if fitting(advice) else 0)
    assert len({one.outfit for one in bests}) == len(bests)
    for one in bests:
        assert advice.outfit(one.outfit).title in one.text
        assert one.text.endswith(".") and "nan" not in one.text
        if "most lift" in one.names:
            assert " at full height" in one.text or " to the height asked" in one.text


def test_somewhere_three_different_outfits_are_named(answer: Answer) -> None:
    assert any(len(best_of(answer(number))) == 3 for number in CALLS)


def test_own_work_is_the_shops_bill_without_its_labour(answer: Answer) -> None:
    """The two bills differ by the labour line: hours in the shop times the book's rate, 136 likely."""
    name = next(name for name in demo_inquiries() if name.startswith("5-"))
    shelf, advice = demo_shelf(), answer(5)
    rate = shelf.price_book.labour_rate
    for one in fitting(advice)[:3]:
        found = in_depth(demo_inquiries()[name], shelf, one.id).fitting
        assert found.shop > found.own
        assert found.own_hours > found.shop_hours > 0
        least, most = (rate.low, rate.high) if not rate.is_known else (rate.value, rate.value)
        assert found.shop_hours * least <= found.shop - found.own <= found.shop_hours * most
