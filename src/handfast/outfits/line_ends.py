"""Where a lid's lines begin and end: the outlet of a power route, the ports of an attachment, the pressure."""

from __future__ import annotations

from dataclasses import dataclass

from handfast.connections.mating import End, is_coupler
from handfast.machines.attachment import Attachment
from handfast.machines.part import Connection, Part
from handfast.machines.tractor import Machine
from handfast.outfits.draws import typical
from handfast.outfits.facts import machine_class
from handfast.outfits.line_shelf import end_of
from handfast.outfits.powering import PowerRoute
from handfast.outfits.tool_reach import ROUGH, ToolReach

FRONT = "coupler_flat 1/2"  # coupler between tractor and attachment where the tractor has none in front yet
PORT_OF = {"front_outlets": "front", "rear_remote_forward": "rear", "mid_outlet": "mid"}
LINES = 2  # closing and opening
Halves = tuple[str, str]


@dataclass(frozen=True)
class Outlet:
    """Where a route's oil comes out: the end, hose from there to the front [m], what the kit brings, its pressure."""

    end: End
    line: float
    brings: frozenset[str]
    pressure: float
    kit: Part | None

    @property
    def in_front(self) -> bool:
        """Whether the tractor's own coupler is where the attachment connects."""
        return self.line == 0.0 and is_coupler(self.end)

    @property
    def coupler(self) -> str:
        """The coupler between tractor and attachment."""
        return f"{self.end.family} {self.end.size}" if self.in_front else FRONT

    @property
    def halves(self) -> tuple[Halves, ...]:
        """Which halves the two lines may have on the tractor, the best first."""
        if self.in_front:
            return ((self.end.gender, self.end.gender),)
        return (("female", "male"), ("female", "female"))


@dataclass(frozen=True)
class ToolEnd:
    """The attachment's end: a port for each line, hoses and fittings it brings, hose it needs to the front [m].

    Two cylinders with ports of their own have a second port for each line.
    """

    ports: tuple[End, ...]
    hoses: int
    fittings: int
    span: float
    seconds: tuple[End, ...] = ()


def relief(machine: Machine) -> float:
    """The pressure that every part of a line must stand [Pa]: relief, at most; the class's highest when not known.

    Args:
        machine: the tractor.

    Returns:
        Pressure; NaN where neither the sheet nor the class tells it.

    Source: working pressure of every part at least the relief pressure.

    Example:
        >>> relief(Machine(relief_pressure="200 bar"))
        20000000.0
    """
    stated = machine.relief_pressure
    if not stated.is_unknown:
        return float(stated.greatest)
    return float(typical(machine_class(machine), "relief_pressure")[0].high)


def outlet_of(power: PowerRoute, machine: Machine, pressure: float) -> Outlet | None:
    """Where the oil of a route comes out.

    Args:
        power: the route with its kit.
        machine: the tractor with its ports.
        pressure: relief [Pa].

    Returns:
        `Outlet`, or None where the port is not known.

    Source: a kit with a valve or pump of its own has its own ports; the others start at the tractor's.

    Example:
        >>> outlet_of(PowerRoute("front_outlets"), Machine(), 2e7) is None
        True
    """
    kit = next((part for part in power.parts if part.kind == "valve_kit"), None)
    brings = frozenset(kit.supplies) if kit is not None else frozenset()
    name = PORT_OF.get(power.route)
    if name is not None and (kit is None or not kit.needs or {"rear_remote", "mid_outlet"} & set(kit.needs)):
        port: Connection | None = getattr(machine.ports, name)
    else:
        port = kit.ends[0] if kit is not None and kit.ends else None
    if kit is not None and power.route == "separate_pump" and not kit.pressure_max.is_unknown:
        pressure = float(kit.pressure_max.value)
    if port is None or pressure != pressure:
        return None
    line = 0.0 if power.route == "front_outlets" else power.words.line
    return Outlet(end_of(port), line, brings, pressure, kit)


def tool_end(attachment: Attachment, reach: ToolReach) -> ToolEnd | None:
    """Ports and hoses of an attachment; what brings its own hoses asks for no length.

    Args:
        attachment: the attachment.
        reach: hose lengths on the machine.

    Returns:
        `ToolEnd`, or None without ports.

    Example:
        >>> tool_end(Attachment(), ToolReach(Machine())) is None
        True
    """
    oil = attachment.hydraulics
    if oil is None or not oil.ports:
        return None
    ports = tuple(end_of(oil.ports[min(k, len(oil.ports) - 1)]) for k in range(LINES))
    hoses, fittings = (min(count or 0, LINES) for count in (oil.hoses_supplied, oil.fittings_supplied))
    apart = oil.ports[LINES : 2 * LINES] if len(oil.ports) == 2 * LINES else ()
    span = ROUGH if hoses == LINES else reach.of(attachment)
    return ToolEnd(ports, hoses, fittings, span, tuple(end_of(port) for port in apart))
