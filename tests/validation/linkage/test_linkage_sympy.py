"""Linkage poses, rates and capacities against virtual work set up in sympy from the closure equations.

Nothing of the package's method is used: unknown body angles, squared distances as closure equations, a symbolic
Jacobian, Newton's method from the reference pose with the last steps at 30 digits, implicit differentiation.
"""

from __future__ import annotations

from functools import cache
from typing import Any

import mpmath
import numpy as np
import pytest
import sympy as sp

from handfast.physics.linkage import capacity_map
from handfast.physics.linkage_force import rise_rates, weight_rates
from handfast.physics.linkage_pose import pose

G = 9.80665
LEVER = ("level_chassis", "level_rod", "lever_pivot")
CRANK = ("bellcrank_pivot", "link_bellcrank", "link_tool")
PLAIN = ("arm_pivot", "lift_base", "lift_rod", "tool_pivot", "tilt_base", "tilt_rod")


class Symbols:
    """Symbols of one kind of linkage and the places of its pins as expressions of body angles."""

    def __init__(self, kind: str) -> None:
        self.names = PLAIN + LEVER * ("levelling" in kind) + CRANK * ("bellcrank" in kind)
        self.q = sp.symbols(bodies(kind))
        self.s, self.t = sp.symbols("s t")
        self.free = [s for n in (*self.names, "arm_cg", "tool_cg", "load") for s in sp.symbols(f"{n}_x {n}_z")]
        self.p0 = {n: sp.Matrix(sp.symbols(f"{n}_x {n}_z")) for n in (*self.names, "arm_cg", "tool_cg", "load")}

    def turn(self, body: str, own: str, now: Any, name: str) -> Any:
        angle = self.q[[str(q) for q in self.q].index(body)]
        return now + rotate(angle, self.p0[name] - self.p0[own])

    def arm(self, name: str) -> Any:
        return self.turn("arm", "arm_pivot", self.p0["arm_pivot"], name)


def bodies(kind: str) -> tuple[str, ...]:
    return ("arm",) + ("lever",) * ("levelling" in kind) + ("crank",) * ("bellcrank" in kind) + ("tool",)


def rotate(angle: Any, v: Any) -> Any:
    return sp.Matrix([sp.cos(angle) * v[0] - sp.sin(angle) * v[1], sp.sin(angle) * v[0] + sp.cos(angle) * v[1]])


def square(v: Any) -> Any:
    return v[0] ** 2 + v[1] ** 2


def closures(kind: str, y: Symbols) -> list[Any]:
    """Squared distances that the cylinders and rods hold."""
    pin, base = y.arm("tool_pivot"), y.arm("tilt_base")
    held = [square(y.arm("lift_rod") - y.p0["lift_base"]) - y.s**2]
    if "levelling" in kind:
        own = y.arm("lever_pivot")
        rod, base = (y.turn("lever", "lever_pivot", own, n) for n in ("level_rod", "tilt_base"))
        length = square(y.p0["level_rod"] - y.p0["level_chassis"])
        held.append(square(rod - y.p0["level_chassis"]) - length)
    if "bellcrank" not in kind:
        return [*held, square(y.turn("tool", "tool_pivot", pin, "tilt_rod") - base) - y.t**2]
    own = y.arm("bellcrank_pivot")
    rod, near = (y.turn("crank", "bellcrank_pivot", own, n) for n in ("tilt_rod", "link_bellcrank"))
    far = y.turn("tool", "tool_pivot", pin, "link_tool")
    link = square(y.p0["link_tool"] - y.p0["link_bellcrank"])
    return [*held, square(rod - base) - y.t**2, square(far - near) - link]


@cache
def solver(kind: str) -> dict[str, Any]:
    """Compiled closures, their Jacobian, and heights with their gradients, in floats and in many digits."""
    y = Symbols(kind)
    g = sp.Matrix(closures(kind, y))
    pin = y.arm("tool_pivot")
    heights = [pin[1], y.arm("arm_cg")[1], *((pin + rotate(y.q[-1], y.p0[n]))[1] for n in ("tool_cg", "load"))]
    every = {
        "g": g,
        "j": g.jacobian(y.q),
        "by": g.jacobian([y.s, y.t]),
        "z": sp.Matrix(heights),
        "dz": sp.Matrix(heights).jacobian(y.q),
        "pin": pin,
    }
    given = (list(y.q), [y.s, y.t], y.free)
    return {
        name: {how: sp.lambdify(given, e, how, cse=True) for how in ("numpy", "mpmath")} for name, e in every.items()
    } | {"names": y.names}


def numbers(case: Any) -> list[float]:
    """Values in the order of the symbols; centres on the tool are measured from its pin."""
    made = solver(case.kind)
    places = [case.pins[n] for n in made["names"]] + [case.arm[1], case.tool[1], case.load]
    return [v for p in places for v in (p.real, p.imag)]


def solve(case: Any, s: float, t: float) -> dict[str, Any]:
    """Pose by continuation from the reference pose, then rates by implicit differentiation, at 30 digits."""
    made, free = solver(case.kind), numbers(case)
    start = [abs(case.pins[a] - case.pins[b]) for a, b in (("lift_rod", "lift_base"), ("tilt_rod", "tilt_base"))]
    q = np.zeros(len(bodies(case.kind)))
    for share in np.linspace(0.05, 1.0, 20):
        now = [a + share * (b - a) for a, b in zip(start, (s, t), strict=True)]
        for _ in range(4):
            q = q - np.linalg.solve(made["j"]["numpy"](q, now, free), made["g"]["numpy"](q, now, free).ravel())
    many = mpmath.matrix([mpmath.mpf(float(v)) for v in q])
    now = [mpmath.mpf(s), mpmath.mpf(t)]
    for _ in range(3):
        given = (list(many), now, free)
        many -= mpmath.lu_solve(made["j"]["mpmath"](*given), made["g"]["mpmath"](*given))
    given = (list(many), now, free)
    assert mpmath.norm(made["g"]["mpmath"](*given)) < 1e-25
    by = made["by"]["mpmath"](*given)
    turned = [-mpmath.lu_solve(made["j"]["mpmath"](*given), by[:, i]) for i in (0, 1)]
    rates = [made["dz"]["mpmath"](*given) * each for each in turned]
    return {"q": many, "pin": made["pin"]["mpmath"](*given), "rates": rates}


def limit(case: Any, rates: Any, cylinder: dict[str, float]) -> float:
    """g·(m·load + own weights) = p·A, the piston side taken by the load's direction."""
    _, arm, tool, load = rates
    area = cylinder["bore"] ** 2 - (0 if load > 0 else cylinder["rod"] ** 2)
    force = float(mpmath.sign(load)) * case.pressure * cylinder["number"] * mpmath.pi / 4 * area
    mass = (force / G - case.arm[0] * arm - case.tool[0] * tool) / load
    return float(mass) if mass > 0 else float("nan")


@pytest.fixture(autouse=True, scope="module")
def digits() -> Any:
    before, mpmath.mp.dps = mpmath.mp.dps, 30
    yield
    mpmath.mp.dps = before


def worst(found: Any, expected: Any) -> float:
    """Largest deviation over the largest value; both must be null at the same poses."""
    a, b = np.asarray(found, float), np.asarray(expected, float)
    assert (np.isnan(a) == np.isnan(b)).all()
    return float(np.nanmax(np.abs(a - b)) / np.nanmax(np.abs(b)))


def test_map_agrees_with_virtual_work_in_sympy(case: Any) -> None:
    lengths = case.grid(4, 4)
    known = [[solve(case, float(s), float(t)) for t in lengths[1]] for s in lengths[0][:, 0]]
    at = pose(case.points, *lengths)
    assert worst(at.pin.real, [[k["pin"][0] for k in row[:1]] for row in known]) < 1e-9
    assert worst(at.pin.imag, [[k["pin"][1] for k in row[:1]] for row in known]) < 1e-9
    tool = np.array([[complex(mpmath.expj(k["q"][len(k["q"]) - 1])) for k in row] for row in known])
    assert np.abs(at.tool - tool).max() < 1e-9
    rises = [rise_rates(case.points, at, np.asarray(case.load)), weight_rates(case.points, at, case.weights)]
    for i in (0, 1):
        assert worst(rises[0][i], [[k["rates"][i][3] for k in row] for row in known]) < 1e-9
        own = [[case.arm[0] * k["rates"][i][1] + case.tool[0] * k["rates"][i][2] for k in row] for row in known]
        assert worst(rises[1][i], own) < 1e-9
    found = capacity_map(case.points, case.weights, *case.cylinders, case.pressure, np.asarray(case.load), *lengths)
    assert worst(found.lift_limited, [[limit(case, k["rates"][0], case.lift) for k in row] for row in known]) < 1e-9
    assert worst(found.curl_limited, [[limit(case, k["rates"][1], case.tilt) for k in row] for row in known]) < 1e-9
