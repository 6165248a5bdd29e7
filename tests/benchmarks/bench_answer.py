"""How long an answer takes: at the terminal, whole process; and from the counter of a running program."""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from handfast import counter
from handfast.machines.shelf_files import DEMO

TIMES = 5


def middle(times: list[float]) -> str:
    return f"{statistics.median(times) * 1000:7.0f} ms, worst {max(times) * 1000:.0f} ms of {len(times)}"


def timed(call: object) -> float:
    start = time.perf_counter()
    call()  # type: ignore[operator]
    return time.perf_counter() - start


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
    return [timed(lambda seed=seed: counter.answer(workspace, number, seed)) for seed in range(1, TIMES + 1)]


def main() -> None:
    calls = sorted((DEMO / "inquiries").glob("*.toml"))
    with tempfile.TemporaryDirectory() as folder:
        workspace = counter.open_workspace(Path(folder))
        print("whole process at the terminal, shelf of the demonstration (limit 1000 ms)")
        for call in calls:
            print(f"  {call.stem:36} {middle(at_the_terminal(call, folder + '/none'))}")
        counter.fill_demo(workspace)
        print("whole process at the terminal, shelf of the workspace (limit 1000 ms)")
        print(f"  {calls[0].stem:36} {middle(at_the_terminal(calls[0], folder))}")
        print("in a running program, reckoned and stored (limit 150 ms)")
        for number, call in enumerate(calls, 1):
            print(f"  {call.stem:36} {middle(at_the_counter(workspace, number))}")


if __name__ == "__main__":
    main()
