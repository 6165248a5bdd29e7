"""A page of fits for a dealer's web site: one file, read and searched without any server, without prices or costs."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
from jinja2 import Environment, FileSystemLoader, select_autoescape
from markupsafe import Markup

from handfast.bulk.screen import FITS, WEIGHTED
from handfast.bulk.territory import Territory
from handfast.quantities.showing import show
from handfast.quantities.units import to_si

GROUND = "What it lifts is on level ground, with the load where the attachment carries it."
HERE = Path(__file__).parent / "templates"


def fits_page(found: Territory, dealer: str, day: str, system: str = "us") -> str:
    """What fits each tractor, as one HTML file.

    Args:
        found: machines, attachments, verdicts.
        dealer: whose page it is.
        day: when it was made, as written.
        system: "us" or "metric".

    Returns:
        HTML; it loads nothing and works without script.

    Example:
        >>> from handfast.bulk.territory import territory_of
        >>> from handfast.machines.inquiry import Inquiry
        >>> from handfast.machines.shelf import Shelf
        >>> "What fits your tractor" in fits_page(territory_of(Inquiry(), Shelf()), "Somebody", "today")
        True
    """
    works = ", ".join(dict.fromkeys(found.lines))
    return (
        _templates()
        .get_template("fits.html")
        .render(
            dealer=dealer,
            lead=f"Reckoned for {works}, each attachment on each tractor as it leaves the maker.",
            groups=[_group(found, k, system) for k in range(len(found.machines))],
            foot=f"Made on {day}. {GROUND}",
            css=Markup((HERE / "fits.css").read_text("utf-8")),
            js=Markup((HERE / "fits.js").read_text("utf-8")),
        )
    )


@cache
def _templates() -> Environment:
    return Environment(loader=FileSystemLoader(HERE), autoescape=select_autoescape(("html",)), trim_blocks=True)


def _group(found: Territory, column: int, system: str) -> dict[str, Any]:
    machine = found.machines[column]
    name = machine.name or machine.id
    lines = [{"work": work, "rows": _rows(found, line, column, system)} for line, work in enumerate(found.lines)]
    return {"name": name, "words": name.lower(), "lines": lines}


def _rows(found: Territory, line: int, column: int, system: str) -> list[dict[str, str]]:
    codes, weights = found.verdicts[line][:, column], found.counterweights[line][:, column]
    payload = found.payloads[line]
    order = sorted(np.nonzero(codes >= WEIGHTED)[0].tolist(), key=lambda k: (-codes[k], -payload[k, column]))
    return [_row(found, int(codes[k]), float(weights[k]), float(payload[k, column]), k, system) for k in order]


def _row(found: Territory, code: int, weight: float, payload: float, k: int, system: str) -> dict[str, str]:
    tool = found.attachments[k]
    name = tool.name or tool.id
    heavy = f"fits with about {_round(weight, system, np.ceil)} behind"
    lifts = float(np.fmin(payload, tool.rated_load.value))
    return {
        "name": name,
        "words": name.lower(),
        "verdict": "fits" if code == FITS else heavy,
        "mark": "full" if code == FITS else "half",
        "payload": _round(max(lifts, 0.0), system, np.floor),
    }


def _round(mass: float, system: str, way: Callable[[float], float]) -> str:
    """A mass in round figures, on the careful side."""
    step = to_si(10.0, "lb") if system == "us" else 5.0
    return show(float(way(mass / step - 1e-9 if way is np.ceil else mass / step + 1e-9)) * step, "mass", system, 0)
