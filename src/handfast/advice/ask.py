"""What to ask next: what each unknown is worth for the choice, over the bother of asking it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
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
    accuracy: float = 1.0  # what share of the truth an answer tells: 1 all of it, 0 nothing


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
        name, known = fact_of(path), _asking(path)
        if value > MONEY_A_STEP * known.burden and known.question and name not in asked:
            asked[name] = _question(name, known, value, _why(value))
    for path in open_facts:
        name, known = fact_of(path), _asking(path)
        if known.question and name not in asked:
            why = "a check that people depend on waits for it"
            asked[name] = _question(name, known, 0.0, why)
    return tuple(asked.values())[:8]


def enough(values: Mapping[str, float], questions: Sequence[Question]) -> str:
    """Why no more need be asked; nothing while an answer pays.

    Args:
        values: of `advice.knowing`.
        questions: of `ask_next`.

    Returns:
        A sentence or two, or "".

    Example:
        >>> enough({}, ())
        'Nothing more to ask: no open fact changes which outfit is best.'
    """
    if any(one.worth > 0.0 for one in questions):
        return ""
    able = any(value > 0.0 and _asking(path).question for path, value in values.items())
    why = (
        "no answer is worth to the choice what it costs to ask" if able else "no open fact changes which outfit is best"
    )
    if not questions:
        return f"Nothing more to ask: {why}."
    return f"Nothing more to ask for the choice: {why}. What is left is asked because a check waits for it."


def _question(name: str, known: Asking, value: float, why: str) -> Question:
    return Question(name, known.question, known.answers, value, known.burden, why, known.how, known.accuracy)


def accuracy_of(path: str) -> float:
    """How much of the truth an answer about an input tells.

    Args:
        path: of the input.

    Returns:
        1 where the answer is the truth, 0 where it says nothing: for a category the share of answers that are not just
        a guess, for a figure the correlation of what is said with what is so; 0 where there is no question for it.

    Source: questions.csv (common practice, no source).

    Example:
        >>> accuracy_of("mass") > accuracy_of("work0.density")
        True
    """
    known = _asking(path)
    return known.accuracy if known.question else 0.0


def _why(value: float) -> str:
    return f"knowing it is worth about ${value:,.0f} to the choice"


def fact_of(path: str) -> str:
    """A path as the table of questions names it.

    Args:
        path: of an input.

    Returns:
        The fact that a question asks.

    Example:
        >>> fact_of("work0.density"), fact_of("loader.lift_at_500")
        ('work.density', 'loader.lift_at_pin')
    """
    head, _, tail = path.partition(".")
    if head.startswith("work") and head[4:].isdigit() and tail:
        return f"work.{tail}"
    return "loader.lift_at_pin" if path == "loader.lift_at_500" else path


def _asking(path: str) -> Asking:
    return _questions().get(fact_of(path), Asking("", (), 6.0, ""))


@cache
def _questions() -> dict[str, Asking]:
    return {row["fact"]: _read(row) for row in table("questions.csv")}


def _read(row: Mapping[str, str]) -> Asking:
    answers = tuple(row["answers"].split("|"))
    return Asking(row["question"], answers, float(row["burden"]), row["how"], float(row["accuracy"]))
