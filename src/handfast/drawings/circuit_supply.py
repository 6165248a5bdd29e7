"""Where a lid's oil comes from, as it is drawn: pump, relief, tank, the loader's valve and the one that is added."""

from __future__ import annotations

from collections.abc import Sequence

from handfast.drawings import hydraulic_symbols as sym
from handfast.drawings.circuit_view import CircuitView, Plan
from handfast.drawings.inks import Letter, Line
from handfast.drawings.svg import Item, Label, Stroke, in_lines, poly, text_width


def supply(view: CircuitView, plan: Plan) -> list[Item]:
    """Pump, relief and tank with what lies between them and the valve."""
    if view.feed in ("own", "pump"):
        return _straight(view, plan)
    return _in_row(view, plan) if view.feed == "row" else _diverted(view, plan)


def _source(view: CircuitView, plan: Plan, x: float, up_to: float) -> list[Item]:
    """Pump below x with its relief beside it, up to a height."""
    u, y = plan.u, plan.foot - 70
    branch, over = y - 0.42 * u - 16, x - 1.55 * u
    items: list[Item] = [*sym.pump((x, y), u), sym.run((x, y - 0.42 * u), (x, up_to))]
    items += [sym.run((x, y + 0.42 * u), (x, y + 0.42 * u + 14)), *sym.tank((x, y + 0.42 * u + 14), u)]
    relief = over, branch + 22 + 0.26 * u
    items += [sym.joint((x, branch)), sym.run((x, branch), (over, branch), (over, relief[1] - 0.26 * u))]
    items += sym.relief_valve(relief, u)
    items += [sym.run((over, relief[1] + 0.26 * u), (over, y + 0.42 * u + 14)), *sym.tank((over, y + 0.42 * u + 14), u)]
    items.append(Label((x + 0.5 * u, y + 4), view.flow or "pump", Letter.NOTE))
    foot = y + 0.42 * u + 34
    items.append(Label((max(over - 1.0 * u, 4.0), foot), view.relief or "relief", Letter.NOTE))
    return items


def _operated(view: CircuitView, plan: Plan) -> list[Item]:
    """The valve that moves the lid, with coils or lever."""
    (x, y), u = plan.valve, plan.u
    items = sym.valve((x, y), u, view.centre)
    left, right = (x - 1.5 * u, y), (x + 1.5 * u, y)
    if view.worked_by == "solenoid":
        return [*items, *sym.solenoid(left, u, -1), *sym.solenoid(right, u, 1)]
    return [*items, *sym.lever(left, u, -1, view.detent), sym.spring((right[0], y + 0.1 * u), 0.42 * u, 0.24 * u)]


def _straight(view: CircuitView, plan: Plan) -> list[Item]:
    """A pump, its relief and the one valve: the tractor's own outlet, or a pump of its own."""
    (x, y), u = plan.valve, plan.u
    p, t = x - sym.PORT * u, x + sym.PORT * u
    items = [*_operated(view, plan), *_source(view, plan, p, y + u / 2)]
    back = t, plan.foot - 70 + 0.42 * u + 14
    right = x + (2.3 if plan.small else 1.7) * u
    items += [sym.run((t, y + u / 2), (t, y + u / 2 + 16), (right, y + u / 2 + 16), (right, back[1]))]
    items += sym.tank((right, back[1]), u)
    items += _named(view, plan)
    if len(view.supply_tags) == 3:  # suction, pressure and return of a pump of its own
        suction, out, home = view.supply_tags
        foot = plan.foot - 70 + 0.42 * u
        items.append(Label((p + 0.5 * u, foot + 22), suction, Letter.FIGURE))
        items.append(Label((p - 8, y + u / 2 + 26), out, Letter.FIGURE, "end"))
        items.append(Label((right + 7, y + u / 2 + 44), home, Letter.FIGURE))
    return items


def _named(view: CircuitView, plan: Plan) -> list[Item]:
    """The valve's name to the right of it, broken where there is no room."""
    (x, y), u = plan.valve, plan.u
    start = x + 2.05 * u
    lines = in_lines(view.valve, plan.width - start - 2, Letter.NOTE)
    top = y + 5 - 8.5 * (len(lines) - 1)
    return [Label((start, top + 17 * k), text, Letter.NOTE) for k, text in enumerate(lines)]


def _loader(view: CircuitView, plan: Plan) -> list[Item]:
    """The loader's own valve with its ports."""
    (x, y), u = plan.loader, plan.u
    items = sym.valve((x, y), u, view.centre)
    items += sym.lever((x - 1.5 * u, y), u, -1)
    items.append(sym.boundary(x - 2.05 * u, y - 0.75 * u, x + 1.7 * u, y + 1.05 * u))
    at = (x + 1.7 * u + 8, y + 5) if plan.diverts else (x - 2.05 * u, y - 0.75 * u - 10)
    items.append(Label(at, "loader valve", Letter.NOTE))
    return items


def _in_row(view: CircuitView, plan: Plan) -> list[Item]:
    """The loader valve first, out of its power beyond to the added valve, and on."""
    (x, y), (lx, ly), u = plan.valve, plan.loader, plan.u
    p, t = x - sym.PORT * u, x + sym.PORT * u
    low = y + u / 2
    items = [*_loader(view, plan), *_operated(view, plan)]
    items += _source(view, plan, lx - sym.PORT * u, ly + u / 2)
    out, level = lx + sym.PORT * u, ly + 0.82 * u
    if view.centre == "open":
        items.append(sym.run((out, ly + u / 2), (out, level), (p, level), (p, low)))
    else:  # side by side: both valves are fed from the pump's line
        out, level = lx - sym.PORT * u, ly + 1.05 * u + 16
        items += [sym.joint((out, level)), sym.run((out, level), (p, level), (p, low))]
    tags, edge = (*view.supply_tags, "", ""), lx + 1.7 * u
    if view.centre == "open":
        items.append(Label((edge + 6, level + 18), tags[0], Letter.FIGURE))
        items.append(Label((edge + 30, level + 18), "" if plan.small else "power beyond", Letter.NOTE))
    else:
        items.append(Label((x - 0.7 * u, level - 5), tags[0], Letter.FIGURE, "end"))
    on = level + 40
    items.append(sym.run((t, low), (t, on), (min(t + 1.9 * u, plan.width - 14), on)))
    end = min(t + 1.9 * u, plan.width - 14)
    items += sym.arrow((end - 12, on), (end, on), 10.0)
    items.append(Label((t + 8, on - 6), tags[1], Letter.FIGURE))
    far = max(end, min(plan.width - 4, t + 6 + text_width(view.beyond, Letter.NOTE)))
    items.append(Label((far, on + 18), view.beyond, Letter.NOTE, "end"))
    items += _sense_line(plan, tags[2], on)
    items += _tank_of_loader(plan)
    items += _named(view, plan)
    return items


def _sense_line(plan: Plan, tag: str, level: float) -> list[Item]:
    """The dashed line that tells the pump to work."""
    if not tag:
        return []
    (x, y), u = plan.valve, plan.u
    start, end = x - 0.4 * u, x - 1.3 * u
    items: list[Item] = [Stroke(poly(((start, y + u / 2), (start, level), (end, level))), Line.HIDDEN)]
    items.append(Label((end - 4, level + 5), tag, Letter.FIGURE, "end"))
    words = "" if plan.small else "to the pump's sense port"
    return [*items, Label((start - 4, level + 22), words, Letter.NOTE, "end")]


def _tank_of_loader(plan: Plan) -> list[Item]:
    (x, y), u = plan.loader, plan.u
    at = x + 0.8 * u, y + 1.05 * u + 44
    return [
        sym.run((at[0], y + 1.05 * u), at),
        *sym.tank(at, u),
        Label((at[0] + 0.45 * u, at[1]), "tank port", Letter.NOTE),
    ]


def _diverted(view: CircuitView, plan: Plan) -> list[Item]:
    """The loader valve's curl lines through a diverter: to the curl cylinders, or to the lid."""
    (x, y), (lx, ly), u = plan.valve, plan.loader, plan.u
    items = [*_loader(view, plan), *sym.diverter((x, y), u)]
    items += sym.solenoid((x - u, y), u, -1) if view.worked_by == "solenoid" else sym.lever((x - u, y), u, -1)
    items.append(sym.spring((x + u, y), 0.42 * u, 0.24 * u))
    items += _source(view, plan, lx - sym.PORT * u, ly + u / 2) + _tank_of_loader(plan)
    tags = (*view.supply_tags, "", "", "", "")
    for k, port in enumerate((-1, 1)):
        up, foot = lx + port * sym.PORT * u, x + sym.INLETS[k] * u
        level = ly - 0.75 * u - 38 + 22 * k
        items.append(sym.run((up, ly - u / 2), (up, level), (foot, level), (foot, y + u / 2)))
        items.append(Label(((up + foot) / 2 + 12, level - 4), tags[k], Letter.FIGURE))
    items.append(Label((x - 1.55 * u, y + u / 2 + 14), view.valve, Letter.NOTE, "end"))
    return [*items, *_to_curl(plan, tags[2:4])]


def _to_curl(plan: Plan, tags: Sequence[str]) -> list[Item]:
    """The two lines that go on to the curl cylinders."""
    (x, y), u = plan.valve, plan.u
    top, end = y - u / 2, min(x + 3.1 * u, plan.width - 34)
    items: list[Item] = []
    for k in (0, 1):
        start, level = x + sym.CURL_PORTS[k] * u, top - 22 + 13 * k
        items.append(sym.run((start, top), (start, level), (end - 10, level)))
        items += sym.arrow((end - 12, level), (end, level), 9.0)
        items.append(Label((end + 4, level + (0 if k == 0 else 12)), tags[k], Letter.FIGURE))
    items.append(Label((x + 0.8 * u, y + u / 2 + 17), "C3, C4 to the curl cylinders", Letter.NOTE))
    return items
