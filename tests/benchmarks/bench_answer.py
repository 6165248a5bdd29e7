"""How long an answer takes: at the terminal, whole process; and from the counter of a running program."""

from __future__ import annotations

import os
import resource
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from urllib.request import urlopen

from handfast.counter import verbs as counter
from handfast.machines.shelf_files import DEMO

TIMES = 5
SERVERS, SETTLE = 3, 3.0


def middle(times: list[float]) -> str:
    return f"{statistics.median(times) * 1000:7.0f} ms, worst {max(times) * 1000:.0f} ms of {len(times)}"


def timed(call: Callable[[], object]) -> float:
    start = time.perf_counter()
    call()
    return time.perf_counter() - start


def processor_time() -> float:
    """Of this process and of those it has waited for: what a busy machine does not stretch."""
    used = [resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)]
    return sum(one.ru_utime + one.ru_stime for one in used)


def told(name: str, measure: Callable[[], list[float]]) -> None:
    """Print a measurement, and the processor time of one of its runs (the first, not counted, included)."""
    before = processor_time()
    times = measure()
    print(f"  {name:36} {middle(times)}, processor {(processor_time() - before) / (TIMES + 1) * 1000:.0f} ms")


def at_the_terminal(call: Path, home: str) -> list[float]:
    command = [sys.executable, "-m", "handfast.cli", "advise", str(call)]
    env = {**os.environ, "HANDFAST_HOME": home}

    def once() -> None:
        subprocess.run(command, env=env, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, check=True)

    once()
    return [timed(once) for _ in range(TIMES)]


def at_the_counter(workspace: counter.Workspace, number: int) -> list[float]:
    """Each with a seed of its own, so that none was answered before."""
    counter.answer(workspace, number, 0)
    times = []
    for seed in range(1, TIMES + 1):
        counter.settle(workspace)  # the answer before is written down
        times.append(timed(lambda seed=seed: counter.answer(workspace, number, seed)))
    return times


def in_the_server(count: int) -> list[list[float]]:
    """A fresh server, asked for each inquiry's answer for the first time; a few servers one after another."""
    times: list[list[float]] = [[] for _ in range(count)]
    for _ in range(SERVERS):
        with tempfile.TemporaryDirectory() as home:
            env = {**os.environ, "HANDFAST_HOME": home, "HANDFAST_PORT": "0", "PYTHONUNBUFFERED": "1"}
            command = [sys.executable, "-m", "handfast.cli", "demo"]
            server = subprocess.Popen(command, env=env, stdout=subprocess.PIPE, text=True)
            assert server.stdout is not None
            address = next(word for line in server.stdout for word in line.split() if word.startswith("http"))
            time.sleep(SETTLE)
            for number in range(1, count + 1):
                times[number - 1].append(timed(lambda at=f"{address}inquiries/{number}/json": urlopen(at).read()))
            server.terminate()
            server.wait()
    return times


def main() -> None:
    calls = sorted((DEMO / "inquiries").glob("*.toml"))
    with tempfile.TemporaryDirectory() as folder:
        workspace = counter.open_workspace(Path(folder))
        print("whole process at the terminal, shelf of the demonstration (limit 1000 ms)")
        for call in calls:
            told(call.stem, lambda call=call: at_the_terminal(call, folder + "/none"))
        counter.fill_demo(workspace)
        print("whole process at the terminal, shelf of the workspace (limit 1000 ms)")
        told(calls[0].stem, lambda: at_the_terminal(calls[0], folder))
        print("in a running program, reckoned and stored (limit 150 ms)")
        for number, call in enumerate(calls, 1):
            told(call.stem, lambda number=number: at_the_counter(workspace, number))
        print(f"over HTTP from {SERVERS} fresh servers, {SETTLE:g} s after the start, each asked for the first time")
        for call, times in zip(calls, in_the_server(len(calls)), strict=True):
            print(f"  {call.stem:36} {middle(times)}")


if __name__ == "__main__":
    main()
