"""From half-known facts to arrays: every quantity of an inquiry as its samples, one value when it is known."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from math import sqrt
from typing import Any

import numpy as np

from handfast.outfits.class_tables import class_of_power as class_of_power
from handfast.outfits.class_tables import class_shares as class_shares
from handfast.outfits.class_tables import size_share as size_share
from handfast.outfits.class_tables import typical as typical
from handfast.outfits.class_tables import typical_band as typical_band
from handfast.quantities import sobol
from handfast.quantities.arrays import Array
from handfast.quantities.estimate import Estimate
from handfast.quantities.normal import normal_quantile, normal_share

SPARE = 8  # dimensions that no input uses: what the estimate of worth shows there is noise
SIZE_WEIGHT = 0.8  # share of the size factor that engine power explains (common practice, no source)


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
    machines: int = 1  # so many machines side by side, each with its own samples

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
    late: list[str] = field(default_factory=list)  # wanted after all others: these draw as before

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
    columns = columns_of(plan)
    if not columns:
        return _settled(plan)
    points = sobol.points(1 + len(columns) + SPARE, seed)
    together = sized(plan)
    joined = _joined(points[:, [columns[path] for path in together]].T, _size_factor(points[:, 0], size_share))
    return sampled(plan, columns, points, dict(zip(together, joined, strict=True)))


def columns_of(plan: Plan) -> dict[str, int]:
    """The column of the points that each uncertain quantity is drawn from; the first is the size factor's.

    Args:
        plan: what is wanted.

    Returns:
        Column by path; empty where nothing is uncertain.

    Example:
        >>> plan = Plan()
        >>> plan.want("mass", Estimate.between(900.0, 1000.0))
        >>> columns_of(plan)
        {'mass': 1}
    """
    uncertain = [path for path, one in plan.wants.items() if not one.is_known and path not in plan.late]
    return {path: k + 1 for k, path in enumerate([*uncertain, *_open_shares(plan), *plan.shared, *plan.late])}


def sized(plan: Plan) -> list[str]:
    """The uncertain quantities that go together with the machine's size.

    Args:
        plan: what is wanted.

    Returns:
        Paths.

    Example:
        >>> sized(Plan())
        []
    """
    return [path for path, one in plan.wants.items() if not one.is_known and plan.groups[path] == "size"]


def sampled(plan: Plan, columns: Mapping[str, int], points: Array, shares: Mapping[str, Array]) -> Draws:
    """Every quantity at the points.

    Args:
        plan: what is wanted.
        columns: of `columns_of`.
        points: shape (samples, columns).
        shares: of quantities that are not drawn by their own column alone, the share that each sample is drawn at.

    Returns:
        `Draws`.

    Example:
        >>> plan = Plan()
        >>> plan.want("mass", Estimate.between(900.0, 1000.0))
        >>> float(sampled(plan, columns_of(plan), np.full((1, 2), 0.5), {})["mass"][0])
        950.0
    """
    values, origins = _fixed(plan)
    for path, one in plan.wants.items():
        if not one.is_known:
            values[path] = one.draw(shares[path] if path in shares else points[:, columns[path]])
            origins[path] = one.origin
    for path in _open_shares(plan):
        values[path] = _pick(points[:, columns[path]], plan.shares[path])
        origins[path] = plan.share_origin[path]
    origins |= plan.shared
    inputs = tuple(Input(path, origins[path], column) for path, column in columns.items())
    return Draws(values, origins, inputs, points, len(points), _names(plan), columns, _shares(plan))


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
    mean, spread = size_factor(share)
    return mean + spread * z


def size_factor(share: float | None) -> tuple[float, float]:
    """Mean and standard deviation of the size factor, as the engine's power tells of it.

    Args:
        share: place of the power in its class, None when not known.

    Returns:
        Pair, normal deviates.

    Example:
        >>> size_factor(None)
        (0.0, 1.0)
    """
    if share is None:
        return 0.0, 1.0
    return SIZE_WEIGHT * float(normal_quantile(share)), sqrt(1.0 - SIZE_WEIGHT**2)


def _joined(u: Array, factor: Array) -> Array:
    joined = normal_share(SIZE_WEIGHT * factor + sqrt(1.0 - SIZE_WEIGHT**2) * normal_quantile(u))
    return np.clip(joined, 1e-9, 1.0 - 1e-9)


def _pick(u: Array, shares: Sequence[tuple[str, float]]) -> Array:
    edges = np.cumsum([share for _, share in shares])[:-1]
    return np.searchsorted(edges, u, side="right").astype(np.float64)
