"""What is wrong with what was given: each fault with its place, what was found, what is expected."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

NO_ENTRY = "no such entry"


@dataclass(frozen=True, slots=True)
class Fault:
    """One fault; line 0 where there are no lines."""

    file: str
    line: int
    place: str
    found: str
    expected: str

    def __str__(self) -> str:
        """One sentence: where, what was found, what is expected."""
        where = f"Line {self.line}" if self.line else ""
        start = ", ".join(part for part in (where, self.place) if part)
        if self.found.startswith(NO_ENTRY):
            return f"{start}: {self.found}. {self.expected}"
        said = f"{start}: " if start else ""
        return f"{said}found {self.found}; expected {self.expected}{'' if self.expected.endswith('?') else '.'}"

    def plain(self) -> dict[str, str | int]:
        """The fault as JSON gives it."""
        names = ("file", "line", "place", "found", "expected")
        return {**{name: getattr(self, name) for name in names}, "sentence": str(self)}


class Faults(Exception):  # noqa: N818 - it carries many
    """Everything that is wrong with one input, in the order of its lines."""

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults: list[Fault] = sorted(faults, key=lambda fault: (fault.file, fault.line, fault.place))
        super().__init__("\n".join(f"{fault.file}: {fault}" for fault in self.faults))
