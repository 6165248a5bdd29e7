"""Reckoning, thread: from caliper and pitch to families with their odds, look-alikes, and the look that settles it."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from markupsafe import Markup
from starlette.requests import Request
from starlette.responses import Response

from handfast.connections.mating import families
from handfast.drawings.marks_small import tally, tally_count
from handfast.drawings.thread_picture import SEALS, measuring_picture
from handfast.machines.faults import Faults
from handfast.reckoning.thread import reckon_thread
from handfast.web.desk import off_loop, page, units_of
from handfast.web.form import sentence
from handfast.web.words import placed

BARE = re.compile(r"\d+([.,]\d+)?|\d+/\d+|\d+[ -]\d+/\d+")
UNIT = {"us": "in", "metric": "mm"}
NAMES = ("od", "id", "pitch", "tpi", "taper", "seat", "tolerance")
SEES = (
    ("", "not looked"),
    ("cone 37", "outer cone of 37°"),
    ("cone 30", "inner cone of 30°"),
    ("cone 24", "inner cone of 24°"),
    ("o-ring port", "O-ring at the hexagon"),
    ("o-ring face", "O-ring in a flat face"),
    ("washer", "flat for a washer"),
    ("thread", "nothing, the thread itself"),
)
TAPERS = (("", "not looked"), ("yes", "it tapers"), ("no", "it is parallel"))
PICTURED = 4  # families shown beside the answer


@dataclass(frozen=True)
class Row:
    """One candidate as the page shows it."""

    name: str
    standard: str
    what: str
    end: str
    share: str
    tally: Markup
    look_alikes: tuple[str, ...]


def _row(one: Mapping[str, Any], place: int) -> Row:
    odds = one["probability"]
    share = f"{tally_count(odds)} in 10" if odds >= 0.05 else "less than 1 in 10"
    return Row(
        one["name"],
        one["standard"],
        f"{one['size']}, {one['designation']}",
        one["gender"],
        share,
        placed(tally(odds, spoken=False), f"t{place}"),
        tuple(one["look_alikes"]),
    )


@cache
def _picture(family: str) -> Markup:
    return Markup(measuring_picture(family, families()[family]["name"]))


def with_units(given: Mapping[str, str], units: str) -> dict[str, str]:
    """What was written, a bare length in the unit that its field names.

    >>> with_units({"od": "0.81", "tpi": "14"}, "us")
    {'od': '0.81 in', 'tpi': '14'}
    """
    lengths = ("od", "id", "pitch", "tolerance")
    return {k: f"{v} {UNIT[units]}" if k in lengths and BARE.fullmatch(v) else v for k, v in given.items()}


async def thread_page(request: Request) -> Response:
    """The measuring form, and what it may be."""
    given = {name: request.query_params.get(name, "").strip()[:60] for name in NAMES}
    asked, units = any(given.values()), units_of(request)
    faults: dict[str, str] = {}
    found: dict[str, Any] = {"candidates": [], "ask": None}
    if asked:
        try:
            found = await off_loop(reckon_thread, with_units(given, units))
        except Faults as error:
            faults = {fault.place.removeprefix("--"): sentence(fault) for fault in error.faults}
    kinds = list(dict.fromkeys(one["family"] for one in found["candidates"]))
    return page(
        request,
        "thread.html",
        422 if faults else 200,
        given=given,
        asked=asked and not faults,
        faults=faults,
        unit=UNIT[units],
        rows=[_row(one, k) for k, one in enumerate(found["candidates"])],
        ask=found["ask"],
        beside=[_picture(kind) for kind in kinds[:PICTURED]],
        pictures=[_picture(kind) for kind in SEALS if kind not in kinds[:PICTURED]],
        sees=SEES,
        tapers=TAPERS,
    )
