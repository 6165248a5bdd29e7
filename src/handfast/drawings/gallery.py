"""All drawings on one page, to look at: python -m handfast.drawings.gallery OUTDIR."""

from __future__ import annotations

import shutil
import sys
from dataclasses import replace
from html import escape
from pathlib import Path

from handfast.drawings import gallery_lines as lines
from handfast.drawings import gallery_values as values
from handfast.drawings.axle_bars import axle_bars
from handfast.drawings.band import Band, Scale, band_mark, bands, cost_mark, spare_mark
from handfast.drawings.circuit import circuit_drawing
from handfast.drawings.cost_bars import cost_bars
from handfast.drawings.hose_plan import hose_plan_drawing
from handfast.drawings.inks import Mode
from handfast.drawings.load_chart import load_chart
from handfast.drawings.marks import Figure
from handfast.drawings.marks_small import VERDICT_WORDS, arrow, dagger, tally, tick_box, verdict_mark
from handfast.drawings.quick_attach_pictures import WORDS, quick_attach_picture
from handfast.drawings.sheet_a import sheet_a
from handfast.drawings.side_view import side_view
from handfast.drawings.slope_view import slope_view

STATIC = Path(__file__).parent.parent / "web" / "static"
LAYOUT = (
    "body{background:var(--sheet)}main{padding:1rem}h2{margin:1.2rem 0 .4rem}"
    ".row{display:flex;flex-wrap:wrap;gap:1.2rem;align-items:flex-start}"
)


def _sections(mode: Mode, wide: float) -> list[tuple[str, str]]:
    small, big = values.small_tractor(), values.large_tractor()
    lifted = replace(
        small,
        pin_height=1.5,
        curl=0.35,
        lift_to=1.2,
        ghost_level=False,
        dimensions=replace(small.dimensions, pin_height=Figure("59 in", note="to the pins"), lift_to=Figure("4 ft")),
    )
    kind_width = 330.0 if wide > 640 else wide
    kinds = "".join(side_view(view, mode, kind_width) for _, view in values.kinds())
    return [
        ("Sheet A, sub-compact", sheet_a(small, values.chart(), mode, wide)),
        ("Sheet A, utility", sheet_a(big, values.big_chart(), mode, wide)),
        ("Side view over a trailer side", side_view(lifted, mode, min(wide, 760.0))),
        ("Load chart", load_chart(values.chart(), mode, min(wide, 360.0))),
        ("Kinds", kinds),
        ("Weight on the axles", axle_bars(values.axle_states(), mode, min(wide, 700.0))),
        ("Slope", slope_view(values.slopes(), mode, min(wide, 660.0))),
        ("Circuits", "".join(circuit_drawing(view, mode, min(wide, 700.0)) for view in lines.circuits())),
        ("Hoses", hose_plan_drawing(lines.hoses(), mode, min(wide, 700.0))),
        ("Side by side", bands(values.rows(), mode, min(wide, 760.0))),
        ("Cost", cost_bars(values.costs(), mode, min(wide, 470.0))),
        ("Small marks", _marks(mode)),
        ("How a bucket comes off", "".join(quick_attach_picture(k, mode, caption=True) for k in WORDS)),
    ]


def _marks(mode: Mode) -> str:
    verdicts = "".join(verdict_mark(v, mode, spoken=True) for v in VERDICT_WORDS)
    tallies = "".join(tally(share, mode) for share in (1.0, 0.93, 0.71, 0.0))
    scale = Scale(300, 520)
    shown = (Band(425, 450, 470), Band(340, 360, 378, True), None)
    marks = "".join(band_mark(b, scale, 402, mode) for b in shown)
    spare = spare_mark(402, 450, mode=mode) + spare_mark(402, 56, mode=mode) + spare_mark(None, 1, mode=mode)
    return (
        verdicts
        + tallies
        + marks
        + spare
        + cost_mark(390, 430, 520, 1400, mode)
        + dagger(mode)
        + arrow("right", mode)
        + tick_box(True, mode)
    )


def page(mode: Mode, wide: float, ink: str = "") -> str:
    """One gallery page as HTML."""
    head = "".join(f'<link rel="stylesheet" href="{name}.css">' for name in ("tokens", "sheet", "drawing", "gallery"))
    parts = "".join(f'<h2>{escape(name)}</h2><div class="row">{body}</div>' for name, body in _sections(mode, wide))
    data = f' data-ink="{ink}"' if ink else ""
    start = f'<!doctype html><html lang="en"{data}><head><meta charset="utf-8"><title>Drawings</title>'
    view = '<meta name="viewport" content="width=device-width,initial-scale=1">'
    return f"{start}{view}{head}</head><body><main><h1>Drawings, invented values</h1>{parts}</main></body></html>"


def write_gallery(folder: Path) -> list[Path]:
    """Writes the gallery's pages and style sheets into a folder; returns the pages.

    Args:
        folder: made if it does not exist.

    Returns:
        The written pages: light, blueprint, phone, print.
    """
    folder.mkdir(parents=True, exist_ok=True)
    for name in ("tokens.css", "sheet.css", "drawing.css"):
        shutil.copy(STATIC / name, folder / name)
    shutil.copytree(STATIC / "fonts", folder / "fonts", dirs_exist_ok=True)
    (folder / "gallery.css").write_text(LAYOUT, encoding="utf-8")
    pages: dict[str, str] = {
        "light.html": page("screen", 1000, "paper"),
        "blueprint.html": page("screen", 1000, "blueprint"),
        "phone.html": page("screen", 358),
        "print.html": page("print", 900),
    }
    for name, text in pages.items():
        (folder / name).write_text(text, encoding="utf-8")
    return [folder / name for name in pages]


if __name__ == "__main__":
    if len(sys.argv) != 2:
        sys.exit("usage: python -m handfast.drawings.gallery OUTDIR")
    for written in write_gallery(Path(sys.argv[1])):
        sys.stdout.write(f"{written}\n")
