"""Part H of the outfit sheet: how the lid moves and every hose, fitting and coupler it takes."""

from __future__ import annotations

from functools import cache
from math import isfinite, isnan
from typing import Any

from markupsafe import Markup

from handfast.advice.order import order_for
from handfast.advice.result import Advice, OutfitAdvice
from handfast.documents.buying import purchases
from handfast.drawings.circuit import circuit_drawing
from handfast.drawings.from_outfit import circuit_view_of, hose_plan_view_of
from handfast.drawings.from_wiring import wiring_figures, wiring_view_of
from handfast.drawings.hose_plan import hose_plan_drawing
from handfast.drawings.svg import in_two_widths
from handfast.drawings.wiring import wiring_drawing
from handfast.machines.inquiry import Inquiry
from handfast.machines.shelf import Shelf
from handfast.outfits.bite import bite_of
from handfast.outfits.circuit_of import OutfitCircuit
from handfast.outfits.fitting import Fitting, fitting_of
from handfast.outfits.ordering import Order, OrderLine, quantity_words
from handfast.outfits.powering import RouteChoice, route_words
from handfast.outfits.wiring import wiring_of
from handfast.quantities.money import show_money
from handfast.quantities.showing import show
from handfast.quantities.tables import table

WIDE, SMALL = 660.0, 358.0
WARM, COLD = 40.0, -10.0
FROM = {
    "shelf": "our shelf", "small": "small parts", "send": "to send for", "find": "to be found",
    "kit": "in the kit's box", "attachment": "in the attachment's box",
}  # fmt: skip


def power_part(
    advice: Advice, outfit: OutfitAdvice, inquiry: Inquiry, shelf: Shelf, system: str
) -> dict[str, Any] | None:
    """What part H shows; nothing where no lid is moved.

    >>> power_part.__name__
    'power_part'
    """
    if outfit.power.route == "none":
        return None
    fitting = fitting_of(outfit.id, inquiry, shelf, system)
    words = fitting.outfit.power.words
    return {
        **_drawn(fitting, system),
        "figures": _figures(fitting, outfit, system),
        "control": words.control,
        "convenience": words.convenience,
        "scale": _scale(),
        "routes": [_route(one, outfit, advice) for one in fitting.routes if one.route != "none"],
        "mind": _mind(fitting, system),
        "suppliers": [one.supplier for one in purchases(outfit, fitting) if one.supplier],
        **_order(order_for(outfit, fitting), advice.currency, system),
    }


def _drawn(fitting: Fitting, system: str) -> dict[str, Any]:
    """Circuit and hose plan in two widths, or why they are not drawn."""
    circuit, hoses = fitting.circuit, fitting.hoses
    why = fitting.unjoined[1].rstrip(".")
    found: dict[str, Any] = {"circuit": "", "hoses": "", "why": f"{why[:1].upper()}{why[1:]}." if why else ""}
    if circuit is not None:
        view = circuit_view_of(circuit, fitting.outfit, fitting.inquiry, system)
        found["circuit"] = Markup(in_two_widths(lambda w: circuit_drawing(view, "screen", w), WIDE, SMALL))
    wiring = wiring_of(fitting.outfit, fitting.inquiry, fitting.shelf)
    if wiring is not None:
        wired = wiring_view_of(wiring, system)
        found["circuit"] = Markup(in_two_widths(lambda w: wiring_drawing(wired, "screen", w), WIDE, SMALL))
    if hoses.hoses:
        plan = hose_plan_view_of(hoses, fitting.outfit, fitting.inquiry, fitting.runs, system)
        found["hoses"] = Markup(in_two_widths(lambda w: hose_plan_drawing(plan, "screen", w), WIDE, SMALL))
    return found


def _figures(fitting: Fitting, outfit: OutfitAdvice, system: str) -> list[tuple[str, str]]:
    """How fast it closes, how hard it bites, what bears least."""
    circuit = fitting.circuit
    wiring = wiring_of(fitting.outfit, fitting.inquiry, fitting.shelf, outfit.job.loads_per_hour or float("nan"))
    found = _timed(outfit) if circuit is None else _of_circuit(circuit, system)
    found += [] if wiring is None else wiring_figures(wiring)
    bite = bite_of(fitting.outfit.attachment, float("nan") if circuit is None else circuit.relief)
    if not isnan(bite.shut):
        least, most = (show(force, "force", system) for force in bite[:2])
        known = f"{least} shut, {most} half open"
        usual = f"{least} to {most}, by the usual lever: its jaw is not recorded"
        found.insert(2, ("Bites at the tip", known if bite.recorded else usual))
    return found


def _timed(outfit: OutfitAdvice) -> list[tuple[str, str]]:
    """What the answer says of a lid that no circuit of oil moves."""
    times = (("Closes, warm", outfit.power.close_time), ("Closes, cold", outfit.power.cold_time))
    return [(name, show(time, "time")) for name, time in times if time]


def _of_circuit(circuit: OutfitCircuit, system: str) -> list[tuple[str, str]]:
    times = [(f"{way}, {oil} oil", circuit.at(t, moves).time) for t, oil in ((WARM, "warm"), (COLD, "cold"))
             for moves, way in (("close", "Closes"), ("open", "Opens"))]  # fmt: skip
    shown = [(name, "stalls" if time is None else show(time, "time")) for name, time in times]
    found = [shown[0], shown[2], ("Cylinders push shut", show(circuit.stall_close, "force", system)), shown[1]]
    found.append(("A shut rod port would see", show(circuit.blocked_rod_pressure, "pressure", system)))
    if isfinite(circuit.weakest_pressure):
        bears = show(circuit.weakest_pressure, "pressure", system)
        found.append(("Bears least", f"{circuit.weakest}, {bears}"))
    return found


@cache
def _scale() -> tuple[tuple[int, str], ...]:
    return tuple((int(row["convenience"]), row["words"]) for row in table("convenience.csv"))


def _route(one: RouteChoice, outfit: OutfitAdvice, advice: Advice) -> dict[str, Any]:
    """A route: the one taken, one that would do as well, or why it is out."""
    words = route_words()[one.route]
    same = (
        o
        for o in advice.outfits
        if (o.attachment, o.mount, o.power.route) == (outfit.attachment, outfit.mount, one.route)
    )
    other = next(same, None)
    broken = one.power.broken_rules if one.power is not None else ()
    return {
        "title": words.title,
        "convenience": words.convenience,
        "taken": one.route == outfit.power.route,
        "other": other.id if other is not None and one.route != outfit.power.route else "",
        "why": one.why or "; ".join(broken),
        "note": words.note,
    }


def _mind(fitting: Fitting, system: str) -> list[str]:
    said = [one.in_full(system) for one in fitting.outfit.power.findings if one.rule.severity == "mind"]
    return [f"{words[:1].upper()}{words[1:].rstrip('.')}." for words in said]


def _order(order: Order, currency: str, system: str) -> dict[str, Any]:
    boxed = [one for one in order.now if one.line.brought_by]
    return {
        "now": [_line(one, currency, system) for one in order.now if not one.line.brought_by],
        "boxed": [_line(one, currency, system) for one in boxed],
        "waiting": [
            {"question": asked.question, "how": asked.how, "lines": [_line(one, currency, system) for one in lines]}
            for asked, lines in order.waiting
        ],
    }


def _line(one: OrderLine, currency: str, system: str) -> dict[str, str]:
    line = one.line
    price = "" if line.brought_by or line.price.is_unknown else show_money(line.price.likely, currency)
    count = quantity_words(line, system)
    joins = f"{line.from_port} to {line.to_port}" if line.from_port and line.to_port else ""
    return {"count": count, "what": line.what, "tag": line.tag, "joins": joins, "from": FROM[one.group], "price": price}
