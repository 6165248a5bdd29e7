"""The seat card: what this outfit carries at three heights and what must hang behind, for the operator to see."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

from handfast.advice.carried import balanced_load, cautious_load, working_height
from handfast.advice.result import Advice, OutfitAdvice
from handfast.advice.say import STEPS
from handfast.documents.press import press, sheet_of
from handfast.documents.words import DEALER, listed, picture, verdict_of
from handfast.drawings.from_advice import can_draw, side_view_of
from handfast.drawings.letters import plain
from handfast.drawings.marks import Figure
from handfast.drawings.side_parts import Dimensions, SideView
from handfast.drawings.side_view import lay_out, side_view
from handfast.quantities.showing import show

WIDTH, SHOWN = 700.0, 80.0  # px of the drawing, mm of it on the card
RULES = (
    "Load low while moving; up only to set it down.",
    "Straight up or down a slope, heavy end uphill. Slope limit: your manual's.",
    "Roll bar up, belt on; nobody under the load or beside it.",
    "Lower it, stop, and let the pressure off before you leave the seat or part a hose.",
)
VOID = "Void if tyres, ballast or attachment change."
HOLDS = ("fits", "fits_if")


def seat_card(
    advice: Advice,
    outfit_id: str,
    *,
    paper: str = "a6",
    number: str = "",
    made: str = "",
    tractor_serial: str = "",
    attachment_serial: str = "",
    system: str = "us",
    dealer: str = DEALER,
    demo: bool = True,
) -> bytes:
    """A card of 148 by 105 mm for the operator's seat; it bears no slope angle, and no angle at which anything tips.

    Args:
        advice: the answer.
        outfit_id: which of its outfits.
        paper: a6 for the card alone; us-letter or a4 for two of them on a sheet, with marks to cut along.
        number: the card's number.
        made: the date, best as year-month-day; never taken from a clock.
        tractor_serial: as on the tractor's plate.
        attachment_serial: as on the attachment's plate.
        system: us or metric.
        dealer: whose card it is; its name leads.
        demo: print that all is invented.

    Returns:
        A tagged PDF of one page; equal arguments give equal bytes.

    Raises:
        KeyError: no such outfit.
        ValueError: the outfit does not hold, its loads are not known, or no such system.
        PaperError: the press failed.

    Source: the least of lift, curl, the attachment's rating and the load that the axles were reckoned with.

    >>> from handfast.advice.example import answer, outfit
    >>> seat_card(answer(), outfit().id)[:5]
    b'%PDF-'
    """
    one, sheet = advice.outfit(outfit_id), sheet_of(paper)
    if system not in STEPS:
        raise ValueError(f"system is us or metric; found {system!r}")
    if verdict_of(one) not in HOLDS:
        raise ValueError(f"a seat card is made for an outfit that holds; this one: {one.verdict}")
    if not can_draw(one):
        raise ValueError("a seat card needs the loader's and tractor's measures; they are not known")
    view = _bare(side_view_of(advice, one, system))
    drawn = side_view(view, "print", WIDTH)
    values = {
        "paper": [sheet.width, sheet.height],
        "cut": paper != "a6",
        "demo": demo,
        "title": plain(f"Seat card {number}: {one.title}", 200),
        "dealer": plain(dealer, 90),
        "number": plain(listed([text for text in (number, made) if text]), 60),
        "outfit": plain(one.title, 120),
        "machine": plain(advice.machine, 80),
        "serials": [plain(text, 40) for text in (tractor_serial, attachment_serial)],
        "loads": _loads(one, view, system),
        "behind": _behind(one, system),
        "rules": list(RULES),
        "void": VOID,
        "pics": {"side": picture(drawn, _words(one, view, system))},
    }
    return press("seat_card", values, made)


def safe_load(one: OutfitAdvice, height: float, system: str) -> float | None:
    """The load printed for a pin height [kg]: the least that lift, curl, the attachment and the axles bear out.

    Args:
        one: the outfit.
        height: of the pins [m].
        system: whose step it is rounded down to.

    Returns:
        Mass [kg]; None when not known.

    >>> from handfast.advice.example import outfit
    >>> round(safe_load(outfit(), 1.0, "us") / 0.45359237)
    75
    """
    found = [load for load in (cautious_load(one, height, system), balanced_load(one, system)) if load is not None]
    return min(found) if len(found) == 2 else None


def _places(one: OutfitAdvice, view: SideView) -> list[tuple[str, float]]:
    full = working_height(one)
    places = [("full" if full >= view.pin_height_max - 0.01 else "top", full)]
    if view.pin_height_down < view.pivot[1] < full:
        places.append(("level", view.pivot[1]))
    return [*places, ("low", view.pin_height_down)]


def _loads(one: OutfitAdvice, view: SideView, system: str) -> list[dict[str, Any]]:
    """Name, height, load and place down the drawing of each of the three."""
    frame, rows = lay_out(view, WIDTH, "print", 58.0).frame, []
    for name, height in _places(one, view):
        load = safe_load(one, height, system)
        if load is None:
            raise ValueError("a seat card needs loads that are known; these are not")
        down = frame.at(0, height)[1] / WIDTH * SHOWN
        text = show(load, "mass", system) if load > 0 else "nothing"
        rows.append({"name": name, "height": _height(height, system), "load": text, "at": round(down, 2)})
    return rows


def _height(height: float, system: str) -> str:
    return f"{height / 0.0254:.0f} in" if system == "us" else f"{height:.2f} m"


def _bare(view: SideView) -> SideView:
    """The view without lettering, its three poses kept."""
    load = None if view.load is None else replace(view.load, label="", note="")
    behind = None if view.behind is None else replace(view.behind, label=Figure(""), note="")
    return replace(
        view, load=load, behind=behind, axles=None, dimensions=Dimensions(), arm_label="", ghost_label="", ghost_note=""
    )


def _behind(one: OutfitAdvice, system: str) -> str:
    pieces = [f"{show(p.mass, 'mass', system)} {_where(p.at)}" for p in one.ballast.chosen]
    if one.ballast.already > 0:
        pieces.insert(0, f"what hangs there now, {show(one.ballast.already, 'mass', system)}")
    if pieces:
        return f"{' and '.join(pieces)}, always"
    if one.ballast.needed > 0 or one.ballast.note:
        raise ValueError("a seat card says what hangs behind; for this outfit no set is chosen")
    return "nothing more than it had when this card was made"


def _where(at: str) -> str:
    return {"hitch": "on the hitch", "rear_wheels": "on the rear wheels", "tyres": "in the rear tyres"}.get(
        at, "behind"
    )


def _words(one: OutfitAdvice, view: SideView, system: str) -> str:
    loads = [(name, height, safe_load(one, height, system)) for name, height in _places(one, view)]
    told = [
        f"{name}, pins at {_height(height, system)}: {show(load, 'mass', system)}"
        for name, height, load in loads
        if load is not None and math.isfinite(load)
    ]
    return "Tractor from its right side, arms at three heights. " + "; ".join(told) + "."
