"""Which unknown moves the margin of the check that governs: the bars of a tornado, from the samples already drawn."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache

import numpy as np

from handfast.advice.odds import Judged
from handfast.advice.say import FACT_TITLES
from handfast.advice.wording import figure
from handfast.outfits.assess import Finding, Flags
from handfast.quantities.arrays import Array, quantiles, row_of
from handfast.quantities.showing import show, show_slope
from handfast.quantities.tables import table
from handfast.quantities.units import UNITS

LOW, HIGH = 0.1, 0.9  # the ends of a bar: where an unknown stands in one of ten samples lower, one of ten higher
MOST = 7  # bars shown
MINOR = 0.03  # of the margin's whole band: less is not drawn

TITLES = {
    "mass": "what the tractor weighs",
    "front_share": "how the tractor's weight is shared",
    "front_axle_mass": "weight on the front axle",
    "rear_axle_mass": "weight on the rear axle",
    "cg_height": "how high the tractor's weight lies",
    "engine_power": "the engine's power",
    "loader.rating_slope": "how fast lift falls off further out",
    "loader.lift_at_500": "the loader's lift 500 mm out",
    "loader.arms_mass": "what the loader's arms weigh",
    "loader.plane_ahead": "how far ahead the quick attach sits",
    "loader.plane_drop": "how far below the pins it sits",
    "loader.quick_attach_mass": "what the quick attach weighs",
    "loader.pivot_ahead": "where the arms are hinged",
    "loader.pivot_height": "how high the arms are hinged",
    "loader.pin_height_max": "how high the loader lifts",
    "front_axle_assembly_mass": "what the front axle and wheels weigh",
    "work.density": "how heavy the material is",
    "work.packing": "how densely it lies",
    "work.length": "how long the pieces are",
    "work.fill": "how full a bite is",
    "attachment.mass": "what the attachment weighs",
    "attachment.cg.x": "how far ahead the attachment's weight lies",
    "attachment.load_centre.x": "how far ahead the load lies",
    "attachment.width": "how wide the attachment is",
    "attachment.bite_area": "how much the jaw takes in",
}
OTHER_DIMENSIONS = {"density": "density", "packing": "share", "fill": "share", "slope": "slope", "volume": "volume"}
LENGTHS = ("diameter", "length", "width", "height", "gate", "lift_to", "haul_distance", "behind", "x", "z")
SIZE = "the size of the tractor in its class"


@dataclass(frozen=True)
class Swing:
    """One unknown: what it can be, and the margin at either end of that."""

    path: str
    title: str
    low: str  # in words
    high: str
    at_low: float  # margin, the check's unit
    at_high: float

    @property
    def width(self) -> float:
        """How far the margin moves."""
        return abs(self.at_high - self.at_low)


@dataclass(frozen=True)
class Tornado:
    """The margin of one check, and the unknowns that move it, the strongest first."""

    check: str
    title: str
    unit: str
    middle: float
    low: float  # margin in one of ten samples
    high: float
    middle_text: str
    swings: tuple[Swing, ...]
    rest: int  # unknowns that move it less than what is shown


def tornado(judged: Judged, row: int, system: str) -> Tornado | None:
    """What moves the margin of the check that governs an outfit.

    Args:
        judged: the outfits.
        row: which.
        system: units.

    Returns:
        `Tornado`; None where nothing governs or nothing is uncertain.

    Source: mean margin over the order of one unknown, by least squares on a parabola, read at one in ten and nine in
    ten; what swings no more than spare dimensions do is left out.

    Example:
        >>> from handfast.outfits.example import laid
        >>> from handfast.advice.odds import judge
        >>> from handfast.machines.shelf import Shelf
        >>> tornado(judge(laid(), Shelf()), 0, "us") is None  # everything is known
        True
    """
    if judged.bench.draws.size == 1:
        return None
    return next((one for one in (_of(judged, f, row, system) for f in _nearest(judged, row)) if one is not None), None)


def _nearest(judged: Judged, row: int) -> list[Finding]:
    """The hard checks, the one that governs first: a margin that nothing moves has no picture."""
    final = judged.final(row)
    counted = [f for f in final.findings if (f.check.hard or f.check.id in final.also_hard) and f.decided[row]]
    figures = [f for f in counted if f.check.unit != "1"]
    governs = final.governs(row)
    return sorted(figures, key=lambda f: (f is not governs, f.held(row) or 0.0, f.ratio(row)))


def _of(judged: Judged, finding: Finding, row: int, system: str) -> Tornado | None:
    given = np.asarray(judged.premises.given(row))
    margin = np.broadcast_to(finding.spare(row), given.shape)[given]
    if not margin.size or not np.isfinite(margin).all():
        return None
    noise = [_ends(margin, u[given]) for u in judged.bench.draws.spare().T]
    least = max(abs(right - left) for left, right in noise)
    low, high = quantiles(margin, (LOW, HIGH))
    floor = max(2.0 * least, MINOR * (high - low), 1e-12)
    found = [one for one in _swings(judged, row, margin, given, system) if one.width > floor]
    found.sort(key=lambda one: -one.width)
    return _told(finding, margin, found, system)


def _told(finding: Finding, margin: Array, found: list[Swing], system: str) -> Tornado | None:
    if not found:
        return None
    low, middle, high = quantiles(margin, (LOW, 0.5, HIGH))
    unit, check = finding.check.unit, finding.check
    words = f"{figure(abs(middle), unit, system)} {'to spare' if middle >= 0 else 'short'}"
    return Tornado(
        check.id, check.title, unit, middle, low, high, words, tuple(found[:MOST]), max(len(found) - MOST, 0)
    )


def _swings(judged: Judged, row: int, margin: Array, given: Flags, system: str) -> Iterator[Swing]:
    draws = judged.bench.draws
    if any(one.origin == "typical" for one in draws.inputs):
        ends = _ends(margin, draws.uniforms[:, 0][given])
        yield Swing("size", SIZE, "small", "large", *ends)
    for one in draws.inputs:
        values = _samples(judged, row, one.path)
        if values is None or np.ptp(values[given]) == 0.0:
            continue
        if one.path in draws.choices:
            yield from _by_choice(one.path, draws.choices[one.path], values[given], margin)
            continue
        place = draws.uniforms[:, one.column][given]
        low, high = (value_text(one.path, value, system) for value in _ends(values[given], place))
        yield Swing(one.path, title_of(one.path), low, high, *_ends(margin, place))


def _samples(judged: Judged, row: int, path: str) -> Array | None:
    """The samples of an input; an attachment's are its own."""
    head, _, tail = path.partition(".")
    own = row_of(judged.bench.tools[tail], row) if head == "attachment" else judged.bench.draws[path]
    return own if own.size > 1 else None


def _by_choice(path: str, names: tuple[str, ...], some: Array, margin: Array) -> Iterator[Swing]:
    """Between the worst and the best of what it can be."""
    means = {name: margin[some == k].mean() for k, name in enumerate(names) if (some == k).any()}
    if len(means) > 1:
        worst, best = min(means, key=lambda n: means[n]), max(means, key=lambda n: means[n])
        low, high = (one.replace("_", " ") for one in (worst, best))
        yield Swing(path, title_of(path), low, high, float(means[worst]), float(means[best]))


def _ends(margin: Array, place: Array) -> tuple[float, float]:
    """Mean margin where an unknown stands low and where it stands high."""
    basis = np.column_stack([np.ones(len(place)), place - 0.5, (place - 0.5) ** 2])
    fitted = np.linalg.lstsq(basis, margin, rcond=None)[0]
    low, high = (float(fitted @ [1.0, at - 0.5, (at - 0.5) ** 2]) for at in (LOW, HIGH))
    return low, high


def title_of(path: str) -> str:
    """An unknown in the words of the counter.

    Args:
        path: dotted name.

    Returns:
        Words.

    Example:
        >>> title_of("work0.density"), title_of("wheelbase")
        ('how heavy the material is', 'wheelbase')
    """
    head, _, tail = path.partition(".")
    named = f"work.{tail}" if head.startswith("work") and head[4:].isdigit() else path
    if named in TITLES or named in FACT_TITLES:
        return TITLES.get(named) or FACT_TITLES[named]
    owner = {"loader": "the loader's ", "attachment": "the attachment's ", "behind": "what hangs behind: "}
    words = path.rpartition(".")[2].replace("_", " ")
    return owner.get(head, "") + words if tail else words


def value_text(path: str, value: float, system: str) -> str:
    """A value of an unknown as people read it.

    Args:
        path: dotted name.
        value: SI.
        system: units.

    Returns:
        Text with its unit.

    Example:
        >>> value_text("work0.density", 800.0, "metric")
        '800 kg/m³'
    """
    dimension = dimension_of(path)
    return (
        show_slope(value) if dimension == "slope" else show(value, dimension, system) if dimension else f"{value:.3g}"
    )


def dimension_of(path: str) -> str:
    """The dimension of an unknown, by the tables that it is drawn from; empty where it is a bare number.

    Args:
        path: dotted name.

    Returns:
        Name of a dimension.

    Example:
        >>> dimension_of("loader.pin_height_max"), dimension_of("loader.rating_slope"), dimension_of("front_share")
        ('length', 'per_length', 'share')
    """
    name, tail = path.removeprefix("attachment."), path.rpartition(".")[2]
    if tail in OTHER_DIMENSIONS:
        return OTHER_DIMENSIONS[tail]
    if tail in LENGTHS:
        return "length"
    unit = _units().get(name)
    if unit is not None:
        return UNITS[unit].dimension if unit in UNITS else ""
    return "mass" if "mass" in tail or "rat" in tail or "lift" in tail else "length"


@cache
def _units() -> dict[str, str]:
    rows = (*table("class_typical.csv"), *table("attachment_typical.csv"))
    return {row["quantity"]: row["unit"] for row in rows}
