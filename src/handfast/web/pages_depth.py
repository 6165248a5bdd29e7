"""What is worked out for one outfit only when it is looked at: the work, what would have to change, what moves it."""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite
from typing import Any

from markupsafe import Markup
from starlette.requests import Request
from starlette.responses import Response

from handfast.advice.depth import Depth
from handfast.advice.job_story import JobStory
from handfast.advice.result import OutfitAdvice
from handfast.counter import verbs as counter
from handfast.drawings.band import cost_mark
from handfast.drawings.from_depth import odds_of, tornado_of
from handfast.drawings.odds_bars import odds_bars
from handfast.drawings.svg import in_two_widths
from handfast.drawings.tornado import tornado_drawing
from handfast.quantities.money import show_money
from handfast.quantities.units import from_si
from handfast.web.desk import desk_of, is_part, number_in, off_loop, page, units_of
from handfast.web.pages_outfit import find
from handfast.web.words import outfit_name

DRAWN = 700.0


@dataclass(frozen=True)
class WayRow:
    """One way of getting a year's work done."""

    title: str
    yearly: str
    words: str
    mark: Markup
    this: bool


def job_rows(job: JobStory, currency: str) -> list[WayRow]:
    """The ways on one scale, cheapest first."""
    most = max((way.yearly for way in job.ways if isfinite(way.yearly)), default=1.0)
    return [
        WayRow(
            way.title,
            show_money(way.yearly, currency) if isfinite(way.yearly) else "not known",
            f"{way.hours:,.0f} h" + (f", {show_money(way.fixed, currency)} whatever is done" if way.fixed else "")
            + (f"; {way.note}" if way.note else ""),
            Markup(cost_mark(0.0, way.yearly, way.yearly, most)) if isfinite(way.yearly) else Markup(""),
            way.key == "this",
        )
        for way in job.ways
    ]  # fmt: skip


def job_sentence(job: JobStory, currency: str) -> str:
    """What the work comes to, in one sentence that can be read out."""
    best = job.ways[0]
    this = next(way for way in job.ways if way.key == "this")
    start = f"At {job.hours_a_year:,.0f} hours a year this outfit costs {show_money(this.yearly, currency)} a year"
    if not isfinite(this.yearly):
        return "What a year costs waits for the attachment's own price."
    cheapest = "; nothing here does it cheaper" if best is this else (
        f"; {best.title} would cost {show_money(best.yearly, currency)}"
    )  # fmt: skip
    pays = f" Owning pays against hiring from {job.break_even:,.0f} hours a year." if isfinite(job.break_even) else ""
    return f"{start}{cheapest}.{pays}"


def job_pairs(job: JobStory, currency: str, system: str) -> list[tuple[str, str]]:
    """The figures of the job, named."""
    fuel = f"{from_si(job.fuel, 'gal'):.1f} gal" if system == "us" else f"{from_si(job.fuel, 'L'):.1f} L"
    found = [
        ("One cycle", f"{job.cycle / 60:.1f} min, {job.per_hour:.0f} loads an hour of 50 minutes"),
        ("Loads in all", f"{job.loads:,.0f}" if isfinite(job.loads) else ""),
        ("Hours of work", f"{job.hours:,.1f}" if isfinite(job.hours) else ""),
        ("Fuel for it", fuel),
        ("Hours a year", f"{job.hours_a_year:,.0f} ({job.hours_origin})"),
        ("Owning, a year", f"{show_money(job.owning, currency)}: {100 * job.left:.0f} % left in {job.years:.0f} years"),
        ("Repair, a year", show_money(job.repair, currency)),
        ("An hour of work", f"{show_money(job.hourly, currency)}: driver, fuel and oil, tractor"),
    ]  # fmt: skip
    return [(name, text) for name, text in found if text and "nan" not in text.lower()]


def fitting_sentence(depth: Depth, currency: str) -> str:
    """Own work against the shop, in one sentence; empty where there is no bill."""
    one = depth.fitting
    if not isfinite(one.own) or not isfinite(one.shop):
        return ""
    saved = one.shop - one.own
    shop = f"Fitted in the shop, not more than {show_money(one.shop_ceiling, currency)}, {one.shop_hours:.1f} hours"
    own = f"fitted by its owner, not more than {show_money(one.own_ceiling, currency)}, about {one.own_hours:.1f} hours"
    saves = f": {show_money(one.an_hour, currency)} saved for each of them" if saved > 0 and one.own_hours > 0 else ""
    return f"{shop}; {own}{saves}."


def depth_context(depth: Depth, outfit: OutfitAdvice, system: str) -> dict[str, Any]:
    """What the part of the sheet shows."""
    job, currency = depth.job, outfit.cost.currency
    tornado, odds = tornado_of(depth), odds_of(depth)
    return {
        "outfit": outfit,
        "steps": [(step.what, f"{step.seconds:.0f} s", step.origin) for step in job.steps if step.seconds > 0],
        "sentence": job_sentence(job, currency),
        "pairs": job_pairs(job, currency, system),
        "ways": job_rows(job, currency),
        "not_for_it": job.not_for_it,
        "fitting": fitting_sentence(depth, currency),
        "changes": [one.change for one in depth.changes],
        "two": [one.change for one in depth.pair or ()],
        "tornado": Markup(in_two_widths(lambda w: tornado_drawing(tornado, "screen", w), DRAWN)) if tornado else "",
        "tornado_check": tornado.check if tornado else "",
        "odds": Markup(in_two_widths(lambda w: odds_bars(odds, "screen", w), DRAWN)),
    }


async def depth_part(request: Request) -> Response:
    """The outfit in depth: a part of its sheet, or a page of its own without the page's script."""
    desk, system, number = desk_of(request), units_of(request), number_in(request)
    outfit_id = request.path_params["outfit"]

    def work() -> dict[str, Any]:
        found = find(desk, number, outfit_id, system)
        depth = counter.depth(desk.workspace, number, outfit_id, found.inquiry.seed, system)
        return {**depth_context(depth, found.outfit, system), "number": number, "name": outfit_name(found.outfit)[0]}

    context = await off_loop(work)
    return page(request, "depth.html" if is_part(request) else "depth_page.html", **context)
