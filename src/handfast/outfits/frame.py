"""The machine as arrays: axle masses, arm pivot, ratings, in the samples of the inquiry."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from handfast.machines.inquiry import Inquiry
from handfast.outfits.draws import Draws
from handfast.physics import lift
from handfast.quantities.arrays import Array

LINK_TO_BALLAST = 0.61  # m from the lower link ends to the middle of a piece hung on them
LEVER = 0.5  # m between the two rating points


@dataclass(frozen=True)
class Frame:
    """Machine figures, one row of samples each; SI, tractor frame (rear axle 0, forward +)."""

    draws: Draws
    self_levelling: bool
    ratings_with: str

    def __getitem__(self, path: str) -> Array:
        """The samples of one machine quantity."""
        return self.draws[path]

    @cached_property
    def wheelbase(self) -> Array:
        """[m]."""
        return self["wheelbase"]

    @cached_property
    def mass(self) -> Array:
        """Ready-state mass [kg]."""
        stated = self["mass"]
        both = self["front_axle_mass"] + self["rear_axle_mass"]
        return np.where(np.isfinite(stated), stated, both)

    @cached_property
    def rear_share(self) -> Array:
        """Rear axle's share of the ready-state mass."""
        front, rear = self["front_axle_mass"], self["rear_axle_mass"]
        both = rear / (front + rear)
        one = np.where(np.isfinite(rear), rear / self.mass, 1.0 - front / self.mass)
        known = np.where(np.isfinite(both), both, one)
        return np.where(np.isfinite(known), known, 1.0 - self["front_share"])

    @cached_property
    def rear(self) -> Array:
        """Ready-state rear axle mass [kg]."""
        return self.mass * self.rear_share

    @cached_property
    def front(self) -> Array:
        """Ready-state front axle mass [kg]."""
        return self.mass - self.rear

    @cached_property
    def slope(self) -> Array:
        """λ of the rating pair [1/m]; 0 where self-levelling."""
        if self.self_levelling:
            return np.zeros(1)
        pair = lift.rating_slope(self["loader.lift_at_pin"], self["loader.lift_at_500"])
        return np.where(np.isfinite(pair), pair, self["loader.rating_slope"])

    @cached_property
    def pin_rating(self) -> Array:
        """Rating at the pin, full height [kg]."""
        stated = self["loader.lift_at_pin"]
        return np.where(np.isfinite(stated), stated, self["loader.lift_at_500"] * (1.0 + LEVER * self.slope))

    @cached_property
    def pivot(self) -> lift.Pivot:
        """Arm pivot, boom radius and pin height when down."""
        if self.draws.known("loader.pin_ahead.level") and self.draws.known("loader.pin_ahead.up"):
            return self._pivot_of_sheet()
        return self._pivot_of_class()

    def _pivot_of_sheet(self) -> lift.Pivot:
        down, level, up = (self[f"loader.pin_ahead.{name}"] for name in ("down", "level", "up"))
        return lift.pivot_from_sheet(
            self.slope,
            down,
            level,
            up,
            self.height_max,
            self["loader.pin_height_down"],
            self.wheelbase,
            np.array([self.self_levelling]),
        )

    def _pivot_of_class(self) -> lift.Pivot:
        """A pivot that the drawn lever and height allow, so that no sample contradicts itself."""
        x, z = self["loader.pivot_ahead"] * self.wheelbase, self["loader.pivot_height"] * self.height_max
        lever = 0.62 * self.wheelbase if self.self_levelling else 1.0 / self.slope
        radius = np.sqrt(lever**2 + (self.height_max - z) ** 2)
        down = np.maximum(self["loader.pin_height_down"], z - 0.98 * radius)
        return lift.Pivot(*np.broadcast_arrays(x, z, radius, down))

    @cached_property
    def height_max(self) -> Array:
        """Pin height at full height [m]."""
        return self["loader.pin_height_max"]

    @cached_property
    def arms_mass(self) -> Array:
        """Mass of the arms [kg]; part of the loader's mass where only that is known."""
        return self["loader.arms_mass"]

    def pin_x(self, height: Array) -> Array:
        """Pin ahead of the rear axle at a pin height [m]."""
        return lift.pin_x(self.pivot, height)

    def rating_at(self, height: Array) -> tuple[Array, Array]:
        """(rating at the pin, λ) at a pin height."""
        if self.self_levelling:
            return np.asarray(self.pin_rating + 0.0 * height), np.zeros(1)
        return lift.rating_at_height(
            self.pin_rating,
            self.slope,
            self["loader.lift_at_pin_1500"],
            self["loader.lift_at_500_1500"],
            height,
            self.pivot,
            self.height_max,
        )

    @cached_property
    def hitch_x(self) -> Array:
        """Middle of a piece on the lower links, behind the rear axle [m], positive."""
        return self["hitch_behind_axle"] + LINK_TO_BALLAST


def frame_of(inquiry: Inquiry, draws: Draws) -> Frame:
    """The machine of an inquiry as arrays.

    Args:
        inquiry: resolved inquiry (records merged).
        draws: its samples.

    Returns:
        `Frame`.

    Example:
        >>> from handfast.outfits.example import laid, inquiry
        >>> round(float(frame_of(inquiry(), laid().draws).pivot.x[0]), 4)
        0.8638
    """
    loader = inquiry.machine.loader
    return Frame(draws, bool(loader.self_levelling), loader.ratings_with or "nothing")
