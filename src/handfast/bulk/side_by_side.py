"""Machines side by side: the likely figure of every quantity of each, as one array over machines."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from handfast.machines.inquiry import Inquiry
from handfast.machines.tractor import Machine
from handfast.outfits.draws import Draws, Plan
from handfast.outfits.facts import plan_machine, plan_site
from handfast.outfits.loads import plan_work
from handfast.quantities.arrays import Array

SHEET = ("loader.pin_ahead.level", "loader.pin_ahead.up")


@dataclass(frozen=True)
class Figures:
    """What is known of one machine, everything at its likely value."""

    values: dict[str, float]
    origins: dict[str, str]
    picks: dict[str, str]

    @property
    def kind(self) -> tuple[bool, bool, bool]:
        """What must be alike so that machines can stand side by side: which chapters read which figures."""
        coupler = self.origins.get("loader.quick_attach_mass") == "typical"
        return all(path in self.values for path in SHEET), "loader.lift_at_pin_1500" in self.values, coupler


def figures_of(machine: Machine) -> Figures:
    """Every figure of a machine that the checks read, at its likely value; typical of its class where it says none.

    Args:
        machine: the tractor.

    Returns:
        `Figures`, SI.

    Example:
        >>> figures_of(Machine(wheelbase="2 m")).values["wheelbase"]
        2.0
    """
    plan = Plan()
    plan_machine(plan, machine)
    likeliest = {path: max(shares, key=lambda one: one[1])[0] for path, shares in plan.shares.items()}
    return Figures(*_likely(plan), likeliest)


def _likely(plan: Plan) -> tuple[dict[str, float], dict[str, str]]:
    values = {path: float(one.value) for path, one in plan.wants.items()}
    return values, {path: one.origin for path, one in plan.wants.items()}


def asked_of(inquiry: Inquiry) -> tuple[dict[str, float], dict[str, str]]:
    """Site, hitch and work of a screen: the same for every machine.

    Args:
        inquiry: one line of work.

    Returns:
        (values, origins) by path.

    Example:
        >>> asked_of(Inquiry(work=({"kind": "pallets", "mass": "500 kg"},)))[0]
        {'work0.mass': 500.0}
    """
    plan = Plan()
    plan_site(plan, inquiry)
    for k, work in enumerate(inquiry.work):
        plan_work(plan, work, f"work{k}.")
    return _likely(plan)


def stacked(machines: Sequence[Figures], asked: tuple[dict[str, float], dict[str, str]]) -> Draws:
    """Machines as the columns of one set of samples.

    Args:
        machines: alike in `Figures.kind` and in the categories that hanging reads.
        asked: of `asked_of`.

    Returns:
        `Draws` with one value a machine; a single value where the screen gives it.

    Example:
        >>> two = [figures_of(Machine(wheelbase=w)) for w in ("2 m", "1.5 m")]
        >>> stacked(two, ({}, {}))["wheelbase"].tolist()
        [2.0, 1.5]
    """
    paths = dict.fromkeys(path for one in machines for path in one.values)
    nan = float("nan")
    values: dict[str, Array] = {path: np.array([one.values.get(path, nan) for one in machines]) for path in paths}
    values |= {path: np.array([value]) for path, value in asked[0].items()}
    picks = {path: (name,) for path, name in machines[0].picks.items()}
    values |= {path: np.zeros(1) for path in picks}
    origins = {**machines[0].origins, **asked[1]}
    size = len(machines)
    return Draws(values, origins, (), np.zeros((size, 0)), size, picks, machines=size)


def some(draws: Draws, start: int, stop: int) -> Draws:
    """Some of the machines that stand side by side.

    Args:
        draws: of `stacked`.
        start: the first.
        stop: the one after the last.

    Returns:
        `Draws` of those.

    Example:
        >>> two = stacked([figures_of(Machine(wheelbase=w)) for w in ("2 m", "1.5 m")], ({}, {}))
        >>> some(two, 1, 2)["wheelbase"].tolist()
        [1.5]
    """
    values = {path: one[start:stop] if one.size == draws.size else one for path, one in draws.values.items()}
    size = stop - start
    return Draws(values, draws.origins, (), np.zeros((size, 0)), size, draws.choices, machines=size)
