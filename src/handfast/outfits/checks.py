"""The one list of checks: id, what it compares, how strict, the sentence, the source."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from handfast.machines.inquiry import Inquiry
from handfast.outfits import check_balance as balance
from handfast.outfits import check_power as power
from handfast.outfits import check_weight as weight
from handfast.outfits.bench import Bench
from handfast.outfits.check_balance import CAUTION, STOP
from handfast.outfits.check_shape import hold, least_gap, off_centre, opening
from handfast.quantities.arrays import Array

Pair = tuple[Array, Array]  # demand, capacity; NaN where not decidable


@dataclass(frozen=True)
class Check:
    """One check: `pair` gives demand and capacity over outfits and samples; it holds when capacity ≥ demand."""

    id: str
    title: str
    unit: str
    kind: str  # "S H", "H", "A"
    pair: Callable[[Bench], Pair]
    rests_on: tuple[str, ...]  # paths whose origin it carries
    basis: str
    sentence: str  # with {has}, {asks}, {spare}
    source: str

    @property
    def safety(self) -> bool:
        """Whether people depend on it."""
        return "S" in self.kind

    @property
    def by_power(self) -> bool:
        """Whether it depends on how the lid is moved, and not on how the attachment hangs."""
        return self.id.startswith(("power.", "join."))

    def basis_in(self, inquiry: Inquiry) -> str:
        """Where and in which pose it is reckoned, with the factors that stand in this inquiry."""
        travel = inquiry.travel
        return self.basis.format(bump=travel.bump_factor, origin=travel.bump_origin)

    @property
    def hard(self) -> bool:
        """Whether an outfit without it does not fit."""
        return "H" in self.kind


_AXLE_FACTS = ("mass", "front_axle_mass", "wheelbase", "loader.arms_mass")
_LIFT_FACTS = ("loader.lift_at_pin", "loader.lift_at_500", "loader.rating_slope", "loader.plane_ahead")
_ROLL_FACTS = (*_AXLE_FACTS, "cg_height", "rear_track", "front_pivot_height", "front_axle_assembly_mass")
_SHEET = "moments about the arm pivot; loader ratings after ANSI/ASAE S301"
_MOMENTS = "moments about the axles"
_PRACTICE = "common practice, no source"
_BUMPED = "greatest of the poses; travelling, what the arms carry counts {bump:g} times (bump, {origin})"

# fmt: off
CHECKS: tuple[Check, ...] = (
    Check("mount.route", "Mounting", "1", "H", weight.mount_route, ("quick_attach",), "at the quick attach",
          "A way to hang it on this loader, rated for what it carries.",
          "interfaces of ISO 24410 and ISO 23206; kits as sold"),
    Check("mount.width", "Width through the gate", "m", "H", weight.width, ("site.gate",), "overall",
          "It is {asks} wide and the gate is {has}.", "arithmetic"),
    Check("mount.clearance", "Clear of grille and tyres", "m", "H", least_gap, ("loader.linkage",),
          "over the curl range", "Curled back it passes the machine by {has}.", "plane geometry"),
    Check("lift.full_height", "Lift to full height", "kg", "A", weight.full_height, _LIFT_FACTS,
          "full height, at the load", "With everything on it asks {asks} of the {has} at the pins.", _SHEET),
    Check("lift.needed_height", "Lift to the height asked", "kg", "S H", weight.needed_height,
          (*_LIFT_FACTS, "site.lift_to"), "at the height asked, at the load",
          "At the height asked it asks {asks} of the {has} at the pins.", _SHEET),
    Check("lift.curl", "Curl", "kg.m", "S H", weight.curl, ("loader.curl_at_500",), "where the curl force was given",
          "Curling it back asks {asks} of {has}.", 'curl force times its distance; ' + _SHEET),
    Check("lift.attachment_rating", "The attachment's own rating", "kg", "S H", weight.attachment_rating,
          ("attachment.rated_load",), "one piece or bite", "The load is {asks}; the attachment is rated {has}.",
          "maker's rating"),
    Check("lift.dump_height", "Height over the side", "m", "H", weight.dump_height,
          ("loader.dump_angle", "site.lift_to"), "full height, dumped",
          "Its lowest point dumped stands at {has}; the side with room asks {asks}.", "plane geometry"),
    Check("grip.opening", "Opening", "m", "H", opening, ("attachment.opening_tip", "work0.diameter"),
          "lesser of tip and throat", "It opens {has}; the piece asks {asks}.",
          '1.2 times the diameter: ' + _PRACTICE),
    Check("grip.hold", "Grip", "N", "H", hold, ("attachment.jaw",), "worst direction in the plane",
          "It holds {has}; one and a half times the weight is {asks}.", "planar force closure with friction"),
    Check("balance.rear_share_loaded", "Rear axle, loaded", "share", "S H", balance.rear_share(STOP), _AXLE_FACTS,
          "loaded furthest forward",
          "Loaded furthest forward the rear axle carries {has}; the written rule asks {asks}.",
          "20 % on the rear axle: counterweight formula printed in loader manuals after EN 12525+A2"),
    Check("balance.rear_share_caution", "Rear axle, the stricter rule", "share", "A", balance.rear_share(CAUTION),
          _AXLE_FACTS, "loaded furthest forward",
          "Loaded furthest forward the rear axle carries {has}; the stricter manuals ask {asks}.",
          "25 % on the rear axle: loader manuals (common practice, no source at hand)"),
    Check("balance.front_share_empty", "Front axle, raised and empty", "share", "S H", balance.front_share,
          _AXLE_FACTS, "raised, empty", "Raised and empty the front axle keeps {has}; the written rule asks {asks}.",
          "20 % on the front axle: loader manuals after EN 12525+A2"),
    Check("balance.front_axle", "Front axle", "kg", "S H", balance.axle(0, 'front_axle_rating'),
          (*_AXLE_FACTS, "front_axle_rating"), _BUMPED,
          "The front axle sees {asks}; it is rated {has}.", _MOMENTS),
    Check("balance.rear_axle", "Rear axle", "kg", "S H", balance.axle(1, 'rear_axle_rating'),
          (*_AXLE_FACTS, "rear_axle_rating"), _BUMPED,
          "The rear axle sees {asks}; it is rated {has}.", _MOMENTS),
    Check("balance.front_tyres", "Front tyres", "kg", "S H", balance.tyres(0, 'front_tyre'),
          (*_AXLE_FACTS, "front_tyre.load_each"), _BUMPED,
          "The front tyres see {asks}; they carry {has}.", _MOMENTS),
    Check("balance.rear_tyres", "Rear tyres", "kg", "S H", balance.tyres(1, 'rear_tyre'),
          (*_AXLE_FACTS, "rear_tyre.load_each"), _BUMPED,
          "The rear tyres see {asks}; they carry {has}.", _MOMENTS),
    Check("balance.hitch", "Three-point hitch", "kg", "S H", balance.hitch, ("hitch_lift_610", "behind.mass"),
          "610 mm behind the link ends", "On the hitch hang {asks}; it lifts {has} there.",
          "hitch rating 610 mm behind the ends; moments beyond it"),
    Check("balance.gross", "Gross mass", "kg", "S H", balance.gross, ("mass", "gross_rating"), "greatest of the poses",
          "All up it is {asks}; the machine is rated {has}.", "sum of masses"),
    Check("balance.off_centre", "Half the load on one outer tine", "N.m", "A", off_centre, ("attachment.width",),
          "about the arm", "Half the load on one outer tine twists the arms by {asks}.",
          "moment of half the load at half the width"),
    Check("balance.slope_hold", "Holding nose down", "N", "S H", balance.slope_hold,
          (*_AXLE_FACTS, "cg_height", "site.slope"), "travelling loaded, nose down",
          "Nose down the slope pulls {asks}; the braked wheels hold {has}.",
          'moments on the slope; friction 0.5: ' + _PRACTICE),
    Check("slope.side", "Across the slope", "rad", "S H", balance.slope_side, (*_ROLL_FACTS, "site.slope"),
          "worst heading, load on", "The slope is {asks}; half of where it first rolls over is {has}.",
          'rigid body on a swinging front axle; half of it: ' + _PRACTICE),
    Check("power.supply", "Oil or current for the lid", "1", "H", power.supply,
          ("front_functions", "rear_remotes", "centre"), "at the valve",
          "A spare function of the right kind moves the lid.", 'circuit rules: ' + _PRACTICE),
    Check("power.rules", "Circuit rules", "1", "S H", power.rules, ("power_beyond", "centre"), "at the valve",
          "The circuit breaks no rule of its kind.", 'circuit rules: ' + _PRACTICE),
    Check("power.hold", "Lid stays shut", "1", "A", power.hold, ("attachment.lid_hold",), "valve in neutral",
          "The lid stays shut without the button.", 'pilot check, self-locking screw or curl: ' + _PRACTICE),
    Check("power.time", "Lid closing, warm", "s", "A", power.closes(40.0), ("pump_flow", "attachment.hydraulics"),
          "40 °C", "It closes in {asks}; {has} is brisk enough.", 'circuit reckoning; 6 s: ' + _PRACTICE),
    Check("power.cold", "Lid closing, cold", "s", "A", power.closes(-10.0), ("pump_flow", "attachment.hydraulics"),
          "-10 °C", "Cold it closes in {asks}; {has} is bearable.", 'circuit reckoning; 20 s: ' + _PRACTICE),
    Check("power.pressure", "Pressure rating of the parts", "Pa", "S H", power.pressure, ("relief_pressure",),
          "at relief", "Relief, blocked rod port counted, asks {asks}; the weakest part stands {has}.",
          "pressure times area"),
    Check("power.velocity", "Oil speed", "m/s", "A", power.velocity, ("pump_flow",), "40 °C",
          "Oil runs at {asks} in the narrowest line; {has} is the custom.", '6 m/s pressure lines: ' + _PRACTICE),
    Check("power.current", "Fuse and cable", "A", "H", power.current, ("attachment.electrics",), "at full load",
          "One and a quarter times the current is {asks}; cable and fuse stand {has}.",
          'fuse at 1.25 of the current: ' + _PRACTICE),
    Check("power.voltage", "Voltage at the motor", "share", "H", power.voltage, ("attachment.electrics",),
          "at full load", "The cable drops {asks} of the supply; {has} is allowed.",
          "Ohm's law; a tenth: " + _PRACTICE),
    Check("join.chain", "Every hose joins", "1", "H", power.chain, ("ports", "attachment.hydraulics"),
          "tractor port to attachment port", "Every line has a chain of fittings.",
          "mating rules of the standards named at the parts"),
    Check("join.hose_reach", "Hoses reach", "m", "H", power.hose_reach, ("loader.linkage", "attachment.hydraulics"),
          "over lift and curl", "The path asks {asks}; the hose bought is {has}.",
          "longest path, 4 % shortening, bends and ends"),
    Check("cost.budget", "Budget", "money", "A", weight.budget, ("wishes.budget",), "fitted and delivered",
          "Fitted and delivered it is likely {asks}; the budget is {has}.", "sum of the lines"),
)
# fmt: on


def check(check_id: str) -> Check:
    """The check of that id.

    Args:
        check_id: id as in the results.

    Returns:
        `Check`.

    Raises:
        KeyError: no such check.

    Example:
        >>> check("slope.side").safety
        True
    """
    return {one.id: one for one in CHECKS}[check_id]
