"""The server under mixed traffic for a while: memory over time and its slope, errors, how long pages took.

    python tests/soak/run.py --minutes 20 [--clients 3]

Everything runs on this machine, over loopback, on a workspace of its own with the invented shelf and calls. The traffic is what a
counter makes: pages, facts typed in, answers, drawings, papers, quotes, searches, letters read, single chapters.
"""

from __future__ import annotations

import argparse
import json
import os
import re
import signal
import subprocess
import sys
import tempfile
import threading
import time
from dataclasses import dataclass, field
from pathlib import Path
from random import Random

import httpx
import numpy as np

SOURCE = Path(__file__).parents[2] / "src"
FACTS = (
    "gate {} ft",
    "about {} horse",
    "slope {} %",
    "{} oak logs 12 in by 8 ft",
    "budget ${}00",
    "{} lb behind",
    "note said {} times",
)
SEARCHES = ("oak", "tollick", "brush", "grapple", "nobody", "48")
PAGES = (
    "/",
    "/shelf",
    "/quotes",
    "/reckoning",
    "/reckoning/lift",
    "/reckoning/thread?od=20.7mm&pitch=1.814mm",
    "/glossary",
    "/about",
    "/settings",
    "/calibration",
    "/comebacks",
    "/health",
    "/lists",
)
STEADY = 0.35  # of the time, after which what is read once has been read


@dataclass
class Told:
    """What came of the traffic."""

    taken: list[tuple[str, float]] = field(default_factory=list)
    errors: list[str] = field(default_factory=list)
    memory: list[tuple[float, float]] = field(default_factory=list)  # s, MB


def memory_of(number: int) -> float:
    """Resident memory of a process [MB]."""
    text = Path(f"/proc/{number}/status").read_text()
    return int(re.search(r"VmRSS:\s+(\d+) kB", text)[1]) / 1024  # type: ignore[index]


class Visitor(threading.Thread):
    """One screen at the counter."""

    def __init__(self, at: str, until: float, seed: int, told: Told, pause: float) -> None:
        super().__init__(daemon=True)
        self.random, self.until, self.told, self.pause = Random(seed), until, told, pause
        self.client = httpx.Client(base_url=at, timeout=120, follow_redirects=True)
        found = re.search(r'name="token" value="([^"]+)"', self.client.get("/inquiries/new").text)
        assert found is not None
        self.token = found[1]

    def run(self) -> None:
        """Ask until the time is over."""
        while time.monotonic() < self.until:
            begun = time.monotonic()
            try:
                kind, answer = self.ask()
                if answer.status_code >= 500:
                    self.told.errors.append(f"{kind}: {answer.status_code} {answer.url.path}")
            except Exception as error:
                kind = "fault"
                self.told.errors.append(f"{type(error).__name__}: {error}")
            self.told.taken.append((kind, time.monotonic() - begun))
            time.sleep(self.pause * self.random.random())

    def ask(self) -> tuple[str, httpx.Response]:
        """One request of what a counter asks."""
        number, get, post = self.random.randrange(1, 9), self.client.get, self.client.post
        way = self.random.random()
        if way < 0.25:
            return "page", get(self.random.choice(PAGES))
        if way < 0.45:
            return "inquiry", get(f"/inquiries/{number}")
        if way < 0.60:
            line = self.random.choice(FACTS).format(self.random.randrange(4, 60))
            return "fact", post(f"/inquiries/{number}/facts", data={"token": self.token, "line": line})
        if way < 0.68:
            return "search", get("/", params={"q": self.random.choice(SEARCHES)})
        if way < 0.72:
            text = (SOURCE / "handfast" / "data" / "reckoning" / "lift.toml").read_text("utf-8")
            return "chapter", post("/reckoning/lift", data={"token": self.token, "text": text})
        links = re.findall(rf'href="(/inquiries/{number}/outfits/[^"/?#]+)"', get(f"/inquiries/{number}").text)
        if not links:
            return "inquiry", get(f"/inquiries/{number}/json")
        outfit = self.random.choice(sorted(set(links))[:3])
        if way < 0.82:
            return "outfit", get(outfit)
        if way < 0.89:
            return "drawing", get(f"{outfit}/drawing", params={"height": self.random.choice(("0", "40", "80"))})
        if way < 0.97:
            return "PDF", get(f"{outfit}/{self.random.choice(('fit-sheet', 'seat-card', 'install-sheet'))}.pdf")
        return "quote", post(f"{outfit}/quote", data={"token": self.token})


def started(home: Path) -> tuple[subprocess.Popen[bytes], str]:
    """The server, and where it answers."""
    env = {**os.environ, "PYTHONPATH": str(SOURCE), "HANDFAST_HOME": str(home), "HANDFAST_PORT": "0"}
    env.pop("HANDFAST_DATABASE", None)
    program = subprocess.Popen([sys.executable, "-u", "-m", "handfast.cli", "demo"], env=env, stdout=subprocess.PIPE)
    assert program.stdout is not None
    for line in program.stdout:
        found = re.search(rb"http://[\d.:]+", line)
        if found:
            return program, found[0].decode()
    raise SystemExit("the server did not start")


def slope_of(memory: list[tuple[float, float]], whole: float) -> tuple[float, float]:
    """Growth after the first part [MB an hour], by least squares, and its standard error."""
    late = np.array([(at, held) for at, held in memory if at > STEADY * whole])
    if len(late) < 3:
        return 0.0, 0.0
    (slope, _), spread = np.polyfit(late[:, 0] / 3600, late[:, 1], 1, cov=True)
    return float(slope), float(np.sqrt(spread[0, 0]))


def main() -> int:
    """Run, print, and fail where there were errors."""
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("--minutes", type=float, default=20)
    asked.add_argument("--clients", type=int, default=3)
    asked.add_argument("--pause", type=float, default=0.5)
    asked.add_argument("--json", type=Path)
    given = asked.parse_args()
    home = Path(tempfile.mkdtemp(prefix="handfast-soak-"))
    program, at = started(home)
    begun, told = time.monotonic(), Told()
    whole = given.minutes * 60
    visitors = [Visitor(at, begun + whole, seed, told, given.pause) for seed in range(given.clients)]
    for one in visitors:
        one.start()
    every = max(whole / 40, 1.0)
    while time.monotonic() < begun + whole and program.poll() is None:
        told.memory.append((time.monotonic() - begun, memory_of(program.pid)))
        print(
            f"{told.memory[-1][0]:6.0f} s  {told.memory[-1][1]:7.1f} MB  {len(told.taken):6} requests  {len(told.errors)} errors",
            flush=True,
        )
        time.sleep(every)
    for one in visitors:
        one.join(timeout=130)
    program.send_signal(signal.SIGTERM)
    ended = program.wait(timeout=60)
    kinds = sorted({kind for kind, _ in told.taken})
    for kind in kinds:
        times = np.array([spent for name, spent in told.taken if name == kind]) * 1e3
        print(
            f"{kind:8} {len(times):6}  median {np.median(times):7.0f} ms  p95 {np.percentile(times, 95):7.0f} ms  most {times.max():7.0f} ms"
        )
    every_one = np.array([spent for _, spent in told.taken]) * 1e3
    slope, spread = slope_of(told.memory, whole)
    print(
        f"{len(every_one)} requests in {given.minutes:g} min, p95 {np.percentile(every_one, 95):.0f} ms, {len(told.errors)} errors, ended with {ended}"
    )
    print(
        f"memory {told.memory[0][1]:.0f} MB at first, {told.memory[-1][1]:.0f} MB at last; slope {slope:+.1f} ± {2 * spread:.1f} MB/h after {STEADY:.0%}"
    )
    for error in sorted(set(told.errors))[:10]:
        print("  ", error)
    if given.json:
        given.json.write_text(json.dumps(vars(told)))
    return 1 if told.errors or ended else 0


if __name__ == "__main__":
    sys.exit(main())
