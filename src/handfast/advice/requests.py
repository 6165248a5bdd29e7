"""What a caller is sent to find out: at most three requests, a photo first, "can't" as good as any answer."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from handfast.advice.result import Question
from handfast.quantities.tables import table

MOST = 3
CANNOT = ("can't", "not given", "never", "no plate")  # how an answer begins that says it can't be found out
READ = (
    "read ",
    "say it",
    "name it",
    "yes: how",
)  # how an answer begins that stands for a figure or a name to be written
MEASURED = ("tape", "scale", "level", "ticket")  # words of a request whose answer was measured, not remembered
FIRST = "Bucket down, engine off, key out and brake on before you walk round it; nobody under raised arms."


@dataclass(frozen=True)
class Request:
    """One thing to find out: its number, the fact, the words, what can be chosen, whether something is written."""

    number: int
    fact: str
    question: str
    how: str
    options: tuple[str, ...]
    written: bool
    cannot: str
    photo: bool


def is_measured(fact: str) -> bool:
    """Whether an answer about a fact is measured, not remembered.

    Args:
        fact: as `questions.csv` names it.

    Returns:
        True where the question sends the caller to a tape, a scale or a level.

    Example:
        >>> is_measured("wheelbase"), is_measured("quick_attach")
        (True, False)
    """
    rows = (row for row in table("questions.csv") if row["fact"] == fact)
    return any(word in f"{row['question']} {row['how']}".casefold() for row in rows for word in MEASURED)


def requests_of(questions: Sequence[Question]) -> tuple[Request, ...]:
    """The first three questions as requests, those that a photo answers first.

    Args:
        questions: in the order in which they pay.

    Returns:
        At most three.

    Example:
        >>> gate = Question("site.gate", "Is there a gate?", ("No", "Yes: how", "Can't say"), 90.0, 2.0, "", "Tape it.")
        >>> one = requests_of([gate])[0]
        >>> one.options, one.written, one.cannot
        (('No',), True, "Can't say")
    """
    chosen = sorted(questions[:MOST], key=lambda one: not _by_photo(one))
    return tuple(_request(number, one) for number, one in enumerate(chosen, 1))


def _by_photo(question: Question) -> bool:
    return any("photo" in answer.casefold() for answer in question.answers)


def _request(number: int, question: Question) -> Request:
    plain = [answer for answer in question.answers if not answer.casefold().startswith((*CANNOT, *READ))]
    cannot = [answer for answer in question.answers if answer.casefold().startswith(CANNOT)]
    return Request(
        number,
        question.fact,
        question.question,
        question.how,
        tuple(plain),
        len(plain) < len(question.answers) - len(cannot) or not plain,
        cannot[0] if cannot else "Can't say",
        _by_photo(question),
    )
