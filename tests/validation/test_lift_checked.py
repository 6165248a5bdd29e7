"""The lift chapter against the checked inquiries, reckoned independently by moments and virtual work."""

from __future__ import annotations

import json
import re
import tomllib
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from handfast.physics.lift import (
    carried,
    carried_one,
    curl_moment,
    payload,
    pivot_from_sheet,
    rating_at_height,
    rating_slope,
)

CHECKED = Path(__file__).parent / "checked"
QUESTIONS = ["q01", "q04", "q07", "q10", "q18", "q19"]
UNITS = {"kg": 1.0, "lb": 0.45359237, "m": 1.0, "mm": 1e-3, "in": 0.0254, "ft": 0.3048}


def si(text: Any) -> float:
    """Just the spellings of these files: '23 1/2 in', '522 kg', a bare number."""
    if isinstance(text, (int, float)):
        return float(text)
    whole, over, under, unit = re.fullmatch(r"([\d.]+)(?: (\d+)/(\d+))? (\w+)", text).groups()
    return (float(whole) + (float(over) / float(under) if over else 0.0)) * UNITS[unit]


class Asked:
    """One checked inquiry with what the lift functions need of it."""

    def __init__(self, name: str) -> None:
        facts = tomllib.loads((CHECKED / f"{name}.toml").read_text())
        self.expected = json.loads((CHECKED / f"{name}.expected.json").read_text())["figures"]
        machine, self.tool = facts["machine"], facts["attachment"][0]
        self.loader, self.lift_to = machine["loader"], facts.get("site", {}).get("lift_to")
        self.pin, self.at_500 = si(self.loader["lift_at_pin"]), si(self.loader["lift_at_500"])
        self.slope = rating_slope(self.pin, self.at_500)
        self.plane, self.high = si(self.loader["plane_ahead"]), si(self.loader["pin_height_max"])
        reach = {k: si(v) for k, v in self.loader["pin_ahead"].items()}
        low = si(self.loader.get("pin_height_down", float("nan")))
        levelling = self.loader["self_levelling"]
        self.pivot = pivot_from_sheet(
            self.slope, reach["down"], reach["level"], reach["up"], self.high, low, si(machine["wheelbase"]), levelling
        )

    def on_pins(self) -> tuple[list[float], list[float]]:
        """Masses and distances that the rating does not contain, without the load."""
        masses, aheads = [si(self.tool["mass"])], [self.plane + si(self.tool["cg"][0])]
        if self.loader["ratings_with"] == "nothing" and "quick_attach_mass" in self.loader:
            masses.append(si(self.loader["quick_attach_mass"]))
            aheads.append(si(self.loader["quick_attach_cg"][0]))
        return masses, aheads

    def load_ahead(self) -> float:
        """The load's middle ahead of the pin: moment of the curl demand gives it without knowing the kind of work."""
        masses, aheads = self.on_pins()
        rest = self.value("check.lift.curl.demand") - sum(m * d for m, d in zip(masses, aheads, strict=True))
        return rest / self.value("load_mass")

    def credit(self) -> tuple[float, float]:
        """The bucket that the rating contains and that is now off."""
        if self.loader["ratings_with"] != "bucket":
            return 0.0, 0.0
        return si(self.loader["ratings_with_mass"]), si(self.loader["ratings_with_ahead"])

    def value(self, name: str) -> float:
        return float(self.expected[name]["value"])


@pytest.fixture(params=QUESTIONS)
def asked(request: pytest.FixtureRequest) -> Asked:
    return Asked(request.param)


def test_slope_and_pivot(asked: Asked) -> None:
    assert asked.slope == pytest.approx(asked.value("lambda"), rel=1e-9, abs=1e-12)
    assert asked.pivot.x == pytest.approx(asked.value("pivot.x"), rel=1e-9)
    assert asked.pivot.z == pytest.approx(asked.value("pivot.z"), rel=1e-9)
    assert asked.pivot.height_down == pytest.approx(asked.value("pin_height.down"), rel=1e-9)


def test_full_height(asked: Asked) -> None:
    masses, aheads = asked.on_pins()
    limit = asked.pin + carried_one(asked.credit()[0], asked.slope, asked.credit()[1])
    rest = carried(masses, asked.slope, aheads)
    ahead = asked.load_ahead()
    assert limit == pytest.approx(asked.value("check.lift.full_height.capacity"), rel=1e-9)
    assert payload(limit, asked.slope, rest, ahead) == pytest.approx(asked.value("payload.full_height"), rel=1e-9)
    demand = rest + carried_one(asked.value("load_mass"), asked.slope, ahead)
    assert demand == pytest.approx(asked.value("check.lift.full_height.demand"), rel=1e-9)


def test_needed_height(asked: Asked) -> None:
    if asked.lift_to is None:
        pytest.skip("no height asked in this inquiry")
    height = si(asked.lift_to) + 0.15 + si(asked.loader["plane_drop"])
    low, low_500 = (si(asked.loader.get(k, float("nan"))) for k in ("lift_at_pin_1500", "lift_at_500_1500"))
    pin, slope = rating_at_height(asked.pin, asked.slope, low, low_500, height, asked.pivot, asked.high)
    masses, aheads = asked.on_pins()
    limit = pin + carried_one(asked.credit()[0], slope, asked.credit()[1])
    demand = carried([*masses, asked.value("load_mass")], slope, [*aheads, asked.load_ahead()])
    assert limit == pytest.approx(asked.value("check.lift.needed_height.capacity"), rel=1e-9)
    assert demand == pytest.approx(asked.value("check.lift.needed_height.demand"), rel=1e-9)


def test_curl_capacity(asked: Asked) -> None:
    moment = curl_moment(si(asked.loader["curl_at_500"]), 0.5) + np.prod(asked.credit())
    assert moment == pytest.approx(asked.value("check.lift.curl.capacity"), rel=1e-9)
