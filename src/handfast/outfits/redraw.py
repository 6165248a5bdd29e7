"""Samples after measurements: moved where a quantity was read itself, picked by weight where only a figure of it was.

Samples stay equally weighted and keep their places in the shifts: what an outfit is compared with, is compared in the
same samples, and every error bar over the shifts stays what it was.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

import numpy as np

from handfast.machines.inquiry import Inquiry
from handfast.machines.measurement import spread_of
from handfast.outfits.draws import SIZE_WEIGHT, SPARE, Draws, Plan, columns_of, sampled, size_factor, sized
from handfast.outfits.frame import frame_of
from handfast.outfits.read_off import Machine
from handfast.quantities import sobol
from handfast.quantities.arrays import Array
from handfast.quantities.normal import normal_share
from handfast.quantities.posterior import (
    EDGE,
    Posterior,
    Reading,
    deviates_by_rank,
    effective_size,
    factor_given,
    joint_log,
    quantile_deviate,
    shares_at,
    systematic,
    weights_from,
)

POOL = 1024  # points of a shift that are drawn where samples are picked by weight
POOLS = (1, 1, 4)  # shifts that stand behind each shift of the answer: again, then more, where too few would count
AIDED = 0.5  # of its spread before: a quantity that is told better than this is drawn near where it is
WIDER = 3.0  # times its spread there: what is drawn near is drawn wider than it is, and weighed for that
ENOUGH = 512.0  # samples that count, at which no more are drawn
FLAT = 1e-9  # likelihoods that differ by less do not differ

Likelihood = Callable[[Machine], Array]


@dataclass(frozen=True)
class Told:
    """What measurements say: readings of quantities themselves, and likelihoods of everything else."""

    readings: Mapping[str, tuple[Reading, ...]]
    likely: tuple[Likelihood, ...] = ()

    @property
    def says(self) -> bool:
        """Whether anything was measured."""
        return bool(self.readings or self.likely)


@dataclass(frozen=True)
class Redrawn:
    """Samples after measurements, and how many independent ones they are worth."""

    draws: Draws
    effective: float


def redraw(plan: Plan, seed: int, share: float | None, inquiry: Inquiry, told: Told) -> Redrawn:
    """The samples that agree with what was measured.

    Args:
        plan: what is wanted, as it was known before.
        seed: of the samples.
        share: place of the machine's power in its class, None when not known.
        inquiry: resolved inquiry.
        told: what measurements say.

    Returns:
        `Redrawn`: as many equally weighted samples as `draw` gives.

    Source: a quantity that was read itself is drawn from its own distribution after the reading, and the shared size
    factor given it (conjugate); the rest by importance weights and systematic resampling within each shift.

    Example:
        >>> from handfast.outfits.example import inquiry
        >>> from handfast.quantities.estimate import Estimate
        >>> plan = Plan()
        >>> plan.want("mass", Estimate.between(900.0, 1100.0))
        >>> found = redraw(plan, 1, None, inquiry(), Told({"mass": ((1000.0, 5.0),)}))
        >>> round(float(found.draws["mass"].std()), 1), found.effective
        (5.0, 1024.0)
    """
    columns = columns_of(plan)
    count = sobol.SHIFTS * sobol.PER_SHIFT
    points = sobol.points(1 + len(columns) + SPARE, seed)
    draws, log = _agreeing(plan, columns, points, share, told)
    log = log + _likely(draws, inquiry, told)
    if float(np.ptp(log)) < FLAT:
        return Redrawn(draws, float(count))
    aids: dict[str, Reading] = {}
    for behind in POOLS:
        points = sobol.points(1 + len(columns) + SPARE, seed, sobol.SHIFTS * behind, POOL)
        draws, log = _agreeing(plan, columns, points, share, told, aids)
        blocks = (log + _likely(draws, inquiry, told)).reshape(sobol.SHIFTS, -1)
        weights = np.array([weights_from(block) for block in blocks])
        effective = effective_size(weights.ravel() / sobol.SHIFTS)
        if effective >= ENOUGH:
            break
        aids = _aids(plan, draws, weights.ravel() / sobol.SHIFTS)
    at = [
        k * blocks.shape[1] + systematic(one, sobol.PER_SHIFT, (k + 0.5) / len(blocks)) for k, one in enumerate(weights)
    ]
    return Redrawn(_picked(plan, draws, np.concatenate(at)), min(effective, float(count)))


def _aids(plan: Plan, draws: Draws, weights: Array) -> dict[str, Reading]:
    """Where the weighed samples of each quantity lie that is told much better now: the next are drawn near there."""
    found: dict[str, Reading] = {}
    for path, one in plan.wants.items():
        if not one.is_known:
            values = draws[path]
            mean = float(weights @ values)
            spread = float(np.sqrt(weights @ (values - mean) ** 2))
            if 0.0 < spread < AIDED * spread_of(one):
                found[path] = (mean, WIDER * spread)
    return found


def _agreeing(
    plan: Plan,
    columns: Mapping[str, int],
    points: Array,
    share: float | None,
    told: Told,
    aids: Mapping[str, Reading] | None = None,
) -> tuple[Draws, Array]:
    """Samples that agree with every reading of a quantity itself, and the log of what that leaves to weigh.

    What is drawn near an aid is weighed less there by as much, so that it aids and tells nothing.
    """
    mean, spread = size_factor(share)
    together = sized(plan)
    near = {path: (one,) for path, one in (aids or {}).items()}
    readings = {path: (*told.readings.get(path, ()), *near.get(path, ())) for path in {**told.readings, **near}}
    read = [path for path in together if path in readings]
    own = 1.0 - SIZE_WEIGHT**2
    deviates = {
        path: Posterior(
            plan.wants[path],
            readings[path],
            SIZE_WEIGHT * mean if path in read else 0.0,
            float(np.sqrt((SIZE_WEIGHT * spread) ** 2 + own)) if path in read else 1.0,
        ).deviates(points[:, columns[path]])
        for path in readings
    }
    log = np.zeros(len(points))
    if read:
        log = log + joint_log([deviates[path] for path in read], SIZE_WEIGHT, mean, spread)
        centre, spread = factor_given([deviates[path] for path in read], SIZE_WEIGHT, mean, spread)
    else:
        centre = np.full(1, mean)
    factor = centre + spread * quantile_deviate(points[:, 0])
    shares = {path: shares_at(z) for path, z in deviates.items()}
    for path in together:
        if path not in read:
            z = SIZE_WEIGHT * factor + np.sqrt(own) * quantile_deviate(points[:, columns[path]])
            shares[path] = np.clip(normal_share(z), EDGE, 1.0 - EDGE)
    draws = sampled(plan, columns, points, shares)
    for path, (at, wide) in (aids or {}).items():
        log = log - log_normal(draws[path], at, wide)
    return replace(draws, origins={**draws.origins, **dict.fromkeys(told.readings, "measured")}), log


def _likely(draws: Draws, inquiry: Inquiry, told: Told) -> Array:
    machine = Machine(inquiry, frame_of(inquiry, draws))
    log = np.zeros(draws.size)
    for one in told.likely:
        log = log + one(machine)
    return log


def _picked(plan: Plan, draws: Draws, at: Array) -> Draws:
    """Some of the samples; what they were drawn from is spread evenly again, in their order."""
    rows = np.asarray(at, dtype=np.intp)
    values = {path: one[rows] if len(one) > 1 else one for path, one in draws.values.items()}
    uniforms = draws.uniforms[rows]
    for path in plan.wants:
        if path in draws.columns:
            column = draws.columns[path]
            uniforms[:, column] = deviates_by_rank(uniforms[:, column])
    inputs = tuple(replace(one, origin=draws.origins[one.path]) for one in draws.inputs)
    return replace(draws, values=values, uniforms=uniforms, inputs=inputs, size=len(rows))


def log_normal(predicted: Array, read: float, sd: float) -> Array:
    """Log of how likely a reading is, up to a constant.

    Args:
        predicted: what would be read without error [SI].
        read: what was read [SI].
        sd: standard deviation of the reading [SI].

    Returns:
        Shape of `predicted`.

    Source: the normal distribution.

    Example:
        >>> float(log_normal(np.array([11.0]), 10.0, 1.0)[0])
        -0.5
    """
    return np.asarray(-0.5 * ((predicted - read) / sd) ** 2)
