"""The circuit sheet: the circuit with its numbers, the hoses at the worst poses, flows, pressures, ports, rules."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from math import isfinite

from handfast.advice.result import Advice
from handfast.documents.hose_order import bore_words
from handfast.documents.words import picture
from handfast.documents.work_paper import (
    NOT_KNOWN,
    Options,
    Row,
    Section,
    WorkPaper,
    bullets,
    drawing,
    head_of,
    note,
    press_paper,
    pressure,
    table,
    text,
)
from handfast.drawings.circuit import circuit_drawing, circuit_words
from handfast.drawings.from_outfit import circuit_view_of, degrees_words, hose_plan_view_of
from handfast.drawings.from_wiring import wiring_figures, wiring_view_of
from handfast.drawings.hose_plan import hose_plan_drawing, hose_plan_words
from handfast.drawings.wiring import wiring_drawing, wiring_words
from handfast.outfits.circuit_of import OneStroke, OutfitCircuit
from handfast.outfits.fitting import Fitting
from handfast.outfits.port_map import port_map
from handfast.outfits.wiring import Wiring, wiring_of
from handfast.quantities.showing import show
from handfast.reckoning.circuit import LIMITS

NAME = "Circuit sheet"
WIDTH = 174.0  # mm of the drawings


def circuit_sheet(advice: Advice, outfit_id: str, fitting: Fitting, options: Options | None = None) -> bytes:
    """The circuit sheet of an outfit.

    Args:
        advice: the answer.
        outfit_id: which of its outfits.
        fitting: the same outfit with its lines.
        options: paper, units, date, number.

    Returns:
        A tagged PDF; equal arguments give equal bytes.

    Raises:
        KeyError: no such outfit.
        ValueError: no such paper or system.
        PaperError: the press failed.

    Source: symbols after ISO 1219-1, drawn by ourselves.

    >>> from handfast.advice.example import piped_answer
    >>> from handfast.outfits.example_piped import PIPED, piped
    >>> circuit_sheet(piped_answer(), PIPED, piped())[:5]
    b'%PDF-'
    """
    options = options or Options()
    pics: dict[str, dict[str, str]] = {}
    one = advice.outfit(outfit_id)
    wiring = wiring_of(fitting.outfit, fitting.inquiry, fitting.shelf, one.job.loads_per_hour or float("nan"))
    sections = (
        _sections(fitting, options.system, pics) if wiring is None else _wired(wiring, fitting, options.system, pics)
    )
    paper = WorkPaper(NAME, head_of(advice, fitting, options), sections, "not to scale", pics)
    return press_paper(paper, advice, one, options)


def _sections(fitting: Fitting, system: str, pics: dict[str, dict[str, str]]) -> list[Section]:
    circuit = fitting.circuit
    if circuit is None:
        why = fitting.unjoined[1] or "no oil moves this lid, or its cylinder, flow or relief is not known"
        return [
            Section("Circuit", [text(f"No circuit is drawn: {why.rstrip('.')}.")]),
            Section("Ports", ports_rows(fitting)),
        ]
    view = circuit_view_of(circuit, fitting.outfit, fitting.inquiry, system)
    pics["circuit"] = picture(circuit_drawing(view, "print"), circuit_words(view))
    return [
        Section("Circuit, symbols after ISO 1219-1", [drawing("circuit", 150.0)], whole=True),
        Section("Where the hoses run, at the worst poses", _plan(fitting, system, pics), whole=True),
        Section("Flows and pressures", list(_flows(circuit, system)), whole=True),
        Section("Speed of the oil", list(_speeds(circuit, system)), whole=True),
        Section("Ports", ports_rows(fitting), whole=True),
        Section("Rules of this circuit", [bullets(_rules(fitting, system))]),
    ]


def _wired(wiring: Wiring, fitting: Fitting, system: str, pics: dict[str, dict[str, str]]) -> list[Section]:
    """The sheet of an electric lid: its wiring in place of a circuit of oil."""
    view = wiring_view_of(wiring, system)
    pics["circuit"] = picture(wiring_drawing(view, "print"), wiring_words(view))
    figures = table(("", "reckoned"), (1.2, 2), ([f"*{name}", words] for name, words in wiring_figures(wiring)), "ll")
    said = "Fuse within a hand's breadth of the battery. Cable reckoned at 68 °F (20 °C), both wires."
    return [
        Section("Wiring", [drawing("circuit", 140.0)], whole=True),
        Section("Current and voltage", [figures, note(said)], whole=True),
        Section("Ports", ports_rows(fitting), whole=True),
    ]


def _plan(fitting: Fitting, system: str, pics: dict[str, dict[str, str]]) -> list[Row]:
    if not fitting.hoses.hoses:
        return [text(f"Not drawn: {fitting.unjoined[1].rstrip('.')}.")]
    view = hose_plan_view_of(fitting.hoses, fitting.outfit, fitting.inquiry, fitting.runs, system)
    pics["hoses"] = picture(hose_plan_drawing(view, "print"), hose_plan_words(view))
    return [drawing("hoses", 150.0)]


def _flows(circuit: OutfitCircuit, system: str) -> Iterator[Row]:
    rows = [_flow_row(one, system) for one in circuit.strokes]
    head = ("oil", "lid", "flow out", "flow back", "lost out", "lost back", "at the pump", "relief", "time", "heat")
    yield table(head, (0, 0, 1, 1, 1, 1, 1, 0, 0, 1), rows, "llrrrrrlrr")
    weak = f"{circuit.weakest}, {pressure(circuit.weakest_pressure, system)}" if circuit.weakest else "not known"
    yield text(
        f"Pump {show(circuit.flow, 'flow', system)}, relief {pressure(circuit.relief, system)}. Stalled, all cylinders "
        f"together close with {show(circuit.stall_close, 'force', system)} and open with "
        f"{show(circuit.stall_open, 'force', system)}. A shut rod port would see "
        f"{pressure(circuit.blocked_rod_pressure, system)}. Bears least: {weak}."
    )
    yield note(" ".join((*circuit.notes, "Below freezing point the oil's law is carried on beyond its two tables.")))


def _flow_row(one: OneStroke, system: str) -> list[str]:
    time = "stalls" if one.time is None else show(one.time, "time")
    return [
        degrees_words(one.temperature, system),
        {"close": "closes", "open": "opens"}[one.moves],
        show(one.supply_flow, "flow", system),
        show(one.return_flow, "flow", system),
        pressure(one.supply_drop, system),
        pressure(one.return_drop, system),
        pressure(one.pump_pressure, system),
        "open" if one.relief_open else "shut",
        f"*{time}",
        show(one.heat, "power", system),
    ]


def _speeds(circuit: OutfitCircuit, system: str) -> Iterator[Row]:
    if not circuit.speeds:
        return
    rows = [
        [f"*{one.tag}", bore_words(one.bore), speed(one.feeding, system), speed(one.returning, system),
         "faster than the custom" if one.too_fast else "within the custom"]
        for one in circuit.speeds
    ]  # fmt: skip
    yield table(("no.", "bore", "feeding", "returning", ""), (0, 0, 1, 1, 2), rows, "llrrl")
    out, back = (speed(LIMITS[name], system) for name in ("pressure", "return"))
    yield note(f"Custom: at most {out} feeding, {back} returning (common practice, no source).")


def speed(value: float, system: str) -> str:
    """A speed of oil in ft/s or m/s.

    >>> speed(3.048, "us"), speed(3.0, "metric")
    ('10.0 ft/s', '3.0 m/s')
    """
    if not isfinite(value):
        return NOT_KNOWN
    return f"{value / 0.3048:.1f} ft/s" if system == "us" else f"{value:.1f} m/s"


def ports_rows(fitting: Fitting) -> list[Row]:
    """The port map as a table, seen from where stands beside each.

    >>> from handfast.outfits.example_piped import piped
    >>> len(ports_rows(piped()))
    1
    """
    ports = port_map(fitting)
    if not ports:
        return []
    rows = [
        [f"*{p.place}\nseen from {p.seen_from}", p.port, f"*{p.number}", f"{p.leads_to}\n{p.thread}".rstrip("\n"), "[]"]
        for p in ports
    ]
    return [table(("where", "port", "no.", "leads to", "done"), (2, 1.8, 0, 2, 0), rows, "lllll")]


def _rules(fitting: Fitting, system: str) -> Iterable[str]:
    findings = fitting.outfit.power.findings
    order = {"choice": 0, "fitting": 1, "use": 2}
    for one in sorted(findings, key=lambda f: (f.rule.severity != "breaks", order[f.rule.stage])):
        said = one.in_full(system)
        yield ("Breaks: " if one.rule.severity == "breaks" else "") + said[:1].upper() + said[1:].rstrip(".") + "."
