"""Hose tags: four labels to a page, one for each hose, folded over it, with the number of drawing and order."""

from __future__ import annotations

from math import isfinite
from typing import Any

from handfast.advice.result import Advice
from handfast.documents.hose_order import bore_words
from handfast.documents.press import press, sheet_of
from handfast.documents.work_paper import Options, length, pressure
from handfast.drawings.letters import plain
from handfast.outfits.fitting import Fitting
from handfast.outfits.hose_order import HoseOrder, hose_order_of


def hose_tags(advice: Advice, outfit_id: str, fitting: Fitting, options: Options | None = None) -> bytes:
    """The tags of an outfit's hoses.

    Args:
        advice: the answer.
        outfit_id: which of its outfits.
        fitting: the same outfit with its lines.
        options: paper, units, date, number.

    Returns:
        A tagged PDF, four labels to a page; equal arguments give equal bytes.

    Raises:
        KeyError: no such outfit.
        ValueError: no such paper.
        PaperError: the press failed.

    >>> from handfast.advice.example import piped_answer
    >>> from handfast.outfits.example_piped import PIPED, piped
    >>> hose_tags(piped_answer(), PIPED, piped())[:5]
    b'%PDF-'
    """
    options = options or Options()
    sheet, one = sheet_of(options.paper), advice.outfit(outfit_id)
    about = " ".join(text for text in ("Hose tags", options.number) if text)
    values = {
        "paper": [sheet.width, sheet.height],
        "demo": options.demo,
        "title": plain(f"{about}: {one.title}", 200),
        "head": plain(about, 60),
        "dealer": plain(options.dealer, 60),
        "number": plain(" ".join(text for text in (options.number, options.made) if text), 40),
        "labels": [_label(hose, options.system) for hose in hose_order_of(fitting)],
        "machine": plain(advice.machine, 60),
        "none": "No oil moves this lid, or its lines wait for a thread: there is no hose to tag.",
        "pics": {},
    }
    return press("hose_tags", values, options.made)


def _label(one: HoseOrder, system: str) -> dict[str, Any]:
    number = one.number
    known = [
        f"{bore_words(one.bore)} bore" if isfinite(one.bore) else "",
        f"overall {length(one.overall, system)}" if isfinite(one.overall) else "",
        f"bears {pressure(one.rating, system)}" if isfinite(one.rating) else "",
    ]
    words = ", ".join(text for text in known if text) or one.made_of
    return {
        "tag": one.tag,
        "start": plain(number.start, 90),
        "end": plain(number.end, 90),
        "start-thread": plain(one.ends[0], 60),
        "end-thread": plain(one.ends[1], 60),
        "words": plain(words, 90),
    }
