"""Throw made-up inputs at every reader: only its own errors may come out, and nothing may take long.

    python tests/fuzz/run.py --inputs 1000000 [--seed 1] [--only "letters"] [--at 4711]

Every input follows from seed, reader and count, so that --only NAME --at COUNT makes it again. A reader that does not come back at
all is ended after a minute, with the place where it hung and the count of its input.
"""

from __future__ import annotations

import argparse
import faulthandler
import json
import resource
import sys
import time
import traceback
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from random import Random

sys.path.insert(0, str(Path(__file__).parent))
sys.path.insert(0, str(Path(__file__).parents[2] / "src"))

from targets import TARGETS, Target

HUNG = 60  # s after which a reader counts as hung and the run ends
SLOW = 1.0  # s of processor time that no input may take


@dataclass
class Told:
    """What came of the inputs of one reader."""

    name: str
    inputs: int = 0
    taken: int = 0
    slowest: float = 0.0
    slowest_at: int = 0
    seconds: float = 0.0
    slow: list[tuple[int, float]] = field(default_factory=list)
    crashes: dict[str, tuple[int, str]] = field(default_factory=dict)  # by kind and place: first count, trace
    crashed: int = 0


def processor_time() -> float:
    """Seconds of processor time of this process and of those that it has ended [s]."""
    others = resource.getrusage(resource.RUSAGE_CHILDREN)
    return time.process_time() + others.ru_utime + others.ru_stime


def shares(inputs: int, targets: tuple[Target, ...] = TARGETS) -> Iterator[tuple[Target, int]]:
    """How many of the inputs each reader gets, at least one."""
    whole = sum(target.share for target in targets)
    for target in targets:
        yield target, max(1, round(inputs * target.share / whole))


def input_of(target: Target, seed: int, at: int) -> object:
    """An input by its count."""
    return target.make(Random(f"{seed}/{target.name}/{at}"))


def tried(target: Target, inputs: int, seed: int, mark: Path | None = None, limit: float = SLOW) -> Told:
    """Try one reader."""
    told = Told(target.name)
    for at in range(inputs):
        given = input_of(target, seed, at)
        if at % 500 == 0 and mark is not None:
            mark.write_text(f"{target.name} {at}\n")
            faulthandler.dump_traceback_later(HUNG * 5, exit=True)
        _one(target, given, at, told, limit)
    faulthandler.cancel_dump_traceback_later()
    return told


def _one(target: Target, given: object, at: int, told: Told, limit: float) -> None:
    begun = processor_time()
    try:
        target.read(given)
        told.taken += 1
    except target.errors:
        pass
    except Exception as error:
        told.crashed += 1
        where = traceback.extract_tb(error.__traceback__)[-1]
        key = f"{type(error).__name__} at {Path(where.filename).name}:{where.lineno}"
        told.crashes.setdefault(key, (at, "".join(traceback.format_exception(error)[-6:])[-900:]))
    spent = processor_time() - begun
    told.inputs, told.seconds = told.inputs + 1, told.seconds + spent
    if spent > told.slowest:
        told.slowest, told.slowest_at = spent, at
    if spent > limit:
        told.slow.append((at, round(spent, 2)))


def line(told: Told) -> str:
    """A reader's line of the table."""
    crashes = "; ".join(f"{key} (input {at})" for key, (at, _) in told.crashes.items()) or "none"
    mean = told.seconds / max(told.inputs, 1) * 1e3
    slowest = f"{told.slowest * 1e3:8.1f} ms (input {told.slowest_at})"
    return f"{told.name:18}{told.inputs:9,} {told.taken:9,} {mean:8.2f} ms  {slowest:28} {len(told.slow):4}  {crashes}"


def main() -> int:
    """Run, print, and fail where something fell over or took too long."""
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("--inputs", type=int, default=1_000_000)
    asked.add_argument("--seed", type=int, default=1)
    asked.add_argument("--only", default="")
    asked.add_argument("--at", type=int)
    asked.add_argument("--json", type=Path)
    given = asked.parse_args()
    chosen = tuple(one for one in TARGETS if given.only in ("", one.name))
    if given.at is not None:
        print(repr(input_of(chosen[0], given.seed, given.at)))
        print(chosen[0].read(input_of(chosen[0], given.seed, given.at)))
        return 0
    print(f"{'reader':18}{'inputs':>9} {'taken':>9} {'mean':>11}  {'slowest':28} {'>1 s':>4}  crashes", flush=True)
    begun, every = time.perf_counter(), []
    for target, inputs in shares(given.inputs, chosen):
        every.append(tried(target, inputs, given.seed, Path("/dev/null")))
        print(line(every[-1]), flush=True)
        if every[-1].slow:
            print(f"--- over {SLOW:g} s (input, seconds): {every[-1].slow[:20]}", flush=True)
        for key, (_, trace) in every[-1].crashes.items():
            print(f"--- {key}\n{trace}", flush=True)
    total, crashed, slow = (sum(x) for x in zip(*((t.inputs, t.crashed, len(t.slow)) for t in every), strict=True))
    most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(
        f"{total:,} inputs, {crashed} crashes, {slow} over {SLOW:g} s, {time.perf_counter() - begun:.0f} s, at most {most:.0f} MB"
    )
    if given.json:
        given.json.write_text(json.dumps([vars(one) for one in every], indent=1))
    return 1 if crashed or slow else 0


if __name__ == "__main__":
    sys.exit(main())
