"""The circuit of a lid as a drawing: pump, relief, valves, both lines with their tags, couplers and cylinders."""

from __future__ import annotations

from collections.abc import Sequence

from handfast.drawings import hydraulic_symbols as sym
from handfast.drawings.circuit_supply import supply
from handfast.drawings.circuit_view import CircuitView as CircuitView
from handfast.drawings.circuit_view import Mark as Mark
from handfast.drawings.circuit_view import Plan
from handfast.drawings.inks import Letter, Line, Mode
from handfast.drawings.svg import Item, Label, Sheet, in_lines, render, segment

SMALL = 640.0
STEP = 62.0
"""Height that one piece of a line takes, px."""


def _lay_out(view: CircuitView, width: float) -> Plan:
    small = width <= SMALL
    u = 27.0 if small else 40.0
    rows = max(len(view.closing), len(view.opening), 1)
    lid_top = 70.0 + 34.0 * (view.cylinders - 1) + (50.0 if view.held else 0.0)
    valve_y = lid_top + 56 + STEP * rows + 36
    across = 0.53 if small else 0.6
    if view.feed in ("own", "pump"):
        across = 0.5
    centre = width * across, valve_y
    loader = width * 0.2, valve_y + (0.0 if view.feed != "diverter" else 120.0)
    foot = max(valve_y, loader[1]) + 190.0
    return Plan(width, u, centre, loader, lid_top, foot, small, view.feed == "diverter")


def _lid(view: CircuitView, plan: Plan) -> list[Item]:
    """Cylinders side by side at the top, both lines on to their ports."""
    a, b = plan.ports
    length, u = (b - a) / 0.62, plan.u
    items: list[Item] = []
    turned = not view.closes_by_pushing
    places = [40.0 + 34.0 * k for k in range(view.cylinders)]
    low = places[-1] + 0.25 * u
    if view.cylinders > 1:
        items += _side_by_side(places, plan, length, u)
    for y in places:
        start = (b + 0.08 * length) if turned else (a - 0.08 * length)
        items += sym.cylinder((start, y), u, length * 1.25, -1 if turned else 1)
    items += [sym.run((x, low), (x, plan.lid_top)) for x in (a, b)]
    if view.held:
        y = plan.lid_top - 34.0
        items += [*sym.pilot_check((a, y), u, b, 0.36 * u), *sym.pilot_check((b, y), u, a, 0.54 * u)]
        items.append(sym.boundary(a - 0.5 * u, y - 0.4 * u, b + 0.5 * u, y + 0.7 * u))
    words = "lid cylinder" if view.cylinders == 1 else f"{view.cylinders} lid cylinders, fed side by side"
    items.append(Label((a - 0.08 * length, 22), words, Letter.NOTE))
    return items


def _side_by_side(places: Sequence[float], plan: Plan, length: float, u: float) -> list[Item]:
    """Both lines past the ends of the barrels, with a branch to each; rods lie over them."""
    items: list[Item] = []
    for x, side in zip(plan.ports, (-1, 1), strict=True):
        beside = x + side * (0.08 * length + 9)
        foot = places[-1] + 0.25 * u + 7
        items += [sym.run((beside, places[0] + 0.25 * u + 7), (beside, foot), (x, foot)), sym.joint((x, foot))]
        for y in places[:-1]:
            level = y + 0.25 * u + 7
            items.append(sym.run((beside, level), (x, level), (x, y + 0.25 * u)))
    return items


def _line(marks: Sequence[Mark], x: float, side: int, plan: Plan, name: str) -> list[Item]:
    """One line from the valve up to the lid, its pieces with tags on the outer side."""
    u, bottom = plan.u, plan.valve[1] - plan.u / 2
    low = plan.valve[1] - plan.u / 2 - 36
    port, rise = plan.valve[0] + side * sym.PORT * u, 14.0
    if plan.diverts:
        port, rise = plan.valve[0] + sym.LID_PORTS[side > 0] * u, 30.0
    items: list[Item] = [sym.run((port, bottom), (port, bottom - rise), (x, bottom - rise), (x, low))]
    anchor, away = ("end", x - 14) if side < 0 else ("start", x + 14)
    items.append(Label((away, low + 4), name, Letter.FIGURE, anchor))
    y = low
    for mark in marks:
        top = y - STEP
        items += _piece(mark, x, y, top, side, u)
        middle = (y + top) / 2
        beside = away + side * (0.3 * u if mark.kind == "hose" else 0.1 * u)
        items.append(Label((beside, middle - 2), mark.tag, Letter.FIGURE, anchor))
        items.append(Label((beside, middle + 15), mark.note, Letter.NOTE, anchor))
        y = top
    items.append(sym.run((x, y), (x, plan.lid_top)))
    return items


def _piece(mark: Mark, x: float, low: float, top: float, side: int, u: float) -> list[Item]:
    middle = (low + top) / 2
    if mark.kind == "hose":
        body = sym.hose(x, top + 8, low - 8, side * 0.42 * u)
        return [sym.run((x, low), (x, low - 8)), *body, sym.run((x, top + 8), (x, top))]
    if mark.kind == "coupler":
        half = 2 * 0.16 * u + 8
        return [
            sym.run((x, low), (x, middle + half)),
            *sym.coupler((x, middle), u),
            sym.run((x, middle - half), (x, top)),
        ]
    return [sym.run((x, low), (x, top)), sym.joint((x, middle))]


def circuit_words(view: CircuitView) -> str:
    """The drawing in words: where the oil comes from, each line piece by piece, and the figures."""
    feeds = {
        "row": "Pump, loader valve, out of power beyond to the added valve",
        "own": "Pump to a valve that the tractor has",
        "diverter": "Pump, loader valve, its curl lines through the diverter",
        "pump": "A pump of its own with tank and relief",
    }
    supplied = ", ".join(tag for tag in view.supply_tags if tag)
    parts = [f"{feeds[view.feed]}: {view.valve}" + (f" ({supplied})." if supplied else ".")]
    if view.relief:
        parts.append(f"{view.relief}; {view.flow}." if view.flow else f"{view.relief}.")
    for name, does, marks in (("A", "closes", view.closing), ("B", "opens", view.opening)):
        row = ", ".join(" ".join(w for w in (m.tag, m.note) if w) for m in marks)
        parts.append(f"Line {name} {does}: {row or 'not chosen yet'}.")
    lid = "one lid cylinder" if view.cylinders == 1 else f"{view.cylinders} lid cylinders side by side"
    held = ", held by pilot checks" if view.held else ""
    parts.append(f"To {lid}{held}, closing by {'pushing' if view.closes_by_pushing else 'pulling'}.")
    return " ".join((*parts, *view.figures))


def circuit_drawing(view: CircuitView, mode: Mode = "screen", width: float = 700.0) -> str:
    """The circuit, pump at the foot and lid at the top.

    Args:
        view: what is drawn.
        mode: screen, print, paper or blueprint.
        width: px.

    Returns:
        SVG text, its words inside.

    Source: symbols after ISO 1219-1, drawn by ourselves.

    >>> view = CircuitView("own", "open", "front outlet", "solenoid", (Mark("hose", "A1"),), (Mark("hose", "B1"),))
    >>> "A1" in circuit_drawing(view)
    True
    """
    plan = _lay_out(view, width)
    items: list[Item] = [*_lid(view, plan), *supply(view, plan)]
    for marks, x, side, name in zip((view.closing, view.opening), plan.ports, (-1, 1), ("A", "B"), strict=True):
        items += _line(marks, x, side, plan, name)
    items += _break(view, plan)
    y = plan.foot + 22
    for text in (line for figure in view.figures for line in in_lines(figure, width - 8, Letter.NOTE)):
        items.append(Label((4, y), text, Letter.NOTE, halo=False))
        y += 20
    return render(Sheet(width, y + 4, view.title, circuit_words(view), tuple(items), "circuit"), mode)


def _break(view: CircuitView, plan: Plan) -> list[Item]:
    """The line across both couplers where the attachment comes off."""
    low = plan.valve[1] - plan.u / 2 - 36
    at = [k for k, mark in enumerate(view.closing) if mark.kind == "coupler"]
    if not at:
        return []
    y = low - STEP * at[-1] - STEP / 2
    a, b = plan.ports
    return [segment((a + 0.4 * plan.u, y), (b - 0.4 * plan.u, y), Line.AXIS)]
