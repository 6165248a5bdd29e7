"""From the slider's movement to the new drawing in the page, in Chromium: python tests/benchmarks/bench_slider.py."""

from __future__ import annotations

import socket
import statistics
import sys
import tempfile
import threading
from pathlib import Path

import uvicorn
from playwright.sync_api import sync_playwright

from handfast.counter.verbs import fill_demo, open_workspace
from handfast.web.app import make_app

CHROMIUM = "/usr/bin/chromium"
QUIET = ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking"]
MOVES = 120
NAMES = ("height", "curl", "lid", "piece")
MEASURE = """async ([name, moves]) => {
  const slider = document.getElementById("s-" + name), box = document.getElementById("drawing"), took = [];
  const low = Number(slider.min), high = Number(slider.max);
  for (let k = 0; k < moves; k++) {
    slider.value = String(low + (k * 7) % (high - low + 1));
    const start = performance.now();
    const drawn = new Promise(done => new MutationObserver((_, watch) => { watch.disconnect(); done(); })
      .observe(box, {childList: true}));
    slider.dispatchEvent(new Event("input", {bubbles: true}));
    await drawn;
    took.push(performance.now() - start);
    await new Promise(done => setTimeout(done, 30));
  }
  return took;
}"""


def main() -> None:
    """Serve the demonstration, move the slider, print the times."""
    with tempfile.TemporaryDirectory() as home:
        workspace = open_workspace(Path(home))
        fill_demo(workspace)
        listener = socket.socket(socket.AF_INET, socket.SOCK_STREAM, socket.IPPROTO_TCP)
        listener.bind(("127.0.0.1", 0))
        server = uvicorn.Server(uvicorn.Config(make_app(workspace), log_level="error"))
        thread = threading.Thread(target=server.run, kwargs={"sockets": [listener]}, daemon=True)
        thread.start()
        with sync_playwright() as play:
            browser = play.chromium.launch(executable_path=CHROMIUM, args=QUIET)
            page = browser.new_page(viewport={"width": 1440, "height": 900})
            page.goto(f"http://127.0.0.1:{listener.getsockname()[1]}/inquiries/1")
            page.locator(".out a").first.click()
            page.locator("#s-height").wait_for()
            took = {
                name: sorted(page.evaluate(MEASURE, [name, MOVES]))
                for name in NAMES
                if page.locator(f"#s-{name}").count()
            }
            browser.close()
        server.should_exit = True
        thread.join(timeout=10)
        workspace.engine.dispose()
    for name, times in took.items():
        middle, late = statistics.median(times), times[int(0.95 * len(times))]
        sys.stdout.write(
            f"{name:7} to new drawing: p50 {middle:.1f} ms, p95 {late:.1f} ms, {len(times)} moves (limit 30 ms)\n"
        )


if __name__ == "__main__":
    main()
