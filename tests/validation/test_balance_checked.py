"""Balance and slope against the six checked inquiries, reckoned independently by moments and virtual work.

The recipe: the ready state (arms down, bare quick attach on); arms and quick attach taken out where they
rest and put back where they are; attachment and load at the pin plus the mounting plane; tyre fill at wheel
radius; what hangs behind. For the slope the front axle is taken out at wheelbase and front wheel radius.
"""

from __future__ import annotations

import json
import re
import tomllib
from math import pi, sqrt
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from handfast.physics.balance import Axles, Item, axles, counterweight, hitch_capacity, posed, share
from handfast.physics.slope import Body, body_without_axle, combine, first_roll, worst_first_roll

CHECKED = Path(__file__).parent / "checked"
UNITS = {"kg": 1.0, "lb": 0.45359237, "m": 1.0, "mm": 1e-3, "in": 0.0254, "ft": 0.3048}
TIGHT = {"rel": 1e-12, "abs": 1e-12}


def si(text: Any) -> float:
    """Just the spellings of these files: '23 1/2 in', '522 kg', a bare number."""
    if isinstance(text, int | float):
        return float(text)
    found = re.fullmatch(r"([\d.-]+)(?: (\d+)/(\d+))? (\w+)", text)
    assert found, text
    whole, over, under, unit = found.groups()
    return (float(whole) + (float(over) / float(under) if over else 0.0)) * UNITS[unit]


class Asked:
    """One checked inquiry, its geometry by hand from the sheet's figures."""

    def __init__(self, name: str) -> None:
        facts = tomllib.loads((CHECKED / f"{name}.toml").read_text())
        self.figures = json.loads((CHECKED / f"{name}.expected.json").read_text())["figures"]
        self.machine, self.tool, self.work = facts["machine"], facts["attachment"][0], facts["work"][0]
        self.loader, self.behind = self.machine["loader"], facts.get("behind")
        self.lift_to = si(facts.get("site", {}).get("lift_to", float("nan")))
        self.span, self.high = si(self.machine["wheelbase"]), si(self.loader["pin_height_max"])
        self.pivot = (self.value("pivot.x"), self.value("pivot.z"))
        self.reach = self.span + si(self.loader["pin_ahead"]["level"]) - self.pivot[0]
        self.plane = (si(self.loader["plane_ahead"]), -si(self.loader["plane_drop"]))

    def value(self, name: str) -> float:
        return float(self.figures[name]["value"])

    def pin(self, height: float) -> tuple[float, float]:
        return self.pivot[0] + sqrt(self.reach**2 - (height - self.pivot[1]) ** 2), height

    def on_plane(self, mass: float, point: list[Any]) -> Item:
        return Item(mass, self.plane[0] + si(point[0]), self.plane[1] + si(point[1]))

    def seat(self) -> list[Any]:
        """Round pieces rest against plate and tines; everything else sits at the load centre."""
        round_one = self.work["kind"] in ("logs", "rock", "round_bales")
        return [si(self.work["diameter"]) / 2] * 2 if round_one else self.tool["load_centre"]

    def fixed(self) -> list[Item]:
        items = []
        if "tyre_fill" in self.machine:
            fill = self.machine["tyre_fill"]
            items.append(Item(fill["volume"] * fill["density"], 0.0, si(self.machine["rear_tyre"]["radius"])))
        if self.behind:
            items.append(Item(si(self.behind["mass"]), -si(self.behind["behind"]), si(self.behind["height"])))
        return items

    def items(self, height: float, loaded: bool, bump: float = 1.0) -> list[Item]:
        mass = si(self.machine["mass"])
        ready = Item(mass, si(self.machine["front_axle_mass"]) * self.span / mass, si(self.machine["cg_height"]))
        cg = self.loader.get("quick_attach_cg", [0, 0])
        coupler = Item(si(self.loader.get("quick_attach_mass", 0)), si(cg[0]), si(cg[1]))
        carried = [self.on_plane(si(self.tool["mass"]), self.tool["cg"])]
        carried += [self.on_plane(self.value("load_mass"), self.seat())] if loaded else []
        down = self.pin(self.value("pin_height.down"))
        arms = si(self.loader["arms_mass"])
        return posed(ready, arms, coupler, self.pivot, down, self.pin(height), carried, self.fixed(), bump)

    def axles(self, height: float, loaded: bool, bump: float = 1.0) -> Axles:
        items = self.items(height, loaded, bump)
        return axles([i.mass for i in items], [i.x for i in items], self.span)

    def bodies(self, height: float) -> tuple[Body, Body]:
        items = self.items(height, loaded=True)
        whole = combine([i.mass for i in items], [i.x for i in items], [0.0] * len(items), [i.z for i in items])
        axle, radius = si(self.machine["front_axle_assembly_mass"]), si(self.machine["front_tyre"]["radius"])
        return body_without_axle(whole.mass, whole.x, whole.z, axle, self.span, radius), whole

    def lines(self) -> tuple[float, float, float]:
        return self.span, si(self.machine["rear_track"]), si(self.machine["front_pivot_height"])


@pytest.fixture(params=["q01", "q04", "q07", "q10", "q18", "q19"])
def asked(request: pytest.FixtureRequest) -> Asked:
    return Asked(request.param)


def test_axle_masses_in_every_pose(asked: Asked) -> None:
    poses = {
        "empty_raised": (asked.high, False, 1.0),
        "loaded_furthest": (asked.pivot[1], True, 1.0),
        "travelling.bump_1.0": (0.4, True, 1.0),
        "travelling.bump_1.5": (0.4, True, 1.5),
    }
    for name, pose in poses.items():
        got = asked.axles(*pose)
        assert float(got.front) == pytest.approx(asked.value(f"axles.{name}.front"), **TIGHT)
        assert float(got.rear) == pytest.approx(asked.value(f"axles.{name}.rear"), **TIGHT)


def test_shares_and_counterweight(asked: Asked) -> None:
    low, high = asked.axles(asked.pivot[1], True), asked.axles(asked.high, False)
    rear, front = share(low.rear, sum(low)), share(high.front, sum(high))
    assert float(rear) == pytest.approx(asked.value("check.balance.rear_share_loaded.capacity"), **TIGHT)
    assert float(front) == pytest.approx(asked.value("check.balance.front_share_empty.capacity"), **TIGHT)
    empty = asked.axles(asked.pivot[1], False)
    ahead = asked.pin(asked.pivot[1])[0] + float(asked.on_plane(1.0, asked.seat()).x) - asked.span
    for k in (0.20, 0.25):
        got = counterweight(empty.front, empty.rear, asked.value("load_mass"), ahead, 1.4, asked.span, k)
        assert float(got) == pytest.approx(asked.value(f"counterweight.{k * 100:.0f}"), abs=1e-12)


def test_hitch(asked: Asked) -> None:
    if "check.balance.hitch.capacity" in asked.figures:
        behind_ends = si(asked.behind["behind"]) - si(asked.machine["hitch_behind_axle"])
        got = hitch_capacity(si(asked.machine["hitch_lift_610"]), behind_ends)
        assert float(got) == pytest.approx(asked.value("check.balance.hitch.capacity"), **TIGHT)


def test_first_roll(asked: Asked) -> None:
    for name, height in (("tip.low_loaded", 0.4), ("tip.full_height_loaded", asked.high)):
        body, whole = asked.bodies(height)
        lines = asked.lines()
        assert float(first_roll(pi / 2, body, *lines, whole).least) == pytest.approx(asked.value(name), **TIGHT)
        worst = worst_first_roll(body, *lines, whole).least
        assert float(worst) == pytest.approx(asked.value(f"{name}.worst_heading"), **TIGHT)


def test_slope_side_check(asked: Asked) -> None:
    if "check.slope.side.capacity" not in asked.figures:
        return
    needed = asked.lift_to + 0.15 - asked.plane[1]
    least = [
        float(worst_first_roll(*asked.bodies(h)[:1], *asked.lines(), asked.bodies(h)[1]).least) for h in (0.4, needed)
    ]
    assert 0.5 * min(least) == pytest.approx(asked.value("check.slope.side.capacity"), **TIGHT)


def test_poses_as_one_array(asked: Asked) -> None:
    """All heights in one call are what each height gives by itself."""
    heights = np.array([0.4, asked.pivot[1], asked.high])
    pins = np.array([asked.pin(h) for h in heights])
    items = asked.items(0.4, True)
    mass, arms = items[0], float(np.asarray(items[2].mass))
    load = [
        asked.on_plane(si(asked.tool["mass"]), asked.tool["cg"]),
        asked.on_plane(asked.value("load_mass"), asked.seat()),
    ]
    cg = [si(v) for v in asked.loader.get("quick_attach_cg", [0, 0])]
    coupler = Item(si(asked.loader.get("quick_attach_mass", 0)), *cg)
    down = asked.pin(asked.value("pin_height.down"))
    all_items = posed(mass, arms, coupler, asked.pivot, down, (pins[:, 0], pins[:, 1]), load, asked.fixed())
    got = axles([i.mass for i in all_items], [i.x for i in all_items], asked.span)
    assert got.front.tolist() == [float(asked.axles(h, True).front) for h in heights]
