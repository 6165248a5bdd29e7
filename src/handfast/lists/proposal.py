"""What a list would do to the shelf, as plain records: tables, rows with their state, faults, questions."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from handfast.lists.headers import Match

STATES = ("add", "change", "same", "ask", "refuse", "pass")
LEAVE = "leave out"


@dataclass(frozen=True)
class Question:
    """What is asked once for a column or a sheet, and remembered for the supplier."""

    key: str
    words: str
    choices: tuple[str, ...]
    answer: str = ""


@dataclass(frozen=True)
class Why:
    """One cell's fault: where it stands as a spreadsheet names it, what was found, what is expected."""

    at: str
    found: str
    expected: str

    def __str__(self) -> str:
        """A sentence."""
        return f"{self.at}: {self.found}; expected {self.expected}"


@dataclass(frozen=True)
class Row:
    """What becomes of one row."""

    number: int
    state: str
    kind: str
    id: str
    record: Mapping[str, Any] = field(default_factory=dict)
    changes: tuple[tuple[str, str, str], ...] = ()  # place, before, after
    why: tuple[Why, ...] = ()


@dataclass(frozen=True)
class Table:
    """One table of a sheet: its columns, its rows."""

    sheet: str
    header_row: int
    kind: str
    columns: tuple[Match, ...]
    rows: tuple[Row, ...]


@dataclass(frozen=True)
class Proposal:
    """What a file would do."""

    tables: tuple[Table, ...]
    questions: tuple[Question, ...]
    notes: tuple[str, ...]

    def rows(self, *states: str) -> Iterator[Row]:
        """Rows in these states."""
        return (row for table in self.tables for row in table.rows if row.state in states)

    def counted(self) -> dict[str, int]:
        """How many rows are in each state."""
        found = dict.fromkeys(STATES, 0)
        for table in self.tables:
            for row in table.rows:
                found[row.state] += 1
        return found


@dataclass
class Asking:
    """The questions that came up so far, and the answers that were given before."""

    answers: Mapping[str, str]
    questions: dict[str, Question] = field(default_factory=dict)

    def put(self, key: str, words: str, choices: tuple[str, ...]) -> str:
        """Ask, once; the answer, or nothing where none was given."""
        answer = self.answers.get(key, "")
        answer = answer if answer in choices else ""
        self.questions.setdefault(key, Question(key, words, choices, answer))
        return answer

    def hidden(self, key: str, what: str) -> bool:
        """Whether something hidden is to be read."""
        return self.put(key, f"{what} hidden. Read it?", ("read", LEAVE)) == "read"
