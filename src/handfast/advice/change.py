"""What would have to change: the smallest single change that turns each failing check; the pair that can be sold."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Sequence
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np

from handfast.advice.levers import Case, Lever, case_of, levers_of
from handfast.advice.odds import Judged
from handfast.advice.result import Change
from handfast.outfits.checks import Check
from handfast.outfits.lay import Laid
from handfast.quantities.showing import show, show_slope
from handfast.quantities.units import to_si

NEAR = 1e-4  # of the lever's whole way
TRIES = 40
MUCH = 0.6  # of what is changed: nobody sells a larger change
SOLD = ("behind", "attachment", "opening", "width")  # levers that are goods; the others are how the work is done


@dataclass(frozen=True)
class Pulled:
    """A lever moved as little as turns a check."""

    lever: Lever
    at: float  # scale, or for what hangs behind kg
    check: Check

    @property
    def way(self) -> float:
        """How large the change is against what is changed."""
        return self.at / self.lever.size if self.lever.name == "behind" else abs(self.at - 1.0)


def changes(laid: Laid, judged: Judged, row: int, system: str) -> tuple[Change, ...]:
    """For each failing hard check of an outfit the smallest change in one input that turns it.

    Args:
        laid: every line of work.
        judged: the outfits.
        row: which outfit.
        system: units.

    Returns:
        Changes in the order of the checks; none at all where a failing check is turned by none, for then the others
        would not do either. Two that ask the same of one thing are one, the greater.

    Source: the margin at the share of samples that the verdict asks, brought to nought by one input (false position),
    then rounded to the step that is said, to the safe side.

    Example:
        >>> from handfast.outfits.example import laid
        >>> from handfast.advice.odds import judge
        >>> from handfast.machines.shelf import Shelf
        >>> changes(laid(), judge(laid(), Shelf()), 0, "us")  # everything holds
        ()
    """
    return _changes(case_of(laid, judged, row), judged.bench.outfits[row].id, system)


def all_changes(laid: Laid, judged: Judged, rows: Sequence[int], system: str) -> tuple[Change, ...]:
    """The changes of several outfits; those that hang alike and are moved differently are reckoned once.

    Args:
        laid: every line of work.
        judged: the outfits.
        rows: which outfits.
        system: units.

    Returns:
        Changes, outfit by outfit.

    Example:
        >>> from handfast.outfits.example import laid
        >>> from handfast.advice.odds import judge
        >>> from handfast.machines.shelf import Shelf
        >>> all_changes(laid(), judge(laid(), Shelf()), [0], "us")
        ()
    """
    known: dict[tuple[Hashable, ...], tuple[Change, ...]] = {}
    found: list[Change] = []
    for row in rows:
        case, outfit = case_of(laid, judged, row), judged.bench.outfits[row].id
        heavy = tuple(one.id for one in case.hard if not one.by_power)
        key = (int(judged.bench.hanging[row]), case.picked, case.given.tobytes(), heavy)
        if key not in known:
            known[key] = _changes(case, outfit, system)
        found += [replace(one, outfit=outfit) for one in known[key]]
    return tuple(found)


def _changes(case: Case, outfit: str, system: str) -> tuple[Change, ...]:
    best = []
    for check in case.failing():
        ways = turning(case, check, system)
        if not ways:
            return ()
        best.append(min(ways, key=lambda one: one.way))
    return tuple(told(one, outfit, system) for one in _furthest(best))


def turning(case: Case, check: Check, system: str) -> list[Pulled]:
    """Every single change that turns a failing check and breaks no other.

    Args:
        case: the outfit.
        check: one that fails.
        system: units, for the steps in which a change is said.

    Returns:
        Each lever moved as little as does it.

    Example:
        >>> turning.__name__
        'turning'
    """
    found = []
    for lever in levers_of(case, check):
        at = _least(case, lever, check, system)
        if at is not None and not _breaks(case, lever.move(case, at), lever):
            found.append(Pulled(lever, at, check))
    return found


def pair(case: Case, outfit: str, system: str) -> tuple[Change, Change] | None:
    """Two changes that together make an outfit fit where one does not: goods before ways of working.

    Args:
        case: the outfit.
        outfit: its id.
        system: units.

    Returns:
        Two changes, or None where one is enough or two are not.

    Example:
        >>> from handfast.outfits.example import laid
        >>> from handfast.advice.odds import judge
        >>> from handfast.machines.shelf import Shelf
        >>> pair(case_of(laid(), judge(laid(), Shelf()), 0), "", "us") is None
        True
    """
    failing = case.failing()
    if not failing:
        return None
    ways = [one for check in failing for one in _ways(case, check, system) if one.way <= MUCH]
    if any(not one.lever.move(case, one.at).failing() for one in ways):
        return None
    tried = sorted(combinations(_furthest(ways), 2), key=_trouble)
    for first, second in tried:
        after = second.lever.move(first.lever.move(case, first.at), second.at)
        if not after.failing():
            return told(first, outfit, system), told(second, outfit, system)
    return None


def _ways(case: Case, check: Check, system: str) -> list[Pulled]:
    """As `turning`, other checks left to the second change."""
    ends = [(lever, _least(case, lever, check, system)) for lever in levers_of(case, check)]
    return [Pulled(lever, at, check) for lever, at in ends if at is not None]


def _furthest(ways: Sequence[Pulled]) -> list[Pulled]:
    """Each lever once, as far as any of its checks asks."""
    best: dict[str, Pulled] = {}
    for one in ways:
        known = best.get(one.lever.name)
        if known is None or one.way > known.way:
            best[one.lever.name] = one
    return list(best.values())


def _trouble(two: tuple[Pulled, Pulled]) -> tuple[int, float]:
    return -sum(one.lever.name in SOLD for one in two), sum(one.way for one in two)


def _least(case: Case, lever: Lever, check: Check, system: str) -> float | None:
    """Where a lever turns a check, rounded to the step that is said; None where it does not."""
    start = 0.0 if lever.name == "behind" else 1.0

    def margin(way: float) -> float:
        return lever.move(case, start + way * (lever.limit - start)).slack(check)

    way = _root(margin, smooth=check.unit != "1")
    if way is None:
        return None
    exact = start + way * (lever.limit - start)
    said = _stepped(lever, exact, system)
    beyond = said < lever.limit if lever.limit < start else said > lever.limit
    return exact if beyond or margin((said - start) / (lever.limit - start)) < 0.0 else said


def _root(margin: Callable[[float], float], smooth: bool) -> float | None:
    """The least way at which a margin is no longer negative: false position (Illinois), a yes or no by halving."""
    low, high = 0.0, 1.0
    below, above = margin(low), margin(high)
    if not above >= 0.0 or not below < 0.0:
        return None
    side = 0
    for _ in range(TRIES):
        if high - low < NEAR:
            break
        step = below / (below - above) if smooth and np.isfinite(below) and np.isfinite(above) else 0.5
        middle = low + min(max(step, 0.02), 0.98) * (high - low)
        value = margin(middle)
        if value >= 0.0:
            high, above, below = middle, value, below / 2.0 if side == 1 else below
            side = 1
        else:
            low, below, above = middle, value, above / 2.0 if side == -1 else above
            side = -1
    return high


def _breaks(before: Case, after: Case, lever: Lever) -> bool:
    """Whether a check that held does not any more."""
    touched = [check for check in before.hard if check.id.startswith(lever.bears_on)]
    return any(before.holds(check) and not after.holds(check) for check in touched)


STEPS = {
    "mass": (to_si(5.0, "lb"), 2.0),
    "behind": (to_si(25.0, "lb"), 10.0),
    "length": (to_si(6.0, "in"), 0.1),
    "fine": (to_si(0.5, "in"), 0.01),
    "fill": (0.05, 0.05),
}


def _step(lever: Lever, system: str) -> float:
    name = lever.path.rpartition(".")[2]
    kind = "behind" if lever.name == "behind" else name if name in STEPS else "fine"
    return STEPS[kind][0 if system == "us" else 1]


def _stepped(lever: Lever, exact: float, system: str) -> float:
    """The scale rounded so that the figure said is a round one and the check still holds."""
    step = _step(lever, system)
    if lever.name == "behind":
        return float(np.ceil(exact / step - 1e-9) * step)
    if lever.name == "slope":
        percent = np.floor(100.0 * np.tan(exact * lever.size) + 1e-9) / 100.0
        return float(np.arctan(percent) / lever.size)
    if lever.name in ("attachment", "opening", "width", "lift_to") or (
        lever.name == "piece" and lever.path.endswith("mass")
    ):
        moved = np.ceil(abs(exact - 1.0) * lever.size / step - 1e-9) * step
        return float(1.0 + np.copysign(moved, exact - 1.0) / lever.size)
    return float(np.floor(exact * lever.size / step + 1e-9) * step / lever.size)


def told(one: Pulled, outfit: str, system: str) -> Change:
    """A change in words, its figure beside it.

    Args:
        one: the lever and where it is moved to.
        outfit: id.
        system: units.

    Returns:
        `Change`; its value is what is added or taken away, or for length, thickness, fill and slope what is left.

    Example:
        >>> told.__name__
        'told'
    """
    lever, kind = one.lever, one.lever.path.rpartition(".")[2]
    moved, left = abs(one.at - 1.0) * lever.size, one.at * lever.size
    if lever.name == "behind":
        text, value, unit = f"{show(one.at, 'mass', system)} on the hitch", one.at, "kg"
    elif lever.name == "slope":
        text, value, unit = f"ground no steeper than {show_slope(left)}", left, "rad"
    elif lever.name == "load":
        text, value, unit = f"pieces of at most {show(left, 'mass', system)}", left, "kg"
    elif kind == "fill":
        text, value, unit = f"bites {100 * left:.0f} % full", left, "1"
    elif lever.name == "piece" and kind == "length":
        text, value, unit = f"pieces no longer than {show(left, 'length', system)}", left, "m"
    elif kind == "diameter":
        text, value, unit = f"pieces no thicker than {show(left, 'length', system)}", left, "m"
    else:
        dimension, value = ("mass", moved) if kind == "mass" else ("length", moved)
        text, unit = WORDS[lever.name].format(show(moved, dimension, system)), "kg" if kind == "mass" else "m"
    return Change(outfit, one.check.id, text, value, unit, lever.name, lever.path, one.at)


WORDS = {
    "piece": "pieces {} lighter",
    "attachment": "an attachment {} lighter",
    "opening": "a lid that opens {} more",
    "width": "an attachment {} narrower",
    "lift_to": "a side {} lower",
}
