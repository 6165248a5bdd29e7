"""Random plausible loader linkages of the three kinds, and of lever and bellcrank together, as plain numbers."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np
import pytest

from handfast.physics.linkage import least_leverage
from handfast.physics.linkage_force import Cylinder, Weights
from handfast.physics.linkage_pose import LinkagePoints, pose

KINDS = ("direct", "bellcrank", "levelling", "levelling_bellcrank")
EACH = 20


@dataclass(frozen=True)
class Case:
    """One linkage in plain numbers; the last three properties put it in the words of the package."""

    kind: str
    pins: dict[str, complex]
    lift: dict[str, float]
    tilt: dict[str, float]
    pressure: float
    arm: tuple[float, complex]
    tool: tuple[float, complex]
    load: complex

    @property
    def points(self) -> LinkagePoints:
        return LinkagePoints(**{k: np.asarray(v) for k, v in self.pins.items()})

    @property
    def weights(self) -> Weights:
        return Weights(self.arm[0], np.asarray(self.arm[1]), self.tool[0], np.asarray(self.tool[1]))

    @property
    def cylinders(self) -> tuple[Cylinder, Cylinder]:
        return Cylinder(**self.lift), Cylinder(**self.tilt)

    def grid(self, n: int, m: int) -> tuple[Any, Any]:
        lift, tilt = ((c["retracted"], c["extended"]) for c in (self.lift, self.tilt))
        return np.linspace(*lift, n)[:, None], np.linspace(*tilt, m)


def ray(radius: float, degrees: float) -> complex:
    return complex(radius * np.exp(1j * np.radians(degrees)))


def arms(draw: Any) -> tuple[dict[str, complex], float, float, float]:
    """Arm pivot, tool pin and lift cylinder pins, arms down; arm length, arm angle down and sweep in degrees."""
    long, low = draw(1.5, 2.6), draw(0.2, 0.35)
    pivot = complex(draw(0.8, 1.5), long * draw(0.66, 0.76))
    down, sweep = -np.degrees(np.arcsin((pivot.imag - low) / long)), draw(68.0, 80.0)
    pins = {"arm_pivot": pivot, "tool_pivot": pivot + ray(long, down)}
    pins["lift_base"] = pivot + long * complex(draw(-0.12, -0.02), -draw(0.40, 0.48))
    pins["lift_rod"] = pivot + ray(long * draw(0.22, 0.3), down + draw(-8.0, 6.0))
    return pins, long, down, sweep


def tilt_pins(kind: str, pins: dict[str, complex], long: float, down: float, draw: Any) -> None:
    """The tilt side of each kind, added to the pins of the arms."""
    pin, along, above = pins["tool_pivot"], ray(1.0, down), ray(1.0, down + 90.0)
    if kind == "direct":
        pins["tilt_base"] = pin - long * draw(0.38, 0.46) * along + draw(0.05, 0.15) * above
        pins["tilt_rod"] = pin + ray(draw(0.16, 0.24), draw(84.0, 104.0))
    elif kind == "bellcrank":
        bellcrank(pins, long, down, draw)
        pins["tilt_base"] = pins["bellcrank_pivot"] - long * draw(0.36, 0.44) * along + draw(0.02, 0.12) * above
    elif kind == "levelling":
        up = lever(pins, long * draw(0.36, 0.46), long, down, draw)
        pins["tilt_rod"] = pin + up * draw(0.92, 1.08) * ray(1.0, draw(-6.0, 6.0))
    else:
        bellcrank(pins, long, down, draw)
        up = lever(pins, long * draw(0.52, 0.62), long, down, draw)
        pins["tilt_rod"] = pins["bellcrank_pivot"] + up * draw(0.92, 1.08) * ray(1.0, draw(-6.0, 6.0))


def bellcrank(pins: dict[str, complex], long: float, down: float, draw: Any) -> None:
    """A bellcrank behind the tool pin and its link, nearly a parallelogram."""
    along, above = ray(1.0, down), ray(1.0, down + 90.0)
    own = pins["bellcrank_pivot"] = pins["tool_pivot"] - long * draw(0.2, 0.26) * along + draw(0.0, 0.08) * above
    crank, turn = draw(0.16, 0.22), draw(88.0, 104.0)
    pins["link_tool"] = pins["tool_pivot"] + ray(crank, turn)
    pins["link_bellcrank"] = own + ray(crank * draw(0.92, 1.08), turn + draw(-8.0, 8.0))
    pins["tilt_rod"] = own + ray(crank * draw(0.9, 1.2), turn + draw(-10.0, 10.0))


def lever(pins: dict[str, complex], behind: float, long: float, down: float, draw: Any) -> complex:
    """A levelling lever on the arms and its rod to the chassis, nearly a parallelogram; gives its upper arm."""
    own = pins["lever_pivot"] = pins["tool_pivot"] - behind * ray(1.0, down)
    arm = long * complex(draw(-0.04, 0.02), draw(0.09, 0.13))
    pins["level_chassis"] = pins["arm_pivot"] + arm
    pins["level_rod"] = own + arm * draw(0.92, 1.08) * ray(1.0, draw(-6.0, 6.0))
    up = complex(draw(-0.04, 0.04), draw(0.14, 0.2))
    pins["tilt_base"] = own + up
    return up


def turned(pins: dict[str, complex], own: str, degrees: float) -> float:
    """Tilt length when its crank is turned against the arms at the reference pose."""
    crank = (pins["tilt_rod"] - pins[own]) * ray(1.0, degrees)
    return abs(pins[own] + crank - pins["tilt_base"])


def draw_case(kind: str, rng: np.random.Generator) -> Case | None:
    """One draw; None where no such loader could be built or it comes too near a dead centre."""

    def draw(low: float, high: float) -> float:
        return float(rng.uniform(low, high))

    pins, long, down, sweep = arms(draw)
    tilt_pins(kind, pins, long, down, draw)
    raised = pins["arm_pivot"] + (pins["lift_rod"] - pins["arm_pivot"]) * ray(1.0, sweep)
    lift = {"retracted": abs(pins["lift_rod"] - pins["lift_base"]), "extended": abs(raised - pins["lift_base"])}
    own = "bellcrank_pivot" if "bellcrank" in kind else "tool_pivot"
    dumped = draw(20.0, 32.0) if "levelling" in kind else sweep + draw(8.0, 28.0)
    tilt = {"retracted": turned(pins, own, draw(10.0, 25.0)), "extended": turned(pins, own, -dumped)}
    for cylinder, bore in ((lift, 0.03 * long), (tilt, 0.03 * long)):
        cylinder |= {"bore": bore * draw(0.9, 1.2), "number": float(rng.integers(1, 3))}
        cylinder["rod"] = cylinder["bore"] * draw(0.5, 0.65)
    arm = (draw(60.0, 130.0) * long, pins["arm_pivot"] + ray(long * 0.45, down + draw(0.0, 10.0)))
    tool = (draw(40.0, 350.0), complex(draw(0.2, 0.5), draw(-0.1, 0.25)))
    case = Case(kind, pins, lift, tilt, draw(130e5, 200e5), arm, tool, complex(draw(0.3, 0.9), draw(-0.1, 0.4)))
    return case if plausible(case) else None


def plausible(case: Case) -> bool:
    for cylinder in (case.lift, case.tilt):
        travel = cylinder["extended"] - cylinder["retracted"]
        if not 0.1 < travel < cylinder["retracted"] - 0.08:
            return False
    return bool((least_leverage(case.points, pose(case.points, *case.grid(9, 9))) > 0.12).all())


def drawn(kind: str) -> Iterator[Case]:
    rng = np.random.default_rng(KINDS.index(kind) + 2024)
    while True:
        case = draw_case(kind, rng)
        if case is not None:
            yield case


def cases() -> list[Any]:
    every = []
    for kind in KINDS:
        source = drawn(kind)
        every += [pytest.param(next(source), id=f"{kind}-{i}") for i in range(EACH)]
    return every


@pytest.fixture(params=cases())
def case(request: pytest.FixtureRequest) -> Case:
    """A plausible linkage; twenty of each kind."""
    return request.param  # type: ignore[no-any-return]
