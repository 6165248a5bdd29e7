"""A loader's pins from marks on a side photo: where they are in the tractor frame, and how well that is known."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from handfast.machines.faults import Fault, Faults
from handfast.machines.fields import Point
from handfast.machines.loader import Linkage, Pins
from handfast.quantities.arrays import Array
from handfast.quantities.estimate import HALF_WIDTH_SDS, Estimate
from handfast.reckoning.lift import ALWAYS, TOGETHER

FRAME = ("ground_rear", "ground_front", "rear_axle", "scale_a", "scale_b")
BELLCRANK, LEVELLING = TOGETHER
KINDS = {
    "direct": ALWAYS,
    "bellcrank": (*ALWAYS, *BELLCRANK),
    "levelling": (*ALWAYS, *LEVELLING),
    "levelling_bellcrank": (*ALWAYS, *BELLCRANK, *LEVELLING),
}
DRAWS, SEED = 1024, 6
NEAREST = 20.0  # px between two marks that give a direction or a scale
SOURCES = ("marking", "scale", "camera")
Flat = np.ndarray[tuple[int, ...], np.dtype[np.complex128]]


@dataclass(frozen=True)
class Camera:
    """How the photo was taken, each as a half-width or a distance; nothing of it for a drawing."""

    away: float = 8.0  # m from the lens to the tractor
    out_of_plane: float = 0.1  # m: marks nearer to or further from the lens than the known distance
    askew: float = float(np.radians(3.0))  # rad: how far from square to the tractor the lens may look


DRAWING = Camera(np.inf, 0.0, 0.0)


@dataclass(frozen=True)
class Sighting:
    """Marks on a photo in pixels from its left upper corner, what is known of them, and how they were made."""

    kind: str
    size: tuple[int, int]  # px
    marks: Mapping[str, tuple[float, float]]  # px right, px down
    known: Estimate  # m between scale_a and scale_b
    marking: float = 2.0  # px, half-width of each mark each way
    camera: Camera = Camera()

    @property
    def names(self) -> tuple[str, ...]:
        """Every mark that is needed."""
        return (*FRAME, *KINDS[self.kind])


class Found(NamedTuple):
    """Pins in the tractor frame, x + iz [m]: as marked, their draws (DRAWS, pins), and metres in a pixel."""

    names: tuple[str, ...]
    places: Flat
    drawn: Flat
    scale: float

    def half_widths(self) -> tuple[Array, Array]:
        """Half-widths of x and z of each pin [m]."""
        return HALF_WIDTH_SDS * self.drawn.real.std(axis=0), HALF_WIDTH_SDS * self.drawn.imag.std(axis=0)


def gaps(seen: Sighting) -> Iterator[Fault]:
    """What keeps marks from being a linkage: marks that are missing, outside, or on one another.

    Args:
        seen: the marks.

    Returns:
        A fault for each.

    >>> [fault.place for fault in gaps(Sighting("direct", (900, 600), {}, Estimate.known(2.0)))][:2]
    ['ground_rear', 'ground_front']
    """
    wide, high = seen.size
    for name in seen.names:
        if name not in seen.marks:
            yield Fault("photo", 0, name, "no mark", "a point on the photo")
        elif not (0 <= seen.marks[name][0] <= wide and 0 <= seen.marks[name][1] <= high):
            at = "{:.0f}, {:.0f}".format(*seen.marks[name])
            yield Fault("photo", 0, name, at, f"a point on the photo, up to {wide}, {high}")
    for one, other in (("ground_rear", "ground_front"), ("scale_a", "scale_b"), ("arm_pivot", "tool_pivot")):
        if one in seen.marks and other in seen.marks:
            apart = float(np.abs(_flat(seen.marks[one]) - _flat(seen.marks[other])))
            if apart < NEAREST:
                yield Fault("photo", 0, other, f"{apart:.0f} px from {one}", f"{NEAREST:.0f} px or more between them")
    if seen.known.is_unknown or seen.known.least <= 0:
        yield Fault("photo", 0, "known", "no length", "the distance between the two scale marks, such as 62 in")


def _flat(mark: tuple[float, float]) -> complex:
    """Pixels right and up."""
    return complex(mark[0], -mark[1])


def pins_on(seen: Sighting, sources: tuple[str, ...] = SOURCES) -> Found:
    """The pins that marks stand for, drawn again and again within what may be wrong with them.

    Args:
        seen: the marks.
        sources: which errors are drawn: marking, scale, camera.

    Returns:
        `Found`.

    Raises:
        Faults: marks are missing or can't be.

    Source:
        A pinhole camera askew by two small angles, its marks out of the plane; errors as independent normals.

    >>> marks = {"ground_rear": (100, 500), "ground_front": (700, 500), "rear_axle": (100, 400), "scale_a": (100, 500),
    ...     "scale_b": (700, 500), "arm_pivot": (400, 200), "lift_base": (380, 380), "lift_rod": (500, 260),
    ...     "tool_pivot": (800, 450), "tilt_base": (600, 250), "tilt_rod": (790, 400)}
    >>> found = pins_on(Sighting("direct", (900, 600), marks, Estimate.known(3.0), 2.0, DRAWING))
    >>> found.places.round(3)[0], round(found.scale, 4)
    (np.complex128(1.5+1.5j), 0.005)
    """
    wrong = list(gaps(seen))
    if wrong:
        raise Faults(wrong)
    flat = np.array([_flat(seen.marks[name]) for name in seen.names])
    middle = complex(seen.size[0] / 2, -seen.size[1] / 2)
    exact = _placed(flat, seen.known.value, seen)
    scale = seen.known.value / float(np.abs(flat[FRAME.index("scale_b")] - flat[FRAME.index("scale_a")]))
    chance = np.random.default_rng(SEED)
    noise = chance.standard_normal((DRAWS, len(flat), 3))
    shared = chance.standard_normal((DRAWS, 2))
    known = np.full((DRAWS, 1), seen.known.value)
    drawn = np.broadcast_to(flat, (DRAWS, len(flat)))
    if "marking" in sources:
        drawn = drawn + seen.marking / HALF_WIDTH_SDS * (noise[..., 0] + 1j * noise[..., 1])
    if "camera" in sources:
        drawn = middle + _straightened((drawn - middle) * scale, seen.camera, noise[..., 2], shared) / scale
    if "scale" in sources:
        known = seen.known.draw(chance.uniform(size=(DRAWS, 1)))
    return Found(KINDS[seen.kind], exact[len(FRAME) :], _placed(drawn, known, seen)[:, len(FRAME) :], scale)


def _placed(flat: Flat, known: Array | float, seen: Sighting) -> Flat:
    """Marks in the tractor frame: the ground line is level, forward is towards the front wheel's mark."""
    rear, front, axle, one, other = (flat[..., i : i + 1] for i in range(len(FRAME)))
    along = (front - rear) / np.abs(front - rear)
    side = 1.0 if _flat(seen.marks["ground_front"]).real >= _flat(seen.marks["ground_rear"]).real else -1.0
    scale = known / np.abs(other - one)
    turned = (flat - rear) * along.conj()
    behind = ((axle - rear) * along.conj()).real
    return np.asarray(scale * ((turned.real - behind) + 1j * side * turned.imag))


def _straightened(seen: Flat, camera: Camera, depth: Array, shared: Array) -> Flat:
    """Places in the plane of the known distance from places on the photo [m], the camera's errors drawn."""
    nearer = 1.0 - depth * camera.out_of_plane / HALF_WIDTH_SDS / camera.away
    yaw, pitch = (shared[:, [i]] * camera.askew / HALF_WIDTH_SDS for i in (0, 1))
    right, up = seen.real * nearer, seen.imag * nearer
    slant = np.cos(yaw) * np.cos(pitch)
    away = 1.0 - (right * np.sin(yaw) + up * np.sin(pitch)) / camera.away / slant
    return np.asarray(right / np.cos(yaw) / away + 1j * up / np.cos(pitch) / away)


def pins_record(found: Found) -> Pins:
    """The pins as a machine's record keeps them: measured, each with its half-width.

    Args:
        found: from `pins_on`.

    Returns:
        `Pins` [m].

    >>> one = Found(("arm_pivot",), np.array([1 + 1j]), np.array([[1 + 1j], [1.002 + 1j]]), 0.005)
    >>> pins_record(one).arm_pivot.x.origin
    'measured'
    """
    across, up = found.half_widths()
    points = {
        name: Point(x=_about(place.real, across[i]), z=_about(place.imag, up[i]))
        for i, (name, place) in enumerate(zip(found.names, found.places, strict=True))
    }
    return Pins(**points)


def _about(value: float, half_width: float) -> Estimate:
    return Estimate.about(round(float(value), 4), round(float(half_width), 4), "measured")


def linkage_from(found: Found, before: Linkage | None) -> Linkage:
    """A machine's linkage with its pins from a photo; cylinders and arms stay as they were.

    Args:
        found: from `pins_on`.
        before: the linkage on record.

    Returns:
        `Linkage`.

    >>> one = Found(("arm_pivot",), np.array([1 + 1j]), np.array([[1 + 1j], [1.002 + 1j]]), 0.005)
    >>> linkage_from(one, None).pins.lift_base is None
    True
    """
    return (before or Linkage()).model_copy(update={"pins": pins_record(found)})


def halves_by_source(seen: Sighting) -> dict[str, float]:
    """How far the tool pin may be off for each source of error alone.

    Args:
        seen: the marks.

    Returns:
        Source → half-width of the pin's place, the larger of x and z [m].

    Raises:
        Faults: as `pins_on`.
    """
    at = KINDS[seen.kind].index("tool_pivot")
    return {name: max(float(half[at]) for half in pins_on(seen, (name,)).half_widths()) for name in SOURCES}
