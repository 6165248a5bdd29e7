"""A fact found in a letter."""

from __future__ import annotations

from dataclasses import dataclass, replace

Value = float | int | str | bool


@dataclass(frozen=True)
class Found:
    """One fact: its place in the record, its value, where the text says it, how sure, by which rule."""

    place: str
    value: Value  # SI for a quantity
    entry: str | int | bool  # as it goes into the record
    start: int
    end: int
    sure: bool
    why: str
    conflict: bool = False

    @property
    def certainty(self) -> str:
        """The word for how sure it is."""
        return "sure" if self.sure else "about"

    def shifted(self, by: int) -> Found:
        """The same fact in a text that begins elsewhere."""
        return replace(self, start=self.start + by, end=self.end + by)
