"""How long the lift × curl map of a linkage takes, against a plain Python loop over the same poses.

Run: python tests/benchmarks/bench_linkage.py
"""

from __future__ import annotations

import math
import time
from collections.abc import Callable

import numpy as np

from handfast.physics.linkage import capacity_map, stroke
from handfast.physics.linkage_fit import Loader, class_loader

LIFTS, TILTS, REPEATS = 50, 30, 15
LOAD = np.asarray(0.6 + 0.15j)


def best_of(run: Callable[[], object], repeats: int = REPEATS) -> float:
    """Least time of some runs [s]."""
    times = []
    for _ in range(repeats):
        start = time.perf_counter()
        run()
        times.append(time.perf_counter() - start)
    return min(times)


def whole(made: Loader) -> np.ndarray:
    """The map as arrays."""
    held = (made.points, made.weights, made.lift, made.tilt, made.pressure)
    return capacity_map(*held, LOAD, stroke(made.lift, LIFTS)[:, None], stroke(made.tilt, TILTS)).capacity


def one_by_one(made: Loader) -> None:
    """The same function, pose after pose."""
    held = (made.points, made.weights, made.lift, made.tilt, made.pressure)
    for lift in stroke(made.lift, LIFTS):
        for tilt in stroke(made.tilt, TILTS):
            capacity_map(*held, LOAD, float(lift), float(tilt))


def by_hand(made: Loader) -> list[float]:
    """Direct kind only: pose and both limits in plain floats and complex numbers, no arrays at all."""
    p = {name: complex(place) for name, place in made.points._asdict().items() if place is not None}
    arm_mass, arm_cg = float(made.weights.arm_mass), complex(made.weights.arm_cg)
    mass, cg, load = float(made.weights.tool_mass), complex(made.weights.tool_cg), complex(LOAD)
    area = [c.number * math.pi / 4 * made.pressure / 9.80665 for c in (made.lift, made.tilt)]
    out = []
    for s in stroke(made.lift, LIFTS).tolist():
        arm, arm_rate = turn(p["arm_pivot"], p["lift_rod"] - p["arm_pivot"], p["lift_base"], s, p["lift_base"])
        pin = p["arm_pivot"] + (p["tool_pivot"] - p["arm_pivot"]) * arm
        base = p["arm_pivot"] + (p["tilt_base"] - p["arm_pivot"]) * arm
        lever, rise = ((arm_cg - p["arm_pivot"]) * arm).real * arm_rate, (pin - p["arm_pivot"]).real * arm_rate
        for t in stroke(made.tilt, TILTS).tolist():
            far = p["tilt_base"] - p["tool_pivot"] + pin
            tool, tool_rate = turn(pin, p["tilt_rod"] - p["tool_pivot"], base, t, far)
            near, own = (load * tool).real, (cg * tool).real
            by_lift = rise + near * arm_rate
            rest = arm_mass * lever + mass * (rise + own * arm_rate)
            force = area[0] * (made.lift.bore**2 if by_lift > 0 else made.lift.rod**2 - made.lift.bore**2)
            by_curl = near * tool_rate
            pull = area[1] * (made.tilt.bore**2 if by_curl > 0 else made.tilt.rod**2 - made.tilt.bore**2)
            out.append(min((force - rest) / by_lift, (pull - mass * own * tool_rate) / by_curl))
    return out


def turn(pivot: complex, crank: complex, far: complex, length: float, far_first: complex) -> tuple[complex, float]:
    """Turn of a crank whose end is held at a length from `far`, and its rate."""
    line, first = far - pivot, far_first - pivot
    hand = math.copysign(1.0, first.real * crank.imag - first.imag * crank.real)
    cosine = (abs(crank) ** 2 + abs(line) ** 2 - length**2) / (2 * abs(crank) * abs(line))
    unit = line / abs(line) * complex(cosine, hand * math.sqrt(1 - cosine**2)) * (abs(crank) / crank)
    stretch, moved = pivot + crank * unit - far, 1j * crank * unit
    return unit, length / (stretch.real * moved.real + stretch.imag * moved.imag)


def main() -> None:
    """Print the times and ratios."""
    for kind in ("direct", "bellcrank", "levelling"):
        made = class_loader("compact_large", kind)
        fast, slow = best_of(lambda made=made: whole(made)), best_of(lambda made=made: one_by_one(made), 2)
        print(f"{kind:10} {LIFTS} × {TILTS} poses: {fast * 1e3:6.2f} ms as arrays, 1/{slow / fast:.0f} of pose by pose")
    made = class_loader("compact_large", "direct")
    if not np.allclose(by_hand(made), whole(made).ravel(), rtol=1e-9):
        raise SystemExit("the loop and the arrays differ")
    fast, slow = best_of(lambda: whole(made)), best_of(lambda: by_hand(made), 3)
    print(f"direct     against a loop in plain floats ({slow * 1e3:.1f} ms): 1/{slow / fast:.1f}")


if __name__ == "__main__":
    main()
