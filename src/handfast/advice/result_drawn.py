"""The part of the result that drawings are made from: axle loads, curves over height and heading, medians."""

from __future__ import annotations

from dataclasses import dataclass, field


@dataclass(frozen=True)
class Axles:
    """Axle loads in one pose, kg, medians."""

    pose: str  # loaded_furthest_bare, loaded_furthest, empty_raised, travelling, braking (shown only)
    title: str
    front: float
    rear: float
    rear_share: float


@dataclass(frozen=True)
class Curve:
    """Capacity at the load point over pin height: for the load chart."""

    height: tuple[float, ...]
    lift: tuple[float, ...]
    lift_p10: tuple[float, ...]
    lift_p90: tuple[float, ...]
    curl: tuple[float, ...] | None
    load: float | None  # kg asked for
    governs: tuple[str, ...]  # "lift", "curl" or "attachment" at each height


@dataclass(frozen=True)
class Geometry:
    """Medians that a side view draws, SI; tractor frame."""

    values: dict[str, float]
    interface: str
    jaw_floor: tuple[tuple[float, float], ...]
    jaw_lid: tuple[tuple[float, float], ...]
    lid_pivot: tuple[float, float] | None
    words: dict[str, str] = field(default_factory=dict)  # rops, work, lids, self_levelling: what picks the picture


@dataclass(frozen=True)
class SlopeCurve:
    """First roll over half a turn of headings in one pose, rad, medians; the other half is its mirror image."""

    pose: str  # travelling, needed_height, full_height
    title: str
    pin_height: float  # m
    headings: tuple[float, ...]  # turn of the nose from straight downhill, anticlockwise seen from above
    first_roll: tuple[float, ...]  # the limit
    to_the_stop: tuple[float, ...]  # where it goes over for good; shown beside, used by no check; empty if not known
    worst_heading: float
    worst: float
