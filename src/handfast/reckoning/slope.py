"""`reckon slope`: the slope at which a machine first rolls, at the headings asked for and at the worst."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, ClassVar

import numpy as np
from pydantic import model_validator
from pydantic_core import PydanticCustomError

from handfast.machines.fields import UNKNOWN, Angle, Contradiction, Coordinate, Length, Mass, Record, Speed, Turn
from handfast.machines.reading import read_model
from handfast.physics import slope, swing
from handfast.quantities.estimate import Estimate
from handfast.reckoning.ready import LENGTH, MASS, left_out, number


class SpacePoint(Record):
    """A point in space, written `[x, y, z]`: forward, left, up; `[x, z]` stands in the middle."""

    written_also: ClassVar[tuple[dict[str, Any], ...]] = (
        {
            "type": "array",
            "minItems": 2,
            "maxItems": 3,
            "items": {"anyOf": [{"type": "number"}, {"type": "string"}, {"x-quantity": True}]},
        },
    )

    x: Coordinate
    y: Coordinate = Estimate.known(0.0)
    z: Coordinate

    @model_validator(mode="before")
    @classmethod
    def _from_list(cls, given: Any) -> Any:
        """Read `[x, y, z]`."""
        if isinstance(given, Mapping | SpacePoint):
            return given
        if isinstance(given, list | tuple) and len(given) in (2, 3):
            return dict(zip("xyz" if len(given) == 3 else "xz", given, strict=True))
        found = f"a list of {len(given)}" if isinstance(given, list | tuple) else f'"{given}"'
        words = {"found": found, "expected": "a point [x, y, z], three lengths"}
        raise PydanticCustomError("quantity", "{found}; {expected}", words)


class BodyTable(Record):
    """The machine without its front axle, and the ground it stands on."""

    mass: Mass
    cg: SpacePoint
    wheelbase: Length
    rear_track: Length
    front_pivot_height: Length
    front_track: Length = UNKNOWN
    front_axle_swing: Angle = UNKNOWN


class AxleTable(Record):
    """The front axle with its wheels."""

    mass: Mass
    cg: SpacePoint
    front_track: Length = UNKNOWN


class Asked(Record):
    """Headings, and a turn if there is one."""

    headings: tuple[Turn, ...] = ()
    speed: Speed = UNKNOWN
    radius: Length = UNKNOWN


class SlopeFile(Record):
    """The file of `reckon slope`."""

    body: BodyTable
    axle: AxleTable | None = None
    front_track: Length = UNKNOWN
    slope: Asked = Asked()

    def contradictions(self) -> Iterator[Contradiction]:
        """What the chapter can't do without."""
        for place in ("wheelbase", "rear_track", "front_pivot_height"):
            if getattr(self.body, place).is_unknown:
                yield left_out(f"body.{place}", LENGTH)
        for name, table in (("body", self.body), ("axle", self.axle)):
            if table is not None and table.mass.is_unknown:
                yield left_out(f"{name}.mass", MASS)
            if table is not None and any(v.is_unknown for v in (table.cg.x, table.cg.y, table.cg.z)):
                yield left_out(f"{name}.cg", "a point [x, y, z], three lengths")
        for index, heading in enumerate(self.slope.headings):
            if heading.is_unknown:
                yield left_out(f"slope.headings[{index}]", "an angle such as 90 deg")

    @property
    def track(self) -> float:
        """Front track, from wherever it was given."""
        given = (self.body.front_track, self.front_track, self.axle.front_track if self.axle else UNKNOWN)
        return next((e.value for e in given if not e.is_unknown), float("nan"))


def _body(table: BodyTable | AxleTable) -> slope.Body:
    cg = table.cg
    return slope.combine([table.mass.value], [cg.x.value], [cg.y.value], [cg.z.value])


def _both(one: slope.Body, other: slope.Body) -> slope.Body:
    pairs = zip(one, other, strict=True)
    mass, x, y, z = ([a, b] for a, b in pairs)
    return slope.combine(mass, x, y, z)


def _percent(angle: float) -> float | None:
    """A slope in per cent; None where it never tips."""
    return 100.0 * float(np.tan(angle)) if angle < 0.5 * np.pi - 1e-9 else None


def _tip(heading: float, asked: SlopeFile, body: slope.Body, axle: slope.Body | None) -> dict[str, Any]:
    """The answer at one heading."""
    ground = asked.body
    sizes = (ground.wheelbase.value, ground.rear_track.value, ground.front_pivot_height.value)
    lines = slope.first_roll(heading, body, *sizes, None if axle is None else _both(body, axle))
    angle = float(lines.least)
    tip: dict[str, Any] = {"heading": heading, "angle": angle, "percent": _percent(angle)}
    tip["governs"] = min(lines._fields, key=lambda name: float(np.nan_to_num(getattr(lines, name), nan=np.inf)))
    tip["front_line"] = number(lines.front)
    play, track = ground.front_axle_swing.value, asked.track
    if axle is not None and not np.isnan(play + track):
        tip["second_phase"] = float(swing.second_phase(heading, body, axle, sizes[0], sizes[1], track, sizes[2], play))
    if not np.isnan(asked.slope.speed.value + asked.slope.radius.value):
        tip["turning"] = float(slope.turning(angle, asked.slope.speed.value, asked.slope.radius.value))
    return tip


def reckon_slope(text: str, file: str = "slope.toml") -> dict[str, Any]:
    """Slope at which a machine first rolls.

    Args:
        text: TOML text with body, axle and slope.
        file: name of the file, for the faults.

    Returns:
        tips, one of heading and angle [rad] for each heading asked for; worst over all headings; front_line, the
        worst angle about the front wheels' contact line, null without the front axle; side and rear lines likewise.

    Raises:
        Faults: everything that is wrong with the text.

    >>> text = '''[body]
    ... mass = "1000 kg"
    ... cg = ["0.8 m", 0, "0.7 m"]
    ... wheelbase = "1.6 m"
    ... rear_track = "1.2 m"
    ... front_pivot_height = "0.4 m"
    ... [slope]
    ... headings = ["90 deg"]'''
    >>> got = reckon_slope(text)
    >>> round(got["tips"][0]["angle"], 6), round(got["worst"]["angle"], 6), got["front_line"]
    (0.54042, 0.52959, None)
    """
    asked = read_model(SlopeFile, text, file)
    body, axle = _body(asked.body), None if asked.axle is None else _body(asked.axle)
    whole = None if axle is None else _both(body, axle)
    ground = asked.body
    sizes = (ground.wheelbase.value, ground.rear_track.value, ground.front_pivot_height.value)
    lines = slope.worst_first_roll(body, *sizes, whole)
    heading, angle = (float(v) for v in slope.worst_heading(body, *sizes, whole))
    return {
        "tips": [_tip(each.value, asked, body, axle) for each in asked.slope.headings],
        "worst": {"heading": heading, "angle": angle, "percent": _percent(angle)},
        "front_line": number(lines.front),
        "side_lines": {"right": float(lines.right), "left": float(lines.left)},
        "rear_line": float(lines.rear),
        "units": {"heading": "rad", "angle": "rad", "percent": "%"},
    }
