"""Reckoning: single chapters by themselves, each a page of its file's fields or its text."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from functools import cache
from importlib import import_module
from typing import Any

from pydantic import BaseModel
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from handfast.machines.faults import Faults
from handfast.quantities.tables import DATA
from handfast.reckoning.shown import blocks
from handfast.web.desk import form_of, off_loop, page, units_of
from handfast.web.form import at_fields
from handfast.web.reckoning_drawn import drawing_of
from handfast.web.reckoning_form import data_from, sheets, text_from, with_one_more

CHAPTERS: dict[str, tuple[str, str]] = {
    "lift": ("Lift", "What a loader lifts at a place, pose by pose, from its pins and cylinders."),
    "linkage": ("Linkage", "The pins and cylinders that a loader's spec sheet points to, and how far it is off."),
    "balance": ("Balance", "What stands on the axles, what must hang behind, what tips it."),
    "ballast": ("Ballast", "The cheapest set of weights that meets every limit."),
    "slope": ("Slope", "At which slope it first rolls over, heading by heading."),
    "grip": ("Grip", "Which round pieces a jaw holds, how hard, and when they slip."),
    "circuit": ("Circuit", "How fast a lid closes and opens in cold, warm and hot oil, and what is lost on the way."),
    "cable": ("Cable", "What an electric lid draws, what its cable loses, which fuse."),
    "connect": ("Connect", "The cheapest row of parts from one end to another."),
}
THREAD = ("Thread", "Which thread is this: from caliper and pitch to the family, and the look that settles it.")
MOST_TEXT = 200_000


@cache
def example(chapter: str) -> str:
    """The invented file that a chapter's page opens with."""
    return (DATA / "reckoning" / f"{chapter}.toml").read_text("utf-8")


def model(chapter: str) -> type[BaseModel]:
    """The record of a chapter's file."""
    found: type[BaseModel] = getattr(import_module(f"handfast.reckoning.{chapter}"), f"{chapter.capitalize()}File")
    return found


def reckoned(chapter: str, text: str) -> dict[str, Any]:
    """A chapter's result. Raises Faults."""
    module = import_module(f"handfast.reckoning.{chapter}")
    result: dict[str, Any] = getattr(module, f"reckon_{chapter}")(text, "this page")
    return result


async def reckoning_index(request: Request) -> Response:
    """Every chapter by itself."""
    return page(request, "reckoning.html", chapters={**CHAPTERS, "thread": THREAD})


def _chapter(request: Request) -> str:
    chapter: str = request.path_params["chapter"]
    if chapter not in CHAPTERS:
        raise HTTPException(404)
    return chapter


async def chapter_page(request: Request) -> Response:
    """A chapter's page with the invented example reckoned."""
    chapter = _chapter(request)
    return await _answered(request, chapter, example(chapter), request.query_params.get("as") == "text")


async def chapter_answer(request: Request) -> Response:
    """A chapter reckoned with what the form holds."""
    chapter, given = _chapter(request), dict(await form_of(request))
    more, text = given.pop("more", ""), given.pop("toml", None)
    if text is not None:
        return await _answered(request, chapter, text[:MOST_TEXT].replace("\r\n", "\n"), True)
    if more:
        data = with_one_more(data_from(given), more)
        return _shown(request, chapter, data, "", False, [], {})
    return await _answered(request, chapter, text_from(given), False)


async def _answered(request: Request, chapter: str, text: str, as_text: bool) -> Response:
    try:
        result = await off_loop(reckoned, chapter, text)
    except Faults as error:
        data = _data(text)
        places = {b.place for s in sheets(model(chapter), data) for b in s.blanks}
        by_field, rest = at_fields(error.faults, set() if as_text else places)
        return _shown(request, chapter, data, text, as_text, rest, by_field, 422)
    data = _data(text)
    drawn = await off_loop(drawing_of, chapter, data, result, units_of(request))
    return _shown(request, chapter, data, text, as_text, [], {}, 200, result, drawn)


def _data(text: str) -> dict[str, Any]:
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        return {}


def _shown(
    request: Request,
    chapter: str,
    data: dict[str, Any],
    text: str,
    as_text: bool,
    rest: list[Any],
    faults: Mapping[str, list[str]],
    status: int = 200,
    result: dict[str, Any] | None = None,
    drawn: str = "",
) -> Response:
    title, purpose = CHAPTERS[chapter]
    found = [] if result is None else list(blocks(result, units_of(request)))
    return page(
        request, "chapter.html", status, chapter=chapter, name=title, purpose=purpose, text=text, as_text=as_text,
        sheets=list(sheets(model(chapter), data)), rest=rest, faults=faults, found=found, drawn=drawn,
        count=len(rest) + len(faults),
    )  # fmt: skip
