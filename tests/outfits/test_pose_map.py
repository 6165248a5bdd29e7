"""A map over poses says at each pose what the checks say there; the linkage, what its own chapter says.

Held against `assess` in its three poses (which tests/validation holds against independently reckoned inquiries),
against one pose at a time in plain arithmetic, and against the level path of the linkage, itself held against sympy
and a rigid-body simulator.
"""

from __future__ import annotations

import math
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from handfast.machines.reading import demo_inquiries, demo_shelf, read_inquiry
from handfast.machines.shelf import Shelf
from handfast.outfits.assess import assess
from handfast.outfits.bench import EMPTY, FURTHEST, TRAVEL, TRAVEL_HEIGHT, Bench
from handfast.outfits.lay import lay
from handfast.outfits.masses import combined
from handfast.outfits.pose_map import POSE_CHECKS, PoseMap, pose_map
from handfast.physics.balance import axles

CHECKED = Path(__file__).parents[1] / "validation" / "checked"
KNOWN = ("q01", "q04", "q07", "q10", "q18", "q19")


@cache
def bench(name: str) -> Bench:
    return lay(read_inquiry((CHECKED / f"{name}.toml").read_text()).resolve(Shelf()), Shelf(), 1).benches[0]


@cache
def three(name: str) -> PoseMap:
    """Furthest forward, full height and travelling, tool level."""
    b = bench(name)
    return pose_map(b, 0, [float(b.height_of(pose)[0]) for pose in (FURTHEST, EMPTY, TRAVEL)], [0.0])


def same(one: object, other: object) -> None:
    np.testing.assert_allclose(np.ravel(np.asarray(one)), np.ravel(np.asarray(other)), rtol=1e-12, atol=1e-12)


@pytest.mark.parametrize("name", KNOWN)
def test_equals_the_checks_at_their_poses(name: str) -> None:
    b, found = bench(name), three(name)
    done = {f.check.id: f for f in assess(b).findings}

    def at(check_id: str, pose: int) -> tuple[float, float]:
        demand, capacity = found.of(check_id)
        return float(demand[pose, 0]), float(capacity[pose, 0])

    for check_id, pose in (("balance.rear_share_loaded", 0), ("balance.front_share_empty", 1), ("lift.full_height", 1)):
        same(at(check_id, pose), (done[check_id].demand, done[check_id].capacity))
    if b.links is None:
        same(at("lift.curl", 1), (done["lift.curl"].demand, done["lift.curl"].capacity))
    if done["balance.slope_hold"].decided[0]:
        same(at("balance.slope_hold", 2), (done["balance.slope_hold"].demand, done["balance.slope_hold"].capacity))
    same(found.first_roll[1, 0], b.first_roll(b.frame.height_max))
    same(found.first_roll[2, 0], b.first_roll(np.array([TRAVEL_HEIGHT])))


@pytest.mark.parametrize("name", KNOWN)
def test_equals_the_axle_loads_of_the_poses(name: str) -> None:
    b, found = bench(name), three(name)
    same([side[0, 0] for side in found.loaded], [np.ravel(side) for side in b.axles(FURTHEST)])
    same([side[1, 0] for side in found.empty], [np.ravel(side) for side in b.axles(EMPTY)])
    low = b.items(TRAVEL, loaded=False)
    bare = axles([i.mass for i in low], [i.x for i in low], b.frame.wheelbase)
    for side, kinds in enumerate((("front_axle", "front_tyres"), ("rear_axle", "rear_tyres"))):
        most = np.maximum(np.ravel(b.axles(TRAVEL, 1.5)[side]), np.ravel(bare[side]))
        for kind in kinds:
            demand, capacity = found.of(f"balance.{kind}")
            same(demand[2, 0], most)
            decided = assess(b).of(f"balance.{kind}")
            if decided.decided[0]:
                same(capacity[2, 0], decided.capacity)


def by_hand(b: Bench, height: float, angle: float) -> tuple[float, float]:
    """Front axle load, load on, and Σ m·d about the pin, one pose in plain floats."""
    pivot_x, pivot_z, boom, down = (float(np.ravel(part)[0]) for part in b.frame.pivot)

    def pin(z: float) -> float:
        return pivot_x + math.sqrt(boom**2 - (z - pivot_z) ** 2)

    span, moment, about = float(b.frame.wheelbase[0]), 0.0, 0.0
    for item in (b.ready, *b.fixed):
        moment += float(np.ravel(item.mass)[0]) * float(np.ravel(item.x)[0])
    arms = float(b.frame.arms_mass[0])
    moment += arms * 0.5 * (pin(height) - pin(down))
    coupler = [float(np.ravel(part)[0]) for part in b.coupler]
    moment -= coupler[0] * (pin(down) + coupler[1])
    for k, item in enumerate((b.coupler, b.kit, b.tool, b.piece)):
        mass, x, z = (float(np.ravel(part)[0]) for part in item)
        d = x * math.cos(angle) - z * math.sin(angle)
        moment += mass * (pin(height) + d)
        about += 0.0 if k == 0 and b.frame.ratings_with in ("quick_attach", "bucket") else mass * d
    return moment / span, about


@pytest.mark.parametrize("name", KNOWN)
def test_any_pose_in_plain_arithmetic(name: str) -> None:
    b = bench(name)
    heights = np.linspace(0.45, float(b.frame.height_max[0]) - 0.01, 4)
    curls = np.radians([-40.0, 0.0, 25.0])
    found = pose_map(b, 0, heights, curls)
    for i, height in enumerate(heights):
        for j, angle in enumerate(curls):
            front, about = by_hand(b, float(height), float(angle))
            assert found.loaded.front[i, j] == pytest.approx(front, rel=1e-12)
            assert found.of("lift.curl")[0][i, j] == pytest.approx(about, rel=1e-10)


def linked() -> Bench:
    """A machine of the shelf with a measured linkage."""
    name = next(k for k in demo_inquiries() if k.startswith("1-"))
    return lay(demo_inquiries()[name].resolve(demo_shelf()), demo_shelf(), 1).benches[0]


def test_linkage_level_equals_its_own_path() -> None:
    """At the lift lengths that the level path is laid out in, lift and curl are the path's."""
    b = linked()
    assert b.links is not None
    good = (b.links.height > 0.4) & (b.links.height < float(np.median(b.frame.height_max)))
    found = pose_map(b, 0, b.links.height[good], [0.0])
    path_lift, path_curl = (table[good, b.hanging[0]] for table in (b.links.lift, b.links.curl))
    demand, capacity = found.of("lift.full_height")
    by_linkage = np.minimum(path_lift, path_curl)
    assert np.all(found.payload[:, 0] <= by_linkage * (1 + 1e-9))
    governed = found.by_linkage[:, 0]
    spare = found.payload[:, 0][governed]
    assert spare == pytest.approx(np.fmin(path_lift, path_curl)[governed], rel=1e-6)
    assert np.all(np.isfinite(demand)) and np.all(np.isfinite(capacity))


def test_poses_out_of_reach_are_no_poses() -> None:
    b = bench("q07")
    found = pose_map(b, 0, [0.05, 1.0, 9.0], [0.0, 0.2])
    assert np.isnan(found.payload[[0, 2]]).all() and (found.governs[[0, 2]] == -1).all() and not found.holds[0].any()
    assert np.isfinite(found.payload[1]).all() and (found.governs[1] >= 0).all()


def test_what_governs_has_the_least_capacity_for_what_is_asked() -> None:
    found = pose_map(bench("q04"), 0, np.linspace(0.4, 1.5, 7), np.linspace(-0.5, 0.5, 5))
    with np.errstate(invalid="ignore", divide="ignore"):
        ratio = found.capacity / found.demand
    for i, j in np.ndindex(found.governs.shape):
        least = POSE_CHECKS[found.governs[i, j]]
        assert ratio[POSE_CHECKS.index(least), i, j] == np.nanmin(
            np.where(found.demand[:, i, j] > 0, ratio[:, i, j], np.nan)
        )
        assert found.holds[i, j] == bool(np.nanmin(ratio[:, i, j]) >= 1.0)


def test_curling_back_brings_a_low_load_nearer_and_a_high_one_further() -> None:
    """d = X cos θ − Z sin θ: with the load above the pin, curling back brings it in until it is over the pin."""
    b = bench("q07")
    found = pose_map(b, 0, [1.5], [0.0, 0.3, 0.6])
    assert float(np.ravel(b.piece.z)[0]) > 0.0
    assert np.all(np.diff(found.of("lift.curl")[0][0]) < 0.0)
    assert np.all(np.diff(found.loaded.front[0]) < 0.0)


def test_one_body_gives_the_axle_loads_too() -> None:
    """The masses of a pose as one body have the same moment as the masses one by one."""
    b = bench("q18")
    whole = combined(b.items(FURTHEST))
    front = np.ravel(whole.mass * whole.x / b.frame.wheelbase)
    same(three("q18").loaded.front[0, 0], front)
