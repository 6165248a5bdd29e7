"""What became of offers, at rest."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import Connection, insert, select

from handfast.machines.outcome import Outcome
from handfast.store.change_rows import note_change, now
from handfast.store.shelf_records import record_json
from handfast.store.tables import outcomes


@dataclass(frozen=True)
class OutcomeRow:
    """What became of one offer as it rests; the newest of a quote counts."""

    number: int
    quote: int
    record: str
    created: str

    @property
    def outcome(self) -> Outcome:
        """The record itself."""
        return Outcome.model_validate_json(self.record)


def add_outcome(connection: Connection, quote: int, outcome: Outcome, who: str) -> int:
    """Keep what became of an offer; what was said before stays readable."""
    row = {"quote": quote, "record": record_json(outcome), "created": now()}
    key = connection.execute(insert(outcomes).values(row)).inserted_primary_key
    assert key is not None
    note_change(connection, who, "outcomes", str(key[0]), None, str(row["record"]))
    return int(key[0])


def outcome_rows(connection: Connection) -> list[OutcomeRow]:
    """What became of each offer that was heard of, newest first, one a quote."""
    newest: dict[int, OutcomeRow] = {}
    for row in connection.execute(select(outcomes).order_by(outcomes.c.number.desc())):
        newest.setdefault(row.quote, OutcomeRow(*row))
    return list(newest.values())
