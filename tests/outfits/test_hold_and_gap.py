"""Grip and clearance of outfits, against the one-chapter reckoning, hand figures and a cloud of points."""

from __future__ import annotations

import itertools
from functools import cache

import numpy as np
import pytest

from handfast.machines.attachment import Attachment
from handfast.machines.fields import Point
from handfast.machines.reading import demo_shelf, read_inquiry
from handfast.machines.shelf import Shelf
from handfast.outfits.bench import Bench
from handfast.outfits.check_shape import FRICTION, GAP, SURE, hold, least_gap
from handfast.outfits.clearing import GRILLE_AHEAD, GRILLE_FOOT, HOOD_TOP
from handfast.outfits.gripping import lid_pressure, slip_loads
from handfast.outfits.lay import lay
from handfast.physics.linkage import stroke
from handfast.physics.linkage_pose import pose
from handfast.quantities.reading import read_quantity
from handfast.reckoning.grip import reckon_grip
from handfast.reckoning.lift import linkage_of

LOG = 'kind = "logs"\nmass = "400 lb"\ndiameter = "{}"\nlength = "8 ft"'
ROCK = 'kind = "rock"\nmass = "400 lb"\ndiameter = "{}"'


@cache
def shelf() -> Shelf:
    return demo_shelf()


@cache
def bench(machine: str, work: str) -> Bench:
    text = f'[machine]\nrecord = "{machine}"\n[[work]]\n{work}\n'
    return lay(read_inquiry(text).resolve(shelf()), shelf(), 1).benches[0]


def row_of(one: Bench, tool: str) -> int:
    return next(k for k, outfit in enumerate(one.outfits) if outfit.attachment.id == tool)


def reckoned(tool: str | Attachment, pressure: float, diameter: float, lids: int = 1) -> dict[str, object]:
    """The same jaw through the file of `reckon grip`, one lid's cylinders only."""
    attachment = tool if isinstance(tool, Attachment) else shelf().attachments[tool]
    jaw, oil = attachment.jaw, attachment.hydraulics
    assert jaw is not None
    assert oil is not None
    points = {name: [[p.x.value, p.z.value] for p in getattr(jaw, name)] for name in ("floor", "lid")}
    pins = {
        n: [getattr(jaw, n).x.value, getattr(jaw, n).z.value] for n in ("lid_pivot", "cylinder_base", "cylinder_rod")
    }
    lines = [f"{name} = {value}" for name, value in {**points, **pins}.items()]
    lines += [f"retracted = {jaw.retracted.value}", f"extended = {jaw.extended.value}"]
    count = (oil.cylinders or 1) // lids
    text = "\n".join(
        [
            "[attachment.jaw]",
            *lines,
            "[attachment.hydraulics]",
            f"cylinders = {count}\nbore = {oil.bore.value}\nrod = {oil.rod.value}",
            f"[grip]\nfriction = {FRICTION}\npressure = {pressure}",
            f"[[piece]]\ndiameter = {diameter}",
        ]
    )
    found = reckon_grip(text)
    return {**found["pieces"][0], "closes_by": found["closes_by"]}


@pytest.mark.parametrize("tool", ["billetjaw-32", "thicketjaw-42", "cairnpicker-rock-48", "stookwright-forkjaw-42"])
def test_slip_load_is_that_of_the_chapter_by_itself(tool: str) -> None:
    one = bench("thimble-24", LOG.format("12 in"))
    demand, capacity = hold(one)
    k = row_of(one, tool)
    alone = reckoned(tool, lid_pressure(one), 12 * 0.0254)
    assert alone["holds"]
    assert capacity[k] == pytest.approx(alone["slip_load"], rel=1e-9)
    assert demand[k] == pytest.approx(SURE * 400 * 0.45359237 * 9.80665, rel=1e-9)


def test_a_log_is_under_both_lids_and_a_stone_under_one() -> None:
    log, rock = (bench("hurdle-58", work.format("15 in")) for work in (LOG, ROCK))
    alone = reckoned("thicketjaw-72d", lid_pressure(log), 15 * 0.0254, lids=2)
    for one, lids in ((log, 2), (rock, 1)):
        assert slip_loads(one, FRICTION)[row_of(one, "thicketjaw-72d")] == pytest.approx(
            lids * float(str(alone["slip_load"])), rel=1e-9
        )


def test_a_lid_shut_by_a_shortening_cylinder_has_the_ring_round_the_rod() -> None:
    """The cylinder's pin on the other side of the lid pivot: the smaller force counts, as in the chapter by itself."""
    usual = shelf().attachments["billetjaw-32"]
    assert usual.jaw is not None
    pin, lengths = Point(x="16 in", z="22 in"), (read_quantity(f"{n} in", "length") for n in ("24", "26.5"))
    short, long = lengths
    jaw = usual.jaw.model_copy(update={"cylinder_rod": pin, "retracted": short, "extended": long})
    tool = usual.model_copy(update={"jaw": jaw})
    inquiry = bench("thimble-24", LOG.format("12 in")).inquiry
    one = lay(inquiry.model_copy(update={"attachment": (tool,)}), shelf(), 1).benches[0]
    alone = reckoned(tool, lid_pressure(one), 12 * 0.0254)
    assert alone["closes_by"] == "retracting"
    assert float(str(alone["slip_load"])) > 0.0
    assert slip_loads(one, FRICTION)[0] == pytest.approx(alone["slip_load"], rel=1e-9)


def test_a_piece_too_small_or_too_large_is_not_held() -> None:
    """Where the reckoning by itself says too small or too large, the capacity is 0."""
    for size, word in (("5 in", "too_small"), ("44 in", "too_large")):
        one = bench("hurdle-58", LOG.format(size))
        assert reckoned("thicketjaw-72d", lid_pressure(one), float(size[:-3]) * 0.0254, 2)["why"] == word
        assert slip_loads(one, FRICTION)[row_of(one, "thicketjaw-72d"), 0] == 0.0


def test_samples_of_a_diameter_are_within_a_step_of_the_exact_figure() -> None:
    one = bench("hurdle-58", 'kind = "logs"\nmass = "400 lb"\ndiameter = "12 to 14 in"\nlength = "8 ft"')
    k = row_of(one, "billetjaw-48")
    found = slip_loads(one, FRICTION)[k]
    for sample in (0, 100, 900):
        exact = reckoned("billetjaw-48", lid_pressure(one), float(one.load.diameter[0, sample]))
        assert found[sample] == pytest.approx(float(str(exact["slip_load"])), rel=0.03)


def test_pressure_is_the_lower_relief() -> None:
    """2300 psi relief is 158.6 bar; the slip load goes with the pressure (force is pressure times area)."""
    one = bench("thimble-24", LOG.format("12 in"))
    assert lid_pressure(one) == pytest.approx(one.inquiry.machine.relief_pressure.value, abs=0.5e5)
    k = row_of(one, "billetjaw-32")
    half = reckoned("billetjaw-32", lid_pressure(one) / 2, 12 * 0.0254)
    assert slip_loads(one, FRICTION)[k] == pytest.approx(2 * float(str(half["slip_load"])), rel=1e-9)


@pytest.mark.parametrize("work", ['kind = "brush"', 'kind = "pallets"\nmass = "800 lb"', 'kind = "logs"'])
def test_only_round_pieces_of_known_diameter_count(work: str) -> None:
    assert np.isnan(hold(bench("thimble-24", work))[1]).all()


def test_a_lid_that_the_curl_drives_is_left_open() -> None:
    one = bench("thimble-24", LOG.format("12 in"))
    assert np.isnan(hold(one)[1][row_of(one, "billetjaw-32c")]).all()


def cloud_gap(machine: str, tool: str) -> float:
    """Least gap by points 2 mm apart along the outline in every pose, turned as complex numbers."""
    tractor, jaw = shelf().machines[machine], shelf().attachments[tool].jaw
    assert jaw is not None
    made = linkage_of(tractor)
    at = pose(made.points, stroke(made.lift, 9)[:, None], stroke(made.tilt, 9))
    loader, base = tractor.loader, tractor.wheelbase.value
    radius = tractor.front_tyre.radius.value
    lines = [jaw.floor, (jaw.lid_pivot, *jaw.lid), (jaw.cylinder_base, jaw.cylinder_rod)]
    drawn = [[complex(p.x.value, p.z.value) for p in line if p is not None] for line in lines]
    steps = np.linspace(0.0, 1.0, 500)
    line = np.concatenate([a + (b - a) * steps for corners in drawn for a, b in itertools.pairwise(corners)])
    hung = line + complex(loader.plane_ahead.value, -loader.plane_drop.value)
    least = np.inf
    for pin, turn in zip(*(part.ravel() for part in np.broadcast_arrays(at.pin, at.tool)), strict=True):
        here = pin + hung * turn
        if np.isnan(here).any() or here.imag.min() < -0.10:
            continue
        low, high, front = GRILLE_FOOT * radius, HOOD_TOP * base, base + GRILLE_AHEAD * radius
        over = np.maximum(np.maximum(low - here.imag, here.imag - high), 0.0)
        hood = np.hypot(np.maximum(here.real - front, 0.0), over)
        wheel = np.abs(here - complex(base, radius)) - radius
        least = min(least, float(hood.min()), float(wheel.min()))
    return least


@pytest.mark.parametrize(
    ("machine", "tool"),
    [("thimble-24", "billetjaw-40"), ("fettler-35", "billetjaw-48"), ("hamper-42", "stookwright-forkjaw-42")],
)
def test_least_gap_is_that_of_a_cloud_of_points(machine: str, tool: str) -> None:
    one = bench(machine, LOG.format("12 in"))
    straight = one.forward[:, 0] == 0.0
    row = next(k for k, o in enumerate(one.outfits) if o.attachment.id == tool and straight[k])
    demand, capacity = least_gap(one)
    assert float(np.ravel(demand)[0]) == GAP
    assert capacity[row, 0] == pytest.approx(cloud_gap(machine, tool), abs=0.004)


def test_a_mount_that_sets_the_tool_forward_leaves_more_room() -> None:
    one = bench("thimble-24", LOG.format("12 in"))
    rows = [k for k, o in enumerate(one.outfits) if o.attachment.id == "billetjaw-32"]
    forward = np.array([one.forward[k, 0] for k in rows])
    gaps = least_gap(one)[1][rows, 0]
    assert forward.max() > forward.min()
    assert gaps[forward.argmax()] > gaps[forward.argmin()]


def test_without_measured_pins_nothing_is_said() -> None:
    assert np.isnan(least_gap(bench("hurdle-58", LOG.format("12 in")))[1]).all()
