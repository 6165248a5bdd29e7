"""What an answer costs: whole process, in process, and against plain Python loops over the same samples.

The rival is small on purpose: of all checks it does two, lift to full height and the rear axle's share with the load
furthest out, outfit by outfit and sample by sample, from figures that are drawn already and an arm pivot that is found
already. `same two` is this program's arrays for just those two; `advise` is every check, ballast, bills, ranking,
questions and sentences.
"""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np

from handfast.advice.advise import advise
from handfast.machines.reading import demo_shelf, read_inquiry
from handfast.machines.shelf_files import DEMO
from handfast.outfits.assess import assess
from handfast.outfits.bench import Bench
from handfast.outfits.checks import check
from handfast.outfits.lay import lay

TIMES = 5
TWO = ("lift.full_height", "balance.rear_share_loaded")
Row = list[float]


def middle(call: Callable[[], object]) -> float:
    """Median time of a few calls [s]."""
    times = []
    for _ in range(TIMES):
        start = time.perf_counter()
        call()
        times.append(time.perf_counter() - start)
    return statistics.median(times)


def at_the_terminal(path: Path, home: str) -> float:
    """A whole process, from the start of the interpreter to its end."""
    env = {**os.environ, "HANDFAST_HOME": home}
    command = [sys.executable, "-m", "handfast.cli", "advise", str(path)]

    def once() -> None:
        subprocess.run(command, env=env, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, check=True)

    once()
    return middle(once)


def columns(bench: Bench) -> list[dict[str, Row]]:
    """Every figure that the rival needs, outfit by outfit, as plain lists over the samples."""
    f, size = bench.frame, bench.draws.size
    one = {
        "pin": f.pin_rating,
        "slope": f.slope,
        "span": f.wheelbase,
        "rear": f.rear,
        "front": f.front,
        "arms": f.arms_mass,
        "pivot": f.pivot.x,
        "boom": f.pivot.radius,
        "down": f.pin_x(f.pivot.height_down),
        "quick": bench.coupler.mass,
        "quick_x": bench.coupler.x,
        "kit": bench.kit.mass,
        "kit_x": bench.kit.x,
        "tool": bench.tool.mass,
        "tool_x": bench.tool.x,
        "load": bench.piece.mass,
        "load_x": bench.piece.x,
    }
    wide = {name: np.broadcast_to(values, (len(bench.outfits), size)).tolist() for name, values in one.items()}
    return [{name: rows[k] for name, rows in wide.items()} for k in range(len(bench.outfits))]


def rival(outfits: list[dict[str, Row]], inside: bool, size: int) -> list[tuple[float, float]]:
    """Shares held of the two checks by plain loops."""
    found = []
    for o in outfits:
        lifts = stands = 0
        for k in range(size):
            s = o["slope"][k]
            asked = o["kit"][k] * (1 + s * o["kit_x"][k]) + o["tool"][k] * (1 + s * o["tool_x"][k])
            asked += o["load"][k] * (1 + s * o["load_x"][k])
            if not inside:
                asked += o["quick"][k] * (1 + s * o["quick_x"][k])
            lifts += o["pin"][k] - asked >= -1e-9 * o["pin"][k]
            level = o["pivot"][k] + o["boom"][k]
            moved = (o["arms"][k] / 2 + o["quick"][k]) * (level - o["down"][k])
            hung = o["kit"][k] + o["tool"][k] + o["load"][k]
            moment = hung * level + o["kit"][k] * o["kit_x"][k] + o["tool"][k] * o["tool_x"][k]
            moment += o["load"][k] * o["load_x"][k] + moved
            total, front = o["front"][k] + o["rear"][k] + hung, o["front"][k] + moment / o["span"][k]
            share = (total - front) / total
            stands += share - 0.20 >= -1e-9 * abs(share)
        found.append((lifts / size, stands / size))
    return found


def same_two(bench: Bench) -> list[tuple[float, float]]:
    """The program's own arrays for the rival's two checks."""
    done = assess(bench, [check(name) for name in TWO])
    return [
        (float(np.mean(done.of(TWO[0]).row("holds", k))), float(np.mean(done.of(TWO[1]).row("holds", k))))
        for k in range(len(bench.outfits))
    ]


def measured(path: Path, home: str) -> str:
    """One line of the table."""
    shelf, inquiry = demo_shelf(), read_inquiry(path.read_text(), path.name)

    def benched() -> Bench:
        return lay(inquiry.resolve(shelf), shelf, 1).benches[0]

    bench = benched()
    plain, inside = columns(bench), bench.frame.ratings_with in ("quick_attach", "bucket")
    size = bench.draws.size
    loops, arrays = rival(plain, inside, size), same_two(bench)
    agree = max(abs(a - b) for one, other in zip(loops, arrays, strict=True) for a, b in zip(one, other, strict=True))
    by_loop = middle(lambda: rival(plain, inside, size))
    fresh = [benched() for _ in range(TIMES)]
    by_array = middle(lambda: same_two(fresh.pop()))
    inside_process, whole = middle(lambda: advise(inquiry, shelf)), at_the_terminal(path, home)
    return (
        f"{path.stem:32}{len(bench.outfits):5}{1000 * whole:9.0f}{1000 * inside_process:9.0f}{1000 * by_loop:9.0f}"
        f"{1000 * by_array:9.1f}{by_loop / by_array:8.0f}x{by_loop / inside_process:8.1f}x{agree:10.0e}"
    )


def main() -> None:
    print(__doc__)
    print(f"medians of {TIMES}, in ms; `differ` is the largest difference of a share held between loops and arrays")
    heads = ("outfits", "process", "advise", "loops", "same two")
    print(f"{'':29}{heads[0]:>8}" + "".join(f"{head:>9}" for head in heads[1:]) + "   loops/2  loops/all   differ")
    with tempfile.TemporaryDirectory() as home:
        for path in sorted((DEMO / "inquiries").glob("*.toml")):
            print(measured(path, home))


if __name__ == "__main__":
    main()
