"""The eight demonstration callers reckoned by hand in pounds and inches, against the physics and the shelf's ratings.

Source of every expected figure: the scenario's own hand reckoning, two formulas (moments about the arm pivot from the
pair of ratings, moments about the axles), done apart from this program and printed to the whole pound. Its layout is
kept here: each mass at the distance ahead of the pins that the reckoning took, ballast hung at the link ends, the
whole machine taken as one body on the slope. Where the program knows better (ballast 610 mm behind the link ends, a
log lying against the back of the jaw, the front axle apart from the body), its answer differs on purpose: see the last
test.
"""

from __future__ import annotations

import numpy as np
import pytest

from handfast.machines.shelf_files import demo_shelf
from handfast.physics.balance import axles, counterweight
from handfast.physics.lift import carried, payload, rating_slope
from handfast.physics.slope import combine, first_roll

LB, IN = 0.45359237, 0.0254
SHELF = demo_shelf()


def left_at_full_height(pin: float, far: float, parts: list[tuple[float, float]], ahead: float) -> float:
    """Payload [lb] from two ratings [lb], (mass [lb], distance [in]) of what hangs on, and where the load sits [in]."""
    slope = rating_slope(pin * LB, far * LB)
    masses, distances = np.array(parts).T
    held = carried(masses * LB, slope, distances * IN)
    return float(payload(pin * LB, slope, held, ahead * IN)) / LB


def ratings(machine: str) -> tuple[float, float]:
    """The pair on the shelf [lb]."""
    loader = SHELF.machines[machine].loader
    return loader.lift_at_pin.value / LB, loader.lift_at_500.value / LB


@pytest.mark.parametrize(
    ("machine", "parts", "ahead", "by_hand"),
    [
        ("thimble-24", [(85, 3), (520, 20)], 28, 56),
        ("thimble-24", [(190, 13)], 24, 450),
        ("satchel-29", [(330, 14)], 24, 580),
        ("satchel-29", [(95, 3), (330, 18.5)], 28.5, 464),
        ("tinderbox-23", [(210, 13)], 24, 403),
        ("tinderbox-23", [(245, 13)], 24, 373),
        ("hamper-42", [(480, 15)], 21, 1142),
        ("satchel-33", [(340, 15)], 24, 784),
        ("satchel-33", [(640, 17)], 24, 502),
        ("trug-48", [(320, 12)], 26, 1386),
    ],
)
def test_payload_left(machine: str, parts: list[tuple[float, float]], ahead: float, by_hand: float) -> None:
    """What is left at full height after quick attach and attachment."""
    assert left_at_full_height(*ratings(machine), parts, ahead) == pytest.approx(by_hand, abs=1.0)


@pytest.mark.parametrize(
    ("pair", "light", "heavy"),
    [((1100, 750), 446, 191), ((1500, 1075), 753, 480), ((1900, 1400), 1062, 773)],
)
def test_payload_over_a_class(pair: tuple[float, float], light: float, heavy: float) -> None:
    """Half the facts unknown: light pinned on, and heavy on a conversion, over the class."""
    assert left_at_full_height(*pair, [(300, 14)], 24) == pytest.approx(light, abs=1.0)
    assert left_at_full_height(*pair, [(95, 3), (460, 20)], 28.5) == pytest.approx(heavy, abs=1.0)


def hung_at(machine: str, parts: list[tuple[float, float]], behind: float) -> tuple[float, float]:
    """(rear axle [lb] with nothing behind, weight [lb] for a quarter of the whole), parts ahead of level pins [in]."""
    record = SHELF.machines[machine]
    span, level = record.wheelbase.value, record.loader.pin_ahead.level.value
    masses = [m * LB for m, _ in parts]
    xs = [span + level + d * IN for _, d in parts]
    front, rear = record.front_axle_mass.value, record.rear_axle_mass.value
    found = axles([front, rear, *masses], [span, 0.0, *xs], span)
    load, ahead = sum(masses), sum(m * (x - span) for m, x in zip(masses, xs, strict=True)) / sum(masses)
    need = counterweight(front, rear, load, ahead, behind, span, 0.25)
    return float(found.rear) / LB, float(need) / LB


@pytest.mark.parametrize(
    ("machine", "parts", "by_hand"),
    [
        ("thimble-24", [(190, 13), (400, 24)], 287),
        ("satchel-29", [(330, 14), (500, 24)], 309),
        ("tinderbox-23", [(210, 13), (350, 24)], 245),
        ("hamper-42", [(480, 15), (1095, 21)], 656),
        ("hamper-42", [(480, 15), (548, 21)], 115),
        ("trug-48", [(320, 12), (1300, 26)], 645),
    ],
)
def test_weight_asked_behind(machine: str, parts: list[tuple[float, float]], by_hand: float) -> None:
    """A quarter on the rear axle, load furthest forward, weight at the link ends; axle masses are to 5 lb."""
    ends = SHELF.machines[machine].hitch_behind_axle.value
    assert hung_at(machine, parts, ends)[1] == pytest.approx(by_hand, abs=5.0)


def test_rear_axle_with_nothing_behind() -> None:
    """The first caller's rear axle with the log furthest forward: 341 lb."""
    assert hung_at("thimble-24", [(190, 13), (400, 24)], 1.0)[0] == pytest.approx(341, abs=3.0)


BARE = (3600.0, 0.54 * 65, 28.0)
RAISED, LOW, BOX = (940.0, 118.0, 90.0), (940.0, 124.0, 18.0), (500.0, -34.0, 18.0)


@pytest.mark.parametrize(
    ("items", "by_hand"),
    [
        ([BARE], 27.4),
        ([BARE, RAISED], 8.7),
        ([BARE, LOW], 15.8),
        ([BARE, LOW, BOX], 24.7),
        ([BARE, RAISED, BOX], 14.5),
    ],
)
def test_first_roll_broadside(items: list[tuple[float, float, float]], by_hand: float) -> None:
    """The bank: whole machine as one body, wheelbase 65, rear track 46, front pivot 14 in."""
    mass, x, height = np.array(items).T
    body = combine(list(mass * LB), list(x * IN), [0.0] * len(mass), list(height * IN))
    limits = first_roll(np.pi / 2, body, 65 * IN, 46 * IN, 14 * IN)
    assert float(np.degrees(limits.least)) == pytest.approx(by_hand, abs=0.05)


def test_a_middle_farther_back_asks_for_less() -> None:
    """The hand figures hang the weight at the link ends; 610 mm behind them a quarter less does it.

    B ∝ 1 / (3/4 + behind / wheelbase): the first caller's 287 lb become 287·(0.75 + 32/55)/(0.75 + 56/55) = 216 lb.
    """
    ends = SHELF.machines["thimble-24"].hitch_behind_axle.value
    parts = [(190.0, 13.0), (400.0, 24.0)]
    assert hung_at("thimble-24", parts, ends + 24 * IN)[1] == pytest.approx(216, abs=4.0)
