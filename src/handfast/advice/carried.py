"""What may be said to be carried, at each height of the pins: for drawings, the fit sheet and the seat card."""

from __future__ import annotations

import math

from handfast.advice.result import CheckResult, OutfitAdvice
from handfast.advice.say import STEPS, down


def known_capacity(one: OutfitAdvice, check_id: str) -> CheckResult | None:
    """The check of that id, where its capacity is known.

    Args:
        one: the outfit.
        check_id: as in the table of checks.

    Returns:
        `CheckResult`, or None.

    Example:
        >>> from handfast.advice.example import outfit
        >>> known_capacity(outfit(), "balance.hitch") is None
        True
    """
    return next((c for c in one.checks if c.id == check_id and c.capacity is not None), None)


def rating(one: OutfitAdvice) -> float | None:
    """What the attachment itself is rated for.

    Args:
        one: the outfit.

    Returns:
        Mass [kg]; None when not known.

    Example:
        >>> from handfast.advice.example import outfit
        >>> round(rating(outfit()) / 0.45359237)
        900
    """
    check = known_capacity(one, "lift.attachment_rating")
    found = check.capacity.p10 if check is not None and check.capacity is not None else math.inf
    return found if math.isfinite(found) else None


def cautious_load(one: OutfitAdvice, height: float, system: str) -> float | None:
    """What may be said to be carried at a pin height: nine in ten bear it out, every known limit counted, rounded down.

    Args:
        one: the outfit.
        height: of the pins [m].
        system: whose step it is rounded down to.

    Returns:
        Mass [kg]; None when not known.

    Example:
        >>> from handfast.advice.example import outfit
        >>> round(cautious_load(outfit(), 1.8415, "us") / 0.45359237)
        450
    """
    curve = one.curve
    if not curve.height:
        return None
    limits = [_at(curve.height, curve.lift_p10, height)]
    if curve.curl is not None:
        limits.append(_at(curve.height, curve.curl, height))
    rated = rating(one)
    limits += [rated] if rated is not None else []
    least = min(limits)
    return down(least, STEPS[system][0]) if math.isfinite(least) else None


def balanced_load(one: OutfitAdvice, system: str) -> float | None:
    """The load with which axles, tyres and what hangs behind were reckoned, rounded down.

    Every safety check holds in 97 of 100 draws of that load, so that one in ten of them above still holds.

    Args:
        one: the outfit.
        system: whose step it is rounded down to.

    Returns:
        Mass [kg]; None when not known.

    Example:
        >>> from handfast.advice.example import outfit
        >>> round(balanced_load(outfit(), "us") / 0.45359237)
        75
    """
    check = next((c for c in one.checks if c.id == "lift.attachment_rating"), None)
    if check is not None and check.demand is not None and math.isfinite(check.demand.p90):
        return down(check.demand.p90, STEPS[system][0])
    return None if one.load is None else down(one.load, STEPS[system][0])


def _at(heights: tuple[float, ...], values: tuple[float, ...], height: float) -> float:
    if any(math.isnan(v) for v in values):
        return math.nan
    for k in range(len(heights) - 1):
        low, high = heights[k], heights[k + 1]
        if low <= height <= high and high > low:
            return values[k] + (values[k + 1] - values[k]) * (height - low) / (high - low)
    return values[0] if height < heights[0] else values[-1]


def working_height(one: OutfitAdvice) -> float:
    """Pin height that is drawn: full, or where a condition keeps it lower.

    Args:
        one: the outfit.

    Returns:
        Height [m].

    Example:
        >>> from handfast.advice.example import outfit
        >>> working_height(outfit())
        1.8415
    """
    asked = [c.value for c in one.conditions if c.kind == "height" and c.value is not None]
    return min([one.geometry.values["height_max"], *asked])
