"""What the circuit rules look at, taken from a machine, a lid and a kit."""

from __future__ import annotations

from handfast.connections.rules import NAN, CircuitFacts
from handfast.machines.attachment import Attachment, Hydraulics
from handfast.machines.part import Part
from handfast.machines.tractor import Machine
from handfast.physics.hydraulics import blocked_rod_pressure
from handfast.quantities.estimate import Estimate
from handfast.reckoning.circuit import pump_flow_of


def circuit_facts(route: str, machine: Machine, attachment: Attachment, kit: Part | None) -> CircuitFacts:
    """The facts of one route with one kit.

    Args:
        route: route id.
        machine: the tractor.
        attachment: whose lid it moves.
        kit: the route's kit, None without one.

    Returns:
        `CircuitFacts`, nan and None where nobody has said.

    Example:
        >>> circuit_facts("diverter", Machine(dump_regenerative=True), Attachment(), None).regenerative
        True
    """
    relief = _likely(machine.relief_pressure)
    return CircuitFacts(
        route,
        centre=machine.centre,
        kit_centre=() if kit is None else tuple(kit.centre),
        needs=frozenset(() if kit is None else kit.needs),
        brings=frozenset(() if kit is None else kit.supplies),
        has_kit=kit is not None,
        lines_at_valve=machine.lines_at_valve,
        power_beyond=machine.power_beyond,
        relief=relief,
        tank_port=NAN if kit is None else _likely(kit.tank_port_rating),
        flow=_known(pump_flow_of(machine)),
        kit_flow=NAN if kit is None else _likely(kit.flow_rated),
        detent=machine.remote_detent,
        steering_first=None if machine.steering_flow.is_unknown and machine.implement_flow.is_unknown else True,
        regenerative=machine.dump_regenerative,
        lid_held=_held(attachment, kit),
        blocked=_blocked(relief, attachment.hydraulics),
    )


def _held(attachment: Attachment, kit: Part | None) -> bool | None:
    if attachment.lid_hold in ("pilot_check", "self_locking") or (kit is not None and kit.pilot_check):
        return True
    return None if attachment.lid_hold is None else False


def _blocked(relief: float, oil: Hydraulics | None) -> float:
    """What a rod port that is shut would feel [Pa], to the kilopascal."""
    if oil is None or oil.bore.is_unknown or oil.rod.is_unknown:
        return NAN
    felt = float(blocked_rod_pressure(relief, oil.bore.value, oil.rod.value))
    return NAN if felt != felt else round(felt, -3)


def _likely(estimate: Estimate) -> float:
    return NAN if estimate.is_unknown else float(estimate.value)


def _known(value: float) -> float:
    """One and the same nan, so that equal facts are equal."""
    return NAN if value != value else value
