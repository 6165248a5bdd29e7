"""Answers that came back, put into the inquiry with how the customer came by them."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from handfast.counter import verbs as counter
from handfast.counter.seen import rewrite
from handfast.counter.verbs import Workspace
from handfast.machines.shelf import Shelf
from handfast.web.answers_back import Answer
from handfast.web.form import checked, data_of, filled_in, steps, text_of_data


def store_answers(workspace: Workspace, number: int, answers: Iterable[Answer]) -> None:
    """Put the entries of answers into an inquiry. Raises Faults, nothing stored, where one can't be.

    A measured figure keeps that it was measured.
    """
    shelf, told = counter.shelf(workspace), list(answers)

    def answered(before: str) -> str:
        text = _with_answers(before, told, shelf)
        if text != before:
            checked(text, shelf)
        return text

    rewrite(workspace, number, answered, "inquiry")


def _with_answers(before: str, answers: Iterable[Answer], shelf: Shelf) -> str:
    """An inquiry's text with answers put in."""
    data = data_of(before)
    for one in answers:
        bare = "work" not in data and any(place.startswith("work[0]") for place in one.entries)
        data = filled_in(data, {**({"work[0].kind": "free"} if bare else {}), **one.entries}, shelf)
        if one.measured:
            for place in one.entries:
                _mark_measured(data, place)
    return text_of_data(before, data)


def _mark_measured(data: dict[str, Any], place: str) -> None:
    *way, last = steps(place)
    at: Any = data
    for step in way:
        at = at[step]
    if isinstance(at.get(last), str) and any(c.isdigit() for c in at[last]) and last not in ("size", "name", "record"):
        at[last] = {"value": at[last], "origin": "measured"}
