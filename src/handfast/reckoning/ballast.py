"""`reckon ballast`: the cheapest set of pieces that brings a pose within its limits, as a mixed-integer program."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from handfast.machines.fields import UNKNOWN, Contradiction, Money, SomeLength, Whole
from handfast.machines.reading import read_model
from handfast.machines.tractor import Machine
from handfast.physics import balance
from handfast.physics.ballast import totals, useful_mass, with_ballast
from handfast.quantities.arrays import Array
from handfast.reckoning.balance import BalanceFile, Piece, limit_rows, loads
from handfast.reckoning.ready import LENGTH, MASS, left_out, limits

ENDS_ONLY = 0.6  # a rating at the link ends is worth 0.6 to 0.85 of itself 610 mm behind them: the cautious end
SLACK = 1e-9
TIGHTER = 1e-6


class Option(Piece):
    """A piece on offer."""

    price: Money = UNKNOWN
    count_max: Whole = 1
    height: SomeLength = UNKNOWN

    @property
    def most(self) -> int:
        """How many can go on: one at the hitch."""
        return min(self.count_max, 1) if self.at == "hitch" else self.count_max


class BallastFile(BalanceFile):
    """The file of `reckon ballast`."""

    option: tuple[Option, ...] = ()

    def contradictions(self) -> Iterator[Contradiction]:
        """What the chapter can't do without."""
        yield from super().contradictions()
        for place, option in enumerate(self.option):
            needed = {"mass": (option.mass.value, MASS), "behind": (option.arm, LENGTH)}
            needed["price"] = (option.price.value, "a price such as 450")
            for name, (value, expected) in needed.items():
                if np.isnan(value):
                    yield left_out(f"option[{place}].{name}", expected)


class Row(NamedTuple):
    """One linear limit: counts · gain ≥ need, with the capacity that gives its scale."""

    check: str
    gain: Array
    need: float
    scale: float


def hitch_rating(machine: Machine, behind: float) -> float:
    """What the hitch lifts with its load's middle at a place behind the rear axle.

    Args:
        machine: with hitch_lift_610 or hitch_lift.
        behind: behind the rear axle [m].

    Returns:
        Mass [kg], nan where the maker gives none; a rating at the ends alone counts 0.6.

    >>> round(hitch_rating(Machine(hitch_lift_610="1134 kg", hitch_behind_axle="0.9 m"), 2.12), 6)
    567.0
    """
    rating = machine.hitch_lift_610.value
    rating = ENDS_ONLY * machine.hitch_lift.value if np.isnan(rating) else rating
    ends = machine.hitch_behind_axle.value
    return float(balance.hitch_capacity(rating, 0.0 if np.isnan(ends) else behind - ends))


def rows_of(asked: BallastFile) -> list[Row]:
    """Every limit as one linear row over the counts of the options.

    Args:
        asked: a file without faults.

    Returns:
        rows in the order of the checks.

    >>> machine = Machine(mass=900, front_axle_mass=500, wheelbase=1.5, gross_rating=1000)
    >>> [r.check for r in rows_of(BallastFile(machine=machine))]
    ['balance.rear_share_loaded', 'balance.gross']
    """
    now, start = loads(asked)
    mass = np.array([o.mass.value for o in asked.option])
    shift = mass * np.array([o.arm for o in asked.option]) / start.wheelbase
    share, whole = asked.balance.rear_share.value, float(now.front + now.rear)
    rows = [Row("balance.rear_share_loaded", mass + shift - share * mass, share * whole - float(now.rear), whole)]
    relief = {"front": shift, "rear": -mass - shift, "whole": -mass}
    load = {"front": float(now.front), "rear": float(now.rear), "whole": whole}
    rows += [Row(c, relief[of], load[of] - most, most) for c, of, most in limits(asked.machine)]
    return rows + _hitch_rows(asked, mass)


def _hitch_rows(asked: BallastFile, mass: Array) -> list[Row]:
    """One piece at most hangs at the hitch, and none above its rating there."""
    at = np.array([o.at == "hitch" for o in asked.option], dtype=bool)
    taken = [p for p in asked.ballast if p.at == "hitch" and p.mass.value > 0.0]
    rows = [Row("balance.hitch", -at.astype(np.float64), len(taken) - 1.0, 1.0)] if at.any() else []
    for place in np.flatnonzero(at):
        rating = hitch_rating(asked.machine, asked.option[place].arm)
        if not np.isnan(rating):
            gain = np.where(np.arange(len(mass)) == place, -mass, 0.0)
            rows.append(Row("balance.hitch", gain, -rating, rating))
    return rows


def holds(rows: Sequence[Row], counts: NDArray[np.int64]) -> bool:
    """Whether a set keeps within every limit.

    Args:
        rows: limits.
        counts: how many of each option.

    Returns:
        true where every margin is at least −1e-9 of its capacity.

    >>> holds([Row("x", np.array([2.0]), 3.0, 10.0)], np.array([1]))
    False
    """
    return all(float(r.gain @ counts) - r.need >= -SLACK * abs(r.scale) for r in rows)


def solve(rows: Sequence[Row], most: Array, price: Array, mass: Array) -> NDArray[np.int64] | None:
    """Counts of the cheapest set within the rows, of equal ones the lightest; None where there is none.

    Args:
        rows: limits.
        most: greatest count of each option.
        price: of each option.
        mass: of each option [kg].

    Returns:
        counts, or None.

    Raises:
        ArithmeticError: the solver's answer does not keep within the limits, even tightened.

    >>> solve([Row("x", np.array([2.0, 3.0]), 3.0, 10.0)], np.array([2, 1]), np.array([4.0, 9.0]), np.ones(2)).tolist()
    [2, 0]
    """
    if not len(most):
        empty = np.zeros(0, dtype=np.int64)
        return empty if holds(rows, empty) else None
    for tighter in (-SLACK, TIGHTER):
        first = _minimum(price, rows, most, tighter)
        if first is None:
            return None
        cap = Row("price", -price, -float(price @ first), max(float(price @ first), 1.0))
        light = _minimum(mass, [*rows, cap], most, tighter)
        for counts in (light, first):
            if (
                counts is not None
                and holds(rows, counts)
                and float(price @ counts) <= float(price @ first) * (1 + SLACK)
            ):
                return counts
    raise ArithmeticError("the solver's set does not keep within the limits")


def _minimum(cost: Array, rows: Sequence[Row], most: Array, tighter: float) -> NDArray[np.int64] | None:
    """Counts of least cost by scipy's mixed-integer solver, rows scaled by their capacity."""
    from scipy.optimize import Bounds, LinearConstraint, milp

    gain = np.array([r.gain / abs(r.scale) for r in rows])
    need = np.array([r.need / abs(r.scale) + tighter for r in rows])
    got = milp(
        cost,
        integrality=np.ones(len(cost), dtype=np.int64),
        bounds=Bounds(np.zeros(len(cost)), most),
        constraints=LinearConstraint(gain, need, np.inf),
        options={"mip_rel_gap": 0.0},
    )
    return None if got.x is None else np.rint(got.x).astype(np.int64)


def blame(rows: Sequence[Row], most: Array) -> str:
    """The constraint that no set meets; several that no set meets together, joined by "with".

    Args:
        rows: limits that can't all be met.
        most: greatest count of each option.

    Returns:
        ids of checks: a least group, so that leaving out any one of it would leave a set.

    >>> one, two = Row("a", np.array([1.0]), 3.0, 1.0), Row("b", np.array([1.0]), 1.0, 1.0)
    >>> blame([two, one], np.array([2]))
    'a'
    """
    names = list(dict.fromkeys(r.check for r in rows))
    none = np.zeros(len(most))

    def open_(kept: Sequence[str]) -> bool:
        return solve([r for r in rows if r.check in kept], most, none, none) is not None

    for name in names:
        if not open_([name]):
            return name
    for name in names[::-1]:
        rest = [each for each in names if each != name]
        names = rest if not open_(rest) else names
    return " with ".join(names)


def reckon_ballast(text: str, file: str = "ballast.toml") -> dict[str, Any]:
    """The cheapest ballast within the limits of one pose.

    Args:
        text: TOML text as of `reckon balance`, with options.
        file: name of the file, for the faults.

    Returns:
        chosen (an id for each piece taken), cost, front_axle, rear_axle [kg], rear_share; or infeasible, the
        constraint that no set meets.

    Raises:
        Faults: everything that is wrong with the text.

    >>> text = '''[machine]
    ... mass = "900 kg"
    ... front_axle_mass = "500 kg"
    ... wheelbase = "1.5 m"
    ... [front]
    ... mass = "350 kg"
    ... ahead = "1 m"
    ... [[option]]
    ... id = "box"
    ... mass = "200 kg"
    ... behind = "1.2 m"
    ... at = "hitch"
    ... price = 480'''
    >>> got = reckon_ballast(text)
    >>> got["chosen"], got["cost"], round(got["rear_share"], 4)
    (['box'], 480.0, 0.3632)
    """
    asked = read_model(BallastFile, text, file)
    rows = rows_of(asked)
    most = np.array([o.most for o in asked.option], dtype=np.float64)
    mass, price = (np.array([getattr(o, name).value for o in asked.option]) for name in ("mass", "price"))
    counts = solve(rows, most, price, mass)
    if counts is None:
        return {"infeasible": blame(rows, most), "chosen": [], "cost": None}
    return {"infeasible": None, **_answer(asked, counts)}


def _answer(asked: BallastFile, counts: NDArray[np.int64]) -> dict[str, Any]:
    """The set that was found and what it does."""
    before, start = loads(asked)
    mass, arm = np.array([o.mass.value for o in asked.option]), np.array([o.arm for o in asked.option])
    on = with_ballast(before, *totals(counts, mass, arm), start.wheelbase)
    share = asked.balance.rear_share.value
    pieces, cost = [], 0.0
    for option, count in zip(asked.option, counts.tolist(), strict=True):
        useful = float(useful_mass(option.mass.value, option.arm, start.wheelbase, share))
        row = {"id": option.id, "count": count, "useful": useful, "unit": "kg"}
        row["price_per_useful"] = option.price.value / useful if useful > 0.0 else None
        pieces.append(row)
        cost += count * option.price.value
    notes = list(start.left_out)
    if asked.machine.hitch_behind_axle.is_unknown and any(o.at == "hitch" for o in asked.option):
        notes.append("machine.hitch_behind_axle: not known, so the hitch rating counts as printed")
    return {
        "chosen": [o.id for o, n in zip(asked.option, counts.tolist(), strict=True) for _ in range(n)],
        "cost": cost,
        "rear_share": float(balance.share(on.rear, on.front + on.rear)),
        "front_axle": float(on.front),
        "rear_axle": float(on.rear),
        "options": pieces,
        "checks": limit_rows(asked.machine, on),
        "notes": notes,
        "units": {"mass": "kg", "cost": "money"},
    }
