"""The demonstration shelf against outside reckoning: moments from the sheet's own figures, and the trade's usual bands.

The bands are the class ranges of the trade notes (common practice, no source), so they only say that a figure is of a
size that nobody would wonder at. Nothing here uses the program's own physics.
"""

from __future__ import annotations

import tomllib
from math import atan2, cos, hypot, pi, sin, sqrt
from pathlib import Path

import pytest
from scipy.optimize import brentq

from handfast.machines.fields import Point
from handfast.machines.loader import Linkage
from handfast.machines.shelf_files import DEMO, demo_inquiries, demo_shelf
from handfast.machines.tractor import Machine
from handfast.machines.warnings import attachment_warnings, warnings

LB, IN, GPM, PSI, G = 0.45359237, 0.0254, 3.785411784e-3 / 60, 6894.757, 9.80665
SHELF = demo_shelf()
MACHINES = list(SHELF.machines.values())
ATTACHMENTS = list(SHELF.attachments.values())
PARTS = list(SHELF.parts.values())
CLASSES = ("subcompact", "compact_small", "compact_large", "utility")
by_id = pytest.mark.parametrize("machine", MACHINES, ids=lambda m: m.id)


class Arm:
    """The boom as a circle, from the printed ratings and reach; the rear axle is x = 0 (m, kg)."""

    def __init__(self, machine: Machine) -> None:
        loader, self.span = machine.loader, machine.wheelbase.value
        self.pin, self.far = loader.lift_at_pin.value, loader.lift_at_500.value
        self.up, self.level, self.down = (
            self.span + getattr(loader.pin_ahead, name).value for name in ("up", "level", "down")
        )
        self.top, self.low = loader.pin_height_max.value, loader.pin_height_down.value
        if self.pin > self.far:
            lever = 0.5 * self.far / (self.pin - self.far)
            self.x, self.radius = self.up - lever, self.level - (self.up - lever)
            self.z = self.top - sqrt(self.radius**2 - lever**2)
        else:
            self.x = brentq(lambda x: self._height(x) - self._height_from_below(x), 0.0, self.span)
            self.radius, self.z = self.level - self.x, self._height(self.x)

    def _height(self, x: float) -> float:
        return self.top - sqrt((self.level - x) ** 2 - (self.up - x) ** 2)

    def _height_from_below(self, x: float) -> float:
        return self.low + sqrt((self.level - x) ** 2 - (self.down - x) ** 2)

    def pin_x(self, height: float) -> float:
        """Pin ahead of the rear axle at a height."""
        return self.x + sqrt(self.radius**2 - (height - self.z) ** 2)


def least_ballast(machine: Machine, arm: Arm, share: float) -> tuple[float, float]:
    """Ballast at the link ends for a rear share, rated load 500 mm ahead and furthest out; front axle then. Moments."""
    load, ahead, behind = arm.far, arm.level + 0.5, machine.hitch_behind_axle.value
    mass, front = machine.mass.value, machine.front_axle_mass.value
    moment = front * arm.span + load * ahead
    need = (moment / arm.span - (1 - share) * (mass + load)) / ((1 - share) + behind / arm.span)
    ballast = max(0.0, need)
    return ballast, (moment - ballast * behind) / arm.span


@by_id
def test_the_pin_swings_on_one_circle(machine: Machine) -> None:
    """Ratings, heights and reach are of one boom: down lies on the circle through level and up."""
    arm = Arm(machine)
    assert arm.pin_x(arm.low) == pytest.approx(arm.down, abs=0.008)
    assert 0.1 <= arm.low <= 0.6
    assert 0.85 <= arm.radius / arm.span <= 1.25
    assert 10 * IN <= arm.down - arm.span <= 42 * IN
    assert 0.4 * arm.span < arm.x < 0.8 * arm.span


@by_id
def test_the_pump_can_do_the_work(machine: Machine) -> None:
    """The pin rating lifted through the stroke takes a quarter to four fifths of what the pump gives in that time."""
    loader = machine.loader
    work = loader.lift_at_pin.value * G * (loader.pin_height_max.value - loader.pin_height_down.value)
    flow = machine.pump_flow.value - machine.steering_flow.value
    given = flow * machine.relief_pressure.value * loader.raise_time.value
    assert 0.25 <= work / given <= 0.8


@by_id
def test_the_hitch_holds_the_ballast_that_the_rated_load_asks(machine: Machine) -> None:
    """A quarter of the whole on the rear axle, rated load furthest out, by weight that the hitch can carry."""
    ballast, _ = least_ballast(machine, Arm(machine), 0.25)
    assert ballast <= machine.hitch_lift_610.value


@by_id
def test_a_printed_front_axle_rating_covers_a_bumped_load(machine: Machine) -> None:
    """Rated load at rest; then pins 0.4 m high, loader and load times 1.5, weight 610 mm behind the link ends."""
    if machine.front_axle_rating.is_unknown:
        assert "axle rating printed" in machine.notes or "front axle rating" in machine.notes
        return
    arm, rating = Arm(machine), machine.front_axle_rating.value
    _, at_rest = least_ballast(machine, arm, 0.25)
    assert at_rest <= rating
    arms = machine.loader.arms_mass.value
    pin, front = arm.pin_x(0.4), machine.front_axle_mass.value * arm.span
    carried = 0.3 * arm.far, 0.72 * arm.far  # attachment, and what is left for the load at full height
    moment = front + 1.5 * (carried[0] * (pin + 0.35) + carried[1] * (pin + 0.5)) + 0.5 * arms * (arm.x + pin) / 2
    behind = machine.hitch_behind_axle.value + 0.61
    furthest = front + carried[0] * (arm.level + 0.35) + carried[1] * (arm.level + 0.5)
    whole = machine.mass.value + sum(carried)
    ballast = max(0.0, (furthest / arm.span - 0.75 * whole) / (0.75 + behind / arm.span))
    assert (moment - ballast * behind) / arm.span <= rating


@by_id
def test_masses_add_up(machine: Machine) -> None:
    """Ready = bare + loader + quick attach + operator, front + rear = mass; the tyres carry what the axles may."""
    quick = machine.loader.quick_attach_mass
    parts = machine.bare_mass.value + machine.loader.mass.value + 75.0 + (0.0 if quick.is_unknown else quick.value)
    assert parts == pytest.approx(machine.mass.value, abs=1.0)
    assert machine.front_axle_mass.value + machine.rear_axle_mass.value == pytest.approx(machine.mass.value)
    assert quick.is_unknown == (machine.quick_attach == "pinned")
    for side in ("front", "rear"):
        rating, tyre = getattr(machine, f"{side}_axle_rating"), getattr(machine, f"{side}_tyre")
        if not rating.is_unknown and not tyre.load_each.is_unknown:
            assert tyre.load_each.value * tyre.count >= rating.value


# Trade notes, typical ranges by class: sub-compact, compact small, compact large, utility (common practice, no source).
BANDS = {
    "wheelbase": (IN, (51, 58), (60, 68), (67, 78), (80, 98)),
    "overall_width": (IN, (44, 50), (52, 62), (60, 72), (72, 96)),
    "mass": (LB, (1900, 2700), (3000, 4100), (4300, 6000), (7000, 12500)),
    "bare_mass": (LB, (1350, 1900), (2300, 3200), (3300, 4800), (5500, 10000)),
    "relief_pressure": (PSI, (1800, 2500), (2000, 2900), (2300, 3000), (2600, 3000)),
    "hitch_lift_610": (LB, (550, 1000), (1200, 2000), (1800, 3200), (3000, 6500)),
    "front_track": (IN, (34, 38), (40, 48), (45, 54), (54, 66)),
    "rear_track": (IN, (32, 37), (38, 48), (44, 56), (56, 72)),
    "alternator": (1.0, (14, 40), (40, 60), (40, 75), (75, 120)),
    "loader.lift_at_pin": (LB, (600, 1000), (1100, 1900), (2000, 3000), (2800, 5000)),
    "loader.lift_at_500": (LB, (430, 750), (750, 1400), (1450, 2300), (2100, 4000)),
    "loader.breakout_at_pin": (LB, (1000, 1700), (1800, 2900), (2800, 4500), (4000, 7500)),
    "loader.pin_height_max": (IN, (70, 77), (90, 100), (102, 112), (124, 152)),
    "loader.dump_angle": (pi / 180, (40, 48), (40, 50), (40, 55), (45, 60)),
    "loader.raise_time": (1.0, (3, 6), (3, 5), (3, 5), (3, 6)),
}
# The old machine is small for its class; a self-levelling loader prints its pin figure at 500 mm too.
OUTSIDE = {("fettler-35", "loader.lift_at_500")} | {
    ("staddle-61", path)
    for path in (
        "mass",
        "bare_mass",
        "relief_pressure",
        "loader.lift_at_pin",
        "loader.lift_at_500",
        "loader.pin_height_max",
    )
}


@by_id
@pytest.mark.parametrize("path", BANDS)
def test_figures_are_of_the_class(machine: Machine, path: str) -> None:
    """Common practice, no source: within the trade's range for the class, 1 % for rounding."""
    unit, *bands = BANDS[path]
    low, high = bands[CLASSES.index(machine.class_ or "")]
    value = getattr(machine.loader if "." in path else machine, path.rpartition(".")[2]).value / unit
    assert (low * 0.99 <= value <= high * 1.01) == ((machine.id, path) not in OUTSIDE)


def test_the_sixteen_carry_their_traps() -> None:
    """What the shelf must have: every carriage, the odd circuits, ratings that nobody prints."""
    assert len(MACHINES) == 16
    assert {m.class_ for m in MACHINES} == set(CLASSES)
    assert {m.quick_attach for m in MACHINES} == {
        "pinned",
        "universal_plate",
        "universal_plate_narrow",
        "hook_and_pin",
        "ostlewick_latch",
    }
    assert sum(bool(m.loader.self_levelling) for m in MACHINES) == 2
    assert sum(m.centre == "load_sensing" for m in MACHINES) == 2
    assert [m.id for m in MACHINES if m.mid_outlets] == ["staddle-61"]
    assert not SHELF.machines["staddle-61"].seat_belt
    assert sum(m.front_axle_rating.is_unknown for m in MACHINES) == 4
    assert any(not (m.rear_remotes or m.front_functions or m.mid_outlets) for m in MACHINES)


def test_nothing_odd_and_no_name_twice() -> None:
    """No record warns of itself; ids and names are one each; every file says that it is invented."""
    assert [w for m in MACHINES for w in warnings(m)] == []
    assert [w for a in ATTACHMENTS for w in attachment_warnings(a)] == []
    for records in (MACHINES, ATTACHMENTS, PARTS):
        names = [record.name for record in records]
        assert len(names) == len(set(names))
        assert all(names)
    for file in DEMO.rglob("*.toml"):
        assert file.read_text().startswith("# Invented for the demonstration."), file.name


def turned(point: Point, about: Point, angle: float) -> tuple[float, float]:
    """A point turned about another, counter-clockwise."""
    x, z = point.x.value - about.x.value, point.z.value - about.z.value
    return (
        about.x.value + x * cos(angle) - z * sin(angle),
        about.z.value + x * sin(angle) + z * cos(angle),
    )


@pytest.mark.parametrize("machine", [m for m in MACHINES if m.loader.linkage], ids=lambda m: m.id)
def test_a_linkage_lifts_what_its_sheet_prints(machine: Machine) -> None:
    """Full height, moments about the arm pivot, lift cylinders at relief: the rating, at most a tenth more."""
    linkage = machine.loader.linkage
    assert linkage is not None
    lift, quick = linkage.lift, machine.loader.quick_attach_mass
    assert lift.retracted.value > lift.extended.value - lift.retracted.value + 0.1
    turn, leverage = raised(linkage)
    area = pi / 4 * lift.bore.value**2 * (lift.count or 0)
    pins, arm = linkage.pins, linkage.arm
    assert pins.tool_pivot and pins.arm_pivot and arm.cg
    pin_x, pin_z = turned(pins.tool_pivot, pins.arm_pivot, turn)
    lever = pin_x - pins.arm_pivot.x.value
    own = arm.mass.value * (turned(arm.cg, pins.arm_pivot, turn)[0] - pins.arm_pivot.x.value)
    own += (0.0 if quick.is_unknown else quick.value) * lever
    held = (area * machine.relief_pressure.value * leverage / G - own) / lever
    assert 1.0 <= held / machine.loader.lift_at_pin.value <= 1.10
    assert pin_z == pytest.approx(machine.loader.pin_height_max.value, abs=0.02)
    assert pin_x - machine.wheelbase.value == pytest.approx(machine.loader.pin_ahead.up.value, abs=0.03)


def raised(linkage: Linkage) -> tuple[float, float]:
    """Turn of the arms from the reference pose, lift cylinders out, and their lever about the arm pivot."""
    pins, long = linkage.pins, linkage.lift.extended.value
    pivot, base, rod = pins.arm_pivot, pins.lift_base, pins.lift_rod
    assert pivot and base and rod

    def miss(angle: float) -> float:
        x, z = turned(rod, pivot, angle)
        return hypot(x - base.x.value, z - base.z.value) - long

    turn = brentq(miss, 0.1, 2.0)
    x, z = turned(rod, pivot, turn)
    along = atan2(z - base.z.value, x - base.x.value)
    return turn, (x - pivot.x.value) * sin(along) - (z - pivot.z.value) * cos(along)


def test_one_linkage_of_each_kind() -> None:
    """Tilt cylinder straight to the tool, by bellcrank and link, mechanically self-levelling."""
    pins = {m.id: m.loader.linkage.pins for m in MACHINES if m.loader.linkage}
    assert [k for k, p in pins.items() if not p.bellcrank_pivot and not p.lever_pivot] == ["thimble-24"]
    assert [k for k, p in pins.items() if p.bellcrank_pivot] == ["hamper-42"]
    assert [k for k, p in pins.items() if p.lever_pivot] == ["fettler-35"]
    assert SHELF.machines["fettler-35"].loader.self_levelling


def test_eight_callers_in_their_own_words() -> None:
    """Each inquiry holds the caller's sentence and only records that are on the shelf."""
    inquiries = demo_inquiries()
    assert [key[0] for key in inquiries] == list("12345678")
    for inquiry in inquiries.values():
        assert len(inquiry.said) > 60
        assert inquiry.caller.place in {town.name for town in SHELF.price_book.town}
        inquiry.resolve(SHELF)
    half_known = inquiries["7-dads-tractor"].machine
    assert half_known.plain().keys() == {"engine_power"}


def test_class_typicals_cover_all_classes_and_hold_the_shelf() -> None:
    """Each quantity in all four classes, in order; no machine of the shelf lies far outside its class."""
    lines = (Path(DEMO).parent / "class_typical.csv").read_text().splitlines()
    rows = [line.split(",") for line in lines[1:]]
    for quantity in {row[1] for row in rows}:
        found = [row for row in rows if row[1] == quantity]
        assert [row[0] for row in found] == list(CLASSES)
        assert all(float(r[2]) <= float(r[3]) <= float(r[4]) for r in found)
    slopes = {row[0]: (float(row[2]), float(row[4])) for row in rows if row[1] == "loader.rating_slope"}
    for machine in MACHINES:
        if not machine.loader.self_levelling:
            pair = (machine.loader.lift_at_pin.value / machine.loader.lift_at_500.value - 1) / 0.5
            low, high = slopes[machine.class_ or ""]
            assert low <= pair <= high, machine.id


def test_checked_files_are_toml_without_surprises() -> None:
    """Each shelf file parses by the standard library and holds nothing beside its lists and the price book."""
    for file in DEMO.rglob("*.toml"):
        if file.parent.name != "inquiries":
            keys = tomllib.loads(file.read_text()).keys()
            assert keys <= {"machine", "attachment", "part", "price_book"}, file.name
