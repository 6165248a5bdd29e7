"""The seat card: loads that nothing contradicts, what hangs behind, and no slope angle."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from handfast.advice.result import Advice
from handfast.documents.seat_card import RULES, safe_load, seat_card
from handfast.machines.reading import demo_inquiries

NAMES = sorted(demo_inquiries())
POUND = 0.45359237  # kg, exact


def holds(advice: Advice) -> bool:
    return advice.outfits[0].verdict.startswith("fits")


@pytest.mark.parametrize("name", NAMES)
def test_one_card_where_the_outfit_holds(answers: dict[str, Advice], words: Any, flat: Any, name: str) -> None:
    advice = answers[name]
    one = advice.outfits[0]
    if not holds(advice):
        with pytest.raises(ValueError, match="an outfit that holds"):
            seat_card(advice, one.id)
        return
    pdf = seat_card(advice, one.id, number="C-7", made="2025-03-04", tractor_serial="UT24-0099")
    told, text = words(pdf, "pdfinfo"), flat(pdf)
    assert re.search(r"^Pages: +1$", told, re.M) and re.search(r"^Tagged: +yes$", told, re.M)
    width, height = (float(x) * 25.4 / 72 for x in re.findall(r"^Page size: +([\d.]+) x ([\d.]+)", told, re.M)[0])
    assert (width, height) == pytest.approx((148, 105), abs=0.01)
    assert text.index("Quernwater Loader & Implement") == 0  # the dealer's name leads
    for said in ("BEHIND:", "Void if tyres", "C-7, 2025-03-04", "UT24-0099", "Invented for the demonstration"):
        assert said in text
    for piece in one.ballast.chosen:
        assert f"{piece.mass / POUND:,.0f} lb" in text
    assert all(rule.split()[-1] in text for rule in RULES)


@pytest.mark.parametrize("name", NAMES)
def test_no_slope_angle(answers: dict[str, Advice], flat: Any, name: str) -> None:
    if holds(answers[name]):
        text = flat(seat_card(answers[name], answers[name].outfits[0].id))
        assert "°" not in text and "%" not in text
        assert "Slope limit: your manual's." in text


@pytest.mark.parametrize("system,unit,step", [("us", POUND, 25), ("metric", 1.0, 10)])
@pytest.mark.parametrize("name", NAMES)
def test_every_printed_load_is_borne_by_lift_curl_rating_and_axles(
    answers: dict[str, Advice], name: str, system: str, unit: float, step: int
) -> None:
    for one in answers[name].outfits[:5]:
        check = next(c for c in one.checks if c.id == "lift.attachment_rating")
        if check.demand is None or np.isnan(one.curve.lift_p10).any():
            continue
        for height in np.linspace(one.curve.height[0], one.curve.height[-1], 5):
            load = safe_load(one, float(height), system)
            assert load is not None and load >= 0
            lift = float(np.interp(height, one.curve.height, one.curve.lift_p10))
            limits = [lift, check.demand.p90, *([min(one.curve.curl)] if one.curve.curl else [])]
            limits += [check.capacity.p10] if check.capacity is not None else []
            assert load <= max(min(limits), 0.0) + 1e-9
            assert load / unit / step == pytest.approx(round(load / unit / step), abs=1e-6)


def test_no_card_without_a_chosen_weight(answers: dict[str, Advice]) -> None:
    advice = answers[NAMES[0]]
    one = advice.outfits[0]
    bare = replace(one, ballast=replace(one.ballast, chosen=(), already=0.0, needed=100.0))
    with pytest.raises(ValueError, match="no set is chosen"):
        seat_card(replace(advice, outfits=(bare,)), bare.id)


def test_a_height_that_is_not_to_be_passed_is_the_highest(answers: dict[str, Advice], flat: Any) -> None:
    from handfast.advice.result import Condition

    advice = answers[NAMES[0]]
    one = advice.outfits[0]
    low = replace(one, conditions=(*one.conditions, Condition("height", "not above 59 in", 1.5, "m")))
    text = flat(seat_card(replace(advice, outfits=(low,)), low.id))
    assert "top, pins at 59 in" in text and "full" not in text


def test_same_bytes_again_and_text_is_text(answers: dict[str, Advice], words: Any) -> None:
    advice = answers[NAMES[0]]
    one = advice.outfits[0]
    assert seat_card(advice, one.id) == seat_card(advice, one.id)
    for text in ("#x $y$ *z* @a <b> \\c", "שלום", "q" * 10_000):
        odd = replace(advice, machine=text, outfits=(replace(one, title=text),))
        pdf = seat_card(odd, one.id, number=text, tractor_serial=text, attachment_serial=text, dealer=text)
        assert re.search(r"^Pages: +1$", words(pdf, "pdfinfo"), re.M)
