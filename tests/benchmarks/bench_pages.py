"""Pages under sixteen connections while a caller's facts are being answered: python tests/benchmarks/bench_pages.py.

A fresh server on the demonstration in a process of its own. Sixteen browsers, each with a connection kept open, go
round the pages without a pause; meanwhile one counter puts in facts, one after another, each of which is reckoned anew.
Printed: each page's time, first by itself (one browser, nothing reckoned), then under the sixteen, and their ratio; how
long the answers took, with that and without; and the weight of a first visit: page, styles, script and lettering as
they come over the wire.
"""

from __future__ import annotations

import http.client
import os
import re
import statistics
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from urllib.parse import urlencode, urlsplit

CONNECTIONS, SECONDS, SETTLE = 16, 20.0, 4.0
PAGES = (
    "/", "/inquiries/new", "/inquiries/1", "/inquiries/3/edit", "/shelf", "/shelf/machines/thimble-24", "/quotes",
    "/comebacks", "/calibration", "/reckoning", "/reckoning/lift", "/reckoning/thread", "/about",
)  # fmt: skip
BUDGETS = range(3000, 6000, 7)


@contextmanager
def served() -> Iterator[str]:
    """A fresh server on the demonstration; gives host and port."""
    with tempfile.TemporaryDirectory() as home:
        env = {**os.environ, "HANDFAST_HOME": home, "HANDFAST_PORT": "0", "PYTHONUNBUFFERED": "1"}
        server = subprocess.Popen(
            [sys.executable, "-m", "handfast.cli", "demo"], env=env, stdout=subprocess.PIPE, text=True
        )
        try:
            assert server.stdout is not None
            yield urlsplit(next(w for line in server.stdout for w in line.split() if w.startswith("http"))).netloc
        finally:
            server.terminate()
            server.wait()


class Browser:
    """One connection kept open, with its cookie."""

    def __init__(self, at: str) -> None:
        self.link = http.client.HTTPConnection(at, timeout=60)
        self.cookie = ""

    def get(self, path: str, body: str = "", part: bool = False) -> tuple[float, http.client.HTTPResponse, bytes]:
        """Seconds, the answer, its bytes as they came."""
        headers = {"accept-encoding": "gzip", "cookie": self.cookie, "accept": "text/html"}
        headers |= {"content-type": "application/x-www-form-urlencoded"} if body else {}
        headers |= {"hx-request": "true"} if part else {}
        start = time.perf_counter()
        self.link.request("POST" if body else "GET", path, body or None, headers)
        answer = self.link.getresponse()
        came = answer.read()
        took = time.perf_counter() - start
        if answer.status != 200:
            raise SystemExit(f"{path}: {answer.status}")
        self.cookie = (answer.headers.get("set-cookie") or self.cookie).split(";")[0]
        return took, answer, came


def text_of(answer: http.client.HTTPResponse, came: bytes) -> str:
    import gzip

    return (gzip.decompress(came) if answer.headers.get("content-encoding") == "gzip" else came).decode()


def ask(at: str, stop: threading.Event, took: list[float]) -> None:
    """Put in a budget, again and again, into one inquiry after another."""
    browser = Browser(at)
    _, answer, came = browser.get("/about")
    found = re.search(r'name="token" value="([^"]+)"', text_of(answer, came))
    assert found
    for step, budget in enumerate(BUDGETS):
        if stop.is_set():
            return
        body = urlencode({"token": found[1], "wishes.budget": str(budget)})
        took.append(browser.get(f"/inquiries/{2 + step % 7}/facts", body, part=True)[0])
        stop.wait(0.25)


def answered(at: str, seconds: float) -> list[float]:
    """How long the sheet takes to answer a fact, list and next question together, with nothing else going on."""
    stop, took = threading.Event(), list[float]()
    asker = threading.Thread(target=ask, args=(at, stop, took))
    asker.start()
    stop.wait(seconds)
    stop.set()
    asker.join()
    return took


def round_and_round(at: str, first: int, until: float, took: dict[str, list[float]], pages: Sequence[str]) -> None:
    browser, step = Browser(at), first
    while time.perf_counter() < until:
        path = pages[step % len(pages)]
        took[path].append(browser.get(path)[0])
        step += 5  # prime to the count of the pages: each browser meets them in another order


def measured(at: str, connections: int, seconds: float, pages: Sequence[str]) -> dict[str, list[float]]:
    """Every page's times under so many connections."""
    took: dict[str, list[float]] = {path: [] for path in pages}
    until = time.perf_counter() + seconds
    threads = [
        threading.Thread(target=round_and_round, args=(at, one, until, took, pages)) for one in range(connections)
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return took


def late(times: Sequence[float]) -> float:
    return statistics.quantiles(times, n=20)[-1] * 1000 if len(times) > 1 else times[0] * 1000


def told(times: Sequence[float]) -> str:
    return f"{len(times)} times, p50 {statistics.median(times) * 1000:.0f} ms, p95 {late(times):.0f} ms"


def first_visit(at: str, path: str) -> tuple[int, list[str]]:
    """Bytes of a page and of all that it names, as they come; and what it names elsewhere."""
    browser = Browser(at)
    _, answer, came = browser.get(path)
    named = set(re.findall(r'(?:src|href)="([^"]+\.(?:css|js|svg)[^"]*)"', text_of(answer, came)))
    weight, elsewhere = len(came), [one for one in named if not one.startswith("/")]
    for one in sorted(named - set(elsewhere)):
        _, answer, came = browser.get(one)
        weight += len(came)
        if ".css" in one:
            for face in sorted(set(re.findall(r'url\("?([^)"]+)"?\)', text_of(answer, came)))):
                weight += len(browser.get("/static/" + face.removeprefix("/static/"))[2])
    return weight, elsewhere


def main() -> None:
    """Serve, measure, print."""
    with served() as at:
        time.sleep(SETTLE)
        alone = measured(at, 1, SECONDS / 4, PAGES)
        quiet = answered(at, SECONDS / 2)
        stop, answers = threading.Event(), list[float]()
        asker = threading.Thread(target=ask, args=(at, stop, answers))
        asker.start()
        under = measured(at, CONNECTIONS, SECONDS, PAGES)
        stop.set()
        asker.join()
        print(f"{'page':32} {'alone p95':>10} {f'{CONNECTIONS} at once p50':>16} {'p95':>8} {'times':>6}   ms")
        for path in PAGES:
            one, many = late(alone[path]), under[path]
            middle = statistics.median(many) * 1000
            print(f"{path:32} {one:10.1f} {middle:16.1f} {late(many):8.1f} {late(many) / one:6.1f}   {len(many)} times")
        everything = [each for times in under.values() for each in times]
        print(f"{'all pages':32} {'':10} {statistics.median(everything) * 1000:16.1f} {late(everything):8.1f}")
        print(f"pages a second: {len(everything) / SECONDS:.0f}")
        print(f"a fact answered, ranked list and next question, nothing else going on: {told(quiet)}")
        print(f"the same meanwhile: {told(answers)}")
        for path in ("/", "/inquiries/1", "/inquiries/7"):
            weight, elsewhere = first_visit(at, path)
            print(f"first visit of {path}: {weight / 1000:.0f} kB, {len(elsewhere)} requests elsewhere")


if __name__ == "__main__":
    main()
