"""Pins and lift from marks on a photo, held against known loaders seen through a pinhole camera."""

from __future__ import annotations

import numpy as np
import pytest

from handfast.machines.faults import Faults
from handfast.machines.shelf_files import demo_shelf
from handfast.quantities.estimate import Estimate
from handfast.reckoning.from_photo import DRAWING, FRAME, KINDS, Camera, Sighting, halves_by_source, pins_on
from handfast.reckoning.lift import linkage_of
from handfast.reckoning.photo_lift import lift_gaps, photo_lift

SIZE = (1600, 1200)
TRIALS = 200
MACHINES = {"thimble-24": "direct", "hamper-42": "bellcrank"}


def truth(key: str) -> dict[str, complex]:
    """Every mark of a demonstration machine in the tractor frame [m]."""
    pins = linkage_of(demo_shelf().machines[key]).points._asdict()
    frame = {"ground_rear": 0.0 + 0j, "ground_front": 1.6 + 0j, "rear_axle": 0.5j, "scale_a": 0.0j, "scale_b": 1.6 + 0j}
    return frame | {name: complex(pins[name]) for name in KINDS[MACHINES[key]]}


def camera_turn(yaw: float, pitch: float) -> np.ndarray:
    """Rotation of the camera: columns right, up, ahead."""
    y = np.array([[np.cos(yaw), 0, np.sin(yaw)], [0, 1, 0], [-np.sin(yaw), 0, np.cos(yaw)]])
    p = np.array([[1, 0, 0], [0, np.cos(pitch), -np.sin(pitch)], [0, np.sin(pitch), np.cos(pitch)]])
    return y @ p


def snapped(places: dict[str, complex], camera: Camera, marking: float, chance, mirrored: bool = False) -> dict:
    """Marks on a photo through a pinhole: points in space, a camera turned about itself, each mark a little off."""
    focal = 420.0 * camera.away  # so that a metre in the plane is 420 px
    yaw, pitch = chance.normal(0, camera.askew / 1.96, 2)
    turn = camera_turn(yaw, pitch)
    at = {}
    for name, place in places.items():
        depth = chance.normal(0, camera.out_of_plane / 1.96)
        flat = np.array([place.real - 1.3, place.imag - 1.0, -depth])
        # the camera keeps the tractor's middle in view: it stands where its axis meets it at that distance
        inside = turn.T @ flat + np.array([0, 0, camera.away])
        right, up = focal * inside[:2] / inside[2]
        right, up = np.array([right, up]) + chance.normal(0, marking / 1.96, 2)
        at[name] = ((-right if mirrored else right) + SIZE[0] / 2, SIZE[1] / 2 - up)
    return at


def sighting(key: str, camera: Camera, known: Estimate, chance, mirrored: bool = False) -> Sighting:
    marks = snapped(truth(key), camera, 2.0, chance, mirrored)
    return Sighting(MACHINES[key], SIZE, marks, known, 2.0, camera)


@pytest.mark.parametrize("key", MACHINES)
@pytest.mark.parametrize("camera", [Camera(), Camera(5.0, 0.15, np.radians(5)), Camera(1e6, 0.0, 0.0)])
def test_pins_and_lift_are_within_what_is_stated_nine_times_in_ten(key: str, camera: Camera) -> None:
    chance = np.random.default_rng(20)
    machine = demo_shelf().machines[key]
    places = np.array([truth(key)[name] for name in KINDS[MACHINES[key]]])
    exact = pins_on(Sighting(MACHINES[key], SIZE, flat_marks(key), Estimate.known(1.6), 2.0, DRAWING))
    assert np.abs(exact.places - places).max() < 1e-9
    wanted = photo_lift(machine, exact)
    across, up, lifts = [], [], []
    for _ in range(TRIALS):
        known = Estimate.about(1.6 + chance.normal(0, 0.01 / 1.96), 0.01)
        found = pins_on(sighting(key, camera, known, chance))
        half_x, half_z = found.half_widths()
        across.append(np.abs((found.places - places).real) <= half_x)
        up.append(np.abs((found.places - places).imag) <= half_z)
        rows = photo_lift(machine, found)
        lifts.append([claim(row, want, i) for row, want in zip(rows, wanted, strict=True) for i in (0, 2, 4)])
    for held in (across, up, lifts):
        share = np.nanmean(held, axis=0)
        assert share.min() >= 0.90, share
    assert np.isnan(lifts).mean() < (0.1 if camera.away == 5.0 else 0.01)  # few lifts are left unsaid
    assert np.mean(across) <= 0.995  # a band so wide that it holds always says nothing


def claim(row, want, i: int) -> float:
    """Whether a figure is within its half-width of the truth; nan where none is stated."""
    return float("nan") if np.isnan(row[i + 1]) else float(abs(row[i] - want[i]) <= row[i + 1])


def flat_marks(key: str) -> dict[str, tuple[float, float]]:
    """The marks where a draughtsman would put them, 400 px to a metre."""
    return {name: (100 + 400 * p.real, 1100 - 400 * p.imag) for name, p in truth(key).items()}


@pytest.mark.parametrize("turn", [0.0, 0.2, -0.3])
@pytest.mark.parametrize("mirrored", [False, True])
def test_a_turned_or_mirrored_drawing_gives_the_same_pins(turn: float, mirrored: bool) -> None:
    places = truth("thimble-24")
    marks = {}
    for name, place in places.items():
        on = 300 * place * np.exp(1j * turn)
        marks[name] = (800 + (-on.real if mirrored else on.real), 900 - on.imag)
    found = pins_on(Sighting("direct", (2400, 2400), marks, Estimate.known(1.6), 2.0, DRAWING))
    for name, place in zip(found.names, found.places, strict=True):
        assert place == pytest.approx(places[name], abs=1e-9)


def test_errors_add_as_squares_and_marking_alone_is_by_the_pixel() -> None:
    marks = flat_marks("thimble-24")
    seen = Sighting("direct", (1600, 1200), marks, Estimate.about(1.6, 0.016), 2.0, Camera())
    alone = halves_by_source(seen)
    half_x, half_z = pins_on(seen).half_widths()
    at = KINDS["direct"].index("tool_pivot")
    assert max(half_x[at], half_z[at]) == pytest.approx(np.sqrt(sum(v**2 for v in alone.values())), rel=0.12)
    # a known distance wrong by a hundredth moves the tool pin by a hundredth of its distance
    assert alone["scale"] == pytest.approx(0.01 * truth("thimble-24")["tool_pivot"].real, rel=0.08)
    # two marks give an origin: at the axle itself a mark's own error and the axle's, each 2 px of 1/400 m
    assert alone["marking"] >= np.sqrt(2) * 2 / 400


def test_what_can_not_be_is_named() -> None:
    marks = {**flat_marks("thimble-24"), "scale_b": (100.0, 1101.0), "lift_rod": (1601.0, 5.0)}
    del marks["tilt_rod"]
    with pytest.raises(Faults) as told:
        pins_on(Sighting("direct", (1600, 1200), marks, Estimate.unknown()))
    assert [fault.place for fault in told.value.faults] == ["known", "lift_rod", "scale_b", "tilt_rod"]


def test_what_the_record_lacks_is_said() -> None:
    machine = demo_shelf().machines["satchel-29"]
    found = pins_on(Sighting("direct", (1600, 1200), flat_marks("thimble-24"), Estimate.known(1.6)))
    assert "machine.loader.linkage.lift.bore" in lift_gaps(machine, found)
    assert lift_gaps(demo_shelf().machines["thimble-24"], found) == []
    assert set(FRAME).isdisjoint(found.names)
