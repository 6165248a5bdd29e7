"""What a pair costs, fitted and delivered: the bill of `advise`, once for each different one."""

from __future__ import annotations

from handfast.bulk.catalogue import Catalogue
from handfast.costing.total import Bills
from handfast.outfits.join import Join
from handfast.outfits.mounting import MountRoute
from handfast.outfits.outfit import Outfit
from handfast.outfits.parts_list import route_lines
from handfast.outfits.powering import PowerRoute


class Costs:
    """Bills of a catalogue, likely totals before ballast."""

    def __init__(self, catalogue: Catalogue) -> None:
        self.catalogue = catalogue
        self._bills = Bills(catalogue.inquiry, catalogue.shelf)
        self._alive: list[object] = []  # a bill knows its sections by who they are, so nothing of them may go
        self._known: dict[tuple[object, ...], float] = {}

    def of(self, attachment: int, mount: MountRoute, power: PowerRoute, join: Join | None) -> float:
        """The likely total of an attachment hung and moved so; NaN where its price is not known."""
        tool = self.catalogue.attachments[attachment]
        sold = (join.price, join.parts) if join is not None else None
        key = attachment, mount.interface, mount.id, power.route, tuple(part.id for part in power.parts), sold
        if key not in self._known:
            outfit = Outfit(tool, mount, power)
            self._alive.append((outfit, join, route_lines(outfit, self.catalogue.shelf)))
            bill = self._bills.of(outfit, None, join)
            self._known[key] = float("nan") if tool.price.is_unknown else bill.quantile(0.5)
        return self._known[key]
