"""The outfit's sheet, its moving drawing, its papers and its JSON."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache, partial
from math import ceil, degrees, floor, isfinite, radians
from typing import Any

from markupsafe import Markup
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import JSONResponse, RedirectResponse, Response

from handfast.advice.as_json import to_json
from handfast.advice.result import Advice, OutfitAdvice
from handfast.counter import verbs as counter
from handfast.documents.bill import bill_of
from handfast.documents.kinds import HOLDS, KINDS
from handfast.drawings.charts_from_advice import mount_sentence
from handfast.drawings.piece_sizes import can_be_resized
from handfast.machines.inquiry import Inquiry
from handfast.machines.reading import read_inquiry
from handfast.machines.shelf import Shelf
from handfast.outfits.facts import machine_class
from handfast.outfits.jaw_range import attachment_of, piece_takes
from handfast.outfits.lay import as_measured
from handfast.quantities.money import show_money
from handfast.quantities.showing import show, show_slope
from handfast.web.check_inputs import formula_of, inputs_of
from handfast.web.desk import Desk, desk_of, drawn_page, form_of, number_in, off_loop, page, units_of
from handfast.web.drawn import (
    CURL_LEAST,
    CURL_MOST,
    LID_MOST,
    MIDDLE,
    SMALL,
    WIDE,
    Scene,
    axles_drawn,
    is_drawable,
    lid_rest,
    scene,
    side_and_chart,
    slope_drawn,
)
from handfast.web.pages_inquiry import when
from handfast.web.power_part import power_part
from handfast.web.words import (
    check_rows,
    cost_rows,
    counted_facts,
    how_sure,
    outfit_name,
    sure_words,
    tally_mark,
    verdict_words,
)

Range = tuple[float, float]
POSE = ("height", "curl", "lid", "piece")
NUMBERS = "Height, curl, lid and piece are numbers."
CURL_ENDS = round(degrees(CURL_LEAST)), round(degrees(CURL_MOST))
PIECE_MOST = 2.0  # m, the thickest piece that is drawn


@dataclass(frozen=True)
class Found:
    """An outfit and all that it came from."""

    number: int
    inquiry: Inquiry
    advice: Advice
    outfit: OutfitAdvice
    shelf: Shelf


def find(desk: Desk, number: int, outfit_id: str, system: str) -> Found:
    """The outfit of an address. KeyError: there is none."""
    shelf = counter.shelf(desk.workspace)
    inquiry = read_inquiry(counter.inquiry(desk.workspace, number).text, "inquiry")
    advice = desk.answer(number, inquiry, system)
    return Found(number, as_measured(inquiry.resolve(shelf)), advice, advice.outfit(outfit_id), shelf)


async def found_of(request: Request) -> Found:
    """The outfit of an address, reckoned beside the loop."""
    return await off_loop(
        find, desk_of(request), number_in(request), request.path_params["outfit"], units_of(request)
    )  # fmt: skip


@dataclass(frozen=True)
class Slider:
    """A slider of part A: whole steps of the shown unit, and what it says now."""

    name: str
    label: str
    least: int
    most: int
    now: int
    unit: str
    said: str
    zero: str = ""  # what nothing is called


@dataclass(frozen=True)
class Asked:
    """The pose that the address asks for; None is where the work asks for it, or where the piece holds it."""

    height: float | None  # m
    curl: float  # rad
    lid: float | None  # rad off the piece
    piece: float | None  # m


def _sliders(drawn: Scene, asked: Asked, takes: Range | None, system: str) -> list[Slider]:
    view, step = drawn.view, _step(system)
    if not is_drawable(drawn):
        return []
    low, high = max(view.pin_height_down, 0.02), view.pin_height_max
    height = round(min(max(view.pin_height if asked.height is None else asked.height, low), high) / step)
    unit = "in" if system == "us" else "cm"
    level = round(degrees(asked.curl))
    found = [
        Slider("height", "Height", round(low / step), round(high / step), height, unit, f"{height} {unit}"),
        Slider("curl", "Curl", *CURL_ENDS, level, "curl", said_curl(level), "level"),
    ]
    if view.attachment.has_lid:
        most = max(round(degrees(LID_MOST - lid_rest(drawn))), 1)
        now = min(max(round(degrees(asked.lid or 0.0)), 0), most)
        zero = "shut" if view.load is None else "on the load"
        found.append(Slider("lid", "Lid", 0, most, now, "lid", f"{now}° open" if now else zero, zero))
    if takes is not None and view.load is not None:
        least, most = ceil(takes[0] / step - 1e-9), floor(takes[1] / step + 1e-9)
        thick = round(view.load.diameter / step)
        ends = min(least, thick), max(most, thick)
        found.append(Slider("piece", "Piece", *ends, thick, unit, f"{thick} {unit}"))
    return found


def _takes(found: Found) -> Range | None:
    """The round pieces that the jaw takes [m]; None where the work's piece is not round, or nothing grips it."""
    record = attachment_of(found.inquiry, found.shelf, found.outfit.attachment)
    return piece_takes(record) if record is not None and can_be_resized(found.outfit) else None


def _another(outfit: OutfitAdvice, piece: float | None, system: str) -> float | None:
    """The piece that is drawn in place of the work's own [m]; None where it is the same to a step of the slider."""
    if piece is None or not can_be_resized(outfit):
        return None
    step, own = _step(system), outfit.geometry.values["piece_diameter"]
    return None if round(piece / step) == round(own / step) else min(max(piece, step), PIECE_MOST)


def _step(system: str) -> float:
    """One step of the height slider [m]: an inch or a centimetre."""
    return 0.0254 if system == "us" else 0.01


def said_curl(level: int) -> str:
    """A curl in words.

    >>> said_curl(-12), said_curl(0)
    ('12° dumped', 'level')
    """
    return "level" if level == 0 else f"{abs(level)}° {'back' if level > 0 else 'dumped'}"


def _asked_pose(request: Request, system: str) -> Asked:
    """The pose from the address; 422 where it holds no numbers."""
    try:
        height, curl, lid, piece = (
            float(text) if (text := request.query_params.get(name, "")) else None for name in POSE
        )
    except ValueError:
        raise HTTPException(422, NUMBERS) from None
    if not all(isfinite(v) for v in (height, curl, lid, piece) if v is not None):
        raise HTTPException(422, NUMBERS)
    step = _step(system)
    return Asked(
        None if height is None else height * step,
        radians(curl or 0.0),
        None if lid is None else radians(lid),
        None if piece is None else piece * step,
    )


def _outfit_context(desk: Desk, found: Found, asked: Asked, system: str) -> dict[str, Any]:
    outfit, currency = found.outfit, found.advice.currency
    drawn = scene(found.advice, outfit, system, _another(outfit, asked.piece, system))
    name, note = outfit_name(outfit)
    mark, word, rest = verdict_words(outfit)
    row = counter.inquiry(desk.workspace, found.number)
    return {
        "number": found.number,
        "advice": found.advice,
        "outfit": outfit,
        "name": name,
        "note": note,
        "verdict": mark,
        "word": word,
        "rest": rest,
        "sure": sure_words(outfit),
        "tally": tally_mark(how_sure(outfit)),
        "drawing": Markup(side_and_chart(drawn, asked.height, asked.curl, asked.lid)),
        "sliders": _sliders(drawn, asked, _takes(found), system),
        "further": " and ".join(one.label.lstrip("+") for one in drawn.chart.others),
        "share": mount_sentence(outfit, system),
        "rolls": Markup(slope_drawn(outfit, system)),
        "axles": Markup(axles_drawn(outfit, system)),
        "checks": check_rows(outfit, system),
        "formula_of": formula_of,
        "inputs_of": partial(
            inputs_of,
            inquiry=found.inquiry,
            attachment=attachment_of(found.inquiry, found.shelf, outfit.attachment),
            machine_class=machine_class(found.inquiry.machine),
            system=system,
        ),
        "costs": cost_rows(outfit),
        "cost": _cost_words(outfit, currency),
        "slope": show_slope(outfit.slope_limit) if outfit.slope_limit is not None else "",
        "changes": [c.change for c in found.advice.one_change if c.outfit == outfit.id],
        "counted": counted_facts(found.advice),
        "when": when(row.updated),
        "row": row,
        "times": _times(outfit, system),
        "power": power_part(found.advice, outfit, found.inquiry, counter.shelf(desk.workspace), system),
        "papers": [(kind, name) for kind, name in KINDS.items() if kind != "seat-card" or outfit.verdict in HOLDS],
    }


def _cost_words(outfit: OutfitAdvice, currency: str) -> dict[str, str]:
    cost = outfit.cost
    names = ("p10", "p50", "p90", "ceiling", "hidden")
    said = {n: show_money(getattr(cost, n), currency) if isfinite(getattr(cost, n)) else "not known" for n in names}
    total = show_money(bill_of(outfit).total, currency, cents=True)
    return {**said, "total": total, "whole": "yes" if cost.whole else ""}


def _times(outfit: OutfitAdvice, system: str) -> list[tuple[str, str]]:
    """Figures of power and job, named."""
    power, job = outfit.power, outfit.job
    found = [
        ("Lid closes, warm oil", power.close_time and show(power.close_time, "time")),
        ("Lid closes, cold oil", power.cold_time and show(power.cold_time, "time")),
        ("Lid cylinder pushes", power.stall_force and show(power.stall_force, "force", system)),
        ("Loads in all", job.loads and f"{job.loads:,.0f}"),
        ("Loads an hour", job.loads_per_hour and f"{job.loads_per_hour:,.0f}"),
        ("Hours of work", job.hours and f"{job.hours:,.1f}"),
        ("A year of it costs", job.yearly_cost and show_money(job.yearly_cost, outfit.cost.currency)),
    ]
    return [(name, str(text)) for name, text in found if text]


async def outfit_page(request: Request) -> Response:
    """The sheet of one outfit."""
    desk, system = desk_of(request), units_of(request)
    asked = _asked_pose(request, system)
    found = await found_of(request)
    context = await off_loop(_outfit_context, desk, found, asked, system)
    return page(request, "outfit.html", **context)


async def drawing_part(request: Request) -> Response:
    """Side view and load chart in a pose with a piece; one width alone while a slider is moved."""
    desk, system, number = desk_of(request), units_of(request), number_in(request)
    asked = _asked_pose(request, system)
    width = {"wide": WIDE, "middle": MIDDLE, "small": SMALL}.get(request.query_params.get("size", ""))

    def draw() -> str:
        seed = seed_of(counter.inquiry(desk.workspace, number).text)
        advice = counter.answer_at_hand(desk.workspace, number, seed, system)
        if advice is None:
            advice = find(desk, number, request.path_params["outfit"], system).advice
        outfit = advice.outfit(request.path_params["outfit"])
        drawn = scene(advice, outfit, system, _another(outfit, asked.piece, system))
        return side_and_chart(drawn, asked.height, asked.curl, asked.lid, width)

    return drawn_page(request, await off_loop(draw))


@lru_cache(maxsize=64)
def seed_of(text: str) -> int:
    """The seed that an inquiry's text names."""
    return read_inquiry(text, "inquiry").seed


async def outfit_json(request: Request) -> Response:
    """The outfit as JSON, figures in SI."""
    found = await found_of(request)
    whole = await off_loop(to_json, found.advice)
    return JSONResponse(next(one for one in whole["outfits"] if one["id"] == found.outfit.id))


def pdf(paper: bytes, name: str) -> Response:
    """A paper that opens in the browser."""
    return Response(paper, media_type="application/pdf", headers={"content-disposition": f'inline; filename="{name}"'})


async def make_quote(request: Request) -> Response:
    """Number an offer of the outfit and keep it as it was reckoned."""
    desk, number = desk_of(request), number_in(request)
    await form_of(request)
    found = await found_of(request)
    row = await off_loop(counter.quote, desk.workspace, number, found.outfit.id, found.inquiry.seed)
    return RedirectResponse(f"/quotes/{row.number}", 303)
