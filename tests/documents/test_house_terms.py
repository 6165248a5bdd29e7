"""What the dealer sets stands on the quotation: the share below which it becomes parts only, the words, the address."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from handfast.advice.result import Advice
from handfast.documents.quotation import Terms, parts_only, quotation
from handfast.machines.settings import LEAST_SHARE


def bare_at(one: Any, share: float) -> Any:
    axles = [replace(a, rear_share=share) if a.pose == "loaded_furthest_bare" else a for a in one.axles]
    return replace(one, axles=axles)


@pytest.mark.parametrize(("share", "least", "parts"), [(0.19, 0.20, True), (0.22, 0.20, False), (0.22, 0.25, True)])
def test_a_dealer_who_asks_more_sells_parts_only_sooner(
    answers: dict[str, Advice], share: float, least: float, parts: bool
) -> None:
    one = bare_at(next(iter(answers.values())).outfits[0], share)
    assert parts_only(one, Terms(ballast="declined", least_share=least)) is parts
    assert not parts_only(one, Terms(ballast="accepted", least_share=least))


def test_without_settings_the_written_rule_stands() -> None:
    """Loader manuals after EN 12525: at least 20 % of the weight on the rear axle."""
    assert Terms().least_share == LEAST_SHARE == 0.20


def test_the_dealers_own_words_and_address_are_printed(answers: dict[str, Advice], flat: Any) -> None:
    advice = next(one for one in answers.values() if one.outfits and one.outfits[0].ballast.chosen)
    low = bare_at(advice.outfits[0], 0.10)
    terms = Terms(accepted="Hung on first:", declined="You said no to weight.", reached="4 Mill Lane, 555 0117")
    text = flat(quotation(replace(advice, outfits=[low]), low.id, number="9", terms=terms, dealer="Lathe Hill"))
    assert "Hung on first:" in text and "You said no to weight." in text
    assert "4 Mill Lane, 555 0117" in text and "Lathe Hill" in text
