"""One outfit's findings as the record that pages, papers and the terminal show."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from handfast.advice import say
from handfast.advice.odds import Judged
from handfast.advice.picks import picks_up
from handfast.advice.rank import Priced
from handfast.advice.result import (
    Axles,
    Ballast,
    BallastPiece,
    Band,
    CheckResult,
    Connection,
    Cost,
    CostLine,
    Curve,
    Geometry,
    Job,
    Mount,
    OutfitAdvice,
    Payload,
    Power,
)
from handfast.advice.work_done import WorkDone, yearly_cost
from handfast.costing.total import Total
from handfast.machines.inquiry import Inquiry
from handfast.machines.shelf import Shelf
from handfast.outfits.assess import Finding
from handfast.outfits.bench import EMPTY, FURTHEST, TRAVEL, TRAVEL_HEIGHT, Bench
from handfast.outfits.check_power import closing_time
from handfast.outfits.tools import floor_points
from handfast.physics import hydraulics
from handfast.quantities.arrays import Array, quantiles
from handfast.quantities.showing import show

POINTS = 25  # heights of the load chart
WORST = ("missing", "typical", "stated", "sheet", "computed", "measured", "weighed")


@dataclass(frozen=True)
class Context:
    """What every outfit's record needs."""

    judged: Judged
    inquiry: Inquiry
    shelf: Shelf
    system: str
    order: Sequence[int]  # rows of the outfits shown

    @cached_property
    def shown(self) -> Bench:
        """The outfits shown, with their ballast."""
        return self.judged.bench.some(self.order)

    @cached_property
    def bare(self) -> Bench:
        """The outfits shown with nothing added."""
        return self.judged.bare.bench.some(self.order)

    @cached_property
    def heights(self) -> Array:
        """Heights of the load chart [m]."""
        frame = self.shown.frame
        low, high = float(np.median(frame.pivot.height_down)), float(np.median(frame.height_max))
        return np.linspace(max(low, 0.05), high, POINTS)

    @cached_property
    def chart(self) -> Array:
        """P10, P50, P90 of the payload at each height for every way of hanging shown, (3, heights, rows)."""
        return np.stack([self._at(height) for height in self.heights], axis=1)

    def _at(self, height: float) -> Array:
        payload = np.atleast_2d(self.shown.hung_once.payload_at(np.array([height])))
        every = np.broadcast_to(payload, (len(self.shown.hung_once.outfits), payload.shape[1]))
        return np.asarray(np.quantile(every, (0.1, 0.5, 0.9), axis=1))

    @cached_property
    def low_roll(self) -> Array:
        """First roll travelling loaded, every way of hanging shown."""
        return np.atleast_2d(self.shown.hung_once.first_roll(np.array([TRAVEL_HEIGHT])))


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
    conditions = say.conditions_of(judged, row, system)
    load, text = _load(context, place)
    one = OutfitAdvice(
        id=outfit.id,
        attachment=outfit.attachment.id,
        title=outfit.title,
        kind=str(outfit.attachment.kind),
        mount=_mount(context, place),
        power=_power(context, place),
        verdict=judged.verdict(row),
        verdict_text=say.reason(judged, row, conditions, system),
        held=judged.held(row),
        error=final.error(row),
        over_checks=sum(bool(f.decided[row]) and f.check.hard for f in final.findings),
        governs=governs.check.id if governs is not None else None,
        conditions=conditions,
        pareto=nondominated,
        best_at=None,
        rank=place + 1,
        checks=tuple(_check(context, finding, row) for finding in final.findings),
        payload=_payload(context.shown, place),
        load=load,
        load_text=text,
        picks_up=picks_up(context.shown, place, context.inquiry, system),
        ballast=_ballast(context, row),
        connection=_connection(context, row),
        cost=_cost(priced.total, context.inquiry.currency),
        job=_job(context, priced.total, done),
        axles=_axles(context, place),
        slope_limit=_slope_limit(context, final.of("slope.side"), place),
        curve=_curve(context, place, load),
        geometry=_geometry(context.shown, place),
        cautions=say.cautions(judged, row, context.inquiry),
        say="",
        seen_elsewhere=outfit.seen_elsewhere,
    )
    return replace(one, say=say.spoken(one, system))


def band(values: Array) -> Band:
    """P10, P50 and P90 of samples.

    Args:
        values: samples, any shape.

    Returns:
        `Band`.

    Example:
        >>> band(np.array([2.0])).p90
        2.0
    """
    return Band(*quantiles(values, (0.1, 0.5, 0.9)))


def _check(context: Context, finding: Finding, row: int) -> CheckResult:
    check, system = finding.check, context.system
    known = bool(finding.decided[row])
    demand, capacity = finding.row("demand", row), finding.row("capacity", row)
    asked, there = band(demand), band(capacity)
    asks, has = asked.p50, there.p50
    sentence = check.sentence.format(asks=say.figure(asks, check.unit, system), has=say.figure(has, check.unit, system))
    shown = not np.isnan(demand).any()
    counts = check.hard or check.id in context.judged.final(row).also_hard
    return CheckResult(
        id=check.id,
        title=check.title,
        kind=check.kind,
        unit=check.unit,
        demand=asked if shown else None,
        capacity=there if known else None,
        margin=band(finding.row("margin", row) if known else np.zeros(1)) if known else None,
        held=finding.held(row),
        hard=counts,
        safety=check.safety,
        basis=check.basis,
        origin=_origin(context, check.rests_on),
        source=check.source,
        sentence=sentence if known else f"{check.title}: not enough known to reckon it.",
    )


def _origin(context: Context, paths: tuple[str, ...]) -> str:
    draws = context.judged.bench.draws
    found = [draws.origin(path) for path in paths if path in draws.origins]
    return min(found, key=WORST.index, default="computed")


def _row(values: Array, row: int) -> Array:
    table = np.atleast_2d(values)
    return table[row] if len(table) > 1 else table[0]


def _mount(context: Context, place: int) -> Mount:
    bench = context.shown
    outfit = bench.outfits[place]
    route, hung = outfit.mount, int(bench.hanging[place])
    forward = float(_row(bench.hung_once.forward, hung)[0])
    mass = float(_row(bench.hung_once.kit.mass, hung)[0])
    return Mount(
        route=route.route,
        title=route.title,
        interface=route.interface,
        parts=tuple(part.name or part.id for part in route.parts),
        mass=mass,
        forward=forward,
        vertical=float(_row(bench.hung_once.vertical, hung)[0]),
        payload_cost=_payload_cost(bench, hung) if route.parts else None,
    )


def _payload_cost(bench: Bench, hung: int) -> float:
    """What the route's mass and forward shift cost against the attachment pinned where the plane is now."""
    once = bench.hung_once
    rating, slope = once.frame.rating_at(once.frame.height_max)
    with_route = once.payload_at(once.frame.height_max)
    shift = once.forward
    bare = once.dead(slope) - once.kit.mass * (1.0 + slope * once.kit.x) - once.tool.mass * slope * shift
    seat = once.seat[0] - shift
    without = (once.capacity(rating, slope) - bare) / (1.0 + slope * seat)
    return float(np.median(_row(without - with_route, hung)))


def _power(context: Context, place: int) -> Power:
    bench = context.shown
    route = bench.outfits[place].power
    warm, cold = (float(np.median(_row(closing_times(bench, t), place))) for t in (40.0, -10.0))
    bore, relief = _row(bench.tools["hydraulics.bore"], place), bench.draws["relief_pressure"]
    count = bench.outfits[place].attachment.lids or 1
    force = float(np.median(relief * hydraulics.bore_area(bore[:1]) * count))
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


def closing_times(bench: Bench, temperature: float) -> Array:
    """Closing times of a bench, kept so that they are reckoned once.

    Args:
        bench: the outfits.
        temperature: [°C].

    Returns:
        As `closing_time`.

    Example:
        >>> closing_times.__name__
        'closing_times'
    """
    kept: dict[float, Array] = bench.__dict__.setdefault("_closing_times", {})
    if temperature not in kept:
        kept[temperature] = closing_time(bench, temperature)
    return kept[temperature]


def _payload(bench: Bench, row: int) -> Payload:
    once, hung = bench.hung_once, int(bench.hanging[row])
    needed = np.minimum(once.needed_height, once.frame.height_max)
    has_height = bool(np.isfinite(once.needed_height).all())
    return Payload(
        full_height=_band_or_none(_row(once.payload_at(once.frame.height_max), hung)),
        lift_to=_band_or_none(_row(once.payload_at(needed), hung)) if has_height else None,
        level=_band_or_none(_row(once.payload_at(once.frame.pivot.z), hung)),
    )


def _band_or_none(values: Array) -> Band | None:
    return None if np.isnan(values).any() else band(values)


def _load(context: Context, place: int) -> tuple[float | None, str]:
    mass = _row(context.shown.load.mass, place)
    if np.isnan(mass).any():
        return None, ""
    shown = band(mass)
    text = show(shown.p50, "mass", context.system)
    if shown.p90 > 1.02 * shown.p10:
        text = f"{show(shown.p10, 'mass', context.system)} to {show(shown.p90, 'mass', context.system)}"
    kind = context.inquiry.work[0].kind.replace("_", " ") if context.inquiry.work else "load"
    words = {"logs": "one log", "brush": "a bite", "root raking": "a bite", "rock": "the stone", "pallets": "a pallet"}
    return shown.p50, f"and {words.get(kind, 'one load')} weighs {text}"


def _ballast(context: Context, row: int) -> Ballast:
    judged = context.judged
    chosen, bench = judged.chosen[row], judged.bench
    picked = judged.sets[row]
    now = float(np.median(bench.draws["behind.mass"]))
    hitch = float(np.median(bench.frame.hitch_x))
    pieces = tuple(
        BallastPiece(p.part, p.title, p.count, p.mass, _behind(p.behind, p.at, hitch), p.at)
        for p in (picked.pieces if picked is not None else ())
    )
    note = "" if chosen.ballast is not None else "No set on the shelf holds every axle and tyre within its rating."
    return Ballast(
        needed=chosen.needed,
        rule=chosen.rule,
        chosen=pieces,
        cost=picked.price if picked is not None else 0.0,
        already=now if np.isfinite(now) else 0.0,
        note=note,
    )


def _behind(behind: float, at: str, hitch: float) -> float:
    if np.isfinite(behind):
        return behind
    return 0.0 if at in ("rear_wheels", "tyres") else hitch


def _connection(context: Context, row: int) -> Connection:
    joins = context.judged.bench.joins
    join = joins[row] if joins else None
    if join is None:
        return Connection((), (), 0.0, "Ports not known: hoses and fittings wait for the threads.")
    return Connection(join.parts, (), join.price, join.why)


def _cost(total: Total, currency: str) -> Cost:
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


def _axles(context: Context, place: int) -> tuple[Axles, ...]:
    shown, hung = context.shown, int(context.shown.hanging[place])
    poses = [
        _pose(shown, hung, "loaded_furthest", "Loaded, with what hangs behind", FURTHEST),
        _pose(shown, hung, "empty_raised", "Raised and empty", EMPTY),
        _pose(shown, hung, "travelling", "Travelling loaded", TRAVEL),
    ]
    if context.judged.needs_ballast[context.order[place]]:
        bare = context.bare
        poses.insert(0, _pose(bare, hung, "loaded_furthest_bare", "Loaded, nothing added behind", FURTHEST))
    return tuple(poses)


def _pose(bench: Bench, hung: int, name: str, title: str, pose: str) -> Axles:
    loads = bench.hung_once.axles(pose)
    front, rear = (float(np.median(_row(side, hung))) for side in loads)
    return Axles(name, title, front, rear, rear / (front + rear))


def _slope_limit(context: Context, finding: Finding, place: int) -> float | None:
    """Half of the first roll, cautious: a figure to refuse by."""
    row, hung = context.order[place], int(context.shown.hanging[place])
    if finding.decided[row]:
        return float(np.quantile(finding.row("capacity", row), say.CAUTIOUS))
    low = _row(context.low_roll, hung)
    return None if np.isnan(low).any() else float(0.5 * np.quantile(low, say.CAUTIOUS))


def _curve(context: Context, place: int, load: float | None) -> Curve:
    once, hung = context.shown.hung_once, int(context.shown.hanging[place])
    low, middle, high = (tuple(float(v) for v in context.chart[k, :, hung]) for k in range(3))
    curl = _curl_limit(once, hung)
    rated = float(np.median(_row(once.tools["rated_load"], hung)))
    return Curve(
        height=tuple(float(h) for h in context.heights),
        lift=middle,
        lift_p10=low,
        lift_p90=high,
        curl=None if np.isnan(curl) else (curl,) * POINTS,
        load=load,
        governs=tuple(_least(one, curl, rated) for one in middle),
    )


def _curl_limit(once: Bench, hung: int) -> float:
    """Load that the published curl force still turns [kg], where it was given; NaN when not published."""
    mass, ahead = once.credit
    moment = once.draws["loader.curl_at_500"] * 0.5 + mass * ahead - sum(i.mass * i.x for i in once.hung)
    return float(np.quantile(_row(moment / once.seat[0], hung), say.CAUTIOUS))


def _least(lift: float, curl: float, rated: float) -> str:
    pairs = [("lift", lift), ("curl", curl), ("attachment", rated)]
    return min((p for p in pairs if np.isfinite(p[1])), key=lambda p: p[1], default=("lift", lift))[0]


def _geometry(bench: Bench, row: int) -> Geometry:
    once, hung, d, pivot = bench.hung_once, int(bench.hanging[row]), bench.draws, bench.frame.pivot
    attachment = bench.outfits[row].attachment
    values = {
        "wheelbase": bench.frame.wheelbase,
        "pivot_x": pivot.x,
        "pivot_z": pivot.z,
        "boom": pivot.radius,
        "height_down": pivot.height_down,
        "height_max": bench.frame.height_max,
        "plane_ahead": _row(once.plane_x, hung),
        "plane_drop": -_row(once.plane_z, hung),
        "seat_x": _row(bench.load.x, row),
        "seat_z": _row(bench.load.z, row),
        "piece_diameter": _row(bench.load.diameter, row),
        "piece_length": d["work0.length"],
        "front_radius": d["front_tyre.radius"],
        "rear_radius": d["rear_tyre.radius"],
        "overall_width": d["overall_width"],
        "hitch_behind": d["hitch_behind_axle"],
        "lift_to": d["site.lift_to"],
        "dump_angle": d["loader.dump_angle"],
        "tool_width": _row(bench.tools["width"], row),
        "opening": _row(bench.tools["opening_tip"], row),
        "tool_mass": _row(bench.tools["mass"], row),
    }
    jaw, floor = attachment.jaw, floor_points(attachment)
    lid = () if jaw is None else tuple((p.x.value, p.z.value) for p in jaw.lid)
    hinge = None if jaw is None or jaw.lid_pivot is None else (jaw.lid_pivot.x.value, jaw.lid_pivot.z.value)
    medians = {name: float(np.median(value)) for name, value in values.items()}
    drawn = () if floor is None else tuple((float(x), float(z)) for x, z in floor)
    return Geometry(medians, bench.outfits[row].mount.interface, drawn, lid, hinge, _words(bench, row))


def _words(bench: Bench, row: int) -> dict[str, str]:
    """What picks the picture's parts."""
    machine, work = bench.inquiry.machine, bench.inquiry.work
    return {
        "rops": "cab" if machine.cab else str(machine.rops or "up"),
        "self_levelling": "yes" if bench.frame.self_levelling else "no",
        "work": str(work[0].kind) if work else "",
        "lids": str(bench.outfits[row].attachment.lids or 0),
        "behind": str(bench.inquiry.behind.kind or ""),
    }
