"""From an outfit's lines, circuit and hoses to their drawings: the one way for pages and papers."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import cos, sin

from handfast.drawings.circuit import CircuitView, Mark
from handfast.drawings.hose_plan import HosePlanView, HoseRow, PoseView
from handfast.machines.inquiry import Inquiry
from handfast.machines.tractor import Machine
from handfast.outfits.circuit_of import OutfitCircuit
from handfast.outfits.hose_plan import HoseLength, OutfitHoses, PoseAt
from handfast.outfits.line_runs import LineRun, Piece
from handfast.outfits.numbering import supply_tags
from handfast.outfits.outfit import Outfit
from handfast.outfits.powering import PowerRoute
from handfast.quantities.estimate import Estimate
from handfast.quantities.showing import show, show_length

FEEDS = {"diverter": "diverter", "separate_pump": "pump"}
VALVES = {
    "front_outlets": "the tractor's front function",
    "third_function": "third-function valve",
    "diverter": "diverter",
    "rear_remote_forward": "rear remote",
    "mid_outlet": "mid remote",
    "separate_pump": "valve of the pump",
}
SIZES = {6.4: "1/4 in", 7.9: "5/16 in", 9.5: "3/8 in", 12.7: "1/2 in", 15.9: "5/8 in", 19.0: "3/4 in"}


def circuit_view_of(circuit: OutfitCircuit, outfit: Outfit, inquiry: Inquiry, system: str = "us") -> CircuitView:
    """An outfit's circuit as it is drawn.

    Args:
        circuit: as `circuit_of` gives it.
        outfit: the outfit.
        inquiry: resolved inquiry.
        system: units.

    Returns:
        `CircuitView`; without known ports the lines are named only.

    >>> from handfast.outfits.example_piped import piped
    >>> view = circuit_view_of(piped().circuit, piped().outfit, piped().inquiry)
    >>> view.feed, view.cylinders
    ('own', 1)
    """
    machine, power = inquiry.machine, outfit.power
    feed = feed_of(power)
    closing, opening = (
        (tuple(_marks(run, system)) for run in circuit.runs)
        if circuit.runs
        else ((Mark("hose", name, "not chosen yet"),) for name in ("A1", "B1"))
    )
    return CircuitView(
        feed,
        _centre(power, machine, feed),
        _valve_words(power, feed),
        "solenoid" if _by_coil(power) else "lever",
        closing,
        opening,
        cylinders=circuit.cylinders.count,
        closes_by_pushing=circuit.cylinders.closes == "extend",
        held=outfit.attachment.lid_hold == "pilot_check",
        detent=machine.remote_detent is not False and power.route == "rear_remote_forward" and feed == "own",
        relief=f"relief {show(circuit.relief, 'pressure', system)}",
        flow=f"{show(circuit.flow, 'flow', system)}",
        beyond="on to the hitch, then tank" if machine.centre in ("open", None) else "to tank",
        supply_tags=supply_tags(outfit),
        figures=tuple(_figures(circuit, system)),
    )


def feed_of(power: PowerRoute) -> str:
    """How a route is fed: row, own, diverter, pump.

    Args:
        power: the route with its kit.

    Returns:
        The word that `CircuitView.feed` takes.

    >>> feed_of(PowerRoute("front_outlets"))
    'own'
    """
    kit = power.kit
    added = power.route == "third_function" or (kit is not None and "power_beyond" in kit.needs)
    return FEEDS.get(power.route, "row" if added else "own")


def _centre(power: PowerRoute, machine: Machine, feed: str) -> str:
    """Open or closed middle: the tractor's, as every kit must match; a pump of its own has an open one."""
    return "open" if feed == "pump" or machine.centre in ("open", None) else "closed"


def _valve_words(power: PowerRoute, feed: str) -> str:
    if power.route == "rear_remote_forward" and feed == "row":
        return "added remote section"
    return VALVES[power.route]


def _by_coil(power: PowerRoute) -> bool:
    kit = power.kit
    coil = kit is not None and bool({"switched_12v", "battery_12v"} & set(kit.needs))
    return coil or (kit is None and power.route == "front_outlets")


def _marks(run: LineRun, system: str) -> Iterator[Mark]:
    """Hoses, and coupler halves that meet as one coupler; fittings stand in the parts list."""
    pieces = [piece for piece in run.pieces if piece.is_hose or piece.kind == "coupler"]
    k = 0
    while k < len(pieces):
        piece = pieces[k]
        if piece.is_hose:
            yield Mark("hose", piece.tag, hose_words(piece, system))
        else:
            mate = pieces[k + 1] if k + 1 < len(pieces) and pieces[k + 1].kind == "coupler" else None
            yield Mark("coupler", _tags(piece, mate), _coupler_words(piece))
            k += mate is not None
        k += 1


def _tags(piece: Piece, mate: Piece | None) -> str:
    return piece.tag if mate is None else f"{piece.tag}, {mate.tag}"


def hose_words(piece: Piece, system: str) -> str:
    """A hose in a few words: whose, bore, length.

    Args:
        piece: the hose.
        system: units of its length.

    Returns:
        Words such as "3/8 in, 6 ft".

    >>> from handfast.outfits.example_piped import piped
    >>> [hose_words(piece, "us") for piece in piped().runs[0].hoses]
    ['3/8 in, 16 ft', "attachment's own"]
    """
    if piece.brought_by:
        return f"{piece.brought_by}'s own"
    bore = SIZES.get(round(piece.bore * 1e3, 1), f"{piece.bore * 1e3:.1f} mm")
    length = show_length(piece.length) if system == "us" else show(piece.length, "length", system)
    return f"{bore}, {length}"


def _coupler_words(piece: Piece) -> str:
    end = piece.gives if piece.gives.family.startswith("coupler_") else piece.meets
    kind = {"coupler_flat": "flat-face", "coupler_ag": "farm"}.get(
        end.family, end.family.replace("coupler_", "series ")
    )
    return f"{kind} {end.size}" if end.family else ""


def _figures(circuit: OutfitCircuit, system: str) -> Iterator[str]:
    """Times, forces and what was taken for granted, one line each."""
    for stroke in (s for s in circuit.strokes if s.moves == "close"):
        cold = " (extrapolated)" if stroke.extrapolated else ""
        time = "stalls" if stroke.time is None else f"closes in {show(stroke.time, 'time')}"
        yield f"Oil at {degrees_words(stroke.temperature, system)}: {time}{cold}."
    held, shut = show(circuit.stall_close, "force", system), show(circuit.blocked_rod_pressure, "pressure", system)
    yield f"Holds with {held} at the rods; a shut rod port would see {shut}."
    yield from circuit.notes


def degrees_words(celsius: float, system: str) -> str:
    """A temperature of oil in whole degrees.

    Args:
        celsius: temperature [°C].
        system: us or metric.

    Returns:
        Words.

    >>> degrees_words(-10.0, "us"), degrees_words(40.0, "metric")
    ('14 °F', '40 °C')
    """
    value, unit = (celsius * 9 / 5 + 32, "°F") if system == "us" else (celsius, "°C")
    return f"{value:.0f} {unit}".replace("-", "−")


OUTLET_OF = {"rear_remote_forward": "rear", "mid_outlet": "mid", "separate_pump": "pump", "front_outlets": "front"}
TYPICAL = {"wheelbase": 1.55, "rear_radius": 0.38, "front_radius": 0.26, "pivot_height": 1.25, "pin_high": 2.1}
"""Places of a middling small tractor [m], for a plan that is not to scale."""


def hose_plan_view_of(
    plan: OutfitHoses, outfit: Outfit, inquiry: Inquiry, circuit_runs: Sequence[LineRun] = (), system: str = "us"
) -> HosePlanView:
    """An outfit's hoses as they are drawn.

    Args:
        plan: as `hose_plan_of` gives it.
        outfit: the outfit.
        inquiry: resolved inquiry.
        circuit_runs: both lines, for the coupler tags and for where each hose runs.
        system: units.

    Returns:
        `HosePlanView`; without a measured linkage the machine is a middling one and not to scale.

    >>> from handfast.outfits.example_piped import piped
    >>> view = hose_plan_view_of(piped().hoses, piped().outfit, piped().inquiry, piped().runs)
    >>> view.to_scale  # no linkage is measured
    False
    """
    machine = inquiry.machine
    base = _size(machine)
    pivot = plan.pivot or (0.56 * base["wheelbase"], base["pivot_height"])
    moving = next((one for one in plan.hoses if one.longest is not None), None)
    worst = [(moving.longest, "longest"), (moving.shortest, "shortest")] if moving is not None else []
    poses = tuple(_pose_view(at, which, system) for at, which in worst if at is not None) or _usual_poses(base, pivot)
    added = feed_of(outfit.power) == "row"
    loader = machine.loader
    return HosePlanView(
        pivot,
        poses,
        base["rear_radius"],
        base["front_radius"],
        base["wheelbase"],
        "valve" if added else OUTLET_OF.get(outfit.power.route, "valve"),
        ", ".join(one.tag for one in plan.hoses if one.at == "tractor"),
        ", ".join(one.tag for one in plan.hoses if one.at == "tool"),
        ", ".join(_front_couplers(circuit_runs)),
        tuple(_rows(plan.hoses, circuit_runs, system)),
        to_scale=moving is not None,
        plane=(_likely(loader.plane_ahead, 0.08), -_likely(loader.plane_drop, 0.15)),
    )


def _size(machine: Machine) -> dict[str, float]:
    """Wheels and heights, from the sheet where it has them."""
    known = {
        "wheelbase": machine.wheelbase,
        "rear_radius": machine.rear_tyre.radius,
        "front_radius": machine.front_tyre.radius,
        "pin_high": machine.loader.pin_height_max,
    }
    return {name: _likely(known[name], usual) if name in known else usual for name, usual in TYPICAL.items()}


def _likely(estimate: Estimate, otherwise: float) -> float:
    return otherwise if estimate.is_unknown else float(estimate.value)


def _pose_view(at: PoseAt, which: str, system: str) -> PoseView:
    turn = round(at.angle * 57.29577951308232)
    way = "level" if turn == 0 else f"curled back {turn}°" if turn > 0 else f"dumped {-turn}°"
    height, apart = (show(v, "length", system) for v in (at.pin[1], at.apart))
    return PoseView(at.pin, at.angle, at.clamp, at.port, f"{which}, {apart}, with the pins at {height}, tool {way}")


def _usual_poses(base: dict[str, float], pivot: tuple[float, float]) -> tuple[PoseView, ...]:
    """Arms down and arms up of a middling loader."""
    x, z = pivot
    reach = 0.95 * base["wheelbase"]
    found = []
    for height, angle, words in ((0.25, 0.0, "arms down, tool level"), (base["pin_high"], -0.7, "arms up, dumped")):
        drop = max(min(height - z, 0.95 * reach), -0.95 * reach)
        pin = x + (reach**2 - drop**2) ** 0.5, z + drop
        dx, dz = (pin[0] - x) / reach, (pin[1] - z) / reach
        clamp = x + 0.85 * reach * dx - 0.1 * dz, z + 0.85 * reach * dz + 0.1 * dx
        c, s = cos(angle), sin(angle)
        port = pin[0] + 0.22 * c + 0.05 * s, pin[1] + 0.22 * s - 0.05 * c
        found.append(PoseView(pin, angle, clamp, port, words))
    return tuple(found)


def _front_couplers(runs: Sequence[LineRun]) -> Iterator[str]:
    """Tags of the coupler half at the end of the arms in each line."""
    for run in runs:
        halves = [piece.tag for piece in run.pieces if piece.kind == "coupler" and piece.at == "tractor"]
        yield from halves[-1:]


def _rows(hoses: Sequence[HoseLength], runs: Sequence[LineRun], system: str) -> Iterator[HoseRow]:
    """A row for each hose; hoses of both lines that are alike share one."""
    alike: dict[tuple[object, ...], list[HoseLength]] = {}
    for one in hoses:
        alike.setdefault((one.at, one.tag[1:], one.needed, one.name, one.warnings), []).append(one)
    for group in alike.values():
        first = group[0]
        needs = show(first.needed, "length", system)
        order = "brought" if first.brought_by else show(first.ordered, "length", system)
        way = ", ".join(" to ".join(_ends(one.tag, runs)) or one.name for one in group)
        yield HoseRow(", ".join(one.tag for one in group), way, needs, order, first.warnings)


def _ends(tag: str, runs: Sequence[LineRun]) -> Iterator[str]:
    """What a hose starts from and leads to: tags, fittings or ports."""
    for run in runs:
        places = [piece.tag for piece in run.pieces]
        if tag in places:
            k = places.index(tag)
            before = [p for p in run.pieces[:k] if p.kind == "coupler"]
            after = [p for p in run.pieces[k + 1 :] if p.kind == "coupler"]
            yield before[-1].tag if before else f"outlet {run.name}"
            yield after[0].tag if after else f"port that {run.moves}"
