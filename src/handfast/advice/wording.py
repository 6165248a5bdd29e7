"""The verdict in words: figures, the sentence that names what governs, the conditions."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from handfast.advice.odds import FITS, IF, NOT, Judged
from handfast.advice.result import Condition
from handfast.outfits.assess import Finding
from handfast.outfits.mounting import fact_words
from handfast.quantities.arrays import Array, quantile, quantiles, row_of
from handfast.quantities.showing import show, show_slope
from handfast.quantities.units import from_si

CAUTIOUS = 0.10  # a spoken figure is one that nine of ten samples bear out
DIMENSIONS = {
    "kg": "mass",
    "m": "length",
    "N": "force",
    "share": "share",
    "s": "time",
    "Pa": "pressure",
    "m/s": "speed",
    "A": "current",
    "money": "money",
}
WHERE = {
    "hitch": "hangs behind",
    "rear_wheels": "is on the rear wheels",
    "tyres": "of liquid is in the rear tyres",
    "rack": "is on the rack",
}
PRESUMED = {
    "front_functions": "a front outlet pair is to spare",
    "rear_remotes": "a rear remote is to spare",
    "power_beyond": "seven lines go into the loader valve",
}


def figure(value: float, unit: str, system: str) -> str:
    """A check's figure as people read it.

    Args:
        value: SI.
        unit: the check's unit.
        system: "us" or "metric".

    Returns:
        Text with its unit.

    Example:
        >>> figure(100.0, "kg", "metric")
        '100 kg'
    """
    if not np.isfinite(value):
        return "not at all" if np.isinf(value) else "not known"
    if unit == "1":
        return "yes" if value >= 1.0 else "no"
    if unit == "rad":
        return show_slope(value)
    if unit == "money":
        return f"{value:,.0f}"
    if unit in ("kg.m", "N.m"):
        moment = value * (9.80665 if unit == "kg.m" else 1.0)
        return f"{moment / 1.355818:,.0f} lb-ft" if system == "us" else f"{moment:,.0f} N·m"
    if unit == "m/s" and system == "us":
        return f"{from_si(value, 'ft/s'):.1f} ft/s"
    if unit == "m/s":
        return f"{value:.1f} m/s"
    return show(value, DIMENSIONS[unit], system)


def reason(judged: Judged, row: int, conditions: Sequence[Condition], system: str) -> str:
    """The sentence that goes with the verdict word.

    Args:
        judged: the outfits.
        row: which outfit.
        conditions: named for it.
        system: units.

    Returns:
        One sentence naming the governing check and its figures.

    Example:
        >>> from handfast.outfits.example import laid
        >>> from handfast.advice.odds import judge
        >>> from handfast.machines.shelf import Shelf
        >>> reason(judge(laid(), Shelf()), 0, (), "us")
        'Fits. Rear axle, loaded: 7.4 % to spare.'
    """
    word = judged.verdict(row)
    if word == FITS:
        return "Fits. " + (_leaves(judged, row, system) or _room(judged.final(row).governs(row), row, system))
    if word == IF:
        first, rest = conditions[0].text, len(conditions) - 1
        return f"Fits if {first}" + (f", and {rest} more." if rest else ".")
    stopper = _stopper(judged, row)
    if word == NOT:
        return "Does not fit. " + (_stops(judged, stopper, row, system) if stopper else "No way to hang it or move it.")
    return "Not enough known. " + (_stops(judged, stopper, row, system) if stopper else "Too many facts are open.")


def _stops(judged: Judged, finding: Finding, row: int, system: str) -> str:
    """The sentence of what stops it; a lift that fails is told as what is left and what the piece weighs."""
    bench, hung = judged.bench.hung_once, int(judged.bench.hanging[row])
    at = {"lift.full_height": bench.frame.height_max, "lift.needed_height": bench.needed_height}.get(finding.check.id)
    weighs = row_of(judged.bench.load.mass, row)
    if at is None or np.isnan(weighs).any():
        return _short(finding, row, system)
    left = row_of(bench.payload_at(np.minimum(at, bench.frame.height_max)), hung)
    said, piece = _either(np.maximum(left, 0.0), "kg", system), _either(weighs, "kg", system)
    near = "So close that the piece's own weight decides it: " if finding.held(row) else ""
    return f"{near}{said} left for the load {_where(finding.check.id)}; one piece weighs {piece}."


def _where(check_id: str) -> str:
    return "at full height" if check_id == "lift.full_height" else "at the height asked"


def _stopper(judged: Judged, row: int) -> Finding | None:
    """The failing check that says most: a fact of mounting or supply only where nothing else fails."""
    failing = sorted(judged.final(row).failing(row, 0.97), key=lambda f: f.held(row) or 0.0)
    plain = [f for f in failing if f.check.unit != "1"]
    return (plain or failing or [None])[0]  # type: ignore[list-item]


def _room(finding: Finding | None, row: int, system: str) -> str:
    if finding is None:
        return "Nothing stops it."
    spare = quantile(finding.spare(row), CAUTIOUS)
    return f"{finding.check.title}: {figure(spare, finding.check.unit, system)} to spare."


def _leaves(judged: Judged, row: int, system: str) -> str:
    """What it leaves for a piece, where nobody has said what one weighs."""
    bench = judged.bench
    if np.isfinite(row_of(bench.load.mass, row)).all():
        return ""
    left = row_of(bench.hung_once.payload_at(bench.frame.height_max), int(bench.hanging[row]))
    least = show(max(quantile(left, CAUTIOUS), 0.0), "mass", system)
    return f"At full height {least} is left for a piece; what one weighs has not been said."


def _short(finding: Finding, row: int, system: str) -> str:
    unit = finding.check.unit
    has, asks = (_either(finding.row(name, row), unit, system) for name in ("capacity", "demand"))
    return finding.check.sentence.format(asks=asks, has=has)


def _either(values: Array, unit: str, system: str) -> str:
    """A figure, or both ends of it where they are far apart."""
    least = 0.0 if unit == "rad" else CAUTIOUS  # both readings of a slope stand; all else as on the sheet
    low, middle, high = quantiles(values, (least, 0.5, 1.0 - least))
    if unit == "1" or not np.isfinite(low + high) or high - low <= 0.15 * abs(middle):
        return figure(middle, unit, system)
    return f"{figure(low, unit, system)} to {figure(high, unit, system)}"


def conditions_of(judged: Judged, row: int, system: str) -> tuple[Condition, ...]:
    """What must be so before the verdict holds, the first one first.

    Args:
        judged: the outfits.
        row: which outfit.
        system: units.

    Returns:
        Conditions: facts, ballast, height, ratings.

    Example:
        >>> from handfast.outfits.example import laid
        >>> from handfast.advice.odds import judge
        >>> from handfast.machines.shelf import Shelf
        >>> conditions_of(judge(laid(), Shelf()), 0, "us")
        ()
    """
    found: list[Condition] = []
    outfit, draws = judged.bench.outfits[row], judged.bench.draws
    if "quick_attach" in draws.choices and not bool((draws.picked("quick_attach", outfit.mount.interface) > 0).all()):
        found.append(Condition("fact", fact_words(outfit.mount.interface), None, ""))
    if outfit.power.presumes in PRESUMED and judged.presumes(row):
        found.append(Condition("fact", PRESUMED[str(outfit.power.presumes)], None, ""))
    if not judged.sound(row):
        found += _ballast_condition(judged, row, system)
    if judged.stays_below(row):
        text = f"it is not lifted above {show(1.5, 'length', system)} at the pins"
        found.append(Condition("height", text, 1.5, "m"))
    if judged.by_class(row):
        found.append(Condition("fact", "the loader's own sheet bears out what is typical of its class", None, ""))
    found += _place_condition(judged, row, system)
    found += [Condition("care", text, None, "") for text in outfit.power.care]
    return tuple(found)


def _place_condition(judged: Judged, row: int, system: str) -> list[Condition]:
    """A round piece that only lifts while it lies right back in the jaw."""
    bench, hung = judged.bench.hung_once, int(judged.bench.hanging[row])
    asked, there = (row_of(a, hung) for a in (bench.load.mass, bench.further_out))
    if np.isnan(there).any() or np.isnan(asked).any() or float(np.mean(there >= asked)) >= 0.9:
        return []
    least = quantile(there, CAUTIOUS)
    seat = "lies right back in the jaw" if bench.outfits[hung].attachment.lids else "sits right back against the frame"
    text = f"each piece {seat}: further out it lifts {show(max(least, 0.0), 'mass', system)}"
    return [Condition("care", text, least, "kg")]


def _ballast_condition(judged: Judged, row: int, system: str) -> list[Condition]:
    chosen = judged.sets[row]
    if chosen is None or not chosen.mass:
        return []
    text = " and ".join(f"{show(p.mass, 'mass', system)} {WHERE[p.at]}" for p in chosen.pieces)
    return [Condition("ballast", text, chosen.mass, "kg")]
