"""Every measurement with its rival in one run: printed, and written as a dated JSON and a page with pictures.

python tests/benchmarks/run_all.py [NAME]    NAME keeps the scripts whose name holds it; the files go to HANDFAST_BENCH,
else the folder measurements.
"""

from __future__ import annotations

import html
import json
import os
import platform
import re
import subprocess
import sys
import time
from datetime import datetime
from pathlib import Path
from typing import Any

HERE = Path(__file__).parent
NOT = ("run_all", "rivals", "territory")
FIGURE = re.compile(
    r"(?P<value>\d[\d,]*(?:\.\d+)?)\s*(?P<unit>ms|us|s|kB|MB|GB|%|times|GFLOP/s|GB/s|pairs|px)(?![\w/])"
)
MEANS = {
    "bench_advise": "How long a dealer waits for an answer at the terminal.",
    "bench_answer": "How long the caller waits after a fact is typed.",
    "bench_bulk": "How long it takes to hold a whole territory against a whole catalogue, and against other tools.",
    "bench_calls": "How many questions it takes until the right outfit stands first, against other ways of asking.",
    "bench_chain": "How fast the cheapest chain of fittings is found.",
    "bench_language": "What the second language costs on a page.",
    "bench_linkage": "How fast a measured loader is drawn and reckoned.",
    "bench_pages": "How fast pages come while sixteen people work at once.",
    "bench_pose_map": "How fast the drawing's map of poses is made.",
    "bench_slider": "Whether the drawing follows the hand.",
    "bench_start": "How long until the program is there.",
    "bench_whole_shelf": "How long the whole shelf takes while the caller is on the line.",
}


def measured(script: Path) -> dict[str, Any]:
    """Run one script, passing on what it prints."""
    start, lines = time.perf_counter(), []
    child = subprocess.Popen(
        [sys.executable, "-u", str(script)], stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True
    )
    assert child.stdout is not None
    for line in child.stdout:
        print(line, end="", flush=True)
        lines.append(line.rstrip())
    code = child.wait()
    figures = [one for line in lines for one in figures_in(line)]
    took = round(time.perf_counter() - start, 1)
    return {"name": script.stem, "exit": code, "seconds": took, "lines": lines, "figures": figures}


def figures_in(line: str) -> list[dict[str, Any]]:
    """Numbers with a unit in a line, each with the words before it."""
    found, end = [], 0
    for one in FIGURE.finditer(line):
        words = re.sub(r"\s+", " ", line[end : one.start()]).strip(" :,;()")
        found.append({"words": words, "value": float(one["value"].replace(",", "")), "unit": one["unit"]})
        end = one.end()
    return found


def page(whole: dict[str, Any]) -> str:
    """The page: what each measurement is for, its figures as bars by unit, then every line as printed."""
    parts = [part(one) for one in whole["measurements"]]
    head = f"{whole['day']}, {whole['processors']} processors, Python {whole['python']}, {whole['system']}"
    return (
        '<!DOCTYPE html><html lang="en"><head><meta charset="utf-8"><title>Measurements</title><style>'
        "body{font:17px/1.4 'Gill Sans',sans-serif;max-width:60rem;margin:0 auto;padding:1rem}"
        "html{background:#FBF8F0;color:#1B2130}"
        "h2{border-top:2px solid;padding-top:.5rem}svg{width:100%;height:auto}pre{overflow-x:auto;font-size:13px}"
        "text{font:13px 'Gill Sans',sans-serif;fill:#1B2130}</style></head><body>"
        f"<h1>Measurements</h1><p>{html.escape(head)}. Bars of one picture have one unit and begin at nought.</p>"
        f"{''.join(parts)}</body></html>\n"
    )


def part(one: dict[str, Any]) -> str:
    """One measurement on the page."""
    units = list(dict.fromkeys(figure["unit"] for figure in one["figures"]))
    bars = "".join(pictured([f for f in one["figures"] if f["unit"] == unit], unit) for unit in units)
    words, lines = html.escape(MEANS.get(one["name"], "")), html.escape("\n".join(one["lines"]))
    failed = f"<p><strong>It ended with {one['exit']}.</strong></p>" if one["exit"] else ""
    named = html.escape(one["name"].removeprefix("bench_").replace("_", " "))
    printed = f"<details><summary>As printed</summary><pre>{lines}</pre></details>"
    return f"<h2>{named}</h2><p>{words}</p>{failed}{bars}{printed}"


def pictured(figures: list[dict[str, Any]], unit: str) -> str:
    """Figures of one unit as bars."""
    most = max(figure["value"] for figure in figures) or 1.0
    rows, told = [], []
    for k, figure in enumerate(figures):
        y, wide = 22 * k, 380 * figure["value"] / most
        words = html.escape(figure["words"][-58:] or unit)
        value = f"{figure['value']:,g} {unit}"
        told.append(f"{words}: {value}")
        rows.append(f'<text x="400" y="{y + 15}" text-anchor="end">{words}</text>')
        rows.append(f'<rect x="410" y="{y + 3}" width="{wide:.1f}" height="15" fill="#7E2458"/>')
        rows.append(f'<text x="{416 + wide:.1f}" y="{y + 15}">{value}</text>')
    title = html.escape("; ".join(told))
    return f'<svg viewBox="0 0 900 {22 * len(figures) + 6}" role="img"><title>{title}</title>{"".join(rows)}</svg>'


def main() -> int:
    """Measure, print, write."""
    wanted = sys.argv[1] if len(sys.argv) > 1 else ""
    scripts = [one for one in sorted(HERE.glob("bench_*.py")) if wanted in one.stem and one.stem not in NOT]
    now = datetime.now().astimezone()
    whole: dict[str, Any] = {
        "day": now.isoformat(timespec="seconds"),
        "processors": os.cpu_count(),
        "python": platform.python_version(),
        "system": platform.system(),
        "measurements": [],
    }
    for script in scripts:
        print(f"\n== {script.stem}", flush=True)
        whole["measurements"].append(measured(script))
    folder = Path(os.environ.get("HANDFAST_BENCH", "measurements"))
    folder.mkdir(parents=True, exist_ok=True)
    stamp = f"{now:%Y-%m-%d-%H%M}"
    (folder / f"{stamp}.json").write_text(json.dumps(whole, indent=1) + "\n", encoding="utf-8")
    (folder / f"{stamp}.html").write_text(page(whole), encoding="utf-8")
    print(f"\nWrote {folder / stamp}.json and .html")
    return max((one["exit"] for one in whole["measurements"]), default=0)


if __name__ == "__main__":
    sys.exit(main())
