"""The eight demonstration callers, each answered once."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache

import pytest

from handfast.advice.advise import advise
from handfast.advice.result import Advice
from handfast.machines.reading import demo_inquiries, demo_shelf

Answer = Callable[[int], Advice]


@cache
def _answered(number: int) -> Advice:
    name = next(name for name in demo_inquiries() if name.startswith(f"{number}-"))
    return advise(demo_inquiries()[name], demo_shelf())


@pytest.fixture(scope="session")
def answer() -> Answer:
    """The advice for a demonstration caller by number."""
    return _answered
