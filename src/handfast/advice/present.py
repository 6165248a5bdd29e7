"""One outfit's findings as the record that pages, papers and the terminal show."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from handfast.advice import say
from handfast.advice.ballast_worth import AT_AXLE, WHY, ballast_worth
from handfast.advice.cautions import cautions
from handfast.advice.charts import axle_poses, geometry, load_curve, machine_medians, slope_limit
from handfast.advice.context import Context, band
from handfast.advice.lines_of_work import notes_on, parted, serves_words
from handfast.advice.picks import picks_up
from handfast.advice.rank import Priced
from handfast.advice.result import (
    Ballast,
    BallastPiece,
    Band,
    CheckResult,
    Connection,
    Cost,
    CostLine,
    Job,
    Mount,
    OutfitAdvice,
    Payload,
    Power,
)
from handfast.advice.wording import conditions_of, figure, reason
from handfast.advice.work_done import WorkDone, yearly_cost
from handfast.costing.total import Total
from handfast.outfits.assess import Finding, vacuous
from handfast.outfits.bench import Bench
from handfast.outfits.lid import OIL_ROUTES, closing_time
from handfast.physics import hydraulics
from handfast.quantities.arrays import Array, middle, row_of
from handfast.quantities.showing import show

WORST = ("missing", "typical", "stated", "sheet", "computed", "measured", "weighed")


def outfit_advice(context: Context, place: int, priced: Priced, done: WorkDone, nondominated: bool) -> OutfitAdvice:
    """The whole record of one outfit.

    Args:
        context: judged outfits, inquiry, shelf, units.
        place: which of the outfits shown, 0 first.
        priced: its bill.
        done: its job.
        nondominated: whether nothing beats it on all counts.

    Returns:
        `OutfitAdvice`.

    Example:
        >>> outfit_advice.__name__
        'outfit_advice'
    """
    judged, system, row = context.judged, context.system, context.order[place]
    outfit, final = judged.bench.outfits[row], judged.final(row)
    governs = final.governs(row)
    conditions = conditions_of(judged, row, system)
    load, text = _load(context, place)
    works, kind = context.inquiry.work, str(outfit.attachment.kind)
    parts = parted(works, kind)
    hung, shown = int(context.shown.hanging[place]), context.shown
    machine = context.once(("machine",), lambda: machine_medians(shown))
    one = OutfitAdvice(
        id=outfit.id,
        attachment=outfit.attachment.id,
        title=outfit.title,
        kind=kind,
        mount=_mount(context, place),
        power=_power(context, place),
        verdict=judged.verdict(row),
        verdict_text=" ".join(filter(None, (reason(judged, row, conditions, system), serves_words(*parts)))),
        held=judged.held(row),
        error=judged.error(row),
        over_checks=sum(bool(f.decided[row]) and f.check.hard for f in final.findings),
        governs=governs.check.id if governs is not None else None,
        conditions=conditions,
        pareto=nondominated,
        best_at=None,
        rank=place + 1,
        checks=tuple(_check(context, _billed(context, finding, priced.total), row) for finding in final.findings),
        payload=context.once(("payload", hung), lambda: _payload(shown, place)),
        load=load,
        load_text=text,
        picks_up=context.once(("picks up", hung), lambda: picks_up(shown, place, context.inquiry, system)),
        ballast=_ballast(context, row),
        connection=_connection(context, row),
        cost=cost_of(priced.total, context.inquiry.currency),
        job=_job(context, priced.total, done),
        axles=context.once(("axles", hung, judged.needs_ballast[row]), lambda: axle_poses(context, place)),
        slope_limit=slope_limit(context, final.of("slope.side"), place),
        curve=context.once(("curve", hung, load), lambda: load_curve(context, place, load)),
        geometry=context.once(("geometry", hung), lambda: geometry(shown, place, machine)),
        cautions=cautions(judged, row, context.inquiry),
        say="",
        seen_elsewhere=outfit.seen_elsewhere,
        slopes=context.slopes[hung],
        serves=parts[0],
        leaves=parts[1],
        work_notes=notes_on(works, kind, system),
    )
    return replace(one, say=say.spoken(one, system))


def _billed(context: Context, finding: Finding, total: Total) -> Finding:
    """The budget's check, now that there is a bill; every other finding as it is."""
    if finding.check.id != "cost.budget" or context.inquiry.wishes.budget.is_unknown:
        return finding
    budget = context.inquiry.wishes.budget.value
    demand = np.atleast_2d(total.samples)
    capacity, rows = np.full_like(demand, budget), np.zeros(len(finding.decided), dtype=np.intp)
    return Finding(finding.check, demand, capacity, demand <= budget, np.ones(len(finding.decided), dtype=bool), rows)


def _check(context: Context, finding: Finding, row: int) -> CheckResult:
    """One check's result; outfits that read the same figures share it."""
    hard = finding.check.hard or finding.check.id in context.judged.final(row).also_hard
    key = ("check", id(finding), finding.place(row), bool(finding.decided[row]), hard)
    return context.once(key, lambda: (finding, _check_result(context, finding, row, hard)))[1]


def _check_result(context: Context, finding: Finding, row: int, hard: bool) -> CheckResult:
    check, system = finding.check, context.system
    known = bool(finding.decided[row])
    asked, there, spare = context.bands(finding)[finding.place(row)]
    asks, has = asked.p50, there.p50
    sentence = check.sentence.format(asks=figure(asks, check.unit, system), has=figure(has, check.unit, system))
    return CheckResult(
        id=check.id,
        title=check.title,
        kind=check.kind,
        unit=check.unit,
        demand=asked if asks == asks else None,
        capacity=there if known else None,
        margin=spare if known and not vacuous(check, context.judged.bench, row) else None,
        held=finding.held(row),
        hard=hard,
        safety=check.safety,
        basis=check.basis_in(context.judged.bench.inquiry),
        origin=_origin(context, check.rests_on),
        source=check.source,
        sentence=sentence if known else f"{check.title}: not enough known to reckon it.",
    )


def _origin(context: Context, paths: tuple[str, ...]) -> str:
    draws = context.judged.bench.draws
    found = [draws.origin(path) for path in paths if path in draws.origins]
    return min(found, key=WORST.index, default="computed")


def _mount(context: Context, place: int) -> Mount:
    bench = context.shown
    outfit = bench.outfits[place]
    route, hung = outfit.mount, int(bench.hanging[place])
    forward = float(row_of(bench.hung_once.forward, hung)[0])
    mass = float(row_of(bench.hung_once.kit.mass, hung)[0])
    return Mount(
        route=route.route,
        title=route.title,
        interface=route.interface,
        parts=tuple(part.name or part.id for part in route.parts),
        mass=mass,
        forward=forward,
        vertical=float(row_of(bench.hung_once.vertical, hung)[0]),
        payload_cost=_payload_cost(bench, hung) if route.parts else None,
    )


def _payload_cost(bench: Bench, hung: int) -> float:
    """What the route's mass and forward shift cost against the attachment pinned where the plane is now."""
    once = bench.hung_once
    rating, slope = once.frame.rating_at(once.frame.height_max)
    with_route = once.payload_at(once.frame.height_max)
    shift = once.forward
    kit = np.multiply(once.kit.mass, 1.0 + slope * np.asarray(once.kit.x))
    bare = once.dead(slope) - kit - np.multiply(once.tool.mass, slope * shift)
    seat = once.seat[0] - shift
    without = (once.capacity(rating, slope) - bare) / (1.0 + slope * seat)
    return middle(row_of(without - with_route, hung))


def _power(context: Context, place: int) -> Power:
    bench = context.shown
    route = bench.outfits[place].power
    warm, cold = (middle(row_of(closing_time(bench, t), place)) for t in (40.0, -10.0))
    bore, relief = row_of(bench.tools["hydraulics.bore"], place), bench.draws["relief_pressure"]
    count = bench.outfits[place].attachment.lids or 1
    force = middle(relief * hydraulics.bore_area(bore[:1]) * count)
    oil = route.route not in ("none", "electric", "curl", "manual")
    note = "; ".join((route.words.note, *route.care, *route.broken_rules))
    return Power(
        route=route.route,
        title=route.words.title,
        control=route.words.control,
        parts=tuple(part.name or part.id for part in route.parts),
        convenience=route.words.convenience,
        close_time=warm if np.isfinite(warm) else None,
        cold_time=cold if np.isfinite(cold) else None,
        stall_force=force if oil and np.isfinite(force) else None,
        note=note,
    )


def _payload(bench: Bench, row: int) -> Payload:
    once, hung = bench.hung_once, int(bench.hanging[row])
    needed = np.minimum(once.needed_height, once.frame.height_max)
    has_height = bool(np.isfinite(once.needed_height).all())
    return Payload(
        full_height=_band_or_none(row_of(once.payload_at(once.frame.height_max), hung)),
        lift_to=_band_or_none(row_of(once.payload_at(needed), hung)) if has_height else None,
        level=_band_or_none(row_of(once.payload_at(once.frame.pivot.z), hung)),
    )


def _band_or_none(values: Array) -> Band | None:
    return None if np.isnan(values).any() else band(values)


def _load(context: Context, place: int) -> tuple[float | None, str]:
    mass = row_of(context.shown.load.mass, place)
    if np.isnan(mass).any():
        return None, ""
    shown = band(mass)
    text = show(shown.p50, "mass", context.system)
    if shown.p90 > 1.02 * shown.p10:
        text = f"{show(shown.p10, 'mass', context.system)} to {show(shown.p90, 'mass', context.system)}"
    kind = str(context.shown.work_of(place).kind).replace("_", " ")
    words = {"logs": "one log", "brush": "a bite", "root raking": "a bite", "rock": "the stone", "pallets": "a pallet"}
    return shown.p50, f"and {words.get(kind, 'one load')} weighs {text}"


def _ballast(context: Context, row: int) -> Ballast:
    judged = context.judged
    chosen, bench = judged.chosen[row], judged.bench
    picked = judged.sets[row]
    now = middle(bench.draws["behind.mass"])
    hitch = middle(bench.frame.hitch_x)
    pieces = tuple(
        BallastPiece(p.part, p.title, p.count, p.mass, _behind(p.behind, p.at, hitch), p.at)
        for p in (picked.pieces if picked is not None else ())
    )
    lacking = "" if chosen.ballast is not None else "No set on the shelf holds every axle and tyre within its rating."
    note = " ".join(part for part in (lacking, *_told(pieces, now, context.system)) if part)
    worth = context.once(("ballast", chosen.rule), lambda: ballast_worth(context, chosen.rule))
    return Ballast(
        needed=chosen.needed,
        rule=chosen.rule,
        chosen=pieces,
        cost=picked.price if picked is not None else 0.0,
        already=now if np.isfinite(now) else 0.0,
        note=note,
        worth=worth,
        why=WHY if any(row.at in AT_AXLE for row in worth) else "",
    )


def _told(pieces: Sequence[BallastPiece], now: float, system: str) -> Iterator[str]:
    """Where a price comes from that no shelf bears out, and whether what hangs there now counts."""
    if any(piece.part == "counterweight" for piece in pieces):
        yield "The counterweight is no piece of the shelf: priced by weight, at the price book's rate."
    if pieces and now > 0.0:
        yield f"The {show(now, 'mass', system)} hanging behind now is counted: this comes on top of it."


def _behind(behind: float, at: str, hitch: float) -> float:
    if np.isfinite(behind):
        return behind
    return 0.0 if at in AT_AXLE else hitch


def _connection(context: Context, row: int) -> Connection:
    joins = context.judged.bench.joins
    join = joins[row] if joins else None
    if join is None and context.judged.bench.outfits[row].power.route not in OIL_ROUTES:
        return Connection((), (), 0.0, "No oil, so no hoses.")
    if join is None:
        return Connection((), (), 0.0, "Ports not known: hoses and fittings wait for the threads.")
    return Connection(join.parts, (), join.price, join.why)


def cost_of(total: Total, currency: str) -> Cost:
    """A bill as an answer carries it.

    Args:
        total: lines added up.
        currency: code.

    Returns:
        `Cost`.

    Example:
        >>> from handfast.costing.total import total as added
        >>> cost_of(added([], 0.0), "USD").whole
        False
    """
    lines = tuple(
        CostLine(
            line.what, line.group, line.hidden, line.price.low, line.price.likely, line.price.high, line.price.origin
        )
        for line in total.lines
    )
    p10, p50, p90 = (total.quantile(q) for q in (0.1, 0.5, 0.9))
    return Cost(lines, p10, p50, p90, total.ceiling, total.hidden, currency)


def _job(context: Context, total: Total, done: WorkDone) -> Job:
    wished = context.inquiry.wishes.hours_per_year
    yearly = yearly_cost(total.quantile(0.5), wished.value, context.shelf.price_book)
    loads, hours, fuel = (None if np.isnan(v) else v for v in (done.loads, done.hours, done.fuel))
    return Job(loads, hours, done.cycle, done.per_hour, fuel, yearly, done.note)
