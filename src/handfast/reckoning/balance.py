"""`reckon balance`: axle masses of one pose, tipping load and counterweight, from one file."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, Literal

import numpy as np

from handfast.machines.fields import UNKNOWN, Contradiction, Coordinate, Record, Share, SomeLength, SomeMass
from handfast.machines.reading import read_model
from handfast.machines.tractor import Machine
from handfast.machines.travel import Travel
from handfast.physics import balance
from handfast.quantities.estimate import Estimate
from handfast.reckoning.ready import LENGTH, MASS, Ready, first_known, left_out, limits, missing, number, ready

Place = Literal["hitch", "rear_wheels", "tyres", "rack", "front_rack"]


class Front(Record):
    """All that the arms hold out, as one mass ahead of the front axle."""

    mass: SomeMass = Estimate.known(0.0)
    ahead: Coordinate = UNKNOWN
    height: SomeLength = UNKNOWN


class Piece(Record):
    """A mass behind the rear axle, 0 at it, ahead of it negative."""

    id: str = ""
    mass: SomeMass
    behind: Coordinate = UNKNOWN
    height: SomeLength = UNKNOWN
    at: Place | None = None

    @property
    def arm(self) -> float:
        """Distance behind the rear axle; wheels and tyres stand at it."""
        return 0.0 if self.behind.is_unknown and self.at in ("rear_wheels", "tyres") else self.behind.value


class Asked(Record):
    """What is asked of the balance."""

    rear_share: Share = Estimate.known(0.20)
    hitch_behind: SomeLength = UNKNOWN


class BalanceFile(Record):
    """The file of `reckon balance`."""

    machine: Machine
    front: Front = Front()
    ballast: tuple[Piece, ...] = ()
    balance: Asked = Asked()
    travel: Travel = Travel()

    def contradictions(self) -> Iterator[Contradiction]:
        """What the chapter can't do without."""
        yield from missing(self.machine)
        if self.front.mass.is_unknown:
            yield left_out("front.mass", MASS)
        if self.front.ahead.is_unknown and self.front.mass.value > 0.0:
            yield left_out("front.ahead", LENGTH)
        for place, piece in enumerate(self.ballast):
            if piece.mass.is_unknown:
                yield left_out(f"ballast[{place}].mass", MASS)
            if np.isnan(piece.arm):
                yield left_out(f"ballast[{place}].behind", LENGTH)
        if self.balance.rear_share.value >= 1.0:
            yield Contradiction("balance.rear_share", f"{self.balance.rear_share.value:g}", "a share below 1")


def loads(file: BalanceFile, with_front: bool = True) -> tuple[balance.Axles, Ready]:
    """Axle masses of the pose with the listed ballast.

    Args:
        file: a file without faults.
        with_front: false leaves what the arms hold out.

    Returns:
        axle masses [kg] and the machine by itself.

    >>> machine = Machine(mass=900, front_axle_mass=500, wheelbase=1.5)
    >>> [float(v) for v in loads(BalanceFile(machine=machine, front=Front(mass=150, ahead=1)))[0]]
    [750.0, 300.0]
    """
    start = ready(file.machine)
    masses, xs = [start.front, start.rear], [start.wheelbase, 0.0]
    if with_front and file.front.mass.value > 0.0:
        masses.append(file.front.mass.value)
        xs.append(start.wheelbase + file.front.ahead.value)
    masses += [piece.mass.value for piece in file.ballast]
    xs += [-piece.arm for piece in file.ballast]
    return balance.axles(masses, xs, start.wheelbase), start


def under_way(file: BalanceFile) -> tuple[dict[str, Any], dict[str, Any] | None]:
    """The same pose going over a bump, and braking on level ground.

    Args:
        file: a file without faults.

    Returns:
        Axle masses [kg] with the factor and its origin: what the arms hold out counted `bump` times; `braking` times
        the weight pushing forward at the height of the whole, None where `machine.cg_height` is not known. A mass
        whose own height is not given counts at the machine's.

    >>> machine = Machine(mass=900, front_axle_mass=500, wheelbase=1.5, cg_height=0.6)
    >>> file = BalanceFile(machine=machine, front=Front(mass=150, ahead=1), travel={"bump": 2, "braking": 0.25})
    >>> bump, braking = under_way(file)
    >>> bump["front_axle"], bump["rear_axle"], braking["front_axle"], braking["rear_axle"]
    (1000.0, 200.0, 855.0, 195.0)
    """
    rest, start = loads(file)
    empty, _ = loads(file, with_front=False)
    travel, gain = file.travel, file.travel.bump_factor
    felt = balance.Axles(*(none + gain * (all_ - none) for none, all_ in zip(empty, rest, strict=True)))
    bump = {"bump": gain, "origin": travel.bump_origin, **_axle_row(felt)}
    high = file.machine.cg_height.value
    if np.isnan(high):
        return bump, None
    pieces = [(file.front.mass.value, file.front.height.value)]
    pieces += [(one.mass.value, one.height.value) for one in file.ballast]
    total = float(rest.front + rest.rear)
    lifted = sum(mass * (height - high) for mass, height in pieces if not np.isnan(height))
    slowed = balance.braking(rest, total, high + lifted / total, start.wheelbase, travel.braking_factor)
    return bump, {"braking": travel.braking_factor, "origin": travel.braking_origin, **_axle_row(slowed)}


def _axle_row(on: balance.Axles) -> dict[str, float]:
    whole = on.front + on.rear
    shares = float(balance.share(on.rear, whole))
    return {"front_axle": float(on.front), "rear_axle": float(on.rear), "rear_share": shares}


def limit_rows(machine: Machine, on: balance.Axles) -> list[dict[str, Any]]:
    """Known limits of the machine against axle masses.

    Args:
        machine: with the limits.
        on: axle masses [kg].

    Returns:
        rows of check, demand, capacity and margin [kg].

    >>> limit_rows(Machine(gross_rating=2000), balance.Axles(np.array(900.0), np.array(600.0)))[0]["margin"]
    500.0
    """
    demand = {"front": float(on.front), "rear": float(on.rear), "whole": float(on.front + on.rear)}
    return [
        {"id": check, "demand": demand[of], "capacity": most, "margin": most - demand[of], "unit": "kg"}
        for check, of, most in limits(machine)
    ]


def reckon_balance(text: str, file: str = "balance.toml") -> dict[str, Any]:
    """Balance of one pose.

    Args:
        text: TOML text with machine, front, ballast and balance.
        file: name of the file, for the faults.

    Returns:
        front_axle, rear_axle [kg], rear_share with the listed ballast, tipping_load [kg] at front.ahead (null
        where it can't tip), counterweight [kg] at hitch_behind (null where its place is unknown or none would do);
        travelling and braking: axle masses with the factors of `under_way`.

    Raises:
        Faults: everything that is wrong with the text.

    >>> text = '''[machine]
    ... mass = "900 kg"
    ... front_axle_mass = "500 kg"
    ... wheelbase = "1.5 m"
    ... [front]
    ... mass = "240 kg"
    ... ahead = "1 m"
    ... [balance]
    ... hitch_behind = "1.2 m"'''
    >>> {k: v for k, v in reckon_balance(text).items() if k in ("rear_axle", "tipping_load", "counterweight")}
    {'rear_axle': 240.0, 'tipping_load': 600.0, 'counterweight': 0.0}
    """
    asked = read_model(BalanceFile, text, file)
    now, start = loads(asked)
    empty, _ = loads(asked, with_front=False)
    ahead, mass = asked.front.ahead.value, asked.front.mass.value
    hitch = first_known(asked.balance.hitch_behind)
    if np.isnan(hitch):
        hitch = asked.machine.hitch_behind_axle.value + balance.RATED_BEHIND_ENDS
    load_ahead = 0.0 if mass == 0.0 else ahead
    share = asked.balance.rear_share.value
    bump, slowed = under_way(asked)
    more = balance.counterweight(empty.front, empty.rear, mass, load_ahead, hitch, start.wheelbase, share)
    return {
        "front_axle": float(now.front),
        "rear_axle": float(now.rear),
        "rear_share": float(balance.share(now.rear, now.front + now.rear)),
        "tipping_load": number(balance.tipping_load(empty.rear, ahead, start.wheelbase)),
        "counterweight": number(more),
        "asked_share": share,
        "hitch_behind": number(hitch),
        "checks": limit_rows(asked.machine, now),
        "travelling": bump,
        "braking": slowed,
        "notes": start.left_out,
        "units": {"mass": "kg", "length": "m"},
    }
