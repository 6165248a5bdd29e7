"""What a measurement would read in each sample, if it erred in nothing, and the figures that it tells of."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from handfast.machines.inquiry import Inquiry
from handfast.machines.measurement import BOUNDS, Measurement
from handfast.outfits.facts import OPERATOR, machine_class
from handfast.outfits.fills import wheel_items
from handfast.outfits.frame import LEVER, Frame
from handfast.physics import lift
from handfast.physics.linkage_fit import class_loader
from handfast.quantities.arrays import Array, known_or_zero, summed
from handfast.quantities.normal import normal_share

SEAT = 0.15  # of the wheelbase that the operator sits ahead of the rear axle (common practice, no source)
FLOW_ERROR = 0.05  # standard deviation of a flow from a timed rise, as a share: warm oil, leakage, speed (practice)
CLASS_OIL = 0.15  # the same of the oil in the lift cylinders where only the class is known (practice)
ON_SCALE = ("whole_on_scale", "front_axle_on_scale", "rear_axle_on_scale", "rear_axle_by_difference")
LEAST = 1e-300  # likelihood that stands for none


@dataclass(frozen=True)
class Machine:
    """A machine's samples with the inquiry they were drawn for."""

    inquiry: Inquiry
    frame: Frame

    def figure(self, name: str) -> Array:
        """A figure that measurements tell of [SI], by its name."""
        found = DERIVED.get(name)
        return np.asarray(self.frame.draws[drawn_as(name)] if found is None else found(self.frame))


def _flow(frame: Frame) -> Array:
    """Flow at the valve at rated speed [m³/s]: the implement's where given, else the pump's less the steering's."""
    own, steering = frame["implement_flow"], known_or_zero(frame["steering_flow"])
    return np.where(np.isfinite(own), own, np.maximum(frame["pump_flow"] - steering, 0.0))


DERIVED: dict[str, Callable[[Frame], Array]] = {
    "mass": lambda frame: frame.mass,
    "front_axle_mass": lambda frame: frame.front,
    "rear_axle_mass": lambda frame: frame.rear,
    "flow": _flow,
    "loader.lift_at_pin": lambda frame: frame.pin_rating,
    "loader.lift_at_500": lambda frame: frame.pin_rating / (1.0 + LEVER * frame.slope),
}


def drawn_as(name: str) -> str:
    """The path under which a figure is drawn.

    Args:
        name: as the table of measurements has it.

    Returns:
        Path.

    Example:
        >>> drawn_as("work.diameter"), drawn_as("mass")
        ('work0.diameter', 'mass')
    """
    return name.replace("work.", "work0.", 1) if name.startswith("work.") else name


def beside(one: Measurement, machine: Machine) -> Array:
    """What a reading holds beside the figure it is taken of [SI]: what stood on the scale, less an operator who left.

    Args:
        one: the measurement.
        machine: its samples.

    Returns:
        Shape (1 or samples,); 0 where it is no weighing of the tractor.

    Source: moments about the axles; the ready state holds the operator.

    Example:
        >>> from handfast.outfits.example import bench, inquiry
        >>> weighed = Measurement(what="whole_on_scale", value="1000 kg")
        >>> float(beside(weighed, Machine(inquiry(), bench().frame))[0])
        -75.0
    """
    if one.what not in ON_SCALE:
        return np.zeros(1)
    items = _standing(one, machine)
    whole = summed(mass for mass, _ in items) if items else np.zeros(1)
    if one.what == "whole_on_scale":
        return whole
    front = summed(mass * x for mass, x in items) / machine.frame.wheelbase if items else np.zeros(1)
    return front if one.what == "front_axle_on_scale" else np.asarray(whole - front)


def _standing(one: Measurement, machine: Machine) -> list[tuple[Array, Array]]:
    """Mass, and place ahead of the rear axle, of all that stood on the scale beside the ready tractor."""
    frame, draws = machine.frame, machine.frame.draws
    items: list[tuple[Array, Array]] = []
    if "operator" not in one.on:
        items.append((np.full(1, -OPERATOR), SEAT * frame.wheelbase))
    if not one.carrying.is_unknown and one.carrying.value > 0.0:
        ahead = known_or_zero(draws["loader.plane_ahead"]) + known_or_zero(np.array([one.carrying_ahead.value]))
        items.append((np.array([one.carrying.value]), frame.pin_x(frame.pivot.height_down) + ahead))
    if "behind" in one.on:
        stated = draws["behind.behind"]
        behind = np.where(np.isfinite(stated), stated, known_or_zero(frame.hitch_x))
        items.append((known_or_zero(draws["behind.mass"]), -behind))
    wheels = wheel_items(draws, machine.inquiry.machine.with_, frame.wheelbase)
    each = [(np.asarray(item.mass, float), np.asarray(item.x, float)) for item in wheels]
    return items + [(mass, x) for mass, x in each if mass.any()]


def rise(machine: Machine) -> tuple[Array, float]:
    """Time in which the arms rise at rated speed, by the oil in the lift cylinders, and its error as a share.

    Args:
        machine: its samples.

    Returns:
        Pair: [s], shape (1 or samples,), and standard deviation [share]; NaN where no cylinder is known of.

    Source: count · π/4 · bore² · stroke over the flow; the class's cylinders where the machine's are not known.

    Example:
        >>> from handfast.outfits.example import bench, inquiry
        >>> bool(rise(Machine(inquiry(), bench().frame))[0][0] > 1.0)
        True
    """
    oil, error = _oil(machine.inquiry)
    with np.errstate(divide="ignore"):
        return np.asarray(oil / machine.figure("flow")), float(np.hypot(FLOW_ERROR, error))


def _oil(inquiry: Inquiry) -> tuple[float, float]:
    """Oil that fills the lift cylinders from end to end [m³], and how far it may be out, as a share."""
    linkage, group = inquiry.machine.loader.linkage, machine_class(inquiry.machine)
    if linkage is not None and linkage.lift is not None:
        one = linkage.lift
        stroke = one.extended.value - one.retracted.value
        oil = (2 if one.count is None else one.count) * np.pi / 4.0 * one.bore.value**2 * stroke
        if np.isfinite(oil):
            return float(oil), 0.0
    if group is None:
        return np.nan, 0.0
    typical = class_loader(group, "direct").lift
    number, bore, shortest, longest = np.asarray(
        [typical.number, typical.bore, typical.retracted, typical.extended], float
    )
    return float(number * np.pi / 4.0 * bore**2 * (longest - shortest)), CLASS_OIL


def most_at(one: Measurement, machine: Machine) -> Array:
    """The most that is lifted to full height at the distance at which a known mass hung [kg].

    Args:
        one: the measurement.
        machine: its samples.

    Returns:
        Shape (1 or samples,).

    Source: the two-rating rule, as in `physics.lift`; quick attach and what it carried are counted where the rating
    does not hold them.

    Example:
        >>> from handfast.outfits.example import bench, inquiry
        >>> hung = Measurement(what="known_mass_lifted", value="200 kg", ahead="0 m")
        >>> bool(most_at(hung, Machine(inquiry(), bench().frame))[0] > 200.0)
        True
    """
    frame, draws = machine.frame, machine.frame.draws
    rating, slope = frame.rating_at(frame.height_max)
    if frame.ratings_with == "bucket":
        mass, ahead = (known_or_zero(draws[f"loader.ratings_with_{name}"]) for name in ("mass", "ahead"))
        rating = rating + lift.carried_one(mass, slope, ahead)
    if frame.ratings_with == "nothing":
        mass = known_or_zero(draws["loader.quick_attach_mass"])
        if draws.origin("loader.quick_attach_mass") == "typical" and "quick_attach" in draws.choices:
            mass = mass * (1.0 - draws.picked("quick_attach", "pinned"))  # four pins carry no quick attach
        rating = rating - lift.carried_one(mass, slope, known_or_zero(draws["loader.quick_attach_cg.x"]))
    if not one.carrying.is_unknown:
        ahead = known_or_zero(np.array([one.carrying_ahead.value]))
        rating = rating - lift.carried_one(np.array([one.carrying.value]), slope, ahead)
    return np.asarray(rating / (1.0 + slope * one.ahead.value))


def chance(one: Measurement, machine: Machine) -> Array:
    """How likely it is in each sample that a known mass was lifted, or refused, as it was.

    Args:
        one: a measurement of that kind.
        machine: its samples.

    Returns:
        Shares, shape (1 or samples,).

    Source: normal error of the log of the mass.

    Example:
        >>> from handfast.outfits.example import bench, inquiry
        >>> hung = Measurement(what="known_mass_lifted", value="1 kg", ahead="0 m")
        >>> float(chance(hung, Machine(inquiry(), bench().frame))[0])
        1.0
    """
    if one.what not in ("known_mass_lifted", "known_mass_refused") or one.way.kind not in BOUNDS:
        return np.ones(1)
    share = one.sd / one.value.value
    most = np.maximum(most_at(one, machine), LEAST)
    lifted = (np.log(most) - np.log(one.value.value)) / share
    return normal_share(lifted if one.way.kind == "lifted" else -lifted)
