"""From half-known facts to arrays: every quantity of an inquiry as its samples, one value when it is known."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache
from math import sqrt
from typing import Any

import numpy as np

from handfast.quantities import sobol
from handfast.quantities.arrays import Array
from handfast.quantities.estimate import Estimate
from handfast.quantities.normal import normal_quantile, normal_share
from handfast.quantities.tables import table
from handfast.quantities.units import to_si

SPARE = 8  # dimensions that no input uses: what the estimate of worth shows there is noise
SIZE_WEIGHT = 0.8  # share of the size factor that engine power explains (common practice, no source)

# Ratings that a class guess must never stand in for: they stay open until a plate or a sheet says them.
NEVER_TYPICAL = frozenset(
    {
        "front_axle_rating",
        "rear_axle_rating",
        "gross_rating",
        "front_tyre.load_each",
        "rear_tyre.load_each",
        "hitch_lift",
        "hitch_lift_610",
        "loader.curl_at_500",
        "loader.breakout_at_pin",
    }
)


@dataclass(frozen=True)
class Input:
    """One uncertain input: where it is in the records, where it comes from, which column draws it."""

    path: str
    origin: str
    column: int


@dataclass(frozen=True)
class Draws:
    """Samples of every quantity: arrays of one value (known) or `size` values (not)."""

    values: Mapping[str, Array]
    origins: Mapping[str, str]
    inputs: tuple[Input, ...]
    uniforms: Array
    size: int
    choices: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    columns: Mapping[str, int] = field(default_factory=dict)
    shares: Mapping[str, tuple[float, ...]] = field(default_factory=dict)  # of the values of each category

    def uniform(self, path: str) -> Array:
        """The uniform samples that a shared path draws from."""
        return np.asarray(self.uniforms[:, self.columns[path]])

    def spare(self) -> Array:
        """Uniform samples that no input uses, one column each."""
        return self.uniforms[:, self.uniforms.shape[1] - SPARE :] if self.size > 1 else self.uniforms

    def __getitem__(self, path: str) -> Array:
        """The samples of one quantity; NaN where nothing is known of it."""
        found: Array = self.values.get(path, np.array([np.nan]))
        return found

    def known(self, path: str) -> bool:
        """Whether the quantity has a value of any kind, a typical one included."""
        return bool(np.isfinite(self[path]).all())

    def origin(self, path: str) -> str:
        """Where the quantity comes from; "missing" when nothing is known."""
        return self.origins.get(path, "missing")

    def picked(self, path: str, value: str) -> Array:
        """1.0 in the samples where the category `path` is `value`, else 0.0."""
        names = self.choices[path]
        if value not in names:
            return np.zeros(1)
        return np.where(self.values[path] == float(names.index(value)), 1.0, 0.0)


@dataclass
class Plan:
    """What is to be drawn; filled by the readers of records, then drawn at once with common random numbers."""

    wants: dict[str, Estimate] = field(default_factory=dict)
    groups: dict[str, str] = field(default_factory=dict)
    shares: dict[str, tuple[tuple[str, float], ...]] = field(default_factory=dict)
    share_origin: dict[str, str] = field(default_factory=dict)
    shared: dict[str, str] = field(default_factory=dict)  # path drawn for many records at once, and its origin

    def want(self, path: str, estimate: Estimate, group: str = "") -> None:
        """Ask for a quantity; the first asking wins, an unknown one is left out."""
        if path not in self.wants and not estimate.is_unknown:
            self.wants[path] = estimate
            self.groups[path] = group

    def choose(self, path: str, shares: Sequence[tuple[str, float]], origin: str) -> None:
        """Ask for a category with the share of each value."""
        self.shares[path] = tuple(shares)
        self.share_origin[path] = origin


def draw(plan: Plan, seed: int, size_share: float | None = None) -> Draws:
    """All wanted quantities as samples; one sample when nothing is uncertain.

    Args:
        plan: what is wanted.
        seed: of the inquiry; same seed, same samples.
        size_share: place of the machine's power in its class [share], None when not known.

    Returns:
        `Draws`; uncertain quantities have `size` values, known ones one.

    Source: scrambled Sobol points with common random numbers; quantities of one group share a factor (Gaussian copula).

    Example:
        >>> plan = Plan()
        >>> plan.want("mass", Estimate.known(1000.0))
        >>> draw(plan, seed=1).size
        1
    """
    uncertain = [path for path, one in plan.wants.items() if not one.is_known]
    columns = {path: k + 1 for k, path in enumerate([*uncertain, *_open_shares(plan), *plan.shared])}
    if not columns:
        return _settled(plan)
    points = sobol.points(1 + len(columns) + SPARE, seed)
    values, origins = _fixed(plan)
    together = [path for path in uncertain if plan.groups[path] == "size"]
    joined = _joined(points[:, [columns[path] for path in together]].T, _size_factor(points[:, 0], size_share))
    shares = dict(zip(together, joined, strict=True))
    for path in uncertain:
        values[path] = plan.wants[path].draw(shares[path] if path in shares else points[:, columns[path]])
        origins[path] = plan.wants[path].origin
    for path in _open_shares(plan):
        values[path] = _pick(points[:, columns[path]], plan.shares[path])
        origins[path] = plan.share_origin[path]
    origins |= plan.shared
    inputs = tuple(Input(path, origins[path], column) for path, column in columns.items())
    return Draws(values, origins, inputs, points, len(points), _names(plan), columns, _shares(plan))


def typical(machine_class: str | None, path: str) -> tuple[Estimate, str]:
    """The class's typical band of a quantity and its group; unknown where the table has no row.

    Args:
        machine_class: subcompact, compact_small, compact_large, utility or None.
        path: dotted name of the quantity, as in the records.

    Returns:
        (estimate with origin "typical", group name).

    Example:
        >>> typical(None, "wheelbase")[0].is_unknown
        True
    """
    if path in NEVER_TYPICAL or machine_class is None:
        return Estimate.unknown(), ""
    return _class_rows().get((machine_class, path), (Estimate.unknown(), ""))


def class_shares(machine_class: str | None, path: str) -> tuple[tuple[str, float], ...]:
    """How often each value of a category is met in a class; empty where the table has no row.

    Args:
        machine_class: as in `typical`.
        path: dotted name of the category.

    Returns:
        Pairs (value, share), shares summing to one.

    Example:
        >>> class_shares(None, "quick_attach")
        ()
    """
    rows = _share_rows().get((machine_class or "", path), ())
    total = sum(share for _, share in rows)
    return tuple((value, share / total) for value, share in rows)


def class_of_power(power: float) -> str:
    """The class that an engine power falls in.

    Args:
        power: engine power [W].

    Returns:
        Class id.

    Source: class limits 25, 35, 60 hp (common practice, no source).

    Example:
        >>> class_of_power(24 * 745.7)
        'subcompact'
    """
    horses = power / to_si(1.0, "hp")
    for limit, name in ((25.0, "subcompact"), (35.5, "compact_small"), (60.5, "compact_large")):
        if horses < limit:
            return name
    return "utility"


def size_share(machine_class: str | None, power: float) -> float | None:
    """Where in its class a power stands, 0 smallest, 1 largest; None when either is not known.

    Args:
        machine_class: class id or None.
        power: engine power [W] or NaN.

    Returns:
        Share or None.

    Example:
        >>> round(size_share("compact_small", 30 * 745.7), 2)
        0.5
    """
    bounds = {"subcompact": (18.0, 25.0), "compact_small": (25.0, 35.0), "compact_large": (36.0, 60.0)}
    low, high = bounds.get(machine_class or "", (60.0, 120.0))
    if machine_class is None or not np.isfinite(power):
        return None
    return float(np.clip((power / to_si(1.0, "hp") - low) / (high - low), 0.02, 0.98))


def typical_band(row: Mapping[str, str]) -> Estimate:
    """The low–likely–high of a table row as an estimate of origin "typical".

    Args:
        row: a row with low, likely, high and unit.

    Returns:
        Triangular estimate, SI.

    Example:
        >>> typical_band({"low": "1", "likely": "2", "high": "3", "unit": "m"}).value
        2.0
    """
    low, likely, high = (to_si(float(row[name]), row["unit"]) for name in ("low", "likely", "high"))
    return Estimate.triangular(low, likely, high, origin="typical")


def follow(record: Any, path: str) -> Any:
    """The value at a dotted path of a record; None where a step is missing.

    Args:
        record: any record.
        path: dotted attribute names.

    Returns:
        The attribute's value or None.

    Example:
        >>> follow(Estimate.known(2.0), "value")
        2.0
    """
    for name in path.split("."):
        record = getattr(record, name, None)
        if record is None:
            return None
    return record


def _open_shares(plan: Plan) -> list[str]:
    return [path for path, shares in plan.shares.items() if len(shares) > 1]


def _names(plan: Plan) -> dict[str, tuple[str, ...]]:
    return {path: tuple(name for name, _ in shares) for path, shares in plan.shares.items()}


def _shares(plan: Plan) -> dict[str, tuple[float, ...]]:
    return {path: tuple(share for _, share in shares) for path, shares in plan.shares.items()}


def _fixed(plan: Plan) -> tuple[dict[str, Array], dict[str, str]]:
    values = {path: np.array([one.value]) for path, one in plan.wants.items() if one.is_known}
    origins = {path: one.origin for path, one in plan.wants.items() if one.is_known}
    for path, shares in plan.shares.items():
        if len(shares) == 1:
            values[path], origins[path] = np.zeros(1), plan.share_origin[path]
    return values, origins


def _settled(plan: Plan) -> Draws:
    values, origins = _fixed(plan)
    return Draws(values, origins, (), np.zeros((1, 0)), 1, _names(plan))


def _size_factor(u: Array, share: float | None) -> Array:
    z = normal_quantile(u)
    if share is None:
        return z
    return SIZE_WEIGHT * normal_quantile(share) + sqrt(1.0 - SIZE_WEIGHT**2) * z


def _joined(u: Array, factor: Array) -> Array:
    joined = normal_share(SIZE_WEIGHT * factor + sqrt(1.0 - SIZE_WEIGHT**2) * normal_quantile(u))
    return np.clip(joined, 1e-9, 1.0 - 1e-9)


def _pick(u: Array, shares: Sequence[tuple[str, float]]) -> Array:
    edges = np.cumsum([share for _, share in shares])[:-1]
    return np.searchsorted(edges, u, side="right").astype(np.float64)


@cache
def _class_rows() -> dict[tuple[str, str], tuple[Estimate, str]]:
    rows = {}
    for row in table("class_typical.csv"):
        rows[(row["class"], row["quantity"])] = (typical_band(row), row["group"])
    return rows


@cache
def _share_rows() -> dict[tuple[str, str], tuple[tuple[str, float], ...]]:
    rows: dict[tuple[str, str], tuple[tuple[str, float], ...]] = {}
    for row in table("class_shares.csv"):
        key = (row["class"], row["quantity"])
        rows[key] = (*rows.get(key, ()), (row["value"], float(row["share"])))
    return rows
