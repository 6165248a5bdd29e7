"""What measurements settled, as the result hands it out."""

from __future__ import annotations

from dataclasses import dataclass

from handfast.advice.result_band import Band


@dataclass(frozen=True)
class Moved:
    """One figure before a measurement and after it."""

    figure: str
    title: str
    dimension: str
    before: Band | None  # None where nothing was known
    after: Band
    settled: bool  # whether its band shrank or moved by a tenth or more


@dataclass(frozen=True)
class Reading:
    """One measurement and what it settled."""

    what: str
    title: str
    who: str  # caller, workshop
    read: str  # as it was written
    by: str
    when: str
    state: str  # used, needless, conflict, too sharp, tells nothing
    settles: bool
    said: str  # a sentence
    way_out: str  # what to do about a contradiction, "" where there is none
    moved: tuple[Moved, ...]
    effective: float | None  # independent samples that the samples after it are worth


@dataclass(frozen=True)
class Margin:
    """What governs the leading outfit, with nothing measured and with everything."""

    outfit: str
    check: str
    title: str
    unit: str
    before: Band | None  # None where it could not be told
    after: Band
    held_before: float
    held_after: float


@dataclass(frozen=True)
class Measured:
    """Every measurement of an inquiry, and what they did to the leading outfit."""

    readings: tuple[Reading, ...]
    margin: Margin | None
