"""How soon Handfast is there, each beside a stated rival in the same run; medians of several.

PYTHONPATH=src python tests/benchmarks/bench_start.py [--times 7]

- `handfast --help` beside `python -c pass`: what the program adds to the interpreter it runs on;
- `handfast advise` as a whole process beside an interpreter that only imports numpy and pydantic, on which it rests;
- the server from its start to its first answer beside an empty application served by the same server program;
- a fit sheet as PDF beside the same compiler setting one line of text.
"""

from __future__ import annotations

import argparse
import os
import resource
import socket
import statistics
import subprocess
import sys
import tempfile
import time
import urllib.request
from collections.abc import Callable
from pathlib import Path

SOURCE = Path(__file__).parents[2] / "src"
DEMO = SOURCE / "handfast" / "data" / "demo" / "inquiries" / "4-long-wet-logs.toml"
EMPTY = """
import sys, uvicorn
from starlette.applications import Starlette
from starlette.responses import PlainTextResponse
from starlette.routing import Route
app = Starlette(routes=[Route("/health", lambda request: PlainTextResponse("well"))])
uvicorn.run(app, port=int(sys.argv[1]), log_level="critical")
"""


PROCESSOR: dict[tuple[str, ...], list[float]] = {}  # by a process's last two words


def median(work: Callable[[], float], times: int) -> float:
    """The median of several [ms], the first thrown away."""
    work()
    return statistics.median(work() for _ in range(times)) * 1e3


def process(*words: str, home: Path) -> Callable[[], float]:
    """A whole process."""
    env = {**os.environ, "PYTHONPATH": str(SOURCE), "HANDFAST_HOME": str(home)}

    def once() -> float:
        begun, before = time.perf_counter(), ended_processes()
        subprocess.run([sys.executable, *words], env=env, check=True, capture_output=True)
        PROCESSOR.setdefault(words[-2:], []).append(ended_processes() - before)
        return time.perf_counter() - begun

    return once


def ended_processes() -> float:
    """Processor time of the processes that have ended [s]: on a busy machine it says more than the clock."""
    told = resource.getrusage(resource.RUSAGE_CHILDREN)
    return told.ru_utime + told.ru_stime


def server(*words: str, home: Path) -> Callable[[], float]:
    """From the start of a server to its first answer."""

    def once() -> float:
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            port = str(free.getsockname()[1])
        env = {**os.environ, "PYTHONPATH": str(SOURCE), "HANDFAST_HOME": str(home), "HANDFAST_PORT": port}
        begun = time.perf_counter()
        program = subprocess.Popen(
            [sys.executable, *words, port], env=env, stdout=subprocess.PIPE, stderr=subprocess.PIPE
        )
        try:
            while True:
                try:
                    with urllib.request.urlopen(f"http://127.0.0.1:{port}/health", timeout=10) as answer:
                        answer.read()
                    return time.perf_counter() - begun
                except OSError:
                    time.sleep(0.005)
        finally:
            program.kill()
            program.communicate()

    return once


def papers(home: Path) -> tuple[Callable[[], float], Callable[[], float]]:
    """A fit sheet of an answer at hand, and one line set by the same compiler."""
    import typst

    from handfast.counter import verbs as counter
    from handfast.documents.papers import paper_of
    from handfast.documents.work_paper import Options
    from handfast.machines.reading import read_held

    workspace = counter.open_workspace(home, address="")
    shelf, advice = counter.shelf(workspace), counter.answer(workspace, 4)
    inquiry = read_held(counter.inquiry(workspace, 4).text, "4", shelf)
    line = home / "line.typ"
    turn = iter(range(10**9))

    def sheet() -> float:
        begun = time.perf_counter()
        outfit = advice.outfits[next(turn) % len(advice.outfits)].id
        assert paper_of("fit-sheet", advice, outfit, inquiry, shelf, Options(system="us")).startswith(b"%PDF")
        return time.perf_counter() - begun

    def bare() -> float:
        line.write_text(f"One line of text, number {next(turn)}.")
        begun = time.perf_counter()
        assert bytes(typst.compile(line)).startswith(b"%PDF")
        return time.perf_counter() - begun

    return sheet, bare


def main() -> None:
    """Measure and print."""
    asked = argparse.ArgumentParser()
    asked.add_argument("--times", type=int, default=7)
    times = asked.parse_args().times
    sys.path.insert(0, str(SOURCE))
    from handfast.counter import verbs as counter

    home = Path(tempfile.mkdtemp(prefix="handfast-start-"))
    filled = counter.open_workspace(home, address="")
    counter.fill_demo(filled)
    filled.engine.dispose()
    bare, known = process("-c", "pass", home=home), process("-c", "import numpy, pydantic", home=home)
    helped = process("-m", "handfast.cli", "--help", home=home)
    advised = process("-m", "handfast.cli", "advise", str(DEMO), home=home)
    sheet, line = papers(home)
    rows = [
        ("handfast --help", median(helped, times), "python -c pass", median(bare, times), 150.0, True),
        ("handfast advise", median(advised, times), "import numpy, pydantic", median(known, times), 1000.0, False),
        ("server ready", median(server("-c", "import sys; sys.argv[1:] = [\"serve\"]; from handfast.cli.main import main; main()", home=home), times), "empty Starlette app",
         median(server("-c", EMPTY, home=home), times), 2000.0, False),
        ("fit sheet as PDF", median(sheet, times), "one line by typst", median(line, times), 250.0, False),
    ]  # fmt: skip
    for name, took, rival, beside, bound, over in rows:
        figure = took - beside if over else took
        words = f"{figure:6.0f} ms over it" if over else f"{figure:6.0f} ms"
        print(
            f"{name:18} {took:7.0f} ms   {rival:24} {beside:7.0f} ms   {words:18} (aim under {bound:.0f} ms: {'held' if figure < bound else 'NOT held'})"
        )
    for words, spent in PROCESSOR.items():
        print(f"processor time of {Path(words[-1]).name:24} {statistics.median(spent) * 1e3:6.0f} ms")


if __name__ == "__main__":
    main()
