"""The steps of fitting an outfit as data: stop points, cautions, the work, tests, hand-over, and every joint."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from math import isfinite, isnan

from handfast.connections.mating import End
from handfast.machines.tractor import Machine
from handfast.outfits.fitting import Fitting
from handfast.outfits.mounting import words as mount_words
from handfast.outfits.numbering import outlet_words, thread
from handfast.outfits.ordering import quantity_words
from handfast.outfits.part_counts import CLAMP_EVERY, current_of, fuse_for
from handfast.outfits.powering import HYDRAULIC
from handfast.quantities.estimate import Estimate
from handfast.quantities.showing import show
from handfast.quantities.tables import table
from handfast.reckoning.needs import value_of

PHASES = ("stop", "caution", "step", "test", "hand")
LOOK = "not said: look"
WARM = 40.0  # °C
ON_PINS = ("ears", "conversion")
NAN = float("nan")


@dataclass(frozen=True)
class Step:
    """One step: its phase, the sentence, a note that may be empty."""

    phase: str
    words: str
    note: str


@dataclass(frozen=True)
class JointKind:
    """Joints of one thread: how many, the torque as a part's sheet states it [N·m], nan where none does."""

    thread: str
    count: int
    torque: float
    where: str


def steps_of(fitting: Fitting, behind: str = "") -> tuple[Step, ...]:
    """The steps of an outfit's route with its figures filled in.

    Args:
        fitting: the outfit with its lines and circuit.
        behind: what hangs behind, in words.

    Returns:
        Steps by phase, in the table's order.

    Source: install_steps.csv (common practice, no source); figures of the circuit and of the records.

    Example:
        >>> from handfast.outfits.example_piped import piped
        >>> steps_of(piped())[0].phase
        'stop'
    """
    told = {**_words(fitting), "behind": behind or "as the offer says"}
    found = [Step(r["phase"], r["step"].format_map(told), r["note"].format_map(told)) for r in _rows(fitting)]
    return tuple(sorted(found, key=lambda step: PHASES.index(step.phase)))


def _rows(fitting: Fitting) -> Iterator[Mapping[str, str]]:
    power, mount = fitting.outfit.power, fitting.outfit.mount.route
    needs = set() if power.kit is None else set(power.kit.needs)
    routes = {"all", power.route, f"mount.{mount}"}
    routes |= {"oil"} if power.route in HYDRAULIC else set()
    routes |= {"mount.pins"} if mount in ON_PINS else set()
    for row in table("install_steps.csv"):
        mine = row["route"] in routes
        word, _, need = row["when"].partition(" ")
        if mine and (not word or (need in needs) == (word == "needs")):
            yield row


def _words(fitting: Fitting) -> dict[str, str]:
    """What the sentences name: facts as recorded, figures as reckoned."""
    machine, system, outfit = fitting.inquiry.machine, fitting.system, fitting.outfit
    fuse = fuse_for(outfit, fitting.shelf)
    runs = fitting.runs
    lines = machine.lines_at_valve
    return {
        "interface": mount_words(outfit.mount.interface),
        "centre": _centre(machine, outfit.power.kit is not None and outfit.power.kit.centre),
        "outlet": thread(runs[0].start) if runs else LOOK,
        "place": _outlet(fitting),
        "tool": _tool_end(fitting),
        "lines": f"{lines} recorded" if lines is not None else LOOK,
        "regenerative": _regenerative(machine.dump_regenerative),
        "front": f"{machine.front_functions} recorded" if machine.front_functions is not None else LOOK,
        "alternator": _known(machine.alternator, "current", system),
        "current": show(current_of(outfit), "current", system),
        "clamp": show(CLAMP_EVERY, "length", system),
        "fuse": "as the kit brings" if _brings(fitting, "fuse") else (fuse.name if fuse is not None else LOOK),
        "oil": next((quantity_words(one, system) for one in fitting.parts if one.item == "oil"), "none"),
        "pin": _known(machine.pin_diameter, "length", system),
        "arms": _known(machine.arm_spacing, "length", system),
        **_reckoned(fitting),
    }


def _outlet(fitting: Fitting) -> str:
    if fitting.outfit.power.route not in HYDRAULIC:
        return ""
    words = outlet_words(fitting.outfit, "A").split(",")[0]
    return words[:1].upper() + words[1:]


def _regenerative(has: bool | None) -> str:
    return LOOK if has is None else "recorded: it has" if has else "recorded: none"


def _reckoned(fitting: Fitting) -> dict[str, str]:
    """Figures of the circuit."""
    circuit, system = fitting.circuit, fitting.system
    if circuit is None:
        return {
            "relief": LOOK,
            "bears": "what the weakest part bears",
            "weakest": LOOK,
            "close": "–",
            "open": "–",
            "blocked": "far more than relief",
        }
    times = [circuit.at(WARM, moves).time for moves in ("close", "open")]
    close, opens = ("a stall" if t is None else show(t, "time") for t in times)
    known = isfinite(circuit.weakest_pressure)
    return {
        "relief": show(circuit.relief, "pressure", system),
        "bears": show(circuit.weakest_pressure, "pressure", system) if known else "what the weakest part bears",
        "weakest": circuit.weakest or LOOK,
        "blocked": show(circuit.blocked_rod_pressure, "pressure", system),
        "close": close,
        "open": opens,
    }


def _centre(machine: Machine, kits: tuple[str, ...] | bool) -> str:
    """The pump's kind: as recorded, else as the kit asks."""
    if machine.centre is not None:
        return machine.centre.replace("_", " ") + ("" if machine.centre == "load_sensing" else " centre")
    asked = " or ".join(one.replace("_", " ") for one in kits) if isinstance(kits, tuple) and kits else ""
    return f"{asked} centre, as the kit asks" if asked else LOOK


def _tool_end(fitting: Fitting) -> str:
    """What the attachment comes with: the loose end of its own hose, else its port."""
    if not fitting.runs:
        return LOOK
    run = fitting.runs[0]
    own = next((piece for piece in run.hoses if piece.brought_by == "attachment"), None)
    return thread(run.goal if own is None else own.meets)


def _brings(fitting: Fitting, what: str) -> bool:
    kit = fitting.outfit.power.kit
    return kit is not None and what in kit.supplies


def _known(estimate: Estimate, dimension: str, system: str) -> str:
    return LOOK if estimate.is_unknown else show(float(estimate.value), dimension, system)


def joint_kinds(fitting: Fitting) -> tuple[JointKind, ...]:
    """Every kind of threaded joint in both lines; couplers are pushed, not turned.

    Args:
        fitting: the outfit with its lines.

    Returns:
        Kinds by thread, with the torque where a part of the joint states one.

    Source: torques of the parts' own records; there is no table of ours, a torque is never made up.

    Example:
        >>> from handfast.outfits.example_piped import piped
        >>> [(one.thread, one.count) for one in joint_kinds(piped())]
        [('taper pipe thread -8', 2), ('37° flare -6', 8), ('O-ring boss -8', 4)]
    """
    counts: Counter[str] = Counter()
    torques: dict[str, float] = {}
    where: dict[str, list[str]] = {}
    for words, stated, place in _joints(fitting):
        counts[words] += 1
        where.setdefault(words, []).append(place)
        if not isnan(stated):
            torques[words] = min(stated, torques.get(words, stated))
    return tuple(
        JointKind(words, count, torques.get(words, NAN), ", ".join(dict.fromkeys(where[words])))
        for words, count in counts.items()
    )


def _joints(fitting: Fitting) -> Iterator[tuple[str, float, str]]:
    """Each threaded joint: family and size, the torque that its parts state, the numbers that it lies between."""
    for run in fitting.runs:
        before = f"outlet {run.name}"
        ends: list[tuple[End, float, str]] = []
        for piece in run.pieces:
            ends.append((piece.meets, value_of(piece.part.torque), before))
            before = piece.tag or before
        ends.append((run.goal, NAN, before))
        for end, torque, place in ends:
            if end.family and not end.family.startswith("coupler_"):
                yield thread(end).rsplit(" ", 1)[0], torque, place
