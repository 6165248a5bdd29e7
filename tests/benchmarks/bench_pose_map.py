"""How long a full pose map of one outfit takes, against a plain Python loop over the same poses.

50 heights by 30 tool angles, every pose-dependent check, the measured linkage included. Two loops are printed: the
same function called pose by pose, and, where ratings alone speak, the same formulas in plain floats without any array.
Run: python tests/benchmarks/bench_pose_map.py
"""

from __future__ import annotations

import math
import time
from collections.abc import Callable

import numpy as np

from handfast.machines.reading import demo_inquiries, demo_shelf
from handfast.outfits.bench import Bench
from handfast.outfits.lay import lay
from handfast.outfits.pose_figures import Figures, figures_of
from handfast.outfits.pose_map import PoseMap, pose_map
from handfast.physics.lift import rating_at_height

HEIGHTS, CURLS, REPEATS = 50, 30, 40


def best_of(run: Callable[[], object], repeats: int = REPEATS) -> float:
    """Least time of some runs [s]."""
    times = []
    for _ in range(repeats):
        start = time.perf_counter()
        run()
        times.append(time.perf_counter() - start)
    return min(times)


def grid(bench: Bench) -> tuple[np.ndarray, np.ndarray]:
    """Heights over the arms' whole reach, and tool angles."""
    low, high = (float(np.median(v)) for v in (bench.frame.pivot.height_down, bench.frame.height_max))
    return np.linspace(low, high, HEIGHTS), np.linspace(-0.6, 0.5, CURLS)


def one_by_one(bench: Bench, heights: np.ndarray, curls: np.ndarray) -> list[PoseMap]:
    """The same map, pose after pose."""
    return [pose_map(bench, 0, [height], [curl]) for height in heights for curl in curls]


def in_plain_floats(f: Figures, heights: list[float], curls: list[float]) -> list[tuple[float, ...]]:
    """Every figure of the map by ratings alone, pose after pose in plain floats."""
    pivot_x, pivot_z, boom, down = (float(part) for part in f.pivot)
    fixed = [tuple(map(float, item)) for item in (f.ready, *f.fixed)]
    tool = [tuple(map(float, item)) for item in (f.coupler, *f.hung, f.piece)]
    axle, rate = tuple(map(float, f.front_axle)), f.rating

    def pin(z: float) -> float:
        return pivot_x + math.sqrt(boom * boom - (z - pivot_z) ** 2)

    rest = [*fixed, (-f.arms, 0.5 * (pivot_x + pin(down)), 0.5 * (pivot_z + down))]
    rest.append((-tool[0][0], pin(down) + tool[0][1], down + tool[0][2]))
    found = []
    for height in heights:
        pair = rating_at_height(rate.pin, rate.slope, rate.pin_1500, rate.at_500_1500, height, f.pivot, f.height_max)
        rating, slope = map(float, pair)
        x = pin(height)
        bump = 1.5 if height <= 0.4 + 1e-9 else 1.0
        arms = (f.arms, 0.5 * (pivot_x + x), 0.5 * (pivot_z + height))
        for curl in curls:
            cos, sin = math.cos(curl), math.sin(curl)
            hung = [(m, a * cos - b * sin, a * sin + b * cos) for m, a, b in tool]
            lift = sum(m * (1.0 + slope * d) for m, d, _ in hung)
            about = sum(m * d for m, d, _ in hung)
            items = [*rest, arms, *((m, x + d, height + u) for m, d, u in hung)]
            loads = []
            for kept, gain in ((items, 1.0), (items[:-1], 1.0), (items, bump)):
                own = len(rest)
                mass = sum(m for m, _, _ in kept[:own]) + gain * sum(m for m, _, _ in kept[own:])
                turn = sum(m * a for m, a, _ in kept[:own]) + gain * sum(m * a for m, a, _ in kept[own:])
                loads += [turn / f.wheelbase, mass - turn / f.wheelbase]
            whole = sum(m for m, _, _ in items)
            cx, cz = (sum(i[0] * i[k] for i in items) / whole for k in (1, 2))
            body = whole - axle[0]
            bx, bz = (whole * cx - axle[0] * axle[1]) / body, (whole * cz - axle[0] * axle[2]) / body
            half, span, up = 0.5 * f.rear_track, f.wheelbase, f.front_pivot
            across, out, keep = half * bz - up * half, span * bz - bx * up, (span - bx) * half
            side = max(keep, 0.0) ** 2 / (across * across + out * out)
            ends = max(min(cx, span - cx), 0.0) ** 2 / (cz * cz)
            roll = math.atan(math.sqrt(min(side, ends)))
            beta = 0.0 if math.isnan(f.limits.slope) else f.limits.slope
            pull, rear = whole * math.sin(beta), whole * (math.cos(beta) * (span - cx) - math.sin(beta) * cz) / span
            margins = (rating - lift, rate.curl_moment - about, loads[1] / (loads[0] + loads[1]) - 0.2)
            margins += (loads[2] / (loads[2] + loads[3]) - 0.2, f.limits.front_axle - max(loads[2], loads[4]))
            margins += (f.limits.rear_axle - max(loads[3], loads[5]), 0.5 * max(rear, 0.0) - pull, 0.5 * roll - beta)
            found.append((*margins, roll, loads[0]))
    return found


def main() -> None:
    """Print the times and ratios."""
    shelf = demo_shelf()
    for start in ("1-", "4-", "5-", "8-"):
        name = next(k for k in demo_inquiries() if k.startswith(start))
        bench = lay(demo_inquiries()[name].resolve(shelf), shelf, 1).benches[0]
        heights, curls = grid(bench)
        loop: list[PoseMap] = []
        slow = best_of(lambda b=bench, h=heights, c=curls, found=loop: found.extend(one_by_one(b, h, c)), 1)
        whole = pose_map(bench, 0, heights, curls)
        each = np.array([one.payload[0, 0] for one in loop]).reshape(whole.payload.shape)
        if not np.allclose(each, whole.payload, rtol=1e-12, equal_nan=True):
            raise SystemExit("the loop and the arrays differ")
        fast = best_of(lambda b=bench, h=heights, c=curls: pose_map(b, 0, h, c))
        kind = "linkage" if bench.links is not None else "sheet"
        print(f"{name:30} {kind:8} {fast * 1e3:5.2f} ms, 1/{slow / fast:.0f} of pose by pose ({slow:.2f} s)")
        plain(bench, whole, fast)


def plain(bench: Bench, whole: PoseMap, fast: float) -> None:
    """Print the ratio to plain floats, where no linkage is measured."""
    f = figures_of(bench, 0)
    if f.linkage is not None:
        return
    heights, curls = whole.heights.tolist(), whole.curls.tolist()
    found = np.array(in_plain_floats(f, heights, curls)).reshape(*whole.payload.shape, -1)
    if not np.allclose(found[..., -1], whole.loaded.front) or not np.allclose(found[..., -2], whole.first_roll):
        raise SystemExit("plain floats and the arrays differ")
    slow = best_of(lambda: in_plain_floats(f, heights, curls), 5)
    print(f"{'':30} {'':8} against a loop in plain floats ({slow * 1e3:.1f} ms): 1/{slow / fast:.1f}")


if __name__ == "__main__":
    main()
