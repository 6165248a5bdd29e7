"""Many at once: pairs a second against the same screen in other tools, growth, memory, the roofline.

python tests/benchmarks/bench_bulk.py [machines] [attachments]
"""

from __future__ import annotations

import resource
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import numpy as np

sys.path.insert(0, str(Path(__file__).parent))
from rivals import CHECKED, LETS, RATIOS, in_frames, in_sql, narrow, ours, plain_numpy, pure_python, scalar_loop
from territory import territory

from handfast.bulk.catalogue import Catalogue
from handfast.bulk.run import Task, screen
from handfast.bulk.screen import PAIRS, Screen
from handfast.machines.inquiry import Inquiry

WORK = {
    "work": ({"kind": "logs", "diameter": "14 in", "length": "8 ft", "mass": "350 lb"},),
    "site": {"slope": "10 %", "lift_to": "1.2 m", "gate": "7 ft"},
}
FEW, ALONE = 400, 20_000


def timed(work: Callable[[], Any], times: int = 3) -> tuple[float, Any]:
    """Median seconds, and what came out."""
    took = []
    for _ in range(times):
        start = time.perf_counter()
        found = work()
        took.append(time.perf_counter() - start)
    return statistics.median(took), found


def kin_of(machines: int, tools: int) -> Any:
    """The largest kin of a territory with straight mounts, all its checks decidable."""
    many, shelf = territory(machines, tools)
    found = Screen(many, Catalogue(Inquiry.model_validate(WORK), shelf)).kins
    wheels = [kin for kin in found if kin.rows.bench.inquiry.machine.loader.ratings_with == "quick_attach"]
    return max(wheels, key=lambda kin: len(kin.machines) * kin.rows.first)


def straight(kin: Any) -> Any:
    """The rows whose mount adds nothing."""
    from dataclasses import replace

    keep = [k for k, one in enumerate(kin.rows.bench.outfits) if one.mount.route == "direct"]
    at = np.array(keep, dtype=np.intp)
    return replace(kin.rows, bench=kin.rows.bench._picked(at), tools=kin.rows.tools[at], first=len(at))


def in_blocks(rows: Any, threads: int = 2) -> tuple[int, float]:
    """The program's own checks in blocks."""
    wide = max(1, PAIRS // len(rows.tools))
    starts = range(0, rows.bench.draws.size, wide)

    def one(start: int) -> tuple[int, float]:
        found = ours(rows.on(rows.bench.draws, start, min(start + wide, rows.bench.draws.size)))
        return int(found.holds.sum()), float(np.minimum(found.ratio, 10.0).sum())

    with ThreadPoolExecutor(threads) as pool:
        each = list(pool.map(one, starts))
    return sum(a for a, _ in each), sum(b for _, b in each)


def rivals_part(machines: int, tools: int) -> None:
    """The same screen by everybody, on one kin."""
    rows = straight(kin_of(machines, tools))
    pairs, columns = len(rows.tools) * rows.bench.draws.size, narrow(rows)
    print(f"\nthe same screen, {len(CHECKED)} hard checks, {pairs:,} pairs of one kin, straight mounts")
    mine, answer = timed(lambda: in_blocks(rows))
    print(f"  handfast, blocks        {mine:8.3f} s {1e6 * mine / pairs:8.3f} us a pair   held {answer[0]:,}")
    cases: list[tuple[str, Callable[[], tuple[int, float]], int]] = [
        ("DuckDB", lambda: in_sql(columns), pairs),
        ("Polars", lambda: in_frames(columns), pairs),
        ("numpy, whole arrays", lambda: plain_numpy(columns), pairs),
        ("own checks, one by one", lambda: scalar_loop(rows, FEW), FEW),
        ("plain Python", lambda: pure_python(columns, ALONE), ALONE),
    ]
    for name, work, count in cases:
        took, found = timed(work, 3 if count == pairs else 1)
        ratio = (took / count) / (mine / pairs)
        same = "" if count != pairs else f"  held {found[0]:,}, sums differ by {abs(found[1] / answer[1] - 1):.0e}"
        print(f"  {name:23} {took:8.3f} s {1e6 * took / count:8.3f} us a pair   {ratio:8.2f} times ours{same}")
    _roofline(mine, pairs)


def _roofline(seconds: float, pairs: int) -> None:
    """What the machine's processors can do at most, measured: multiply-adds in cache, bytes from memory."""
    small, large = np.random.default_rng(1).random((512, 512)), np.zeros(40_000_000)
    product, _ = timed(lambda: small @ small, 9)
    copied, _ = timed(lambda: np.copyto(large, large[::-1]), 3)
    peak, stream = 2 * 512**3 / product, 16 * large.size / copied
    flops = sum(text.count(sign) for text in (*(one for _, one in LETS), *RATIOS) for sign in "+-*/")
    rate = flops * pairs / seconds
    print(f"  roofline: multiply-add peak {peak / 1e9:.1f} GFLOP/s, memory {stream / 1e9:.1f} GB/s;")
    share = 100 * rate / peak
    print(f"  the formulas are about {flops} operations a pair: {rate / 1e9:.2f} GFLOP/s, {share:.1f} % of the peak")


def whole_part(machines: int, tools: int) -> None:
    """The whole screen into a folder: figures, routes, checks, weight behind, totals, Parquet, SQLite."""
    many, shelf = territory(machines, tools)
    with tempfile.TemporaryDirectory() as folder:
        for top in (5, 0):
            start = time.perf_counter()
            done = screen(Task(Inquiry.model_validate(WORK), many, shelf, top), Path(folder) / str(top), 2)
            took = time.perf_counter() - start
            kept = "all that fit" if top == 0 else f"best {top} of each"
            rate = done.pairs / took
            print(f"  {done.pairs:,} pairs, {kept}: {took:.1f} s, {rate:,.0f} a second, {done.kept:,} rows kept")
    peak = [resource.getrusage(who).ru_maxrss / 1e6 for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)]
    print(f"  memory at most {peak[0]:.2f} GB here, {peak[1]:.2f} GB in a worker")


def growth_part(tools: int) -> None:
    """Seconds against pairs, blocks only."""
    print("\ngrowth")
    pairs, took = [], []
    for machines in (100, 300, 1000, 3000, 10000):
        many, shelf = territory(machines, tools)
        one = Screen(many, Catalogue(Inquiry.model_validate(WORK), shelf))
        one._power, one.kins  # noqa: B018
        start = time.perf_counter()
        count = sum(block.verdict.size for block in one.blocks())
        took.append(time.perf_counter() - start)
        pairs.append(count)
        rss = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e6
        print(f"  {count:>12,} pairs {took[-1]:8.2f} s {1e6 * took[-1] / count:6.3f} us a pair, memory {rss:.2f} GB")
    slope = np.polyfit(np.log(pairs), np.log(took), 1)[0]
    print(f"  log-log slope {slope:.3f}")


def main() -> None:
    """Print every figure."""
    machines, tools = (int(one) for one in (sys.argv[1:3] or ("10000", "2000")))
    print("the whole screen, two processes")
    whole_part(machines, tools)
    rivals_part(min(machines, 4000), tools)
    growth_part(tools)


if __name__ == "__main__":
    main()
