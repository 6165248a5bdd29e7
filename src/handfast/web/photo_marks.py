"""The marks of a side photo: what each is called, what a form says of them, how they are drawn over the photo."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from handfast.machines.faults import Fault, Faults
from handfast.quantities.amounts import QuantityError
from handfast.quantities.estimate import Estimate
from handfast.quantities.reading import read_quantity
from handfast.reckoning.from_photo import BELLCRANK, DRAWING, FRAME, LEVELLING, Camera, Found, Sighting
from handfast.reckoning.lift import ALWAYS
from handfast.store.photo_rows import PhotoRow

NAMES = {
    "ground_rear": ("Ground at the rear wheel", "where the rear tire stands"),
    "ground_front": ("Ground at the front wheel", "where the front tire stands; it also says which way is forward"),
    "rear_axle": ("Middle of the rear axle", "the hub of the rear wheel"),
    "scale_a": ("Known distance, one end", "for example the middle of the rear hub"),
    "scale_b": ("Known distance, other end", "for example the middle of the front hub"),
    "arm_pivot": ("Arm pivot", "the pin that the arms turn on, up at the post"),
    "lift_base": ("Lift cylinder, base pin", "where it is held at the post"),
    "lift_rod": ("Lift cylinder, rod pin", "where its rod holds the arms"),
    "tool_pivot": ("Quick attach pin", "the pin that the quick attach or bucket turns on"),
    "tilt_base": ("Tilt cylinder, base pin", "where its tube is held"),
    "tilt_rod": ("Tilt cylinder, rod pin", "where its rod holds the quick attach or the bellcrank"),
    "bellcrank_pivot": ("Bellcrank pivot", "the pin on the arms that the bellcrank turns on"),
    "link_bellcrank": ("Link, bellcrank end", "where the link hangs on the bellcrank"),
    "link_tool": ("Link, quick attach end", "where the link holds the quick attach"),
    "level_chassis": ("Levelling rod, post end", "where it is held at the post"),
    "level_rod": ("Levelling rod, lever end", "where it holds the lever on the arms"),
    "lever_pivot": ("Lever pivot", "the pin on the arms that the lever turns on"),
}
GROUPS = (
    ("The photo", FRAME),
    ("Pins of every loader", ALWAYS),
    ("Where there is a bellcrank", BELLCRANK),
    ("Where the loader levels itself", LEVELLING),
)
LINES = (
    ("ground", "ground_rear", "ground_front"),
    ("scale", "scale_a", "scale_b"),
    ("arm", "arm_pivot", "tool_pivot"),
    ("rod", "arm_pivot", "lift_rod"),
    ("cylinder", "lift_base", "lift_rod"),
    ("cylinder", "tilt_base", "tilt_rod"),
    ("rod", "tilt_rod", "bellcrank_pivot"),
    ("rod", "bellcrank_pivot", "link_bellcrank"),
    ("rod", "link_bellcrank", "link_tool"),
    ("rod", "link_tool", "tool_pivot"),
    ("rod", "level_chassis", "level_rod"),
    ("rod", "level_rod", "lever_pivot"),
    ("rod", "lever_pivot", "tilt_base"),
)
START = {
    "what": "photo",
    "known": "",
    "marking": "",
    "away": "26 ft",
    "out_of_plane": "4 in",
    "askew": "3",
}


@dataclass(frozen=True)
class Mark:
    """One mark as it is drawn and listed."""

    name: str
    number: int
    title: str
    hint: str
    x: str
    y: str
    across: float = 0.0  # px, half-width
    up: float = 0.0

    @property
    def placed(self) -> bool:
        """Whether it has a place."""
        return _number(self.x) is not None and _number(self.y) is not None


def _number(text: str) -> float | None:
    try:
        value = float(text.strip().replace(",", "."))
    except ValueError:
        return None
    return value if np.isfinite(value) else None


def fields_of(given: Mapping[str, str], row: PhotoRow) -> dict[str, str]:
    """What the form shows: as given, or as it starts for this photo."""
    start = {**START, "marking": f"{max(2.0, row.width / 600):.0f}"}
    named = {f"{name}-{side}": "" for name in NAMES for side in "xy"}
    return {**start, **named, **{key: text[:80] for key, text in given.items() if key in start or key in named}}


def marks_of(fields: Mapping[str, str], found: Found | None = None) -> list[tuple[str, list[Mark]]]:
    """The marks in their groups, numbered, with the half-widths of pins that were found."""
    halves = {}
    if found is not None:
        across, up = found.half_widths()
        halves = {name: (across[i] / found.scale, up[i] / found.scale) for i, name in enumerate(found.names)}
    number = {name: i + 1 for i, name in enumerate(NAMES)}
    return [
        (
            title,
            [
                Mark(
                    name, number[name], *NAMES[name], fields[f"{name}-x"], fields[f"{name}-y"],
                    *halves.get(name, (0.0, 0.0)),
                )
                for name in names
            ],
        )
        for title, names in GROUPS
    ]  # fmt: skip


def sighting_of(fields: Mapping[str, str], row: PhotoRow) -> Sighting:
    """What a form says as a sighting. Raises Faults where a figure can't be read."""
    faults: list[Fault] = []
    marks: dict[str, tuple[float, float]] = {}
    for name in NAMES:
        x, y = (fields[f"{name}-{side}"].strip() for side in "xy")
        right, down = _number(x), _number(y)
        if right is not None and down is not None:
            marks[name] = (right, down)
        elif x or y:
            faults.append(Fault("photo", 0, name, f'"{x}, {y}"', "two numbers of pixels"))
    known = _length(fields, "known", faults) if fields["known"].strip() else Estimate.unknown()
    marking = _bounded(fields, "marking", 0.1, 200.0, "pixels", faults)
    camera = DRAWING if fields["what"] == "drawing" else _camera(fields, faults)
    if faults:
        raise Faults(faults)
    return Sighting(_kind(marks), (row.width, row.height), marks, known, marking, camera)


def _kind(marks: Mapping[str, object]) -> str:
    """The kind of linkage whose pins are begun."""
    words = [
        name
        for name, group in (("levelling", LEVELLING), ("bellcrank", BELLCRANK))
        if any(one in marks for one in group)
    ]
    return "_".join(words) or "direct"


def _camera(fields: Mapping[str, str], faults: list[Fault]) -> Camera:
    away, apart = (_length(fields, name, faults).value for name in ("away", "out_of_plane"))
    askew = _bounded(fields, "askew", 0.0, 20.0, "degrees", faults)
    if away < 1.0:
        faults.append(Fault("photo", 0, "away", fields["away"], "3 ft or more"))
    if apart < 0 or apart > 2:
        faults.append(Fault("photo", 0, "out_of_plane", fields["out_of_plane"], "0 to 6 ft"))
    return Camera(away, apart, float(np.radians(askew)))


def _length(fields: Mapping[str, str], name: str, faults: list[Fault]) -> Estimate:
    try:
        return read_quantity(fields[name], "length")
    except QuantityError as error:
        faults.append(Fault("photo", 0, name, error.found, error.expected))
        return Estimate.known(1.0)


def _bounded(fields: Mapping[str, str], name: str, least: float, most: float, unit: str, faults: list[Fault]) -> float:
    value = _number(fields[name])
    if value is None or not least <= value <= most:
        faults.append(Fault("photo", 0, name, f'"{fields[name]}"', f"{least:g} to {most:g} {unit}"))
        return least
    return value
