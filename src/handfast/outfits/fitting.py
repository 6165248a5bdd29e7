"""All that a workshop needs to fit one outfit's power: lines, numbers, parts, lengths, circuit; reckoned when asked."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from handfast.machines.inquiry import Inquiry
from handfast.machines.shelf import Shelf
from handfast.outfits.circuit_of import OutfitCircuit, circuit_of
from handfast.outfits.facts import machine_class
from handfast.outfits.find import outfit_of
from handfast.outfits.hose_plan import OutfitHoses, hose_plan_of
from handfast.outfits.joining import joins
from handfast.outfits.lay import as_measured
from handfast.outfits.line_ends import outlet_of, relief, tool_end
from handfast.outfits.line_runs import LineRun, line_runs
from handfast.outfits.numbering import HoseNumber, hose_numbers
from handfast.outfits.outfit import Outfit
from handfast.outfits.parts_list import PartLine, parts_list
from handfast.outfits.powering import HYDRAULIC, RouteChoice, route_table
from handfast.outfits.tool_reach import ToolReach


@dataclass(frozen=True)
class Fitting:
    """One outfit with its inquiry (resolved) and shelf; `as_built` holds lengths measured on the machine by number."""

    outfit: Outfit
    inquiry: Inquiry
    shelf: Shelf
    system: str = "us"
    as_built: Mapping[str, float] | None = None

    @cached_property
    def runs(self) -> tuple[LineRun, ...]:
        """Both lines, piece by piece."""
        return line_runs(self.outfit, self.inquiry, self.shelf)

    @cached_property
    def numbers(self) -> tuple[HoseNumber, ...]:
        """Every hose with its one number."""
        return hose_numbers(self.outfit, self.runs)

    @cached_property
    def parts(self) -> tuple[PartLine, ...]:
        """The complete list of parts."""
        return parts_list(self.outfit, self.inquiry, self.shelf)

    @cached_property
    def hoses(self) -> OutfitHoses:
        """The length of each hose of both lines."""
        return hose_plan_of(self.outfit, self.inquiry, self.shelf, self.as_built, self.system)

    @cached_property
    def circuit(self) -> OutfitCircuit | None:
        """The circuit with the pieces chosen; None where no oil moves the lid or its cylinder is not known."""
        return circuit_of(self.outfit, self.inquiry, self.shelf)

    @cached_property
    def routes(self) -> tuple[RouteChoice, ...]:
        """Every route there is for this attachment on this tractor, with the reason where it is out."""
        machine = self.inquiry.machine
        return route_table(machine, self.outfit.attachment, self.shelf.parts.values(), machine_class(machine))

    @cached_property
    def unjoined(self) -> tuple[str, str]:
        """Why both lines can't be drawn up, as a key of order_questions.csv and in words; empty where they can."""
        if self.runs or self.outfit.power.route not in HYDRAULIC:
            return "", ""
        machine = self.inquiry.machine
        if tool_end(self.outfit.attachment, ToolReach(machine)) is None:
            return "ports_tool", "the thread of the attachment's ports is not known"
        if outlet_of(self.outfit.power, machine, relief(machine)) is None:
            return "ports_outlet", "the thread of the tractor's outlet is not known"
        join = joins([self.outfit], self.inquiry, self.shelf)[0]
        if join is None:
            return "ports_tool", "the loose end of the attachment's own hoses is not known"
        return "no_chain", join.why


def fitting_of(
    outfit_id: str, inquiry: Inquiry, shelf: Shelf, system: str = "us", as_built: Mapping[str, float] | None = None
) -> Fitting:
    """The fitting of an outfit by its id.

    Args:
        outfit_id: as the advice names it.
        inquiry: what the caller said, resolved or not.
        shelf: what can be sold.
        system: units of what is written.
        as_built: lengths measured on the machine by number [m].

    Returns:
        `Fitting`.

    Raises:
        KeyError: No such outfit answers the inquiry.

    Example:
        >>> from handfast.outfits.example_piped import PIPED, asked, shelf
        >>> fitting_of(PIPED, asked("Takes the bucket off with a hammer"), shelf()).outfit.power.route
        'rear_remote_forward'
    """
    whole = as_measured(inquiry.resolve(shelf))
    return Fitting(outfit_of(outfit_id, whole, shelf), whole, shelf, system, as_built)
