"""An outfit's advice as the drawings that pages and papers show: side view, load chart, axle bars, slope."""

from __future__ import annotations

from math import isfinite, pi

from handfast.advice.result import Advice, Ballast, BallastPiece, CheckResult, Curve, OutfitAdvice, SlopeCurve
from handfast.drawings.axle_bars import AxleBars, AxleState
from handfast.drawings.inks import Line
from handfast.drawings.load_chart import LoadChart, Other
from handfast.drawings.marks import Figure
from handfast.drawings.piece_sizes import with_piece
from handfast.drawings.side_parts import Attachment, AxleLoads, Behind, Dimensions, Piece, SideView
from handfast.drawings.slope_view import SlopeCurve as Drawn
from handfast.drawings.slope_view import SlopeView
from handfast.quantities.showing import show
from handfast.quantities.units import to_si

PIECES = {
    "logs": "log",
    "bundle": "bundle",
    "brush": "brush",
    "root_raking": "brush",
    "rock": "rock",
    "round_bales": "round_bale",
    "square_bales": "square_bale",
    "pallets": "pallet",
    "loose": "loose",
    "stumps": "stump",
}
BOX_WORDS = {"hitch": "ballast_box", "rear_wheels": "rear_wheels", "tyres": "tyres", "rack": "suitcase_weights"}


def side_view_of(
    one: OutfitAdvice,
    system: str = "us",
    height: float | None = None,
    curl: float = 0.0,
    lid: float | None = None,
    piece_diameter: float | None = None,
) -> SideView:
    """The side view of an outfit at a pin height and curl.

    Args:
        one: the outfit.
        system: units of the figures, "us" or "metric".
        height: pin height [m]; full height by default; held within what the arms reach.
        curl: tool angle, curled back positive [rad].
        lid: lid angle from closed [rad]; by default it rests on the piece.
        piece_diameter: of a round piece [m]; by default the work's own, with which alone axle loads are shown.

    Returns:
        `SideView` for `side_view` or `sheet_a`.

    Example:
        >>> side_view_of.__name__
        'side_view_of'
    """
    one = one if piece_diameter is None else with_piece(one, piece_diameter)
    g = one.geometry.values
    at = min(max(height if height is not None else g["height_max"], g["height_down"]), g["height_max"])
    return SideView(
        wheelbase=g["wheelbase"],
        front_radius=_or(g["front_radius"], 0.17 * g["wheelbase"]),
        rear_radius=_or(g["rear_radius"], 0.25 * g["wheelbase"]),
        pivot=(g["pivot_x"], g["pivot_z"]),
        boom=g["boom"],
        pin_height=at,
        pin_height_max=g["height_max"],
        pin_height_down=g["height_down"],
        attachment=_attachment(one, system),
        plane_ahead=g["plane_ahead"],
        plane_drop=g["plane_drop"],
        quick_attach=one.geometry.interface,
        rops=one.geometry.words.get("rops", "up"),
        self_levelling=one.geometry.words.get("self_levelling") == "yes",
        curl=curl,
        lid=None if lid is None else max(lid, 0.0),
        load=_piece(one, system),
        behind=_behind(one.ballast, one, system),
        axles=_axles(one, system),
        dimensions=_dimensions(one, at, system),
        lift_to=g["lift_to"] if isfinite(g["lift_to"]) else None,
        ghost_label="furthest forward:",
        ghost_note="sets the ballast",
        title=f"Side view: {one.title}",
    )


def load_chart_of(
    one: OutfitAdvice, system: str = "us", height: float | None = None, others: tuple[OutfitAdvice, ...] = ()
) -> LoadChart:
    """The load chart of an outfit: capacity over height, the limit that governs, what is asked for.

    Args:
        one: the outfit.
        system: units of the axes.
        height: pin height now [m]; full height by default.
        others: outfits to be drawn beside it.

    Returns:
        `LoadChart`.

    Example:
        >>> load_chart_of.__name__
        'load_chart_of'
    """
    curve = one.curve
    now = curve.height[-1] if height is None else min(max(height, curve.height[0]), curve.height[-1])
    us = system == "us"
    chart = LoadChart(
        heights=curve.height,
        lift=_floored(curve.lift),
        lift_low=_floored(curve.lift_p10),
        lift_high=_floored(curve.lift_p90),
        curl=_floored(curve.curl) if curve.curl is not None else (),
        need=curve.load,
        need_label=Figure(f"asked: {_mass(curve.load, system)}") if curve.load is not None else None,
        now=now,
        now_label=_mass(_at(curve, now), system),
        others=tuple(Other(other.title, _floored(other.curve.lift)) for other in others),
        load_unit=to_si(1.0, "lb") if us else 1.0,
        load_word=f"{'lb' if us else 'kg'} in the jaws, at the load",
        height_unit=to_si(1.0, "in") if us else 0.01,
        height_word="in" if us else "cm",
        title=f"Load chart: {one.title}",
    )
    return chart


def axle_bars_of(one: OutfitAdvice, system: str = "us") -> AxleBars:
    """Axle loads of an outfit in its poses, with the written rules and the ratings.

    Args:
        one: the outfit.
        system: units of the figures.

    Returns:
        `AxleBars`.

    Example:
        >>> axle_bars_of.__name__
        'axle_bars_of'
    """
    states = tuple(
        AxleState(
            name=pose.title,
            note=f"{_mass(pose.front + pose.rear, system)} in all",
            rear=pose.rear,
            front=pose.front,
            rear_label=f"rear {_mass(pose.rear, system)}, {100 * pose.rear_share:.1f} %",
            front_label=f"front {_mass(pose.front, system)}",
            rules=() if pose.pose in ("empty_raised", "braking") else (0.20, 0.25),
        )
        for pose in one.axles
    )
    front, rear = (_rating(one, f"balance.{side}_axle") for side in ("front", "rear"))
    return AxleBars(
        states=states,
        rear_rating=rear,
        front_rating=front,
        rear_rating_label=f"rear axle rated {_mass(rear, system)}" if rear is not None else "",
        front_rating_label=f"front axle rated {_mass(front, system)}" if front is not None else "",
    )


def slope_view_of(one: OutfitAdvice, system: str = "us", site: float | None = None) -> SlopeView | None:
    """The slope picture of an outfit: first roll over all headings, low and raised, and the slopes to hold against it.

    Args:
        one: the outfit.
        system: units; slopes are written in degrees and per cent in either.
        site: slope of the site [rad]; by default what the inquiry says, at its steepest.

    Returns:
        `SlopeView` for `slope_view`; None where the figures of the slope are not known.

    Example:
        >>> slope_view_of.__name__
        'slope_view_of'
    """
    if not one.slopes:
        return None
    check = _check(one, "slope.side")
    asked = check.demand if check is not None else None
    steepest = site if site is not None or asked is None else asked.p90
    wide = asked is not None and asked.p90 > asked.p10 + 0.002
    decided = check is not None and check.capacity is not None
    stops = [curve for curve in one.slopes if curve.to_the_stop]
    return SlopeView(
        curves=(
            *(_rolls(curve, line) for curve, line in zip(one.slopes, (Line.WIDE, Line.DASHED), strict=False)),
            *(_over(curve, line) for curve, line in zip(stops, (Line.GHOST, Line.HIDDEN), strict=False)),
        ),
        site=steepest,
        site_label="the site at its steepest" if wide and site is None else "the site",
        allowed=one.slope_limit,
        allowed_label="half of the least, cautiously" if decided else "half of it, load low, cautiously",
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
    return (*headings, *(2.0 * pi - h for h in headings[-2:0:-1])), (*angles, *angles[-2:0:-1])


def certainty_of(advice: Advice) -> tuple[int, int, int]:
    """How many facts are sure, about, not known.

    Args:
        advice: the answer.

    Returns:
        Three counts.

    Example:
        >>> certainty_of.__name__
        'certainty_of'
    """
    words = [fact.certainty for fact in advice.facts]
    return words.count("sure"), words.count("about"), words.count("not known")


def _check(one: OutfitAdvice, check_id: str) -> CheckResult | None:
    return next((check for check in one.checks if check.id == check_id), None)


def _rating(one: OutfitAdvice, check_id: str) -> float | None:
    found = _check(one, check_id)
    return None if found is None or found.capacity is None else found.capacity.p50


def _floored(values: tuple[float, ...]) -> tuple[float, ...]:
    return tuple(max(value, 0.0) for value in values)


def _at(curve: Curve, height: float) -> float:
    limit = curve.lift if curve.curl is None else tuple(min(pair) for pair in zip(curve.lift, curve.curl, strict=True))
    place = min(range(len(curve.height)), key=lambda k: abs(curve.height[k] - height))
    return max(limit[place], 0.0)


def _or(value: float, otherwise: float) -> float:
    return value if isfinite(value) else otherwise


def _mass(kilograms: float | None, system: str) -> str:
    return "" if kilograms is None else show(kilograms, "mass", system)


def _length(metres: float, system: str) -> str:
    if system == "us":
        return f"{metres / to_si(1.0, 'in'):.0f} in"
    return f"{100 * metres:.0f} cm"


def _attachment(one: OutfitAdvice, system: str) -> Attachment:
    return Attachment(
        kind=one.kind,
        floor=one.geometry.jaw_floor,
        lid=one.geometry.jaw_lid,
        lid_pivot=one.geometry.lid_pivot,
        has_lid=one.geometry.words.get("lids", "0") != "0",
        label=_mass(one.geometry.values["tool_mass"], system),
    )


def _piece(one: OutfitAdvice, system: str) -> Piece | None:
    kind = PIECES.get(one.geometry.words.get("work", ""))
    if kind is None:
        return None
    g = one.geometry.values
    sized = kind not in ("brush", "loose")  # a pile's sizes are not the bite's
    diameter, length = (g[name] if sized else float("nan") for name in ("piece_diameter", "piece_length"))
    sizes = [
        _length(diameter, system) + " thick" if isfinite(diameter) else "",
        show(length, "length", system) + " long",
    ]
    note = ", ".join(size for size, known in zip(sizes, (diameter, length), strict=True) if isfinite(known))
    return Piece(
        kind=kind,
        diameter=diameter if isfinite(diameter) else 0.0,
        length=length if isfinite(length) else 0.0,
        at=(g["seat_x"], g["seat_z"]) if isfinite(g["seat_x"] + g["seat_z"]) else None,
        label=_mass(one.load, system),
        note=note,
    )


def _behind(ballast: Ballast, one: OutfitAdvice, system: str) -> Behind | None:
    if ballast.chosen:
        piece = max(ballast.chosen, key=lambda p: p.behind)
        return Behind(
            BOX_WORDS.get(piece.at, "ballast_box"), piece.behind, Figure(_mass(piece.mass, system)), _far(piece, system)
        )
    if ballast.already > 0:
        kind = one.geometry.words.get("behind") or "ballast_box"
        far = one.geometry.values["hitch_behind"] + 0.61
        return Behind(kind, far, Figure(_mass(ballast.already, system)), "hangs there now")
    return None


def _far(piece: BallastPiece, system: str) -> str:
    return f"{_length(piece.behind, system)} behind the axle" if piece.behind > 0 else "on the axle"


def _axles(one: OutfitAdvice, system: str) -> AxleLoads | None:
    loaded = next((pose for pose in one.axles if pose.pose == "loaded_furthest"), None)
    if loaded is None:
        return None
    return AxleLoads(Figure(_mass(loaded.front, system)), Figure(_mass(loaded.rear, system)))


def _dimensions(one: OutfitAdvice, height: float, system: str) -> Dimensions:
    g = one.geometry.values
    rise = max(-g["boom"], min(g["boom"], height - g["pivot_z"]))
    ahead = g["pivot_x"] + (g["boom"] ** 2 - rise**2) ** 0.5 - g["wheelbase"]
    load = g["plane_ahead"] + g["seat_x"]
    hung = [piece.behind for piece in one.ballast.chosen if piece.behind > 0]
    return Dimensions(
        wheelbase=Figure(_length(g["wheelbase"], system)),
        behind=Figure(_length(max(hung), system)) if hung else None,
        pin_ahead=Figure(_length(ahead, system)),
        load_ahead=Figure(_length(load, system)) if isfinite(load) else None,
        pin_height=Figure(f"{_length(height, system)} to the pins"),
        lift_to=Figure(_length(g["lift_to"], system)) if isfinite(g["lift_to"]) else None,
    )
