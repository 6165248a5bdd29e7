"""From a template and plain values to a tagged PDF: same values, same bytes; any warning is an error."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime
from functools import cache
from pathlib import Path
from threading import Lock
from typing import Any

import typst

from handfast.language.telling import now, tell, tell_values

HERE = Path(__file__).parent
TEMPLATES, FONTS = HERE / "templates", HERE / "fonts"
STANDARDS = ["a-2b", "ua-1"]
FAMILY, WEIGHTS = "Alegreya Sans", {("normal", 500), ("normal", 700), ("italic", 500)}
UNDATED = date(1970, 1, 1)  # PDF/A asks for a date; this one stands in the file where the paper bears none


TOLD = re.compile(r'\bt\("([^"]+)"\)')


class PaperError(RuntimeError):
    """A paper that could not be made; a fault of the program, not of what was given."""


@dataclass(frozen=True)
class Sheet:
    """A size of paper, mm."""

    width: float
    height: float


SIZES = {"us-letter": Sheet(215.9, 279.4), "a4": Sheet(210.0, 297.0), "a6": Sheet(148.0, 105.0)}


def sheet_of(paper: str) -> Sheet:
    """The size of a paper by its name; ValueError for one that is not kept.

    >>> sheet_of("a4").height
    297.0
    """
    if paper not in SIZES:
        raise ValueError(f"paper is one of {', '.join(SIZES)}; found {paper!r}")
    return SIZES[paper]


@cache
def _fonts() -> Any:
    fonts = typst.Fonts(include_system_fonts=False, include_embedded_fonts=True, font_paths=[FONTS])
    found = {(one.style, one.weight) for one in fonts.fonts() if one.family == FAMILY}
    if not found >= WEIGHTS:
        raise PaperError(f"The lettering {FAMILY} is not whole in {FONTS.name}: found {sorted(found)}.")
    return fonts


PRESSING = Lock()  # a template's compiler serves one at a time, and refuses a second


@cache
def _template(name: str) -> Any:
    return typst.Compiler(TEMPLATES / f"{name}.typ", root=TEMPLATES, font_paths=_fonts())


def date_of(made: str) -> date:
    """The day that a paper bears, where it is written as year-month-day; else the day that says it bears none.

    >>> date_of("2025-03-04").year, date_of("").year
    (2025, 1970)
    """
    try:
        return date.fromisoformat(made.strip()[:10])
    except ValueError:
        return UNDATED


@cache
def words_in(template: str) -> tuple[str, ...]:
    """The words that a template itself sets: those in t("…"), its own and of what every paper shares.

    >>> "Scale, units" in words_in("fit_sheet"), "Checks" in words_in("fit_sheet")
    (False, True)
    """
    texts = [(TEMPLATES / f"{name}.typ").read_text("utf-8") for name in ("sheet", template)]
    return tuple(dict.fromkeys(one for text in texts for one in TOLD.findall(text)))


def press(template: str, values: Mapping[str, Any], made: str = "") -> bytes:
    """Set a template with values.

    Args:
        template: name of a file in `templates`.
        values: plain values; texts are set as they are and never read as markup.
        made: the paper's date; its file bears it too.

    Returns:
        A PDF/A-2b with PDF/UA-1 tags.

    Raises:
        PaperError: the press warned or failed.
    """
    day = date_of(made)
    whole: dict[str, Any] = {**values, "lang": now().language, "day": [day.year, day.month, day.day]}
    if now().language != "en":
        whole = {**tell_values(whole), "lang": now().language, "words": {one: tell(one) for one in words_in(template)}}
    stamp = datetime(day.year, day.month, day.day, tzinfo=UTC)
    data = json.dumps(whole, ensure_ascii=False, allow_nan=False, sort_keys=True)
    try:
        with PRESSING:
            pdf, warnings = _template(template).compile_with_warnings(
                format="pdf", sys_inputs={"data": data}, pdf_standards=STANDARDS, timestamp=stamp
            )
    except typst.TypstError as fault:
        raise PaperError(f"{template}: {fault}") from fault
    if warnings:
        raise PaperError(f"{template}: " + "; ".join(str(one) for one in warnings))
    return bytes(pdf)
