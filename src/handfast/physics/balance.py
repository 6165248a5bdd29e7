"""Balance: axle loads by moments, written balance rules, hitch and holding on a slope."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from handfast.quantities.arrays import Array, ArrayLike

GRAVITY = 9.80665
RATED_BEHIND_ENDS = 0.61


def _f(value: ArrayLike) -> Array:
    """The value as an array of floats."""
    return np.asarray(value, dtype=np.float64)


class Axles(NamedTuple):
    """Mass carried by the front and by the rear axle [kg]."""

    front: Array
    rear: Array


class Item(NamedTuple):
    """A mass [kg] with its place [m]: x forward, z up."""

    mass: ArrayLike
    x: ArrayLike
    z: ArrayLike


class Hold(NamedTuple):
    """Force along a slope that is asked and the grip that is there [N]."""

    demand: Array
    capacity: Array


def axles(masses: Sequence[ArrayLike], xs: Sequence[ArrayLike], wheelbase: ArrayLike) -> Axles:
    """Front and rear axle masses of any masses on a tractor standing level.

    Args:
        masses: each mass [kg]; arrays broadcast against each other.
        xs: place of each mass ahead of the rear axle [m], behind it negative.
        wheelbase: rear axle to front axle [m].

    Returns:
        Axles of arrays of the common shape; a negative rear mass means that the rear axle lifts.

    Raises:
        ValueError: masses and xs differ in number.

    Source: moments about the rear contact line; Beer and Johnston, Statics, loader-tractor problem.

    >>> front, rear = axles([2100.0, 900.0], [20.0, 110.0], 60.0)
    >>> float(front), float(rear)
    (2350.0, 650.0)
    """
    total: Array = np.zeros(())
    moment: Array = np.zeros(())
    for mass, x in zip(masses, xs, strict=True):
        total = total + _f(mass)
        moment = moment + _f(mass) * _f(x)
    front = moment / _f(wheelbase)
    return Axles(front, total - front)


def share(part: ArrayLike, whole: ArrayLike) -> Array:
    """The part as a share of the whole.

    Args:
        part: mass on one axle [kg], any shape.
        whole: mass on both axles [kg], broadcastable.

    Returns:
        part / whole [1].

    Source: definition.

    >>> float(share(500.0, 2000.0))
    0.25
    """
    return _f(part) / _f(whole)


def arms_centre(pivot: tuple[ArrayLike, ArrayLike], pin: tuple[ArrayLike, ArrayLike]) -> tuple[Array, Array]:
    """Centre of gravity of loader arms of which only pivot and pin are known: half way.

    Args:
        pivot: (x, z) of the arm pivot [m].
        pin: (x, z) of the attachment pin [m], any broadcastable shapes.

    Returns:
        (x, z) of the middle [m].

    Source: convention of this handbook; a measured centre of gravity replaces it.

    >>> [float(v) for v in arms_centre((0.8, 1.0), (2.0, 0.4))]
    [1.4, 0.7]
    """
    return 0.5 * (_f(pivot[0]) + _f(pin[0])), 0.5 * (_f(pivot[1]) + _f(pin[1]))


def posed(
    ready: Item,
    arms_mass: ArrayLike,
    coupler: Item,
    pivot: tuple[ArrayLike, ArrayLike],
    pin_down: tuple[ArrayLike, ArrayLike],
    pin: tuple[ArrayLike, ArrayLike],
    carried: Sequence[Item] = (),
    fixed: Sequence[Item] = (),
    bump: ArrayLike = 1.0,
) -> list[Item]:
    """Every mass of a machine whose arms have left the ready state, tool level.

    Args:
        ready: the machine in its ready state, arms down: mass [kg], x ahead of the rear axle, z [m].
        arms_mass: moving mass of the arms [kg].
        coupler: bare quick attach: mass [kg], x and z from the pin [m].
        pivot: (x, z) of the arm pivot [m].
        pin_down: (x, z) of the pin with the arms down [m].
        pin: (x, z) of the pin in this pose [m].
        carried: attachment, route parts and load, each with x and z from the pin [m].
        fixed: what does not move: tyre fill, wheel weights, what hangs behind, each in the tractor frame.
        bump: factor [1] on everything that the arms carry, arms included; the ready state is not bumped.

    Returns:
        List of Item in the tractor frame: the ready state, arms and quick attach taken out where
        they rested and put back where they are, then carried, then fixed.

    Source: moments add; the ready state is defined with the arms down.

    >>> items = posed(Item(1000.0, 0.8, 0.6), 100.0, Item(0.0, 0.0, 0.0), (0.8, 1.0), (2.0, 0.2), (2.2, 1.0))
    >>> [round(float(v), 6) for v in axles([i.mass for i in items], [i.x for i in items], 1.5)]
    [540.0, 460.0]
    """
    arms, gain = _f(arms_mass), _f(bump)
    quick = _f(coupler.mass)
    items: list[Item] = [ready, Item(-arms, *arms_centre(pivot, pin_down)), Item(gain * arms, *arms_centre(pivot, pin))]
    items.append(Item(-quick, _f(pin_down[0]) + _f(coupler.x), _f(pin_down[1]) + _f(coupler.z)))
    moving = [coupler, *carried]
    items += [Item(gain * _f(i.mass), _f(pin[0]) + _f(i.x), _f(pin[1]) + _f(i.z)) for i in moving]
    return items + list(fixed)


def counterweight(
    front_empty: ArrayLike,
    rear_empty: ArrayLike,
    load: ArrayLike,
    load_ahead: ArrayLike,
    ballast_behind: ArrayLike,
    wheelbase: ArrayLike,
    rear_share: ArrayLike = 0.20,
) -> Array:
    """Least mass behind the rear axle that leaves a share of the whole on the rear axle.

    Args:
        front_empty: front axle mass with the empty attachment in that pose [kg].
        rear_empty: rear axle mass likewise [kg].
        load: mass of the load [kg].
        load_ahead: centre of the load ahead of the front axle [m].
        ballast_behind: centre of gravity of the ballast behind the rear axle [m], not the link ends.
        wheelbase: rear axle to front axle [m].
        rear_share: share of the whole asked on the rear axle [1].

    Returns:
        Ballast [kg], 0 where none is needed; infinite where no mass there could reach the share.

    Source: formula printed in loader manuals after EN 12525+A2 (there with share 0.20).

    >>> round(float(counterweight(820.0, 1240.0, 1000.0, 1.60, 0.75, 1.90)), 2)
    179.21
    """
    n, span, k = _f(load), _f(wheelbase), _f(rear_share)
    rear = _f(rear_empty)
    need = n * _f(load_ahead) + span * (k * (_f(front_empty) + rear + n) - rear)
    gain = _f(ballast_behind) + span - k * span
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.where(need <= 0.0, 0.0, np.where(gain > 0.0, need / gain, np.inf))


def tipping_load(rear_empty: ArrayLike, load_ahead: ArrayLike, wheelbase: ArrayLike) -> Array:
    """Load at which the rear axle carries nothing more.

    Args:
        rear_empty: rear axle mass without that load [kg].
        load_ahead: centre of the load ahead of the front axle [m].
        wheelbase: rear axle to front axle [m].

    Returns:
        Mass [kg]; infinite for a load that is not ahead of the front axle, 0 where it tips without any.

    Source: moments about the front contact line.

    >>> float(tipping_load(600.0, 1.2, 1.8))
    900.0
    """
    ahead = _f(load_ahead)
    with np.errstate(divide="ignore", invalid="ignore"):
        load = _f(rear_empty) * _f(wheelbase) / ahead
    return np.where(ahead > 0.0, np.maximum(load, 0.0), np.inf)


def hitch_capacity(lift_610: ArrayLike, behind_ends: ArrayLike) -> Array:
    """What a three-point hitch lifts at a distance behind its lower link ends.

    Args:
        lift_610: rating 610 mm behind the ends [kg].
        behind_ends: centre of gravity of the piece behind the ends [m].

    Returns:
        The rating as printed up to 610 mm, beyond that in inverse proportion to the distance [kg].

    Source: hitch ratings are given at the ends and 610 mm behind them; beyond, constant moment.

    >>> hitch_capacity(1134.0, [0.3, 0.61, 1.22]).tolist()
    [1134.0, 1134.0, 567.0]
    """
    rating = _f(lift_610)
    return rating * RATED_BEHIND_ENDS / np.maximum(_f(behind_ends), RATED_BEHIND_ENDS)


def hold_on_slope(
    mass: ArrayLike,
    x: ArrayLike,
    height: ArrayLike,
    wheelbase: ArrayLike,
    slope: ArrayLike,
    friction: ArrayLike = 0.5,
    all_wheels: ArrayLike = False,
) -> Hold:
    """Whether braked rear wheels hold a machine that stands nose down on a slope.

    Args:
        mass: whole machine with all that it carries [kg].
        x: its centre of gravity ahead of the rear axle [m].
        height: its centre of gravity above ground [m].
        wheelbase: rear axle to front axle [m].
        slope: steepness [rad].
        friction: grip of a tyre on the ground [1]; 0.5 is an editable default without a source.
        all_wheels: true where four-wheel drive is engaged, so that all wheels hold.

    Returns:
        Hold(demand, capacity) [N]: weight along the slope, friction times the load on the wheels that hold.

    Source: moments about the front contact line on the slope.

    >>> demand, capacity = hold_on_slope(1000.0, 0.5, 0.6, 1.5, 0.0)
    >>> float(demand), round(float(capacity), 3)
    (0.0, 3268.883)
    """
    weight = GRAVITY * _f(mass)
    beta, span = _f(slope), _f(wheelbase)
    along, across = weight * np.sin(beta), weight * np.cos(beta)
    rear = np.maximum((across * (span - _f(x)) - along * _f(height)) / span, 0.0)
    grip = _f(friction) * np.where(all_wheels, across, rear)
    return Hold(*np.broadcast_arrays(along, grip))


def braking(loads: Axles, mass: ArrayLike, height: ArrayLike, wheelbase: ArrayLike, deceleration: ArrayLike) -> Axles:
    """Axle masses while the machine brakes on level ground.

    Args:
        loads: axle masses at rest [kg].
        mass: whole machine [kg].
        height: its centre of gravity above ground [m].
        wheelbase: rear axle to front axle [m].
        deceleration: braking as a share of gravity [1], a stated input.

    Returns:
        Axles with mass·deceleration·height/wheelbase moved to the front.

    Source: moments with the force of inertia at the centre of gravity.

    >>> [float(v) for v in braking(Axles(900.0, 600.0), 1500.0, 0.8, 2.0, 0.25)]
    [1050.0, 450.0]
    """
    shift = _f(mass) * _f(deceleration) * _f(height) / _f(wheelbase)
    return Axles(loads.front + shift, loads.rear - shift)


def three_supports(
    mass: ArrayLike, x: ArrayLike, y: ArrayLike, wheelbase: ArrayLike, rear_track: ArrayLike
) -> tuple[Array, Array, Array]:
    """Loads of a machine on a front pivot and two rear wheels, centre of gravity off the middle.

    Args:
        mass: whole machine [kg].
        x: centre of gravity ahead of the rear axle [m].
        y: centre of gravity left of the middle [m].
        wheelbase: rear axle to front pivot [m].
        rear_track: between the rear tyre middles [m].

    Returns:
        (front, rear left, rear right) [kg].

    Source: moments; a swinging front axle or a single front wheel carries no rolling moment.

    >>> [float(v) for v in three_supports(1000.0, 0.5, 0.2, 1.6, 1.0)]
    [312.5, 543.75, 143.75]
    """
    whole = _f(mass)
    front, rear = axles([whole], [x], wheelbase)
    roll = whole * _f(y) / _f(rear_track)
    return front, 0.5 * rear + roll, 0.5 * rear - roll


def off_centre_moment(load: ArrayLike, width: ArrayLike) -> Array:
    """Twisting moment of half the load on one outer tine.

    Args:
        load: mass of the load [kg].
        width: width of the attachment [m].

    Returns:
        load/2 · width/2 about the arms' middle [kg·m].

    Source: moments.

    >>> float(off_centre_moment(400.0, 1.2))
    120.0
    """
    return 0.25 * _f(load) * _f(width)
