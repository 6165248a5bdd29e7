"""Facts over records: an inquiry names a record of the shelf, and what the caller stated wins."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, TypeVar

from handfast.machines.faults import Fault
from handfast.machines.fields import Record
from handfast.machines.shelf import near_ids
from handfast.machines.tractor import Machine
from handfast.quantities.estimate import Estimate

R = TypeVar("R", bound=Record)

# Tables that describe one measured thing: stated anew they replace the record's, entry by entry they would mix two.
_WHOLE = ("linkage", "jaw", "tyre_fill", "front_tyre_fill", "quick_attach_cg", "cg", "load_centre")


def merged(base: R, facts: R) -> R:
    """A record with everything that was stated laid over it.

    Args:
        base: record of the shelf.
        facts: what was stated, of the same type.

    Returns:
        the record of both; an entry stated as unknown stays with the shelf's.

    >>> merged(Machine(mass="900 kg", rear_remotes=1), Machine(rear_remotes=0)).rear_remotes
    0
    """
    taken: dict[str, Any] = {}
    for name in facts.model_fields_set:
        stated, kept = getattr(facts, name), getattr(base, name)
        if isinstance(stated, Estimate) and stated.is_unknown:
            continue
        if (
            isinstance(stated, Record)
            and isinstance(kept, Record)
            and name not in _WHOLE
            and type(stated) is type(kept)
        ):
            stated = merged(kept, stated)
        taken[name] = stated
    return base.model_copy(update=taken)


def merged_machine(base: Machine, facts: Machine) -> Machine:
    """A machine with the stated facts over it; its axle masses follow a mass that was stated alone.

    Args:
        base: record of the shelf.
        facts: what was stated.

    Returns:
        machine whose front and rear axle masses still add up.

    >>> base = Machine(mass="1000 kg", front_axle_mass="600 kg", rear_axle_mass="400 kg")
    >>> merged_machine(base, Machine(mass="1100 kg")).front_axle_mass.value
    660.0
    """
    machine = _counted(merged(base, facts), facts)
    stated = {name for name in ("mass", "front_axle_mass", "rear_axle_mass") if not getattr(facts, name).is_unknown}
    if len(stated) in (0, 3) or any(each.is_unknown for each in (base.mass, base.front_axle_mass, base.rear_axle_mass)):
        return machine
    return machine.model_copy(update=_following(machine, base, stated))


def _counted(machine: Machine, facts: Machine) -> Machine:
    """Lines counted at the valve, or power beyond seen there, overrule what the record says of the other."""
    if facts.lines_at_valve is not None and facts.power_beyond is None:
        return machine.model_copy(update={"power_beyond": None})
    if facts.power_beyond is not None and facts.lines_at_valve is None:
        return machine.model_copy(update={"lines_at_valve": None})
    return machine


def _following(machine: Machine, base: Machine, stated: set[str]) -> dict[str, Estimate]:
    """The masses that were not stated, so that the three add up."""
    if stated == {"mass"}:
        ratio = machine.mass.value / base.mass.value
        return {
            name: getattr(base, name).scaled(ratio).with_origin("computed")
            for name in ("front_axle_mass", "rear_axle_mass")
        }
    if "mass" not in stated:
        total = machine.front_axle_mass.value + machine.rear_axle_mass.value
        spread = sum(each.high - each.likely for each in (machine.front_axle_mass, machine.rear_axle_mass))
        return {"mass": Estimate.about(total, spread, origin="computed")}
    missing, there = sorted({"front_axle_mass", "rear_axle_mass"}, key=lambda name: name in stated)
    rest = machine.mass.value - getattr(machine, there).value
    return {missing: Estimate.known(rest, origin="computed")} if rest > 0 else {}


def named(
    records: Mapping[str, R],
    wanted: str | None,
    place: str,
    file: str,
    faults: list[Fault],
    retired: Mapping[str, R] | None = None,
) -> R | None:
    """The record of an id, retired or not, None without one; an id that is not there is added to the faults."""
    if not wanted:
        return None
    if wanted not in records:
        if retired and wanted in retired:
            return retired[wanted]
        near = near_ids(wanted, records)
        hint = f" such as {' or '.join(near)}" if near else f", one of {', '.join(list(records)[:20])}"
        faults.append(Fault(file, 0, place, f'"{wanted}"', f"a record on the shelf{hint}"))
        return None
    return records[wanted]
