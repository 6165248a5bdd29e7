"""All outfits of an inquiry laid side by side as arrays: rows are outfits, columns are samples."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from handfast.machines.inquiry import Inquiry
from handfast.machines.work import Work
from handfast.outfits.added import Added
from handfast.outfits.draws import Draws
from handfast.outfits.fills import fill_mass, wheel_items
from handfast.outfits.frame import Frame
from handfast.outfits.join import Join as Join
from handfast.outfits.loads import WorkLoad
from handfast.outfits.masses import combined
from handfast.outfits.outfit import Outfit
from handfast.outfits.ways import Ways
from handfast.physics import lift
from handfast.physics.balance import Axles, Item, axles, braking, posed
from handfast.physics.slope import body_without_axle, least_first_roll
from handfast.quantities.arrays import Array, known_or_zero, some_rows, summed

if TYPE_CHECKING:
    from handfast.outfits.linked import LinkLimits

TRAVEL_HEIGHT = 0.4  # m, pins while travelling loaded
NO_WORK = Work(kind="free")
CLEAR = 0.15  # m above the side that is lifted over
FURTHEST, EMPTY, TRAVEL = "loaded_furthest", "empty_raised", "travelling"


@dataclass(frozen=True)
class Bench:
    """What every check reads."""

    inquiry: Inquiry
    draws: Draws
    frame: Frame
    outfits: Sequence[Outfit]
    tools: Mapping[str, Array]
    load: WorkLoad
    added: tuple[Added, ...] = ()
    joins: Sequence[Join | None] = ()
    linked: tuple[LinkLimits, ...] = ()  # limits of the measured linkage that are known already
    lids: dict[float, Array] = field(default_factory=dict)  # closing times that are known already, by temperature [°C]
    lines: tuple[int, ...] = ()  # the line of work that each outfit is spoken of by; empty where there is one

    def work_of(self, row: int) -> Work:
        """The work that an outfit is spoken of by."""
        return self.inquiry.work[self.lines[row] if self.lines else 0] if self.inquiry.work else NO_WORK

    @cached_property
    def hanging(self) -> NDArray[np.intp]:
        """For each outfit the row of `hung_once` that hangs the same: power routes do not change what it weighs."""
        return self.ways.hangings[1]

    @cached_property
    def ways(self) -> Ways:
        """What depends on the outfits alone."""
        return Ways(self.outfits)

    def on(self, draws: Draws, frame: Frame, load: WorkLoad | None = None) -> Bench:
        """The same outfits on other machines: what depends on the outfits alone is not reckoned again."""
        made = replace(self, draws=draws, frame=frame, load=load or self.load, lids={})
        made.__dict__["ways"] = self.ways
        return made

    @cached_property
    def hung_once(self) -> Bench:
        """The same bench with one row for each way of hanging."""
        first = self.ways.hangings[0]
        if len(first) == len(self.outfits):
            return self
        return replace(self._picked(first), linked=self.linked)

    def some(self, rows: Sequence[int] | NDArray[np.intp]) -> Bench:
        """A bench of some of the outfits, in that order, with the axle loads that are known already."""
        at = np.asarray(rows, dtype=np.intp)
        made = self._picked(at)
        once = self.hanging[at][made.ways.hangings[0]]
        links = self.links if self is not self.hung_once else None
        if links is not None:
            made = replace(made, linked=(links.some(once),))
        seen = self.hung_once._axles_seen.items()
        made.hung_once._axles_seen.update((k, Axles(*(some_rows(one, once) for one in loads))) for k, loads in seen)
        return made

    def _picked(self, at: NDArray[np.intp]) -> Bench:
        tools = {path: column[at] for path, column in self.tools.items()}
        loads = (self.load.mass, self.load.x, self.load.z, self.load.diameter)
        load = WorkLoad(*(values[at] if len(values) > 1 else values for values in loads))
        joins = [self.joins[k] for k in at] if self.joins else ()
        added = tuple(a.at(at) for a in self.added)
        outfits = [self.outfits[k] for k in at]
        lids = {temperature: times[at] for temperature, times in self.lids.items()}
        made = replace(self, outfits=outfits, tools=tools, load=load, added=added, joins=joins, linked=(), lids=lids)
        return replace(made, lines=tuple(self.lines[k] for k in at)) if self.lines else made

    @property
    def shape(self) -> tuple[int, int]:
        """(outfits, samples)."""
        return len(self.outfits), self.draws.size

    def per_outfit(self, values: Sequence[float]) -> Array:
        """One figure an outfit as a column."""
        return self.ways.column(values)

    @property
    def forward(self) -> Array:
        """Forward shift of the mount [m]."""
        return self.ways.forward

    @property
    def vertical(self) -> Array:
        """Vertical shift of the mount [m]."""
        return self.ways.vertical

    @property
    def kit(self) -> Item:
        """The route's own parts, from the pin."""
        return self.ways.kit

    def weighed_with(self, added: tuple[Added, ...]) -> Bench:
        """The same with ballast; what does not depend on it is not reckoned again."""
        made = replace(self, added=added)
        anew = {*self.__dataclass_fields__, "_axles_seen", "hung_once"}
        made.__dict__.update({name: known for name, known in self.__dict__.items() if name not in anew})
        return made

    @cached_property
    def plane_x(self) -> Array:
        """Mounting plane ahead of the pin [m]."""
        return known_or_zero(self.draws["loader.plane_ahead"]) + self.forward

    @cached_property
    def plane_z(self) -> Array:
        """Bottom edge of the mounting plane above the pin [m], negative."""
        return self.vertical - known_or_zero(self.draws["loader.plane_drop"])

    @cached_property
    def coupler(self) -> Item:
        """The bare quick attach, from the pin."""
        x, z = (known_or_zero(self.draws[f"loader.quick_attach_cg.{axis}"]) for axis in "xz")
        mass = known_or_zero(self.draws["loader.quick_attach_mass"])
        if self.draws.origin("loader.quick_attach_mass") == "typical" and "quick_attach" in self.draws.choices:
            mass = mass * (1.0 - self.draws.picked("quick_attach", "pinned"))  # four pins carry no quick attach
        return Item(mass, x, z)

    @cached_property
    def tool(self) -> Item:
        """The attachment, from the pin, tool level."""
        return Item(self.tools["mass"], self.plane_x + self.tools["cg.x"], self.plane_z + self.tools["cg.z"])

    @cached_property
    def seat(self) -> tuple[Array, Array]:
        """Where the load sits, from the pin, tool level [m]."""
        return self.plane_x + self.load.x, self.plane_z + self.load.z

    @cached_property
    def piece(self) -> Item:
        """The load asked for; without a mass in the work the payload at full height, at least 0."""
        x, z = self.seat
        rated = np.maximum(self.payload_at(self.frame.height_max), 0.0)
        return Item(np.where(np.isfinite(self.load.mass), self.load.mass, rated), x, z)

    @cached_property
    def credit(self) -> tuple[Array, Array]:
        """(mass, distance ahead) of a bucket that the rating contains and that is now off."""
        if self.frame.ratings_with != "bucket":
            return np.zeros(1), np.zeros(1)
        mass, ahead = (known_or_zero(self.draws[f"loader.ratings_with_{name}"]) for name in ("mass", "ahead"))
        return mass, ahead

    @cached_property
    def hung(self) -> tuple[Item, ...]:
        """Every mass that the rating does not contain, load apart."""
        inside = self.frame.ratings_with in ("quick_attach", "bucket")
        return (self.kit, self.tool) if inside else (self.coupler, self.kit, self.tool)

    def dead(self, slope: Array) -> Array:
        """Σ m(1 + λd) of what hangs there before any load [kg]."""
        return np.asarray(self._hung[0] + slope * self._hung[1])

    @cached_property
    def _hung(self) -> tuple[Array, Array]:
        """Σ m [kg] and Σ m·d about the pin [kg·m] of what hangs there before any load."""
        return summed(one.mass for one in self.hung), self.moment(self.hung)

    def moment(self, items: Sequence[Item]) -> Array:
        """Σ m·d about the pin [kg·m]."""
        return summed(np.multiply(i.mass, i.x) for i in items)

    def capacity(self, rating: Array, slope: Array) -> Array:
        """Rating at the pin with the bucket's credit [kg]."""
        mass, ahead = self.credit
        return rating + lift.carried_one(mass, slope, ahead)

    @cached_property
    def links(self) -> LinkLimits | None:
        """The measured linkage's own limits with each way of hanging; None without one."""
        loader = self.inquiry.machine.loader
        if loader.linkage is None:
            return None
        if self.linked:
            return self.linked[0]
        from handfast.outfits.linked import link_limits  # only a measured linkage needs its chapter

        once = self.hung_once
        if once is not self:
            return once.links
        hung = (once.coupler, once.kit, once.tool)
        return link_limits(self.inquiry.machine, hung, once.seat, len(once.outfits))

    def _linked(self, height: Array) -> Array | None:
        """Lift-limited load of the linkage, one row an outfit of this bench."""
        if self.links is None:
            return None
        loads = self.links.lift_at(height)
        return loads if len(loads) == len(self.outfits) else loads[self.hanging]

    def payload_at(self, height: Array) -> Array:
        """What is left for the load at a pin height [kg]: the lower of rating and measured linkage; lift only."""
        key = np.asarray(height).tobytes()
        if key not in self._payloads:
            rating, slope = self.frame.rating_at(height)
            left = lift.payload(self.capacity(rating, slope), slope, self.dead(slope), self.seat[0])
            linked = self._linked(height)
            self._payloads[key] = left if linked is None else np.minimum(left, linked)
        return self._payloads[key]

    def payload_over(self, heights: Array) -> Array:
        """The same at several pin heights [kg], shape (heights, rows, samples)."""
        rating, slope = self.frame.rating_at(heights[:, None, None])
        left = lift.payload(self.capacity(rating, slope), slope, self.dead(slope), self.seat[0])
        linked = [self._linked(np.array([height])) for height in heights]
        return left if self.links is None else np.minimum(left, np.array(linked, dtype=np.float64))

    @cached_property
    def further_out(self) -> Array:
        """What the rating leaves at full height with the load's middle at the attachment's own load centre [kg]."""
        rating, slope = self.frame.rating_at(self.frame.height_max)
        centre = self.plane_x + self.tools["load_centre.x"]
        return lift.payload(self.capacity(rating, slope), slope, self.dead(slope), centre)

    @cached_property
    def _payloads(self) -> dict[bytes, Array]:
        return {}

    def demand_at(self, height: Array) -> tuple[Array, Array]:
        """(Σ m(1 + λd) with the load, rating) at a pin height [kg]."""
        rating, slope = self.frame.rating_at(height)
        dead, capacity = self.dead(slope), self.capacity(rating, slope)
        loaded = dead + lift.carried_one(self.piece.mass, slope, self.piece.x)
        linked = self._linked(height)
        if linked is not None:
            capacity = np.minimum(capacity, dead + lift.carried_one(linked, slope, self.piece.x))
        return loaded, capacity

    @cached_property
    def needed_height(self) -> Array:
        """Pin height that lifts the plane's lower edge over the side asked for [m], a row or one for all; else NaN."""
        planes = np.atleast_2d(self.plane_z)[: 1 if self.ways.alike_in_height else None]
        return np.asarray(self.draws["site.lift_to"] + CLEAR - planes)

    @cached_property
    def fixed(self) -> tuple[Item, ...]:
        """What does not move: liquid in the tyres, wheel weights, what hangs behind now."""
        d = self.draws
        behind = Item(known_or_zero(d["behind.mass"]), -self.behind_x, known_or_zero(d["behind.height"]))
        return (*wheel_items(d, self.inquiry.machine.with_, self.frame.wheelbase), behind)

    @cached_property
    def front_axle(self) -> Item:
        """Front axle, its wheels and their liquid: what does not roll with the body."""
        d = self.draws
        mass = d["front_axle_assembly_mass"] + fill_mass(d, "front_tyre_fill")
        return Item(mass, self.frame.wheelbase, d["front_tyre.radius"])

    @cached_property
    def behind_x(self) -> Array:
        """What hangs behind now, behind the rear axle [m], positive."""
        stated = self.draws["behind.behind"]
        return np.where(np.isfinite(stated), stated, known_or_zero(self.frame.hitch_x))

    @cached_property
    def ready(self) -> Item:
        """The machine in its ready state."""
        f = self.frame
        return Item(f.mass, f.front * f.wheelbase / f.mass, self.draws["cg_height"])

    def items(self, pose: str, loaded: bool = True, bump: float = 1.0, height: Array | None = None) -> list[Item]:
        """Every mass in a pose, tractor frame; those alike for all outfits first, so that few sums are wide."""
        f, pivot = self.frame, self.frame.pivot
        at = self.height_of(pose) if height is None else height
        hung = (self._lump[loaded and pose != EMPTY],)
        down = (f.pin_x(pivot.height_down), pivot.height_down)
        place = ((pivot.x, pivot.z), down, (f.pin_x(at), at))
        more = tuple(Item(a.mass, a.x, a.z) for a in self.added)
        every = posed(self.ready, f.arms_mass, self.coupler, *place, hung, (*self.fixed, *more), bump)
        return sorted(every, key=lambda one: max(np.size(one.mass), np.size(one.x)))

    @cached_property
    def _lump(self) -> tuple[Item, Item]:
        """Route parts and attachment as one mass from the pin, without the load and with it."""
        empty = combined((self.kit, self.tool))
        full = combined((Item(empty.mass, empty.x, empty.z), self.piece))
        return Item(empty.mass, empty.x, empty.z), Item(full.mass, full.x, full.z)

    def height_of(self, pose: str) -> Array:
        """Pin height of a pose [m]."""
        if pose == FURTHEST:
            return self.frame.pivot.z
        return self.frame.height_max if pose == EMPTY else np.array([TRAVEL_HEIGHT])

    def axles(self, pose: str, bump: float = 1.0) -> Axles:
        """Axle loads of a pose [kg]."""
        if (pose, bump) not in self._axles_seen:
            items = self.items(pose, bump=bump)
            loads = axles([i.mass for i in items], [i.x for i in items], self.frame.wheelbase)
            self._axles_seen[(pose, bump)] = loads
        return self._axles_seen[(pose, bump)]

    @property
    def bump(self) -> float:
        """What all that the arms carry counts for in axle and tyre loads, travelling."""
        return self.inquiry.travel.bump_factor

    def braked(self) -> Axles:
        """Axle loads while it brakes on level ground, travelling loaded [kg]: shown, held by no check."""
        whole, factor = combined(self.items(TRAVEL)), self.inquiry.travel.braking_factor
        return braking(self.axles(TRAVEL), whole.mass, whole.z, self.frame.wheelbase, factor)

    @cached_property
    def _axles_seen(self) -> dict[tuple[str, float], Axles]:
        return {}

    def first_roll(self, height: Array) -> Array:
        """Least slope over all headings at which it first rolls over, load on, at a pin height [rad]."""
        whole, axle, d = combined(self.items(TRAVEL, height=height)), self.front_axle, self.draws
        body = body_without_axle(whole.mass, whole.x, whole.z, axle.mass, axle.x, axle.z)
        return least_first_roll(body, self.frame.wheelbase, d["rear_track"], d["front_pivot_height"], whole)
