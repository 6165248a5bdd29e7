"""What a circuit drawing shows, and where things stand on it."""

from __future__ import annotations

from dataclasses import dataclass

from handfast.drawings.svg import Point


@dataclass(frozen=True)
class Mark:
    """One piece of a line on the drawing: hose, coupler or fitting, its tag and what is written beside it."""

    kind: str  # hose, coupler, break
    tag: str
    note: str = ""


@dataclass(frozen=True)
class CircuitView:
    """What a circuit drawing shows; marks run from the valve to the lid.

    `feed`: row (added valve in the power-beyond line), own (a valve that the tractor has), diverter, pump (own pump).
    """

    feed: str
    centre: str  # open, closed
    valve: str
    worked_by: str  # solenoid, lever
    closing: tuple[Mark, ...]
    opening: tuple[Mark, ...]
    cylinders: int = 1
    closes_by_pushing: bool = True
    held: bool = False
    detent: bool = False
    relief: str = ""
    flow: str = ""
    beyond: str = "on to the hitch, then tank"
    supply_tags: tuple[str, ...] = ()
    figures: tuple[str, ...] = ()
    title: str = "Circuit of the lid"


@dataclass(frozen=True)
class Plan:
    """Places on a sheet, px: side of a valve box, both valves, where the lid ends and the supply stands."""

    width: float
    u: float
    valve: Point
    loader: Point
    lid_top: float
    foot: float
    small: bool
    diverts: bool = False

    @property
    def ports(self) -> tuple[float, float]:
        """Where lines A and B run up."""
        apart = 0.085 * self.width if not self.small else 0.09 * self.width
        return self.valve[0] - apart, self.valve[0] + apart
