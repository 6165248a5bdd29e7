"""What to ask next: what each unknown is worth for the choice, over the bother of asking it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

from handfast.advice.result import Question
from handfast.outfits.assess import Assessment
from handfast.quantities.tables import table

MONEY_A_STEP = 4.0  # what one step of bother is worth to ask about (practice, editable)
WORK_FACTS = ("diameter", "length", "density", "mass")


@dataclass(frozen=True)
class Asking:
    """A question as the table has it."""

    question: str
    answers: tuple[str, ...]
    burden: float
    how: str


def ask_next(
    values: dict[str, float], open_facts: Sequence[str], final: Assessment | None, row: int
) -> tuple[Question, ...]:
    """Questions in the order in which they pay, the facts that nobody can reckon without after them.

    Args:
        values: of `advice.knowing`.
        open_facts: paths of facts that a hard check of the best outfit waits for.
        final: findings of the best outfit.
        row: its row.

    Returns:
        At most eight questions; each pays more than its bother, or a safety check waits for it.

    Example:
        >>> ask_next({}, (), None, 0)
        ()
    """
    asked: dict[str, Question] = {}
    for path, value in sorted(values.items(), key=lambda item: -item[1] / _asking(item[0]).burden):
        name, known = _fact(path), _asking(path)
        if value > MONEY_A_STEP * known.burden and known.question and name not in asked:
            asked[name] = Question(name, known.question, known.answers, value, known.burden, _why(value), known.how)
    for path in open_facts:
        name, known = _fact(path), _asking(path)
        if known.question and name not in asked:
            why = "a check that people depend on waits for it"
            asked[name] = Question(name, known.question, known.answers, 0.0, known.burden, why, known.how)
    return tuple(asked.values())[:8]


def _why(value: float) -> str:
    return f"knowing it is worth about ${value:,.0f} to the choice"


def _fact(path: str) -> str:
    """A path as the table of questions names it."""
    head, _, tail = path.partition(".")
    if head.startswith("work") and head[4:].isdigit() and tail:
        return f"work.{tail}"
    return "loader.lift_at_pin" if path == "loader.lift_at_500" else path


def _asking(path: str) -> Asking:
    return _questions().get(_fact(path), Asking("", (), 6.0, ""))


@cache
def _questions() -> dict[str, Asking]:
    return {
        row["fact"]: Asking(row["question"], tuple(row["answers"].split("|")), float(row["burden"]), row["how"])
        for row in table("questions.csv")
    }
