"""An outfit's advice as its charts: load over height, weight on the axles, slope over all headings."""

from __future__ import annotations

import math

from handfast.advice.carried import cautious_load, known_capacity, rating, working_height
from handfast.advice.result import CheckResult, OutfitAdvice, SlopeCurve
from handfast.advice.wording import figure
from handfast.drawings.axle_bars import AxleBars, AxleState
from handfast.drawings.inks import Line
from handfast.drawings.load_chart import LoadChart, Other
from handfast.drawings.marks import Figure
from handfast.drawings.slope_view import SlopeCurve as Drawn
from handfast.drawings.slope_view import SlopeView
from handfast.physics.lift import SHEET_HEIGHT
from handfast.quantities.showing import show
from handfast.quantities.units import to_si

RULES = (0.20, 0.25)
FURTHER = {
    "us": (("+12 in", 0.3048), ("+24 in", 0.6096)),
    "metric": (("+30 cm", 0.30), ("+60 cm", 0.60)),
}
LEAST_SHARE = 5.0  # kg, below which a mount's share is thinner than its line
MOUNTS = {"adapter": "adapter", "conversion": "conversion", "ears": "pin-on kit"}
STATES = {
    "loaded_furthest_bare": "Loaded, nothing behind",
    "loaded_furthest": "Loaded, as offered",
    "empty_raised": "Raised and empty",
}


def mount_share_of(one: OutfitAdvice) -> tuple[float, ...]:
    """What an adapter or a conversion costs at each height of the load curve, against the tool pinned straight on.

    Args:
        one: the outfit.

    Returns:
        Masses [kg], one a height, medians; nothing for a mount that costs less than `LEAST_SHARE` or is not known.

    Source: the same moment about the arm pivot lifts the load without the mount's mass and its shift forward; the slope
        of the rating is that of the sheet at full height, that of 1.5 m up to there, and 1 / (pins ahead of the arm
        pivot) between them.

    Example:
        >>> from handfast.advice.example import outfit
        >>> mount_share_of(outfit())  # pinned straight on
        ()
    """
    v, mount = one.geometry.values, one.mount
    if mount.payload_cost is None or mount.payload_cost < LEAST_SHARE or not math.isfinite(mount.payload_cost):
        return ()
    seat, forward, kit_x = v["plane_ahead"] + v["seat_x"], mount.forward, v.get("kit_x", math.nan)
    found = []
    for height, lift in zip(one.curve.height, one.curve.lift, strict=True):
        slope = _slope_at(v, height)
        held = lift * (1.0 + slope * seat) + mount.mass * (1.0 + slope * kit_x) + v["tool_mass"] * slope * forward
        found.append(held / (1.0 + slope * (seat - forward)) - lift)
    return tuple(found) if all(math.isfinite(value) for value in found) else ()


def _slope_at(v: dict[str, float], height: float) -> float:
    """Fall of the rating with distance ahead of the pin, at a pin height [1/m]."""
    top, low = v.get("rating_slope", math.nan), v.get("rating_slope_1500", math.nan)
    if top == 0.0 or not low > 0.0 or v["height_max"] <= SHEET_HEIGHT:
        return top
    rise = max(height, SHEET_HEIGHT) - v["pivot_z"]
    return 1.0 / math.sqrt(v["boom"] ** 2 - rise**2) if height > SHEET_HEIGHT else low


def further_out(one: OutfitAdvice, system: str) -> tuple[Other, ...]:
    """Lift with the load's middle further ahead of the pins than it sits.

    Args:
        one: the outfit.
        system: "us" or "metric", whose round distances are taken.

    Returns:
        Curves with their names; none on a self-levelling loader, which lifts the same there.

    Source: the same moment about the arm pivot, at a longer arm.

    Example:
        >>> from handfast.advice.example import outfit
        >>> [(one.label, round(one.likely[-1])) for one in further_out(outfit(), "us")], round(outfit().curve.lift[-1])
        ([('+12 in', 185), ('+24 in', 162)], 215)
    """
    v = one.geometry.values
    seat, slopes = v["plane_ahead"] + v["seat_x"], [_slope_at(v, height) for height in one.curve.height]
    if not all(slope > 0.0 for slope in slopes) or not math.isfinite(seat):
        return ()
    found = []
    for words, more in FURTHER[system]:
        likely = [
            lift * (1.0 + slope * seat) / (1.0 + slope * (seat + more))
            for lift, slope in zip(one.curve.lift, slopes, strict=True)
        ]
        found.append(Other(words, tuple(likely)))
    return tuple(found)


def mount_label(one: OutfitAdvice, system: str) -> str:
    """What the mount costs, short, for the chart.

    Args:
        one: the outfit.
        system: "us" or "metric".

    Returns:
        Words such as "conversion takes 115 lb"; nothing where the mount costs nothing worth saying.

    Example:
        >>> from handfast.advice.example import outfit
        >>> mount_label(outfit(), "us")
        ''
    """
    share = mount_share_of(one)
    return f"{MOUNTS.get(one.mount.route, 'mount')} takes {show(share[-1], 'mass', system)}" if share else ""


def mount_sentence(one: OutfitAdvice, system: str) -> str:
    """What the mount costs, as it is said.

    Args:
        one: the outfit.
        system: "us" or "metric".

    Returns:
        A sentence; nothing where the mount costs nothing worth saying.

    Example:
        >>> from handfast.advice.example import outfit
        >>> mount_sentence(outfit(), "us")
        ''
    """
    share = mount_share_of(one)
    if not share:
        return ""
    top, low = (show(value, "mass", system) for value in (share[-1], share[0]))
    where = "at every height" if top == low else f"at full height, {low} with the arms down"
    return f"The {MOUNTS.get(one.mount.route, 'mount')} costs you {top} of payload {where}."


def load_chart_of(one: OutfitAdvice, system: str) -> LoadChart:
    """The load chart: lift with its band, curl, the attachment's own rating, what is asked for.

    Args:
        one: the outfit.
        system: "us" or "metric".

    Returns:
        `LoadChart`.
    """
    curve, height = one.curve, working_height(one)
    us, load = system == "us", cautious_load(one, height, system)
    rated = rating(one)
    near = rated is not None and rated < 1.1 * max(curve.lift)
    banded = any(b - a > 0.01 * b for a, b in zip(curve.lift_p10, curve.lift_p90, strict=True))
    asked = curve.load if curve.load is not None and math.isfinite(curve.load) else None
    need = None if asked is None else Figure(f"asked, {show(asked, 'mass', system)}")
    return LoadChart(
        heights=curve.height,
        lift=curve.lift,
        lift_low=curve.lift_p10 if banded else (),
        lift_high=curve.lift_p90 if banded else (),
        curl=curve.curl or (),
        need=asked,
        need_label=need,
        now=height,
        now_label="" if load is None else f"say {show(load, 'mass', system)}",
        others=further_out(one, system),
        rated=rated if near else None,
        share=mount_share_of(one),
        share_label=mount_label(one, system),
        load_unit=to_si(1.0, "lb") if us else 1.0,
        load_word="lb in the jaws, at the load" if us else "kg in the jaws, at the load",
        height_unit=to_si(1.0, "in") if us else 1.0,
        height_word="in" if us else "m",
    )


def axle_bars_of(one: OutfitAdvice, system: str, moving: bool = False) -> AxleBars:
    """Axle bars: loaded without and with what hangs behind, raised and empty.

    Args:
        one: the outfit.
        system: "us" or "metric".
        moving: travelling and braking too.

    Returns:
        `AxleBars`.

    Example:
        >>> from handfast.advice.example import outfit
        >>> [state.name for state in axle_bars_of(outfit(), "us", moving=True).states]
        ['Loaded, as offered', 'Raised and empty', 'Travelling loaded', 'Braking, 2 m/s²']
    """
    shown = [a for a in one.axles if (moving or a.pose in STATES) and math.isfinite(a.front + a.rear)]
    states = tuple(
        AxleState(
            STATES.get(a.pose, a.title),
            f"{show(a.front + a.rear, 'mass', system)} in all",
            a.rear,
            a.front,
            f"rear {show(a.rear, 'mass', system)}, {figure(a.rear_share, 'share', system)}",
            f"front {show(a.front, 'mass', system)}",
            RULES if a.pose.startswith("loaded_furthest") else (),
        )
        for a in shown
    )
    front = known_capacity(one, "balance.front_axle")
    if front is None or front.capacity is None or not math.isfinite(front.capacity.p10):
        return AxleBars(states)
    words = f"limit: front axle {show(front.capacity.p10, 'mass', system)}"
    return AxleBars(states, front_rating=front.capacity.p10, front_rating_label=words)


def slope_view_of(one: OutfitAdvice, system: str = "us", site: float | None = None) -> SlopeView | None:
    """The slope picture of an outfit: first roll over all headings, low and raised, and the slopes to hold against it.

    Args:
        one: the outfit.
        system: units; slopes are written in degrees and per cent in either.
        site: slope of the site [rad]; by default what the inquiry says, at its steepest.

    Returns:
        `SlopeView` for `slope_view`; None where the figures of the slope are not known.

    Example:
        >>> from handfast.advice.example import outfit
        >>> view = slope_view_of(outfit())
        >>> [curve.label for curve in view.curves if curve.limits], round(math.degrees(view.allowed), 1)
        (['load low', 'load at full height'], 6.1)
    """
    if not one.slopes:
        return None
    check = _check(one, "slope.side")
    asked = check.demand if check is not None else None
    steepest = site if site is not None or asked is None else asked.p90
    wide = asked is not None and asked.p90 > asked.p10 + 0.002
    stops = [curve for curve in one.slopes if curve.to_the_stop]
    return SlopeView(
        curves=(
            *(_rolls(curve, line) for curve, line in zip(one.slopes, (Line.WIDE, Line.DASHED), strict=False)),
            *(_over(curve, line) for curve, line in zip(stops, (Line.GHOST, Line.HIDDEN), strict=False)),
        ),
        site=steepest,
        site_label="the site at its steepest" if wide and site is None else "the site",
        allowed=one.slope_limit,
        allowed_label="half of the least, cautiously",
        title=f"Slope over all headings: {one.title}",
    )


def _rolls(curve: SlopeCurve, line: Line) -> Drawn:
    headings, angles = _all_round(curve.headings, curve.first_roll)
    return Drawn(curve.title, headings, angles, line)


def _over(curve: SlopeCurve, line: Line) -> Drawn:
    headings, angles = _all_round(curve.headings, curve.to_the_stop)
    return Drawn(f"{curve.title}, axle on its stop", headings, angles, line, "goes over for good at", limits=False)


def _all_round(headings: tuple[float, ...], angles: tuple[float, ...]) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """The other half is the mirror image: no outfit here is heavier on one side."""
    return (*headings, *(2.0 * math.pi - h for h in headings[-2:0:-1])), (*angles, *angles[-2:0:-1])


def _check(one: OutfitAdvice, check_id: str) -> CheckResult | None:
    return next((check for check in one.checks if check.id == check_id), None)
