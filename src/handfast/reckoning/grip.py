"""`reckon grip`: what a jaw holds, how hard, and when it slips, from one file."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np

from handfast.machines.attachment import Attachment, Electrics, Hydraulics
from handfast.machines.attachment import Jaw as JawRecord
from handfast.machines.fields import (
    UNKNOWN,
    Contradiction,
    Density,
    Force,
    Length,
    Mass,
    Point,
    Pressure,
    Record,
    Share,
    Turn,
)
from handfast.machines.loader import Cylinder
from handfast.machines.reading import read_model
from handfast.physics import grip, jaw, load
from handfast.quantities.estimate import Estimate
from handfast.reckoning.needs import plain_number
from handfast.reckoning.ready import LENGTH, left_out

POINTS = "points [x, z], each two lengths"
STROKE_ROWS = 9


class Asked(Record):
    """Friction, what presses, and the tool angles at which the piece must hold."""

    friction: Share = UNKNOWN
    pressure: Pressure = UNKNOWN
    force: Force = UNKNOWN
    angles: tuple[Turn, ...] = (Estimate.known(0.0),)


class Piece(Record):
    """One round piece; with its mass, or density and length, its weight must hold too."""

    diameter: Length
    mass: Mass = UNKNOWN
    density: Density = UNKNOWN
    length: Length = UNKNOWN

    @property
    def weight(self) -> float:
        """Weight [N]; 0 where nothing tells it."""
        mass = self.mass.value
        if np.isnan(mass):
            mass = float(load.log_mass(self.diameter.value, self.length.value, self.density.value))
        return 0.0 if np.isnan(mass) else mass * grip.GRAVITY


class GripFile(Record):
    """The file of `reckon grip`."""

    attachment: Attachment
    grip: Asked
    piece: tuple[Piece, ...] = ()
    cylinder: Cylinder | None = None

    def contradictions(self) -> Iterator[Contradiction]:
        """What the chapter can't do without."""
        drawn = self.attachment.jaw
        if drawn is None:
            yield left_out("attachment.jaw", "a jaw: floor, lid, lid_pivot, cylinder_base, cylinder_rod")
        else:
            yield from _of_jaw(self, drawn)
        if self.grip.friction.is_unknown:
            yield left_out("grip.friction", "a share such as 0.4")
        yield from _of_force(self)
        for place, piece in enumerate(self.piece):
            if piece.diameter.is_unknown:
                yield left_out(f"piece[{place}].diameter", LENGTH)
        for place, angle in enumerate(self.grip.angles):
            if angle.is_unknown:
                yield left_out(f"grip.angles[{place}]", "an angle such as 20 deg")


def _of_jaw(file: GripFile, drawn: JawRecord) -> Iterator[Contradiction]:
    for name in ("floor", "lid"):
        line = getattr(drawn, name)
        if len(line) < 2 or any(point.x.is_unknown or point.z.is_unknown for point in line):
            yield left_out(f"attachment.jaw.{name}", f"two or more {POINTS}")
        elif any(a == b for a, b in zip(_line(line), _line(line)[1:], strict=False)):
            yield Contradiction(f"attachment.jaw.{name}", "the same point twice", f"different {POINTS}")
    lacking = False
    for name in ("lid_pivot", "cylinder_base", "cylinder_rod"):
        point = getattr(drawn, name)
        if point is None or point.x.is_unknown or point.z.is_unknown:
            lacking = True
            yield left_out(f"attachment.jaw.{name}", f"a point {POINTS[7:]}")
    short, long = _lengths(file, drawn)
    if np.isnan(short) or np.isnan(long):
        yield left_out("attachment.jaw.retracted", "retracted and extended, or one of them and hydraulics.stroke")
    elif not lacking:
        yield from _reach(drawn, short, long)


def _reach(drawn: JawRecord, short: float, long: float) -> Iterator[Contradiction]:
    pivot, base, rod = (np.array(_pair(p)) for p in (drawn.lid_pivot, drawn.cylinder_base, drawn.cylinder_rod))
    out, arm = float(np.hypot(*(base - pivot))), float(np.hypot(*(rod - pivot)))
    least, most = abs(out - arm), out + arm
    for name, length in (("retracted", short), ("extended", long)):
        if not least < length < most:
            expected = f"a length between {least:.4g} and {most:.4g} m, which these pins allow"
            yield Contradiction(f"attachment.jaw.{name}", f"{length:.4g} m", expected)


def _of_force(file: GripFile) -> Iterator[Contradiction]:
    if not file.grip.force.is_unknown or not _electrics(file).force.is_unknown:
        return
    if file.grip.pressure.is_unknown:
        yield left_out("grip.pressure", "a pressure such as 2400 psi, or grip.force")
    if _cylinder(file).bore.is_unknown:
        yield left_out("attachment.hydraulics.bore", LENGTH)


def _electrics(file: GripFile) -> Electrics:
    return file.attachment.electrics or Electrics()


def _cylinder(file: GripFile) -> Cylinder:
    """The lid's cylinder, from a table of its own or from the attachment's."""
    own, given = file.cylinder or Cylinder(), file.attachment.hydraulics or Hydraulics()
    return Cylinder(
        bore=given.bore if own.bore.is_unknown else own.bore,
        rod=given.rod if own.rod.is_unknown else own.rod,
        count=own.count or given.cylinders or 1,
        retracted=own.retracted,
        extended=own.extended,
    )


def _lengths(file: GripFile, drawn: JawRecord) -> tuple[float, float]:
    """Shortest and longest cylinder [m]."""
    own = _cylinder(file)
    short = drawn.retracted.value if own.retracted.is_unknown else own.retracted.value
    long = drawn.extended.value if own.extended.is_unknown else own.extended.value
    stroke = file.attachment.hydraulics.stroke.value if file.attachment.hydraulics else np.nan
    short, long = (long - stroke if np.isnan(short) else short), (short + stroke if np.isnan(long) else long)
    return short, long


def _pair(point: Point | None) -> tuple[float, float]:
    return (np.nan, np.nan) if point is None else (point.x.value, point.z.value)


def _line(points: tuple[Point, ...]) -> list[tuple[float, float]]:
    return [_pair(point) for point in points]


def jaw_of(drawn: JawRecord, retracted: float, extended: float) -> jaw.Jaw:
    """The plane figures of a jaw record.

    Args:
        drawn: the record, all points known.
        retracted: shortest cylinder, pin to pin [m].
        extended: longest cylinder [m].

    Returns:
        Jaw of physics.

    >>> points = {"floor": [[0, 0], [1, 0]], "lid": [[0, 1], [1, 1]], "lid_pivot": [0, 1]}
    >>> drawn = JawRecord(**points, cylinder_base=[0, 2], cylinder_rod=[0.5, 1], retracted=0.7, extended=1.2)
    >>> jaw_of(drawn, 0.7, 1.2).pivot.tolist()
    [0.0, 1.0]
    """
    pins = (_pair(drawn.lid_pivot), _pair(drawn.cylinder_base), _pair(drawn.cylinder_rod))
    return jaw.make_jaw(_line(drawn.floor), _line(drawn.lid), *pins, retracted, extended)


def forces(file: GripFile) -> tuple[float, float]:
    """Force of all lid cylinders or actuators together, pushing and pulling [N].

    Args:
        file: a file without faults.

    Returns:
        (push, pull) [N].

    >>> asked = Asked(friction=0.4, force=5000)
    >>> forces(GripFile(attachment=Attachment(), grip=asked))
    (5000.0, 5000.0)
    """
    given = file.grip.force if not file.grip.force.is_unknown else UNKNOWN
    if given.is_unknown and file.grip.pressure.is_unknown:
        given = _electrics(file).force
    if not given.is_unknown:
        return given.value, given.value
    own = _cylinder(file)
    rod = 0.0 if own.rod.is_unknown else own.rod.value
    push, pull = (
        float(grip.cylinder_force(file.grip.pressure.value, own.bore.value, rod, own.count or 1, way))
        for way in (True, False)
    )
    return push, pull


def reckon_grip(text: str, file: str = "grip.toml") -> dict[str, Any]:
    """Grip of a jaw on round pieces.

    Args:
        text: TOML text with attachment.jaw, its cylinder, grip and pieces.
        file: name of the file, for the faults.

    Returns:
        pieces, openings and the range of pieces that hold; SI, null where there is no figure.

    Raises:
        Faults: everything that is wrong with the file.
    """
    asked = read_model(GripFile, text, file)
    drawn = asked.attachment.jaw or JawRecord()
    made = jaw_of(drawn, *_lengths(asked, drawn))
    friction, (push, pull) = asked.grip.friction.value, forces(asked)
    turn = jaw.swing(made)
    small, large = grip.piece_range(made, friction, push, pull)
    return {
        "pieces": _pieces(asked, made, friction, (push, pull)),
        "opening_tip": float(jaw.tip_opening(made, turn.open)),
        "opening_throat": float(jaw.throat_opening(made)),
        "largest": plain_number(large),
        "smallest": plain_number(small),
        "closes_by": "extending" if grip.closes_by_extending(made, turn) else "retracting",
        "push": push,
        "pull": pull,
        "lids": asked.attachment.lids,
        "stroke": _stroke(made, turn, push, pull),
        "units": {"length": "m", "angle": "rad", "force": "N"},
    }


def _pieces(asked: GripFile, made: jaw.Jaw, friction: float, force: tuple[float, float]) -> list[dict[str, Any]]:
    angles = [angle.value for angle in asked.grip.angles] or [0.0]
    rows = []
    for piece in asked.piece:
        held = grip.grip(made, piece.diameter.value, friction, *force, piece.weight, angles)
        rows.append(
            {
                "diameter": piece.diameter.value,
                "holds": bool(held.holds),
                "lid_angle": plain_number(float(held.lid_angle)),
                "contact_force": plain_number(float(held.contact_force)),
                "slip_load": plain_number(float(held.slip_load)),
                "slip_along": plain_number(float(held.slip_along)),
                "weight": piece.weight or None,
                "why": str(held.reason),
            }
        )
    return rows


def _stroke(made: jaw.Jaw, turn: jaw.Swing, push: float, pull: float) -> list[dict[str, float]]:
    """Lid angle, tip opening and tip force along the stroke, shut to open."""
    angles = np.linspace(turn.shut, turn.open, STROKE_ROWS)
    lengths = jaw.lid_length(angles, made.pivot, made.base, made.rod)
    tips = jaw.tip_opening(made, angles)
    moments = grip.closing_moment(made, angles, push, pull, turn)
    reach = float(np.hypot(*(made.lid[-1] - made.pivot)))
    rows = zip(lengths, turn.way * angles, tips, moments / reach, strict=True)
    names = ("length", "lid_angle", "opening_tip", "tip_force")
    return [dict(zip(names, map(float, row), strict=True)) for row in rows]
