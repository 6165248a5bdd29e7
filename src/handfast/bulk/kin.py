"""Which machines, and which attachments, are alike: what hangs and is moved alike is looked up once."""

from __future__ import annotations

from collections.abc import Hashable, Iterable

from handfast.machines.as_built import machine_key
from handfast.machines.attachment import Attachment
from handfast.machines.fields import Record
from handfast.machines.shelf import Shelf
from handfast.machines.tractor import Machine
from handfast.outfits.class_tables import class_shares
from handfast.outfits.facts import machine_class
from handfast.outfits.powering import lid_key
from handfast.quantities.estimate import Estimate

OIL = ("pump_flow", "steering_flow", "implement_flow", "rated_speed", "working_speed", "relief_pressure", "port_relief")
OUTLETS = (
    *("rear_remotes", "front_functions", "mid_outlets", "factory_third_function", "remote_detent", "lines_at_valve"),
    *("centre", "dump_regenerative", "power_beyond"),
)


def quick_attach_of(machine: Machine) -> str:
    """What a machine hangs things on: as said, else what is met most often in its class.

    Args:
        machine: the tractor.

    Returns:
        Interface id; "" where nobody can say.

    Example:
        >>> quick_attach_of(Machine(quick_attach="pinned"))
        'pinned'
    """
    if machine.quick_attach is not None:
        return machine.quick_attach
    shares = class_shares(machine_class(machine), "quick_attach")
    return max(shares, key=lambda one: one[1])[0] if shares else ""


def hangs_like(machine: Machine) -> Hashable:
    """What of a machine decides which mounts it takes and which rules of hanging it falls under.

    Args:
        machine: the tractor.

    Returns:
        A key; a measured linkage stands alone.

    Example:
        >>> hangs_like(Machine()) == hangs_like(Machine(name="another"))
        True
    """
    loader = machine.loader
    alone = id(machine) if loader.linkage is not None else 0
    tyres = machine.front_tyre.count, machine.rear_tyre.count
    rules = bool(loader.self_levelling), loader.ratings_with, bool(machine.four_wheel_drive), machine.with_
    return machine_class(machine), quick_attach_of(machine), *rules, *tyres, alone


def moves_like(machine: Machine, named: frozenset[str]) -> Hashable:
    """What of a machine decides how it moves a lid, and how fast.

    Args:
        machine: the tractor.
        named: ids that kits and earlier fittings name.

    Returns:
        A key.

    Example:
        >>> moves_like(Machine(), frozenset()) == moves_like(Machine(relief_pressure="200 bar"), frozenset())
        False
    """
    who = tuple(sorted({machine.id, machine.record or "", machine_key(machine)} & named))
    alone = id(machine) if machine.loader.linkage is not None else 0
    oil = tuple(_plain(getattr(machine, name)) for name in OIL)
    outlets = tuple(getattr(machine, name) for name in OUTLETS)
    return machine_class(machine), who, alone, oil, outlets, _plain(machine.ports)


def moved_like(attachment: Attachment, named: frozenset[str] = frozenset()) -> Hashable:
    """What of an attachment decides how its lid is moved, joined and timed.

    Args:
        attachment: the attachment.
        named: ids that kits and earlier fittings name.

    Returns:
        A key.

    Example:
        >>> moved_like(Attachment(width="1 m")) == moved_like(Attachment(width="2 m"))
        True
    """
    drawn = id(attachment.jaw) if attachment.jaw is not None and attachment.jaw.cylinder_base is not None else 0
    inside = _plain(attachment.hydraulics), _plain(attachment.electrics)
    who = attachment.id if attachment.id in named else ""
    return lid_key(attachment), attachment.kind, attachment.lids, *inside, drawn, who


def named_on(shelf: Shelf) -> frozenset[str]:
    """Ids of machines and attachments that some kit, or some earlier fitting, is for.

    Args:
        shelf: what can be sold.

    Returns:
        Ids.

    Example:
        >>> sorted(named_on(Shelf()))
        []
    """
    served: Iterable[str] = (name for part in shelf.parts.values() for name in part.serves)
    fitted = (name for one in shelf.as_built for name in (one.machine, one.attachment))
    return frozenset(served) | frozenset(fitted) | {one.attachment for one in shelf.lessons}


def _plain(value: object) -> Hashable:
    """A record without its names, so that equal records have equal keys."""
    if isinstance(value, Estimate):
        return None if value.is_unknown else (value.kind, value.low, value.likely, value.high)
    if isinstance(value, Record):
        return tuple(_plain(getattr(value, name)) for name in type(value).model_fields)
    if isinstance(value, (tuple, list)):
        return tuple(map(_plain, value))
    return value if isinstance(value, Hashable) else repr(value)
