"""Promises by when, the text message, what the turned screen leaves out."""

from __future__ import annotations

from datetime import datetime

import pytest

from handfast.advice.advise import advise
from handfast.machines.reading import demo_inquiries, demo_shelf
from handfast.web.message import MOST, sentences, text_message, without_money
from handfast.web.promised import by_when, read_promise

NOW = datetime(2026, 3, 5, 9, 30)  # a Thursday


@pytest.mark.parametrize(
    ("said", "by"),
    [
        ("noon", "2026-03-05T12:00"),
        ("before noon", "2026-03-05T12:00"),
        ("today", "2026-03-05"),
        ("tomorrow", "2026-03-06"),
        ("tomorrow 9", "2026-03-06T09:00"),
        ("4", "2026-03-05T16:00"),
        ("9 am", "2026-03-06T09:00"),
        ("12 am", "2026-03-06T00:00"),
        ("Fri 9:30", "2026-03-06T09:30"),
        ("thursday", "2026-03-12"),
        ("wed", "2026-03-11"),
        ("2026-04-01 10:15", "2026-04-01T10:15"),
    ],
)
def test_days_and_times_by_the_calendar(said: str, by: str) -> None:
    assert by_when(said, NOW) == by


@pytest.mark.parametrize("said", ["", "soon", "25", "9:75", "2026-02-30", "13 pm", "the day after"])
def test_what_names_no_time_is_none(said: str) -> None:
    assert by_when(said, NOW) is None


@pytest.mark.parametrize(
    ("said", "read"),
    [
        ("ring back before noon", ("we", "ring back", "2026-03-05T12:00")),
        ("the caller sends a photo by Friday", ("the caller", "sends a photo", "2026-03-06")),
        ("they ring tomorrow 9", ("the caller", "ring", "2026-03-06T09:00")),
        ("supplier confirms freight", ("the supplier", "confirms freight", "")),
        ("weigh the bucket", ("we", "weigh the bucket", "")),
    ],
)
def test_a_promise_as_it_is_typed(said: str, read: tuple[str, str, str]) -> None:
    assert read_promise(said, NOW) == read


@pytest.mark.parametrize("number", range(8))
def test_the_text_message_is_whole_and_never_kinder(number: int) -> None:
    inquiry = list(demo_inquiries().values())[number]
    for system in ("us", "metric"):
        advice = advise(inquiry, demo_shelf(), system=system)
        best, said = advice.outfits[0], text_message(advice)
        assert 0 < len(said) <= MOST
        assert said[-1] in ".?!"
        known = {*sentences(advice.say_now), *(s for one in advice.cautions for s in sentences(one))}
        added = [one for one in sentences(said) if one not in known]
        assert all(one.startswith(("Only if ", best.title)) for one in added)
        assert sentences(advice.cautions[0])[0] in said
        if best.conditions and best.verdict != "does not fit":
            assert best.conditions[0].text in said
        if best.verdict == "does not fit":
            assert "Does not fit" in said


def test_money_goes_by_the_sentence() -> None:
    assert without_money("It lifts 450 lb. Fitted and delivered, not more than $3,650. Mind the gate.") == (
        "It lifts 450 lb. Mind the gate."
    )
