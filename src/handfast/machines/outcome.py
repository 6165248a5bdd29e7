"""What became of an offer: fitted or returned and why, what was weighed on it, the hours that it took."""

from __future__ import annotations

from typing import Literal

from pydantic import model_validator

from handfast.machines.fields import UNKNOWN, Hours, Mass, Record

Became = Literal["fitted", "returned"]
Why = Literal[
    "too heavy", "does not hang on it", "lid does not work", "tips or feels light", "price", "changed mind", ""
]
MISFIT: tuple[str, ...] = ("too heavy", "does not hang on it", "lid does not work", "tips or feels light")


class Outcome(Record):
    """One offer after the sale."""

    became: Became
    why: Why = ""
    payload: Mass = UNKNOWN  # lifted to full height and weighed, attachment on
    hours: Hours = UNKNOWN  # that the fitting took
    made: str = ""
    notes: str = ""

    @model_validator(mode="after")
    def _has_a_reason(self) -> Outcome:
        """What was returned has a reason, what stayed has none."""
        if self.became == "returned" and not self.why:
            raise ValueError("it came back, and no reason is given; choose why")
        if self.became == "fitted" and self.why:
            raise ValueError(f"it stayed, so there is no reason for coming back, such as {self.why}")
        return self

    @property
    def held(self) -> bool | None:
        """Whether the verdict held; None where it came back for a reason that no check is about."""
        if self.became == "fitted":
            return True
        return False if self.why in MISFIT else None
