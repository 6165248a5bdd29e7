"""Linkage poses and capacities against a rigid-body simulator (MuJoCo), its model built here from pins alone.

Hinged bodies, loops closed point to point, cylinders as tendons between sites. The simulator gives positions,
Jacobians and the weights' generalised forces; the pose is found by Newton's method on its own closure errors,
and the cylinder forces hold the package's limiting load at rest.
"""

from __future__ import annotations

from typing import Any

import mujoco
import numpy as np
import pytest

from handfast.physics.linkage import capacity_map
from handfast.physics.linkage_force import push_pull, rise_rates
from handfast.physics.linkage_pose import pose

HINGE = '<joint type="hinge" axis="0 -1 0"/>'


def at(p: complex) -> str:
    return f"{p.real!r} 0 {p.imag!r}"


def site(name: str, p: complex) -> str:
    return f'<site name="{name}" pos="{at(p)}"/>'


def body(name: str, own: complex, parent: complex, inside: str, mass: tuple[float, complex] = (1e-12, 0j)) -> str:
    """A hinged body; its frame is that of the reference pose, so that all places are differences of pins."""
    inertia = f'<inertial pos="{at(mass[1])}" mass="{max(mass[0], 1e-12)!r}" diaginertia="1 1 1"/>'
    return f'<body name="{name}" pos="{at(own - parent)}">{HINGE}{inertia}{inside}</body>'


def tool_side(case: Any) -> str:
    p, q = case.pins, case.pins["tool_pivot"]
    rod = "link_tool" if "bellcrank" in case.kind else "tilt_rod"
    load = f'<body name="load" pos="{at(case.load)}"><inertial pos="0 0 0" mass="1" diaginertia="1 1 1"/></body>'
    return body("tool", q, p["arm_pivot"], site(rod, p[rod] - q) + site("pin", 0j) + load, case.tool)


def tilt_side(case: Any) -> tuple[str, str]:
    """(what hangs on the arm besides the tool, what stands on the chassis)."""
    p, a, standing = case.pins, case.pins["arm_pivot"], ""
    hung = "" if "levelling" in case.kind else site("tilt_base", p["tilt_base"] - a)
    if "bellcrank" in case.kind:
        k, link = p["bellcrank_pivot"], p["link_bellcrank"]
        rod = body("link", link, k, site("link_end", p["link_tool"] - link))
        hung += body("crank", k, a, site("tilt_rod", p["tilt_rod"] - k) + rod)
    if "levelling" in case.kind:
        v, c = p["lever_pivot"], p["level_chassis"]
        hung += body("lever", v, a, site("tilt_base", p["tilt_base"] - v) + site("level_rod", p["level_rod"] - v))
        standing = body("rod", c, 0j, site("rod_end", p["level_rod"] - c))
    return hung, standing


def loops(kind: str) -> list[tuple[str, str]]:
    """Ends that are pinned together."""
    return [("link_end", "link_tool")] * ("bellcrank" in kind) + [("rod_end", "level_rod")] * ("levelling" in kind)


def model(case: Any) -> Any:
    p, a = case.pins, case.pins["arm_pivot"]
    hung, standing = tilt_side(case)
    inside = site("lift_rod", p["lift_rod"] - a) + hung + tool_side(case)
    arm = body("arm", a, 0j, inside, (case.arm[0], case.arm[1] - a))
    tendons = "".join(
        f'<spatial name="{n}"><site site="{n}_base"/><site site="{n}_rod"/></spatial>' for n in ("lift", "tilt")
    )
    world = f"<worldbody>{site('lift_base', p['lift_base'])}{standing}{arm}</worldbody>"
    return mujoco.MjModel.from_xml_string(
        f'<mujoco><compiler inertiafromgeom="false"/><option gravity="0 0 -9.80665"/>{world}'
        f"<tendon>{tendons}</tendon></mujoco>"
    )


class Simulated:
    """One compiled linkage, driven along its cylinder lengths from the reference pose."""

    def __init__(self, case: Any) -> None:
        self.model, self.loops = model(case), loops(case.kind)
        self.data = mujoco.MjData(self.model)
        self.load = mujoco.mj_name2id(self.model, mujoco.mjtObj.mjOBJ_BODY, "load")
        mujoco.mj_forward(self.model, self.data)
        self.start = self.data.ten_length.copy()

    def closure(self, lengths: Any) -> tuple[Any, Any]:
        """Errors of both cylinder lengths and of the loops, and their Jacobian."""
        mujoco.mj_fwdPosition(self.model, self.data)
        errors, rows = list(self.data.ten_length - lengths), []
        for name in ("lift", "tilt"):
            line, jac = self.between(f"{name}_rod", f"{name}_base")
            rows.append(line @ jac / np.linalg.norm(line))
        for ends in self.loops:
            apart, jac = self.between(*ends)
            errors += [apart[0], apart[2]]
            rows += [jac[0], jac[2]]
        return np.array(errors), np.array(rows)

    def between(self, one: str, other: str) -> tuple[Any, Any]:
        """From one site to another, and how that changes with the joints."""
        jacobians = np.zeros((2, 3, self.model.nv))
        for jac, name in zip(jacobians, (one, other), strict=True):
            mujoco.mj_jacSite(self.model, self.data, jac, None, self.data.site(name).id)
        return self.data.site(one).xpos - self.data.site(other).xpos, jacobians[0] - jacobians[1]

    def drive(self, lengths: Any) -> None:
        self.data.qpos[:] = 0.0
        for share in np.linspace(0.05, 1.0, 20):
            for _ in range(5):
                errors, rows = self.closure(self.start + share * (lengths - self.start))
                self.data.qpos[:] -= np.linalg.solve(rows, errors)

    def forces(self, mass: float) -> Any:
        """Pushes (lift, tilt) that hold that load at rest: weights' generalised forces on the closure Jacobian."""
        self.model.body_mass[self.load] = mass
        _, rows = self.closure(self.start)
        self.data.qvel[:] = 0.0
        mujoco.mj_fwdVelocity(self.model, self.data)
        return np.linalg.solve(rows.T, self.data.qfrc_bias)[:2]


def enough(rates: Any) -> Any:
    return np.abs(rates) >= 0.05 * np.abs(rates).max()


@pytest.mark.filterwarnings("error")
def test_map_agrees_with_rigid_bodies(case: Any) -> None:
    lengths, sim = case.grid(4, 4), Simulated(case)
    shape = (4, 4)
    known = pose(case.points, *lengths)
    levers = [enough(np.broadcast_to(r, shape)) for r in rise_rates(case.points, known, np.asarray(case.load))]
    found = capacity_map(case.points, case.weights, *case.cylinders, case.pressure, np.asarray(case.load), *lengths)
    held = 0
    for i, j in np.ndindex(*shape):
        sim.drive(np.array([lengths[0][i, 0], lengths[1][j]]))
        errors, _ = sim.closure(np.array([lengths[0][i, 0], lengths[1][j]]))
        assert np.abs(errors).max() < 1e-9
        pin = sim.data.site("pin")
        tool = complex(pin.xmat[0], pin.xmat[6])
        assert np.allclose(pin.xpos[[0, 2]], [found.pin_x[i, j], found.pin_z[i, j]], atol=1e-8)
        assert abs(tool - np.broadcast_to(known.tool, shape)[i, j]) < 1e-8
        for k, mass in enumerate((found.lift_limited[i, j], found.curl_limited[i, j])):
            if np.isfinite(mass) and levers[k][i, j]:
                force = sim.forces(mass)[k]
                most = push_pull(case.cylinders[k], case.pressure)
                assert force == pytest.approx(most[0] if force > 0 else -most[1], rel=1e-6)
                held += 1
    assert held >= 16
