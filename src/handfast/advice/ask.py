"""What to ask next: what each unknown is worth for the choice, over the bother of asking it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np

from handfast.advice.rank import Losses
from handfast.advice.result import Question
from handfast.outfits.assess import Assessment
from handfast.outfits.draws import Draws
from handfast.quantities.arrays import Array
from handfast.quantities.tables import table

BINS = 16
MONEY_A_STEP = 4.0  # what one step of bother is worth to ask about (practice, editable)
WORK_FACTS = ("diameter", "length", "density", "mass")


@dataclass(frozen=True)
class Asking:
    """A question as the table has it."""

    question: str
    answers: tuple[str, ...]
    burden: float
    how: str


def worth(loss: Losses, draws: Draws) -> dict[str, float]:
    """Expected value of knowing each uncertain input, in money.

    Args:
        loss: of the acts in the samples.
        draws: with the inputs' columns.

    Returns:
        Money by path; 0 where it is no more than what unused dimensions show.

    Source: expected value of partial perfect information by equal bins; eight unused dimensions give the bias, their
    mean is subtracted and what is within two of their standard deviations is 0.

    Example:
        >>> worth(Losses(np.zeros((1, 1))), Draws({}, {}, (), np.zeros((1, 0)), 1))
        {}
    """
    if not draws.inputs:
        return {}
    noise = [partial(loss.acts, column) for column in draws.spare().T]
    bias, spread = float(np.mean(noise)), float(np.std(noise, ddof=1))
    perfect = float(loss.acts.mean(axis=1).min() - loss.acts.min(axis=0).mean())
    found = {}
    for one in draws.inputs:
        value = partial(loss.acts, draws.uniforms[:, one.column]) - bias
        found[one.path] = 0.0 if value <= 2.0 * spread else min(value, perfect)
    return found


def partial(acts: Array, u: Array) -> float:
    """Value of knowing one uniform input before choosing an act.

    Args:
        acts: loss (acts, samples).
        u: uniform samples of the input (samples,).

    Returns:
        Money, at least 0.

    Source: E[max over acts of E[−loss | x]] − max over acts of E[−loss], x in equal bins.

    Example:
        >>> u = (np.arange(64) + 0.5) / 64
        >>> round(partial(np.array([np.where(u < 0.5, 0.0, 10.0), np.full(64, 5.0)]), u), 6)
        2.5
    """
    order = np.argsort(u, kind="stable")
    bins = acts[:, order].reshape(len(acts), BINS, -1).mean(axis=2)
    return float(acts.mean(axis=1).min() - bins.min(axis=0).mean())


def ask_next(
    values: dict[str, float], open_facts: Sequence[str], final: Assessment | None, row: int
) -> tuple[Question, ...]:
    """Questions in the order in which they pay, the facts that nobody can reckon without after them.

    Args:
        values: of `worth`.
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
