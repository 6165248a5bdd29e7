"""Bump and braking as stated factors: moments by hand about the rear axle, on the worked example whose facts are known.

The example is `tests/validation/checked/q01`; its arms weigh 210 lb with their middle half way from pivot to pin, its
attachment 175 lb with its middle 11 in ahead of the plane, and the bite of brush lies at the load centre, 20 in ahead.
"""

from __future__ import annotations

from functools import cache
from math import sqrt
from pathlib import Path

import pytest

from handfast.advice.advise import advise
from handfast.advice.result import OutfitAdvice
from handfast.machines.faults import Faults
from handfast.machines.reading import read_inquiry
from handfast.machines.shelf import Shelf

TEXT = (Path(__file__).parents[1] / "validation" / "checked" / "q01.toml").read_text()
LB, IN = 0.45359237, 0.0254
RATED = ("balance.front_axle", "balance.rear_axle", "balance.front_tyres", "balance.rear_tyres")


@cache
def outfit(travel: str = "") -> OutfitAdvice:
    return advise(read_inquiry(f"{TEXT}\n[travel]\n{travel}\n"), Shelf()).outfits[0]


def demand(one: OutfitAdvice, check: str) -> float:
    found = next(c for c in one.checks if c.id == check)
    assert found.demand is not None
    return found.demand.p50


def basis(one: OutfitAdvice) -> str:
    return next(c.basis for c in one.checks if c.id == "balance.front_axle")


@pytest.mark.parametrize("bump", [1.8, 2.5, 4.0])
def test_a_stated_bump_counts_all_that_the_arms_carry(bump: float) -> None:
    one = outfit(f"bump = {bump}")
    g, rest = one.geometry.values, next(pose for pose in one.axles if pose.pose == "travelling")
    pin = g["pivot_x"] + sqrt(g["boom"] ** 2 - (0.4 - g["pivot_z"]) ** 2)
    carried = [
        (210 * LB, 0.5 * (g["pivot_x"] + pin)),
        (175 * LB, pin + 1 * IN + 11 * IN),
        (one.load, pin + 1 * IN + 20 * IN),
    ]
    more_front = sum(m * x for m, x in carried) / (55 * IN)
    more_rear = sum(m for m, _ in carried) - more_front
    assert demand(one, "balance.front_axle") == pytest.approx(rest.front + (bump - 1.0) * more_front, rel=1e-9)
    felt = rest.rear + (bump - 1.0) * more_rear
    others = [pose.rear for pose in one.axles if pose.pose in ("loaded_furthest", "empty_raised")]
    assert demand(one, "balance.rear_axle") == pytest.approx(max(felt, *others), rel=1e-9)


def test_what_is_not_stated_is_common_practice_and_says_so() -> None:
    assert "counts 1.5 times (bump, practice)" in basis(outfit())
    assert "counts 1.8 times (bump, stated)" in basis(outfit("bump = 1.8"))
    assert "(bump, measured)" in basis(outfit('bump = { value = 1.8, origin = "measured" }'))
    for check in RATED:
        assert demand(outfit("bump = 1.5"), check) == demand(outfit(), check)
    assert next(a.title for a in outfit().axles if a.pose == "braking") == "Braking, 2 m/s²"


def test_braking_moves_mass_times_share_times_height_over_wheelbase_forward() -> None:
    poses = {pose.pose: pose for pose in outfit('braking = "30 %"').axles}
    usual = {pose.pose: pose for pose in outfit().axles}
    moved = poses["braking"].front - poses["travelling"].front
    assert moved == pytest.approx((usual["braking"].front - usual["travelling"].front) * 0.30 / (2.0 / 9.80665))
    assert poses["braking"].rear == pytest.approx(poses["travelling"].rear - moved)
    assert poses["braking"].title == "Braking, 2.94 m/s²"
    assert poses["travelling"] == usual["travelling"]


@pytest.mark.parametrize(
    ("entry", "place"),
    [
        ("bump = 0.5", "travel.bump"),
        ("bump = 12", "travel.bump"),
        ('bump = "3 ft"', "travel.bump"),
        ('bump = "1.3 to 1.8"', "travel.bump"),
        ('braking = "200 %"', "travel.braking"),
        ("braking = -0.1", "travel.braking"),
        ("bumb = 1.5", "travel.bumb"),
    ],
)
def test_nonsense_is_a_fault_with_its_place(entry: str, place: str) -> None:
    with pytest.raises(Faults) as caught:
        read_inquiry(f"{TEXT}\n[travel]\n{entry}\n")
    assert [fault.place for fault in caught.value.faults] == [place]
