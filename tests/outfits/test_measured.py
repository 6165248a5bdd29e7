"""Samples after measurements, held against plain draws of which those are kept that the reading allows.

A million plain draws of the same tractor; each is kept with the likelihood of the reading, which is written out here by
hand. What is left is the distribution after the reading, without any of the machinery under test.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache

import numpy as np
import pytest
from scipy import stats

from handfast.machines.inquiry import Inquiry
from handfast.machines.measurement import Measurement, ways
from handfast.machines.reading import demo_shelf, read_inquiry
from handfast.machines.shelf import Shelf
from handfast.outfits.draws import Draws, Plan, draw, size_share
from handfast.outfits.facts import machine_class, plan_machine
from handfast.outfits.lay import Laid, as_measured, lay
from handfast.outfits.measured import CONFLICT, NEEDLESS, TOO_SHARP, UNTOLD, USED
from handfast.quantities import sobol
from handfast.quantities.estimate import Estimate
from handfast.quantities.units import to_si

LB, IN = to_si(1.0, "lb"), to_si(1.0, "in")
HEAD = '[machine]\nclass = "compact_small"\nengine_power = "30 hp"\nquick_attach = "universal_plate"\n'
WORK = '[[work]]\nkind = "logs"\ndiameter = "12 in"\nlength = "8 ft"\n'
BLOCK, BLOCKS = 62_500, 16  # a million draws
CARRIED = ("mass", "front_share", "wheelbase", "pump_flow", "steering_flow", "loader.lift_at_pin",
           "loader.rating_slope", "loader.quick_attach_mass", "loader.quick_attach_cg.x", "loader.mass")  # fmt: skip


def read(text: str, head: str = HEAD) -> Inquiry:
    return read_inquiry(head + WORK + text)


def laid(text: str, head: str = HEAD, seed: int = 1) -> Laid:
    return lay(read(text, head).resolve(Shelf()), Shelf(), seed)


def measured(what: str, value: str, more: str = "") -> str:
    return f'[[measurement]]\nwhat = "{what}"\nvalue = "{value}"\n{more}\n'


@cache
def plain() -> dict[str, np.ndarray]:
    """A million plain draws of the tractor, without any reading."""
    machine = read("").machine
    plan = Plan()
    plan_machine(plan, machine)
    share = size_share(machine_class(machine), machine.engine_power.value)
    rng = np.random.default_rng(7)
    found: dict[str, list[np.ndarray]] = {path: [] for path in CARRIED}
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(sobol, "points", lambda dimensions, seed: rng.random((BLOCK, dimensions)))
        for _ in range(BLOCKS):
            draws = draw(plan, 1, share)
            for path in CARRIED:
                found[path].append(np.broadcast_to(draws[path], (BLOCK,)))
    return {path: np.concatenate(each) for path, each in found.items()}


def kept(likelihood: Callable[[dict[str, np.ndarray]], np.ndarray]) -> dict[str, np.ndarray]:
    """The draws that are kept, each with the likelihood of the reading."""
    every = plain()
    takes = np.random.default_rng(11).random(BLOCK * BLOCKS) < likelihood(every)
    assert takes.sum() > 5_000
    return {path: values[takes] for path, values in every.items()}


def within(found: np.ndarray, expected: np.ndarray, count: float) -> None:
    """Mean, spread and deciles agree within four standard errors of so many independent samples."""
    sd = expected.std()
    assert found.mean() == pytest.approx(expected.mean(), abs=4.0 * sd / np.sqrt(count))
    assert found.std() == pytest.approx(sd, rel=4.0 / np.sqrt(2.0 * count))
    for share in (0.1, 0.5, 0.9):
        at = np.quantile(expected, share)
        low, high = np.quantile(
            expected, np.clip(share + np.array([-4, 4]) * np.sqrt(share * (1 - share) / count), 0, 1)
        )
        assert low <= np.quantile(found, share) <= high, (share, at)


def normal(predicted: np.ndarray, value: float, sd: float) -> np.ndarray:
    return np.asarray(np.exp(-0.5 * ((predicted - value) / sd) ** 2))


CASES = {
    # the whole on the scale: the operator, 75 kg of the ready state, has got off
    "whole": (
        measured("whole_on_scale", "3600 lb"),
        lambda d: normal(d["mass"] - 75.0, 3600 * LB, 20 * LB),
        ("mass", "wheelbase", "pump_flow", "loader.lift_at_pin", "loader.mass", "front_share"),
    ),
    # the front axle: its share of the mass, less 0.15 of the operator
    "front": (
        measured("front_axle_on_scale", "1950 lb"),
        lambda d: normal(d["mass"] * d["front_share"] - 0.15 * 75.0, 1950 * LB, 20 * LB),
        ("mass", "front_share", "loader.lift_at_pin"),
    ),
    # whole and rear axle by difference, one after the other
    "difference": (
        measured("whole_on_scale", "3500 lb") + measured("rear_axle_by_difference", "1600 lb"),
        lambda d: normal(d["mass"] - 75.0, 3500 * LB, 20 * LB)
        * normal(d["mass"] * (1.0 - d["front_share"]) - 0.85 * 75.0, 1600 * LB, 28 * LB),
        ("mass", "front_share"),
    ),
    # both axles: two sharp readings on one ridge
    "axles": (
        measured("front_axle_on_scale", "1950 lb") + measured("rear_axle_on_scale", "1650 lb"),
        lambda d: normal(d["mass"] * d["front_share"] - 0.15 * 75.0, 1950 * LB, 20 * LB)
        * normal(d["mass"] * (1.0 - d["front_share"]) - 0.85 * 75.0, 1650 * LB, 20 * LB),
        ("mass", "front_share", "wheelbase", "loader.lift_at_pin"),
    ),
    # a known mass 20 in ahead: C = (pin − m(1 + λx)) / (1 + λd), the quick attach not in the rating
    "lifted": (
        measured("known_mass_lifted", "1200 lb", 'ahead = "20 in"'),
        lambda d: stats.norm.cdf((np.log(most(d, 20 * IN)) - np.log(1200 * LB)) / 0.05),
        ("loader.lift_at_pin", "loader.rating_slope", "mass"),
    ),
    "refused": (
        measured("known_mass_refused", "900 lb", 'ahead = "20 in"'),
        lambda d: stats.norm.cdf((np.log(900 * LB) - np.log(most(d, 20 * IN))) / 0.05),
        ("loader.lift_at_pin", "loader.rating_slope", "mass"),
    ),
    # two tapes on quantities of one size: read themselves, together
    "two sizes": (
        measured("whole_on_scale", "3600 lb") + measured("wheelbase_by_tape", "63 in ± 1 in"),
        lambda d: normal(d["mass"] - 75.0, 3600 * LB, 20 * LB) * normal(d["wheelbase"], 63 * IN, IN / 1.96),
        ("mass", "wheelbase", "loader.lift_at_pin", "pump_flow"),
    ),
}  # fmt: skip


def most(d: dict[str, np.ndarray], ahead: float) -> np.ndarray:
    slope = d["loader.rating_slope"]
    carried = d["loader.quick_attach_mass"] * (1.0 + slope * d["loader.quick_attach_cg.x"])
    return np.asarray((d["loader.lift_at_pin"] - carried) / (1.0 + slope * ahead))


@pytest.mark.parametrize("name", CASES)
def test_against_a_million_plain_draws(name: str) -> None:
    text, likelihood, paths = CASES[name]
    found = laid(text)
    assert [one.state for one in found.taken] == [USED] * len(found.taken)
    oracle = kept(likelihood)
    count = min(512.0, *(one.effective for one in found.taken))
    for path in paths:
        within(found.draws[path], oracle[path], count)


def test_raise_time_tells_of_the_flow() -> None:
    """Two cylinders of 50 mm and 450 mm stroke hold 1.767 L; filled in 4.4 s that is 24.1 L/min, give or take 6 %."""
    stated = (
        HEAD + "[machine.loader.linkage.lift]\nbore = 0.05\nrod = 0.03\ncount = 2\nretracted = 0.6\nextended = 1.05\n"
    )
    oil = 2 * np.pi / 4 * 0.05**2 * 0.45
    assert 60e3 * oil / 4.4 == pytest.approx(24.1, abs=0.05)
    error = np.hypot(0.05, 0.03)

    def likely(d: dict[str, np.ndarray]) -> np.ndarray:
        flow = np.maximum(d["pump_flow"] - d["steering_flow"], 1e-9)
        return normal(np.log(oil / flow), np.log(4.4), error)

    found = laid(measured("raise_timed", "4.4 s"), stated)
    assert found.taken[0].state == USED
    oracle, count = kept(likely), min(512.0, found.taken[0].effective)
    for path in ("pump_flow", "steering_flow", "mass"):
        within(found.draws[path], oracle[path], count)
    assert found.draws["loader.raise_time"].mean() == pytest.approx(4.4, abs=0.1)


def test_no_measurement_no_change() -> None:
    one, other = laid(""), laid("")
    assert one.taken == ()
    assert all(np.array_equal(one.draws[p], other.draws[p], equal_nan=True) for p in one.draws.values)


def test_a_reading_of_something_apart_leaves_everything_else_as_it_was() -> None:
    """A gate's width bears on no tractor: every other sample stays, bit for bit."""
    before, after = laid(""), laid(measured("gate_by_tape", "7 ft"))
    assert after.taken[0].state == USED
    for path in before.draws.values:
        if path != "site.gate":
            assert np.array_equal(before.draws[path], after.draws[path], equal_nan=True), path


def test_a_reading_without_worth_changes_nothing() -> None:
    """That ten pounds were lifted tells nothing of any tractor: the samples stay, and it is said."""
    before, after = laid(""), laid(measured("known_mass_lifted", "10 lb", 'ahead = "20 in"'))
    assert after.taken[0].state == NEEDLESS
    for path in before.draws.values:
        assert np.array_equal(before.draws[path], after.draws[path], equal_nan=True), path


def test_a_reading_of_what_is_known_agrees_or_contradicts() -> None:
    """A sheet's figure has no spread: the reading can only agree with it or not."""
    sheet = HEAD + 'mass = "1640 kg"\nwheelbase = "1.6 m"\n'
    good = laid(measured("whole_on_scale", "1570 kg"), sheet).taken[0]
    bad = laid(measured("whole_on_scale", "1700 kg"), sheet).taken[0]
    assert (good.state, bad.state) == (NEEDLESS, CONFLICT)
    assert bad.expected[0] < 1565.0 < bad.expected[1] < 1700.0


def test_a_contradiction_leaves_the_samples_alone_and_says_what_was_expected() -> None:
    before, after = laid(""), laid(measured("wheelbase_by_tape", "90 in"))
    assert after.taken[0].state == CONFLICT
    low, high = after.taken[0].expected
    assert 55 * IN < low < high < 75 * IN
    assert np.array_equal(before.draws["wheelbase"], after.draws["wheelbase"])


def test_two_readings_that_contradict_each_other() -> None:
    found = laid(measured("whole_on_scale", "3600 lb") + measured("whole_on_scale", "3300 lb"))
    assert [one.state for one in found.taken] == [USED, CONFLICT]


def test_the_way_out_lets_the_reading_stand() -> None:
    found = laid(measured("wheelbase_by_tape", "90 in", "instead = true"))
    assert found.taken[0].state == USED
    assert found.draws["wheelbase"].mean() == pytest.approx(90 * IN, abs=0.01)
    assert found.draws.origin("wheelbase") == "measured"


def test_axles_follow_a_mass_that_stands_instead() -> None:
    """1,640 kg on 900 and 740 kg; weighed with the operator on at 1,804 kg, a tenth more, so are both axles."""
    sheet = HEAD + 'mass = "1640 kg"\nfront_axle_mass = "900 kg"\nrear_axle_mass = "740 kg"\n'
    found = laid(measured("whole_on_scale", "1804 kg", 'instead = true\non = "operator"'), sheet)
    frame = found.spoken.frame if found.benches else None
    assert found.taken[0].state == USED
    assert found.inquiry.machine.front_axle_mass.value == pytest.approx(990.0)
    assert frame is None or float(np.mean(frame.rear)) == pytest.approx(814.0, abs=0.5)


def test_what_stood_on_the_scale_is_taken_off() -> None:
    """With the operator, a bucket of 180 kg and 300 kg behind, the ticket is that much more."""
    behind = '[behind]\nkind = "box_blade"\nmass = "300 kg"\nbehind = "1.2 m"\n'
    bare = read_inquiry(HEAD + WORK + behind + measured("whole_on_scale", "1600 kg"))
    more = 'on = ["operator", "behind"]\ncarrying = "180 kg"'
    full = read_inquiry(HEAD + WORK + behind + measured("whole_on_scale", f"{1600 + 75 + 180 + 300} kg", more))
    one, other = (lay(each.resolve(Shelf()), Shelf(), 1).draws for each in (bare, full))
    assert one["mass"] == pytest.approx(other["mass"], rel=1e-9)


def test_a_count_by_bayes() -> None:
    """Shares 0.4, 0.4, 0.2 before; one pair read, wrong three times in a hundred: 0.4·0.97 against 0.6·0.015."""
    found = laid(measured("rear_couplers_counted", "1")).taken[0]
    assert found.shifts[0].after[0] == pytest.approx(0.4 * 0.97 / (0.4 * 0.97 + 0.6 * 0.015))


def test_a_count_against_a_stated_fact() -> None:
    stated = HEAD + "rear_remotes = 2\n"
    assert laid(measured("rear_couplers_counted", "1"), stated).taken[0].state == CONFLICT
    assert laid(measured("rear_couplers_counted", "2"), stated).taken[0].state == NEEDLESS


def test_too_little_known_is_said() -> None:
    """Without a class or a mass nothing can be made of an axle with filled tyres of unknown place."""
    found = laid(measured("known_mass_lifted", "900 lb", 'ahead = "20 in"'), "[machine]\n")
    assert found.taken[0].state == UNTOLD


def test_samples_stay_even_in_every_shift() -> None:
    """Picked samples: as many in each of the eight shifts, what they are drawn from spread evenly."""
    draws = laid(measured("front_axle_on_scale", "1950 lb")).draws
    assert draws.size == sobol.SHIFTS * sobol.PER_SHIFT
    for one in draws.inputs:
        if not one.path.startswith("attachment.") and one.path not in draws.choices:
            column = np.sort(draws.uniforms[:, one.column])
            assert column == pytest.approx((np.arange(1024) + 0.5) / 1024, abs=0.02), one.path


def test_two_very_sharp_readings_on_one_ridge() -> None:
    """Give or take 4 lb each: one plain draw in many thousands agrees; mass and share follow by error propagation."""
    found = laid(measured("front_axle_on_scale", "1950 lb ± 4 lb") + measured("rear_axle_on_scale", "1650 lb ± 4 lb"))
    assert [one.state for one in found.taken] == [USED, USED]
    assert found.taken[1].effective >= 512.0
    front, rear, sd = 1950 * LB + 0.15 * 75.0, 1650 * LB + 0.85 * 75.0, 4 * LB / 1.96
    mass, share = found.draws["mass"], found.draws["front_share"]
    assert mass.mean() == pytest.approx(front + rear, abs=0.3)
    assert mass.std() == pytest.approx(sd * 2**0.5, rel=0.12)
    assert share.mean() == pytest.approx(front / (front + rear), abs=1e-4)
    assert share.std() == pytest.approx(sd * np.hypot(front, rear) / (front + rear) ** 2, rel=0.12)


def test_what_the_samples_can_not_follow_is_told() -> None:
    """Give or take half an ounce on one axle of a tractor of unknown mass: too few would count, nothing is claimed."""
    before, found = laid(""), laid(measured("front_axle_on_scale", "1950 lb ± 0.03 lb"))
    assert found.taken[0].state == TOO_SHARP
    assert found.taken[0].effective < 64.0
    assert np.array_equal(before.draws["mass"], found.draws["mass"])


def test_every_way_is_taken_in_by_a_demo_tractor() -> None:
    """Each row of the table works on a record of the shelf and on a class alone."""
    values = {"mass": "600 kg", "length": "1 m", "slope": "5 deg", "count": "1", "pressure": "2400 psi", "time": "4 s"}
    shelf = demo_shelf()
    for record in ('record = "thimble-24"', 'class = "utility"'):
        for way in ways().values():
            given = 'seen = "pinned"' if way.reads == "seen" else f'value = "{values[way.reads]}"'
            ahead = 'ahead = "0.5 m"' if way.kind in ("lifted", "refused") else ""
            text = f'[machine]\n{record}\n{WORK}[[measurement]]\nwhat = "{way.id}"\n{given}\n{ahead}\n'
            found = lay(read_inquiry(text).resolve(shelf), Shelf(), 1)
            assert len(found.taken) == 1, way.id
            assert np.isfinite(found.draws["mass"]).all()


def test_the_class_of_a_measurement_is_what_the_table_says() -> None:
    assert Measurement(what="relief_by_gauge", value="2400 psi").way.who == "workshop"
    assert Measurement(what="gate_by_tape", value=Estimate.known(2.0)).sd == pytest.approx(0.25 * IN)
    assert isinstance(laid("").draws, Draws)


def test_papers_read_what_was_measured() -> None:
    """A relief that was read by gauge stands in the record that papers and drawings read."""
    asked = read(measured("relief_by_gauge", "2400 psi") + measured("wheelbase_by_tape", "90 in")).resolve(Shelf())
    known = as_measured(asked)
    assert known.machine.relief_pressure.origin == "measured"
    assert known.machine.relief_pressure.value == pytest.approx(2400 * 6894.757, rel=0.01)
    assert known.machine.wheelbase.is_unknown  # it contradicts the class, and is set aside
    plain_call = read("").resolve(Shelf())
    assert as_measured(plain_call) is plain_call
